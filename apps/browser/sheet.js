// One flat view: a sheet on which the scene is drawn to scale, straight on, without perspective.

import { Labels } from "plane3d/labels"
import { ballRadius, body, faces, n, polyline, profile } from "plane3d/outline"
import { add, cross, dot, poseAt, sub } from "plane3d/shapes"
import { trc } from "plane3d/words"

const THINNEST = 2 // px
const TICK = 5 // px, half a stroke at the end of a dimension
const BESIDE = "below the line" // the dimension that stands beside the ball, and how many ball radii from it
const AWAY = 2.4
const UNITS = { in: [0.0254, trc("unit", "in")], cm: [0.01, trc("unit", "cm")] } // length, m
const RULER = { in: 12, cm: 30 }
const RULER_NEAR = { in: 3, cm: 10 }
const EDGE = 12 // px

export class Sheet {
  // ``axes(side)`` gives the directions that run right and up on the sheet, ``box(parts)`` the part of the field to
  // show, as [left, right, bottom, top] in m along them; ``show`` names the parts.
  constructor(title, options) {
    Object.assign(this, options, { title })
    this.element = document.createElement("figure")
    this.element.innerHTML = `
      <figcaption>${title}</figcaption>
      <div class="sheet">
        <svg class="still" role="img"></svg>
        <svg class="moving" aria-hidden="true">
          <path class="bat-edge"/><path/><path/><path/><path/><circle class="ball"/></svg>
        <svg class="over" aria-hidden="true"></svg></div>`
    const find = (name) => this.element.querySelector(name)
    Object.assign(this, { holder: find(".sheet"), still: find(".still"), over: find(".over") })
    this.labels = new Labels(this.holder)
    this.named = new Set()
    this.bat = [...this.element.querySelectorAll(".moving path")]
    this.ball = find(".ball")
  }

  // Everything that does not move with the clock.
  drawStill(parts, metric) {
    const size = this.size = [this.holder.clientWidth, this.holder.clientHeight]
    if (!size[0] || !size[1]) return
    for (const svg of this.holder.querySelectorAll(":scope > svg")) svg.setAttribute("viewBox", `0 0 ${size.join(" ")}`)
    this.frame(parts)
    this.still.innerHTML = this.ground(parts) + this.shade(parts) + this.lines(parts) + this.points(parts)
      + this.batAtContact(parts)
    this.over.innerHTML = this.dimensions(parts) + this.ruler(metric)
    this.write(parts)
  }

  // The scale that fits the box, and what follows from it. The mapping stands on the element, for tests.
  frame(parts) {
    const side = parts.cameras.side.position[0] > 0 ? 1 : -1
    const [right, up] = this.axes(side), [left, end, bottom, top] = this.box(parts, side)
    const [width, height] = this.size
    this.scale = Math.min(width / (end - left), height / (top - bottom))
    const middle = [(left + end) / 2, (bottom + top) / 2]
    const [x, y] = [width / 2 - this.scale * middle[0], height / 2 + this.scale * middle[1]]
    Object.assign(this, { right, up })
    this.project = (point) => [x + this.scale * dot(right, point), y - this.scale * dot(up, point)]
    Object.assign(this.holder.dataset, { scale: this.scale, x, y, right: right.join(" "), up: up.join(" ") })
  }

  ground({ meshes }) {
    return this.show.meshes.filter((name) => meshes[name]).map((name) =>
      `<path class="${name.replaceAll(" ", "-")}" d="${faces(meshes[name], this.project)}"/>`).join("")
  }

  // Between the straight way and the way the barrel took.
  shade({ tubes }) {
    const way = tubes["straight way"]?.points, path = tubes["barrel path"]?.points
    if (!this.show.tubes.includes("straight way") || !way?.length || !path?.length) return ""
    const to = [way[3], way[4], way[5]]
    let last = 0, nearest = Infinity
    for (let i = 0; i < path.length; i += 3) {
      const apart = Math.hypot(...sub([path[i], path[i + 1], path[i + 2]], to))
      if (apart < nearest) [nearest, last] = [apart, i]
    }
    return `<path class="shade" d="${polyline([...path.subarray(0, last), ...to], this.project)}z"
      style="fill: ${tubes["barrel path"].color}"/>`
  }

