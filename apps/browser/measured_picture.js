// The picture of a measured swing: samples and smoothed path from the side and from above, to scale, and how far the
// samples lie off the path.

import { tr } from "plane3d/words"

const WORDS = {
  side: tr("From the side"), above: tr("From above"), off: tr("How far each sample lies off the smoothed path"),
  offNote: tr("in mm; the dotted line is the noise near contact."), tip: tr("Tip"), knob: tr("Knob"), pitch: tr("Pitch line"),
  bat: tr("Bat at contact"), before: tr("ms from contact"),
}
const PLATE = [[0.2159, 0.4318], [-0.2159, 0.4318], [-0.2159, 0.2159], [0, 0], [0.2159, 0.2159]] // m, rule book 2.02
const SQUARE = { us: [0.3048, tr("1 ft")], metric: [0.25, "25 cm"] }
const TALL = [180, 460] // px, least and most
const RESIDUAL = 190 // px
const EDGE = 12 // px round a drawing
const ENDS = ["knob", "tip"]

const tag = (name, fields, inside = "") =>
  `<${name} ${Object.entries(fields).map(([key, value]) => `${key}="${value}"`).join(" ")}>${inside}</${name}>`
const line = (points, name) => tag("polyline", { class: name, points: points.map((p) => p.map((v) => v.toFixed(1)).join()).join(" ") })
const FEW = 150 // samples that may be drawn large
const mark = (end, [x, y], size = 3) => end === "tip"
  ? tag("circle", { class: "tip sample", cx: x.toFixed(1), cy: y.toFixed(1), r: size })
  : tag("rect", { class: "knob sample", x: (x - size + 0.5).toFixed(1), y: (y - size + 0.5).toFixed(1), width: 2 * size - 1, height: 2 * size - 1 })

const KEY = `<ul class="key">${[
  ["tip", line([[0, 6], [34, 6]], "tip path") + mark("tip", [17, 6])], ["knob", line([[0, 6], [34, 6]], "knob path") + mark("knob", [17, 6])],
  ["pitch", line([[0, 6], [34, 6]], "pitch")], ["bat", line([[3, 6], [31, 6]], "bat")],
].map(([name, drawn]) => `<li><svg viewBox="0 0 34 12" aria-hidden="true">${drawn}</svg>${WORDS[name]}</li>`).join("")}</ul>`

// The side view looks from the open side of the hitter, as that of the stage does.
const VIEWS = {
  side: (side) => ([, y, z]) => [side * y, -z],
  above: () => ([x, y]) => [x, -y],
}

export class Picture {
  constructor(root) {
    this.root = root
    const figure = (name, words, note = "") => `<figure class="${name === "off" ? "whole" : ""}" data-view="${name}">
      <figcaption><b>${words}</b> <span>${note}</span></figcaption><svg role="img" aria-label="${words}"></svg></figure>`
    root.innerHTML = figure("side", WORDS.side) + figure("above", WORDS.above) + figure("off", WORDS.off, WORDS.offNote)
    for (const name of ["side", "above"]) this.part(name).insertAdjacentHTML("beforeend", KEY)
    this.watch = new ResizeObserver(() => this.draw())
    this.watch.observe(root)
  }

  part(name) {
    return this.root.querySelector(`[data-view="${name}"]`)
  }

  show(data, metric) {
    Object.assign(this, { data, metric })
    this.draw()
  }

  draw() {
    if (!this.data || !this.root.clientWidth) return
    const flats = Object.keys(VIEWS).map((name) => this.flat(name, VIEWS[name](this.data.side)))
    const tall = Math.max(...flats.map(({ height }) => height))
    for (const { name, width, paint } of flats) this.put(name, width, tall, paint(tall))
    this.residuals()
  }

  put(name, width, height, drawn) {
    const svg = this.part(name).querySelector("svg")
    svg.setAttribute("viewBox", `0 0 ${width} ${height}`)
    svg.style.height = `${height}px`
    svg.innerHTML = drawn
  }

