// The chosen hitter: who it is, the views with what they may be asked, changing, exporting, deleting for good.

import { labelled, make, options, tabKeys } from "plane3d/elements"
import { hitterFields, typed } from "plane3d/log_fields"
import { tr, trc } from "plane3d/words"

const WORDS = {
  choose: tr("Choose a hitter, or add one."), change: tr("Change"), save: tr("Save"), exportOne: tr("Export as CSV"),
  remove: tr("Delete for good"), type: tr("Type the code to confirm"), removeIt: tr("Delete this hitter for good"),
  all: tr("The hitter, all swings, notes and points are deleted, and their bytes in the file are overwritten. This cannot be undone."),
  copies: tr("Backups, exported files and copies made earlier still hold the hitter: delete those too."),
  views: tr("Views"), swings: tr("Swings"), trend: tr("Trend"), compare: tr("Before and after"), figure: trc("log", "Figure"),
  split: tr("After begins on"),
}
const VIEWS = ["swings", "trend", "compare"]

class Hitter {
  constructor(model) {
    this.model = model
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.empty = make("p", { className: "quiet", textContent: WORDS.choose })
    this.name = make("h2")
    this.about = make("p", { className: "quiet about" })
    this.body = make("div", { className: "body" }, this.name, this.about, this.tools(), this.tabs(), this.asking())
    this.root = make("div", { className: "root" }, this.empty, this.body)
    this.show()
  }

  tools() {
    const { fields, rows } = hitterFields(this.model.table)
    this.fields = fields
    const form = make("form", {}, ...rows, make("button", { textContent: WORDS.save }))
    form.onsubmit = (event) => {
      event.preventDefault()
      this.say("change", ...typed(fields))
    }
    this.changing = make("details", { className: "fold" }, make("summary", { textContent: WORDS.change }), form)
    this.typed = make("input", { type: "text", autocomplete: "off" })
    this.remove = make("button", { className: "danger", textContent: WORDS.removeIt, disabled: true })
    this.typed.oninput = () => { this.remove.disabled = this.typed.value.trim() !== this.model.state.hitter?.code }
    const sure = make("form", {}, make("p", { textContent: `${WORDS.all} ${WORDS.copies}` }), labelled(WORDS.type, this.typed), this.remove)
    sure.onsubmit = (event) => {
      event.preventDefault()
      if (!this.remove.disabled) this.say("delete", this.typed.value)
    }
    this.deleting = make("details", { className: "fold" }, make("summary", { textContent: WORDS.remove }), sure)
    this.changing.name = this.deleting.name = "tools" // one at a time
    const exporting = make("button", { textContent: WORDS.exportOne, onclick: () => this.say("export") })
    return make("div", { className: "tools" }, this.changing, exporting, this.deleting)
  }

  tabs() {
    this.views = VIEWS.map((name) => {
      const tab = make("button", { role: "tab", textContent: WORDS[name], onclick: () => this.say("view", name) })
      tab.setAttribute("role", "tab")
      tab.dataset.view = name
      return tab
    })
    const list = make("div", { className: "tabs" }, ...this.views)
    list.setAttribute("role", "tablist")
    list.setAttribute("aria-label", WORDS.views)
    tabKeys(list, this.views, (tab) => this.say("view", tab.dataset.view))
    return list
  }

  asking() {
    this.figure = make("select", { onchange: ({ target }) => this.say("figure", target.value) })
    this.split = make("input", { type: "date", onchange: ({ target }) => { if (target.value) this.say("split", target.value) } })
    this.asks = { trend: labelled(WORDS.figure, this.figure), compare: labelled(WORDS.split, this.split) }
    return make("div", { className: "asking" }, ...Object.values(this.asks))
  }

  done(form) {
    if (form === "change") this.changing.open = false
    if (form === "delete") this.deleting.open = false
  }

  show() {
    const { hitter, swings, view, figures, figure, split, alt } = this.model.state
    const page = document.documentElement
    page.toggleAttribute("data-chosen", Boolean(hitter))
    page.dataset.view = view
    this.empty.hidden = Boolean(hitter)
    this.body.hidden = !hitter
    if (alt) document.querySelector(".drawing")?.setAttribute("aria-label", alt)
    if (!hitter) return this.fillIn(null)
    this.name.textContent = hitter.code
    this.about.textContent = hitter.note
    this.about.hidden = !hitter.note
    this.fillIn(hitter)
    for (const tab of this.views) {
      tab.setAttribute("aria-selected", String(tab.dataset.view === view))
      tab.tabIndex = tab.dataset.view === view ? 0 : -1
    }
    for (const [name, row] of Object.entries(this.asks)) row.hidden = name !== view || !swings
    this.figure.replaceChildren(...options(figures))
    this.figure.value = figure
    if (document.activeElement?.shadowRoot?.activeElement !== this.split) this.split.value = split
  }

  // The form follows the hitter, unless it is open with something typed for this one.
  fillIn(hitter) {
    const same = hitter && this.filled && JSON.stringify(hitter) === JSON.stringify(this.filled)
    if (same) return
    if (hitter?.code !== this.filled?.code) {
      this.changing.open = this.deleting.open = false
      this.typed.value = ""
      this.remove.disabled = true
    }
    this.filled = hitter && { ...hitter }
    const { code = "", bats = "", level = "", note = "" } = hitter ?? {}
    Object.entries({ code, side: bats, level, note }).forEach(([name, value]) => { this.fields[name].value = value })
  }
}

export function render({ model }) {
  const hitter = new Hitter(model)
  model.on("state", () => hitter.show())
  model.on("msg:custom", ({ form }) => hitter.done(form))
  return hitter.root
}
