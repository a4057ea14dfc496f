// Lesson mode: what the presenter's keys do, and what of the lesson is on the screen. The answer comes from Python
// when it is asked for; the hands, the countdown and the place in the lesson belong to the browser.

import { chooseLanguage, keepTheme, keepUnits, theme, units } from "plane3d/settings"
import { Tally } from "plane3d/lesson_tally"
import {
  choiceRows, ending, figures, helpText, LETTERS, ribbon, shelf, toolButtons, WORDS,
} from "plane3d/lesson_parts"
import { handOver } from "plane3d/handing"
import { TakeHome } from "plane3d/take_home"
import { Through } from "plane3d/through"

const TOOLS_REST = 3000 // ms without a move of the pointer after which the buttons go
const ACTS = {
  ArrowRight: "next", PageDown: "next", " ": "next", ArrowLeft: "back", PageUp: "back",
  r: "reveal", b: "reveal", ".": "reveal", v: "view", f: "full", p: "play", t: "timer",
  h: "sliders", c: "sliders", u: "units", "?": "help", Escape: "leave",
}
const OWN_KEYS = { BUTTON: [" ", "Enter"], A: ["Enter"], SUMMARY: [" ", "Enter"] } // of what has the focus
const still = () => matchMedia("(prefers-reduced-motion: reduce)").matches

// What Python changes before a page is idle may never reach it; so nothing is asked for before then.
function whenIdle(act) {
  const page = window.Bokeh.documents.at(-1)
  if (page.is_idle) act()
  else page.idle.connect(act)
}

class Lesson {
  constructor(model) {
    Object.assign(this, { model, stage: null, stageRoot: null, shown: null, tally: null })
    this.through = new Through(() => this.state.revealed && this.say("play", true))
    this.metric = units()
    this.at = null // the step asked for last, so that two quick presses are two steps
    this.root = document.createElement("div")
    this.root.className = "root"
    this.root.innerHTML = `
      <header><span class="title"></span><span class="count"></span><span class="timer" role="timer" hidden></span></header>
      <h1 class="question" tabindex="-1"></h1>
      <ol class="choices"></ol>
      <p class="room"></p>
      <div class="answer" hidden><p class="result"></p><p class="notice"></p><div class="numbers"></div><div class="ribbon"></div></div>
      <div class="list"></div>
      <p class="problem" role="alert"></p>
      <p class="hint">${WORDS.hint}</p>
      <p class="spoken" role="status" aria-live="polite"></p>
      <nav class="tools" aria-label="${WORDS.tools}">${toolButtons()}</nav>
      <dialog class="help" aria-label="${WORDS.keys}">${helpText()}</dialog>`
    this.find = (selector) => this.root.querySelector(selector)
    this.say = (what, ...values) => whenIdle(() => model.send_msg({ do: what, with: values }))
    this.listen()
    this.show()
  }

  listen() {
    const here = { signal: (this.ending = new AbortController()).signal }
    document.addEventListener("keydown", (event) => this.key(event), { ...here, capture: true })
    document.addEventListener("stage-frame", (event) => this.frame(event), here)
    document.addEventListener("share-tally", (event) => this.hear(event.detail), here)
    document.addEventListener("pointermove", (event) => event.pointerType === "mouse" && this.offer(), here)
    this.find(".tools").onclick = (event) => this.press(event.target.dataset.act)
    this.find(".choices").onclick = (event) => this.count(event.target)
    for (const part of [".tools", ".choices"]) { // a click leaves the keys to the lesson
      this.find(part).onmousedown = (event) => event.preventDefault()
    }
    if (matchMedia("(hover: none)").matches) this.find(".tools").classList.add("shown")
    this.observer = new ResizeObserver(() => this.drawRibbon())
    this.observer.observe(this.root)
    const page = window.Bokeh?.documents?.at(-1)
    page?.on_event("connection_lost", () => { this.find(".problem").textContent = WORDS.lost })
  }

  // --- what Python sends -------------------------------------------------------------------------------------------

  show() {
    const state = (this.state = this.model.state), away = !!state.lessons || state.step === state.steps?.length
    document.body.classList.toggle("away", away)
    document.body.classList.toggle("revealed", !!state.revealed)
    this.root.classList.toggle("revealed", !!state.revealed)
    this.find(".problem").textContent = state.problem || ""
    this.find(".hint").hidden = this.used || away
    this.find(".tools").hidden = !!state.lessons
    if (state.lessons) this.showShelf(state.lessons)
    else this.showStep(state, away)
  }

