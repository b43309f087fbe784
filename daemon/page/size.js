// How large a millimetre is on this screen, and day or dusk. Both are kept in this browser.

import { $, set } from "./dom.js";
import { kept } from "./kept.js";

let mm = 3.7795;

export const millimetre = () => mm;

function setMillimetre(v) {
  mm = Math.min(12, Math.max(2, v));
  document.documentElement.style.setProperty("--mm", mm.toFixed(4) + "px");
  set("mm", "One millimetre is " + mm.toFixed(2) + " px here.");
}

export function resize(factor) {
  setMillimetre(mm * factor);
  kept.set("mm", mm);
}

export function toggleDusk() {
  const isDusk = document.documentElement.classList.toggle("dusk");
  $("dusk").setAttribute("aria-pressed", String(isDusk));
  kept.set("dusk", isDusk ? "1" : "");
}

export function restoreSize() {
  setMillimetre(parseFloat(kept.get("mm")) || mm);
  if (kept.get("dusk")) toggleDusk();
}
