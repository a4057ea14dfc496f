// What the page of films says in more than one place: the names of points and parts.

import { CORNERS, TOP } from "plane3d/video_marks"
import { tr, trc } from "plane3d/words"

// As plane3d/measured/cameras.py names them.
const CORNER_WORDS = {
  "rear": tr("rear point of the plate"),
  "first-rear": tr("rear corner of the plate on the first-base side"),
  "first-front": tr("front corner of the plate on the first-base side"),
  "third-front": tr("front corner of the plate on the third-base side"),
  "third-rear": tr("rear corner of the plate on the third-base side"),
}

export const PART_WORDS = { knob: tr("knob"), tip: trc("bat", "tip"), ball: tr("ball") }

export const VIEW_WORDS = [tr("First view"), tr("Second view")]

export const isTop = (name) => name.endsWith(TOP)

export const cornerOf = (name) => name.replace(TOP, "")

// A number for each corner, with an arrow for the top of the stick on it.
export const sign = (name) => `${CORNERS.indexOf(cornerOf(name)) + 1}${isTop(name) ? "↑" : ""}`

export function pointWords(name) {
  const corner = CORNER_WORDS[cornerOf(name)]
  return isTop(name) ? tr("top of the stick on the {corner}", { corner }) : corner
}

export const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1)
