// Where a viewer's page gets what it shows: led by the presenter through a socket, or free after letting go. It tells
// what every source does (scene_source.js), and also:
//   picture  another picture of the same step
//   status   how the connection is: one of "joining", "joined", "lost", "stopped", "full", "code", "wait"
// Each message is answered once it is drawn; the server then sends what has changed since, as a whole or in part.

import { unpack } from "plane3d/stage"

const WAITS = [500, 1000, 2000, 4000, 8000] // ms before trying again, one after the other
const LATEST = 1e9 // s, past the end of every motion
const NEAR = 0.15 // s of the viewer's time that a playing picture may be off
const REFUSED = 4001, FULL = 1013 // codes with which the server closes
const KINDS = ["meshes", "tubes", "marks", "labels"], MOTIONS = ["motion", "ghost_motion"]
const KEPT = "plane3d-viewer"
const EMPTY = { meshes: {}, tubes: {}, marks: {}, labels: {} }

// What the tab remembers while it lives: a random name, so that whoever returns is not counted twice, the code, and the
// choices made.
class Memory {
  constructor() {
    const random = crypto.getRandomValues(new Uint8Array(16))
    this.held = { name: Array.from(random, (byte) => byte.toString(16).padStart(2, "0")).join(""), code: "", choices: {} }
    try { Object.assign(this.held, JSON.parse(sessionStorage.getItem(KEPT))) } catch { /* a browser may forbid the store */ }
    this.keep({})
  }

  keep(values) {
    Object.assign(this.held, values)
    try { sessionStorage.setItem(KEPT, JSON.stringify(this.held)) } catch { /* it lasts as long as the page */ }
  }
}

export class Live {
  constructor() {
    Object.assign(this, { heard: {}, memory: new Memory(), socket: null, tries: 0, scene: EMPTY, step: null, clock: null })
    this.following = true
    this.open = false // whether a viewer who has let go sees the answer
    this.stage = null
    document.addEventListener("stage-frame", (event) => { this.stage = event.detail })
    document.addEventListener("visibilitychange", () => !document.hidden && this.waiting && this.connect())
  }

  on(name, act) { this.heard[name] = act }

  tell(name, value) { return this.heard[name]?.(value) }

  // --- the connection ----------------------------------------------------------------------------------------------

  join(code) {
    this.memory.keep({ code: code.trim().toUpperCase() })
    this.tries = 0
    this.connect()
  }

  connect() {
    const { name, code } = this.memory.held
    clearTimeout(this.waiting)
    this.waiting = null
    this.socket?.close()
    if (!code) { this.tell("status", "code"); return }
    this.tell("status", this.stopped ? "stopped" : "joining")
    const socket = (this.socket = new WebSocket(`ws://${location.host}/live`))
    socket.binaryType = "arraybuffer"
    socket.onopen = () => { this.held = 0; this.say({ do: "join", code, name }) }
    socket.onmessage = ({ data }) => this.receive(data, socket)
    socket.onclose = ({ code: why, reason }) => socket === this.socket && this.closed(why, reason)
  }

  closed(why, reason) {
    this.socket = null
    const status = why === REFUSED ? reason : why === FULL ? "full" : this.stopped ? "stopped" : "lost"
    this.stopped = status === "stopped" // and does not answer until it starts again
    this.tell("status", status)
    if (status === "code" || status === "wait") { this.memory.keep({ code: "" }); return }
    const wait = WAITS[Math.min(this.tries++, WAITS.length - 1)]
    this.waiting = setTimeout(() => this.connect(), wait * (0.75 + Math.random() / 2)) // not all at once
  }

  say(message) { if (this.socket?.readyState === WebSocket.OPEN) this.socket.send(JSON.stringify(message)) }

  async receive(frame, socket) {
    const size = new DataView(frame).getUint32(0, true)
    const { number, clock } = JSON.parse(new TextDecoder().decode(new Uint8Array(frame, 4, size)))
    const first = this.held === 0, packed = new Uint8Array(frame, 4 + size)
    const change = packed.length ? await inflated(packed) : null
    if (socket !== this.socket) return // another one has taken over
    Object.assign(this, { tries: 0, stopped: false, clock })
    if (first) this.tell("status", "joined")
    if (change) this.take(change)
    if (first) this.repeat()
    if (this.following) await this.show(change)
    else this.tell("following", false) // the answer may be known now
    this.held = number
    this.say({ do: "drawn", number })
  }

  // --- what the presenter shows ------------------------------------------------------------------------------------

