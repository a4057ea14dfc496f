// The 3-D stage: takes the changes Python sends, draws them, and lets the viewer turn and play them.
// Everything after the scene has arrived happens here, without the server.

import { limbPose, obstacles, poses } from "plane3d/bodies"
import { Drawing, library, NoWebGL, Pace } from "plane3d/drawing"
import { Labels, project } from "plane3d/labels"
import { Bar, Clock } from "plane3d/player"
import { between, listen } from "plane3d/turning"
import { Views } from "plane3d/views"
import { tr } from "plane3d/words"

const REST = 200 // ms without a frame after which the picture counts as still
const KINDS = ["meshes", "tubes", "marks", "labels"]
const GLIDE = 350 // ms from one view to another
const FIGURE = "figure"
const BLIND = "hitter" // the view that shows, while it plays, no more than a hitter sees
const DECISION = "decision"
const NO_WEBGL = tr("This browser cannot draw in 3-D: WebGL is missing or switched off.")
const NO_LIBRARY = tr("The 3-D drawing library did not load. Reload the page to try again.")
const LOST = tr("The graphics system stopped the 3-D picture. It returns by itself, or when you reload the page.")
const NAME = tr("3-D stage.")
const KEYS = tr("Drag to turn, scroll or pinch to zoom, shift and drag to move. Space plays and pauses, left and right "
  + "arrows step one millisecond, 1 to 5 choose a view, 0 resets the view.")

class Stage {
  constructor(vtk, model, root) {
    Object.assign(this, { vtk, model, root, id: 0, gone: false, lost: false })
    Object.assign(this, { frames: 0, wanted: 0, asked: 0, drawn: 0, last: null })
    this.scene = { meshes: {}, tubes: {}, marks: {}, labels: {}, lights: [], cameras: {}, camera: "", motion: {} }
    this.shown = new Set() // groups of parts
    this.glide = null // the view change under way
    this.led = false // whether another stage leads, see `follow`
    this.clock = new Clock()
    this.pace = new Pace()
    this.build()
    this.labels = new Labels(this.holder)
    this.drawing = new Drawing(vtk, this.canvasHolder)
    this.watchLoss()
    this.unlisten = listen(this.canvasHolder, {
      get: () => this.camera, set: (camera) => { this.turned = true; this.setCamera(camera) }, size: () => this.drawing.size,
    })
    this.observer = new ResizeObserver(() => { this.labels.measure(); this.request() })
    this.observer.observe(this.holder)
    this.root.onkeydown = (event) => this.key(event)
    this.hear()
  }

  build() {
    const make = (name) => Object.assign(document.createElement("div"), { className: name })
    this.views = new Views({
      look: (name) => this.look(name), reset: () => this.look(this.view), figure: (on) => this.show(FIGURE, on),
      help: () => this.say(this.notice.hidden ? KEYS : ""),
    })
    this.account = Object.assign(document.createElement("p"), { className: "account", id: "account" })
    this.holder = make("picture")
    this.canvasHolder = make("canvas")
    this.canvasHolder.setAttribute("role", "img")
    this.canvasHolder.setAttribute("aria-label", tr("3-D picture of the pitch and the swing"))
    this.canvasHolder.setAttribute("aria-describedby", "account")
    this.notice = make("notice")
    this.notice.setAttribute("role", "alert")
    this.notice.hidden = true
    this.holder.append(this.canvasHolder, this.notice)
    this.bar = new Bar(this.clock, {
      step: (by) => this.step(by), toggle: () => this.toggle(), seek: (time) => this.seek(time),
      settled: () => this.report(),
    })
    this.root.append(this.views.element, this.holder, this.bar.element, this.account)
    this.root.tabIndex = 0
    this.root.setAttribute("role", "group")
    this.root.setAttribute("aria-label", `${NAME} ${KEYS}`)
  }

  // --- what Python sends -------------------------------------------------------------------------------------------

