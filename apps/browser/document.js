// The list of documents, folded away where there is little room, and the search over the headings of all of them.
{
  const find = (name) => document.querySelector(name)
  const MOST = 30 // headings shown

  const list = find(".side details"), wide = matchMedia("(min-width: 62em)")
  const fold = () => { list.open = wide.matches }
  wide.addEventListener("change", fold)
  fold()
  const side = find(".side"), here = find(".side [aria-current]")
  side.scrollTop = here.offsetTop - side.clientHeight / 3 // the list is longer than a small window

  const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase()
  const headings = JSON.parse(find("#headings").textContent).flatMap(({ address, title, language, headings }) => [
    { address, words: title, of: "", language },
    ...headings.map(([anchor, words]) => ({ address: `${address}#${anchor}`, words, of: title, language })),
  ])
  const sought = headings.map(({ words, of }) => plain(`${words} ${of}`))

  // Headings that hold every word asked for, those that begin with the first of them before the rest.
  const search = (asked) => {
    const words = plain(asked).split(/\s+/).filter(Boolean)
    if (!words.length) return []
    const found = headings.filter((_, i) => words.every((word) => sought[i].includes(word)))
    const first = (one) => plain(one.words).startsWith(words[0]) ? 0 : 1
    return found.sort((one, other) => first(one) - first(other))
  }

  const entry = ({ address, words, of, language }) => {
    const item = document.createElement("li"), link = document.createElement("a"), page = document.createElement("small")
    Object.assign(link, { href: address, textContent: words })
    Object.assign(page, { textContent: of })
    item.lang = language
    link.append(page)
    item.append(link)
    return item
  }

  const form = find(".side form"), input = find("#search"), status = form.querySelector("[role=status]")
  const show = () => {
    const found = search(input.value), asked = input.value.trim() !== ""
    form.querySelector(".found").replaceChildren(...found.slice(0, MOST).map(entry))
    const { some, none } = status.dataset
    status.textContent = !asked ? "" : found.length ? some.replace("{count}", found.length) : none
    find(".side .list").hidden = asked
  }
  input.oninput = show
  form.onsubmit = (event) => {
    event.preventDefault()
    form.querySelector(".found a")?.click()
  }
  // A heading of this page is reached without leaving it: the list comes back, and on a phone folds away.
  side.addEventListener("click", (event) => {
    const link = event.target.closest("a")
    if (!link?.hash || link.pathname !== location.pathname) return
    input.value = ""
    show()
    fold()
  })
  form.hidden = false
  show() // a browser may bring back what was typed
}
