// What is said of a hitter: the fields of two forms.

import { labelled, make, options } from "plane3d/elements"
import { tr, trc } from "plane3d/words"

const WORDS = {
  code: tr("Code or role"), side: tr("Bats"), level: tr("Level of play"), note: trc("log", "Note"), unsaid: tr("not said"),
}

// Side and level of a hitter, as pickers; and a note.
export function hitterFields(table) {
  const fields = {
    code: make("input", { type: "text", maxLength: 80, autocomplete: "off", required: true }),
    side: make("select", {}, ...options([["", WORDS.unsaid], ...table.sides])),
    level: make("select", {}, ...options([["", WORDS.unsaid], ...table.levels])),
    note: make("textarea", { rows: 2, maxLength: 10_000 }),
  }
  const names = { code: WORDS.code, side: WORDS.side, level: WORDS.level, note: WORDS.note }
  return { fields, rows: Object.entries(fields).map(([name, field]) => labelled(names[name], field)) }
}

// What is typed in some fields, as it can be sent.
export const typed = (fields) => Object.values(fields).map(({ value }) => value.toWellFormed?.() ?? value)
