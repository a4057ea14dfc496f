// The drawing surface: parts of the scene in, pixels out. The only file that talks to vtk.js.

import { balls, merge, smoothNormals, tube } from "plane3d/shapes"

const PIXEL_RATIO_LIMIT = 2
const SOFTWARE = /swiftshader|llvmpipe|software/i // names of what draws without a graphics card
const FINE = 1.5 // times as many pixels each way as are shown, where nothing else smooths the edges
const LATE = 30 // ms that a frame may be behind
const COARSEST = 0.52 // of the full number of pixels each way
const UNSEEN = 0.001 // an opacity that changes no pixel
const NARROWEST = 4 / 3 // views are composed for at least this width to height; narrower screens open the angle

const SHAPED = ["points", "triangles", "radius", "dashed", "smooth"] // the fields that a surface follows from

const bytes = (hex) => [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16))
const rgb = (hex) => bytes(hex).map((value) => value / 255)

// Resolves when Panel has loaded vtk.js, or to null when it does not come.
export async function library(patience = 15000) {
  for (let waited = 0; !window.vtk; waited += 25) {
    if (waited >= patience) return null
    await new Promise((done) => setTimeout(done, 25))
  }
  return window.vtk
}

// The vertical opening that still shows the view's full width on a surface narrower than it was composed for.
export function opening(camera, aspect) {
  const half = Math.tan((camera.view_angle_deg * Math.PI) / 360)
  return 2 * Math.atan(half * Math.max(1, NARROWEST / aspect))
}

export class NoWebGL extends Error {}

let plain = null // whether pictures are drawn without a graphics card; asked once for all stages of the page

function withoutCard() {
  if (plain !== null) return plain
  const gl = document.createElement("canvas").getContext("webgl2")
  const info = gl?.getExtension("WEBGL_debug_renderer_info")
  const name = info ? gl.getParameter(info.UNMASKED_RENDERER_WEBGL) : ""
  gl?.getExtension("WEBGL_lose_context")?.loseContext()
  return plain = SOFTWARE.test(name)
}

// How sharp to draw while things move: less where frames come late, as on a machine that draws without a graphics
// card. A picture at rest is always drawn in full.
export class Pace {
  constructor() {
    this.sharpness = 1
    this.late = 0
  }

  // Note how far behind a frame comes, in ms.
  note(behind) {
    this.late = behind > LATE ? this.late + 1 : 0
    if (this.late < 3 || this.sharpness <= COARSEST) return
    this.sharpness *= 0.8
    this.late = 0
  }
}

export class Drawing {
  constructor(vtk, holder) {
    this.vtk = vtk
    this.holder = holder
    this.parts = new Map() // key -> what is known of a part, with an actor of its own where it is drawn by itself
    this.lots = new Map() // lot -> {actor, data, body, keys}: parts that are drawn as one
    this.stale = new Set() // lots that have changed
    this.window = vtk.Rendering.Core.vtkRenderWindow.newInstance()
    this.renderer = vtk.Rendering.Core.vtkRenderer.newInstance()
    this.renderer.setPreserveColorBuffer(true) // `paint` has laid the background already
    this.renderer.setAutomaticLightCreation(false)
    this.renderer.setLightFollowCamera(false)
    this.renderer.setNearClippingPlaneTolerance(0.0005) // the usual 0.01 of the distance to the horizon hides what is near
    this.window.addRenderer(this.renderer)
    this.surface = vtk.Rendering.OpenGL.vtkRenderWindow.newInstance()
    this.canvas = this.surface.getCanvas()
    // Without a graphics card, smoothing every edge of every frame costs a third of its time: a picture at rest is
    // drawn larger instead. Opaque, since laying a clear canvas over what is behind costs more than drawing the scene.
    const antialias = !withoutCard()
    this.detail = antialias ? 1 : FINE
    if (!this.canvas.getContext("webgl2", { alpha: false, antialias, depth: true })) throw new NoWebGL()
    this.surface.setContainer(holder)
    this.surface.initialize()
    this.window.addView(this.surface)
    this.size = [0, 0]
    this.background = [[1, 1, 1], [1, 1, 1]]
  }

  // Fit the surface to its holder, at a share of its full sharpness; whether there is anything to draw on.
  resize(sharpness) {
    const { clientWidth: width, clientHeight: height } = this.holder
    const detail = sharpness === 1 ? this.detail : sharpness // what moves is drawn in no more pixels than are shown
    const ratio = Math.min(window.devicePixelRatio || 1, PIXEL_RATIO_LIMIT) * detail
    this.size = [width, height]
    if (width && height) this.surface.setSize(Math.round(width * ratio), Math.round(height * ratio))
    return width > 0 && height > 0
  }

