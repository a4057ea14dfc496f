// The swings of a hitter by day, the newest first; notes are changed in place. Above them a form for one more.

import { asksFirst, labelled, make, options } from "plane3d/elements"
import { typed } from "plane3d/log_fields"
import { tr, trc } from "plane3d/words"

const WORDS = {
  add: tr("Add a swing by hand"), day: tr("Day"), source: tr("Where the numbers come from"), session: tr("Session"),
  note: trc("log", "Note"), figure: trc("log", "Figure"), value: tr("Value"), plus: tr("± (if known)"), more: tr("One more figure"),
  keep: tr("Keep this swing"), none: tr("No swings yet."), about: tr("Source and session"), remove: tr("Delete"),
  sure: tr("For good?"), yes: tr("Yes, delete"), no: tr("No"), points: tr("Save points"), number: tr("Swing"),
  hint: tr("For example a radar gun’s reading. ± is one standard deviation; leave it empty where it is not known."),
}

class Swings {
  constructor(model) {
    Object.assign(this, { model, opened: new Map(), drafts: new Map() })
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.days = make("div", { className: "days" })
    this.earlier = make("button", { className: "earlier", onclick: () => this.say("more") })
    this.root = make("div", { className: "root" }, this.form(), this.days, this.earlier)
    this.show()
  }

  // --- one more by hand --------------------------------------------------------------------------------------------

  form() {
    const text = () => make("input", { type: "text", maxLength: 10_000, autocomplete: "off" })
    this.fields = { day: make("input", { type: "date", required: true }), source: text(), session: text(), note: make("textarea", { rows: 1 }) }
    this.figures = make("div", { className: "figures" })
    const names = { day: WORDS.day, source: WORDS.source, session: WORDS.session, note: WORDS.note }
    const about = Object.entries(this.fields).map(([name, field]) => labelled(names[name], field))
    const more = make("button", { type: "button", textContent: WORDS.more, onclick: () => this.row().querySelector("select").focus() })
    const form = make("form", {}, make("div", { className: "fields" }, ...about), this.figures,
      make("div", { className: "buttons" }, more, make("button", { textContent: WORDS.keep })))
    form.onsubmit = (event) => {
      event.preventDefault()
      this.keep()
    }
    this.adding = make("details", { className: "box" },
      make("summary", { textContent: WORDS.add }), make("p", { className: "quiet", textContent: WORDS.hint }), form)
    return this.adding
  }

  asked() {
    const rows = [...this.figures.children].map((row) => [...row.querySelectorAll("select, input")].map(({ value }) => value))
    return [...typed(this.fields), rows]
  }

  keep() {
    this.sent = this.asked()
    this.say("swing", ...this.sent)
  }

  row() {
    const value = make("input", { type: "text", inputMode: "decimal", autocomplete: "off" })
    const plus = make("input", { type: "text", inputMode: "decimal", autocomplete: "off" })
    const name = make("select")
    const unit = make("span", { className: "unit" })
    const row = make("div", { className: "line" }, labelled(WORDS.figure, name), labelled(WORDS.value, value), labelled(WORDS.plus, plus), unit)
    name.onchange = () => this.units()
    this.figures.append(row)
    this.fill(name)
    const taken = [...this.figures.querySelectorAll("select")].filter((other) => other !== name).map((other) => other.value)
    name.value = this.free(taken)
    this.units()
    return row
  }

  free(taken) {
    const names = this.model.state.figures.flatMap(([, figures]) => figures.map(([name]) => name))
    return ["bat_speed_mph", "exit_speed_mph", "launch_angle_deg", ...names].find((name) => !taken.includes(name)) ?? names[0]
  }

  fill(list) {
    const now = list.value
    list.replaceChildren(...this.model.state.figures.map(([label, figures]) =>
      make("optgroup", { label }, ...options(figures.map(([name, words]) => [name, words])))))
    if (now) list.value = now
  }

  // The units follow the switch; what is typed stays as it is.
  units() {
    const units = new Map(this.model.state.figures.flatMap(([, figures]) => figures.map(([name, , unit]) => [name, unit])))
    for (const row of this.figures.children) row.querySelector(".unit").textContent = units.get(row.querySelector("select").value) ?? ""
  }

