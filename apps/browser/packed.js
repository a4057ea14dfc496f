// What stands packed in a page that needs no other file.

import { tr } from "plane3d/words"

export const OLD = tr("This browser is too old for the picture. The words and the numbers are complete without it.")

// The bytes that stand packed in an element of the page.
export async function unpacked(id) {
  const text = atob(document.getElementById(id).textContent), bytes = new Uint8Array(text.length)
  for (let i = 0; i < bytes.length; i++) bytes[i] = text.charCodeAt(i)
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"))).arrayBuffer()
}

// The drawing library runs as a script of the page; its text is one of those that the page allows.
export function run(text) {
  document.head.append(Object.assign(document.createElement("script"), { textContent: text }))
}

// The drawing library. Whether it came.
export async function runDrawing() {
  if (!("DecompressionStream" in window)) return false
  run(new TextDecoder().decode(await unpacked("drawing")))
  return true
}
