// Marks in films: two views or one, each with its film, its marks and the steps that lead there. Pictures never leave
// the browser; the marks alone are sent to be worked out.

import { asksFirst } from "plane3d/elements"
import { handOver } from "plane3d/handing"
import { fillScenarios, whenReady } from "plane3d/scenarios"
import { showAnswer } from "plane3d/video_answer"
import { Canvas } from "plane3d/video_canvas"
import { Files } from "plane3d/video_files"
import { FilmError } from "plane3d/video_film"
import { act } from "plane3d/video_keys"
import { HTML } from "plane3d/video_layout"
import { NAMES, PARTS, TOP, Work } from "plane3d/video_marks"
import { Steps } from "plane3d/video_steps"
import { PART_WORDS, pointWords, sign } from "plane3d/video_words"
import { tr } from "plane3d/words"

const MODES = { true: NAMES, false: ["rear", "first-front", "third-front", `rear${TOP}`] }
const RATE = tr("State at what rate this view was filmed.")
const FIRST = tr("Open the film of this view.")

class Desk {
  constructor(model) {
    Object.assign(this, {
      model, films: [null, null], nows: [0, 0], place: 0, step: "film", asked: null, order: "round", drawn: null, sent: null,
    })
    this.work = new Work(() => this.show())
    this.root = document.createElement("div")
    this.root.className = "root"
    this.root.innerHTML = HTML
    this.find = (selector) => this.root.querySelector(selector)
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.canvas = new Canvas(this.find("canvas"), (pixel) => this.mark(pixel))
    this.steps = new Steps(this.find(".side"), this)
    this.files = new Files(this)
    this.ends = new AbortController()
    this.listen()
    this.fill()
    this.work.restore()
    this.show()
    whenReady(() => this.obey())
  }

  listen() {
    const { find } = this, on = (target, name, does) => target.addEventListener(name, does, { signal: this.ends.signal })
    for (const radio of this.root.querySelectorAll("[name=mode]")) radio.onchange = () => this.mode(radio.value === "two")
    this.tabs = [...this.root.querySelectorAll("[data-view]")]
    for (const tab of this.tabs) tab.onclick = () => this.turn(Number(tab.dataset.view))
    find(".views").onkeydown = (event) => {
      if (event.key === "ArrowLeft" || event.key === "ArrowRight") { this.turn(1 - this.place); this.tabs[this.place].focus() }
    }
    find("#scenario").onchange = ({ target }) => this.say("choose", Number(target.value))
    find("#bats").onchange = ({ target }) => this.say("bats", target.value)
    find(".save").onclick = () => handOver("swing.marks.json", JSON.stringify(this.file(), null, 1), "application/json")
    find(".try").onclick = () => this.files.tryExample()
    this.offerAnew()
    find(".open").onclick = () => find(".marks").click()
    find(".marks").onchange = ({ target }) => { this.files.openWork(target.files[0]); target.value = "" }
    find(".film-open").onclick = () => this.choose()
    find(".files").onchange = ({ target }) => { this.files.openFilm([...target.files]); target.value = "" }
    find(".work").onclick = () => { this.sent = this.work.version; this.say("work", JSON.stringify(this.file())) }
    for (const button of this.root.querySelectorAll("[data-by]")) button.onclick = () => this.go(this.now + Number(button.dataset.by))
    find(".slider").oninput = ({ target }) => this.go(Number(target.value))
    find(".larger").onclick = () => this.canvas.zoomBy(1.6)
    find(".smaller").onclick = () => this.canvas.zoomBy(1 / 1.6)
    find(".whole").onclick = () => this.canvas.fit()
    on(document, "keydown", (event) => act(this, event))
    const over = (yes) => find(".stage").classList.toggle("over", yes)
    on(document, "dragover", (event) => {
      if (!event.dataTransfer.types.includes("Files")) return
      event.preventDefault()
      over(true)
    })
    on(document, "dragleave", (event) => { if (!event.relatedTarget) over(false) })
    on(document, "drop", (event) => {
      over(false)
      if (!event.dataTransfer.files.length) return
      event.preventDefault()
      this.files.openAny([...event.dataTransfer.files])
    })
  }

  // To take all marks away, after one more question.
  offerAnew() {
    const act = () => { this.files.clear(); this.offerAnew() }
    const offer = asksFirst(tr("Start anew"), tr("Take all marks away?"), tr("Take them away"), tr("Keep them"), act)
    this.find(".anew").replaceChildren(offer)
  }

  // --- what there is -----------------------------------------------------------------------------------------------

  get view() { return this.work.views[this.place] }
  get film() { return this.films[this.place] }
  get now() { return this.nows[this.place] }

  get metric() { return this.model.state.metric }

  file() {
    return this.work.file(["first view", "second view"])
  }

