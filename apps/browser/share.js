// The presenter's end of sharing: a line with the number of viewers and their predictions, and a box with the address,
// the QR code and the code. It also tells where the presenter's picture stands.

import { make } from "plane3d/elements"
import { tr } from "plane3d/words"

const WORDS = {
  share: tr("Share"), off: tr("Sharing is off"), bar: tr("Sharing"), take: tr("Show this page to the viewers"),
  connected: (count) => count === 1 ? tr("1 viewer connected") : tr("{count} viewers connected", { count }),
  hide: tr("Ask first: hide the answer from the viewers"), title: tr("Follow on your phone"),
  join: tr("Join this network, then point the camera at the code or open"), code: tr("Join code"), qr: tr("QR code"),
  start: tr("Start sharing"), stop: tr("Stop sharing"), close: tr("Close"), predictions: tr("Predictions"),
  caution: tr("Anybody in this network who has the code can watch and predict. Nobody is asked for a name, and nothing about viewers is kept."),
}
const PACE = 100 // ms between two reports of where the picture stands
const KEPT = "plane3d-presenter-tab"
const SAME = 1e-6 // s

// What Python changes before a page is idle may never reach it; so nothing is asked for before then.
function whenIdle(act) {
  const page = window.Bokeh.documents.at(-1)
  if (page.is_idle) act()
  else page.idle.connect(act)
}

// A random name that the tab keeps, so that a reloaded page goes on presenting.
function tabName() {
  let name = null
  try { name = sessionStorage.getItem(KEPT) } catch { /* a browser may forbid the store */ }
  name ||= Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("")
  try { sessionStorage.setItem(KEPT, name) } catch { /* forbidden: a reloaded page asks before it presents */ }
  return name
}

class Sharing {
  constructor(model) {
    Object.assign(this, { model, told: {}, stage: null })
    this.root = make("div", { className: "root share" })
    this.root.innerHTML = `
      <div class="line" role="group" aria-label="${WORDS.bar}">
        <button class="open">${WORDS.share}</button><span class="count" role="status"></span>
        <button class="take">${WORDS.take}</button>
        <label class="ask"><input type="checkbox" class="hide"> ${WORDS.hide}</label>
        <ol class="tally" aria-label="${WORDS.predictions}"></ol>
      </div>
      <p class="problem" role="alert"></p>
      <dialog aria-label="${WORDS.title}">
        <div class="qr" role="img" aria-label="${WORDS.qr}"></div>
        <div class="how">
          <h2>${WORDS.title}</h2>
          <p>${WORDS.join}</p><p class="address"></p>
          <p>${WORDS.code}</p><p class="code"></p>
          <p class="count"></p>
          <p class="caution">${WORDS.caution}</p>
          <form method="dialog"><button class="switch" type="button"></button> <button>${WORDS.close}</button></form>
        </div>
      </dialog>`
    this.find = (selector) => this.root.querySelector(selector)
    this.say = (what, ...values) => whenIdle(() => model.send_msg({ do: what, with: values }))
    this.find(".open").onclick = () => this.find("dialog").showModal()
    this.find(".take").onclick = () => this.say("take")
    this.find(".switch").onclick = () => this.say("open", !this.model.state.on)
    this.find(".hide").onchange = ({ target }) => this.say("hide", target.checked)
    const here = { signal: (this.ending = new AbortController()).signal }
    document.addEventListener("stage-frame", (event) => this.frame(event.detail), here)
    window.addEventListener("keydown", (event) => { // while the box is open the page's keys rest
      if (this.find("dialog").open) event.stopImmediatePropagation()
    }, { ...here, capture: true })
    window.Bokeh.documents.at(-1).on_event("connection_lost", () => this.delete())
    this.show()
    this.say("arrive", tabName())
  }

  show() {
    const { on, address, code, qr, connected, presenting, own, hidden, choices, right, tally, problem } = this.model.state
    this.find(".open").classList.toggle("off", !on)
    for (const place of this.root.querySelectorAll(".count")) place.textContent = on ? WORDS.connected(connected) : WORDS.off
    this.find(".take").hidden = presenting || !on
    this.find(".ask").hidden = !own || !presenting || !on
    this.find(".hide").checked = hidden
    this.find(".address").textContent = address
    this.find(".code").textContent = code
    if (this.qr !== qr) this.find(".qr").innerHTML = this.qr = qr // made by plane3d
    this.root.classList.toggle("closed", !on)
    this.find(".switch").textContent = on ? WORDS.stop : WORDS.start
    this.find(".problem").textContent = problem
    this.find(".tally").replaceChildren(...(own && presenting && on ? choices : []).map((says, i) => make("li",
      { className: i === right ? "right" : "" }, make("span", { textContent: says }), make("b", { textContent: tally[i] }))))
    if (!own && presenting) document.dispatchEvent(new CustomEvent("share-tally", { detail: this.model.state }))
    this.frame(this.stage)
  }

  // Where the picture stands, told when it changes otherwise than by playing on.
  frame(stage) {
    this.stage = stage
    if (!stage || !this.model.state.presenting || this.waiting) return
    const { time, playing, view, clock: { speed } } = stage, { told } = this
    const same = told.playing === playing && told.speed === speed && told.view === (view ?? "")
    if (same && (playing || Math.abs(told.time - time) < SAME)) return
    this.told = { playing, speed, view: view ?? "", time }
    this.say("clock", playing, time, speed, view ?? "")
    this.waiting = setTimeout(() => { this.waiting = null; this.frame(this.stage) }, PACE)
  }

  delete() {
    this.ending.abort()
    clearTimeout(this.waiting)
  }
}

export function render({ model }) {
  const sharing = new Sharing(model)
  model.on("state", () => sharing.show())
  model.on("remove", () => sharing.delete())
  return sharing.root
}
