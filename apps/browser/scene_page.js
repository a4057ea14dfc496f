// The page of a scene that stands alone: words beside the stage, which is the same as everywhere. Everything that came
// from a scenario is put in as text; only the table of numbers comes as HTML, made and escaped by plane3d.

import { make } from "plane3d/elements"
import { handOver } from "plane3d/handing"
import { figures, LETTERS, ribbon, WORDS } from "plane3d/lesson_parts"
import { render } from "plane3d/stage"

const KEYS = {
  ArrowRight: "next", PageDown: "next", ArrowLeft: "back", PageUp: "back", r: "reveal", b: "reveal", ".": "reveal",
}
const byId = (id) => document.getElementById(id)

// What the stage takes for its model: scenes one after the other, and what it is to do.
class StageModel {
  constructor() {
    Object.assign(this, { patch: null, count: 0, acts: {}, waiting: [] })
  }

  on(name, act) {
    this.acts[name] = act
    if (name === "msg:custom") this.waiting.splice(0).forEach(act)
  }

  // ``partial``: the stage holds the rest, from the picture before.
  show({ partial, ...picture }) {
    this.patch = { ...picture, id: ++this.count, base: partial ? this.count - 1 : 0 }
    this.acts.patch?.()
  }

  say(message) {
    const act = this.acts["msg:custom"]
    if (act) act(message)
    else this.waiting.push(message)
  }

  send_msg() { /* pictures come in order, with no gap to ask about */ }
}

export class ScenePage {
  constructor(source) {
    Object.assign(this, { source, model: new StageModel(), scene: null, answer: null, started: false })
    this.chosen = new Map() // by step: the choice the viewer made
    this.root = byId("words")
    this.find = (selector) => this.root.querySelector(selector)
    source.on("scene", (scene) => this.ask(scene))
    source.on("reveal", (answer) => this.tell(answer))
    source.on("clock", (message) => this.model.say(message))
    this.listen()
  }

  listen() {
    for (const act of ["back", "reveal", "next"]) this.find(`.${act}`).onclick = () => this[act]()
    this.find(".choices").onclick = (event) => this.choose(event.target.closest("li")?.dataset.choice)
    this.find(".save").onclick = () => handOver(this.scene.file, this.scene.toml, "application/toml")
    document.addEventListener("keydown", (event) => this.key(event))
    new ResizeObserver(() => this.drawRibbon()).observe(this.root)
  }

  // --- what the source tells ---------------------------------------------------------------------------------------

  ask(scene) {
    Object.assign(this, { scene, answer: undefined })
    this.find(".count").textContent = scene.of > 1 ? WORDS.count(scene.place + 1, scene.of) : ""
    this.find("h1").textContent = scene.question
    this.find(".choices").replaceChildren(...scene.choices.map(choice))
    this.find(".steps").hidden = scene.of === 1
    this.find(".back").disabled = scene.place === 0
    this.find(".next").disabled = scene.place === scene.of - 1
    this.find(".made").textContent = scene.made
    this.find(".inputs pre").textContent = scene.toml
    for (const part of [this.root, window]) part.scrollTo(0, 0) // whichever scrolls
    this.draw(scene.picture)
  }

  tell(answer) {
    const asked = this.answer === null // else the step comes with its answer
    this.answer = answer
    byId("stage").classList.toggle("asking", !answer)
    this.root.classList.toggle("revealed", !!answer)
    this.find(".reveal").setAttribute("aria-pressed", String(!!answer))
    for (const part of [".answer", ".numbers"]) this.find(part).hidden = !answer
    this.find(".result").textContent = answer?.sentence ?? ""
    this.find(".notice").textContent = answer?.notice ?? ""
    this.find(".close").textContent = answer?.close ?? ""
    this.find(".table").innerHTML = answer ? figures(answer) : ""
    this.showNumbers(answer?.numbers ?? "")
    this.markChoices()
    this.drawRibbon()
    this.draw(answer?.picture)
    if (asked && answer) this.find(".answer").scrollIntoView({ block: "nearest" })
  }

  // In a root of their own, where their styles stay with them.
  showNumbers(html) {
    const holder = byId("numbers"), root = holder.shadowRoot ?? holder.attachShadow({ mode: "open" })
    root.innerHTML = html
    root.prepend(byId("numbers-style").content.cloneNode(true))
  }

  drawRibbon() {
    const holder = this.find(".ribbon"), width = holder.clientWidth, strip = this.answer?.strip
    if (!strip || !width) holder.replaceChildren()
    else holder.innerHTML = ribbon(strip, width, parseFloat(getComputedStyle(holder).fontSize))
  }

  // --- the viewer --------------------------------------------------------------------------------------------------

  back() { this.source.go(this.scene.place - 1) }

  next() { this.source.go(this.scene.place + 1) }

  reveal() { this.source.reveal() }

  choose(row) {
    if (row === undefined || this.answer) return
    this.chosen.set(this.scene.place, Number(row))
    this.markChoices()
  }

  markChoices() {
    this.find(".choices").querySelectorAll("li").forEach((row, i) => {
      row.classList.toggle("right", this.answer?.right === i)
      const button = row.firstElementChild
      button.setAttribute("aria-pressed", String(this.chosen.get(this.scene.place) === i))
      button.disabled = !!this.answer
    })
  }

  key(event) {
    if (event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey || this.scene.of === 1) return
    const act = KEYS[event.key.length === 1 ? event.key.toLowerCase() : event.key]
    if (!act) return
    event.preventDefault()
    this[act]()
  }

  // --- the stage ---------------------------------------------------------------------------------------------------

  // The stage starts with the first picture; the place for it holds a sentence until then, and stays where none comes.
  async draw(picture) {
    if (!picture) return
    this.model.show(picture)
    if (this.started) return
    this.started = true
    const shown = await render({ model: this.model }), holder = byId("stage")
    const root = holder.attachShadow({ mode: "open" })
    root.append(byId("stage-style").content.cloneNode(true), shown)
    holder.classList.toggle("refused", shown.className === "notice")
  }
}

function choice(says, i) {
  const letter = make("b", { className: "letter", textContent: LETTERS[i] })
  const row = make("li", {}, make("button", {}, letter, make("span", { className: "says", textContent: says })))
  row.dataset.choice = i
  return row
}
