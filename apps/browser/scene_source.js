// Where the page of a scene gets what it shows. A source tells three things, each to whoever asked with ``on``:
//   scene   a step: its words, its place among how many, and its picture (a whole scene as for the stage, or null)
//   reveal  the answer of that step, with its picture, or null while it is hidden
//   clock   what the stage is to do, such as {do: "play"}
// This one holds everything in the page itself and goes where the viewer asks; another may be led from elsewhere.

import { Through } from "plane3d/through"

const REPLAY = 0.05 // s before contact from which a revealed hit plays
const LATEST = 1e9 // s, past the end of every motion
const still = () => matchMedia("(prefers-reduced-motion: reduce)").matches

export class Inlined {
  // ``steps``: as made by apps/scene_steps.py; ``block``: the bytes of their arrays, or null where they cannot be had.
  constructor(steps, block) {
    Object.assign(this, { steps, block, at: 0, heard: {} })
    this.open = new Set(steps.length > 1 ? [] : [0]) // a scene by itself hides nothing
    this.through = new Through(() => this.tell("clock", { do: "play" }))
    document.addEventListener("stage-frame", (event) => this.through.frame(event.detail))
  }

  on(name, act) { this.heard[name] = act }

  tell(name, value) { this.heard[name]?.(value) }

  // Show a step; one that was revealed before comes with its answer, at rest.
  go(place) {
    if (!(place in this.steps)) return
    const { scene, answer, ...words } = this.steps[place], open = this.open.has(place)
    this.at = place
    this.through.leave()
    this.tell("scene", { ...words, place, of: this.steps.length, picture: this.picture(scene) })
    this.tell("reveal", open ? this.shown(answer) : null)
    if (this.steps.length === 1) return
    this.tell("clock", { do: "pause" })
    this.tell("clock", { do: "go", time: open ? answer.scene.motion.closest_time : LATEST })
  }

  // Show the answer of the present step, or hide it again.
  reveal() {
    const { answer } = this.steps[this.at]
    if (this.open.delete(this.at)) { this.go(this.at); return }
    this.open.add(this.at)
    this.tell("reveal", this.shown(answer))
    this.tell("clock", { do: "go", time: answer.scene.motion.closest_time - (still() ? 0 : REPLAY) })
    if (still()) return
    this.through.ask()
    this.tell("clock", { do: "play" })
  }

  shown(answer) { return { ...answer, picture: this.picture(answer.scene) } }

  picture(table) { return table && this.block && { ...table, data: this.block } }
}
