// Runs before anything is drawn: the theme chosen last or, if none was, the one the system prefers.
{
  let theme = null
  try { theme = localStorage.getItem("plane3d-theme") } catch { /* a browser may forbid the store */ }
  const dark = theme ? theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches
  document.documentElement.dataset.theme = dark ? "dark" : "light"
}
