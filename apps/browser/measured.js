// What is asked of a measured swing: scenario and pitch, the file, where the plate is, contact.

import { make, options } from "plane3d/elements"
import { fillScenarios, whenReady } from "plane3d/scenarios"
import { tr } from "plane3d/words"

const WORDS = {
  against: tr("Measured against"), scenario: tr("Scenario"), bats: tr("Bats"),
  pitch: tr("Pitch"), own: tr("The scenario’s own"), openPitches: tr("Open a file of pitches"),
  points: tr("Points of the bat"), open: tr("Open a file"),
  about: tr("What a file must hold"), example: tr("Try an invented example"), forget: tr("Do without it"),
  knob: tr("Knob"), tip: tr("Tip"), markers: tr("Markers in the file"), choose: tr("Choose"), unit: tr("Unit"),
  where: tr("Where the plate is"), axes: tr("By the file’s axes"), corners: tr("By corners of the plate"),
  ways: tr("The file’s axes point"), rear: tr("Rear point of the plate, along the file’s axes"),
  least: tr("At least four corners, along the file’s axes."), contact: tr("Contact"), look: tr("Look for it"),
  state: tr("State it"), time: tr("Time in the file"), missed: tr("The bat touched nothing"),
  moment: tr("Then state the moment to look at."), stage: tr("Show this pitch on the stage"),
  studies: tr("Use it in the studies"), file: tr("File"),
}
const PIECE = 1_000_000 // bytes sent at once: well below what the server takes in one message
const CALM = 300 // ms without a key before what is typed is sent
const AXES = ["x", "y", "z"]
const KEEP = "plane3d-points" // in the tab's own store, for a reload and for the way back from another page
const KEPT = 1_500_000 // bytes of a file that is kept there

const picker = (name, pairs) => make("select", { id: name, className: "form" }, ...options(pairs)).outerHTML
const typed = (name, label) =>
  `<input id="${name}" class="form" type="text" autocomplete="off" maxlength="40" aria-label="${label}">`

const asUrl = (file) => new Promise((done) => {
  const reader = new FileReader()
  reader.onload = () => done(reader.result)
  reader.onerror = () => done(undefined)
  reader.readAsDataURL(file)
})

class Inputs {
  constructor(model) {
    Object.assign(this, { model, wanted: {}, ends: new AbortController() })
    const { units } = model.table
    this.root = make("div", { className: "root" })
    this.root.innerHTML = `
      <fieldset data-group="points"><legend>${WORDS.points}</legend>
        <p class="file name" hidden></p>
        <div class="buttons"><button data-opens="points">${WORDS.open}</button><button class="forget" data-kind="points" hidden>${WORDS.forget}</button></div>
        ${this.examples("points", model.table.examples)}
        <p class="quiet"></p>
        <p class="quiet"><a href="/docs/measured.md" target="_blank">${WORDS.about}</a></p>
      </fieldset>
      <fieldset data-group="markers" hidden><legend>${WORDS.markers}</legend>
        <div class="line"><label for="knob">${WORDS.knob}</label>${picker("knob", [])}</div>
        <div class="line"><label for="tip">${WORDS.tip}</label>${picker("tip", [])}</div>
        <div class="line unit"><label for="unit">${WORDS.unit}</label>${picker("unit", [["", WORDS.choose], ...units])}</div>
      </fieldset>
      <fieldset data-group="against"><legend>${WORDS.against}</legend>
        <div class="line"><label for="scenario">${WORDS.scenario}</label><select id="scenario"></select></div>
        <div class="line"><label for="bats">${WORDS.bats}</label><select id="bats"></select></div>
        <div class="line"><label for="pitch">${WORDS.pitch}</label>${picker("pitch", [])}</div>
        <p class="against quiet"></p>
        <p class="file pitches" hidden></p>
        <p class="note quiet" hidden></p>
        <p class="wrong problem" role="status" hidden></p>
        <p class="taken" hidden><a class="stage">${WORDS.stage}</a> · <a class="studies">${WORDS.studies}</a></p>
        <div class="buttons"><button data-opens="pitches">${WORDS.openPitches}</button><button class="forget" data-kind="pitches" hidden>${WORDS.forget}</button></div>
        ${this.examples("pitches", model.table.pitch_examples)}
      </fieldset>
      ${this.placing()}
      <fieldset data-group="contact"><legend>${WORDS.contact}</legend>
        <div class="line"><label for="contact">${WORDS.contact}</label>${picker("contact", [["look", WORDS.look], ["state", WORDS.state]])}</div>
        <div class="line time"><label for="time">${WORDS.time}</label>${typed("time", WORDS.time)} s</div>
        <label class="tick"><input id="hit" type="checkbox"> ${WORDS.missed}</label>
        <p class="moment quiet" hidden>${WORDS.moment}</p>
      </fieldset>
      <input class="chosen" type="file" aria-label="${WORDS.file}" hidden>`
    this.find = (selector) => this.root.querySelector(selector)
    this.all = (selector) => [...this.root.querySelectorAll(selector)]
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.find('[data-group="points"] > p.quiet').textContent =
      tr("CSV or C3D, at most {most} MB; it can also be dropped anywhere on the page.", { most: model.table.largest / 1e6 })
    this.listen()
    this.files()
    this.fill()
    this.show()
    whenReady(() => this.restore())
  }

