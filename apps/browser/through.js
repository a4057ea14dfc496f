// A revealed hit plays up to contact, stops there, and after a moment flies on.

const HOLD = 700 // ms at contact
const SAME = 1e-5 // s

export class Through {
  // ``play`` starts the stage.
  constructor(play) { Object.assign(this, { play, asked: false, running: false }) }

  // The hit is about to play.
  ask() {
    this.leave()
    this.asked = true
  }

  // What comes next is the viewer's own doing.
  leave() {
    clearTimeout(this.holding)
    this.asked = this.running = false
  }

  // What the stage tells with each picture.
  frame({ playing, time, parts: { motion } }) {
    this.running ||= this.asked && playing
    if (!this.running || playing || Math.abs(time - motion.closest_time) > SAME) return
    this.leave()
    this.holding = setTimeout(this.play, HOLD)
  }
}
