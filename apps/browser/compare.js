// The top of the comparison, and the tie between its two stages: the one touched last leads, the other follows.

import { fillScenarios, whenReady } from "plane3d/scenarios"
import { chooseLanguage, keepUnits, languagePicker, theme, units, unitsPicker } from "plane3d/settings"
import { tr, trc } from "plane3d/words"

const WORDS = {
  compare: tr("compare"), first: tr("First"), second: tr("Second"), stages: tr("Stages"), more: tr("More"),
  clocks: tr("Same time from"), release: trc("clock", "the release"), contact: trc("clock", "contact"),
  swap: tr("Swap first and second"),
}
const TOUCHES = ["pointerdown", "wheel", "keydown"]
const CALM = 300 // ms without a change before the address follows
const MODES = { one: tr("One stage"), two: tr("Side by side") }
const LOST = tr("The page has lost plane3d. Reload it; if that does not help, start plane3d again.")

// Stages tell of every frame by an event; a stage obeys the event "stage-follow". Nothing goes through the server.
class Link {
  constructor() {
    Object.assign(this, { leader: null, lead: null, fromContact: false, scenes: new Map() })
    this.frame = (event) => this.drawn(event.composedPath()[0], event.detail)
    this.touch = (event) => {
      const root = event.composedPath().find((part) => this.scenes.has(part))
      if (root) this.choose(root)
    }
    document.addEventListener("stage-frame", this.frame)
    for (const name of TOUCHES) document.addEventListener(name, this.touch, { capture: true, passive: true })
  }

  drawn(root, { scene, camera, view, clock }) {
    const other = this.scenes.get(root) !== scene
    this.scenes.set(root, scene)
    if (!this.leader?.isConnected) this.leader = root
    if (root === this.leader) {
      this.lead = { camera, view, clock, fromContact: this.fromContact }
      for (const each of this.scenes.keys()) if (each !== root) this.send(each, this.lead)
    } else if (other) this.send(root, this.lead) // a new scene has set its clock anew
  }

  send(root, lead) {
    root.dispatchEvent(new CustomEvent("stage-follow", { detail: lead }))
  }

  choose(root) {
    if (root === this.leader) return
    this.leader = root
    this.send(root, null)
  }

  // A stage that is not to be seen cannot lead.
  refresh(fromContact) {
    this.fromContact = fromContact
    const seen = [...this.scenes.keys()].find((root) => root.getClientRects().length)
    if (seen && !this.leader?.getClientRects().length) this.choose(seen)
    document.dispatchEvent(new CustomEvent("stage-frame-wanted"))
  }

  delete() {
    document.removeEventListener("stage-frame", this.frame)
    for (const name of TOUCHES) document.removeEventListener(name, this.touch, { capture: true })
  }
}

class Head {
  constructor(model) {
    this.model = model
    this.link = new Link()
    this.root = document.createElement("div")
    this.root.className = "root"
    this.root.innerHTML = `
      <div class="row top">
        <h1><a href="/">plane3d</a>: ${WORDS.compare}</h1>
        <div class="row picks">
          <div class="field"><label for="first">${WORDS.first}</label><select id="first"></select></div>
          <button class="swap" title="${WORDS.swap}" aria-label="${WORDS.swap}">⇄</button>
          <div class="field"><label for="second">${WORDS.second}</label><select id="second"></select></div>
        </div>
        <div class="modes" role="group" aria-label="${WORDS.stages}">
          ${Object.entries(MODES).map(([mode, words]) => `<button data-mode="${mode}">${words}</button>`).join("")}
        </div>
        <button class="fold" aria-expanded="false">${WORDS.more}</button>
        <div class="field aside"><label for="clocks">${WORDS.clocks}</label>
          <select id="clocks"><option value="release">${WORDS.release}</option><option value="contact">${WORDS.contact}</option></select>
        </div>
        <div class="row aside">${unitsPicker()} ${languagePicker()}</div>
      </div>
      <p class="result" role="status"></p>`
    this.find = (selector) => this.root.querySelector(selector)
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    const { say } = this
    for (const [side, name] of ["#first", "#second"].entries()) {
      this.find(name).onchange = (event) => say("choose", side, Number(event.target.value))
    }
    this.find(".fold").onclick = ({ target }) => {
      target.setAttribute("aria-expanded", String(this.find(".top").classList.toggle("opened")))
    }
    this.find(".swap").onclick = () => say("swap")
    for (const button of this.root.querySelectorAll("[data-mode]")) {
      button.onclick = () => say("look", { stages: button.dataset.mode })
    }
    this.find("#clocks").onchange = (event) => say("look", { clocks: event.target.value })
    this.find("#measure").onchange = ({ target }) => {
      const metric = target.value === "metric"
      keepUnits(metric)
      say("look", { metric })
    }
    chooseLanguage(this.find("#language"))
    this.fill()
    this.show()
    window.addEventListener("hashchange", ({ newURL }) => this.arrive(new URL(newURL).hash)) // it may have been written over
    whenReady(() => this.arrive(location.hash))
  }

  // Say what the address asks for, and how the pages are shown.
  arrive(hash) {
    const shown = { theme: theme(), metric: units() }
    if (Object.entries(shown).some(([name, value]) => value !== this.model.state[name])) this.say("look", shown)
    if (hash) this.say("arrive", Object.fromEntries(new URLSearchParams(hash.slice(1))))
    this.arrived = true
  }

  fill() {
    const { shelves, state: { places } } = this.model
    for (const [i, name] of ["#first", "#second"].entries()) fillScenarios(this.find(name), shelves, places[i])
  }

  show() {
    const { places, stages, clocks, metric, sentence, problem, link } = this.model.state
    this.find("#first").value = String(places[0])
    this.find("#second").value = String(places[1])
    this.find("#clocks").value = clocks
    this.find("#measure").value = metric ? "metric" : "us"
    for (const button of this.root.querySelectorAll("[data-mode]")) {
      button.setAttribute("aria-pressed", String(button.dataset.mode === stages))
    }
    document.documentElement.dataset.stages = stages
    this.link.refresh(clocks === "contact")
    this.keep(link)
    this.tell(sentence, problem)
  }

  // A reload, or a copy of the address, brings this comparison back. Browsers refuse to change it too often.
  keep(link) {
    if (!this.arrived) return
    clearTimeout(this.keeping)
    this.keeping = setTimeout(() => history.replaceState(null, "", `#${link}`), CALM)
  }

  tell(words, problem) {
    const line = this.find(".result")
    line.classList.toggle("problem", problem)
    if (line.textContent !== words) line.textContent = words
  }
}

export function render({ model }) {
  const head = new Head(model)
  model.on("shelves", () => head.fill())
  model.on("state", () => head.show())
  model.on("remove", () => head.link.delete())
  const page = window.Bokeh?.documents?.at(-1)
  page?.on_event("connection_lost", () => head.tell(LOST, true))
  page?.on_event("client_reconnected", () => head.show())
  return head.root
}
