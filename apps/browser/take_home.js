// Files to take home: a button for each kind, how far the one being made is, and what came of it (apps/take_home.py).

import { make } from "plane3d/elements"
import { tr } from "plane3d/words"

const KINDS = {
  png: tr("Picture (PNG)"), mp4: tr("Film (MP4)"), gif: tr("Moving picture (GIF)"), html: tr("Turnable page (HTML)"),
  pdf: tr("Hand-out (PDF)"), csv: tr("Numbers (CSV)"), json: tr("Numbers (JSON)"), glb: tr("Solids (GLB)"), stl: tr("Solids (STL)"),
}
const LESSON = { pdf: tr("Booklet (PDF)"), html: KINDS.html }
const WORDS = {
  cancel: tr("Cancel"), starting: tr("Being made …"), share: (percent) => tr("Being made: {percent} %", { percent }),
  ahead: (ahead) => tr("Waiting: {ahead} before it.", { ahead }),
}

// The stage as it was last drawn.
let stage = null
document.addEventListener("stage-frame", (event) => { stage = event.detail })

// How the stage is looked at: the view by name, the camera where it was turned away from that, ms from contact, figure.
function looks() {
  if (!stage) return {}
  const { view, camera, turned, figure, time, parts: { motion } } = stage, moment = 1000 * (time - motion.closest_time)
  const numbers = ({ position, focal_point: point, up, view_angle_deg: angle }) => [...position, ...point, ...up, angle]
  return { view, camera: turned ? numbers(camera) : null, figure, time: Math.abs(moment) < 0.01 ? null : moment }
}

export class TakeHome {
  // of: what the files are of, as Python knows it; lesson: whether that is a lesson
  constructor(say, of, lesson = false) {
    const kinds = lesson ? LESSON : KINDS
    this.of = of
    this.buttons = Object.entries(kinds).map(([kind, textContent]) => make("button", {
      textContent, className: `take-${kind}`, onclick: () => say("take", of, kind, lesson ? {} : looks()),
    }))
    this.bar = make("progress", { max: 1, ariaLabel: WORDS.starting })
    this.words = make("span")
    this.making = make("div", { className: "making", hidden: true }, this.bar, this.words,
      make("button", { textContent: WORDS.cancel, onclick: () => say("take_cancel") }))
    this.said = make("p", { className: "taken", role: "status" })
    this.element = make("div", { className: "takehome" }, make("div", { className: "buttons" }, ...this.buttons), this.making, this.said)
  }

  // state: as Python gives it; empty: whether there is nothing to make files of
  show({ of = "", kind = "", share = 0, ahead = 0, said = "", wrong = false }, empty = false) {
    const mine = of === this.of, busy = !!kind
    for (const button of this.buttons) button.disabled = busy || empty
    this.making.hidden = !(mine && busy)
    if (share) this.bar.value = share
    else this.bar.removeAttribute("value")
    this.words.textContent = ahead ? WORDS.ahead(ahead) : share ? WORDS.share(Math.round(100 * share)) : WORDS.starting
    const words = mine ? said : ""
    if (this.said.textContent !== words) this.said.textContent = words
    this.said.classList.toggle("wrong", wrong)
  }
}
