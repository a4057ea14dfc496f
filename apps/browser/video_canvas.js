// The picture of a frame with its marks on it: zoomed, moved about, and looked at through a magnifier.

const GLASS = 78 // px, radius of the magnifier
const ENLARGED = 5 // times as large as the picture round it
const LEAST_ENLARGED = 6 // screen px that a pixel has in the magnifier at least
const STEP = 1.25 // of zooming
const MOST = 40 // screen px that a pixel may have
const CRISP = 3 // from so many on pixels are shown as squares
const SLIP = 6 // px that a finger or a mouse may move in a click
const MARK = 9 // px, half the size of a mark
const FAINT = 0.45
const COLOURS = { knob: "#d9d9d9", tip: "#2fd6a3", ball: "#ffb733", known: "#ffffff" }

export class Canvas {
  // ``place`` is told the pixel that was clicked, ``hover`` that something was pointed at.
  constructor(element, place) {
    Object.assign(this, { element, place, picture: null, marks: [], zoom: 1, middle: [0.5, 0.5], pointers: new Map() })
    this.context = element.getContext("2d")
    this.seen = new ResizeObserver(() => this.draw())
    this.seen.observe(element)
    this.listen()
  }

  listen() {
    const on = (name, act) => this.element.addEventListener(name, act, { passive: false })
    on("pointerdown", (event) => this.down(event))
    on("pointermove", (event) => this.move(event))
    on("pointerup", (event) => this.up(event))
    on("pointercancel", (event) => this.leave(event))
    on("pointerleave", (event) => { if (event.pointerType === "mouse") this.leave(event) })
    on("contextmenu", (event) => event.preventDefault())
    on("wheel", (event) => {
      if (!this.picture) return
      event.preventDefault()
      this.zoomBy(event.deltaY < 0 ? STEP : 1 / STEP, this.at(event))
    })
  }

  // --- where things are --------------------------------------------------------------------------------------------

  // Screen px that a pixel of the picture has.
  get scale() {
    const { clientWidth, clientHeight } = this.element
    return this.picture ? this.zoom * Math.min(clientWidth / this.picture.width, clientHeight / this.picture.height) : 1
  }

  // Where the picture's upper left corner is on the element.
  get corner() {
    const { clientWidth, clientHeight } = this.element
    const [x, y] = this.middle
    return [clientWidth / 2 - x * this.picture.width * this.scale, clientHeight / 2 - y * this.picture.height * this.scale]
  }

  at({ clientX, clientY }) {
    const { left, top } = this.element.getBoundingClientRect()
    return [clientX - left, clientY - top]
  }

  toPicture([x, y]) {
    const [left, top] = this.corner
    return [(x - left) / this.scale, (y - top) / this.scale]
  }

  toScreen([x, y]) {
    const [left, top] = this.corner
    return [left + x * this.scale, top + y * this.scale]
  }

  // The pixel in the middle of what is shown.
  get centre() {
    return this.toPicture([this.element.clientWidth / 2, this.element.clientHeight / 2])
  }

  inside([x, y]) {
    return x >= 0 && y >= 0 && x <= this.picture.width && y <= this.picture.height
  }

  zoomBy(factor, about = [this.element.clientWidth / 2, this.element.clientHeight / 2]) {
    if (!this.picture) return
    const fixed = this.toPicture(about)
    const most = Math.max(1, MOST * this.zoom / this.scale)
    this.zoom = Math.min(most, Math.max(1, this.zoom * factor))
    const [x, y] = this.toScreen(fixed)
    this.pan(about[0] - x, about[1] - y)
  }

  pan(x, y) {
    const { width, height } = this.picture
    const moved = [this.middle[0] - x / (width * this.scale), this.middle[1] - y / (height * this.scale)]
    this.middle = moved.map((value) => Math.min(1, Math.max(0, value)))
    if (this.zoom === 1) this.middle = [0.5, 0.5]
    this.draw()
  }

