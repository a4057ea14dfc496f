// Geometry without a renderer: round lines, balls, normals, and the poses of moving bodies.
// A shape is {points, normals, triangles}: flat typed arrays, three numbers a point.

const TUBE_SIDES = 6
const DASH = 14 // dash and gap of a dashed tube, in radii
const GAP = 10
const FLATNESS = 0.12 // how far, in radii, a tube may leave its centre line to save points

export const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
export const add = (a, b, s = 1) => [a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2]]
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
export const cross = (a, b) => [
  a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0],
]
export const norm = (a) => Math.sqrt(dot(a, a))
export const unit = (a) => { const n = norm(a) || 1; return [a[0] / n, a[1] / n, a[2] / n] }

// Several shapes as one, so that a dashed line, a row of marks or a whole field is a single thing to draw. They have
// normals all of them, or none of them.
export function merge(shapes) {
  const count = (field) => shapes.reduce((sum, shape) => sum + shape[field].length, 0)
  const points = new Float32Array(count("points")), triangles = new Uint32Array(count("triangles"))
  const normals = shapes.every((shape) => shape.normals) ? new Float32Array(points.length) : null
  let point = 0, triangle = 0
  for (const shape of shapes) {
    points.set(shape.points, point)
    normals?.set(shape.normals, point)
    const first = point / 3
    for (const corner of shape.triangles) triangles[triangle++] = corner + first
    point += shape.points.length
  }
  return { points, normals, triangles }
}

export function tube(flat, radius, dashed) {
  const line = thinned(distinct(flat), FLATNESS * radius)
  if (line.length < 2) return merge([])
  return merge((dashed ? dashes(line, DASH * radius, GAP * radius) : [line]).map((part) => round(part, radius)))
}

// Points of a flat array, leaving out those that repeat the one before: they have no direction.
function distinct(flat) {
  const line = []
  for (let i = 0; i + 2 < flat.length; i += 3) {
    const point = [flat[i], flat[i + 1], flat[i + 2]]
    if (!line.length || norm(sub(point, line[line.length - 1])) > 1e-6) line.push(point)
  }
  return line
}

// The fewest points that stay within ``slack`` of a line: keep its ends, and where it strays from the straight way
// between them, keep the farthest point and look at both halves.
function thinned(line, slack) {
  if (line.length < 3) return line
  const first = line[0], last = line[line.length - 1], way = unit(sub(last, first))
  let farthest = 0, most = slack
  for (let i = 1; i < line.length - 1; i++) {
    const arm = sub(line[i], first)
    const stray = norm(add(arm, way, -dot(arm, way)))
    if (stray > most) [farthest, most] = [i, stray]
  }
  if (!farthest) return [first, last]
  return [...thinned(line.slice(0, farthest + 1), slack).slice(0, -1), ...thinned(line.slice(farthest), slack)]
}

// A line cut into dashes by its length, starting and ending with paint.
function dashes(line, dash, gap) {
  const parts = []
  let part = [line[0]], left = dash, painting = true
  for (let i = 1; i < line.length; i++) {
    let from = line[i - 1], rest = norm(sub(line[i], from))
    while (rest > left) {
      from = add(from, unit(sub(line[i], from)), left)
      rest -= left
      if (painting) parts.push([...part, from])
      painting = !painting
      part = [from]
      left = painting ? dash : gap
    }
    left -= rest
    part.push(line[i])
  }
  if (painting && part.length > 1) parts.push(part)
  return parts
}

// Rings round a line. The ring is carried along without twist (each normal is the last one, made square to the line).
function round(line, radius) {
  const points = [], normals = [], triangles = [], last = line.length - 1
  const along = line.map((_, i) => unit(sub(line[Math.min(i + 1, last)], line[Math.max(i - 1, 0)])))
  const spare = Math.abs(along[0][2]) < 0.9 ? [0, 0, 1] : [1, 0, 0]
  let side = unit(cross(along[0], spare))
  const ring = (centre, u, v) => {
    for (let k = 0; k < TUBE_SIDES; k++) {
      const a = (2 * Math.PI * k) / TUBE_SIDES
      const out = add(add([0, 0, 0], u, Math.cos(a)), v, Math.sin(a))
      points.push(...add(centre, out, radius))
      normals.push(...out)
    }
  }
  line.forEach((centre, i) => {
    side = unit(add(side, along[i], -dot(side, along[i])))
    ring(centre, side, cross(along[i], side))
    if (i === last) return
    for (let k = 0; k < TUBE_SIDES; k++) {
      const a = i * TUBE_SIDES + k, b = i * TUBE_SIDES + ((k + 1) % TUBE_SIDES)
      triangles.push(a, b, b + TUBE_SIDES, a, b + TUBE_SIDES, a + TUBE_SIDES)
    }
  })
  cap(points, normals, triangles, line[0], along[0], 0, -1)
  cap(points, normals, triangles, line[last], along[last], last * TUBE_SIDES, 1)
  return { points, normals, triangles }
}

