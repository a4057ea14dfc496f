// Beside the picture: the four steps from a film to its marks. Each shows what is done in it and what is still to do.

import { CORNERS, NAMES, PARTS, TOP } from "plane3d/video_marks"
import { PART_WORDS, capital, isTop, pointWords, sign } from "plane3d/video_words"
import { tr, trc } from "plane3d/words"

export const STEPS = ["film", "plate", "contact", "swing"]
const LABELS = { film: tr("Film"), plate: tr("Plate"), contact: tr("Contact"), swing: tr("Swing") }
const WORDS = {
  steps: tr("Steps"), open: tr("Open a film"), another: tr("Open another film"),
  rate: tr("Filmed at, frames a second"), file: tr("The file plays, frames a second"), as: tr("As the file plays"),
  unknown: tr("unknown"),
  guessed: tr("This browser does not tell how many frames a second the file plays; 30 are taken. State it where it is another."),
  uneven: tr("The frames of this film do not come evenly; moments are off by part of a frame."),
  slow: tr("A slow-motion film was filmed faster than its file plays, often at 120 or 240 frames a second. State the rate at which it was filmed."),
  plan: tr("The plate from above, the pitcher up. A number with an arrow is the top of the stick stood on that corner."),
  plate: tr("Mark what is asked for in the picture. The camera stands still, so any frame will do, or another film from the same camera."),
  six: tr("At least six points, tops of the stick among them."),
  one: tr("Rear point, the front corner nearer to the camera, and the top of the stick."),
  contact: tr("Step to the last frame before the bat touches the ball. Then say how far on to the next frame they touch."),
  here: tr("This is the last frame before contact"), at: tr("Contact at frame"), share: tr("Of the way to the next frame"),
  part: tr("What is marked"), then: tr("After a mark"), round: tr("next part, then next frame"), same: tr("next frame"),
  skip: tr("Not seen here"), undo: tr("Undo"), redo: tr("Redo"), remove: tr("Remove it"),
  nudge: tr("Move the last mark by a pixel"), clear: tr("Go to the first of them"),
}
// Lengths by the unit they are stated in; the file has metres.
const LENGTHS = {
  stick: { us: tr("Height of the stick, ft"), metric: tr("Height of the stick, m") },
  distance_m: { us: tr("Camera to plate, ft"), metric: tr("Camera to plate, m") },
}
const FOOT = 0.3048 // m
const ARROWS = [["←", -1, 0, trc("way", "left")], ["↑", 0, -1, trc("way", "up")], ["↓", 0, 1, trc("way", "down")], ["→", 1, 0, trc("way", "right")]]
const HALFWAY = 0.5 // from frame to frame, where nothing else is said
const BEFORE = 0.1, AFTER = 0.01 // s round contact that are worth marking
const IN = 9 // px of the plan for each inch of the plate
// Where each corner is in the plan: inches toward first base and toward the pitcher, and where the stick on it points.
const PLACES = {
  "rear": [0, 0, 0, -1], "first-rear": [8.5, 8.5, 1, 0], "first-front": [8.5, 17, 0.6, 0.8],
  "third-front": [-8.5, 17, -0.6, 0.8], "third-rear": [-8.5, 8.5, -1, 0],
}
const STICK = 5.4 // inches of the plan
const MIDDLE = [16.5, 23.5] // inches from its left and upper edge to the plate's rear point

