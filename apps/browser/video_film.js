// Films as rows of frames: still pictures in the order of their names, or a video file stepped through by time. All of
// it stays in the browser.

import { tr } from "plane3d/words"

const MOST_STILLS = 2000
const KEPT = 60_000_000 // px of the frames that stay decoded
const PATIENCE = 10_000 // ms for a film to answer
const PRESENTED = 400 // ms after a jump in which its frame comes to be seen; in vain if it is the one already seen
const PLAYED = 10 // frames from which the rate is found first
const SLOWLY = 0.5 // times its speed, so that a busy machine leaves fewer out
const NEAREST = 4 // frames ahead that are looked at first
const FARTHER = 2 // and so many times as far each next time, since times in a file may be whole milliseconds
const GUESS = 30 // frames a second of a file, where the browser does not tell
const NEAR = 0.3 // frames that the last frame may be off where the rate is a usual one
const UNEVEN = 0.3 // frames that a frame may be off its place in time
const USUAL = [24_000 / 1001, 24, 25, 30_000 / 1001, 30, 48, 50, 60_000 / 1001, 60, 90, 100, 120_000 / 1001, 120, 240]

// A fault that is said to the viewer.
export class FilmError extends Error {}

// The film in some files: one video file, or several still pictures.
export async function openFilm(list) {
  const files = [...list]
  const stills = files.filter(({ type, name }) => type.startsWith("image/") || /\.(png|jpe?g|webp|bmp|gif|avif)$/i.test(name))
  if (stills.length && stills.length === files.length) return Stills.open(stills)
  if (files.length === 1) return Video.open(files[0])
  throw new FilmError(tr("Open one video file, or several still pictures."))
}

// What films share: frames are decoded one at a time and a few stay at hand.
class Film {
  constructor(name) {
    Object.assign(this, { name, kept: new Map(), turn: Promise.resolve() })
  }

  // The picture of a frame, counted from 0.
  frame(number) {
    const kept = this.kept.get(number)
    if (kept) return Promise.resolve(kept)
    const picture = this.turn.then(() => this.kept.get(number) ?? this.decode(number))
    this.turn = picture.catch(() => {})
    return picture.then((bitmap) => this.keep(number, bitmap))
  }

  keep(number, bitmap) {
    this.kept.delete(number)
    this.kept.set(number, bitmap)
    const [oldest] = this.kept
    if (this.kept.size > 2 && this.kept.size * bitmap.width * bitmap.height > KEPT) {
      this.kept.delete(oldest[0])
      oldest[1].close()
    }
    return bitmap
  }

  close() {
    this.kept.clear()
  }
}

class Stills extends Film {
  static async open(files) {
    if (files.length < 2) throw new FilmError(tr("One picture is no film; open several, numbered by their names."))
    if (files.length > MOST_STILLS) {
      throw new FilmError(tr("These are {count} pictures; open at most {most}.", { count: files.length, most: MOST_STILLS }))
    }
    const names = new Intl.Collator("en", { numeric: true })
    const film = new Stills(tr("{count} still pictures", { count: files.length }))
    film.files = files.sort((a, b) => names.compare(a.name, b.name))
    film.count = files.length
    const { width, height } = await film.read(0)
    return Object.assign(film, { width, height, fileRate: null, stills: true })
  }

  async read(number) {
    const file = this.files[number]
    try {
      return await createImageBitmap(file)
    } catch {
      throw new FilmError(tr("{name} is no picture that this browser can show.", { name: file.name }))
    }
  }

  async decode(number) {
    const bitmap = await this.read(number)
    if (bitmap.width !== this.width || bitmap.height !== this.height) {
      throw new FilmError(tr("{name} is not as large as the first picture.", { name: this.files[number].name }))
    }
    return bitmap
  }

  // What a frame is called beside its number.
  title(number) {
    return this.files[number].name
  }
}

class Video extends Film {
  static async open(file) {
    const film = new Video(file.name)
    film.url = URL.createObjectURL(file)
    film.element = Object.assign(document.createElement("video"), { muted: true, playsInline: true, preload: "auto" })
    try {
      await film.begin(file.name)
    } catch (error) {
      film.close()
      throw error
    }
    return film
  }

  async begin(name) {
    const { element } = this, refused = new FilmError(tr("{name} is no film that this browser can show.", { name }))
    const loaded = happens(element, "loadeddata", refused)
    element.src = this.url
    await loaded
    if (!element.videoWidth) throw refused
    if (!Number.isFinite(element.duration)) await this.findEnd(refused)
    if (!(element.duration > 0)) throw refused
    Object.assign(this, { width: element.videoWidth, height: element.videoHeight, first: 0, uneven: false, fileRate: null })
    this.last = element.duration
    if (element.requestVideoFrameCallback) await this.findRate()
    this.guessed = !this.fileRate
    this.setRate(this.fileRate ?? GUESS)
  }