  fit() {
    Object.assign(this, { zoom: 1, middle: [0.5, 0.5] })
    this.draw()
  }

  // --- pointing ----------------------------------------------------------------------------------------------------

  down(event) {
    if (!this.picture) return
    this.element.setPointerCapture(event.pointerId)
    this.pointers.set(event.pointerId, this.at(event))
    this.pressed = { at: this.at(event), moved: false, many: this.pointers.size > 1 || this.pressed?.many, held: event.button !== 0 }
    this.point(event)
  }

  // A mouse that is drawn moves the picture; one finger moves the cross, two move and zoom the picture.
  move(event) {
    if (!this.picture) return
    const now = this.at(event), before = this.pointers.get(event.pointerId)
    if (before) {
      const [x, y] = [now[0] - before[0], now[1] - before[1]]
      this.pressed.moved ||= Math.hypot(now[0] - this.pressed.at[0], now[1] - this.pressed.at[1]) > SLIP
      if (this.pointers.size === 2) this.pinch(event.pointerId, before, now)
      else if (event.pointerType === "mouse" && this.pressed.moved) this.pan(x, y)
      this.pointers.set(event.pointerId, now)
    }
    this.point(event)
  }

  pinch(id, before, now) {
    const other = [...this.pointers].find(([which]) => which !== id)[1]
    const apart = (one) => Math.max(10, Math.hypot(one[0] - other[0], one[1] - other[1]))
    this.zoomBy(apart(now) / apart(before), other.map((value, k) => (value + now[k]) / 2))
    this.pan((now[0] - before[0]) / 2, (now[1] - before[1]) / 2)
  }

  up(event) {
    if (!this.pointers.delete(event.pointerId)) return
    const { moved, many, held } = this.pressed
    const place = this.toPicture(this.at(event))
    const meant = !many && !held && (event.pointerType !== "mouse" || !moved)
    if (!this.pointers.size) this.pressed = null
    if (event.pointerType !== "mouse") this.pointed = null
    if (meant && this.inside(place)) this.place(place)
    this.draw()
  }

  leave(event) {
    this.pointers.delete(event.pointerId)
    if (!this.pointers.size) this.pressed = null
    this.pointed = null
    this.draw()
  }

  point(event) {
    this.pointed = this.pointers.size > 1 ? null : { at: this.at(event), finger: event.pointerType !== "mouse" }
    this.draw()
  }

  // --- drawing -----------------------------------------------------------------------------------------------------

  // Marks: {kind, at, name, faint, low}, ``low`` for a name below its mark; lines: pairs of pixels.
  show(picture, marks, lines = []) {
    Object.assign(this, { picture, marks, lines })
    this.draw()
  }

  // At most once for each frame of the screen.
  draw() {
    this.drawing ??= requestAnimationFrame(() => { this.drawing = null; this.paint() })
  }

  paint() {
    const { element, context, picture } = this, ratio = window.devicePixelRatio || 1
    const [width, height] = [element.clientWidth, element.clientHeight]
    if (element.width !== Math.round(width * ratio)) element.width = Math.round(width * ratio)
    if (element.height !== Math.round(height * ratio)) element.height = Math.round(height * ratio)
    context.setTransform(ratio, 0, 0, ratio, 0, 0)
    context.clearRect(0, 0, width, height)
    if (!picture) return
    this.layer(this.scale, this.corner)
    if (this.pointed && this.inside(this.toPicture(this.pointed.at))) this.magnify(width, height)
  }

