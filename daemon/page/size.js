// How large a millimetre is on this screen, which layout its room allows, and day or dusk.

import { $ } from "./dom.js";
import { kept } from "./kept.js";

const TABLET_MM = 5.9; // px of one millimetre, as tablets of 10 inches with 1280 dots have it
const NARROWEST = 65; // millimetres: below this everything shrinks in proportion
const SMALL = 153;

const root = document.documentElement;
let mm = TABLET_MM;
let set = 0; // by a ruler; 0: guessed

export const millimetre = () => mm;
export const layoutName = () => root.dataset.layout;
export const isLow = () => root.classList.contains("low");
export const isNarrow = () => root.classList.contains("narrow");
export const hasLittleRoom = () => layoutName() === "phone" || (layoutName() === "small" && isLow());

function guessed(width, height) {
  if (width < 500) return Math.min(6, width / NARROWEST);
  return Math.max(width, height) >= 1200 ? TABLET_MM : width / SMALL;
}

function layoutOf(w, h) {
  if (w >= 190 && h >= 119) return "wide";
  if (w >= 120 && h >= 190) return "tall";
  return w >= 140 && h >= 74 ? "small" : "phone";
}

const LOW = { wide: 134, tall: 213, small: 88, phone: 0 };

/// Chooses the layout by the room there is. A field that is typed into keeps it: its keyboard takes room for a while.
export function fit() {
  const typing = document.activeElement?.tagName === "INPUT";
  if (typing && root.dataset.layout) return;
  mm = Math.min(set || guessed(innerWidth, innerHeight), innerWidth / NARROWEST);
  const w = innerWidth / mm;
  const h = innerHeight / mm;
  const layout = layoutOf(w, h);
  root.style.setProperty("--mm", mm.toFixed(4) + "px");
  root.dataset.layout = layout;
  root.classList.toggle("low", h < LOW[layout]);
  root.classList.toggle("narrow", layout === "wide" && w < 210);
  root.classList.toggle("bare", layout === "tall" && h < 201);
  if (!$("acts")) return; // the set-up has none
  if (layout === "small") $("alert").append($("seen"));
  else $("acts").insertBefore($("seen"), $("discard"));
  if (layout === "tall") $("alert").append($("more"));
  else $("acts").append($("more"));
}

export function resize(factor) {
  set = Math.min(12, Math.max(2, mm * factor));
  kept.set("mm", set);
  fit();
}

const wantsDusk = () => window.matchMedia("(prefers-color-scheme: dark)");

export const isDusk = () => root.classList.contains("dusk");

/// By the system's setting until somebody chooses.
function restoreDusk() {
  const chosen = kept.get("dusk");
  root.classList.toggle("dusk", chosen === null ? wantsDusk().matches : chosen === "1");
}

export function toggleDusk() {
  kept.set("dusk", isDusk() ? "0" : "1");
  restoreDusk();
}

export function restoreSize() {
  set = parseFloat(kept.get("mm")) || 0;
  restoreDusk();
  wantsDusk().addEventListener("change", restoreDusk);
  fit();
}