  // The part as it is now; ``changed`` names the fields that are new, so that unchanged surfaces are kept.
  set(kind, part, changed) {
    const key = `${kind}/${part.name}`, before = this.parts.get(key)
    const { moves_with: body = "", views = [], group = "", between = [] } = part
    const entry = { body, views, group, between, color: part.color, clear: part.opacity < 1 || !!part.fade?.length }
    entry.shape = !before || SHAPED.some((field) => field in changed) ? shapeOf(kind, part) : before.shape
    entry.filled = entry.shape.triangles.length > 0
    entry.batched = !entry.clear && !between.length
    entry.lot = [kind === "meshes" ? "meshes" : "lines", body, part.lit !== false, !!entry.shape.normals].join("/")
    if (before?.actor && !entry.batched) Object.assign(entry, { actor: before.actor, data: before.data, veil: before.veil })
    else if (before) this.forget(before)
    this.parts.set(key, entry)
    this.ordered &&= !!entry.actor || entry.batched
    if (entry.batched) this.stale.add(entry.lot)
    else this.single(entry, part, before)
  }

  // A part that is drawn by itself: one that can be seen through, or a limb.
  single(entry, part, before) {
    if (!entry.actor) Object.assign(entry, this.create())
    if (part.between?.length) entry.veil ??= this.veil(entry.actor.getMapper())
    if (entry.shape !== before?.shape || !before.actor) fill(this.vtk, entry.data, entry.shape)
    const property = entry.actor.getProperty()
    property.setColor(...rgb(part.color))
    property.setLighting(part.lit !== false)
    property.setOpacity(part.opacity)
    if (part.fade?.length) this.fade(entry, part)
  }

  // Opacity that differs from point to point; the colour then comes from the points too.
  fade({ data, actor }, { color, opacity, fade }) {
    const values = new Uint8Array(4 * fade.length), tone = bytes(color)
    fade.forEach((share, i) => values.set([...tone, Math.round(255 * opacity * share)], 4 * i))
    paintPoints(this.vtk, data, values)
    actor.getMapper().setScalarVisibility(true)
    actor.getProperty().setOpacity(1)
  }

  create() {
    const { Core } = this.vtk.Rendering
    const data = this.vtk.Common.DataModel.vtkPolyData.newInstance()
    const mapper = Core.vtkMapper.newInstance({ scalarVisibility: false })
    const actor = Core.vtkActor.newInstance()
    mapper.setInputData(data)
    actor.setMapper(mapper)
    // Drawn in order with plain blending: the library's own pass for see-through parts halves the frame rate.
    actor.setForceOpaque(true)
    return { actor, data }
  }

  // A limb's double that changes no pixel but says how far away the limb is.
  veil(mapper) {
    const veil = this.vtk.Rendering.Core.vtkActor.newInstance()
    veil.setMapper(mapper)
    veil.setForceOpaque(true)
    veil.getProperty().setOpacity(UNSEEN)
    return veil
  }

  // Solid parts that move together are drawn as one: without a graphics card, each thing drawn costs as much by being
  // one more as by its size. ``seen``: the keys of the parts to be seen.
  batch(seen) {
    const lots = new Map()
    for (const [key, part] of this.parts) {
      if (!part.batched || !seen.has(key)) continue
      if (!lots.has(part.lot)) lots.set(part.lot, [])
      lots.get(part.lot).push(key)
    }
    for (const lot of this.lots.keys()) if (!lots.has(lot)) this.lots.get(lot).actor.setVisibility(false)
    for (const [lot, keys] of lots) {
      const batch = this.lots.get(lot) ?? this.start(lot)
      batch.actor.setVisibility(true)
      if (!this.stale.has(lot) && batch.keys === keys.join()) continue
      const parts = keys.map((key) => this.parts.get(key))
      fill(this.vtk, batch.data, merge(parts.map(({ shape }) => shape)))
      paintPoints(this.vtk, batch.data, tones(parts))
      batch.keys = keys.join()
      this.stale.delete(lot)
    }
  }

  start(lot) {
    const batch = this.create(), [, body, lit] = lot.split("/")
    batch.actor.getMapper().setScalarVisibility(true)
    batch.actor.getProperty().setLighting(lit === "true")
    batch.body = body
    this.lots.set(lot, batch)
    this.ordered = false
    return batch
  }

  // See-through parts come after solid ones, so that what is behind them is already there. Limbs are seen through as
  // one body: first all their veils, then of the limbs only what is nearest.
  order() {
    this.ordered = true
    this.renderer.removeAllViewProps()
    const singles = [...this.parts.values()].filter((part) => part.actor), limbs = singles.filter((part) => part.veil)
    for (const { actor } of this.lots.values()) this.renderer.addActor(actor)
    for (const { actor, veil } of singles) if (!veil) this.renderer.addActor(actor)
    for (const { veil } of limbs) this.renderer.addActor(veil)
    for (const { actor } of limbs) this.renderer.addActor(actor)
  }

  remove(kind, name) {
    const key = `${kind}/${name}`, part = this.parts.get(key)
    if (!part) return
    this.forget(part)
    this.parts.delete(key)
  }