  // The picture and its marks, as seen at a scale with the picture's corner at a place.
  layer(scale, [left, top]) {
    const { context, picture } = this
    context.imageSmoothingEnabled = scale < CRISP
    context.drawImage(picture, left, top, picture.width * scale, picture.height * scale)
    const screen = ([x, y]) => [left + x * scale, top + y * scale]
    for (const [from, to] of this.lines) {
      for (const [style, line] of [["rgb(0 0 0 / 55%)", 3], ["rgb(255 255 255 / 70%)", 1]]) {
        Object.assign(context, { strokeStyle: style, lineWidth: line })
        context.beginPath()
        context.moveTo(...screen(from))
        context.lineTo(...screen(to))
        context.stroke()
      }
    }
    for (const mark of this.marks) this.mark(mark, screen(mark.at))
  }

  mark({ kind, name, faint, low }, [x, y]) {
    const { context } = this, path = outline(kind, x, y)
    context.globalAlpha = faint ? FAINT : 1
    for (const [style, line] of [["rgb(0 0 0 / 75%)", 4], [COLOURS[kind], 2]]) {
      Object.assign(context, { strokeStyle: style, lineWidth: line })
      context.stroke(path)
    }
    if (name) {
      context.font = "600 13px system-ui, sans-serif"
      for (const [style, act] of [["rgb(0 0 0 / 80%)", "strokeText"], [COLOURS[kind], "fillText"]]) {
        Object.assign(context, { strokeStyle: style, fillStyle: style, lineWidth: 3, lineJoin: "round" })
        context[act](name, x + MARK + 2, low ? y + MARK + 11 : y - MARK + 1) // seen from the side, corners lie together
      }
    }
    context.globalAlpha = 1
  }

  // A round glass beside the pointer, so that neither finger nor pointer hides the pixel.
  magnify(width, height) {
    const { context } = this, { at: [x, y], finger } = this.pointed
    const away = GLASS + (finger ? 46 : 26)
    const clamp = (value, most) => Math.min(Math.max(value, GLASS + 2), Math.max(most - GLASS - 2, GLASS + 2))
    const right = x + away + GLASS < width
    const centre = finger ? [clamp(x, width), y - away - GLASS > 0 ? y - away : y + away]
      : [right ? x + away : x - away, clamp(y - away / 2, height)]
    const scale = Math.max(this.scale * ENLARGED, LEAST_ENLARGED)
    const pixel = this.toPicture([x, y])
    context.save()
    context.beginPath()
    context.arc(...centre, GLASS, 0, 2 * Math.PI)
    context.fillStyle = "#000000"
    context.fill()
    context.clip()
    this.layer(scale, [centre[0] - pixel[0] * scale, centre[1] - pixel[1] * scale])
    for (const [style, line] of [["rgb(0 0 0 / 60%)", 3], ["#ffffff", 1]]) {
      Object.assign(context, { strokeStyle: style, lineWidth: line })
      context.stroke(cross(...centre, GLASS, 5))
    }
    context.restore()
    Object.assign(context, { strokeStyle: "#ffffff", lineWidth: 2 })
    context.beginPath()
    context.arc(...centre, GLASS, 0, 2 * Math.PI)
    context.stroke()
  }

  delete() {
    this.seen.disconnect()
    cancelAnimationFrame(this.drawing)
  }
}

// Each part has a shape of its own; its middle stays free, so that the pixel is seen.
function outline(kind, x, y) {
  const path = new Path2D()
  if (kind === "known") return cross(x, y, MARK + 3, 3)
  if (kind === "knob") path.rect(x - MARK, y - MARK, 2 * MARK, 2 * MARK)
  else if (kind === "ball") path.arc(x, y, MARK, 0, 2 * Math.PI)
  else {
    path.moveTo(x, y - MARK - 3)
    path.lineTo(x + MARK + 2, y + MARK)
    path.lineTo(x - MARK - 2, y + MARK)
    path.closePath()
  }
  path.addPath(cross(x, y, 5, 2))
  return path
}

function cross(x, y, size, gap) {
  const path = new Path2D()
  for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
    path.moveTo(x + gap * dx, y + gap * dy)
    path.lineTo(x + size * dx, y + size * dy)
  }
  return path
}