export const HTML = `
  <div class="steps" role="tablist" aria-label="${WORDS.steps}">
    ${STEPS.map((name, k) => `<button role="tab" data-step="${name}"><b>${k + 1}</b> ${LABELS[name]}</button>`).join("")}
  </div>
  <div class="step" data-name="film" role="tabpanel" aria-label="${LABELS.film}">
    <p class="name"></p>
    <div class="line"><button class="another">${WORDS.another}</button></div>
    <label class="line playing"><span>${WORDS.file}</span><input class="number" name="fileRate" inputmode="decimal"></label>
    <label class="line"><span>${WORDS.rate}</span><input class="number" name="rate_hz" inputmode="decimal"></label>
    <div class="line playing"><button class="as">${WORDS.as}</button></div>
    <p class="quiet">${WORDS.slow}</p>
    <label class="line single"><span data-length="distance_m"></span><input class="number" name="distance_m" inputmode="decimal" placeholder="${WORDS.unknown}"></label>
    <p class="quiet uneven" hidden></p>
  </div>
  <div class="step" data-name="plate" role="tabpanel" aria-label="${LABELS.plate}">
    <p class="quiet">${WORDS.plate}</p>
    <div class="plan"><svg viewBox="0 0 297 270" aria-hidden="true">${plate()}</svg>
      ${NAMES.map((name) => `<button data-point="${name}" style="${place(name)}">${sign(name)}</button>`).join("")}</div>
    <p class="quiet">${WORDS.plan}</p>
    <label class="line"><span data-length="stick"></span><input class="number" name="stick" inputmode="decimal"></label>
    <p class="count"></p>
    <div class="line"><button class="skip">${WORDS.skip}</button><button class="remove">${WORDS.remove}</button></div>
  </div>
  <div class="step" data-name="contact" role="tabpanel" aria-label="${LABELS.contact}">
    <p>${WORDS.contact}</p>
    <div class="line"><button class="here">${WORDS.here}</button></div>
    <label class="line"><span>${WORDS.share}</span><input name="share" type="range" min="0" max="0.95" step="0.05"></label>
    <label class="line"><span>${WORDS.at}</span><input class="number" name="contact" inputmode="decimal"></label>
  </div>
  <div class="step" data-name="swing" role="tabpanel" aria-label="${LABELS.swing}">
    <p class="which quiet"></p>
    <div class="line"><button class="start">${WORDS.clear}</button></div>
    <fieldset class="parts"><legend>${WORDS.part}</legend>
      ${PARTS.map((part, k) => `<label><input type="radio" name="part" value="${part}">
        <i class="shape" data-kind="${part}" aria-hidden="true"></i>${capital(PART_WORDS[part])} <kbd>${k + 1}</kbd> <span class="number"></span></label>`).join("")}
    </fieldset>
    <label class="line"><span>${WORDS.then}</span>
      <select name="order"><option value="round">${WORDS.round}</option><option value="same">${WORDS.same}</option></select></label>
    <div class="line"><button class="skip">${WORDS.skip}</button><button class="remove">${WORDS.remove}</button></div>
  </div>
  <div class="line tools">
    <button class="undo">${WORDS.undo}</button><button class="redo">${WORDS.redo}</button>
    <span class="nudge" role="group" aria-label="${WORDS.nudge}">
      ${ARROWS.map(([arrow, x, y, way]) => `<button data-x="${x}" data-y="${y}" title="${WORDS.nudge}" aria-label="${WORDS.nudge}: ${way}">${arrow}</button>`).join("")}
    </span>
  </div>`

function onPlan([x, y]) {
  return [(MIDDLE[0] + x) * IN, (MIDDLE[1] - y) * IN]
}

function plate() {
  const corners = CORNERS.map((name) => onPlan(PLACES[name]).join(","))
  const sticks = CORNERS.map((name) => {
    const [from, to] = [onPlan(PLACES[name]), onPlan(topOf(name))]
    return `<path d="M${from.join(" ")} ${to.join(" ")}"/>`
  })
  return `<polygon points="${corners.join(" ")}"/>${sticks.join("")}`
}

function topOf(name) {
  const [x, y, right, up] = PLACES[name]
  return [x + STICK * right, y + STICK * up]
}

function place(name) {
  const [x, y] = onPlan(isTop(name) ? topOf(name.replace(TOP, "")) : PLACES[name])
  return `left:${(100 * x / 297).toFixed(1)}%;top:${(100 * y / 270).toFixed(1)}%`
}

// A number as it is typed, with a point or a comma; null for nothing, NaN for what is none.
export function typed(text) {
  const plain = text.trim().replace(",", ".")
  return plain === "" ? null : Number(plain)
}

const shown = (value) => (value === null || value === undefined ? "" : String(Math.round(value * 1000) / 1000))

export class Steps {
  // ``desk`` is asked to do what is chosen here.
  constructor(root, desk) {
    Object.assign(this, { root, desk })
    this.find = (selector) => root.querySelector(selector)
    this.all = (selector) => [...root.querySelectorAll(selector)]
    this.tabs = this.all("[data-step]")
    for (const tab of this.tabs) tab.onclick = () => desk.open(tab.dataset.step)
    this.find(".steps").onkeydown = (event) => this.key(event)
    this.find(".another").onclick = () => desk.choose()
    this.find(".as").onclick = () => desk.state("rate_hz", desk.film.fileRate)
    for (const field of this.all("input.number")) field.onchange = () => this.read(field)
    for (const button of this.all("[data-point]")) button.onclick = () => desk.ask(["known", button.dataset.point])
    for (const button of this.all(".skip")) button.onclick = () => desk.skip()
    for (const button of this.all(".remove")) button.onclick = () => desk.remove()
    for (const radio of this.all("[name=part]")) radio.onchange = () => desk.ask(["marks", radio.value])
    for (const button of this.all(".nudge button")) {
      button.onclick = () => desk.nudge(Number(button.dataset.x), Number(button.dataset.y))
    }
    this.find("[name=order]").onchange = ({ target }) => { desk.order = target.value }
    this.find(".here").onclick = () => desk.contactAt(desk.now + (desk.view.contact ?? HALFWAY) % 1)
    this.find("[name=share]").oninput = ({ target }) => desk.contactAt(Math.floor(desk.view.contact ?? desk.now) + Number(target.value))
    this.find(".start").onclick = () => desk.go(this.range()[0])
    this.find(".undo").onclick = () => desk.undo()
    this.find(".redo").onclick = () => desk.redo()
  }

