// What drawings are made of: a canvas of millimetres, lines, words, hatching, scales, the signs of points.

import { draw, fill, make, set } from "./dom.js";
import { millimetre } from "./size.js";
import { isNumber } from "./words.js";

const INK = "var(--ink)";
const PAPER = "var(--paper)";
const MESH = "var(--mesh)";

/// A drawing that fills its box; its user unit is one millimetre of the screen. Null: the box has no room.
export function canvas(box, says) {
  const mm = millimetre();
  const width = box.clientWidth / mm;
  const height = box.clientHeight / mm;
  if (width < 4 || height < 2) return null;
  const nodes = [];
  const svg = draw("svg", { viewBox: `0 0 ${width.toFixed(2)} ${height.toFixed(2)}`, role: "img", "aria-label": says });
  const finish = () => {
    svg.append(...nodes);
    if (box.dataset.key && box.firstElementChild?.tagName === "P") delete box.dataset.key;
    box.replaceChildren(svg);
  };
  return { width, height, nodes, finish, add: (...more) => nodes.push(...more) };
}

export function line(d, width = 0.25, { dash = "", stroke = INK } = {}) {
  const given = { d, fill: "none", stroke, "stroke-width": width };
  if (dash) given["stroke-dasharray"] = dash;
  return draw("path", given);
}

export const meshLine = (d, width = 0.2) => line(d, width, { stroke: MESH });
export const area = (x, y, width, height, opacity) =>
  draw("rect", { x, y, width: Math.max(0, width), height: Math.max(0, height), fill: MESH, opacity });

const words = (x, y, text, given) => draw("text", { x: x.toFixed(2), y: y.toFixed(2), ...given }, text);

/// Words on a drawing; with paper about them, so that lines behind do not touch them.
export const label = (x, y, text, anchor = "start") => words(x, y, text, { "text-anchor": anchor, class: "halo" });
/// On an even ground.
export const plainLabel = (x, y, text) => words(x, y, text, { "text-anchor": "start" });

export const blackDot = (x, y, r) => draw("circle", { cx: x.toFixed(2), cy: y.toFixed(2), r, fill: INK });

/// The sign of a point by its status, or of a mark.
export function sign(kind, x, y, r) {
  const white = { fill: PAPER, stroke: INK, "stroke-width": 0.5 };
  const at = (v) => v.toFixed(2);
  if (kind === "held") {
    const w = r * 1.5;
    return draw("path", { d: `M${at(x)} ${at(y - w)}l${w} ${w}l${-w} ${w}l${-w} ${-w}Z`, ...white });
  }
  if (kind === "mark") {
    return draw("path", { d: `M${at(x)} ${at(y - r * 1.4)}l${r * 1.35} ${r * 2.4}h${-r * 2.7}Z`, ...white });
  }
  if (kind === "planned") {
    return draw("circle", { cx: at(x), cy: at(y), r, ...white, "stroke-dasharray": "0.8 0.5" });
  }
  if (kind === "rejected") {
    const w = 2 * r;
    const square = `M${at(x - r)} ${at(y - r)}h${w}v${w}h${-w}z`;
    return draw("path", { d: `${square}l${w} ${w}m0 ${-w}l${-w} ${w}`, ...white });
  }
  return draw("circle", { cx: at(x), cy: at(y), r, fill: INK, stroke: PAPER, "stroke-width": 0.4 });
}

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
    if (b > a) d += `M${a.toFixed(2)} ${(y1 - (a - x)).toFixed(2)}L${b.toFixed(2)} ${(y1 - (b - x)).toFixed(2)}`;
  }
  return d;
}

/// What is missing is said in the place where it would be.
export function drawWords(box, text, caption) {
  if (caption) set(caption, "");
  fill(box, text, () => [make("p", {}, text)]);
}

const LIMIT_AT = 0.76; // of a scale's width, the same on all: one line goes through them

/// The frame of a scale, with its limit.
function scaleOn(box, says) {
  const on = canvas(box, says);
  if (!on) return null;
  const left = 1.7;
  const limit = left + (on.width - left) * LIMIT_AT;
  const top = on.height / 2 - 1.3;
  const foot = on.height / 2 + 1.3;
  on.add(line(`M${left} ${top}H${on.width - 0.2}V${foot}H${left}Z`, 0.3));
  const x = (part) => Math.min(left + part * (limit - left), on.width - 0.9);
  return { ...on, left, limit, top, foot, x };
}

function pointer(on, at) {
  const stroke = at > on.limit ? PAPER : INK;
  return [
    draw("path", { d: `M${at - 1.6} 0h3.2L${at} 2.4Z`, fill: INK, stroke: PAPER, "stroke-width": 0.5,
      "paint-order": "stroke" }),
    line(`M${at} 2V${on.foot + 0.6}`, 0.7, { stroke }),
  ];
}

/// White: fresh; hatched: late; black: too old.
export function scaleOfAge(box, { state, age_s: age, fresh_limit_s: fresh, age_limit_s: most }) {
  const isKnown = isNumber(age) && most > 0 && state !== "unknown";
  const key = [isKnown ? age : "", fresh, most, box.clientWidth].join();
  if (box.dataset.key === key) return;
  box.dataset.key = key;
  const on = scaleOn(box, isKnown ? `age ${age} s, limit ${most} s` : "the age is not known");
  if (!on) return;
  if (most > 0) {
    const late = on.x((fresh ?? 0) / most);
    on.add(line(hatch(late, on.top, on.limit, on.foot, 1.5), 0.28), line(`M${late} ${on.top}V${on.foot}`, 0.3));
    on.add(draw("rect", { x: on.limit, y: on.top, width: on.width - on.limit - 0.2, height: 2.6, fill: INK }));
  }
  on.add(line(`M${on.limit} 0V${on.height}`, 0.5));
  if (isKnown) on.add(...pointer(on, on.x(age / most)));
  on.finish();
}

/// A bar against what is wanted.
export function scaleOfError(box, value, wanted) {
  const key = [value, wanted, box.clientWidth].join();
  if (box.dataset.key === key) return;
  box.dataset.key = key;
  if (!isNumber(wanted)) return box.replaceChildren();
  const on = scaleOn(box, isNumber(value) ? `${value} m, wanted ${wanted} m` : "the error is not known");
  if (!on) return;
  if (isNumber(value)) {
    const width = on.x(value / wanted) - on.left;
    on.add(draw("rect", { x: on.left, y: on.top + 0.75, width, height: 1.1, fill: INK }));
  }
  on.add(line(`M${on.limit} 0V${on.height}`, 0.5));
  on.finish();
}
