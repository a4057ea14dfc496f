// Starts the page of a scene that came as one file: what it needs stands in it, packed.

import { OLD, run, unpacked } from "plane3d/packed"
import { ScenePage } from "plane3d/scene_page"
import { Inlined } from "plane3d/scene_source"
import { tr } from "plane3d/words"

const DAMAGED = tr("The picture in this file is damaged. Ask for the file once more.")

async function picture() {
  const [drawing, scenes] = await Promise.all([unpacked("drawing"), unpacked("scenes")])
  run(new TextDecoder().decode(drawing))
  return scenes
}

async function start() {
  const old = !("DecompressionStream" in window), block = old ? null : await picture().catch(() => null)
  if (!block) {
    document.querySelector(".waiting").textContent = old ? OLD : DAMAGED
    document.getElementById("stage").classList.add("refused")
  }
  const source = new Inlined(JSON.parse(document.getElementById("steps").textContent), block)
  new ScenePage(source)
  source.go(0)
}

start()
