// The parts of lesson mode as HTML: words, choices, numbers, the strip in large, the help, the list of lessons, the end.

import { inkOn, patterns } from "plane3d/columns"
import { languagePicker, themePicker, unitsPicker } from "plane3d/settings"
import { tr, trc } from "plane3d/words"

export const WORDS = {
  count: (step, all) => tr("{step} of {all}", { step, all }),
  over: trc("countdown", "Time"),
  hint: tr("? shows the keys"),
  answer: (answer) => tr("Answer: {answer}", { answer }),
  hands: (letter) => tr("hands for {letter}", { letter }),
  more: (letter) => tr("One more hand for {letter}", { letter }),
  fewer: (letter) => tr("One hand fewer for {letter}", { letter }),
  room: (right, all) => tr("The room: {right} of {all} right, {share} %", { right, all, share: Math.round((100 * right) / all) }),
  short: (right, all) => tr("{right} of {all} right", { right, all }),
  none: tr("no hands counted"), unseen: tr("not shown"),
  end: tr("Where the room was right"), choose: tr("Choose a lesson"), track: tr("Talk track to print"),
  minutes: (minutes, steps) => (
    minutes ? tr("{steps} steps, {minutes} minutes", { steps, minutes }) : tr("{steps} steps", { steps })
  ),
  changed: (result) => tr("With your changes: {result}", { result }),
  fair: tr("Fair"), early: (time) => tr("{time} early", { time }), late: (time) => tr("{time} late", { time }),
  strip: tr("What each timing gives"),
  lost: tr("The page has lost plane3d. Reload it; if that does not help, start plane3d again."),
  keys: tr("Keys"), close: tr("Close"), tools: tr("Lesson"), settings: tr("Settings"),
}

// What the keys do: keys as they are shown, the words of the help, the word of the button (or none), its action.
export const KEYS = [
  [tr("← or Page Up"), trc("step", "Back"), trc("step", "Back"), "back"],
  [tr("→, Page Down or space"), tr("Next step"), trc("step", "Next"), "next"],
  [tr("R, B or ."), tr("Show the answer, or hide it again"), tr("Answer"), "reveal"],
  ["P", tr("Play or pause"), tr("Play"), "play"],
  ["V", tr("Next view"), tr("View"), "view"],
  ["T", tr("Start or stop the countdown"), tr("Timer"), "timer"],
  [tr("0 to 9"), tr("Hands for a choice; then Enter for the next choice, Backspace to correct")],
  ["↑ ↓, + −", tr("Pick a choice; one hand more or fewer")],
  [tr("H or C"), tr("Sliders, on or off"), tr("Sliders"), "sliders"],
  ["U", tr("US or metric units"), tr("Units"), "units"],
  ["F", tr("Full screen"), tr("Full screen"), "full"],
  ["?", tr("These keys"), tr("Keys"), "help"],
  ["Esc", tr("Leave the lesson"), tr("Leave"), "leave"],
]

