// How all pages are shown: language, units, theme and how sure, each remembered by the browser.

import { tr } from "plane3d/words"

const LANGUAGE = "plane3d-language" // a cookie, read by apps/language.py
const METRIC = "plane3d-metric" // in the tab's own store, like the next
const SURE = "plane3d-sure"
const THEME = "plane3d-theme" // read by theme.js
const WORDS = {
  units: tr("Units"), us: tr("US"), metric: tr("Metric"), theme: tr("Theme"), light: tr("Light"), dark: tr("Dark"),
}
const YEAR = 31_536_000 // s

// Pickers as HTML. That of the language is for those who cannot read the language shown.
export const unitsPicker = () => `<div class="field"><label for="measure">${WORDS.units}</label>
  <select id="measure" class="measure"><option value="us">${WORDS.us}</option><option value="metric">${WORDS.metric}</option></select></div>`

export const themePicker = () => `<div class="field"><label for="theme">${WORDS.theme}</label>
  <select id="theme" class="theme"><option value="light">${WORDS.light}</option><option value="dark">${WORDS.dark}</option></select></div>`

export const languagePicker = () => `<div class="field"><label for="language">
  <span lang="en">Language</span> / <span lang="es">Idioma</span></label>
  <select id="language" class="language"><option value="en" lang="en">English</option><option value="es" lang="es">Español</option></select></div>`

// Brings the picker of the language to life. What is made on a page outlasts the reload.
export function chooseLanguage(picker) {
  picker.value = document.documentElement.lang || "en"
  picker.onchange = () => {
    document.cookie = `${LANGUAGE}=${picker.value}; path=/; max-age=${YEAR}; SameSite=Strict`
    location.reload()
  }
}

// What the tab's own store says is switched on, and switching it; where the store is forbidden it lasts as long as the page.
function kept(name) {
  try { return sessionStorage.getItem(name) !== null } catch { return false }
}

function keep(name, on) {
  try {
    if (on) sessionStorage.setItem(name, "on")
    else sessionStorage.removeItem(name)
  } catch { /* forbidden */ }
}

export const units = () => kept(METRIC) // whether they are metric
export const keepUnits = (metric) => keep(METRIC, metric)
export const sure = () => kept(SURE) // whether to say how sure an answer is
export const keepSure = (on) => keep(SURE, on)

export const theme = () => document.documentElement.dataset.theme ?? "light"

export function keepTheme(theme) {
  try { localStorage.setItem(THEME, theme) } catch { /* forbidden: it lasts as long as the page */ }
}
