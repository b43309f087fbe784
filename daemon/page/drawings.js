// The drawings, at most once a second and only where somebody looks: one that belongs to the state, and all in the day
// below. A tap on one brings the next.

import { drawAges, drawErrors } from "./courses.js";
import { day, now, openPoint } from "./day.js";
import { $, set } from "./dom.js";
import { drawMap, MAP_SIZES, mapTitle } from "./map.js";
import { drawScatter } from "./scatter.js";
import { refreshTable } from "./tables.js";

const EVERY_MS = 900;
const KINDS = {
  scatter: ["Scatter, mm", drawScatter],
  map: ["Points of the day", (box) => drawMap(box)],
  age: ["Correction age, s", drawAges],
  error: ["Error 95 %, mm", drawErrors],
};
const ORDER = ["age", "error", "map", "scatter"];

let drawnAt = -Infinity;
let turned = 0; // taps since the state brought its own drawing
let own = "";
let size = 0; // of the large map

/// The drawing of the state, then the others in their order.
function kindNow() {
  const first = openPoint() && day.status.feed?.state !== "silent" ? "scatter" : "map";
  if (first !== own) turned = 0;
  own = first;
  return [first, ...ORDER.filter((kind) => kind !== first)][turned];
}

function drawInto(id, kind, sign) {
  const figure = $(id);
  const box = figure.lastElementChild;
  const [title, how] = KINDS[kind];
  const [name, more] = figure.firstElementChild.children;
  set(name, title);
  set(more, sign);
  if (box.clientHeight) how(box);
}

function drawDay() {
  if ($("day").getBoundingClientRect().top > window.innerHeight) return;
  set("maptitle", mapTitle(size));
  drawMap($("bigmap"), { isLarge: true, size, caption: "mapsays" });
  drawScatter($("bigscatter"), "scattersays");
  drawAges($("bigage"), "agessay");
  drawErrors($("bigerr"), "errorssay");
  refreshTable();
}

export function drawWhenDue() {
  const t = now();
  if (document.hidden || !day.status || t - drawnAt < EVERY_MS) return;
  drawnAt = t;
  const kind = kindNow();
  drawInto("drawing", kind, "›");
  drawInto("second", kind === "age" ? "map" : "age", "");
  drawDay();
}

export function drawAtOnce() {
  drawnAt = -Infinity;
  drawWhenDue();
}

export function nextDrawing() {
  turned = (turned + 1) % ORDER.length;
  drawAtOnce();
}

export function nextSize() {
  size = (size + 1) % MAP_SIZES;
  drawAtOnce();
}