const SIGNS = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" }
export const escape = (text) => String(text).replace(/[&<>"]/g, (sign) => SIGNS[sign])
export const LETTERS = "ABCDEF"
const LETTER = 0.6 // about as wide as a letter is to the size of the type

export function choiceRows(choices) {
  return choices.map((says, i) => `
    <li data-choice="${i}"><b class="letter">${LETTERS[i]}</b><span class="says">${escape(says)}</span>
      <span class="tally">
        <button data-add="-1" aria-label="${WORDS.fewer(LETTERS[i])}">−</button>
        <button data-add="1" aria-label="${WORDS.more(LETTERS[i])}">+</button>
        <output aria-label="${WORDS.hands(LETTERS[i])}"></output>
      </span><i class="bar" aria-hidden="true"><b></b></i></li>`).join("")
}

export function figures({ columns, rows }) {
  if (!rows.length) return ""
  const minus = (words) => escape(words).replace("-", "−")
  const head = columns.length > 1
    ? `<thead><tr><td></td>${columns.map((title) => `<th scope="col">${escape(title)}</th>`).join("")}</tr></thead>` : ""
  const body = rows.map(([words, ...values]) =>
    `<tr><th scope="row">${escape(words)}</th>${values.map((value) => `<td>${minus(value)}</td>`).join("")}</tr>`)
  return `<table class="figures">${head}<tbody>${body.join("")}</tbody></table>`
}

// The strip large enough for a room: runs of equal outcome with their letters, the fair range, the present timing.
// ``size``: px of the type; ``width``: px there are.
export function ribbon({ runs, fair, timing, looks }, width, size) {
  const first = runs[0].from, last = runs[runs.length - 1].to
  const x = (ms) => ((ms - first) / (last - first)) * width
  const top = 2.1 * size, high = 1.5 * size, axis = top + high + 1.05 * size
  const parts = [patterns(looks)]
  for (const { kind, from, to } of runs) {
    const { letter, color } = looks[kind], wide = x(to) - x(from)
    parts.push(`<rect x="${x(from)}" y="${top}" width="${wide}" height="${high}" fill="url(#${kind})"/>`)
    if (wide > 1.1 * size) {
      parts.push(`<text x="${x((from + to) / 2)}" y="${top + 0.72 * high}" style="fill: ${inkOn(color)};
        paint-order: stroke; stroke: ${color}; stroke-width: 6px">${letter}</text>`)
    }
  }
  if (fair) {
    const [a, b, y] = [x(fair.from - 0.5), x(fair.to + 0.5), top - 0.2 * size]
    const half = (LETTER / 2) * size * WORDS.fair.length
    parts.push(`<path class="bracket" d="M${a} ${y}v${-0.35 * size}H${b}v${0.35 * size}"/>
      <text class="mark" x="${Math.min(Math.max((a + b) / 2, half), width - half)}" y="${y - 0.6 * size}">${WORDS.fair}</text>`)
  }
  const room = Math.max(WORDS.early(40).length, WORDS.late(40).length) * LETTER * size // of the words at the ends
  for (const ms of [-40, -20, 0, 20, 40].filter((ms) => Math.abs(ms) !== 20 || x(-20) - size / 2 > room)) {
    const at = x(ms), anchor = ms === -40 ? "start" : ms === 40 ? "end" : "middle"
    const words = ms === 0 ? "0 ms" : ms === -40 ? WORDS.early(40) : ms === 40 ? WORDS.late(40) : Math.abs(ms)
    parts.push(`<text class="plain" x="${at}" y="${axis}" style="text-anchor: ${anchor}">${words}</text>`)
  }
  const at = x(timing)
  parts.push(`<path class="mark" d="M${at - 0.3 * size} ${top - 0.1 * size}h${0.6 * size}l${-0.3 * size} ${0.45 * size}z"/>
    <path class="edge" d="M${at} ${top}v${high}"/>`)
  const legend = Object.values(looks).map(({ letter, word, name }) => `<li><b>${letter}</b> ${word.includes(" ") ? word : name}</li>`).join("")
  return `<svg viewBox="0 0 ${width} ${axis + 0.3 * size}" role="img" aria-label="${WORDS.strip}">${parts.join("")}</svg>
    <ul class="legend">${legend}</ul>`
}

export const toolButtons = () => KEYS.filter(([, , word]) => word)
  .map(([keys, , word, act]) => `<button data-act="${act}" title="${escape(keys)}">${word}</button>`).join("")

export const helpText = () => `<h2>${WORDS.keys}</h2><dl>${KEYS.map(([keys, words]) =>
  `<dt>${escape(keys)}</dt><dd>${escape(words)}</dd>`).join("")}</dl>
  <form method="dialog"><button class="close">${WORDS.close}</button></form>`

export function shelf(lessons) {
  return `<ol class="shelf">${lessons.map(({ name, title, notice, minutes, steps, track }, i) => `
    <li><b class="letter">${i + 1}</b><a class="name" href="?lesson=${encodeURIComponent(name)}">${escape(title)}</a>
      <p>${escape(notice)} (${WORDS.minutes(minutes, steps)})</p>
      ${track ? `<a class="track" href="${escape(track)}" target="_blank">${WORDS.track}</a>` : ""}</li>`).join("")}</ol>
    <div class="settings" role="group" aria-label="${WORDS.settings}">${unitsPicker()}${themePicker()}${languagePicker()}</div>`
}

// The end: for each step how much of the room was right, then the closing words.
export function ending({ steps, close }, tally) {
  const rows = steps.map(({ title, choices }, i) => {
    const score = tally.score(i)
    const words = score ? WORDS.short(score.right, score.all) : tally.right[i] === undefined ? WORDS.unseen : WORDS.none
    const share = score ? (100 * score.right) / score.all : 0
    return choices ? `<li><span>${i + 1}. ${escape(title)}</span>
      <i class="bar" aria-hidden="true"><b style="width: ${share}%"></b></i><span>${words}</span></li>` : ""
  })
  return `<ol class="score">${rows.join("")}</ol><p class="closing">${escape(close)}</p>`
}
