// The clock of the stage and the bar that drives it. Times are seconds from the pitcher's release; what is shown
// and typed is milliseconds from contact.

import { crack, prepare } from "plane3d/sound"
import { tr, trc } from "plane3d/words"

const WORDS = {
  back: tr("Step back 1 ms"), backKey: tr("Step back 1 ms (left arrow)"), forward: tr("Step forward 1 ms"),
  forwardKey: tr("Step forward 1 ms (right arrow)"), time: tr("Time"), speed: tr("Speed"),
  sound: tr("Sound of the hit"),
}
const SPEEDS = [[0.01, "1/100"], [0.02, "1/50"], [0.05, "1/20"], [0.1, "1/10"], [0.25, "1/4"], [1, trc("speed", "Full")]]
const USUAL_SPEED = 0.05
const KEPT = "plane3d-speed" // the speed chosen last, in the browser's store
const STEP = 0.001
const SAME = 1e-6 // two times this close are one

// The moment that times are told from, by whether the bat touches the ball.
const MOMENTS = {
  true: {
    at: tr("At contact"), go: tr("Go to contact"),
    before: (time) => tr("{time} ms before contact", { time }), after: (time) => tr("{time} ms after contact", { time }),
  },
  false: {
    at: tr("At closest pass"), go: tr("Go to closest pass"),
    before: (time) => tr("{time} ms before closest pass", { time }),
    after: (time) => tr("{time} ms after closest pass", { time }),
  },
}

export class Clock {
  constructor() {
    Object.assign(this, { time: 0, start: 0, end: 0, stop: 0, touch: true, playing: false, speed: keptSpeed() })
    // At rest on the contact without having been played there: then play starts from the release.
    this.fresh = true
  }

  // Another motion: stay as far from contact as before. A second one may last longer.
  setMotion(motion, second) {
    const offset = this.time - this.stop
    const { times } = motion
    this.start = times[0]
    this.end = Math.max(times[times.length - 1], second?.times.at(-1) ?? 0)
    this.touch = motion.contact_time !== null
    this.stop = motion.closest_time
    this.set(this.stop + (this.fresh ? 0 : offset))
  }

  set(time) {
    const value = Math.min(Math.max(time, this.start), this.end)
    this.time = Math.abs(value - this.stop) < SAME ? this.stop : value
  }

  seek(time) {
    this.fresh = false
    this.set(time)
  }

  // Go by another clock: the same time from release or, if asked, from each one's contact.
  follow(other, fromContact) {
    const { fresh, playing, speed } = other
    Object.assign(this, { fresh, playing, speed })
    this.set(fromContact ? this.stop + other.time - other.stop : other.time)
  }

  play() {
    if (this.fresh || this.time >= this.end - SAME) this.time = this.start
    this.fresh = false
    this.playing = true
  }

  // Run on by some seconds of the viewer's time; bat and ball stop at contact, and at the end.
  advance(seconds) {
    const next = this.time + this.speed * seconds
    const halt = this.time < this.stop - SAME && next >= this.stop - SAME ? this.stop : this.end
    if (next >= halt - SAME) this.playing = false
    this.set(Math.min(next, halt))
  }

  words() {
    const ms = (this.time - this.stop) * 1000, size = Math.abs(ms), { at, before, after } = MOMENTS[this.touch]
    return size < 0.05 ? at : (ms < 0 ? before : after)(size.toFixed(size < 10 ? 1 : 0))
  }
}

function keptSpeed() {
  let kept = null
  try { kept = Number(localStorage.getItem(KEPT)) } catch { /* a browser may forbid the store */ }
  return SPEEDS.some(([speed]) => speed === kept) ? kept : USUAL_SPEED
}

