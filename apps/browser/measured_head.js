// The common top of the pages of measured swings: which page, the way to stage and studies, how it is shown.

import { handOver } from "plane3d/handing"
import { whenReady } from "plane3d/scenarios"
import { chooseLanguage, keepTheme, keepUnits, languagePicker, theme, themePicker, units, unitsPicker } from "plane3d/settings"
import { tr } from "plane3d/words"

const WORDS = { measured: tr("measured swings"), pages: tr("Pages"), studies: tr("Studies"), more: tr("More") }
const TABS = [
  ["points", "/measured", tr("Points of the bat")], ["video", "/video", tr("From video")], ["log", "/log", tr("Hitter’s log")],
]
const LOST = tr("The page has lost plane3d. Reload it; if that does not help, start plane3d again.")
const CALM = 300 // ms without a change before the address follows

class Head {
  constructor(model) {
    this.model = model
    this.root = document.createElement("div")
    this.root.className = "root"
    this.root.innerHTML = `
      <div class="row top">
        <h1><a class="stage" href="/">plane3d</a>: ${WORDS.measured}</h1>
        <button class="fold" aria-expanded="false">${WORDS.more}</button>
        <nav class="tabs" aria-label="${WORDS.pages}">
          ${TABS.map(([name, href, label]) => `<a data-tab="${name}" href="${href}">${label}</a>`).join("")}
        </nav>
        <a class="studies aside" href="/studies">${WORDS.studies}</a>
        <div class="row aside">${unitsPicker()} ${themePicker()} ${languagePicker()}</div>
      </div>
      <p class="lost problem" role="alert" hidden>${LOST}</p>`
    this.find = (selector) => this.root.querySelector(selector)
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.find(`[data-tab="${model.active}"]`).setAttribute("aria-current", "page")
    this.find(".fold").onclick = ({ target }) => {
      target.setAttribute("aria-expanded", String(this.find(".top").classList.toggle("opened")))
    }
    this.settings()
    this.show()
    this.changed = () => this.arrive()
    window.addEventListener("hashchange", this.changed)
    whenReady(() => this.arrive())
  }

  settings() {
    this.find("#measure").onchange = ({ target }) => {
      keepUnits(target.value === "metric")
      this.look()
    }
    this.find("#theme").value = theme()
    this.find("#theme").onchange = ({ target }) => {
      keepTheme(target.value)
      document.documentElement.dataset.theme = target.value
      this.look()
    }
    chooseLanguage(this.find("#language"))
    this.wide = matchMedia("(min-width: 1700px)") // as in page.css, where letters grow
    this.wide.onchange = () => this.look()
  }

  shownAs() {
    return { theme: theme(), metric: units(), size: parseFloat(getComputedStyle(document.body).fontSize) }
  }

  look() {
    this.say("look", this.shownAs())
  }

  arrive() {
    this.say("arrive", this.shownAs(), Object.fromEntries(new URLSearchParams(location.hash.slice(1))))
    this.arrived = true
  }

  show() {
    const { metric = units(), scenario, link } = this.model.state
    this.find("#measure").value = metric ? "metric" : "us"
    const along = scenario ? `#s=${scenario}` : ""
    this.find(".stage").href = `/${along}`
    this.find(".studies").href = `/studies${along}`
    for (const [name, href] of TABS) this.find(`[data-tab="${name}"]`).href = name === "log" ? href : href + along
    if (link !== undefined) this.keep(link)
  }

  // A reload, or a copy of the address, brings what it says back. Browsers refuse to change it too often.
  keep(link) {
    if (!this.arrived) return
    clearTimeout(this.keeping)
    const address = link ? `#${link}` : location.pathname + location.search
    this.keeping = setTimeout(() => history.replaceState(null, "", address), CALM)
  }

  lost(on) {
    this.find(".lost").hidden = !on
  }

  delete() {
    clearTimeout(this.keeping)
    window.removeEventListener("hashchange", this.changed)
    this.wide.onchange = null
  }
}

export function render({ model }) {
  const head = new Head(model)
  model.on("state", () => head.show())
  model.on("msg:custom", ({ do: what, name, data }) => { if (what === "file") handOver(name, data) })
  model.on("remove", () => head.delete())
  const page = window.Bokeh?.documents?.at(-1)
  page?.on_event("connection_lost", () => head.lost(true))
  page?.on_event("client_reconnected", () => head.lost(false))
  return head.root
}
