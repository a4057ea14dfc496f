// Where the moving bodies of a scene stand at a time, as 4 x 4 matrices, column by column; and what they hide.

import { opening } from "plane3d/drawing"
import { project } from "plane3d/labels"
import { ballRadius, profile } from "plane3d/outline"
import { add, cross, dot, norm, poseAt, sub, unit } from "plane3d/shapes"

const SMALLEST = 2.2 // px, least radius a ball is drawn with: farther away it would be lost
const UP = [0, 0, 1]

const place = (pose) => [pose[12], pose[13], pose[14]]
const axis = (pose) => [pose[8], pose[9], pose[10]]

// Poses by the name that parts give in ``moves_with``. ``camera`` and ``size`` as for `project`.
export function poses({ motion, ghost_motion: ghost, meshes }, time, camera, size) {
  const found = new Map()
  for (const [prefix, from] of [["", motion], ["ghost ", ghost]]) {
    if (!from?.times?.length) continue
    const bat = poseAt(from, "bat", time), ball = poseAt(from, "ball", time)
    found.set(`${prefix}bat`, bat)
    found.set(`${prefix}ball`, enlarged(ball, meshes.ball, camera, size))
    found.set(`${prefix}bat shadow`, under(bat, axis(bat)))
    found.set(`${prefix}ball shadow`, under(ball, [0, 1, 0]))
  }
  return found
}

// On the ground under a pose, z along a direction as it looks from above.
function under(pose, [x, y]) {
  const along = [x, y, 0], across = norm(along) > 1e-6 ? unit(cross(UP, along)) : [1, 0, 0]
  return matrix(across, UP, along, [pose[12], pose[13], 0])
}

const matrix = (x, y, z, at) => Float64Array.of(...x, 0, ...y, 0, ...z, 0, ...at, 1)

function enlarged(pose, ball, camera, [width, height]) {
  if (!ball || !camera) return pose
  const ahead = unit(sub(camera.focal_point, camera.position)), far = dot(sub(place(pose), camera.position), ahead)
  const metres = (2 * far * Math.tan(opening(camera, width / height) / 2)) / height // a pixel
  const times = Math.max((SMALLEST * metres) / ballRadius(ball), 1)
  return pose.map((value, i) => (i < 12 ? value * times : value))
}

// Pose of a limb whose +z runs between two joints of the figure.
export function limbPose({ joint_times: times, joints }, [from, to], time) {
  const each = joints.length / times.length
  let high = 1
  while (high < times.length - 1 && times[high] < time) high++
  const low = high - 1
  const share = Math.min(Math.max((time - times[low]) / (times[high] - times[low]), 0), 1)
  const at = (joint) => [0, 1, 2].map((k) => {
    const a = joints[low * each + 3 * joint + k], b = joints[high * each + 3 * joint + k]
    return a + share * (b - a)
  })
  const start = at(from), along = unit(sub(at(to), start))
  const side = unit(cross(along, Math.abs(along[2]) < 0.9 ? UP : [1, 0, 0]))
  return matrix(side, cross(along, side), along, start)
}

// What words must not cover: barrel, grip and ball as they look, each a line on the picture with a radius round it.
export function obstacles({ meshes }, moved, camera, size) {
  const [width, height] = size, pixels = height / 2 / Math.tan(opening(camera, width / height) / 2)
  const ahead = unit(sub(camera.focal_point, camera.position))
  const found = []
  const cover = (ends, radius) => {
    const seen = ends.map((end) => project(camera, size, end))
    if (!seen[0] || !seen[1]) return
    const nearest = Math.min(...ends.map((end) => dot(sub(end, camera.position), ahead)))
    found.push({ from: seen[0], to: seen[1], radius: (radius * pixels) / nearest })
  }
  for (const [name, mesh] of Object.entries(meshes)) {
    const pose = moved.get(mesh.moves_with)
    if (!pose || mesh.moves_with.endsWith("shadow") || name.endsWith("sweet spot") || name.endsWith("seam")) continue
    if (mesh.moves_with.endsWith("ball")) {
      cover([place(pose), place(pose)], ballRadius(mesh) * norm(axis(pose)))
      continue
    }
    const stations = profile(mesh), foot = place(pose), along = axis(pose)
    const widest = Math.max(...stations.map(([, radius]) => radius))
    cover([stations[0], stations.at(-1)].map(([z]) => add(foot, along, z)), widest)
  }
  return found
}
