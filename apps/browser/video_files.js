// What the page of films opens: films, saved work, and the invented example.

import { FilmError, openFilm } from "plane3d/video_film"
import { PARTS } from "plane3d/video_marks"
import { tr } from "plane3d/words"

const LARGEST = 2_000_000 // bytes of a file of marks
const FILMS = ["film-side.webm", "film-behind.webm"], EXAMPLE = "films.marks.json" // made by tests/films.py

export class Files {
  constructor(desk) {
    this.desk = desk
  }

  openAny(files) {
    if (files.length === 1 && /\.json$/i.test(files[0].name)) this.openWork(files[0])
    else this.openFilm(files)
  }

  // A film takes the place of the one before it; the marks stay, since the camera stands still.
  async openFilm(files) {
    if (!files.length) return
    const { desk } = this, { place } = desk
    desk.tell(tr("Opening {name} …", { name: files[0].name }))
    let film = null
    try {
      film = await openFilm(files)
      fits(film, desk.work.views[place])
    } catch (error) {
      film?.close()
      desk.fail(error)
      return
    }
    desk.films[place]?.close()
    desk.films[place] = film
    desk.nows[place] = Math.min(desk.nows[place], film.count - 1)
    desk.drawn = null
    desk.tell("")
    desk.work.state(place, "size", [film.width, film.height])
    await desk.go(desk.nows[place], place)
  }

  async openWork(file) {
    if (!file) return
    const fits = file.size <= LARGEST
    this.desk.say("open", file.name.toWellFormed?.() ?? file.name, fits ? await file.text() : null)
  }

  // Invented films with their marks, from this machine too.
  async tryExample() {
    this.desk.tell(tr("Opening {name} …", { name: EXAMPLE }))
    const got = async (name) => new File([await (await fetch(`/films/${name}`)).blob()], name)
    this.pending = await Promise.all(FILMS.map(got))
    await this.openWork(await got(EXAMPLE))
  }

  // Saved work as the server has read it. The films stay open where they fit.
  async take(text) {
    const { desk } = this, whole = JSON.parse(text), films = this.pending
    this.pending = null
    for (const [place, film] of desk.films.entries()) {
      const size = whole.views[place]?.size
      if (!film || !size || (film.width === size[0] && film.height === size[1])) continue
      film.close()
      desk.films[place] = null
    }
    desk.work.take(whole)
    desk.turn(0)
    desk.tell(films ? "" : tr("Work opened. Open its film beside it."))
    if (films) await this.openExample(films)
  }

  // Take all marks away; the films stay open.
  clear() {
    const { desk } = this, { two, stick } = desk.work
    desk.work.take({ stick_m: stick, note: "", views: two ? [{}, {}] : [{}] })
    for (const [place, film] of desk.films.entries()) {
      if (film) desk.work.state(place, "size", [film.width, film.height])
    }
    desk.step = "film"
    desk.tell("")
    desk.turn(0)
  }

  async openExample(films) {
    const { desk } = this
    for (const [place, film] of films.entries()) {
      desk.turn(place)
      await this.openFilm([film])
    }
    desk.step = "swing"
    desk.turn(0)
    desk.go(desk.steps.range()[0])
  }
}

function fits(film, { size, known, marks }) {
  const set = Object.keys(known).length || PARTS.some((part) => Object.keys(marks[part] ?? {}).length)
  if (!set || !size || (size[0] === film.width && size[1] === film.height)) return
  throw new FilmError(tr("The marks were set in pictures of {width} × {height} px; those of {name} are of another size.",
    { width: size[0], height: size[1], name: film.name }))
}
