// The drawing of the timing strip: columns as high as their exit speed, a ribbon of outcomes, ranges and an axis.

import { tr } from "plane3d/words"

const SIDE = 16 // px left and right, for what stands at the ends of the axis
const RANGE = 20 // px a row of the ranges
const GAP = 10
const RIBBON = 24
const AXIS = 26
const LETTER = 8.2 // px, about as wide as a letter is
const RANGE_LETTER = 7
const SMALL_LETTER = 6.6
const RANGES = [["fair", tr("Fair")], ["solid", tr("Solid")]]
const NONE = { fair: tr("No timing gives a fair ball"), solid: "" }

// A timing in words; ms, late positive.
export function timing(ms) {
  const time = `${Math.abs(Number(ms.toFixed(1)))} ms`
  return ms === 0 ? tr("on time") : ms < 0 ? tr("{time} early", { time }) : tr("{time} late", { time })
}

const escape = (text) => text.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`)
const n = (value) => Number(value.toFixed(2))

// Where things stand in a picture of this width. ``x`` gives the middle of a timing's column, in px.
export function layout(table, width, bars) {
  const { timings } = table, first = timings[0], last = timings[timings.length - 1]
  const step = (width - 2 * SIDE) / timings.length
  const top = RANGES.length * RANGE + GAP
  return {
    width, step, first, last, top, bars,
    ribbon: top + bars + 2, axis: top + bars + 2 + RIBBON, height: top + bars + 2 + RIBBON + AXIS,
    x: (ms) => SIDE + (Math.min(Math.max(ms, first), last) - first + 0.5) * step,
    left: (i) => SIDE + i * step,
    at: (x) => Math.min(Math.max(Math.floor((x - SIDE) / step), 0), timings.length - 1),
  }
}

// The strip as SVG.
export function picture(table, place) {
  return [
    patterns(table.looks), speedLines(table, place), ...runs(table).map((run) => columns(run, table, place)),
    ...RANGES.map(([name, word], row) => range(table.ranges[name], name, word, row, place)), axis(place),
  ].join("")
}

// Stretches of equal outcomes.
export function runs({ kinds }) {
  const found = []
  kinds.forEach((kind, i) => {
    const run = found[found.length - 1]
    if (run?.kind === kind) run.to = i
    else found.push({ kind, from: i, to: i })
  })
  return found
}

const TEXTURES = {
  plain: "",
  dots: '<circle cx="2" cy="2" r="1"/><circle cx="6" cy="6" r="1"/>',
  level: '<path d="M0 2h8M0 6h8"/>',
  falling: '<path d="M-2 -2L10 10M-2 6L2 10M6 -2L10 2"/>',
  rising: '<path d="M-2 10L10 -2M-2 2L2 -2M6 10L10 6"/>',
}

export const patterns = (looks) => `<defs>${Object.entries(looks).map(([kind, { color, texture }]) => `
  <pattern id="${kind}" width="8" height="8" patternUnits="userSpaceOnUse">
    <rect width="8" height="8" fill="${color}"/><g class="texture">${TEXTURES[texture]}</g>
  </pattern>`).join("")}</defs>`

function speedLines({ marks }, { top, bars, width }) {
  return marks.map(({ height, words }) => {
    const y = n(top + bars * (1 - height))
    return `<path class="faint" d="M${SIDE} ${y}H${width - SIDE}"/>
      <text class="small" x="${SIDE + 2}" y="${y - 3}">${escape(words)}</text>`
  }).join("")
}

// The columns of one run, and its stretch of the ribbon with a word where there is room, else a letter.
function columns({ kind, from, to }, table, place) {
  const look = table.looks[kind], space = place.step > 5 ? 1 : 0
  const base = place.top + place.bars, width = n(place.step - space)
  let d = ""
  for (let i = from; i <= to; i++) {
    if (table.heights[i] === null) continue
    const tall = Math.max(place.bars * table.heights[i], 1)
    d += `M${n(place.left(i))} ${n(base - tall)}h${width}V${base}h${-width}z`
  }
  const x = place.left(from), wide = (to - from + 1) * place.step - space
  const choices = [look.word, look.word.split(" ").pop(), look.letter]
  const words = choices.find((word) => word.length * LETTER + 2 <= wide) || ""
  return `<path d="${d}" fill="url(#${kind})"/>
    <rect x="${n(x)}" y="${place.ribbon}" width="${n(wide)}" height="${RIBBON}" fill="url(#${kind})"
      data-kind="${kind}"/>
    <text class="outcome" x="${n(x + wide / 2)}" y="${place.ribbon + RIBBON / 2 + 4.5}"
      style="fill: ${inkOn(look.color)}; stroke: ${look.color}">${escape(words)}</text>`
}

// Black or white, whichever is read more easily on a colour.
export function inkOn(color) {
  const [r, g, b] = [1, 3, 5].map((i) => (parseInt(color.slice(i, i + 2), 16) / 255) ** 2.2)
  return 0.2126 * r + 0.7152 * g + 0.0722 * b > 0.22 ? "#1f2933" : "#ffffff"
}

// A bracket over the timings that give a fair or a solid ball. An end at the strip's own end is left open.
function range(found, name, word, row, place) {
  const y = row * RANGE + RANGE / 2
  if (!found) return `<text class="range" x="${n(place.width / 2)}" y="${y + 4}">${NONE[name]}</text>`
  const half = place.step / 2
  const from = n(place.x(found.first) - half), to = n(place.x(found.last) + half)
  const start = found.first > place.first ? `M${from} ${y + 7}V${y}` : `M${from} ${y}`
  const end = found.last < place.last ? `V${y + 7}` : ""
  const [words, x] = caption([`${word}: ${found.words}`, word], from, to, place.width)
  return `<path class="bracket" d="${start}H${to}${end}" data-range="${name}"/>
    <text class="range" x="${n(x)}" y="${y + 4}">${escape(words)}</text>`
}

// The first words that fit inside a bracket, right of it or left of it, and where their middle is.
function caption(choices, from, to, width) {
  for (const words of choices) {
    const half = (words.length * RANGE_LETTER) / 2 + 8
    if (to - from > 2 * half + 20) return [words, (from + to) / 2]
    if (to + 2 * half < width) return [words, to + half]
    if (from - 2 * half > 0) return [words, from - half]
  }
  return [choices[choices.length - 1], (from + to) / 2]
}

function axis(place) {
  const every = place.step * 10 > 60 ? 10 : 20, y = place.axis
  const room = Math.max(...[place.first, place.last].map((ms) => timing(ms).length)) * SMALL_LETTER + SIDE
  let marks = ""
  for (let ms = Math.ceil(place.first / every) * every; ms <= place.last; ms += every) {
    const end = ms === place.first || ms === place.last, words = ms === 0 || end ? timing(ms) : String(Math.abs(ms))
    const anchor = ms === place.first ? "start" : ms === place.last ? "end" : "middle"
    const x = anchor === "middle" ? place.x(ms) : anchor === "start" ? SIDE : place.width - SIDE
    const free = end || Math.min(x, place.width - x) > room // of the words at the ends
    marks += `<path class="tick" d="M${n(place.x(ms))} ${y}v5"/>
      ${free ? `<text class="small" text-anchor="${anchor}" x="${n(x)}" y="${y + 17}">${words}</text>` : ""}`
  }
  return marks
}
