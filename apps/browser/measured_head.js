// The common top of the pages of measured swings: which page, the way to stage and studies, how it is shown.

import { handOver } from "plane3d/handing"
import { LOST, PageTop } from "plane3d/page_top"
import { languagePicker, themePicker, units, unitsPicker } from "plane3d/settings"
import { tr } from "plane3d/words"

const WORDS = { measured: tr("measured swings"), pages: tr("Pages"), studies: tr("Studies"), more: tr("More") }
const TABS = [
  ["points", "/measured", tr("Points of the bat")], ["video", "/video", tr("From video")], ["log", "/log", tr("Hitter’s log")],
]

class Head extends PageTop {
  constructor(model) {
    super(model, `
      <div class="row top">
        <h1><a class="stage" href="/">plane3d</a>: ${WORDS.measured}</h1>
        <button class="fold" aria-expanded="false">${WORDS.more}</button>
        <nav class="tabs" aria-label="${WORDS.pages}">
          ${TABS.map(([name, href, label]) => `<a data-tab="${name}" href="${href}">${label}</a>`).join("")}
        </nav>
        <a class="studies aside" href="/studies">${WORDS.studies}</a>
        <div class="row aside">${unitsPicker()} ${themePicker()} ${languagePicker()}</div>
      </div>
      <p class="lost problem" role="alert" hidden>${LOST}</p>`)
    this.find(`[data-tab="${model.active}"]`).setAttribute("aria-current", "page")
    this.show()
    this.start()
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

  lost(on) {
    this.find(".lost").hidden = !on
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
