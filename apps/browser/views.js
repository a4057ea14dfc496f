// The bar of views over the picture: one button a view, reset, the figure's switch, help.

const WORDS = {
  catcher: "Catcher", pitcher: "Pitcher", above: "Above", side: "Open side", hitter: "Hitter’s eyes",
}
const RESET = ["Reset view", "Reset the view (key 0)"]
const FIGURE = ["Figure", "Show a plain figure of the hitter, to scale"]
const HELP = ["Help", "How to turn and play"]

export class Views {
  // ``act`` holds what the buttons do: look(name), reset(), figure(on), help().
  constructor(act) {
    this.act = act
    this.element = document.createElement("div")
    this.element.className = "views"
    this.element.setAttribute("role", "group")
    this.element.setAttribute("aria-label", "Views")
    this.buttons = new Map()
    this.figure = button(FIGURE, () => act.figure(!this.shown))
  }

  // The names of the views there are, and whether there is a figure to show.
  offer(names, figure) {
    this.buttons = new Map(names.map((name, i) => {
      const words = WORDS[name] || name[0].toUpperCase() + name.slice(1)
      return [name, button([words, `View: ${words.toLowerCase()} (key ${i + 1})`], () => this.act.look(name))]
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