  // The buffers of a part drawn by itself go when the next frame finds it missing.
  forget(part) {
    if (part.batched) this.stale.add(part.lot)
    if (part.actor) this.renderer.removeActor(part.actor)
    if (part.veil) this.renderer.removeActor(part.veil)
  }

  setLights(lights) {
    this.renderer.removeAllLights()
    for (const { position, focal_point, intensity, color } of lights) {
      this.renderer.addLight(this.vtk.Rendering.Core.vtkLight.newInstance({
        position, focalPoint: focal_point, intensity, color: rgb(color), positional: false, lightType: "SceneLight",
      }))
    }
  }

  setBackground([bottom, top]) {
    this.background = [rgb(bottom), rgb(top)]
  }

  // The gradient, in as many strips as it has shades.
  paint() {
    const gl = this.surface.getContext(), [width, height] = this.surface.getSize()
    const [bottom, top] = this.background
    const strips = 1 + Math.ceil(255 * Math.max(...[0, 1, 2].map((i) => Math.abs(top[i] - bottom[i]))))
    gl.enable(gl.SCISSOR_TEST)
    gl.colorMask(true, true, true, true)
    for (let k = 0; k < strips; k++) {
      const from = Math.floor((height * k) / strips), to = Math.floor((height * (k + 1)) / strips)
      const share = strips > 1 ? k / (strips - 1) : 0
      gl.scissor(0, from, width, to - from)
      gl.clearColor(...bottom.map((low, i) => low + share * (top[i] - low)), 1)
      gl.clear(gl.COLOR_BUFFER_BIT)
    }
  }

  // Some parts belong to certain views only, and some to a group that may be hidden; ``wanted`` tells of the others.
  look(view, shown, wanted) {
    const seen = new Set()
    for (const [key, { actor, veil, filled, views, group }] of this.parts) {
      const visible = filled && (!views.length || views.includes(view)) && (!group || shown.has(group)) && wanted(key)
      if (visible) seen.add(key)
      actor?.setVisibility(visible)
      veil?.setVisibility(visible)
    }
    this.batch(seen)
  }

  // ``moved``: poses by body; ``limb``: the pose of a limb between two joints.
  pose(moved, limb) {
    const drawn = [...this.lots.values(), ...this.parts.values()]
    for (const { actor, veil, body, between } of drawn) {
      if (actor && moved.has(body)) actor.setUserMatrix(moved.get(body))
      if (!veil) continue
      const matrix = limb(between)
      actor.setUserMatrix(matrix)
      veil.setUserMatrix(matrix)
    }
  }

  render(camera) {
    const [width, height] = this.size
    this.renderer.getActiveCamera().set({
      position: camera.position, focalPoint: camera.focal_point, viewUp: camera.up,
      viewAngle: (opening(camera, width / height) * 180) / Math.PI,
    })
    if (!this.ordered) this.order()
    this.renderer.resetCameraClippingRange()
    this.paint()
    this.window.render()
  }

  delete() {
    const context = this.canvas.getContext("webgl2")
    this.window.removeView(this.surface)
    this.surface.setContainer(null)
    for (const object of [this.surface, this.renderer, this.window]) object.delete()
    context?.getExtension("WEBGL_lose_context")?.loseContext() // a browser allows only a few at a time
  }
}

function fill(vtk, data, shape) {
  const cells = new Uint32Array((shape.triangles.length / 3) * 4)
  for (let t = 0, c = 0; t < shape.triangles.length; t += 3) {
    cells[c++] = 3
    for (let k = 0; k < 3; k++) cells[c++] = shape.triangles[t + k]
  }
  data.getPoints().setData(shape.points, 3)
  data.getPolys().setData(cells)
  const normals = shape.normals
    && vtk.Common.Core.vtkDataArray.newInstance({ name: "Normals", values: shape.normals, numberOfComponents: 3 })
  data.getPointData().setNormals(normals || null)
  data.modified()
}

// ``values``: colour and opacity of each point, four bytes.
function paintPoints(vtk, data, values) {
  data.getPointData().setScalars(vtk.Common.Core.vtkDataArray.newInstance({ name: "Tone", values, numberOfComponents: 4 }))
  data.modified()
}

function tones(parts) {
  const values = new Uint8Array(4 * parts.reduce((sum, { shape }) => sum + shape.points.length / 3, 0))
  let at = 0
  for (const { shape, color } of parts) {
    const tone = [...bytes(color), 255]
    for (const end = at + 4 * (shape.points.length / 3); at < end; at += 4) values.set(tone, at)
  }
  return values
}

function shapeOf(kind, part) {
  if (kind === "tubes") return tube(part.points, part.radius, part.dashed)
  if (kind === "marks") return balls(part.points, part.radius)
  const { points, triangles } = part
  return { points, triangles, normals: part.smooth ? smoothNormals(points, triangles) : null }
}
