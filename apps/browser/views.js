// The bar of views over the picture: one button a view, reset, the figure's switch, help.

import { tr, trc } from "plane3d/words"

const WORDS = {
  catcher: trc("view", "Catcher"), pitcher: trc("view", "Pitcher"), above: trc("view", "Above"),
  side: trc("view", "Open side"), hitter: trc("view", "Hitter’s eyes"),
}
const RESET = [tr("Reset view"), tr("Reset the view (key 0)")]
const FIGURE = [tr("Figure"), tr("Show a plain figure of the hitter, to scale")]
const HELP = [tr("Help"), tr("How to turn and play")]

export class Views {
  // ``act`` holds what the buttons do: look(name), reset(), figure(on), help().
  constructor(act) {
    this.act = act
    this.element = document.createElement("div")
    this.element.className = "views"
    this.element.setAttribute("role", "group")
    this.element.setAttribute("aria-label", tr("Views"))
    this.buttons = new Map()
    this.figure = button(FIGURE, () => act.figure(!this.shown))
  }

  // The names of the views there are, and whether there is a figure to show.
  offer(names, figure) {
    this.buttons = new Map(names.map((name, i) => {
      const words = WORDS[name] || name[0].toUpperCase() + name.slice(1)
      const title = tr("View: {view} (key {number})", { view: words.toLowerCase(), number: i + 1 })
      return [name, button([words, title], () => this.act.look(name))]
    }))
    const rest = [button(RESET, this.act.reset), ...(figure ? [this.figure] : []), button(HELP, this.act.help)]
    this.element.replaceChildren(...this.buttons.values(), ...rest)
  }

  mark(view, shown) {
    this.shown = shown
    for (const [name, element] of this.buttons) element.setAttribute("aria-pressed", String(name === view))
    this.figure.setAttribute("aria-pressed", String(shown))
  }
}

function button([words, title], act) {
  const element = document.createElement("button")
  return Object.assign(element, { textContent: words, title, onclick: act })
}
