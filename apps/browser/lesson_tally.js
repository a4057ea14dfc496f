// The room: a count for each choice of each step, of hands typed in and of viewers' predictions where they are shared
// (share.js); kept in the tab while it lives.

const MOST = 999

export class Tally {
  constructor(name) {
    this.key = `plane3d lesson ${name}`
    this.hands = {} // by step: counts
    this.phones = {} // by step: how many viewers predict each choice
    this.right = {} // by step: the right choice once it was shown, null where there is none
    try { Object.assign(this, JSON.parse(sessionStorage.getItem(this.key))) } catch { /* a browser may forbid the store */ }
    this.leave()
  }

  keep() {
    const { hands, right } = this, phones = Object.keys(this.phones).length ? this.phones : undefined
    try { sessionStorage.setItem(this.key, JSON.stringify({ hands, right, phones })) } catch { /* nothing to be done */ }
  }

  // No choice is being typed.
  leave() { Object.assign(this, { row: null, fresh: true }) }

  counts(step, choices) {
    return Array.from({ length: choices }, (_, i) => (this.hands[step]?.[i] || 0) + (this.phones[step]?.[i] || 0))
  }

  // The whole count of a row; hands are what viewers' predictions leave of it.
  put(step, choices, row, count) {
    const hands = Array.from({ length: choices }, (_, i) => this.hands[step]?.[i] || 0)
    hands[row] = Math.min(Math.max(count - (this.phones[step]?.[row] || 0), 0), MOST)
    this.hands[step] = hands
    this.keep()
  }

  hear(step, counts) {
    this.phones[step] = counts
    this.keep()
  }

  add(step, choices, row, by) {
    this.put(step, choices, row, this.counts(step, choices)[row] + by)
    this.fresh = true
  }

  select(row, choices) {
    Object.assign(this, { row: Math.min(Math.max(row, 0), choices - 1), fresh: true })
  }

  // A key of the tally; whether it was one. Digits write the count of the chosen row, the first of them anew.
  type(key, step, choices) {
    if (!choices) return false
    const row = this.row ?? 0
    const count = this.counts(step, choices)[row]
    if (key === "ArrowDown" || key === "ArrowUp") {
      this.select(this.row === null ? 0 : row + (key === "ArrowDown" ? 1 : -1), choices)
    } else if (key === "Enter" && this.row !== null) this.select(row + 1, choices)
    else if (/^[0-9]$/.test(key)) {
      this.put(step, choices, row, (this.fresh ? 0 : count * 10) + Number(key))
      Object.assign(this, { row, fresh: false })
    } else if (key === "Backspace" && this.row !== null) {
      this.put(step, choices, row, Math.floor(count / 10))
      this.fresh = false
    } else if (key === "+" || key === "-") {
      this.add(step, choices, row, key === "+" ? 1 : -1)
      this.row = row
    } else return false
    return true
  }

  // How the room did at a step: how many were right, and all; null before the answer, or where nobody was counted.
  score(step) {
    const length = Math.max(this.hands[step]?.length || 0, this.phones[step]?.length || 0)
    const counts = this.counts(step, length), all = counts.reduce((sum, count) => sum + count, 0)
    return (this.right[step] ?? null) === null || !all ? null : { right: counts[this.right[step]] || 0, all }
  }
}