function cap(points, normals, triangles, centre, along, ring, sign) {
  const middle = points.length / 3
  points.push(...centre)
  normals.push(...add([0, 0, 0], along, sign))
  for (let k = 0; k < TUBE_SIDES; k++) {
    const a = ring + k, b = ring + ((k + 1) % TUBE_SIDES)
    triangles.push(middle, ...(sign > 0 ? [a, b] : [b, a]))
  }
}

// A ball at every point: an icosahedron whose faces are split once, 80 triangles.
export function balls(flat, radius) {
  const shapes = []
  for (let i = 0; i + 2 < flat.length; i += 3) {
    const centre = [flat[i], flat[i + 1], flat[i + 2]]
    shapes.push({
      points: BALL.corners.flatMap((c) => add(centre, c, radius)),
      normals: BALL.corners.flat(),
      triangles: BALL.triangles.flat(),
    })
  }
  return merge(shapes)
}

const BALL = splitIcosahedron()

function splitIcosahedron() {
  const g = (1 + Math.sqrt(5)) / 2
  const corners = [
    [-1, g, 0], [1, g, 0], [-1, -g, 0], [1, -g, 0], [0, -1, g], [0, 1, g],
    [0, -1, -g], [0, 1, -g], [g, 0, -1], [g, 0, 1], [-g, 0, -1], [-g, 0, 1],
  ].map(unit)
  const faces = [
    [0, 11, 5], [0, 5, 1], [0, 1, 7], [0, 7, 10], [0, 10, 11], [1, 5, 9], [5, 11, 4], [11, 10, 2], [10, 7, 6],
    [7, 1, 8], [3, 9, 4], [3, 4, 2], [3, 2, 6], [3, 6, 8], [3, 8, 9], [4, 9, 5], [2, 4, 11], [6, 2, 10],
    [8, 6, 7], [9, 8, 1],
  ]
  const known = new Map()
  const middle = (a, b) => {
    const key = Math.min(a, b) * 100 + Math.max(a, b)
    if (!known.has(key)) known.set(key, corners.push(unit(add(corners[a], corners[b]))) - 1)
    return known.get(key)
  }
  const triangles = faces.flatMap(([a, b, c]) => {
    const ab = middle(a, b), bc = middle(b, c), ca = middle(c, a)
    return [[a, ab, ca], [b, bc, ab], [c, ca, bc], [ab, bc, ca]]
  })
  return { corners, triangles }
}

// Normals at the points of a mesh: the sum of the normals of its faces, larger faces counting more.
export function smoothNormals(points, triangles) {
  const normals = new Float32Array(points.length)
  const at = (i) => [points[3 * i], points[3 * i + 1], points[3 * i + 2]]
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [triangles[t], triangles[t + 1], triangles[t + 2]]
    const [a, b, c] = corners.map(at)
    const face = cross(sub(b, a), sub(c, a))
    for (const i of corners) for (let k = 0; k < 3; k++) normals[3 * i + k] += face[k]
  }
  for (let i = 0; i < normals.length; i += 3) normals.set(unit(normals.subarray(i, i + 3)), i)
  return normals
}

// Pose of a body ("bat" or "ball") at a time, between the two samples around it, as a 4 x 4 matrix, column by column.
export function poseAt(motion, body, time) {
  const { times } = motion, position = motion[`${body}_position`], rotation = motion[`${body}_rotation`]
  let low = 0, high = times.length - 1
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (times[middle] <= time) low = middle
    else high = middle
  }
  const span = times[high] - times[low]
  const share = span > 0 ? Math.min(Math.max((time - times[low]) / span, 0), 1) : 0
  const from = position.subarray(3 * low, 3 * low + 3), to = position.subarray(3 * high, 3 * high + 3)
  const turn = slerp(rotation.subarray(4 * low, 4 * low + 4), rotation.subarray(4 * high, 4 * high + 4), share)
  return matrix(add(from, sub(to, from), share), turn)
}

// The turn between two unit quaternions (w, x, y, z), by the shorter way.
function slerp(a, b, share) {
  let cosine = a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3]
  const sign = cosine < 0 ? -1 : 1
  cosine = Math.min(sign * cosine, 1)
  const angle = Math.acos(cosine), sine = Math.sin(angle)
  const near = sine < 1e-6 // then the arc is straight
  const wa = near ? 1 - share : Math.sin((1 - share) * angle) / sine
  const wb = sign * (near ? share : Math.sin(share * angle) / sine)
  return [0, 1, 2, 3].map((i) => wa * a[i] + wb * b[i])
}

function matrix(position, [w, x, y, z]) {
  return Float64Array.of(
    1 - 2 * (y * y + z * z), 2 * (x * y + w * z), 2 * (x * z - w * y), 0,
    2 * (x * y - w * z), 1 - 2 * (x * x + z * z), 2 * (y * z + w * x), 0,
    2 * (x * z + w * y), 2 * (y * z - w * x), 1 - 2 * (x * x + y * y), 0,
    ...position, 1,
  )
}
