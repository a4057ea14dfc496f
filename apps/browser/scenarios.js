// What the pages with pickers of scenarios share.

// Fill a picker with titles in groups; a group with a heading becomes a group of the list. ``chosen``: its place.
export function fillScenarios(list, shelves, chosen) {
  let place = 0
  list.replaceChildren()
  for (const [heading, titles] of shelves) {
    const group = Object.assign(document.createElement("optgroup"), { label: heading })
    const holder = heading ? list.appendChild(group) : list
    for (const title of titles) {
      holder.append(Object.assign(document.createElement("option"), { textContent: title, value: place++ }))
    }
  }
  list.value = String(chosen)
}

// Once the document is there: what the server changes before it knows that would be lost.
export function whenReady(act) {
  const page = window.Bokeh.documents.at(-1), later = () => setTimeout(act)
  if (page.is_idle) later()
  else page.on_event("document_ready", later)
}