  // Some files do not say how long they are; their end is found by jumping beyond it.
  async findEnd(refused) {
    const known = happens(this.element, "durationchange", refused)
    this.element.currentTime = 1e9
    await known
  }

  // The rate of the file: from a few frames played, then from ever later ones, whose numbers are by then beyond doubt.
  async findRate() {
    const times = await this.play()
    const steps = times.slice(1).map((time, k) => time - times[k]).filter((step) => step > 1e-4).sort((a, b) => a - b)
    if (!steps.length) return
    let [step] = steps, [length, frames] = [0, 0]
    for (const one of steps) { // the longest, in which most were left out, come last, when the step is known best
      length += one
      frames += Math.round(one / step)
      step = length / frames
    }
    this.first = (await this.jump(0)) ?? times[0]
    // Where all but every second frame were left out, another is found before the second one.
    for (let tries = 0; tries < 5; tries++) {
      const between = (await this.jump(this.first + 0.75 * step)) - this.first
      if (!(between > 0.1 * step)) break
      step /= Math.max(2, Math.round(step / between))
    }
    for (let ahead = NEAREST; ; ahead *= FARTHER) {
      const aim = Math.min(this.first + ahead * step, this.element.duration)
      const time = await this.jump(Math.max(0, aim - step / 4))
      const frames = time === null ? 0 : Math.round((time - this.first) / step)
      if (frames > 0) step = (time - this.first) / frames
      if (time !== null) this.last = time
      if (aim >= this.element.duration) break
    }
    const off = (rate) => Math.abs(rate * step - 1)
    const usual = USUAL.reduce((best, rate) => (off(rate) < off(best) ? rate : best))
    this.fileRate = off(usual) < NEAR / Math.max(1, this.last / step) ? usual : 1 / step
    this.exactEnd = true
  }

  // Times, s, of the first frames as they are shown.
  play() {
    const { element } = this, times = []
    return new Promise((resolve) => {
      const end = () => { element.pause(); clearTimeout(limit); resolve(times) }
      const limit = setTimeout(end, 4000)
      const see = (_, { mediaTime }) => {
        times.push(mediaTime)
        if (times.length >= PLAYED) end()
        else element.requestVideoFrameCallback(see)
      }
      element.requestVideoFrameCallback(see)
      element.playbackRate = SLOWLY
      element.onended = end
      element.play().catch(end)
    })
  }

  // State how many frames a second the file holds, where that could not be found.
  setRate(rate) {
    this.fileRate = rate
    this.step = 1 / rate
    this.count = Math.max(1, Math.round((this.last - this.first) * rate) + (this.exactEnd ? 1 : 0))
    this.kept.clear()
  }

  async decode(number) {
    let time = null
    for (const part of [0.5, 0.3, 0.7]) { // a jump to the middle of a frame shows it, but for odd files
      time = await this.jump(Math.min(this.first + (number + part) * this.step, this.element.duration))
      if (time === null || Math.round((time - this.first) / this.step) === number) break
    }
    if (time !== null) this.uneven ||= Math.abs((time - this.first) / this.step - number) > UNEVEN
    return createImageBitmap(this.element)
  }

  // Show what is to be seen at a time, s; the time of its frame, or null where the browser does not tell.
  async jump(time) {
    const { element } = this
    let seen = null
    const told = element.requestVideoFrameCallback && new Promise((resolve) => {
      this.waiting = element.requestVideoFrameCallback((_, { mediaTime }) => { seen = mediaTime; resolve() })
    })
    const there = happens(element, "seeked", new FilmError(tr("The film {name} cannot be read at {time} s; it may be cut short.",
      { name: this.name, time: time.toFixed(2) })))
    element.currentTime = time
    await there
    if (told) {
      await Promise.race([told, new Promise((resolve) => { setTimeout(resolve, PRESENTED) })])
      element.cancelVideoFrameCallback(this.waiting)
    }
    if (seen !== null) this.seen = seen
    return this.seen ?? null
  }

  title() {
    return ""
  }

  close() {
    super.close()
    this.element.removeAttribute("src")
    this.element.load()
    URL.revokeObjectURL(this.url)
  }
}

// Something of a video comes to pass, or else a fault.
function happens(element, name, fault) {
  return new Promise((resolve, reject) => {
    const ends = new AbortController()
    const over = (act) => () => { clearTimeout(limit); ends.abort(); act() }
    const limit = setTimeout(over(() => reject(fault)), PATIENCE)
    element.addEventListener(name, over(resolve), { signal: ends.signal })
    element.addEventListener("error", over(() => reject(fault)), { signal: ends.signal })
  })
}
