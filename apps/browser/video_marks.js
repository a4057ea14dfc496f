// The marks of one or two films: set, moved, undone and done again, kept in the tab, and as the file has them
// (plane3d/measured/marks_file.py).

export const PARTS = ["knob", "tip", "ball"]
export const CORNERS = ["rear", "first-rear", "first-front", "third-front", "third-rear"]
export const TOP = "+stick" // ends the name of a corner: the top of the stick stood on it
export const NAMES = [...CORNERS, ...CORNERS.map((name) => name + TOP)]

const KEEP = "plane3d-marks" // in the tab's own store
const MOST_STEPS = 5000
const fresh = () => ({
  name: "", size: null, rate_hz: null, contact: null, focal_px: null, distance_m: null, known: {}, marks: {},
})

export class Work {
  constructor(changed) {
    Object.assign(this, { changed, two: true, stick: null, note: "", views: [fresh(), fresh()], done: [], undone: [] })
    this.version = 0 // grows with every change of what the answer depends on
  }

  // --- one mark ----------------------------------------------------------------------------------------------------

  // Where: ["known", name], ["marks", part, frame] or ["contact"], in a view by its place.
  get(view, where) {
    const [kind, name, frame] = where
    const there = this.views[view][kind]
    return (kind === "contact" ? there : kind === "known" ? there[name] : there[name]?.[frame]) ?? null
  }

  put(view, where, value) {
    const [kind, name, frame] = where, holder = this.views[view]
    if (kind === "contact") holder.contact = value
    else {
      const there = kind === "known" ? holder.known : (holder.marks[name] ??= {}), key = kind === "known" ? name : frame
      if (value === null) delete there[key]
      else there[key] = value
    }
    this.touch()
  }

  // Set a mark, or with null take it away. ``moving``: it is being moved, so that all its moves are one step to undo.
  set(view, where, value, moving = false) {
    const before = this.get(view, where), last = this.done.at(-1)
    if (moving && last?.moving && last.view === view && String(last.where) === String(where)) last.after = value
    else this.done.push({ view, where, before, after: value, moving })
    if (this.done.length > MOST_STEPS) this.done.shift()
    this.undone = []
    this.put(view, where, value)
  }

  // Undo or do again the last step; what it was, or undefined.
  undo() {
    const step = this.done.pop()
    if (!step) return undefined
    this.undone.push(step)
    this.put(step.view, step.where, step.before)
    return step
  }

  redo() {
    const step = this.undone.pop()
    if (!step) return undefined
    this.done.push(step)
    this.put(step.view, step.where, step.after)
    return step
  }

  // The mark set last, wherever it is still there.
  get last() {
    return this.done.findLast(({ view, where }) => where[0] !== "contact" && this.get(view, where) !== null)
  }

  // Something else that is stated: of a view, or with null of the whole work.
  state(view, name, value) {
    if (view === null) this[name] = value
    else this.views[view][name] = value
    this.touch()
  }

  touch() {
    this.version++
    this.keep()
    this.changed()
  }

  // --- as a whole --------------------------------------------------------------------------------------------------

  get empty() {
    return this.views.every(({ known, marks }) => !Object.keys(known).length && !PARTS.some((part) => Object.keys(marks[part] ?? {}).length))
  }

  // What is worked out and saved; the second view counts only where two are asked for.
  file(names) {
    const views = (this.two ? this.views : this.views.slice(0, 1)).map((view, place) => ({ ...view, name: names[place] }))
    return { plane3d_marks: 1, stick_m: this.stick, note: this.note, views }
  }

  // Take what a file holds in place of all there is.
  take({ stick_m: stick, note, views }) {
    Object.assign(this, { two: views.length === 2, stick, note, done: [], undone: [] })
    this.views = [0, 1].map((place) => ({ ...fresh(), ...views[place] }))
    this.touch()
  }

  // A reload, as another language makes one, loses nothing.
  keep() {
    try { sessionStorage.setItem(KEEP, JSON.stringify(this.file(["", ""]))) } catch { /* forbidden: lost with the page */ }
  }

  restore() {
    try {
      const kept = JSON.parse(sessionStorage.getItem(KEEP))
      if (kept) this.take(kept)
    } catch { /* forbidden, or not of this version */ }
  }
}
