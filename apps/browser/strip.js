// The timing strip: what each timing gives, the marker of the present timing, and what dragging and hovering do.
// Only the timing asked for goes to the server, one request at a time, the latest next.

import { inkOn, layout, patterns, picture, timing } from "plane3d/columns"
import { tr } from "plane3d/words"

const WORDS = { timing: tr("Timing"), height: tr("Height of a column: exit speed") }
const BARS = 84 // px, the highest column; less where there is little room
const LOW_BARS = 64
const NARROW = 600 // px
const LEAST = 100 // px; narrower while the page is being laid out
const PATIENCE = 1500 // ms to wait for the server before believing what it showed last
const KEYS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -5, PageUp: 5 }
const NOTHING = new Float32Array(0)

class Strip {
  constructor(model, root) {
    Object.assign(this, { model, root, at: 0, hovered: null, dragging: false, busy: false, wanted: null, asked: 0 })
    this.gesture = 0 // counts drags and key presses; one of them is one step of the session's history
    root.innerHTML = `
      <p class="line" aria-live="off"></p>
      <div class="plot"><svg aria-hidden="true"></svg>
        <i class="hover" hidden></i><i class="now"></i>
        <div class="marker" role="slider" tabindex="0" aria-label="${WORDS.timing}"></div>
      </div>
      <ul class="legend"></ul>`
    const find = (name) => root.querySelector(name)
    Object.assign(this, { line: find(".line"), plot: find(".plot"), svg: find("svg"), marker: find(".marker") })
    Object.assign(this, { now: find(".now"), hover: find(".hover"), legend: find(".legend") })
    this.listen()
    this.observer = new ResizeObserver(() => this.draw())
    this.observer.observe(this.plot)
  }

  listen() {
    const { plot, marker } = this
    plot.onpointerdown = (event) => this.grab(event)
    plot.onpointermove = (event) => this.move(event)
    plot.onpointerup = plot.onpointercancel = () => { this.dragging = false; this.settle() }
    plot.onpointerleave = () => this.look(null)
    marker.onkeydown = (event) => this.key(event)
  }

  // --- what Python sends -------------------------------------------------------------------------------------------

  receive(table) {
    if (!table.timings) return
    const first = !this.table
    this.table = table
    this.paths = new Float32Array(table.paths)
    if (first) this.explain()
    if (first || Math.abs(table.timing - this.at) < 0.01) this.wanted = null
    this.draw()
    this.settle()
  }

  obey({ do: what, timing }) {
    if (what === "point") { this.table.timing = timing; this.settle(); return }
    this.busy = false
    if (this.wanted !== null && this.wanted !== this.sent) this.send()
  }

  // The marker stands where the viewer put it until the server has answered, or has had time enough to.
  settle() {
    if (!this.table || this.dragging) return
    const left = this.wanted === null ? 0 : this.asked + PATIENCE - performance.now()
    clearTimeout(this.waiting)
    if (left > 0) { this.waiting = setTimeout(() => this.settle(), left); return }
    this.wanted = null
    this.put(this.table.timing)
  }

  // --- what the viewer does ----------------------------------------------------------------------------------------

  grab(event) {
    if (event.button !== 0 || !this.table) return
    this.dragging = true
    this.gesture++
    this.plot.setPointerCapture(event.pointerId)
    this.marker.focus({ preventScroll: true })
    event.preventDefault()
    this.ask(this.timingAt(event))
  }

  move(event) {
    if (!this.table) return
    if (this.dragging) this.ask(this.timingAt(event))
    else if (event.pointerType !== "touch") this.look(this.place.at(this.offset(event)))
  }

  key(event) {
    const { timings } = this.table, first = timings[0], last = timings[timings.length - 1]
    const to = { Home: first, End: last }[event.key] ?? Math.round(this.at) + KEYS[event.key]
    if (Number.isNaN(to)) return
    event.preventDefault()
    if (!event.repeat) this.gesture++
    this.ask(Math.min(Math.max(to, first), last))
  }

  offset(event) { return event.clientX - this.plot.getBoundingClientRect().left }

  timingAt(event) { return this.table.timings[this.place.at(this.offset(event))] }

