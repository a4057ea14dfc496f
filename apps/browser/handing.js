// Giving the viewer a file that the server made.

export function handOver(name, data, type = "") {
  const url = URL.createObjectURL(new Blob([data], { type }))
  Object.assign(document.createElement("a"), { href: url, download: name }).click()
  setTimeout(() => URL.revokeObjectURL(url), 10_000)
}