  receive(patch) {
    if (patch.base === 0) this.clear()
    else if (patch.base !== this.id) { this.model.send_msg("resend"); return }
    this.id = patch.id
    for (const kind of KINDS) {
      for (const name of patch.gone?.[kind] || []) this.drop(kind, name)
      for (const [name, change] of Object.entries(patch[kind] || {})) {
        const fields = unpack(change, patch.data)
        this.scene[kind][name] = { ...this.scene[kind][name], ...fields }
        this.put(kind, name, fields)
      }
    }
    for (const name of ["lights", "cameras", "background"]) if (name in patch) this.scene[name] = patch[name]
    if ("lights" in patch) this.drawing.setLights(patch.lights)
    if ("background" in patch) this.drawing.setBackground(patch.background)
    if ("theme" in patch) this.root.dataset.theme = this.scene.theme = patch.theme
    if ("account" in patch) this.account.textContent = patch.account
    if ("shown" in patch) this.shown = new Set(patch.shown)
    if ("cameras" in patch) this.offerViews()
    if ("cameras" in patch && !this.turned && !("camera" in patch)) this.look(this.view) // such as for the other batting side
    if ("camera" in patch) { this.scene.camera = patch.camera; this.look(patch.camera) }
    if ("motion" in patch || "ghost_motion" in patch) this.receiveMotions(patch)
    this.request()
  }

  // The play's own motion and, by the same clock, that of a second play.
  receiveMotions(patch) {
    for (const name of ["motion", "ghost_motion"]) {
      if (!(name in patch)) continue
      this.scene[name] = patch[name] && { ...this.scene[name], ...unpack(patch[name], patch.data) }
    }
    this.clock.setMotion(this.scene.motion, this.scene.ghost_motion)
  }

  put(kind, name, changed) {
    const part = this.scene[kind][name]
    if (kind === "labels") this.labels.set(part)
    else this.drawing.set(kind, part, changed)
  }

  drop(kind, name) {
    delete this.scene[kind][name]
    if (kind === "labels") this.labels.remove(name)
    else this.drawing.remove(kind, name)
  }

  clear() {
    this.scene.ghost_motion = null
    for (const kind of KINDS) for (const name of Object.keys(this.scene[kind])) this.drop(kind, name)
  }

  obey({ do: what, view, time, speed }) {
    if (what === "look") this.look(view)
    else if (what === "go") this.seek(time)
    else if (what === "speed") this.clock.speed = speed
    else if (what === "play" && !this.clock.playing) this.toggle()
    else if (what === "pause" && this.clock.playing) this.toggle()
  }

  // --- views -------------------------------------------------------------------------------------------------------

  offerViews() {
    const figure = Object.values(this.scene.meshes).some(({ group }) => group === FIGURE)
    this.views.offer(Object.keys(this.scene.cameras), figure)
    this.markView()
  }

  look(name) {
    const camera = this.scene.cameras[name]
    if (!camera) return
    this.view = name
    this.turned = false
    this.markView()
    const still = !this.camera || matchMedia("(prefers-reduced-motion: reduce)").matches
    if (still) this.setCamera(camera)
    else {
      this.glide = { from: this.camera, to: camera, start: null }
      this.request()
    }
  }

  // Show or hide a group of parts.
  show(group, on) {
    if (on) this.shown.add(group)
    else this.shown.delete(group)
    this.markView()
    this.request()
  }

  markView() {
    this.root.dataset.view = this.view || ""
    this.views.mark(this.view, this.shown.has(FIGURE))
  }

  setCamera(camera) {
    this.glide = null
    this.camera = camera
    this.request()
  }

  // Go on with a view change.
  move(now) {
    const { from, to } = this.glide, start = this.glide.start ??= now
    this.camera = between(from, to, (now - start) / GLIDE)
    if (this.camera === to) this.glide = null
  }

  // --- playback ----------------------------------------------------------------------------------------------------

  toggle() {
    if (this.clock.playing) this.clock.playing = false
    else this.clock.play()
    this.last = null
    this.report()
    this.request()
  }

