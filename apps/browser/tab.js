// What ties a session to its browser tab: the address, what is kept for a reload, files dropped and handed over, keys.

import { handOver } from "plane3d/handing"
import { keepUnits, sure, units } from "plane3d/settings"

const KEEP = "plane3d-work" // in the tab's own store: two tabs share nothing
const REST = 250 // ms without a change before address and store are written
const MARK = "#s=" // what stands before a scenario in the address
const LARGEST = 1_000_000 // bytes of one file
const ALL = 8_000_000 // bytes of all files opened at once

// What is read from the store, or null; a browser may forbid the store.
function stored(name) {
  try { return JSON.parse(sessionStorage.getItem(name)) } catch { return null }
}

function store(name, value) {
  try {
    if (value === null) sessionStorage.removeItem(name)
    else sessionStorage.setItem(name, JSON.stringify(value))
  } catch { /* forbidden or full: the address still has the present scenario */ }
}

const linked = ({ hash } = location) => (hash.startsWith(MARK) ? hash.slice(MARK.length) : "")

// Files by name and content; null for the content of one that is too large to be sent.
export async function read(files) {
  let room = ALL
  return Promise.all([...files].map(async (file) => {
    const fits = file.size <= LARGEST && file.size <= room
    if (fits) room -= file.size
    return { name: file.name.toWellFormed?.() ?? file.name, data: fits ? await file.arrayBuffer() : null }
  }))
}

export class Tab {
  constructor(root, say) {
    Object.assign(this, { root, say, arrived: false, unwritten: null, ends: new AbortController() })
    const on = (target, name, act) => target.addEventListener(name, act, { signal: this.ends.signal })
    on(window, "hashchange", ({ newURL }) => { // by now the page may have written another
      const link = linked(new URL(newURL))
      if (link) this.say("arrive", link, null)
    })
    on(window, "pagehide", () => this.write())
    on(document, "keydown", (event) => this.key(event))
    on(document, "dragover", (event) => this.hover(event))
    on(document, "dragleave", (event) => { if (!event.relatedTarget) this.mark(false) })
    on(document, "drop", (event) => this.drop(event))
  }

  // The page is there: say what the address asks for and what an earlier visit in this tab left. A reload at once after
  // a change comes with the address of before the change, which asks for nothing.
  arrive() {
    if (units()) this.say("measure", true)
    if (sure()) this.say("sure", true)
    const work = stored(KEEP), reloaded = performance.getEntriesByType("navigation")[0]?.type === "reload"
    this.say("arrive", reloaded && work?.before === linked() ? "" : linked(), work)
  }

  // Nothing is written before the server has dealt with what was there.
  keep({ arrived, link, saved }, metric) {
    this.arrived ||= arrived
    if (!this.arrived) return
    this.unwritten = { link, saved, metric }
    clearTimeout(this.resting)
    this.resting = setTimeout(() => this.write(), REST)
  }

  write() {
    if (!this.unwritten) return
    const { link, saved, metric } = this.unwritten
    this.unwritten = null
    store(KEEP, saved && { ...saved, before: linked() })
    keepUnits(metric)
    const address = saved ? MARK + link : location.pathname + location.search
    if (saved || linked()) history.replaceState(history.state, "", address)
  }

  // --- keys --------------------------------------------------------------------------------------------------------

  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return
    const letter = event.key.toLowerCase()
    if (letter !== "z" && letter !== "y") return
    const field = event.composedPath()[0]
    if (field.matches?.("textarea, input[type=text]") && field.value !== field.defaultValue) return // its own undo
    event.preventDefault()
    this.say(letter === "y" || event.shiftKey ? "redo" : "undo")
  }

  // --- files -------------------------------------------------------------------------------------------------------

  hover(event) {
    if (!event.dataTransfer.types.includes("Files")) return
    event.preventDefault()
    event.dataTransfer.dropEffect = "copy"
    this.mark(true)
  }

  async drop(event) {
    if (!event.dataTransfer.types.includes("Files")) return
    event.preventDefault()
    this.mark(false)
    this.say("open", await read(event.dataTransfer.files))
  }

  mark(on) {
    document.documentElement.classList.toggle("dropping", on)
  }

  obey({ do: what, name, data }) {
    if (what === "file") handOver(name, data)
  }

  delete() {
    clearTimeout(this.resting)
    this.ends.abort()
  }
}
