// What a measured swing came to: figures, samples, notes, a picture, and where it can be taken from here.

import { handOver } from "plane3d/handing"
import { Picture } from "plane3d/measured_picture"
import { tr, trc } from "plane3d/words"

const WORDS = {
  stage: tr("Show on the stage"), studies: tr("Use in the studies"), scenario: tr("Save the scenario"),
  points: tr("Save the points"), log: tr("Keep in the log"), hitter: tr("Hitter"), fresh: tr("A new hitter"),
  code: tr("Code or role"), day: tr("Day"), session: tr("Session"), note: trc("log", "Note"), keep: tr("Keep"), cancel: tr("Cancel"),
  open: tr("Open the hitter’s log"), samples: tr("Samples"), notes: tr("What there is to say about the samples"),
  caveat: tr("A model’s answers, not measurements."), model: tr("The whole model in words"), more: tr("How far to trust it"),
}
const escape = (words) => Object.assign(document.createElement("i"), { textContent: words }).innerHTML
const table = (caption, rows) => `<table><caption>${escape(caption)}</caption><tbody>${rows.map(([name, value]) =>
  `<tr><th scope="row">${escape(name)}</th><td>${escape(value)}</td></tr>`).join("")}</tbody></table>`

class Answer {
  constructor(model) {
    this.model = model
    this.root = Object.assign(document.createElement("div"), { className: "root" })
    this.root.innerHTML = `
      <div class="line"><p class="headline" role="status"></p></div>
      <div class="found" hidden>
        <p class="play"></p>
        <div class="buttons">
          <a class="button stage">${WORDS.stage}</a><a class="button studies">${WORDS.studies}</a>
          <button class="scenario">${WORDS.scenario}</button><button class="points">${WORDS.points}</button>
          <button class="log" aria-expanded="false">${WORDS.log}</button>
        </div>
        <p class="why problem" hidden></p>
        <form class="keep" hidden>
          <p class="privacy"></p>
          <div class="fields">
            <label>${WORDS.hitter} <select name="known"></select></label>
            <label class="code">${WORDS.code} <input name="code" type="text" maxlength="80" autocomplete="off"></label>
            <label>${WORDS.day} <input name="day" type="date" required></label>
            <label>${WORDS.session} <input name="session" type="text" maxlength="200" autocomplete="off"></label>
            <label class="wide">${WORDS.note} <textarea name="note" rows="2" maxlength="2000"></textarea></label>
          </div>
          <div class="buttons"><button type="submit">${WORDS.keep}</button><button type="button" class="cancel">${WORDS.cancel}</button>
            <a href="/log">${WORDS.open}</a></div>
        </form>
        <p class="said" role="status"></p>
        <ul class="notes" aria-label="${WORDS.notes}"></ul>
        <div class="tables"><div class="figures"></div><div class="samples"></div></div>
        <div class="pictures"></div>
        <p class="quiet">${WORDS.caveat} <a href="/docs/measured.md" target="_blank">${WORDS.more}</a>
          · <a href="/docs/model.md" target="_blank">${WORDS.model}</a></p>
      </div>`
    this.find = (selector) => this.root.querySelector(selector)
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.picture = new Picture(this.find(".pictures"))
    this.listen()
    this.show()
  }

  listen() {
    const { find, say } = this, form = find(".keep")
    find(".scenario").onclick = () => say("scenario")
    find(".points").onclick = () => say("points")
    find(".log").onclick = () => this.open(form.hidden)
    find(".cancel").onclick = () => { this.open(false); find(".log").focus() }
    form.known.onchange = () => this.who()
    form.onsubmit = (event) => {
      event.preventDefault()
      say("keep", form.known.value || form.code.value, form.day.value, form.session.value, form.note.value)
    }
  }

  open(on) {
    const form = this.find(".keep")
    form.hidden = !on
    this.find(".log").setAttribute("aria-expanded", String(on))
    if (!on) return
    this.say("hitters")
    form.day.value ||= this.model.state.log.today
    form.known.focus()
  }

  // A code is asked for where no known hitter is chosen.
  who() {
    this.find(".code").hidden = this.find(".keep").known.value !== ""
  }

  show() {
    const { words, problem, old, answer, log } = this.model.state
    const line = this.find(".headline")
    line.parentElement.classList.toggle("problem", problem)
    if (line.textContent !== words) line.textContent = words
    this.find(".found").hidden = !answer
    this.find(".found").classList.toggle("old", old)
    this.root.dataset.state = problem ? "refused" : old ? "old" : answer ? "found" : "empty"
    this.log(log)
    if (!answer) return this.open(false)
    this.find(".play").textContent = answer.play
    this.find(".play").hidden = !answer.play
    for (const name of ["scenario", "points", "samples", "pictures"]) this.find(`.${name}`).hidden = !answer.swing
    this.find(".figures").innerHTML = table(answer.sure, answer.figures)
    this.find(".samples").innerHTML = table(WORDS.samples, answer.samples)
    this.find(".notes").innerHTML = answer.notes.map((note) => `<li>${escape(note)}</li>`).join("")
    this.find(".notes").classList.toggle("problem", !answer.enough)
    this.find(".why").hidden = !answer.why
    this.find(".why").textContent = answer.why
    for (const [name, page] of [["stage", "/"], ["studies", "/studies"]]) {
      this.find(`.${name}`).hidden = !answer.scenario
      this.find(`.${name}`).href = `${page}#s=${answer.scenario}`
    }
    this.find(".scenario").disabled = Boolean(answer.why) && !answer.scenario
    if (answer.picture) this.picture.show(answer.picture, answer.metric)
  }

  log({ hitters, said, problem, privacy, offered }) {
    this.find(".log").hidden = !offered
    const known = this.find(".keep").known, chosen = known.value
    const option = (value, words) => Object.assign(document.createElement("option"), { value, textContent: words })
    known.replaceChildren(option("", WORDS.fresh), ...hitters.map((code) => option(code, code)))
    known.value = hitters.includes(chosen) ? chosen : ""
    this.who()
    this.find(".privacy").textContent = privacy
    const line = this.find(".said")
    line.classList.toggle("problem", problem)
    if (line.textContent !== said) line.textContent = said
    if (said && !problem) this.open(false)
  }
}

export function render({ model }) {
  const answer = new Answer(model)
  model.on("state", () => answer.show())
  model.on("msg:custom", ({ do: what, name, data }) => { if (what === "file") handOver(name, data) })
  model.on("remove", () => answer.picture.delete())
  return answer.root
}
