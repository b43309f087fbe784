// What drawings are made of: a canvas as wide as its place, lines, labels, ticks, hatching, a time axis.

import { draw } from "./dom.js";
import { millimetre } from "./size.js";
import { isNumber } from "./words.js";

const LETTER = 21; // height of a letter in a drawing's units
const LETTER_MM = 5.4; // the same on the screen: as large as the page's
const GAP_S = 3.5; // a line is not drawn over a longer one

/// Sets the drawing's size by its place; its letters are as large as the page's.
export function canvas(svg) {
  const unit = LETTER / (LETTER_MM * millimetre());
  const place = svg.getBoundingClientRect();
  const width = Math.max(200, Math.round(place.width * unit));
  const height = Math.max(40, Math.round(place.height * unit));
  const box = `0 0 ${width} ${height}`;
  if (svg.getAttribute("viewBox") !== box) svg.setAttribute("viewBox", box);
  return [width, height];
}

export function line(d, dash = "", width = 2) {
  const attributes = { d, fill: "none", stroke: "currentColor", "stroke-width": width };
  if (dash) attributes["stroke-dasharray"] = dash;
  return draw("path", attributes);
}

export const label = (x, y, text, anchor = "start") => draw("text", { x, y, "text-anchor": anchor }, text);

/// The next round step, 1, 2 or 5 times a power of ten.
export function step(least) {
  const power = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map((m) => m * power).find((v) => v >= least * 0.999);
}

export function hatch(x0, y0, x1, y1, gap) {
  const height = y1 - y0;
  let d = "";
  for (let x = x0 - height; x < x1; x += gap) {
    const a = Math.max(x, x0);
    const b = Math.min(x + height, x1);
    if (b > a) d += `M${a.toFixed(1)} ${(y1 - (a - x)).toFixed(1)}L${b.toFixed(1)} ${(y1 - (b - x)).toFixed(1)}`;
  }
  return d;
}

/// A time axis of `span` seconds that ends now; y from 0 to `most`.
export function paper(svg, most, span) {
  const [width, height] = canvas(svg);
  const x0 = 92;
  const x1 = width - 8;
  const y0 = height - 40;
  return {
    x0,
    x1,
    y0,
    y: (v) => Number((y0 - Math.min(v / most, 1) * (y0 - 15)).toFixed(1)),
    x: (t, from) => (x0 + ((t - from) / span) * (x1 - x0)).toFixed(1),
  };
}

export function axes(on, most, span, unit, ticksAt) {
  const nodes = [line(`M${on.x0} 10V${on.y0}H${on.x1}`)];
  for (let v = 0; v <= most * 1.001; v += ticksAt) {
    nodes.push(line(`M${on.x0 - 6} ${on.y(v)}h6`), label(on.x0 - 10, on.y(v) + 7, unit(v), "end"));
  }
  const ago = span < 120 ? span.toFixed(0) + " s ago" : (span / 60).toFixed(0) + " min ago";
  nodes.push(label(on.x1, on.y0 + 30, "now", "end"), label(on.x0, on.y0 + 30, ago));
  return nodes;
}

/// The path of a value over time, with gaps where nothing came.
export function trace(on, rows, from, valueOf) {
  let d = "";
  let before = null;
  for (const row of rows) {
    const v = valueOf(row);
    if (!isNumber(v) || row.t < from) {
      before = null;
      continue;
    }
    d += (before !== null && row.t - before < GAP_S ? "L" : "M") + on.x(row.t, from) + " " + on.y(v);
    if (before === null) d += "h.1";
    before = row.t;
  }
  return d;
}

export const isGap = (row, before) => row.t - before.t > GAP_S;