  lines({ tubes }) {
    return this.show.tubes.filter((name) => tubes[name]?.points.length).map((name) => {
      const { points, color, radius, opacity, dashed } = tubes[name]
      const width = Math.max(2 * radius * this.scale, THINNEST)
      const dashes = dashed ? `stroke-dasharray="${n(2 * width + 3)} ${n(1.4 * width + 2)}"` : ""
      return `<path class="line" data-part="${name}" d="${polyline(points, this.project)}" stroke="${color}"
        stroke-width="${n(width)}" opacity="${opacity}" ${dashes}/>`
    }).join("")
  }

  points({ marks }) {
    return this.show.marks.filter((name) => marks[name]).map((name) => {
      const { points, color, radius } = marks[name], r = n(Math.max(radius * this.scale, THINNEST))
      let circles = ""
      for (let i = 0; i + 2 < points.length; i += 3) {
        const [x, y] = this.project([points[i], points[i + 1], points[i + 2]])
        circles += `<circle cx="${n(x)}" cy="${n(y)}" r="${r}"/>`
      }
      return `<g fill="${color}" data-part="${name}">${circles}</g>`
    }).join("")
  }

  batAtContact(parts) {
    const shapes = this.batShapes(parts, parts.motion.closest_time)
    return `<path class="bat-then" d="${shapes.map(([, d]) => d).join("")}"/>`
  }

  // The parts of the bat as [class, path], the farther ones first: the ring at the sweet spot lies round the barrel.
  batShapes({ meshes, motion }, time) {
    const pose = poseAt(motion, "bat", time)
    const part = (name) => (meshes[name] ? profile(meshes[name]) : [])
    const [grip, barrel, ring] = ["bat grip", "bat barrel", "sweet spot"].map(part)
    const tipNear = dot([pose[8], pose[9], pose[10]], cross(this.right, this.up)) > 0
    const before = barrel.filter(([z]) => tipNear ? z >= ring[ring.length - 1]?.[0] : z <= ring[0]?.[0])
    const order = [["bat-barrel", barrel], ["bat-ring", ring], ["bat-barrel", before]]
    order.splice(tipNear ? 0 : 3, 0, ["bat-grip", grip])
    const outline = (stations) => (stations.length ? body(stations, pose, this.project, this.scale) : "")
    return order.map(([name, stations]) => [name, outline(stations)])
  }

  // Bat and ball at a time.
  drawMoving(parts, time) {
    if (!this.project || !parts.motion.times?.length) return
    const shapes = this.batShapes(parts, time), [edge, ...rest] = this.bat
    edge.setAttribute("d", shapes.map(([, d]) => d).join(""))
    shapes.forEach(([name, d], i) => { rest[i].setAttribute("class", name); rest[i].setAttribute("d", d) })
    const pose = poseAt(parts.motion, "ball", time), [x, y] = this.project([pose[12], pose[13], pose[14]])
    const radius = parts.meshes.ball ? ballRadius(parts.meshes.ball) * this.scale : 0
    for (const [name, value] of Object.entries({ cx: x, cy: y, r: radius })) this.ball.setAttribute(name, n(value))
  }

  // The figures: across the sheet where the scene has them, and the gap below the line beside the ball.
  dimensions(parts) {
    return this.measures(parts).map(({ name, from, at }) => dimension(name, from, at)).join("")
  }

  // The dimensions of this sheet that apply: what each measures and where it stands, two points of the sheet each.
  measures({ tubes, meshes }) {
    return this.show.dimensions.filter((name) => tubes[name]?.points.length).map((name) => {
      const { points } = tubes[name], ends = [0, 3].map((i) => [...points.subarray(i, i + 3)])
      return { name, from: ends.map(this.project), at: ends.map((end) => this.project(this.beside(name, end, meshes))) }
    })
  }

