// What a study may be asked. Every part shows only what it uses; a change is sent once the viewer rests.

import { NumberRow } from "plane3d/controls"
import { fillScenarios } from "plane3d/scenarios"
import { tr } from "plane3d/words"

const WORDS = {
  scatter: tr("How much the swing varies"), note: tr("One standard deviation from swing to swing."),
  typical: tr("typical of the level"), reset: tr("Back to typical"), swings: tr("Swings"), each: tr("Swings at each pitch"),
  replays: tr("Swings in each replay"), draws: tr("Draws"), seed: tr("Seed"), fresh: tr("New seed"),
  same: tr("The same seed gives the same numbers."), goal: tr("The ball you want"), where: tr("Where to"),
  second: tr("Second"), pitches: tr("Pitches"), openPitches: tr("Open a pitch set"), both: tr("The swings"),
  aim: tr("Aim at each pitch"), held: tr("Are held"), sheet: tr("The sheet"), print: tr("Print"),
  save: tr("Save as a file"), drills: tr("Drills"), openDrills: tr("Open your own drills"),
  supplied: tr("Back to the drills that come with plane3d"), own: tr("Drills from your own file."),
  theirs: tr("Drills that come with plane3d."), drop: tr("A file can also be dropped here."),
  fielders: tr("Fielders, bases and fence are those of the scenario’s level."),
  about: tr("How the drills file is written"), level: tr("Fielders"), pair: tr("Two hitters"), file: tr("File"),
}
const CALM = 250 // ms without a change before it is asked for
const LARGEST = 1_000_000 // bytes of a file
const USES = {
  spread: ["scatter", "draws"], remedy: ["goal"], target: ["level"], versus: ["pair", "scatter", "draws"],
  sheet: ["sheet", "scatter", "draws"],
}
const NAMES = { spread: WORDS.swings, versus: WORDS.each, sheet: WORDS.replays }

const make = (tag, fields) => Object.assign(document.createElement(tag), fields)
const options = (pairs) => pairs.map(([value, textContent]) => make("option", { value, textContent }))

class Inputs {
  constructor(model) {
    Object.assign(this, { model, rows: new Map(), wanted: {} })
    const { kinds, where, sets } = model.table
    this.root = make("div", { className: "root" })
    this.root.innerHTML = `
      <fieldset data-group="goal"><legend>${WORDS.goal}</legend>
        ${kinds.map(([kind, words]) => `<label class="tick"><input type="checkbox" value="${kind}"> ${words}</label>`).join("")}
        <div class="line"><label for="where">${WORDS.where}</label><select id="where"></select></div>
      </fieldset>
      <fieldset data-group="level"><legend>${WORDS.level}</legend><p class="quiet">${WORDS.fielders}</p></fieldset>
      <fieldset data-group="pair"><legend>${WORDS.pair}</legend>
        <div class="line"><label for="second">${WORDS.second}</label><select id="second"></select></div>
        <div class="line"><label for="pitches">${WORDS.pitches}</label><select id="pitches"></select></div>
        <div class="line"><label for="held">${WORDS.both}</label>
          <select id="held"><option value="">${WORDS.aim}</option><option value="held">${WORDS.held}</option></select></div>
        <div class="buttons"><button data-opens="pitches">${WORDS.openPitches}</button></div>
        <p class="quiet">${WORDS.drop}</p>
      </fieldset>
      <fieldset data-group="sheet"><legend>${WORDS.sheet}</legend>
        <div class="buttons"><button class="print">${WORDS.print}</button><button class="save">${WORDS.save}</button></div>
        <p class="whose quiet"></p>
        <div class="buttons"><button data-opens="drills">${WORDS.openDrills}</button>
          <button class="supplied">${WORDS.supplied}</button></div>
        <p class="quiet">${WORDS.drop} <a href="/docs/drills.md" target="_blank">${WORDS.about}</a></p>
      </fieldset>
      <fieldset data-group="scatter"><legend>${WORDS.scatter}</legend>
        <div class="rows"></div>
        <div class="line"><p class="quiet">${WORDS.note}</p><button class="typical">${WORDS.reset}</button></div>
      </fieldset>
      <fieldset data-group="draws"><legend>${WORDS.draws}</legend>
        <div class="line"><label for="swings"></label><select id="swings"></select></div>
        <div class="line"><label for="seed">${WORDS.seed}</label><input id="seed" type="text" inputmode="numeric" autocomplete="off">
          <button class="fresh">${WORDS.fresh}</button></div>
        <p class="quiet">${WORDS.same}</p>
      </fieldset>
      <input class="file" type="file" accept=".toml" aria-label="${WORDS.file}" hidden>`
    this.find = (selector) => this.root.querySelector(selector)
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.find("#where").append(...options(where))
    this.find("#pitches").append(...options(sets))
    this.scatter()
    this.goal()
    this.chosen()
    this.files()
    this.fill()
    this.show()
  }

