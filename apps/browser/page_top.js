// What the tops of the studies and of the measured swings share: how the page is shown, and its address.

import { whenReady } from "plane3d/scenarios"
import { chooseLanguage, keepTheme, keepUnits, theme, units } from "plane3d/settings"
import { tr } from "plane3d/words"

export const LOST = tr("The page has lost plane3d. Reload it; if that does not help, start plane3d again.")
const CALM = 300 // ms without a change before the address follows

export class PageTop {
  // ``html`` holds the pickers of `settings`, that of the theme or not, and a button that unfolds them.
  constructor(model, html) {
    this.model = model
    this.root = Object.assign(document.createElement("div"), { className: "root", innerHTML: html })
    this.find = (selector) => this.root.querySelector(selector)
    this.say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.find(".fold").onclick = ({ target }) => {
      target.setAttribute("aria-expanded", String(this.find(".top").classList.toggle("opened")))
    }
    this.find("#measure").onchange = ({ target }) => { keepUnits(target.value === "metric"); this.look() }
    this.pickTheme(this.find("#theme"))
    chooseLanguage(this.find("#language"))
  }

  pickTheme(picker) {
    if (!picker) return
    picker.value = theme()
    picker.onchange = () => {
      keepTheme(picker.value)
      document.documentElement.dataset.theme = picker.value
      this.look()
    }
  }

  // From here on the page is told how it is shown, and what its address says.
  start() {
    this.wide = matchMedia("(min-width: 1700px)") // as in page.css, where letters grow
    this.wide.onchange = () => this.look()
    this.changed = ({ newURL }) => this.arrive(new URL(newURL).hash) // by now the page may have written another
    window.addEventListener("hashchange", this.changed)
    whenReady(() => this.arrive(location.hash))
  }

  shownAs() {
    return { theme: theme(), metric: units(), size: parseFloat(getComputedStyle(document.body).fontSize) }
  }

  look() {
    this.say("look", this.shownAs())
  }

  arrive(hash) {
    clearTimeout(this.keeping)
    this.say("arrive", this.shownAs(), Object.fromEntries(new URLSearchParams(hash.slice(1))))
    this.arrived = true
  }

  // A reload, or a copy of the address, brings what it says back. Browsers refuse to change it too often.
  keep(link) {
    if (!this.arrived) return
    clearTimeout(this.keeping)
    const address = link ? `#${link}` : location.pathname + location.search
    this.keeping = setTimeout(() => history.replaceState(null, "", address), CALM)
  }

  delete() {
    clearTimeout(this.keeping)
    window.removeEventListener("hashchange", this.changed)
    this.wide.onchange = null
  }
}