  ruler(metric) {
    const unit = metric ? "cm" : "in", [length, name] = UNITS[unit], count = (this.near ? RULER_NEAR : RULER)[unit]
    const [x, y] = [EDGE, this.size[1] - EDGE], wide = n(count * length * this.scale)
    return `<path class="ruler" d="M${x} ${y - 5}v5h${wide}v-5"/>
      <text x="${x + wide + 6}" y="${y + 1}">${count} ${name}</text>`
  }

  write(parts) {
    const { labels } = parts, wanted = this.show.labels.filter((name) => labels[name]?.text)
    for (const name of this.named) if (!wanted.includes(name)) this.labels.remove(name)
    this.named = new Set(wanted)
    for (const name of wanted) this.labels.set({ ...labels[name], position: this.spot(labels[name], parts), views: [] })
    for (const item of this.labels.items.values()) item.size = null
    this.labels.place(this.project, this.size, "", this.things(parts))
    this.still.setAttribute("aria-label", `${this.title}: ${wanted.map((name) => labels[name].text).join(", ")}`)
  }

  // Boxes that words had better not cover: ball and barrel at contact, and the dimensions.
  things(parts) {
    const { meshes, motion } = parts
    const bat = poseAt(motion, "bat", motion.closest_time), ball = poseAt(motion, "ball", motion.closest_time)
    const stations = meshes["bat barrel"] ? profile(meshes["bat barrel"]) : [[0, 0]]
    const along = (z) => this.project([0, 1, 2].map((k) => bat[12 + k] + z * bat[8 + k]))
    const radius = ballRadius(meshes.ball) * this.scale
    return [
      box([along(stations[0][0]), along(stations[stations.length - 1][0])], radius / 2),
      box([this.project([...ball.subarray(12, 15)])], radius),
      ...this.measures(parts).map(({ at }) => box(at, TICK)),
    ]
  }

  // Where a word belongs: its own point or, where that is off the sheet, the nearest point of its line that is on it.
  spot({ name, position }, { tubes, meshes }) {
    if (name === BESIDE) return this.beside(name, position, meshes)
    const points = tubes[name]?.points
    if (this.holds(position) || !points?.length) return position
    let best = position, nearest = Infinity
    for (let i = 0; i + 2 < points.length; i += 3) {
      const point = [points[i], points[i + 1], points[i + 2]], apart = Math.hypot(...sub(point, position))
      if (apart < nearest && this.holds(point)) [best, nearest] = [point, apart]
    }
    return best
  }

  // A point of a dimension as it stands on the sheet.
  beside(name, point, meshes) {
    return name === BESIDE ? add(point, this.right, -AWAY * ballRadius(meshes.ball)) : point
  }

  holds(point) {
    const [x, y] = this.project(point)
    return x > EDGE && y > EDGE && x < this.size[0] - EDGE && y < this.size[1] - EDGE
  }
}

// A dimension from p to q on the sheet, with level lines out to it from the points a and b it measures.
function dimension(name, [a, b], [p, q]) {
  const outTo = ([x, y], [to]) => (x === to ? "" : `M${n(x)} ${n(y)}H${n(to + Math.sign(to - x) * TICK)}`)
  const strokes = [p, q].map(([x, y]) => `M${n(x - TICK)} ${n(y + TICK)}l${2 * TICK} ${-2 * TICK}`)
  return `<path class="out" d="${outTo(a, p)}${outTo(b, q)}"/>
    <path class="dimension" data-part="${name}" d="M${n(p[0])} ${n(p[1])}L${n(q[0])} ${n(q[1])}"/>
    <path class="dimension" d="${strokes.join("")}"/>`
}

// The box round some points of the sheet, with a rim.
function box(points, rim) {
  const [x, y] = [0, 1].map((k) => Math.min(...points.map((point) => point[k])) - rim)
  const [right, bottom] = [0, 1].map((k) => Math.max(...points.map((point) => point[k])) + rim)
  return { x, y, width: right - x, height: bottom - y }
}
