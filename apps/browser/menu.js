// The menu: files and link, title and words, the lesson, and how the page is shown.

import { chooseLanguage, keepSure, keepTheme, languagePicker, theme, themePicker, unitsPicker } from "plane3d/settings"
import { read } from "plane3d/tab"
import { TakeHome } from "plane3d/take_home"
import { tr } from "plane3d/words"

const WORDS = {
  this: tr("This scenario"), save: tr("Save as a file"), open: tr("Open files"), copy: tr("Copy link"),
  files: tr("Scenario and lesson files"), link: tr("Link to this scenario"),
  drop: tr("Scenario and lesson files can also be dropped anywhere on the page."), words: tr("Title and words"),
  title: tr("Title"), question: tr("Question"), notice: tr("What to notice"), make: tr("Make a lesson"),
  lesson: tr("Title of the lesson"), empty: tr("No scenario in it yet."), add: tr("Add this scenario"),
  whole: tr("Save with its scenarios"), alone: tr("Save the lesson file alone"), page: tr("Page"),
  sure: tr("How sure?"), sureDoc: tr("Says under the result what the model's own coefficients leave open."),
  mode: tr("Lesson mode"), home: tr("Take home"), measured: tr("Measured swings"), documents: tr("Documents"),
}
const COPIED = tr("Link copied. It opens this scenario wherever plane3d runs at this address.")
const COPY = tr("Copy this link:")

const make = (tag, fields, ...children) => {
  const element = Object.assign(document.createElement(tag), fields)
  element.append(...children)
  return element
}

export class Menu {
  constructor(panel, button, say) {
    Object.assign(this, { panel, button, say, lesson: [], making: {} })
    panel.innerHTML = `
      <div class="part">
        <h2>${WORDS.this}</h2>
        <div class="buttons">
          <button class="save">${WORDS.save}</button><button class="open">${WORDS.open}</button><button class="copy">${WORDS.copy}</button>
        </div>
        <input class="files" type="file" multiple accept=".toml,.zip" aria-label="${WORDS.files}" hidden>
        <p class="said" role="status"></p>
        <input class="address" type="text" readonly aria-label="${WORDS.link}" hidden>
        <p class="hint">${WORDS.drop}</p>
        <details class="words"><summary>${WORDS.words}</summary>
          <label>${WORDS.title} <input class="title" name="title" type="text" maxlength="120"></label>
          <label>${WORDS.question} <textarea name="question" rows="3" maxlength="1000"></textarea></label>
          <label>${WORDS.notice} <textarea name="notice" rows="3" maxlength="1000"></textarea></label>
        </details>
      </div>
      <div class="part home"><h2>${WORDS.home}</h2></div>
      <div class="part lesson">
        <h2>${WORDS.make}</h2>
        <label>${WORDS.lesson} <input class="lessontitle" type="text" maxlength="120"></label>
        <ol></ol>
        <p class="hint empty">${WORDS.empty}</p>
        <div class="buttons">
          <button class="add">${WORDS.add}</button><button class="whole">${WORDS.whole}</button><button class="alone">${WORDS.alone}</button>
        </div>
      </div>
      <div class="part">
        <h2>${WORDS.page}</h2>
        ${unitsPicker()}
        ${themePicker()}
        ${languagePicker()}
        <label class="asks" title="${WORDS.sureDoc}"><input class="sure" type="checkbox"> ${WORDS.sure}</label>
        <p><a href="/lesson">${WORDS.mode}</a> · <a class="measured" href="/measured">${WORDS.measured}</a>
          · <a href="/docs/" target="_blank">${WORDS.documents}</a></p>
      </div>`
    this.find = (selector) => panel.querySelector(selector)
    this.home = [new TakeHome(say, "scenario"), new TakeHome(say, "lesson", true)]
    this.home.forEach(({ element }, i) => this.find(i ? ".lesson" : ".home").append(element))
    button.onclick = () => this.open(panel.hidden)
    panel.onkeydown = (event) => { if (event.key === "Escape") { this.open(false); button.focus() } }
    this.listen()
    chooseLanguage(this.find(".language"))
    this.paint(theme())
  }