  examples(kind, pairs) {
    return `<div class="line example"><select data-examples="${kind}" aria-label="${WORDS.example}">
      <option value="">${WORDS.example} …</option>${options(pairs).map((option) => option.outerHTML).join("")}</select></div>`
  }

  placing() {
    const { ways, corners, units } = this.model.table
    const unit = (name) => `<div class="line"><label for="${name}">${WORDS.unit}</label>${picker(name, units)}</div>`
    const triple = (name, label) => AXES.map((axis) => typed(`${name}_${axis}`, `${label}, ${axis}`)).join("")
    const heads = `<div class="corner heads" aria-hidden="true"><span></span>${AXES.map((axis) => `<b>${axis}</b>`).join("")}</div>`
    return `<fieldset data-group="where"><legend>${WORDS.where}</legend>
      <label class="tick"><input type="radio" name="by" value="axes"> ${WORDS.axes}</label>
      <label class="tick"><input type="radio" name="by" value="corners"> ${WORDS.corners}</label>
      <div class="by" data-by="axes">
        <p>${WORDS.ways}</p>
        ${AXES.map((axis) => `<div class="line axis"><label for="${axis}">${axis}</label>${picker(axis, ways)}</div>`).join("")}
        ${heads}
        <div class="corner"><span>${WORDS.rear}</span>${triple("plate", WORDS.rear)}</div>
        ${unit("plate_unit")}
      </div>
      <div class="by" data-by="corners" hidden>
        <p class="quiet">${WORDS.least}</p>
        ${heads}
        ${corners.map(([name, words]) => `<div class="corner"><span>${words}</span>${triple(name, words)}</div>`).join("")}
        ${unit("corner_unit")}
      </div>
    </fieldset>`
  }

  listen() {
    const { find, say } = this
    find("#bats").append(...options(this.model.table.sides))
    find("#scenario").onchange = ({ target }) => say("choose", Number(target.value))
    find("#bats").onchange = ({ target }) => say("bats", target.value)
    for (const list of this.all("select.form")) list.onchange = () => this.set(list.id, list.value)
    for (const field of this.all("input.form")) field.oninput = () => this.set(field.id, field.value, CALM)
    for (const radio of this.all("[name=by]")) radio.onchange = () => this.set("by", radio.value)
    find("#hit").onchange = ({ target }) => this.set("hit", target.checked ? "no" : "yes")
    for (const list of this.all("[data-examples]")) {
      list.onchange = () => { if (list.value) this.tryExample(list.dataset.examples, list.value); list.value = "" }
    }
    for (const button of this.all(".forget")) button.onclick = () => this.forget(button.dataset.kind)
  }

  // What is typed piles up here until the viewer rests.
  set(name, value, rest = 0) {
    this.wanted[name] = value
    clearTimeout(this.waiting)
    this.waiting = setTimeout(() => {
      const wanted = this.wanted
      this.wanted = {}
      this.say("form", wanted)
    }, rest)
  }

  // --- files -------------------------------------------------------------------------------------------------------

  files() {
    const chosen = this.find(".chosen"), on = (target, name, act) => target.addEventListener(name, act, { signal: this.ends.signal })
    for (const button of this.all("[data-opens]")) {
      button.onclick = () => {
        chosen.dataset.kind = button.dataset.opens
        chosen.accept = button.dataset.opens === "points" ? ".csv,.c3d,.txt" : ".csv,.txt"
        chosen.click()
      }
    }
    chosen.onchange = async () => {
      if (chosen.files.length) await this.take(chosen.dataset.kind, chosen.files[0])
      chosen.value = ""
    }
    const mark = (on) => document.documentElement.classList.toggle("dropping", on)
    on(document, "dragover", (event) => {
      if (!event.dataTransfer.types.includes("Files")) return
      event.preventDefault()
      mark(true)
    })
    on(document, "dragleave", (event) => { if (!event.relatedTarget) mark(false) })
    on(document, "drop", (event) => {
      if (!event.dataTransfer.types.includes("Files")) return
      event.preventDefault()
      mark(false)
      const pitches = event.composedPath().some((part) => part.dataset?.group === "against")
      if (event.dataTransfer.files.length) this.take(pitches ? "pitches" : "points", event.dataTransfer.files[0])
    })
  }

