// Words laid over the picture at points of the scene: inside its edges, clear of each other, tied to their point.

import { cross, dot, norm, sub, unit } from "plane3d/shapes"
import { opening } from "plane3d/drawing"

const MARGIN = 4 // px from the edge and between words
const REACH = 16 // px from the point to a word beside it
// Where a word may stand: its middle from its point, in heights of the word across (from its near end) and down, in
// order of preference: beside, above, below; then farther and farther all round.
const NEAR = [
  [1, -0.6], [-1, -0.6], [1, 0.6], [-1, 0.6], [0, -1.4], [0, 1.4], [1, -2], [-1, -2], [1, 2], [-1, 2],
  [0, -3], [0, 3], [1, -3.4], [-1, -3.4], [1, 3.4], [-1, 3.4],
]
const FAR = [40, 70, 105, 145, 190, 240] // px
const AROUND = 16
const FLASH = 900 // ms
const COVERED = 1e4 // how much worse it is to cover a thing than a square pixel of another word
const HIDDEN = "hidden"
const LINE = "http://www.w3.org/2000/svg"

// Pixels of a point on a surface of the given size, or null behind the viewer.
export function project(camera, [width, height], point) {
  const forward = sub(camera.focal_point, camera.position)
  const right = unit(cross(forward, camera.up))
  const up = unit(cross(right, forward))
  const arm = sub(point, camera.position)
  const depth = dot(arm, forward) / norm(forward)
  if (depth <= 1e-3) return null
  const scale = height / 2 / Math.tan(opening(camera, width / height) / 2) / depth
  return [width / 2 + scale * dot(arm, right), height / 2 - scale * dot(arm, up)]
}

export class Labels {
  constructor(holder) {
    this.layer = document.createElement("div")
    this.layer.className = "labels"
    this.lines = document.createElementNS(LINE, "svg")
    this.lines.setAttribute("aria-hidden", "true")
    this.layer.append(this.lines)
    holder.append(this.layer)
    this.items = new Map()
  }

  set(label) {
    let item = this.items.get(label.name)
    if (!item) {
      item = { word: document.createElement("span"), line: document.createElementNS(LINE, "line") }
      this.items.set(label.name, item)
      this.layer.append(item.word)
      this.lines.append(item.line)
    }
    item.word.textContent = label.text
    item.word.style.color = label.color
    item.line.style.stroke = label.color
    item.position = label.position
    item.views = label.views
    item.size = null
  }

  remove(name) {
    const item = this.items.get(name)
    item?.word.remove()
    item?.line.remove()
    this.items.delete(name)
  }

  // The type size may have changed with the width of the page.
  measure() {
    for (const item of this.items.values()) item.size = null
  }

  // Draw the eye to a word for a moment.
  flash(name) {
    const word = this.items.get(name)?.word
    word?.classList.add("flash")
    setTimeout(() => word?.classList.remove("flash"), FLASH)
  }

  // ``seenAt`` gives the pixels of a point, or null; words that belong to other views are hidden. ``taken``: what is
  // better left free, boxes {x, y, width, height} and thick lines {from, to, radius}. ``wanted`` tells by name whether
  // a word is to be shown; ``steady`` words stay where they stand from their points as long as that is free.
  place(seenAt, size, view, taken = [], { wanted = () => true, steady = false } = {}) {
    const placed = [...taken]
    for (const item of this.items.values()) item.size ||= [item.word.offsetWidth, item.word.offsetHeight]
    for (const [name, item] of this.items) {
      const { word, line, position, views, size: box } = item
      const at = wanted(name) && (!views?.length || views.includes(view)) ? seenAt(position) : null
      const seen = at && at[0] >= 0 && at[1] >= 0 && at[0] <= size[0] && at[1] <= size[1] && word.textContent
      word.style.visibility = line.style.visibility = seen ? "visible" : HIDDEN
      if (!seen) continue
      const spot = choose(at, box, size, placed, steady ? item.step : null)
      item.step = spot.step
      placed.push(spot)
      word.style.transform = `translate(${spot.x}px, ${spot.y}px)`
      const x = Math.min(Math.max(at[0], spot.x), spot.x + box[0])
      const y = Math.min(Math.max(at[1], spot.y), spot.y + box[1])
      const ends = { x1: at[0], y1: at[1], x2: x, y2: y }
      for (const [name, value] of Object.entries(ends)) line.setAttribute(name, value.toFixed(1))
    }
  }
}

