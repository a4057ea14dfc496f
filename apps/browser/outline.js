// What the bodies of the scene look like in a flat view: paths of SVG made from their meshes.

import { add } from "plane3d/shapes"

const EVERY = 3 // stations between the rounds that close an outline; the sides join them
const profiles = new WeakMap() // points of a mesh -> its radius along the axis

export const n = (value) => Number(value.toFixed(2))

export const polyline = (points, project) => {
  let d = ""
  for (let i = 0; i + 2 < points.length; i += 3) {
    const [x, y] = project([points[i], points[i + 1], points[i + 2]])
    d += `${i ? "L" : "M"}${n(x)} ${n(y)}`
  }
  return d
}

// The triangles of a still mesh that face the viewer.
export function faces({ points, triangles }, project) {
  let d = ""
  for (let t = 0; t + 2 < triangles.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => {
      const i = 3 * triangles[t + k]
      return project([points[i], points[i + 1], points[i + 2]])
    })
    if ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) >= 0) continue
    d += `M${[a, b, c].map(([x, y]) => `${n(x)} ${n(y)}`).join("L")}z`
  }
  return d
}

// Radius of a body of revolution about +z at its stations: [[z, radius], ...], rising.
export function profile({ points }) {
  if (profiles.has(points)) return profiles.get(points)
  const widest = new Map()
  for (let i = 0; i + 2 < points.length; i += 3) {
    const z = points[i + 2], radius = Math.hypot(points[i], points[i + 1])
    widest.set(z, Math.max(widest.get(z) ?? 0, radius))
  }
  const found = [...widest].sort((a, b) => a[0] - b[0])
  profiles.set(points, found)
  return found
}

// The outline of a body of revolution, given by its profile, in a pose (4 x 4, column by column): its two sides, and
// rounds, which are ellipses as it points toward the viewer. All run the same way round, so that together they fill
// one shape.
export function body(stations, pose, project, scale) {
  const axis = [pose[8], pose[9], pose[10]], foot = [pose[12], pose[13], pose[14]]
  const [from, to] = [project(foot), project(add(foot, axis))]
  const length = Math.hypot(to[0] - from[0], to[1] - from[1])
  const ahead = length > 1e-9 ? [(to[0] - from[0]) / length, (to[1] - from[1]) / length] : [1, 0]
  const slim = Math.sqrt(Math.max(1 - (length / scale) ** 2, 0)) // how open a round looks
  const turn = n((Math.atan2(ahead[1], ahead[0]) * 180) / Math.PI)
  const near = [], far = []
  let rounds = ""
  stations.forEach(([z, radius], i, all) => {
    const x = from[0] + z * (to[0] - from[0]), y = from[1] + z * (to[1] - from[1]), r = radius * scale
    const across = [-ahead[1] * r, ahead[0] * r]
    near.push(`${n(x + across[0])} ${n(y + across[1])}`)
    far.unshift(`${n(x - across[0])} ${n(y - across[1])}`)
    if ((i % EVERY && i < all.length - 1) || r * slim < 0.2) return
    const arc = `a${n(r * slim)} ${n(r)} ${turn} 1 0`
    rounds += `M${n(x + across[0])} ${n(y + across[1])}${arc} ${n(-2 * across[0])} ${n(-2 * across[1])}`
      + `${arc} ${n(2 * across[0])} ${n(2 * across[1])}z`
  })
  return `M${[...near, ...far].join("L")}z${rounds}`
}

// Largest distance of a mesh's points from its own origin: the radius of a ball.
export function ballRadius({ points }) {
  let most = 0
  for (let i = 0; i + 2 < points.length; i += 3) {
    most = Math.max(most, Math.hypot(points[i], points[i + 1], points[i + 2]))
  }
  return most
}