  // --- what is said ------------------------------------------------------------------------------------------------

  fail(error) {
    if (!(error instanceof FilmError)) console.warn(error)
    this.tell(error instanceof FilmError ? error.message : tr("This film cannot be shown."), true)
  }

  tell(words, problem = false) {
    const line = this.find(".said")
    line.classList.toggle("problem", problem)
    line.textContent = words
  }

  choose() {
    this.find(".files").click()
  }

  // --- going about -------------------------------------------------------------------------------------------------

  mode(two) {
    this.work.state(null, "two", two)
    this.turn(two ? this.place : 0)
  }

  turn(place) {
    this.place = this.work.two ? place : 0
    this.drawn = null
    if (!this.film) this.step = "film"
    this.askNext()
    this.canvas.fit()
    this.go(this.now)
  }

  open(step) {
    this.step = step
    this.askNext()
    this.show()
  }

  // Show a frame; while one is on its way only the last wish counts.
  async go(number, place = this.place) {
    const film = this.films[place]
    if (!film) { this.show(); return }
    this.nows[place] = Math.min(Math.max(0, Math.round(number)), film.count - 1)
    this.show()
    if (this.loading) return
    this.loading = true
    try {
      while (this.film && (this.drawn?.film !== this.film || this.drawn.number !== this.now)) {
        const [wanted, of] = [this.now, this.film]
        const picture = await of.frame(wanted)
        if (of === this.film) this.drawn = { film: of, number: wanted, picture }
        this.show()
      }
    } catch (error) {
      this.fail(error)
    } finally {
      this.loading = false
    }
  }

  goTo(step, { frames, part, view, name }) {
    this.step = step
    if (frames) this.nows = [...frames]
    this.turn(view ?? this.place)
    this.ask(part ? ["marks", part] : ["known", name])
    this.find(".stage").scrollIntoView({ block: "nearest" })
  }

  // --- marks -------------------------------------------------------------------------------------------------------

  ask(asked) {
    this.asked = asked
    this.step = asked?.[0] === "known" ? "plate" : asked ? "swing" : this.step
    this.show()
  }

  // Ask for what the step at hand lacks first.
  askNext() {
    const { known, marks } = this.view
    if (this.step === "plate") {
      const next = MODES[this.work.two].find((name) => !(name in known))
      this.asked = next ? ["known", next] : null
    } else if (this.step === "swing") {
      this.asked = ["marks", PARTS.find((part) => !marks[part]?.[this.now]) ?? this.asked?.[1] ?? "knob"]
      if (!PARTS.includes(this.asked[1])) this.asked = ["marks", "knob"]
    } else this.asked = null
  }

  get where() {
    const [kind, name] = this.asked
    return kind === "known" ? ["known", name] : ["marks", name, this.now]
  }

  mark(pixel) {
    if (!this.asked || this.drawn?.film !== this.film || this.drawn.number !== this.now) return
    this.work.set(this.place, this.where, pixel.map((value) => Math.round(value * 100) / 100))
    this.onward()
  }

  // To the next part or frame.
  onward() {
    const [kind, name] = this.asked
    if (kind === "known") {
      const order = MODES[this.work.two], from = order.indexOf(name)
      const next = [...order.slice(from + 1), ...order.slice(0, from)].find((one) => !(one in this.view.known))
      this.ask(next ? ["known", next] : null)
      return
    }
    const later = this.order === "round" ? PARTS.slice(PARTS.indexOf(name) + 1) : []
    const next = later.find((part) => !this.view.marks[part]?.[this.now])
    if (next) this.ask(["marks", next])
    else {
      if (this.order === "round") this.asked = ["marks", PARTS[0]]
      this.go(this.now + 1)
    }
  }

  skip() {
    if (this.asked) this.onward()
  }

  remove() {
    if (this.asked && this.work.get(this.place, this.where)) this.work.set(this.place, this.where, null)
  }

  nudge(x, y) {
    const { last } = this.work
    if (!last) return
    this.goToMark(last)
    const [a, b] = this.work.get(last.view, last.where)
    this.work.set(last.view, last.where, [a + x, b + y], true)
  }

  undo() { this.goToMark(this.work.undo()) }
  redo() { this.goToMark(this.work.redo()) }

  // Show where a step of the work was.
  goToMark(step) {
    if (!step) return
    const [kind, name, frame] = step.where
    if (step.view !== this.place) this.turn(step.view)
    if (kind === "contact") this.step = "contact"
    else this.ask([kind, name])
    if (kind === "marks") this.go(frame)
  }

  contactAt(frame) {
    this.work.set(this.place, ["contact"], frame === null ? null : Math.round(frame * 100) / 100, true)
  }

  state(name, value) { this.work.state(this.place, name, value) }

