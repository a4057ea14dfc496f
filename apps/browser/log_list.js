// All hitters of the log, a form for a new one, and what can be done with the whole log.

import { make } from "plane3d/elements"
import { hitterFields, typed } from "plane3d/log_fields"
import { tr } from "plane3d/words"

const WORDS = {
  hitters: tr("Hitters"), none: tr("No hitters yet."), add: tr("Add a hitter"), keep: tr("Add"), whole: tr("The whole log"),
  backup: tr("Save a backup"), open: tr("Restore a backup"), exportAll: tr("Export all as CSV"),
  drop: tr("A backup can also be dropped here."), replace: tr("Replace the log"), cancel: tr("Leave the log as it is"),
  about: tr("About the log"), file: tr("Backup file"), old: tr("Whoever was deleted since that backup comes back."),
}
const LARGEST = 14_000_000 // bytes of a backup: a message to the server may have 20 MB, and carries it in more letters

class List {
  constructor(model) {
    this.model = model
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.hitters = make("ul", { className: "hitters" })
    this.root = make("div", { className: "root" }, make("h2", { textContent: WORDS.hitters }), this.hitters, this.form(), this.whole())
    this.show()
  }

  form() {
    const { fields, rows } = hitterFields(this.model.table)
    this.fields = fields
    const form = make("form", {}, ...rows, make("button", { textContent: WORDS.keep }))
    form.onsubmit = (event) => {
      event.preventDefault()
      this.say("add", ...typed(fields))
    }
    this.adding = make("details", { className: "box" },
      make("summary", { textContent: WORDS.add }), make("p", { className: "privacy", textContent: this.model.table.privacy }), form)
    return this.adding
  }

  whole() {
    const file = make("input", { type: "file", accept: ".sqlite", hidden: true, ariaLabel: WORDS.file })
    file.onchange = async () => {
      if (file.files.length) await this.take(file.files[0])
      file.value = ""
    }
    const button = (words, act) => make("button", { textContent: words, onclick: act })
    this.kept = [button(WORDS.backup, () => this.say("backup")), button(WORDS.exportAll, () => this.say("export"))]
    this.asked = make("div", { className: "pending", hidden: true })
    const about = make("a", { href: "/docs/log.md", target: "_blank", textContent: WORDS.about })
    const box = make("details", { className: "box", open: matchMedia("(min-width: 1001px)").matches }, // as in log.css
      make("summary", { textContent: WORDS.whole }),
      make("div", { className: "buttons" }, ...this.kept, button(WORDS.open, () => file.click()), file),
      make("p", { className: "quiet" }, `${WORDS.drop} `, about), this.asked)
    document.addEventListener("dragover", this.hover = (event) => event.preventDefault())
    document.addEventListener("drop", this.dropped = (event) => {
      event.preventDefault()
      if (event.dataTransfer.files.length) this.take(event.dataTransfer.files[0])
    })
    return box
  }

  async take(file) {
    this.say("file", file.name.toWellFormed?.() ?? file.name, file.size <= LARGEST ? await file.arrayBuffer() : null)
  }

  done(form) {
    if (form !== "add") return
    for (const field of Object.values(this.fields)) field.value = ""
    this.adding.open = false
  }

  show() {
    const { hitters, chosen, pending, holds } = this.model.state
    this.hitters.replaceChildren(...hitters.map(({ code, about, swings }) => {
      const button = make("button", { onclick: () => this.say("choose", code) },
        make("b", { textContent: code }), ...(about ? [make("span", { textContent: about })] : []), make("span", { textContent: swings }))
      button.setAttribute("aria-pressed", String(code === chosen))
      return make("li", {}, button)
    }))
    if (!hitters.length) this.hitters.append(make("li", { className: "quiet", textContent: WORDS.none }))
    if (!hitters.length && !this.shown) this.adding.open = true
    this.shown = true
    for (const button of this.kept) button.disabled = !hitters.length
    this.ask(pending, hitters.length ? holds : "")
  }

  // A backup that has been checked waits for a word.
  ask(pending, holds) {
    if (this.asked.hidden === !pending && pending === this.asking) return
    this.asking = pending
    this.asked.hidden = !pending
    if (pending) this.asked.closest("details").open = true
    const yes = make("button", { className: "danger", textContent: WORDS.replace, onclick: () => this.say("restore") })
    const no = make("button", { textContent: WORDS.cancel, onclick: () => this.say("forget") })
    this.asked.replaceChildren(...(pending ? [
      make("p", { textContent: `${pending} ${holds} ${WORDS.old}` }), make("div", { className: "buttons" }, yes, no),
    ] : []))
    if (pending) no.focus()
  }

  delete() {
    document.removeEventListener("dragover", this.hover)
    document.removeEventListener("drop", this.dropped)
  }
}

export function render({ model }) {
  const list = new List(model)
  model.on("state", () => list.show())
  model.on("msg:custom", ({ form }) => list.done(form))
  model.on("remove", () => list.delete())
  return list.root
}
