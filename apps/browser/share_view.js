// The page of a viewer who follows a presenter: the page of a scene, led from elsewhere.

import { runDrawing } from "plane3d/packed"
import { WORDS as LESSON } from "plane3d/lesson_parts"
import { ScenePage } from "plane3d/scene_page"
import { chooseLanguage } from "plane3d/settings"
import { Live } from "plane3d/share_source"
import { tr } from "plane3d/words"

const STATUS = {
  joining: tr("Connecting …"), joined: "", lost: tr("The connection is lost. Trying again …"),
  stopped: tr("The presenter has stopped sharing. This page goes on when it starts again."),
  full: tr("All places are taken. Trying again …"), code: "", wait: "",
}
const REFUSED = {
  code: tr("This is not the presenter’s code now."),
  wait: tr("Too many wrong codes came from here. Wait a minute, then try again."),
}
const FOLLOWING = tr("Following"), FOLLOW = tr("Follow again")
const WAITING = tr("Nothing is shown yet. The presenter will start soon.")
const LEADING = ".bar button:not(.sound), .bar input, .bar select" // using these is letting go
const KEYS = [" ", "ArrowLeft", "ArrowRight"]
const byId = (id) => document.getElementById(id)

class SharedPage extends ScenePage {
  constructor(source) {
    super(source)
    this.drawing = null
    source.on("picture", (picture) => this.draw(picture))
    source.on("drawn", () => this.drawing)
    source.on("status", (status) => this.showStatus(status))
    source.on("following", (on) => this.showFollowing(on))
    this.find(".follow").onclick = () => source.follow(!source.following)
    this.find(".look").onclick = () => source.view && this.model.say({ do: "look", view: source.view })
    for (const name of ["click", "input", "change"]) {
      byId("stage").addEventListener(name, (event) => event.composedPath()[0].closest?.(LEADING) && source.follow(false), true)
    }
    byId("stage").addEventListener("keydown", (event) => KEYS.includes(event.key) && source.follow(false), true)
    byId("join").onsubmit = (event) => { event.preventDefault(); source.join(byId("code").value) }
    chooseLanguage(document.querySelector(".language"))
    this.showFollowing(true)
  }

  // --- what the source tells ---------------------------------------------------------------------------------------

  ask(scene) {
    const choice = this.source.choice(scene.key)
    if (choice === undefined) this.chosen.delete(scene.place)
    else this.chosen.set(scene.place, choice)
    document.documentElement.dataset.theme = scene.theme
    document.title = `${scene.title} - plane3d`
    document.body.classList.add("shown")
    this.find(".title").textContent = scene.title
    super.ask({ made: "", toml: "", ...scene })
    this.find(".steps").hidden = false
    this.showStatus(this.status)
  }

  tell(answer) {
    super.tell(answer)
    if (answer?.changed) this.find(".result").textContent = LESSON.changed(answer.sentence)
    this.find("footer").hidden = !answer
    this.find(".made").textContent = answer?.made ?? ""
    this.find(".inputs pre").textContent = answer?.toml ?? ""
    Object.assign(this.scene, { file: answer?.file, toml: answer?.toml })
    this.offer()
  }

  draw(picture) { return this.drawing = super.draw(picture) }

  showStatus(status) {
    this.status = status
    const asks = status in REFUSED, waiting = status === "joined" && !this.scene
    byId("join").hidden = !asks
    byId("refused").textContent = asks && this.tried ? REFUSED[status] : ""
    byId("status").textContent = waiting ? WAITING : STATUS[status]
    this.tried ||= status === "joining"
    if (asks) byId("code").focus()
  }

  // --- the viewer --------------------------------------------------------------------------------------------------

  choose(row) {
    if (row === undefined || this.answer) return
    super.choose(row)
    this.source.predict(Number(row))
  }

  showFollowing(on) {
    const button = this.find(".follow")
    button.setAttribute("aria-pressed", String(on))
    button.textContent = on ? FOLLOWING : FOLLOW
    this.offer()
  }

  // A viewer who has let go may open and close what has been revealed.
  offer() { this.find(".reveal").hidden = !this.source.known }

  key() { /* the presenter leads */ }
}

async function start() {
  const source = new Live()
  new SharedPage(source)
  const code = location.hash.slice(1)
  if (code) source.join(code)
  else source.connect()
  await runDrawing()
}

start()