  scatter() {
    for (const row of this.model.table.scatter) {
      const made = new NumberRow(row, (name, value) => this.move(name, value))
      made.mark = make("span", { className: "mark", textContent: WORDS.typical })
      made.element.append(made.mark)
      this.rows.set(row.key, made)
      this.find(".rows").append(made.element)
    }
    this.find(".typical").onclick = () => {
      this.wanted = {}
      this.say("scatter", Object.fromEntries([...this.rows.keys()].map((name) => [name, null])))
    }
  }

  // Moves of a slider pile up here until the viewer rests.
  move(name, value) {
    this.wanted[name] = value
    clearTimeout(this.waiting)
    this.waiting = setTimeout(() => {
      const wanted = this.wanted
      this.wanted = {}
      if (Object.keys(wanted).length) this.say("scatter", wanted)
    }, CALM)
  }

  goal() {
    const ask = () => {
      const kinds = [...this.root.querySelectorAll(".tick input:checked")].map((box) => box.value)
      this.say("goal", kinds, this.find("#where").value)
    }
    for (const box of this.root.querySelectorAll(".tick input")) box.onchange = ask
    this.find("#where").onchange = ask
  }

  chosen() {
    const { say, find } = this
    find("#second").onchange = ({ target }) => say("second", Number(target.value))
    find("#pitches").onchange = ({ target }) => say("pitches", target.value)
    find("#held").onchange = ({ target }) => say("held", target.value === "held")
    find("#swings").onchange = ({ target }) => say("swings", Number(target.value))
    find("#seed").onchange = ({ target }) => say("seed", target.value)
    find(".fresh").onclick = () => say("seed", crypto.getRandomValues(new Uint16Array(1))[0])
    find(".save").onclick = () => say("save")
    find(".supplied").onclick = () => say("supplied")
    find(".print").onclick = () => window.print()
  }

  files() {
    const file = this.find(".file")
    for (const button of this.root.querySelectorAll("[data-opens]")) {
      button.onclick = () => { file.dataset.kind = button.dataset.opens; file.click() }
    }
    file.onchange = async () => {
      if (file.files.length) await this.take(file.dataset.kind, file.files[0])
      file.value = ""
    }
    this.root.ondragover = (event) => event.preventDefault()
    this.root.ondrop = (event) => {
      event.preventDefault()
      const kind = { versus: "pitches", sheet: "drills" }[this.model.state.part]
      if (kind && event.dataTransfer.files.length) this.take(kind, event.dataTransfer.files[0])
    }
  }

  async take(kind, file) {
    this.say("file", kind, file.name.toWellFormed?.() ?? file.name, file.size <= LARGEST ? await file.arrayBuffer() : null)
  }

  fill() {
    fillScenarios(this.find("#second"), this.model.shelves, this.model.state.second)
  }

  show() {
    const { part, scatter, changed, seed, swings, kinds, where, second, pitches, own_pitches: own, held, own_drills: drills, metric } = this.model.state
    for (const group of this.root.querySelectorAll("[data-group]")) group.hidden = !USES[part].includes(group.dataset.group)
    for (const [name, row] of this.rows) {
      if (name in this.wanted) continue // the viewer has moved on
      row.show(scatter[name], metric)
      row.back.hidden = !changed.includes(name)
      row.mark.hidden = changed.includes(name)
      row.element.classList.toggle("changed", changed.includes(name))
    }
    this.find(".typical").disabled = !changed.length
    const count = this.model.table.swings[part]
    if (count) {
      this.find("#swings").replaceChildren(...options(count))
      this.find("#swings").value = String(swings)
      this.find('label[for="swings"]').textContent = NAMES[part]
    }
    if (this.root.activeElement !== this.find("#seed")) this.find("#seed").value = String(seed)
    for (const box of this.root.querySelectorAll(".tick input")) box.checked = kinds.includes(box.value)
    this.find("#where").value = where
    this.find("#second").value = String(second)
    for (const option of this.find("#pitches").options) option.hidden = option.disabled = option.value === "own" && !own
    this.find("#pitches").value = pitches
    this.find("#held").value = held ? "held" : ""
    this.find(".whose").textContent = drills ? WORDS.own : WORDS.theirs
    this.find(".supplied").hidden = !drills
  }
}

export function render({ model }) {
  const inputs = new Inputs(model)
  model.on("shelves", () => inputs.fill())
  model.on("state", () => inputs.show())
  return inputs.root
}