  step(by) {
    this.clock.playing = false
    this.seek(this.clock.time + by)
    this.report()
  }

  seek(time) {
    this.clock.seek(time)
    this.request()
  }

  // Tell Python where the clock rests, if it asked to know.
  report() {
    if (this.model.report && !this.clock.playing) this.model.clock = this.clock.time
  }

  // Another stage leads: stand where it stands, at its time. Nothing: be free again.
  follow(lead) {
    this.led = !!lead
    this.last = null
    this.request()
    if (!lead) return
    this.view = lead.view
    this.markView()
    this.clock.follow(lead.clock, lead.fromContact)
    this.setCamera(lead.camera)
  }

  key(event) {
    const inside = event.composedPath()[0].tagName
    if (event.ctrlKey || event.altKey || event.metaKey || inside === "SELECT") return
    const number = "12345".indexOf(event.key)
    if (event.key === " " && inside !== "BUTTON") this.toggle()
    else if (event.key === "ArrowLeft" || event.key === "ArrowRight") {
      this.step((event.key === "ArrowLeft" ? -1 : 1) * (event.shiftKey ? 0.01 : 0.001))
    } else if (event.key === "0" || event.key === "Home") this.look(this.view)
    else if (event.key.length === 1 && number >= 0) this.look(Object.keys(this.scene.cameras)[number])
    else return
    event.preventDefault()
  }

  // --- drawing -----------------------------------------------------------------------------------------------------

  // Ask for one frame; frames are drawn only when something changed.
  request() {
    if (this.wanted || this.gone) return
    this.asked = performance.now()
    this.wanted = requestAnimationFrame((now) => this.frame(now))
  }

  // How sharp this frame may be. While things move it may be less than full; then one more frame follows at rest. A
  // frame is late after the last one where they follow each other by themselves, else after it was asked for.
  sharpness() {
    const now = performance.now(), moving = now - this.drawn < REST
    const due = this.clock.playing || this.glide ? this.drawn : this.asked
    if (moving) this.pace.note(now - due)
    this.drawn = now
    clearTimeout(this.settling)
    if (!moving || this.pace.sharpness === 1) return 1
    this.settling = setTimeout(() => this.request(), REST)
    return this.pace.sharpness
  }

  frame(now) {
    this.wanted = 0
    const { clock } = this
    if (clock.playing && !this.led) this.advance(now)
    if (this.glide) this.move(now)
    if (!this.camera || this.lost || !this.drawing.resize(this.sharpness())) return
    this.draw()
    this.bar.update()
    this.tell()
    if (this.glide || (clock.playing && !this.led)) this.request()
  }

  advance(now) {
    const { clock, scene: { motion } } = this, before = clock.time
    clock.advance(this.last === null ? 0 : (now - this.last) / 1000)
    this.last = now
    if (before < motion.decision_time && clock.time >= motion.decision_time) this.labels.flash(DECISION)
    if (!clock.playing) this.report()
  }

  draw() {
    const { camera, clock, drawing, scene, view } = this, { size } = drawing, { motion } = scene
    const moved = poses(scene, clock.time, camera, size), wanted = this.wantedNow()
    drawing.look(view, this.shown, (key) => !/^(tubes|marks)|drop lines$/.test(key) || wanted(key.split("/")[1]))
    drawing.pose(moved, (joints) => limbPose(motion, joints, clock.time))
    drawing.render(camera)
    const taken = obstacles(scene, moved, camera, size)
    this.labels.place((point) => project(camera, size, point), size, view, taken, { wanted, steady: clock.playing })
  }

  // Which lines, marks and words are shown now, by name. A hitter sees no lines while the pitch comes: only where it is
  // when the swing must start, once it is there.
  wantedNow() {
    const { clock, scene: { motion } } = this
    if (this.view !== BLIND || !clock.playing || clock.time >= clock.stop) return () => true
    return (name) => name === DECISION && clock.time >= motion.decision_time
  }

