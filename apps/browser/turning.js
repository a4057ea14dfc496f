// Turning, zooming and shifting a camera by mouse, wheel and fingers. A camera is plain data, as in the scene.

import { add, cross, norm, sub, unit } from "plane3d/shapes"
import { opening } from "plane3d/drawing"

const TURN = 0.008 // rad a pixel
const STEEPEST = (89 * Math.PI) / 180 // z stays up: never over the top
const LOWEST = 0.05 // m above the ground while turning: from under it nothing is seen
const NEAREST = 0.4 // m from the point turned about
const FARTHEST = 250

const clamp = (x, low, high) => Math.min(Math.max(x, low), high)

export function turn(camera, dx, dy) {
  const arm = sub(camera.position, camera.focal_point)
  const distance = norm(arm)
  const flat = Math.hypot(arm[0], arm[1])
  // Straight above, the arm has no bearing of its own: the picture's upper edge gives it.
  const bearing = flat > 0.01 * distance ? Math.atan2(arm[1], arm[0]) : Math.atan2(-camera.up[1], -camera.up[0])
  const az = bearing - TURN * dx
  const ground = Math.asin(clamp((LOWEST - camera.focal_point[2]) / distance, -1, 1))
  const el = clamp(Math.atan2(arm[2], flat) + TURN * dy, Math.max(ground, -STEEPEST), STEEPEST)
  const out = [Math.cos(el) * Math.cos(az), Math.cos(el) * Math.sin(az), Math.sin(el)]
  return { ...camera, position: add(camera.focal_point, out, distance), up: [0, 0, 1] }
}

export function zoom(camera, factor) {
  const arm = sub(camera.position, camera.focal_point)
  const distance = clamp(norm(arm) * factor, NEAREST, FARTHEST)
  return { ...camera, position: add(camera.focal_point, unit(arm), distance) }
}

export function shift(camera, dx, dy, [width, height]) {
  const arm = sub(camera.position, camera.focal_point)
  const metres = (2 * norm(arm) * Math.tan(opening(camera, width / height) / 2)) / height // a pixel
  const right = unit(cross(camera.up, arm))
  const up = unit(cross(arm, right))
  const by = add(add([0, 0, 0], right, -dx * metres), up, dy * metres)
  return { ...camera, position: add(camera.position, by), focal_point: add(camera.focal_point, by) }
}

// A camera as the direction and distance from which it looks, in a form that can be blended: straight above is nothing
// special, since the upper edge of the picture follows from the direction.
function polar({ position, focal_point: middle, up, view_angle_deg: angle }) {
  const arm = sub(position, middle), distance = norm(arm), flat = Math.hypot(arm[0], arm[1])
  const az = flat > 0.001 * distance ? Math.atan2(arm[1], arm[0]) : Math.atan2(-up[1], -up[0])
  return { middle, angle, az, el: Math.atan2(arm[2], flat), far: Math.log(distance) }
}

// The camera on its way from one to another; ``share`` of the time, which starts and ends slowly.
export function between(from, to, share) {
  if (share >= 1) return to
  const ease = share * share * (3 - 2 * share), a = polar(from), b = polar(to)
  const mixed = (p, q) => p + ease * (q - p)
  const turn = ((b.az - a.az + 3 * Math.PI) % (2 * Math.PI)) - Math.PI // the shorter way round
  const az = a.az + ease * turn, el = mixed(a.el, b.el), distance = Math.exp(mixed(a.far, b.far))
  const middle = [0, 1, 2].map((k) => mixed(a.middle[k], b.middle[k]))
  const level = [Math.cos(az), Math.sin(az)], tilt = Math.sin(el)
  return {
    position: add(middle, [Math.cos(el) * level[0], Math.cos(el) * level[1], tilt], distance),
    focal_point: middle, up: [-tilt * level[0], -tilt * level[1], Math.cos(el)], view_angle_deg: mixed(a.angle, b.angle),
  }
}

// Listens on ``element``; ``get`` and ``set`` reach the camera, ``size`` its width and height. Returns what undoes it.
export function listen(element, { get, set, size }) {
  const pointers = new Map()
  let button = 0
  const spread = () => {
    const [a, b] = [...pointers.values()]
    return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, apart: Math.max(Math.hypot(a.x - b.x, a.y - b.y), 1) }
  }
  const down = (event) => {
    element.setPointerCapture(event.pointerId)
    pointers.set(event.pointerId, { x: event.clientX, y: event.clientY })
    button = event.button
  }
  const move = (event) => {
    const before = pointers.get(event.pointerId)
    if (!before) return
    const now = { x: event.clientX, y: event.clientY }
    const dx = now.x - before.x, dy = now.y - before.y
    if (pointers.size === 2) {
      const from = spread()
      pointers.set(event.pointerId, now)
      const to = spread()
      set(shift(zoom(get(), from.apart / to.apart), to.x - from.x, to.y - from.y, size()))
      return
    }
    pointers.set(event.pointerId, now)
    if (pointers.size > 2) return
    if (button === 1 || event.shiftKey) set(shift(get(), dx, dy, size()))
    else if (button === 2) set(zoom(get(), Math.exp(0.008 * dy)))
    else set(turn(get(), dx, dy))
  }
  const up = (event) => pointers.delete(event.pointerId)
  const wheel = (event) => {
    event.preventDefault()
    const lines = event.deltaMode === 1 ? 30 : 1 // some browsers count lines, not pixels
    set(zoom(get(), Math.exp(clamp(0.001 * lines * event.deltaY, -0.3, 0.3))))
  }
  const noMenu = (event) => event.preventDefault()
  const handlers = {
    pointerdown: down, pointermove: move, pointerup: up, pointercancel: up, wheel, contextmenu: noMenu,
  }
  for (const [name, handler] of Object.entries(handlers)) element.addEventListener(name, handler, { passive: false })
  return () => {
    for (const [name, handler] of Object.entries(handlers)) element.removeEventListener(name, handler)
  }
}