  done(form) {
    if (form !== "swing" || String(this.asked()) !== String(this.sent)) return // what has been typed since stays
    for (const row of this.figures.children) for (const field of row.querySelectorAll("input")) field.value = ""
    this.fields.note.value = ""
    this.figures.querySelector("input")?.focus()
  }

  // --- those there are ---------------------------------------------------------------------------------------------

  show() {
    const { code, days, hidden, today } = this.model.state
    if (code !== this.code) {
      this.code = code
      this.opened.clear()
      this.drafts.clear()
      this.figures.replaceChildren()
      for (const field of Object.values(this.fields)) field.value = ""
      this.fields.day.value = today
      this.adding.open = Boolean(code) && !days.length
    }
    if (!this.figures.children.length && this.model.state.figures.length) this.row()
    for (const list of this.figures.querySelectorAll("select")) this.fill(list)
    this.units()
    const focus = this.root.getRootNode().activeElement, where = focus?.dataset?.number && [focus.dataset.number, focus.selectionStart]
    this.days.replaceChildren(...(days.length ? days.map((day, place) => this.day(day, place)) : [make("p", { className: "quiet", textContent: WORDS.none })]))
    this.earlier.hidden = !hidden
    this.earlier.textContent = tr("Show earlier swings ({hidden} more)", { hidden })
    if (!where) return
    const again = this.days.querySelector(`textarea[data-number="${where[0]}"]`)
    again?.focus()
    again?.setSelectionRange(where[1], where[1])
  }

  day(day, place) {
    const fold = make("details", { open: this.opened.get(day.day) ?? place === 0 })
    fold.ontoggle = () => this.opened.set(day.day, fold.open)
    fold.append(make("summary", {}, make("b", { textContent: day.day }), ` ${day.count}`), this.table(day))
    if (day.about?.length) fold.firstChild.append(make("span", { className: "quiet", textContent: ` · ${day.about.join(" · ")}` }))
    return fold
  }

  table({ day, about, heads, swings }) {
    const names = [WORDS.number, ...heads, ...(about ? [] : [WORDS.about]), WORDS.note]
    const top = make("tr", {}, ...names.map((words) => make("th", { scope: "col", textContent: words })), make("td"))
    const rows = swings.map((swing) => this.swing(swing, names, !about))
    const table = make("table", { ariaLabel: day }, make("thead", {}, top), make("tbody", {}, ...rows))
    const wide = make("div", { className: "wide", tabIndex: 0, ariaLabel: day }, table)
    wide.setAttribute("role", "group")
    return wide
  }

  swing({ number, cells, about, note, measured }, names, tells) {
    const field = make("textarea", { rows: 1, maxLength: 10_000, value: this.drafts.get(number) ?? note, ariaLabel: tr("Note of swing {number}", { number }) })
    field.dataset.number = number
    field.oninput = () => this.drafts.set(number, field.value)
    field.onchange = () => {
      this.drafts.delete(number)
      this.say("note", number, field.value.toWellFormed?.() ?? field.value)
    }
    const tell = about.flatMap((text) => [make("span", { textContent: text }), make("br")]).slice(0, -1)
    const inside = [[String(number)], ...cells.map((text) => [text]), ...(tells ? [tell] : []), [field]]
    const row = make("tr", {}, ...inside.map((parts, place) => {
      const cell = make(place ? "td" : "th", {}, ...parts)
      if (!place) cell.scope = "row"
      if (place) cell.className = place <= cells.length ? "figure" : "text"
      cell.dataset.label = names[place]
      return cell
    }))
    const remove = asksFirst(WORDS.remove, WORDS.sure, WORDS.yes, WORDS.no, () => this.say("drop", number))
    const tools = measured ? [make("button", { className: "quietly", textContent: WORDS.points, onclick: () => this.say("points", number) }), remove] : [remove]
    row.append(make("td", { className: "tools" }, ...tools))
    return row
  }
}

export function render({ model }) {
  const swings = new Swings(model)
  model.on("state", () => swings.show())
  model.on("msg:custom", ({ form }) => swings.done(form))
  return swings.root
}