  ask(ms) {
    if (ms === this.at) return
    Object.assign(this, { wanted: ms, asked: performance.now() })
    this.look(null)
    this.put(ms)
    if (!this.busy) this.send()
    if (!this.dragging) this.settle()
  }

  send() {
    Object.assign(this, { busy: true, sent: this.wanted })
    this.model.send_msg({ timing_ms: this.wanted, gesture: this.gesture })
  }

  // --- what is seen ------------------------------------------------------------------------------------------------

  draw() {
    if (!this.table || this.plot.clientWidth < LEAST) return
    const width = this.plot.clientWidth
    this.place = layout(this.table, width, width < NARROW ? LOW_BARS : BARS)
    const { height } = this.place
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`)
    this.plot.style.height = `${height}px`
    this.svg.innerHTML = picture(this.table, this.place)
    this.put(this.at)
  }

  // The marker at a timing, in ms.
  put(ms) {
    this.at = ms
    if (!this.place) return
    const { x, width, axis, ribbon, top, first, last } = this.place, { marker, now } = this
    const words = timing(ms)
    marker.textContent = words
    const values = { valuemin: first, valuemax: last, valuenow: Math.min(Math.max(ms, first), last), valuetext: words }
    for (const [name, value] of Object.entries(values)) marker.setAttribute(`aria-${name}`, value)
    now.style.cssText = `left: ${x(ms)}px; top: ${top - 4}px; height: ${ribbon - top + 4}px`
    const half = marker.offsetWidth / 2
    marker.style.left = `${Math.min(Math.max(x(ms), half), width - half)}px`
    marker.style.top = `${axis + 2}px`
    this.root.dataset.timing = String(ms)
    this.say()
  }

  // The column under the pointer, or none: its outline, its words and its ball's flight in the stage.
  look(i) {
    if (i === this.hovered) return
    this.hovered = i
    this.hover.hidden = i === null
    if (i !== null) {
      const { left, step, top, axis } = this.place
      this.hover.style.cssText = `left: ${left(i)}px; width: ${step}px; top: ${top}px; height: ${axis - top}px`
    }
    this.haunt(i)
    this.say()
  }

  haunt(i) {
    const size = this.paths.length / this.table.timings.length
    const path = i === null ? NOTHING : this.paths.slice(i * size, (i + 1) * size)
    const detail = { ...this.table.ghost, points: Number.isNaN(path[0]) ? NOTHING : path } // a miss has no flight
    this.root.dispatchEvent(new CustomEvent("stage-ghost", { bubbles: true, composed: true, detail }))
  }

  say() {
    const { timings, sentences } = this.table
    const i = this.hovered ?? timings.indexOf(Math.round(this.at))
    const [when, ...what] = (sentences[i] ?? tr("Beyond the strip")).split(": ")
    this.line.replaceChildren(Object.assign(document.createElement("b"), { textContent: when }))
    if (what.length) this.line.append(`: ${what.join(": ")}`)
  }

  explain() {
    const { looks } = this.table
    this.legend.innerHTML = Object.entries(looks).map(([kind, { letter, name, color }]) => `
      <li><svg viewBox="0 0 22 18" aria-hidden="true">${patterns({ [kind]: looks[kind] })}
        <rect width="22" height="18" rx="2" fill="url(#${kind})"/>
        <text class="outcome" x="11" y="13.5" style="fill: ${inkOn(color)}; stroke: ${color}">${letter}</text>
      </svg>${name}</li>`).join("") + `<li>${WORDS.height}</li>`
  }

  delete() {
    clearTimeout(this.waiting)
    this.observer.disconnect()
    if (this.table) this.haunt(null)
  }
}

export function render({ model }) {
  const root = Object.assign(document.createElement("div"), { className: "strip-root" })
  root.setAttribute("role", "group")
  root.setAttribute("aria-label", tr("Timing strip: what each timing gives"))
  const strip = new Strip(model, root)
  strip.receive(model.table)
  model.on("table", () => strip.receive(model.table))
  model.on("msg:custom", (message) => strip.obey(message))
  model.on("remove", () => strip.delete())
  return root
}