  fileRate(rate) {
    if (this.film && rate > 0) {
      this.film.setRate(rate)
      this.film.guessed = false
    }
    this.drawn = null
    this.go(this.now)
  }

  // --- what is shown -----------------------------------------------------------------------------------------------

  fill() {
    fillScenarios(this.find("#scenario"), this.model.shelves, this.model.state.chosen)
  }

  show() {
    const { work, film, place, now } = this
    for (const radio of this.root.querySelectorAll("[name=mode]")) radio.checked = (radio.value === "two") === work.two
    this.find(".views").hidden = !work.two
    for (const tab of this.tabs) {
      const on = Number(tab.dataset.view) === place
      tab.setAttribute("aria-selected", String(on))
      tab.tabIndex = on ? 0 : -1
    }
    this.find(".drop").hidden = Boolean(film)
    this.find(".stage").style.setProperty("--shape", film ? film.width / film.height : 1.6)
    const slider = this.find(".slider")
    slider.max = String(Math.max(0, (film?.count ?? 1) - 1))
    slider.value = String(now)
    for (const part of this.root.querySelectorAll(".steppers button, .slider")) part.disabled = !film
    const counted = film ? tr("Frame {now} of 0 to {last}", { now, last: film.count - 1 }) : ""
    this.find(".now").textContent = film ? `${counted} ${film.title(now)}` : ""
    this.steps.show()
    this.showAsked()
    this.canvas.show(film && this.drawn?.film === film ? this.drawn.picture : null, this.marksShown(), this.bat())
    this.root.dataset.frame = film && this.drawn?.film === film ? String(this.drawn.number) : ""
    this.stale()
  }

  // What is asked for stands over the picture, unless a fault is to be read.
  showAsked() {
    const line = this.find(".said")
    if (line.classList.contains("problem") || (!this.film && line.textContent && line.textContent !== FIRST)) return
    const words = this.film ? this.wanted() : FIRST
    if (line.textContent !== words) line.textContent = words
  }

  wanted() {
    const { step, asked, now, view: { contact, rate_hz: rate } } = this
    if (asked?.[0] === "known") return tr("Mark point {sign}: {point}.", { sign: sign(asked[1]), point: pointWords(asked[1]) })
    if (asked) return tr("Mark the {part} in frame {frame}.", { part: PART_WORDS[asked[1]], frame: now })
    if (step === "film") return rate ? tr("Now mark the plate.") : RATE
    if (step === "plate") return tr("All points asked for are marked. Next comes contact.")
    return contact === null ? tr("Go to the last frame before contact, and say so.")
      : tr("Contact is at frame {contact}. Now mark bat and ball.", { contact })
  }

  marksShown() {
    const { known, marks } = this.view, { now } = this
    const points = Object.entries(known).map(([name, at]) => ({
      kind: "known", at, name: sign(name), faint: this.step === "swing", low: name.startsWith("first"),
    }))
    const there = PARTS.flatMap((part) => [[now - 1, true], [now, false]].filter(([frame]) => marks[part]?.[frame])
      .map(([frame, faint]) => ({ kind: part, at: marks[part][frame], faint })))
    return this.step === "film" ? [] : [...points, ...there]
  }

  bat() {
    const { knob, tip } = this.view.marks, { now } = this
    return this.step !== "film" && knob?.[now] && tip?.[now] ? [[knob[now], tip[now]]] : []
  }

  stale() {
    const old = this.sent !== null && this.sent !== this.work.version
    document.documentElement.toggleAttribute("data-stale", old)
    const { headline, problem, running } = this.model.state, line = this.find(".headline")
    const words = old && !running ? tr("Something has changed since; work it out anew.") : headline
    line.classList.toggle("problem", Boolean(problem) && !old)
    if (line.textContent !== words) line.textContent = words
    this.find(".work").disabled = Boolean(running)
  }

  // The server's answer.
  obey() {
    const { chosen, bats, answer, found } = this.model.state
    document.documentElement.toggleAttribute("data-found", found)
    this.find("#scenario").value = String(chosen)
    this.find("#bats").value = bats
    if (answer !== this.answered) showAnswer(this.find(".answer"), answer, (step, where) => this.goTo(step, where))
    this.answered = answer
    this.show()
  }

  hear({ do: what, data }) {
    if (what === "take") this.files.take(data)
    if (what === "refuse") this.tell(data, true)
  }

  delete() {
    this.ends.abort()
    this.canvas.delete()
    for (const film of this.films) film?.close()
  }
}

export function render({ model }) {
  const desk = new Desk(model)
  model.on("shelves", () => desk.fill())
  model.on("state", () => desk.obey())
  model.on("msg:custom", (message) => desk.hear(message))
  model.on("remove", () => desk.delete())
  return desk.root
}
