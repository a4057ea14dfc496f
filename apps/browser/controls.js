// Sliders and choices. One change at a time is under way; while its answer is awaited only the latest value of each
// control is kept, so that moves never pile up.

import { tr } from "plane3d/words"

const PATIENCE = 3000 // ms after which an answer is no longer waited for

let count = 0 // for ids that tie labels to inputs
let gesture = 0 // counts drags, key presses and choices; each is one step of the session's history
const nextGesture = () => { gesture++ }

const make = (tag, fields = {}) => Object.assign(document.createElement(tag), fields)

// A number with no more decimals than it needs.
const written = (value, decimals) => String(Number(value.toFixed(decimals)))

export class NumberRow {
  constructor(row, ask) {
    Object.assign(this, { row, ask, metric: false })
    const id = `control-${++count}`
    this.element = make("div", { className: "row", title: row.doc })
    this.element.dataset.key = row.key
    this.range = make("input", { type: "range", id, step: "any", min: row.start, max: row.end })
    this.range.setAttribute("aria-description", row.doc)
    this.number = make("input", { type: "text", inputMode: "decimal" })
    this.unit = make("span")
    const value = make("div", { className: "value" })
    value.append(this.number, this.unit)
    this.back = back(row, ask)
    this.element.append(make("label", { htmlFor: id, textContent: row.label }), this.range, value, this.back)
    this.range.oninput = () => this.move(this.snapped(Number(this.range.value)))
    this.range.onpointerdown = nextGesture
    this.range.onkeydown = (event) => this.key(event)
    this.number.onchange = () => this.typed()
  }

  get shownIn() {
    return this.row.units[this.metric ? 1 : 0]
  }

  snapped(value) {
    const { step } = this.row
    return Number((Math.round(value / step) * step).toFixed(6))
  }

  key(event) {
    const by = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[event.key]
    if (!by || event.ctrlKey || event.altKey || event.metaKey) return
    event.preventDefault()
    if (!event.repeat) nextGesture()
    const value = this.snapped(this.value) + by * this.row.step
    this.move(this.snapped(Math.min(Math.max(value, Number(this.range.min)), Number(this.range.max))))
  }

  move(value) {
    if (value === this.value) return
    this.show(value)
    this.ask(this.row.key, value)
  }

  // What is typed is taken as it is; the answer says if it cannot be.
  typed() {
    nextGesture()
    this.number.defaultValue = this.number.value
    const { factor, offset } = this.shownIn
    const text = this.number.value.trim().replace(",", ".").replace("−", "-")
    const value = Number(((Number(text) - offset) / factor).toFixed(6))
    if (text && Number.isFinite(value)) this.ask(this.row.key, value)
    else this.ask(this.row.key, this.number.value)
  }

  // What someone is writing stays, whatever answer arrives meanwhile.
  put(words) {
    const { number } = this
    const writing = number.value !== number.defaultValue && number.getRootNode().activeElement === number
    number.defaultValue = words
    if (!writing) number.value = words
  }

  show(value, metric = this.metric) {
    Object.assign(this, { value, metric })
    const { name, factor, offset, decimals } = this.shownIn
    const words = written(value * factor + offset, decimals)
    this.range.min = Math.min(this.row.start, value)
    this.range.max = Math.max(this.row.end, value)
    this.range.value = value
    this.range.setAttribute("aria-valuetext", `${words} ${name}`)
    this.put(words)
    this.number.setAttribute("aria-label", tr("{name}, number in {unit}", { name: this.row.label, unit: name }))
    this.unit.textContent = name
  }
}

class ChoiceRow {
  constructor(row, ask) {
    const id = `control-${++count}`
    this.row = row
    this.element = make("div", { className: "row" })
    this.element.dataset.key = row.key
    this.select = make("select", { id })
    this.select.append(...row.options.map(([value, words]) => make("option", { value, textContent: words })))
    this.back = back(row, ask)
    this.element.append(make("label", { htmlFor: id, textContent: row.label }), this.select, this.back)
    this.select.onchange = () => { nextGesture(); ask(row.key, this.select.value) }
  }

  show(value, metric, offered) {
    for (const option of this.select.options) option.hidden = option.disabled = !!offered && !offered.includes(option.value)
    this.select.value = value
  }
}

// Gives one control back to the scenario, so that it follows the others again.
function back(row, ask) {
  const words = tr("Back to the scenario: {name}", { name: row.label.toLowerCase() })
  const button = make("button", { className: "back", textContent: "↺", title: words, hidden: true })
  button.setAttribute("aria-label", words)
  button.onclick = () => { nextGesture(); ask(row.key, null) }
  return button
}

class Controls {
  constructor(model) {
    Object.assign(this, { model, rows: new Map(), wanted: new Map(), sent: model.state.answered, sentAt: 0 })
    this.root = make("div", { className: "root" })
    this.root.append(...model.table.map((group) => this.group(group)))
    this.receive()
  }

  group({ name, open, more }) {
    const fold = make("details", { className: open.length ? "" : "group" })
    const words = open.length ? tr("More: {group}", { group: name.toLowerCase() }) : name
    fold.append(make("summary", { textContent: words }), ...this.make(more))
    if (!open.length) return fold
    const set = make("fieldset")
    set.append(make("legend", { textContent: name }), ...this.make(open), fold)
    return set
  }

  make(rows) {
    const ask = (key, value) => { this.wanted.set(key, value); this.send() }
    return rows.map((row) => {
      const made = row.options ? new ChoiceRow(row, ask) : new NumberRow(row, ask)
      this.rows.set(row.key, made)
      return made.element
    })
  }

  send() {
    const waiting = this.sent > this.model.state.answered && performance.now() - this.sentAt < PATIENCE
    if (waiting || !this.wanted.size) return
    this.model.send_msg({ id: ++this.sent, gesture, changes: Object.fromEntries(this.wanted) })
    this.sentAt = performance.now()
    this.wanted.clear()
  }

  receive() {
    const { values, changed, metric, offered, absent, fresh } = this.model.state
    if (fresh !== this.fresh) this.wanted.clear() // meant for what was shown before
    this.fresh = fresh
    for (const [key, row] of this.rows) {
      if (this.wanted.has(key)) continue // the viewer has moved on
      row.show(values[key], metric, offered[key])
      row.element.hidden = absent.includes(key)
      row.back.hidden = !changed.includes(key)
      row.element.classList.toggle("changed", changed.includes(key))
    }
    this.send()
  }
}

export function render({ model }) {
  const controls = new Controls(model)
  model.on("state", () => controls.receive())
  return controls.root
}