  // Marks on the element for tests and styles, and an event for the flat views, which follow the same clock.
  tell() {
    const { dataset } = this.root
    dataset.frame = String(++this.frames)
    dataset.scene = String(this.id)
    dataset.clock = this.clock.time.toFixed(6)
    dataset.playing = String(this.clock.playing)
    this.root.dispatchEvent(new CustomEvent("stage-frame", {
      bubbles: true, composed: true,
      detail: {
        time: this.clock.time, playing: this.clock.playing, scene: this.id, parts: this.scene,
        camera: this.camera, view: this.view, turned: this.turned, clock: this.clock, figure: this.shown.has(FIGURE),
      },
    }))
  }

  // What other parts of the page may ask for: a frame, which tells them all, and another ball's flight.
  hear() {
    const asks = {
      "stage-frame-wanted": () => this.request(), "stage-ghost": (event) => this.ghost(event.detail),
      visibilitychange: () => { this.last = null }, // a page that was hidden does not jump ahead
    }
    for (const [name, act] of Object.entries(asks)) document.addEventListener(name, act)
    this.root.addEventListener("stage-follow", (event) => this.follow(event.detail))
    this.unhear = () => { for (const [name, act] of Object.entries(asks)) document.removeEventListener(name, act) }
  }

  // A line that comes and goes without Python: a tube, or one without points to take it away.
  ghost(tube) {
    if (tube.points?.length) {
      this.scene.tubes.ghost = { name: "ghost", opacity: 0.8, dashed: true, ...tube }
      this.put("tubes", "ghost", tube)
    } else this.drop("tubes", "ghost")
    this.request()
  }

  // The graphics system may take the surface away, and give it back: then everything is drawn anew.
  watchLoss() {
    const { canvas } = this.drawing
    canvas.addEventListener("webglcontextlost", () => {
      if (this.gone || canvas !== this.drawing.canvas) return // we let it go ourselves
      this.lost = true
      this.say(LOST)
    })
    canvas.addEventListener("webglcontextrestored", () => this.lost && this.restore())
  }

  restore() {
    this.drawing.delete()
    this.drawing = new Drawing(this.vtk, this.canvasHolder)
    this.watchLoss()
    for (const kind of KINDS) {
      for (const [name, part] of Object.entries(this.scene[kind])) this.put(kind, name, part)
    }
    this.drawing.setLights(this.scene.lights)
    this.drawing.setBackground(this.scene.background)
    this.lost = false
    this.say("")
    this.request()
  }

  say(words) {
    this.notice.textContent = words
    this.notice.hidden = !words
  }

  delete() {
    this.gone = true
    cancelAnimationFrame(this.wanted)
    clearTimeout(this.settling)
    this.observer.disconnect()
    this.unlisten()
    this.unhear()
    this.drawing.delete()
  }
}

// Array places become typed arrays; everything else stays.
export function unpack(change, data) {
  return Object.fromEntries(Object.entries(change).map(([name, value]) => {
    if (value === null || typeof value !== "object" || !("offset" in value)) return [name, value]
    const Kind = value.kind === "f4" ? Float32Array : Int32Array
    return [name, new Kind(data, value.offset, value.length)]
  }))
}

function refusal(words) {
  const note = document.createElement("p")
  note.className = "notice"
  note.setAttribute("role", "alert")
  note.textContent = words
  return note
}

export async function render({ model }) {
  const vtk = await library()
  if (!vtk) return refusal(NO_LIBRARY)
  const root = Object.assign(document.createElement("div"), { className: "stage-root" })
  let stage
  try {
    stage = new Stage(vtk, model, root)
  } catch (error) {
    if (error instanceof NoWebGL) return refusal(NO_WEBGL)
    throw error
  }
  stage.receive(model.patch)
  model.on("patch", () => stage.receive(model.patch))
  model.on("msg:custom", (message) => stage.obey(message))
  model.on("remove", () => stage.delete())
  return root
}
