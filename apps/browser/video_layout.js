// How the page of films is laid out.

import { HTML as STEPS } from "plane3d/video_steps"
import { VIEW_WORDS } from "plane3d/video_words"
import { tr, trc } from "plane3d/words"

const WORDS = {
  views: tr("Views"), two: tr("Two views"), one: tr("One view from the side"), scenario: tr("Hitter, bat and pitch of"),
  bats: tr("Bats"), right: trc("bats", "right"), left: trc("bats", "left"),
  try: tr("Try an invented example"), save: tr("Save work"), open: tr("Open work"), work: tr("Work it out"), which: tr("Which view"),
  picture: tr("Picture of the film. Arrow keys step, Enter sets the mark that is asked for, Alt with an arrow moves it."),
  film: tr("Open a film"), drop: tr("Drop a video file here, or several still pictures numbered by their names."),
  privacy: tr("The film stays in this browser. Only the marks, which are numbers, go to plane3d on this machine."),
  frame: tr("Frame"), back: tr("A frame back"), on: tr("A frame on"), back10: tr("Ten frames back"), on10: tr("Ten frames on"),
  larger: tr("Larger"), smaller: tr("Smaller"), whole: tr("Whole picture"), keys: tr("Keys"),
}
const KEYS = [
  ["← →", tr("a frame back or on")], ["Shift ← →", tr("ten frames")], ["1 2 3", tr("knob, tip, ball")],
  [tr("Space"), tr("not seen here")], [tr("Enter"), tr("set the mark where it was a frame before")],
  [tr("Alt and an arrow"), tr("move the last mark by a pixel")], [tr("Backspace, Ctrl Z"), tr("undo")],
  ["Ctrl Y", tr("redo")], ["+ −", tr("larger, smaller")],
]

export const HTML = `
  <div class="line top">
    <fieldset class="mode"><legend>${WORDS.views}</legend>
      <label><input type="radio" name="mode" value="two" checked>${WORDS.two}</label>
      <label><input type="radio" name="mode" value="one">${WORDS.one}</label></fieldset>
    <div class="field pick"><label for="scenario">${WORDS.scenario}</label><select id="scenario"></select></div>
    <div class="field"><label for="bats">${WORDS.bats}</label><select id="bats">
      <option value="right">${WORDS.right}</option><option value="left">${WORDS.left}</option></select></div>
    <span class="anew"></span><button class="save">${WORDS.save}</button><button class="open">${WORDS.open}</button>
    <input class="files" type="file" hidden multiple><input class="marks" type="file" accept=".json" hidden>
  </div>
  <div class="line asking">
    <div class="views" role="tablist" aria-label="${WORDS.which}">
      ${VIEW_WORDS.map((words, k) => `<button role="tab" data-view="${k}">${words}</button>`).join("")}
    </div>
    <p class="said" role="status"></p>
  </div>
  <div class="desk">
    <div class="film">
      <div class="stage"><canvas tabindex="0" role="application" aria-label="${WORDS.picture}"></canvas>
        <div class="drop"><p>${WORDS.drop}</p><div class="line"><button class="film-open">${WORDS.film}</button>
          <button class="try">${WORDS.try}</button></div></div></div>
      <div class="line steppers">
        <button data-by="-10" aria-label="${WORDS.back10}" title="${WORDS.back10}">−10</button>
        <button data-by="-1" aria-label="${WORDS.back}" title="${WORDS.back}">◀</button>
        <input class="slider" type="range" min="0" value="0" aria-label="${WORDS.frame}">
        <button data-by="1" aria-label="${WORDS.on}" title="${WORDS.on}">▶</button>
        <button data-by="10" aria-label="${WORDS.on10}" title="${WORDS.on10}">+10</button>
        <output class="now"></output>
        <span class="zoom"><button class="smaller" aria-label="${WORDS.smaller}" title="${WORDS.smaller}">−</button>
          <button class="larger" aria-label="${WORDS.larger}" title="${WORDS.larger}">+</button>
          <button class="whole">${WORDS.whole}</button></span>
      </div>
      <p class="privacy">${WORDS.privacy}</p>
      <details class="keys"><summary>${WORDS.keys}</summary>
        <dl>${KEYS.map(([key, does]) => `<div><dt><kbd>${key}</kbd></dt><dd>${does}</dd></div>`).join("")}</dl></details>
    </div>
    <div class="side">${STEPS}</div>
  </div>
  <div class="line go"><button class="work">${WORDS.work}</button><p class="headline" role="status"></p></div>
  <div class="answer"></div>`
