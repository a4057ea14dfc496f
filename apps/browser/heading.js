// The top of the page: scenario, steps back and forth, question, the result in words, what to notice, and the menu.

import { Menu } from "plane3d/menu"
import { fillScenarios } from "plane3d/scenarios"
import { Tab } from "plane3d/tab"
import { tr } from "plane3d/words"

const WORDS = {
  scenario: tr("Scenario"), steps: tr("Steps"), undo: tr("Undo"), undoKey: tr("Undo (Ctrl+Z)"), redo: tr("Redo"),
  redoKey: tr("Redo (Ctrl+Shift+Z)"), restart: tr("Start again"), swing: tr("Swing"), aims: tr("Aims at the pitch"),
  held: tr("Is held"), compare: tr("Compare"), studies: tr("Studies"), menu: tr("Menu"), back: tr("Go back"), fine: tr("Fine"),
}
const LOST = tr("The page has lost plane3d. Reload it; if that does not help, start plane3d again.")
const NOTICE = {
  wide: tr("Notice:"), changed: tr("Notice, before your changes:"), narrow: tr("Question and what to notice"),
}

const make = (tag, fields) => Object.assign(document.createElement(tag), fields)

class Heading {
  constructor(model) {
    this.model = model
    this.root = make("div", { className: "root" })
    this.root.innerHTML = `
      <div class="line">
        <h1>plane3d</h1>
        <div class="field choice"><label for="scenario">${WORDS.scenario}</label><select id="scenario" class="scenario"></select></div>
        <div class="steps" role="group" aria-label="${WORDS.steps}">
          <button class="undo" aria-label="${WORDS.undo}" title="${WORDS.undoKey}" aria-keyshortcuts="Control+Z"><svg viewBox="0 0 20 20" aria-hidden="true"><path d="M7 3 2.5 7.5 7 12M3 7.5h8.5a5 5 0 0 1 0 10H7"/></svg></button>
          <button class="redo" aria-label="${WORDS.redo}" title="${WORDS.redoKey}" aria-keyshortcuts="Control+Shift+Z Control+Y"><svg viewBox="0 0 20 20" aria-hidden="true"><path d="M13 3l4.5 4.5L13 12M17 7.5H8.5a5 5 0 0 0 0 10H13"/></svg></button>
        </div>
        <button class="restart aside">${WORDS.restart}</button>
        <p class="question"></p>
        <div class="field hold aside"><label for="hold">${WORDS.swing}</label>
          <select id="hold" class="holds"><option value="aim">${WORDS.aims}</option><option value="hold">${WORDS.held}</option></select>
        </div>
        <a class="compare aside" href="/compare">${WORDS.compare}</a>
        <a class="studies aside" href="/studies">${WORDS.studies}</a>
        <button class="menu" aria-expanded="false" aria-controls="menu">${WORDS.menu}</button>
        <section id="menu" class="panel" aria-label="${WORDS.menu}" hidden></section>
      </div>
      <p class="result" role="status"></p>
      <p class="range" role="status" hidden></p>
      <div class="note" hidden><p role="status"></p> <button class="goback">${WORDS.back}</button> <button class="fine">${WORDS.fine}</button></div>
      <div class="box" role="alert" hidden></div>
      <details class="notice"><summary></summary> <p></p></details>`
    this.find = (selector) => this.root.querySelector(selector)
    const say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.menu = new Menu(this.find(".panel"), this.find(".menu"), say)
    this.tab = new Tab(this.root, say)
    this.find(".scenario").onchange = (event) => say("choose", Number(event.target.value))
    this.find(".restart").onclick = () => say("restart")
    this.find(".holds").onchange = (event) => say("hold", event.target.value === "hold")
    this.find(".undo").onclick = this.find(".goback").onclick = () => say("undo")
    this.find(".redo").onclick = () => say("redo")
    this.find(".fine").onclick = () => say("dismiss")
    this.narrow = matchMedia("(max-width: 700px)")
    this.narrow.onchange = () => this.fold()
    this.fold()
    this.fill()
    this.keep()
    this.tab.arrive()
  }

  // Where there is little room, the question goes under one fold with the notice, so that the picture comes early.
  fold() {
    const notice = this.find(".notice")
    if (this.narrow.matches) notice.querySelector("summary").after(this.find(".question"))
    else this.find(".restart").after(this.find(".question"))
    notice.open = !this.narrow.matches
    this.show()
  }

  fill() {
    fillScenarios(this.find(".scenario"), this.model.shelves, this.model.state.chosen)
  }

  show() {
    const { chosen, sentence, problem, changed, held, sure, asks_sure: asksSure } = this.model.state
    const { question, notice } = this.model.keep.says
    this.find(".scenario").value = String(chosen)
    this.find(".holds").value = held ? "hold" : "aim"
    this.find(".hold").classList.toggle("on", held)
    this.find(".restart").disabled = !changed
    this.find(".question").textContent = question
    this.find(".notice").hidden = !(notice || (this.narrow.matches && question))
    this.find(".notice summary").textContent = NOTICE[this.narrow.matches ? "narrow" : changed ? "changed" : "wide"]
    this.find(".notice > p:last-child").textContent = notice
    this.menu.measure(this.model.state.metric)
    this.menu.ask(asksSure)
    this.find(".range").hidden = !asksSure || problem
    this.tell(sure)
    this.tab.keep(this.model.keep, this.model.state.metric)
    this.say(sentence, problem)
  }

  keep() {
    const kept = this.model.keep
    this.find(".undo").disabled = !kept.undo
    this.find(".redo").disabled = !kept.redo
    this.find(".note").hidden = !kept.note
    this.find(".note p").textContent = kept.note
    this.find(".goback").hidden = !kept.undo
    this.complain(kept.problems)
    this.menu.show(kept)
    this.find(".compare").href = kept.start ? `/compare#a=${kept.start}&b=${kept.link}` : `/compare#a=${kept.link}`
    this.find(".studies").href = `/studies#s=${kept.link}`
    this.show()
  }

  // Every mistake in one box, each on a line of its own.
  complain(problems) {
    const box = this.find(".box")
    box.hidden = !problems.length
    if (box.hidden) { box.replaceChildren(); return }
    const list = make("ul")
    list.append(...problems.map((words) => make("li", { textContent: words })))
    const close = make("button", { textContent: tr("Close"), onclick: () => this.find(".fine").click() })
    box.replaceChildren(make("p", { textContent: tr("This could not be used:") }), list, close)
  }

  // The last range stays, paler, until the next is worked out, so that the picture below does not jump.
  tell(range) {
    const line = this.find(".range")
    line.classList.toggle("old", !range)
    if (range || !line.textContent) line.textContent = range || "…"
  }

  say(words, problem) {
    const line = this.find(".result")
    line.classList.toggle("problem", problem)
    if (line.textContent !== words) line.textContent = words
  }
}

export function render({ model }) {
  const heading = new Heading(model)
  model.on("shelves", () => heading.fill())
  model.on("state", () => heading.show())
  model.on("keep", () => heading.keep())
  model.on("home", () => heading.menu.take(model.home))
  model.on("msg:custom", (message) => heading.tab.obey(message))
  model.on("remove", () => heading.tab.delete())
  const page = window.Bokeh?.documents?.at(-1)
  page?.on_event("connection_lost", () => heading.say(LOST, true))
  page?.on_event("client_reconnected", () => heading.show())
  return heading.root
}