  // Where there is little room, the answer to a file comes first.
  fold() {
    if (matchMedia("(max-width: 1000px)").matches) document.querySelector(".inputs").open = false // as in measured.css
  }

  // A file goes in pieces; one that is too large is only named, and the server says so.
  async take(kind, file) {
    this.fold()
    const name = file.name.toWellFormed?.() ?? file.name
    const place = this.find(kind === "points" ? ".file.name" : ".file.pitches")
    place.hidden = false
    place.textContent = tr("Reading {name} …", { name })
    this.say("file", kind, name, file.size)
    if (file.size > this.model.table.largest) return
    if (file.size <= KEPT) this.keep({ [kind]: { name, url: await asUrl(file) } })
    else this.keep({ [kind]: undefined })
    for (let at = 0; at < file.size; at += PIECE) {
      try { this.say("piece", await file.slice(at, at + PIECE).arrayBuffer()) } catch { return this.show() } // it is gone
    }
  }

  tryExample(kind, example) {
    this.fold()
    this.keep({ [kind]: { example } })
    this.say("example", example)
  }

  forget(kind) {
    this.keep({ [kind]: undefined })
    this.say("forget", kind)
  }

  // --- what outlasts a reload --------------------------------------------------------------------------------------

  keep(changes) {
    if (!this.restored) return
    this.kept = { ...this.kept, ...changes }
    try {
      if (this.kept.points || this.kept.pitches) sessionStorage.setItem(KEEP, JSON.stringify(this.kept))
      else sessionStorage.removeItem(KEEP)
    } catch { /* forbidden or full: the page works all the same */ }
  }

  async restore() {
    let kept = null
    try { kept = JSON.parse(sessionStorage.getItem(KEEP)) } catch { /* forbidden */ }
    for (const kind of ["pitches", "points"]) {
      const file = kept?.[kind]
      if (file?.example) this.say("example", file.example)
      else if (file?.url) await this.take(kind, new File([await (await fetch(file.url)).blob()], file.name))
    }
    if (kept?.form) this.say("form", kept.form)
    this.kept = kept ?? {}
    this.restored = true
  }

  // --- what is shown -----------------------------------------------------------------------------------------------

  fill() {
    fillScenarios(this.find("#scenario"), this.model.shelves, this.model.state.place)
  }

  show() {
    const { form, place, bats, against, file, markers, unit_asked: unitAsked, pitch_file: pitchFile, pitches, pitch_problem: problem, pitch_note: note, pitched } = this.model.state
    const { find } = this
    find("#scenario").value = String(place)
    find("#bats").value = bats
    for (const name of ["knob", "tip"]) find(`#${name}`).replaceChildren(...options([["", WORDS.choose], ...markers.map((one) => [one, one])]))
    find("#pitch").replaceChildren(...options([["-1", WORDS.own], ...pitches.map((words, i) => [String(i), words])]))
    for (const field of this.all(".form")) {
      const name = field.id, busy = field === this.root.getRootNode().activeElement && field.matches("input")
      if (!(name in this.wanted) && !busy) field.value = form[name]
    }
    for (const radio of this.all("[name=by]")) radio.checked = radio.value === form.by
    for (const part of this.all("[data-by]")) part.hidden = part.dataset.by !== form.by
    find("#hit").checked = form.hit === "no"
    find("#contact").disabled = form.hit === "no"
    find(".time").hidden = form.contact === "look" && form.hit === "yes"
    find(".moment").hidden = form.hit === "yes"
    find('[data-group="markers"]').hidden = !markers.length
    find(".unit").hidden = !unitAsked
    const tell = (place, words) => Object.assign(find(place), { textContent: words, hidden: !words })
    tell(".file.name", file)
    tell(".file.pitches", pitchFile)
    tell(".against", against)
    tell(".note", note)
    tell(".wrong", problem)
    find('[data-kind="points"]').hidden = !file
    find('[data-kind="pitches"]').hidden = !pitchFile
    find(".taken").hidden = form.pitch === "-1" || !pitches.length || Boolean(problem)
    find(".taken .stage").href = `/#s=${pitched}`
    find(".taken .studies").href = `/studies#s=${pitched}`
    find("#pitch").disabled = !pitches.length
    this.keep({ form })
  }

  delete() {
    clearTimeout(this.waiting)
    this.ends.abort()
  }
}

export function render({ model }) {
  const inputs = new Inputs(model)
  model.on("shelves", () => inputs.fill())
  model.on("state", () => inputs.show())
  model.on("remove", () => inputs.delete())
  return inputs.root
}