// The first place free of everything taken, or else the one that covers least of it. ``first``: the place to try first.
function choose(at, box, size, placed, first) {
  let best = null
  const steps = places(box)
  for (const step of first == null ? steps.keys() : [first, ...steps.keys()]) {
    const [across, down] = steps[step], [width, height] = box
    const x = Math.round(inside(at[0] + across - width / 2, width, size[0]))
    const y = Math.round(inside(at[1] + down - height / 2, height, size[1]))
    const spot = { x, y, width, height, step }
    const covered = placed.reduce((sum, other) => sum + (other.radius ? hidden(spot, other) : overlap(spot, other)), 0)
    if (!best || covered < best.covered) best = { ...spot, covered }
    if (!covered) break
  }
  return best
}

// Where the middle of a word of this size may stand, px from its point.
function places([width, height]) {
  const beside = NEAR.map(([side, down]) => [side * (REACH + width / 2), down * height])
  const around = FAR.flatMap((far) => Array.from({ length: AROUND }, (_, k) => {
    const turn = (2 * Math.PI * k) / AROUND, x = Math.cos(turn), y = Math.sin(turn)
    const whole = far + (Math.abs(x) * width) / 2 + (Math.abs(y) * height) / 2
    return [whole * x, whole * y]
  }))
  return [...beside, ...around]
}

const inside = (x, length, whole) => Math.max(MARGIN, Math.min(x, whole - length - MARGIN))

function overlap(a, b) {
  const across = Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x) + MARGIN
  const down = Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y) + MARGIN
  return across > 0 && down > 0 ? across * down : 0
}

// How badly a box covers a thick line: 0 if it stays clear of it.
function hidden(box, { from, to, radius }) {
  const deep = radius + MARGIN - apart(box, from, to)
  return deep > 0 ? COVERED * deep : 0
}

// Distance between a box and a line from p to q: they cross, or an end of the line or a corner of the box is nearest.
function apart(box, p, q) {
  const { x, y, width, height } = box, corners = [[x, y], [x + width, y], [x + width, y + height], [x, y + height]]
  if (crosses(box, p, q)) return 0
  const fromBox = ([a, b]) => Math.hypot(Math.max(x - a, 0, a - x - width), Math.max(y - b, 0, b - y - height))
  return Math.min(fromBox(p), fromBox(q), ...corners.map((corner) => fromLine(corner, p, q)))
}

function fromLine([a, b], [px, py], [qx, qy]) {
  const dx = qx - px, dy = qy - py, long = dx * dx + dy * dy
  const share = long ? Math.min(Math.max(((a - px) * dx + (b - py) * dy) / long, 0), 1) : 0
  return Math.hypot(a - px - share * dx, b - py - share * dy)
}

// Whether any of the line lies inside the box: what is left of it after cutting at each of its four edges.
function crosses({ x, y, width, height }, p, q) {
  let [first, last] = [0, 1]
  for (const [at, by, low, high] of [[p[0], q[0] - p[0], x, x + width], [p[1], q[1] - p[1], y, y + height]]) {
    if (!by && (at < low || at > high)) return false
    if (!by) continue
    const ends = [(low - at) / by, (high - at) / by]
    first = Math.max(first, Math.min(...ends))
    last = Math.min(last, Math.max(...ends))
  }
  return first <= last
}