  take({ table, data }) {
    this.scene = merged(table.whole ? EMPTY : this.scene, table.scene, data)
    if (table.ask && table.ask.key !== this.step?.ask.key) this.step = { tell: null }
    if (table.ask) this.step.ask = table.ask
    if ("tell" in table) this.step.tell = table.tell
    this.step[this.step.tell ? "told" : "asked"] = this.scene
  }

  // Bring the page in line with the presenter. ``change``: what has come, or null for all there is.
  async show(change) {
    const { step } = this
    if (step) {
      const other = this.seen !== step
      if (other || this.seenOpen !== !!step.tell || change?.table.ask || change?.table.tell) this.put(step, !!step.tell, other, change)
      else if (change) await this.tell("picture", this.picture(this.scene, false, change))
      await this.tell("drawn")
    }
    if (!change || step) this.run()
  }

  // Put a step on the page, its answer open or not. What the page holds already is not sent through it once more.
  put(step, open, other, change) {
    const scene = open ? step.told : step.asked, picture = this.picture(scene, other, change)
    const asks = other || change?.table.ask
    Object.assign(this, { seen: step, seenOpen: open })
    if (asks) this.tell("scene", { ...step.ask, picture: open ? null : picture })
    this.tell("reveal", open ? { ...step.tell, picture } : null)
    if (!open && !asks) this.tell("picture", picture)
  }

  // A picture for the stage: in part where the stage holds the rest. A viewer's own view outlasts all but a new step.
  picture(scene, other, change) {
    const part = change && !change.table.whole && this.drawn === this.before
    this.drawn = this.before = scene
    if (part) return { ...change.table.scene, data: change.data, partial: true }
    const { camera, ...rest } = scene
    return other ? { ...rest, camera } : rest
  }

  // The presenter's clock.
  run() {
    const { clock, stage, step } = this, say = (message) => this.tell("clock", message)
    if (!clock) {
      if (step) say({ do: "go", time: step.tell ? this.scene.motion.closest_time : LATEST })
      return
    }
    say({ do: "speed", speed: clock.speed })
    const near = stage?.playing && Math.abs(stage.time - clock.time) < NEAR * clock.speed
    if (!clock.playing) say({ do: "pause" })
    if (!clock.playing || !near) say({ do: "go", time: clock.time })
    if (clock.playing) say({ do: "play" })
  }

  // --- the viewer --------------------------------------------------------------------------------------------------

  // Let go of the presenter, or come back.
  async follow(on) {
    if (on === this.following) return
    this.following = on
    if (on) { this.drawn = null; await this.show(null) } else this.open = this.seenOpen
    this.tell("following", on)
  }

  // What a viewer who has let go may see the answer of.
  get known() { return !this.following && !!this.seen?.told }

  // The answer of the present step, open or closed, for a viewer who has let go.
  reveal() {
    const { seen } = this
    if (!this.known || !(this.open ? seen.asked : true)) return
    this.open = !this.open
    this.drawn = null
    this.put(seen, this.open, false, null)
    this.tell("clock", { do: "pause" })
    this.tell("clock", { do: "go", time: this.open ? seen.told.motion.closest_time : LATEST })
  }

  go() { /* the presenter leads through the steps */ }

  choice(key) { return this.memory.held.choices[key] }

  predict(choice) {
    const { key } = this.seen.ask
    this.memory.keep({ choices: { ...this.memory.held.choices, [key]: choice } })
    this.say({ do: "predict", question: key, choice })
  }

  // After a return: the server may have forgotten the choice.
  repeat() {
    const { step } = this, choice = step && this.choice(step.ask.key)
    if (step && !step.tell && choice !== undefined) this.say({ do: "predict", question: step.ask.key, choice })
  }

  get view() { return this.clock?.view }
}

async function inflated(bytes) {
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"))
  const data = await new Response(stream).arrayBuffer(), size = new DataView(data).getUint32(0, true)
  const table = JSON.parse(new TextDecoder().decode(new Uint8Array(data, 4, size)))
  return { table, data: data.slice(4 + size) }
}

// A scene with some changes, as another object: arrays that did not change are shared.
function merged(scene, change, data) {
  const next = { ...scene, ...change }
  delete next.gone
  for (const kind of KINDS) {
    const parts = { ...scene[kind] }
    for (const name of change.gone?.[kind] || []) delete parts[name]
    for (const [name, fields] of Object.entries(change[kind] || {})) parts[name] = { ...parts[name], ...unpack(fields, data) }
    next[kind] = parts
  }
  for (const name of MOTIONS) {
    if (name in change) next[name] = change[name] && { ...scene[name], ...unpack(change[name], data) }
  }
  return next
}
