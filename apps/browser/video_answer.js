// What the marks came to: cameras, points, the moments' link, warnings, and which marks fit worst, to go to.

import { make } from "plane3d/elements"
import { VIEW_WORDS } from "plane3d/video_words"
import { tr } from "plane3d/words"

const WORDS = {
  cameras: tr("Cameras and points"), bad: tr("Marks that fit worst"), known: tr("Known points"), swing: tr("Bat and ball"),
  off: tr("How far the marks of both views miss each other, or a known point its mark, in px. Click a row to go there."),
  show: tr("Show all"),
}
const FEW = 8

// Fill a place with an answer; ``go`` is told [view, step, frame or point] of the row that is clicked.
export function showAnswer(root, answer, go) {
  root.replaceChildren()
  if (!answer) return
  const words = make("section", { className: "card" })
  if (answer.cameras.length) {
    words.append(make("h2", { textContent: WORDS.cameras }))
    for (const [name, said] of answer.cameras) words.append(make("p", {}, make("b", { textContent: `${name}. ` }), said))
    words.append(table(answer.points))
  }
  if (answer.link) words.append(make("p", { textContent: answer.link }))
  for (const warning of answer.warnings) words.append(make("p", { className: "warning", textContent: warning }))
  if (words.hasChildNodes()) root.append(words)
  if (answer.misses.length || answer.known.length) root.append(worst(answer, go))
}

function table(rows) {
  return make("table", {}, make("tbody", {}, ...rows.map(([name, value]) => make("tr", {},
    make("th", { scope: "row", textContent: name }), make("td", { textContent: value })))))
}

function worst({ misses, known }, go) {
  const swing = misses.map(({ word, frames, part, off }) => ({
    off, words: tr("{part}, frames {first} and {second}", { part: word, first: frames[0], second: frames[1] }),
    act: () => go("swing", { frames, part }),
  }))
  const points = known.map(({ word, view, name, off }) => ({
    off, words: `${VIEW_WORDS[view]}: ${word}`, act: () => go("plate", { view, name }),
  }))
  return make("section", { className: "card" }, make("h2", { textContent: WORDS.bad }),
    make("p", { className: "quiet", textContent: WORDS.off }),
    make("div", { className: "lists" }, list(WORDS.swing, swing), list(WORDS.known, points)))
}

// The worst rows, each with a bar as long as it is off; the others on demand.
function list(title, rows) {
  const most = Math.max(1, ...rows.map(({ off }) => off))
  const line = ({ off, words, act }) => {
    const bar = make("i", { className: "bar" })
    bar.style.width = `${100 * off / most}%`
    return make("li", {}, make("button", { className: "miss", onclick: act }, make("span", { textContent: words }),
      make("span", { className: "off", textContent: `${off.toFixed(1)} px` }), bar))
  }
  const items = make("ol", {}, ...rows.slice(0, FEW).map(line))
  const more = make("button", { className: "more", textContent: WORDS.show, hidden: rows.length <= FEW })
  more.onclick = () => { items.append(...rows.slice(FEW).map(line)); more.hidden = true }
  return make("div", {}, make("h3", { textContent: title }), items, more)
}