const ICONS = {
  play: "M7 4.5v15l13-7.5z",
  pause: "M6 4.5h4.5v15H6zM13.5 4.5H18v15h-4.5z",
  back: "M4.5 4.5H8v15H4.5zM20 4.5v15L9 12z",
  forward: "M16 4.5h3.5v15H16zM4 4.5v15L15 12z",
  contact: "M12 5a7 7 0 1 0 0 14 7 7 0 0 0 0-14zm0 4a3 3 0 1 1 0 6 3 3 0 0 1 0-6z",
  sound: "M4 9.5v5h3.5L12 19V5L7.5 9.5zM15 8.2v7.6a4.2 4.2 0 0 0 0-7.6zM15 4.5v2.1a6 6 0 0 1 0 10.8v2.1a8 8 0 0 0 0-15z",
}
const icon = (name) => `<svg viewBox="0 0 24 24" aria-hidden="true"><path d="${ICONS[name]}"/></svg>`

// Buttons, slider and reading. ``act`` holds what they do; ``update`` brings them in line with the clock.
export class Bar {
  constructor(clock, act) {
    this.clock = clock
    this.element = document.createElement("div")
    this.element.className = "bar"
    this.element.setAttribute("role", "group")
    this.element.setAttribute("aria-label", tr("Playback"))
    this.element.innerHTML = `
      <button class="step-back" aria-label="${WORDS.back}"
        title="${WORDS.backKey}">${icon("back")}</button>
      <button class="play"></button>
      <button class="step-forward" aria-label="${WORDS.forward}"
        title="${WORDS.forwardKey}">${icon("forward")}</button>
      <button class="contact">${icon("contact")}</button>
      <div class="scrub"><input type="range" step="any" aria-label="${WORDS.time}"><i aria-hidden="true"></i></div>
      <output class="reading" aria-live="off"></output>
      <button class="sound" aria-pressed="false" aria-label="${WORDS.sound}" title="${WORDS.sound}">${icon("sound")}</button>
      <label><span>${WORDS.speed}</span> <select aria-label="${WORDS.speed}">${SPEEDS.map(([v, t]) => `<option value="${v}">${t}</option>`).join("")}</select></label>`
    const find = (selector) => this.element.querySelector(selector)
    Object.assign(this, { playButton: find(".play"), contactButton: find(".contact"), reading: find("output") })
    Object.assign(this, { slider: find("input"), tick: find("i"), soundButton: find(".sound") })
    this.speed = find("select")
    find(".step-back").onclick = () => act.step(-STEP)
    find(".step-forward").onclick = () => act.step(STEP)
    this.speed.onchange = (event) => {
      clock.speed = Number(event.target.value)
      try { localStorage.setItem(KEPT, event.target.value) } catch { /* forbidden: it lasts as long as the page */ }
    }
    this.playButton.onclick = act.toggle
    this.contactButton.onclick = () => act.seek(clock.stop)
    this.soundButton.onclick = () => this.hear(!this.loud)
    this.slider.oninput = () => act.seek(clock.stop + Number(this.slider.value) / 1000)
    this.slider.onchange = act.settled
    Object.assign(this, { shown: null, loud: false, before: 0 })
  }

  // Whether the hit is to be heard; not until the viewer asks.
  hear(on) {
    this.loud = on
    if (on) prepare()
    this.soundButton.setAttribute("aria-pressed", String(on))
  }

  update() {
    const { clock } = this
    if (this.loud && this.shown && clock.touch && this.before < clock.stop && clock.time >= clock.stop) crack()
    this.before = clock.time
    const { go } = MOMENTS[clock.touch]
    if (this.shown !== clock.playing) {
      this.shown = clock.playing
      const word = clock.playing ? tr("Pause") : tr("Play")
      this.playButton.innerHTML = icon(clock.playing ? "pause" : "play")
      this.playButton.setAttribute("aria-label", word)
      this.playButton.title = tr("{act} (space)", { act: word })
    }
    this.contactButton.setAttribute("aria-label", go)
    this.contactButton.title = go
    this.speed.value = String(clock.speed)
    this.slider.min = (clock.start - clock.stop) * 1000
    this.slider.max = (clock.end - clock.stop) * 1000
    this.slider.value = (clock.time - clock.stop) * 1000
    this.slider.setAttribute("aria-valuetext", clock.words())
    this.tick.style.setProperty("--share", (clock.stop - clock.start) / (clock.end - clock.start || 1))
    this.reading.textContent = clock.words()
  }
}
