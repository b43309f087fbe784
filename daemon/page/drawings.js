// The drawings, at most once a second and only where somebody looks.

import { drawAges, drawErrors } from "./courses.js";
import { day, now } from "./day.js";
import { drawScatter } from "./scatter.js";
import { refreshTables } from "./tables.js";

const EVERY_MS = 900;
let drawnAt = -Infinity;

export function drawWhenDue() {
  const t = now();
  if (document.hidden || !day.status || t - drawnAt < EVERY_MS) return;
  drawnAt = t;
  drawScatter();
  drawAges();
  drawErrors();
  refreshTables();
}

export function drawAtOnce() {
  drawnAt = -Infinity;
  drawWhenDue();
}
