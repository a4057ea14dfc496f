// The flat views: they follow the stage on the same page, its arrays and its clock, without the server.

import { poseAt } from "plane3d/shapes"
import { Sheet } from "plane3d/sheet"
import { tr } from "plane3d/words"

const PATHS = [
  "contact window", "pitch line onward", "second pitch line", "pitch line", "hand path", "barrel path", "batted ball",
  "ghost",
]
const NAMES = ["pitch line", "second pitch line", "barrel path", "hand path", "contact window", "batted ball"]
const BEAT = ["pitch marks", "second pitch marks", "hit marks"]
const NEAR = [0.3, 0.2] // m shown either way of the contact, across and up

const plan = () => [[1, 0, 0], [0, 1, 0]]
const upright = (side) => [[0, side, 0], [0, 0, 1]]

const SHEETS = [
  [tr("From above"), {
    axes: plan,
    box: (parts, side) => (side > 0 ? [-1.25, 0.65, -0.6, 1.3] : [-0.65, 1.25, -0.6, 1.3]),
    show: {
      meshes: ["chalk lines", "home plate"], tubes: [...PATHS, "straight way"], marks: [...BEAT, "hinge opens"],
      dimensions: ["around"], labels: ["around", "hinge opens", "straight way", ...NAMES],
    },
  }],
  [tr("From the side"), {
    axes: upright,
    box: (parts, side) => (side > 0 ? [-0.75, 1.6, -0.08, 1.8] : [-1.6, 0.75, -0.08, 1.8]),
    show: {
      meshes: ["home plate", "strike zone"], tubes: PATHS, marks: BEAT,
      dimensions: ["below the line"], labels: ["below the line", ...NAMES],
    },
  }],
  [tr("Close to the ball, from the side"), {
    axes: upright, near: true, box: near,
    show: {
      meshes: ["home plate", "strike zone"], tubes: PATHS, marks: BEAT,
      dimensions: ["below the line"], labels: ["below the line"],
    },
  }],
]

function near({ motion }, side) {
  const pose = poseAt(motion, "ball", motion.closest_time), across = side * pose[13], up = pose[14]
  return [across - NEAR[0], across + NEAR[0], up - NEAR[1], up + NEAR[1]]
}

export function render({ model }) {
  const root = Object.assign(document.createElement("div"), { className: "flat-root" })
  const sheets = SHEETS.map(([title, options]) => new Sheet(title, options))
  root.append(...sheets.map((sheet) => sheet.element))
  let parts = null, time = 0, drawn = "", ghost = null

  const draw = () => {
    if (!parts?.motion.times?.length) return
    for (const sheet of sheets) { sheet.drawStill(parts, model.metric); sheet.drawMoving(parts, time) }
    root.dataset.scene = drawn
  }
  const follow = ({ detail }) => {
    ({ parts, time } = detail)
    const still = String(detail.scene) === drawn && parts.tubes.ghost === ghost
    root.dataset.theme = parts.theme // of the words, which have the scene's colour
    ;[drawn, ghost] = [String(detail.scene), parts.tubes.ghost]
    if (still) for (const sheet of sheets) sheet.drawMoving(parts, time)
    else draw()
    root.dataset.clock = time.toFixed(6)
  }
  const observer = new ResizeObserver(draw)
  observer.observe(root)
  document.addEventListener("stage-frame", follow)
  document.dispatchEvent(new CustomEvent("stage-frame-wanted")) // the stage may have come to rest before this came
  model.on("metric", draw)
  model.on("remove", () => { observer.disconnect(); document.removeEventListener("stage-frame", follow) })
  return root
}