  showShelf(lessons) {
    this.find("h1").textContent = WORDS.choose
    this.find(".list").innerHTML = shelf(lessons)
    this.offerHome(lessons.map(({ name }, i) => [name, this.root.querySelectorAll(".shelf li")[i]]))
    const [measure, paint] = [this.find(".measure"), this.find(".theme")]
    measure.value = this.metric ? "metric" : "us"
    measure.onchange = () => this.measure(measure.value === "metric")
    paint.value = theme()
    paint.onchange = () => { keepTheme(paint.value); document.documentElement.dataset.theme = paint.value }
    chooseLanguage(this.find(".language"))
  }

  showStep(state, away) {
    this.tally ||= new Tally(state.name)
    this.at ??= state.step
    const other = this.shown?.step !== state.step, { answer } = state
    document.title = `${state.title} - plane3d`
    this.find(".title").textContent = state.title
    this.find(".count").textContent = away ? "" : WORDS.count(state.step + 1, state.steps.length)
    if (other) {
      this.stopTimer()
      this.tally.leave()
      this.find("h1").textContent = away ? WORDS.end : state.question
      this.find(".choices").innerHTML = away ? "" : choiceRows(state.choices)
      history.replaceState(null, "", `?${new URLSearchParams({ lesson: state.name, step: state.step + 1 })}`)
      this.root.parentElement?.scrollTo?.(0, 0)
    }
    if (answer) {
      this.tally.right[state.step] = answer.right
      this.tally.keep()
    }
    this.find(".list").innerHTML = away ? ending(state, this.tally) : ""
    this.offerHome(away ? [[state.name, this.find(".list")]] : [])
    this.showAnswer(state)
    this.drawTally()
    if (answer && !this.shown?.answer) this.find(".answer").scrollIntoView({ block: "nearest" })
    if (this.shown === null) this.restore()
    else if (answer && (other || !this.shown.answer)) this.speak(this.spoken(answer))
    else if (other) this.speak(away ? WORDS.end : state.question)
    this.shown = state
  }

  showAnswer({ answer, changed }) {
    this.find(".answer").hidden = !answer
    this.find(".result").textContent = changed ? WORDS.changed(changed) : answer?.sentence ?? ""
    this.find(".notice").textContent = changed ? "" : answer?.notice ?? ""
    this.find(".numbers").innerHTML = answer && !changed ? figures(answer) : ""
    this.drawRibbon()
  }

  // Files of lessons to take home, each lesson's in its place, in the units and colours of the page.
  offerHome(places) {
    const say = (...message) => { this.say("look", theme(), this.metric); this.say(...message) }
    this.homes = places.map(([name, place]) => {
      const part = new TakeHome(say, name, true)
      place.append(part.element)
      return part
    })
    this.showHome()
  }

  showHome() { for (const part of this.homes) part.show(this.model.home) }

  // After a reload: an answer that had been shown on this step is there again. The scene is asked for as pages are shown.
  restore() {
    if (theme() === "dark" || this.metric) this.say("look", theme(), this.metric)
    if (this.wasOpen(this.at)) this.go(this.at)
  }

  drawRibbon() {
    const holder = this.find(".ribbon"), { answer, changed } = this.state
    const strip = changed ? null : answer?.strip, width = holder.clientWidth
    if (!strip || !width) holder.replaceChildren()
    else holder.innerHTML = ribbon(strip, width, parseFloat(getComputedStyle(holder).fontSize))
  }

  // --- the room ----------------------------------------------------------------------------------------------------

  drawTally() {
    const { step, choices = [], answer } = this.state, { tally } = this
    const counts = tally.counts(step, choices.length), all = counts.reduce((sum, count) => sum + count, 0)
    this.find(".choices").classList.toggle("uncounted", !all)
    this.find(".choices").querySelectorAll("li").forEach((row, i) => {
      row.classList.toggle("typed", tally.row === i)
      row.classList.toggle("right", answer?.right === i)
      row.querySelector("output").textContent = all || tally.row === i ? counts[i] : ""
      row.querySelector(".bar b").style.width = `${all ? (100 * counts[i]) / all : 0}%`
    })
    const score = answer && tally.score(step)
    this.find(".room").textContent = score ? WORDS.room(score.right, score.all) : ""
  }

  // What the viewers predict, from share.js.
  hear({ lesson, place, tally }) {
    const { state } = this
    if (!this.tally || state.name !== lesson || (state.revealed && !tally.some(Boolean))) return // a new server knows none
    this.tally.hear(place, tally)
    if (state.step === place && state.choices) this.drawTally()
  }

  count(button) {
    const by = Number(button.dataset.add), row = button.closest("li")
    if (!by || !row) return
    this.tally.add(this.state.step, this.state.choices.length, Number(row.dataset.choice), by)
    this.drawTally()
  }

  spoken({ right, sentence }) {
    const which = right === null ? "" : `${LETTERS[right]}. ${this.state.choices[right]}. `
    return WORDS.answer(which + sentence)
  }

