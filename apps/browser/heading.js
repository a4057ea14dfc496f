// The top of the page: scenario, units, question, the result in words, and what to notice.

const LOST = "The page has lost plane3d. Reload it; if that does not help, start plane3d again."

class Heading {
  constructor(model) {
    this.model = model
    this.root = document.createElement("div")
    this.root.className = "root"
    this.root.innerHTML = `
      <div class="line">
        <h1>plane3d</h1>
        <div class="field"><label for="scenario">Scenario</label><select id="scenario" class="scenario"></select></div>
        <button class="restart">Start again</button>
        <p class="question"></p>
        <div class="field hold"><label for="hold">Swing</label>
          <select id="hold" class="holds"><option value="aim">Aims at the pitch</option><option value="hold">Is held</option></select>
        </div>
        <div class="field units"><label for="measure">Units</label>
          <select id="measure" class="measure"><option value="us">US</option><option value="metric">Metric</option></select>
        </div>
      </div>
      <p class="result" role="status"></p>
      <details class="notice"><summary></summary> <p></p></details>`
    this.find = (selector) => this.root.querySelector(selector)
    this.find(".notice").open = !matchMedia("(max-width: 700px)").matches
    this.fill(model.shelves)
    const say = (what, ...values) => model.send_msg({ do: what, with: values })
    this.find(".scenario").onchange = (event) => say("choose", Number(event.target.value))
    this.find(".restart").onclick = () => say("restart")
    this.find(".holds").onchange = (event) => say("hold", event.target.value === "hold")
    this.find(".measure").onchange = (event) => say("measure", event.target.value === "metric")
    this.show()
  }

  // Groups with a heading become groups of the list.
  fill(shelves) {
    let place = 0
    for (const [heading, titles] of shelves) {
      let holder = this.find(".scenario")
      if (heading) holder = holder.appendChild(Object.assign(document.createElement("optgroup"), { label: heading }))
      for (const title of titles) {
        holder.append(Object.assign(document.createElement("option"), { textContent: title, value: place++ }))
      }
    }
  }

  show() {
    const { chosen, question, notice, sentence, problem, changed, metric, held } = this.model.state
    this.find(".scenario").value = String(chosen)
    this.find(".measure").value = metric ? "metric" : "us"
    this.find(".holds").value = held ? "hold" : "aim"
    this.find(".hold").classList.toggle("on", held)
    this.find(".restart").disabled = !changed
    this.find(".question").textContent = question
    this.find(".notice").hidden = !notice
    this.find(".notice summary").textContent = changed ? "Notice, before your changes:" : "Notice:"
    this.find(".notice p").textContent = notice
    this.say(sentence, problem)
  }

  say(words, problem) {
    const line = this.find(".result")
    line.classList.toggle("problem", problem)
    if (line.textContent !== words) line.textContent = words
  }
}

export function render({ model }) {
  const heading = new Heading(model)
  model.on("state", () => heading.show())
  const page = window.Bokeh?.documents?.at(-1)
  page?.on_event("connection_lost", () => heading.say(LOST, true))
  page?.on_event("client_reconnected", () => heading.show())
  return heading.root
}
