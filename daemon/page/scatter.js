// Where the seconds of the open stay lie: dots, crosses and squares about their mean, with the 95 % ellipses.

import { day, openPoint } from "./day.js";
import { $, draw, set } from "./dom.js";
import { canvas, label, line, step } from "./paper.js";
import { millimetres } from "./words.js";

const COUNTED = 0;
const REFUSED = 1;

/// How far the drawing must reach from the mean, in millimetres, and its ticks.
function reachOf(stay, mark) {
  const [east, north] = stay.mean_mm;
  const toMark = (mark ?? []).map((v) => Math.abs(v) * 1.1);
  let reach = Math.max(stay.single_ellipse?.[0] ?? 1, stay.mean_ellipse[0], 1, ...toMark);
  for (const [, e, n, , became] of stay.seconds) {
    if (became === COUNTED) reach = Math.max(reach, Math.abs(e - east), Math.abs(n - north));
  }
  const tick = step(reach / 3);
  return { tick, most: Math.max(Math.ceil(reach / tick), 1) * tick };
}

function signAt(x, y, became) {
  const at = `M${x.toFixed(1)} ${y.toFixed(1)}`;
  if (became === COUNTED) return at + "h0";
  return at + (became === REFUSED ? "m-5-5l10 10m0-10l-10 10" : "m-5-5h10v10h-10z");
}

/// The signs of all seconds, by what became of them, with their numbers.
function signs(stay, on) {
  const paths = ["", "", ""];
  const count = [0, 0, 0];
  let outside = 0;
  for (const [, e, n, , became] of stay.seconds) {
    count[became]++;
    const x = on.x(e - stay.mean_mm[0]);
    const y = on.y(n - stay.mean_mm[1]);
    if (Math.abs(x - on.middle[0]) > on.half || Math.abs(y - on.middle[1]) > on.half) outside++;
    else paths[became] += signAt(x, y, became);
  }
  return { paths, count, outside };
}

function frame(on, most, tick) {
  const [x, y] = on.middle;
  const left = x - on.half;
  const foot = y + on.half;
  const side = 2 * on.half;
  const nodes = [
    line(`M${left} ${y - on.half}h${side}v${side}h${-side}z`),
    line(`M${left} ${y}h${side}M${x} ${y - on.half}v${side}`, "2 6", 1),
  ];
  for (let v = -most; v <= most + tick / 2; v += tick) {
    nodes.push(line(`M${x + v * on.scale} ${foot}v-8M${left} ${y - v * on.scale}h8`));
  }
  return nodes;
}

function ring(on, [major, minor, bearing], dash, width) {
  const [x, y] = on.middle;
  return draw("ellipse", {
    cx: x,
    cy: y,
    rx: major * on.scale,
    ry: minor * on.scale,
    transform: `rotate(${bearing - 90} ${x} ${y})`,
    fill: "none",
    stroke: "currentColor",
    "stroke-width": width,
    "stroke-dasharray": dash,
  });
}

function markSign(on, mark) {
  const x = on.x(mark[0]).toFixed(1);
  const y = on.y(mark[1]).toFixed(1);
  return [
    draw("circle", { cx: x, cy: y, r: 13, fill: "none", stroke: "currentColor", "stroke-width": 3 }),
    line(`M${x - 13} ${y}h26M${x} ${y - 13}v26`, "", 3),
  ];
}

function scatterText(stay, mark, { count, outside }, { most, tick }) {
  const size = ([major, minor]) => `${millimetres(major)} by ${millimetres(minor)}`;
  const single = stay.single_ellipse;
  return (
    (mark ? `The mean is ${millimetres(Math.hypot(...mark))} from the known mark. ` : "") +
    `${count[0]} seconds counted, ${count[1]} refused, ${count[2]} set apart` +
    (outside ? `; ${outside} lie outside the drawing` : "") +
    `. The mean's 95 % ellipse is ${size(stay.mean_ellipse)}` +
    (single ? `, that of single seconds ${size(single)}` : "") +
    `. A side is ${millimetres(2 * most)}, a tick ${millimetres(tick)}.`
  );
}

export function drawScatter() {
  const svg = $("scatter");
  const stay = day.stay;
  const [width, height] = canvas(svg);
  if (!stay || !stay.seconds.length) {
    svg.replaceChildren(label(20, 40, "no seconds yet"));
    const none = openPoint() ? "No second has counted yet" : "No point is open";
    return set("scattersays", none + ": nothing to draw.");
  }
  const mark = stay.mark_mm?.map((v, i) => v - stay.mean_mm[i]);
  const reach = reachOf(stay, mark);
  const half = Math.min(width, height) / 2 - 6;
  const middle = [width / 2, height / 2];
  const scale = half / reach.most;
  const on = { half, middle, scale, x: (e) => middle[0] + e * scale, y: (n) => middle[1] - n * scale };
  const drawn = signs(stay, on);
  const dots = line(drawn.paths[0], "", 5);
  dots.setAttribute("stroke-linecap", "round");
  const nodes = [...frame(on, reach.most, reach.tick), dots, line(drawn.paths[1]), line(drawn.paths[2])];
  if (stay.single_ellipse) nodes.push(ring(on, stay.single_ellipse, "9 5", 2));
  nodes.push(ring(on, stay.mean_ellipse, "none", 4));
  if (mark) nodes.push(...markSign(on, mark));
  svg.replaceChildren(...nodes);
  set("scattersays", scatterText(stay, mark, drawn, reach));
}
