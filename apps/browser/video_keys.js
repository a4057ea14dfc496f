// The keys of the page of films.

import { PARTS } from "plane3d/video_marks"

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }
const FAR = 10

// Do what a key asks of the desk, unless it belongs to the field it is typed into.
export function act(desk, event) {
  const field = event.composedPath()[0], { key } = event
  if (field.matches?.("textarea, select, input:not([type=radio]):not([type=range])")) return
  const does = meant(desk, event, field)
  if (!does) return
  event.preventDefault()
  // After a mistake the line that says it is for what is asked again.
  if (desk.find(".said").classList.contains("problem") && key !== "Tab") desk.tell("")
  does()
}

function meant(desk, event, field) {
  const { key, altKey, shiftKey } = event, arrow = ARROWS[key], letter = key.toLowerCase()
  if (event.ctrlKey || event.metaKey) {
    if (letter === "z") return () => (shiftKey ? desk.redo() : desk.undo())
    return letter === "y" ? () => desk.redo() : null
  }
  if (arrow && altKey) return () => desk.nudge(arrow[0] * (shiftKey ? FAR : 1), arrow[1] * (shiftKey ? FAR : 1))
  if (altKey) return null
  if (arrow && !arrow[1] && !field.matches?.("[role=tab], input")) return () => desk.go(desk.now + arrow[0] * (shiftKey ? FAR : 1))
  if (key === "Backspace") return () => desk.undo()
  if (key === "+" || key === "=") return () => desk.canvas.zoomBy(1.25)
  if (key === "-") return () => desk.canvas.zoomBy(1 / 1.25)
  if (PARTS["123".indexOf(key)] && key) return () => desk.ask(["marks", PARTS["123".indexOf(key)]])
  if (!field.matches?.("canvas")) return null // buttons have keys of their own
  if (key === " ") return () => desk.skip()
  return key === "Enter" ? () => enter(desk) : null
}

// The mark asked for, where it was a frame before, or in the middle of what is shown.
function enter(desk) {
  if (!desk.asked || !desk.drawn) return
  const [kind, name] = desk.asked
  const before = kind === "marks" ? desk.view.marks[name]?.[desk.now - 1] : null
  desk.mark(before ?? desk.canvas.centre)
}