  // One flat view: everything in it, as large as its place allows.
  flat(name, to) {
    const { data } = this
    const flat = (points) => points.map(to)
    const all = [...ENDS.flatMap((end) => [...data[end].samples, ...data[end].path]), ...PLATE.map(([x, y]) => [x, y, 0])].map(to)
    const xs = all.map(([x]) => x), ys = all.map(([, y]) => y)
    const low = [Math.min(...xs), Math.min(...ys)], span = [Math.max(...xs) - low[0], Math.max(...ys) - low[1]]
    const width = this.part(name).querySelector("svg").clientWidth
    const fit = (width - 2 * EDGE) / span[0]
    const height = Math.min(TALL[1], Math.max(TALL[0], fit * span[1] + 2 * EDGE))
    const paint = (tall) => {
      const scale = Math.min(fit, (tall - 2 * EDGE) / span[1])
      const shift = [(width - scale * span[0]) / 2, (tall - scale * span[1]) / 2]
      const px = ([x, y]) => [shift[0] + scale * (x - low[0]), shift[1] + scale * (y - low[1])]
      const drawn = (points) => flat(points).map(px)
      const plate = drawn(PLATE.map(([x, y]) => [x, y, 0]))
      return [
        this.squares(name, width, tall, px, scale),
        tag("polygon", { class: "plate", points: plate.map((p) => p.join()).join(" ") }),
        line(drawn(data.pitch), "pitch"), line(drawn(data.bat), "bat"),
        ...ENDS.map((end) => line(drawn(data[end].path), `${end} path`)),
        ...ENDS.flatMap((end) => drawn(data[end].samples).map((place) => mark(end, place, data.times.length > FEW ? 2 : 3))),
      ].join("")
    }
    return { name, width, height, paint }
  }

  squares(name, width, height, px, scale) {
    const [size, words] = SQUARE[this.metric ? "metric" : "us"], step = size * scale, [x0, y0] = px([0, 0])
    this.part(name).querySelector("figcaption span").textContent = tr("to scale; one square is {size}", { size: words })
    let drawn = ""
    for (let x = ((x0 % step) + step) % step; x < width; x += step) drawn += `M${x.toFixed(1)} 0V${height}`
    for (let y = ((y0 % step) + step) % step; y < height; y += step) drawn += `M0 ${y.toFixed(1)}H${width}`
    return tag("path", { class: "grid", d: drawn })
  }

  residuals() {
    const { data } = this, width = this.part("off").querySelector("svg").clientWidth
    const left = 46, bottom = RESIDUAL - 36, top = 8
    const most = Math.max(...ENDS.flatMap((end) => data[end].off), 2 * data.noise, 1) * 1.08
    const from = Math.min(...data.times, -10), to = Math.max(...data.times, 10)
    const x = (t) => left + ((t - from) / (to - from)) * (width - left - EDGE), y = (mm) => bottom - (mm / most) * (bottom - top)
    const ticks = nice(from, to, width / 90), levels = nice(0, most, 4)
    const drawn = [
      ...levels.map((mm) => line([[left, y(mm)], [width - EDGE, y(mm)]], "grid") + tag("text", { x: left - 6, y: y(mm) + 4, "text-anchor": "end" }, mm)),
      ...ticks.map((t) => tag("text", { x: x(t), y: bottom + 17, "text-anchor": "middle" }, String(t).replace("-", "−"))),
      tag("text", { class: "quiet", x: (left + width) / 2, y: RESIDUAL - 3, "text-anchor": "middle" }, WORDS.before),
      line([[left, y(data.noise)], [width - EDGE, y(data.noise)]], "noise"), line([[x(0), top], [x(0), bottom]], "contact"),
      ...ENDS.flatMap((end) => data[end].off.map((mm, i) =>
        line([[x(data.times[i]), bottom], [x(data.times[i]), y(mm)]], `${end} off`) + mark(end, [x(data.times[i]), y(mm)]))),
    ]
    this.put("off", width, RESIDUAL, drawn.join(""))
  }

  delete() {
    this.watch.disconnect()
  }
}

// Round numbers between two ends, about so many.
function nice(from, to, count) {
  const rough = (to - from) / Math.max(2, Math.min(count, 12)), power = 10 ** Math.floor(Math.log10(rough))
  const step = [1, 2, 5, 10].map((k) => k * power).find((one) => one >= rough)
  const found = []
  for (let k = Math.ceil(from / step); k * step <= to; k += 1) found.push(Number((k * step).toPrecision(6)))
  return found
}
