// The top of the studies: which scenario, its result, the parts as tabs, the answer in one sentence, how far it is.

import { tabKeys } from "plane3d/elements"
import { handOver } from "plane3d/handing"
import { LOST, PageTop } from "plane3d/page_top"
import { fillScenarios } from "plane3d/scenarios"
import { languagePicker, unitsPicker } from "plane3d/settings"
import { tr } from "plane3d/words"

const WORDS = {
  studies: tr("studies"), scenario: tr("Scenario"), compare: tr("Compare"), measured: tr("Measured swings"), parts: tr("Parts"), cancel: tr("Cancel"),
  progress: tr("Progress"), more: tr("More"),
}

class Head extends PageTop {
  constructor(model) {
    super(model, `
      <div class="row top">
        <h1><a class="stage" href="/">plane3d</a>: ${WORDS.studies}</h1>
        <div class="field pick"><label for="scenario">${WORDS.scenario}</label><select id="scenario"></select></div>
        <button class="fold" aria-expanded="false">${WORDS.more}</button>
        <a class="compare aside" href="/compare">${WORDS.compare}</a>
        <a class="measured aside" href="/measured">${WORDS.measured}</a>
        <div class="row aside">${unitsPicker()} ${languagePicker()}</div>
      </div>
      <p class="result single" role="status"></p>
      <div class="tabs" role="tablist" aria-label="${WORDS.parts}">
        ${model.tabs.map(([name, label]) => `<button role="tab" data-part="${name}">${label}</button>`).join("")}
      </div>
      <div class="answer">
        <p class="headline" role="status"></p>
        <div class="running" hidden>
          <div class="bar" role="progressbar" aria-label="${WORDS.progress}" aria-valuemin="0" aria-valuemax="100"><i></i></div>
          <button class="cancel">${WORDS.cancel}</button>
        </div>
      </div>`)
    this.find("#scenario").onchange = ({ target }) => this.say("choose", Number(target.value))
    this.find(".cancel").onclick = () => this.say("cancel")
    this.tabs = [...this.root.querySelectorAll("[role=tab]")]
    for (const tab of this.tabs) tab.onclick = () => this.say("open", tab.dataset.part)
    tabKeys(this.find(".tabs"), this.tabs, ({ dataset }) => { this.mark(dataset.part); this.say("open", dataset.part) })
    this.narrow = matchMedia("(max-width: 1000px)") // as in studies.css
    this.narrow.onchange = ({ matches }) => { document.querySelector(".inputs").open = !matches }
    this.fill()
    this.show()
    this.start()
  }

  fill() {
    fillScenarios(this.find("#scenario"), this.model.shelves, this.model.state.chosen)
  }

  mark(part) {
    for (const tab of this.tabs) {
      tab.setAttribute("aria-selected", String(tab.dataset.part === part))
      tab.tabIndex = tab.dataset.part === part ? 0 : -1
    }
    if (document.documentElement.dataset.part === part) return
    document.documentElement.dataset.part = part
    // Where there is little room the answer comes first; only the ball that is wanted stays to be picked.
    document.querySelector(".inputs").open = !this.narrow.matches || part === "remedy"
  }

  show() {
    const { part, chosen, sentence, wrong, headline, problem, running, stale, share, alts, metric, link, scenario } = this.model.state
    this.find("#scenario").value = String(chosen)
    this.find("#measure").value = metric ? "metric" : "us"
    this.find(".stage").href = `/#s=${scenario}`
    this.find(".compare").href = `/compare#a=${scenario}`
    this.find(".measured").href = `/measured#s=${scenario}`
    this.mark(part)
    this.tell(".single", sentence, wrong)
    this.tell(".headline", headline, problem)
    document.documentElement.toggleAttribute("data-stale", stale)
    this.find(".running").hidden = !running
    this.find(".bar").setAttribute("aria-valuenow", String(Math.round(100 * share)))
    this.find(".bar i").style.width = `${100 * share}%`
    for (const [name, words] of Object.entries(alts)) {
      document.querySelector(`[data-figure="${name}"]`)?.setAttribute("aria-label", words)
    }
    this.keep(link)
  }

  tell(place, words, problem) {
    const line = this.find(place)
    line.classList.toggle("problem", problem)
    if (line.textContent !== words) line.textContent = words
  }
}

export function render({ model }) {
  const head = new Head(model)
  model.on("shelves", () => head.fill())
  model.on("state", () => head.show())
  model.on("msg:custom", ({ do: what, name, data }) => { if (what === "file") handOver(name, data, "text/markdown") })
  model.on("remove", () => head.delete())
  const page = window.Bokeh?.documents?.at(-1)
  page?.on_event("connection_lost", () => head.tell(".headline", LOST, true))
  page?.on_event("client_reconnected", () => head.show())
  return head.root
}