  key(event) {
    const now = this.tabs.indexOf(event.target), to = now + ({ ArrowRight: 1, ArrowLeft: -1 }[event.key] ?? 0)
    if (to === now || !this.tabs[to]) return
    event.preventDefault()
    this.tabs[to].focus()
    this.desk.open(STEPS[to])
  }

  // A number typed into a field; what is no number is put back.
  read(field) {
    const value = typed(field.value), { desk } = this
    const good = value === null || (Number.isFinite(value) && value >= 0)
    if (!good) this.desk.tell(tr("{given} is no number.", { given: field.value }), true)
    else if (field.name === "contact") desk.contactAt(value)
    else if (field.name === "stick") desk.work.state(null, "stick", this.inMetres(value))
    else if (field.name === "distance_m") desk.state("distance_m", this.inMetres(value))
    else if (field.name === "fileRate") desk.fileRate(value)
    else desk.state(field.name, value || null)
    this.show()
  }

  // A length as the file has it; nothing for none.
  inMetres(value) {
    return value ? Math.round(value * this.unit * 1e5) / 1e5 : null
  }

  // m, of the unit in which lengths are stated.
  get unit() {
    return this.desk.metric ? 1 : FOOT
  }

  // The frames worth marking.
  range() {
    const { view, film } = this.desk, rate = view.rate_hz ?? 240, contact = view.contact ?? 0
    return [Math.max(0, Math.ceil(contact - BEFORE * rate)), Math.min((film?.count ?? Infinity) - 1, Math.floor(contact + AFTER * rate) + 1)]
  }

  show() {
    const { view, film, step, asked, work } = this.desk
    for (const tab of this.tabs) {
      tab.setAttribute("aria-selected", String(tab.dataset.step === step))
      tab.tabIndex = tab.dataset.step === step ? 0 : -1
      tab.classList.toggle("done", this.finished(tab.dataset.step))
    }
    for (const panel of this.all(".step")) panel.hidden = panel.dataset.name !== step
    this.find(".tools").hidden = step === "film"
    this.find(".another").textContent = film ? WORDS.another : WORDS.open
    this.find(".name").textContent = film
      ? tr("{name}: {count} frames of {width} × {height} px.", { name: film.name, count: film.count, width: film.width, height: film.height }) : ""
    for (const line of this.all(".playing")) line.hidden = !film || Boolean(film.stills)
    for (const line of this.all(".single")) line.hidden = work.two
    this.put("fileRate", film?.fileRate)
    for (const name of ["rate_hz", "contact"]) this.put(name, view[name])
    for (const label of this.all("[data-length]")) label.textContent = LENGTHS[label.dataset.length][this.desk.metric ? "metric" : "us"]
    this.put("distance_m", view.distance_m && view.distance_m / this.unit)
    this.put("stick", work.stick && work.stick / this.unit)
    this.find(".uneven").hidden = !film?.uneven && !film?.guessed
    this.find(".uneven").textContent = film?.guessed ? WORDS.guessed : WORDS.uneven
    this.find("[name=share]").value = String((view.contact ?? 0) % 1)
    this.find("[name=share]").disabled = view.contact === null
    this.showPlan(view, asked, work)
    this.showSwing(view, asked)
    this.find(".undo").disabled = !work.done.length
    this.find(".redo").disabled = !work.undone.length
    for (const button of this.all(".nudge button")) button.disabled = !work.last
  }

  showPlan({ known }, asked, work) {
    for (const button of this.all("[data-point]")) {
      const name = button.dataset.point, words = pointWords(name)
      const isAsked = asked?.[0] === "known" && asked[1] === name
      button.classList.toggle("marked", name in known)
      button.setAttribute("aria-pressed", String(isAsked))
      button.title = words
      button.setAttribute("aria-label", name in known ? tr("{point}, marked", { point: words }) : words)
    }
    const count = tr("{count} points are marked.", { count: Object.keys(known).length })
    this.find(".count").textContent = `${count} ${work.two ? WORDS.six : WORDS.one}`
  }

  showSwing({ marks, contact }, asked) {
    const [from, to] = this.range()
    this.find(".which").textContent = contact === null
      ? tr("State contact first; then the frames worth marking are named here.")
      : tr("Worth marking: frames {from} to {to}, a tenth of a second before contact and a little after it.", { from, to })
    for (const radio of this.all("[name=part]")) {
      radio.checked = asked?.[0] === "marks" && asked[1] === radio.value
      radio.parentElement.querySelector(".number").textContent = String(Object.keys(marks[radio.value] ?? {}).length)
    }
    this.find(".start").disabled = contact === null
  }

  put(name, value) {
    const field = this.find(`[name=${name}]`)
    if (this.root.getRootNode().activeElement !== field) field.value = shown(value)
  }

  // Whether a step has what it needs.
  finished(step) {
    const { view, film, work } = this.desk
    if (step === "film") return Boolean(film && view.rate_hz)
    if (step === "contact") return view.contact !== null
    if (step === "plate") return Object.keys(view.known).length >= (work.two ? 6 : 3)
    return ["knob", "tip"].every((part) => Object.keys(view.marks[part] ?? {}).length >= 6)
  }
}
