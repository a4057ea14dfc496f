// Words laid over the picture at points of the scene: inside its edges, clear of each other, tied to their point.

import { cross, dot, norm, sub, unit } from "plane3d/shapes"
import { opening } from "plane3d/drawing"

const MARGIN = 4 // px from the edge and between words
const STEPS = [ // where a word may stand, from its point, in order of preference: right, left, above, below, farther
  [1, -0.6], [-1, -0.6], [1, 0.6], [-1, 0.6], [0, -1.4], [0, 1.4], [1, -2], [-1, -2], [1, 2], [-1, 2],
  [0, -3], [0, 3], [1, -3.4], [-1, -3.4], [1, 3.4], [-1, 3.4],
]
const REACH = 16 // px from the point to a word beside it
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

  // ``seenAt`` gives the pixels of a point, or null; words that belong to other views are hidden. ``taken``: boxes
  // better left free, as {x, y, width, height}.
  place(seenAt, size, view, taken = []) {
    const placed = [...taken]
    for (const item of this.items.values()) item.size ||= [item.word.offsetWidth, item.word.offsetHeight]
    for (const { word, line, position, views, size: box } of this.items.values()) {
      const at = !views?.length || views.includes(view) ? seenAt(position) : null
      const seen = at && at[0] >= 0 && at[1] >= 0 && at[0] <= size[0] && at[1] <= size[1] && word.textContent
      word.style.visibility = line.style.visibility = seen ? "visible" : HIDDEN
      if (!seen) continue
      const spot = choose(at, box, size, placed)
      placed.push(spot)
      word.style.transform = `translate(${spot.x}px, ${spot.y}px)`
      const x = Math.min(Math.max(at[0], spot.x), spot.x + box[0])
      const y = Math.min(Math.max(at[1], spot.y), spot.y + box[1])
      const ends = { x1: at[0], y1: at[1], x2: x, y2: y }
      for (const [name, value] of Object.entries(ends)) line.setAttribute(name, value.toFixed(1))
    }
  }
}

// The first place free of other words, or else the one that covers least of them.
function choose(at, [width, height], size, placed) {
  let best = null
  for (const [across, down] of STEPS) {
    const side = across === 0 ? -width / 2 : across > 0 ? REACH : -REACH - width
    const spot = {
      x: Math.round(inside(at[0] + side, width, size[0])),
      y: Math.round(inside(at[1] + down * height - height / 2, height, size[1])),
      width, height,
    }
    const covered = placed.reduce((sum, other) => sum + overlap(spot, other), 0)
    if (!best || covered < best.covered) best = { ...spot, covered }
    if (!covered) break
  }
  return best
}

const inside = (x, length, whole) => Math.max(MARGIN, Math.min(x, whole - length - MARGIN))

function overlap(a, b) {
  const across = Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x) + MARGIN
  const down = Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y) + MARGIN
  return across > 0 && down > 0 ? across * down : 0
}