  speak(words) { this.find(".spoken").textContent = words }

  // --- the keys ----------------------------------------------------------------------------------------------------

  key(event) {
    if (event.ctrlKey || event.altKey || event.metaKey || this.find("dialog").open) return
    const at = event.composedPath()[0], { key } = event
    if (["INPUT", "SELECT", "TEXTAREA"].includes(at.tagName)) {
      if (key !== "Escape") return
      at.blur()
    }
    if (OWN_KEYS[at.tagName]?.includes(key) && !at.closest("dialog")) return // a closed dialog may keep the focus
    const done = this.state.lessons ? this.choose(key) : this.obey(key)
    if (!done) return
    event.preventDefault()
    event.stopPropagation()
  }

  choose(key) {
    const link = this.root.querySelectorAll(".shelf .name")[Number(key) - 1]
    link?.click()
    return !!link || (key === "Escape" && this.press("leave"))
  }

  obey(key) {
    const act = ACTS[key.length === 1 ? key.toLowerCase() : key]
    if (act) return this.press(act)
    const typed = this.tally.type(key, this.state.step, this.state.choices?.length)
    if (typed) this.drawTally()
    return typed
  }

  press(act) {
    if (!act) return false
    this.used = true
    this.find(".hint").hidden = true
    this[act]()
    return true
  }

  // Another step; one whose answer has been shown comes with it, at rest.
  go(step) {
    if (step < 0 || step > this.state.steps.length) return
    this.through.leave()
    this.at = step
    this.say("show", step, this.wasOpen(step), false)
  }

  wasOpen(step) { return step in this.tally.right }

  next() { this.go(this.at + 1) }

  back() { this.go(this.at - 1) }

  reveal() {
    if (this.at >= this.state.steps.length) return
    const open = this.at === this.state.step ? this.state.revealed : this.wasOpen(this.at)
    this.tally.leave()
    if (open) {
      delete this.tally.right[this.at]
      this.tally.keep()
    }
    const move = !open && !still()
    if (move) this.through.ask()
    else this.through.leave()
    this.say("show", this.at, !open, move)
  }

  play() {
    this.through.leave()
    this.say("play", !this.stage?.playing)
  }

  view() { this.say("view", this.stageRoot?.dataset.view ?? "") }

  units() { this.measure(!this.metric) }

  measure(metric) {
    this.metric = metric
    keepUnits(metric)
    this.say("look", theme(), metric)
  }

  sliders() { document.body.classList.toggle("asked") }

  full() {
    if (document.fullscreenElement) document.exitFullscreen()
    else document.documentElement.requestFullscreen?.().catch(() => {}) // a browser may refuse; the lesson goes on
  }

  help() { this.find("dialog").showModal() }

  leave() {
    if (document.body.classList.contains("asked")) this.sliders()
    else location.assign("/")
  }

  // --- the countdown -----------------------------------------------------------------------------------------------

  timer() {
    if (this.ticking || !this.find(".timer").hidden) { this.stopTimer(); return }
    if (!this.state.seconds) return
    this.until = performance.now() + this.state.seconds * 1000
    this.ticking = setInterval(() => this.tick(), 200)
    this.tick()
  }

  tick() {
    const left = Math.max(Math.ceil((this.until - performance.now()) / 1000), 0), clock = this.find(".timer")
    clock.hidden = false
    clock.classList.toggle("over", !left)
    clock.textContent = left ? `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}` : WORDS.over
    if (left) return
    clearInterval(this.ticking)
    this.ticking = null
    this.speak(WORDS.over)
  }

  stopTimer() {
    clearInterval(this.ticking)
    this.ticking = null
    this.find(".timer").hidden = true
  }

  // --- the stage ---------------------------------------------------------------------------------------------------

  // Where the stage is.
  frame(event) {
    this.stageRoot = event.composedPath()[0]
    this.stage = event.detail
    if (this.state.revealed) this.through.frame(this.stage)
  }

  offer() {
    const tools = this.find(".tools")
    tools.classList.add("shown")
    clearTimeout(this.resting)
    if (!matchMedia("(hover: none)").matches) {
      this.resting = setTimeout(() => tools.classList.remove("shown"), TOOLS_REST)
    }
  }

  delete() {
    this.ending.abort()
    this.through.leave()
    this.observer.disconnect()
    this.stopTimer()
    clearTimeout(this.resting)
  }
}

export function render({ model }) {
  const lesson = new Lesson(model)
  model.on("state", () => lesson.show())
  model.on("home", () => lesson.showHome())
  model.on("msg:custom", ({ do: what, name, data }) => what === "file" && handOver(name, data))
  model.on("remove", () => lesson.delete())
  return lesson.root
}