  listen() {
    const { find, say } = this
    find(".save").onclick = () => say("save")
    find(".open").onclick = () => find(".files").click()
    find(".files").onchange = async ({ target }) => { say("open", await read(target.files)); target.value = "" }
    find(".copy").onclick = () => this.copy()
    for (const field of this.panel.querySelectorAll(".words input, .words textarea")) {
      field.onchange = () => say("words", { [field.name]: field.value })
    }
    find(".lessontitle").onchange = ({ target }) => say("lesson_title", target.value)
    find(".add").onclick = () => say("lesson_add")
    find(".whole").onclick = () => say("lesson_save", true)
    find(".alone").onclick = () => say("lesson_save", false)
    find(".measure").onchange = ({ target }) => say("measure", target.value === "metric")
    find(".sure").onchange = ({ target }) => { keepSure(target.checked); say("sure", target.checked) }
    find(".theme").onchange = ({ target }) => { keepTheme(target.value); this.paint(target.value) }
  }

  open(on) {
    this.panel.hidden = !on
    this.button.setAttribute("aria-expanded", on)
    this.panel.parentElement.classList.toggle("opened", on)
  }

  measure(metric) {
    this.find(".measure").value = metric ? "metric" : "us"
  }

  ask(on) {
    this.find(".sure").checked = !!on
  }

  show(kept) {
    this.link = `${location.origin}${location.pathname}#s=${kept.link}`
    this.find(".address").value = this.link
    this.find(".measured").href = `/measured#s=${kept.link}`
    for (const name of ["title", "question", "notice"]) this.put(this.find(`[name=${name}]`), kept[name])
    this.put(this.find(".lessontitle"), kept.lesson_title)
    if (kept.lesson.join("\n") !== this.lesson.join("\n")) this.list(kept.lesson)
    this.take(this.making)
    this.find(".empty").hidden = this.lesson.length > 0
    this.find(".whole").disabled = this.find(".alone").disabled = !this.lesson.length
  }

  // How far a file to take home is.
  take(state) {
    this.making = state
    this.home.forEach((part, i) => part.show(state, !!i && !this.lesson.length))
  }

  // What someone is writing stays; what is shown counts as unchanged.
  put(field, words) {
    const written = field.value !== field.defaultValue && field.getRootNode().activeElement === field
    field.defaultValue = words
    if (!written) field.value = words
  }

  // --- the lesson --------------------------------------------------------------------------------------------------

  list(titles) {
    this.lesson = titles
    const held = this.held // the row and button in use keep the focus
    const last = titles.length - 1
    this.find("ol").replaceChildren(...titles.map((title, place) => make("li", {},
      make("button", { className: "shown", textContent: title, onclick: () => this.say("lesson_show", place) }),
      this.step("↑", tr("Move up: {title}", { title }), place === 0, place, place - 1),
      this.step("↓", tr("Move down: {title}", { title }), place === last, place, place + 1),
      this.step("×", tr("Remove: {title}", { title }), false, place, null))))
    this.held = null
    if (!held) return
    const row = this.find("ol").children[Math.min(held.to ?? held.place, last)]
    const wanted = [...(row?.children ?? [])].find((button) => button.textContent === held.sign && !button.disabled)
    const other = wanted ?? row?.querySelector("button:enabled:not(.shown)") ?? this.find(".add")
    other.focus()
  }

  step(sign, words, disabled, place, to) {
    const button = make("button", { textContent: sign, title: words, disabled })
    button.setAttribute("aria-label", words)
    button.onclick = () => {
      this.held = { sign, place, to }
      if (to === null) this.say("lesson_remove", place)
      else this.say("lesson_move", place, to)
    }
    return button
  }

  // --- link and theme ----------------------------------------------------------------------------------------------

  async copy() {
    const address = this.find(".address")
    const copied = await navigator.clipboard?.writeText(this.link).then(() => true, () => false)
    this.find(".said").textContent = copied ? COPIED : COPY
    address.hidden = copied
    if (!copied) address.select()
  }

  paint(theme) {
    document.documentElement.dataset.theme = theme
    this.find(".theme").value = theme
    this.say("theme", theme)
  }
}
