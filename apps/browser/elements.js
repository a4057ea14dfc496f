// Elements made by hand: whatever a viewer has written is put in as text, never as HTML.

export const make = (tag, fields = {}, ...inside) => {
  const made = Object.assign(document.createElement(tag), fields)
  made.append(...inside)
  return made
}

export const options = (pairs) => pairs.map(([value, textContent]) => make("option", { value, textContent }))

let count = 0

// A field under its label, as one block.
export function labelled(words, field) {
  field.id ||= `field-${++count}`
  return make("div", { className: "labelled" }, make("label", { htmlFor: field.id, textContent: words }), field)
}

// Tabs: arrow keys go from one to the next and open it.
export function tabKeys(list, tabs, open) {
  list.onkeydown = (event) => {
    const now = tabs.indexOf(event.target), last = tabs.length - 1
    const to = { ArrowRight: now === last ? 0 : now + 1, ArrowLeft: now ? now - 1 : last, Home: 0, End: last }[event.key]
    if (to === undefined) return
    event.preventDefault()
    tabs[to].focus()
    open(tabs[to])
  }
}

// A button that asks once more, in its own place, before it does what cannot be undone.
export function asksFirst(words, sure, yes, no, act) {
  const place = make("span", { className: "asks" })
  const first = make("button", { textContent: words, className: "quietly" })
  const close = () => place.replaceChildren(first)
  first.onclick = () => {
    const back = make("button", { textContent: no, onclick: () => { close(); first.focus() } })
    place.replaceChildren(make("span", { textContent: sure }), make("button", { textContent: yes, className: "danger", onclick: act }), back)
    back.focus()
  }
  close()
  return place
}
