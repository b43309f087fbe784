// Where the seconds of the open stay lie: dots, crosses and squares about their average, with the 95 % rings, what is
// wanted, and the known mark of a check.

import { day, markFromAverage, openPoint } from "./day.js";
import { draw, set } from "./dom.js";
import { blackDot, canvas, drawWords, label, line, meshLine, step } from "./paper.js";
import { isNumber, millimetres } from "./words.js";

const COUNTED = 0;
const REFUSED = 1;
const APART = 2;
const WORDS = 25.6; // millimetres at the right, for the names of things
const FOOT = 5.8; // below, for the figures of the axis

/// How far the drawing must reach from the average, in millimetres: the rings, what is wanted, the mark.
function reachOf(stay, mark, wanted) {
  const toMark = (mark ?? []).map((v) => Math.abs(v) * 1.15);
  const rings = [stay.single_ellipse?.[0] ?? 1, stay.mean_ellipse[0], 1];
  return Math.max(...rings.map((v) => v * 1.15), (wanted ?? 0) * 1.3, ...toMark);
}

function frame(on, reach) {
  const { left, top, side, X, Y } = on;
  const nodes = [
    line(`M${left} ${top}h${side}v${side}h${-side}z`),
    meshLine(`M${X(0)} ${top}v${side}M${left} ${Y(0)}h${side}`),
  ];
  const tick = step(reach * 0.55) > reach ? step(reach * 0.25) : step(reach * 0.55);
  for (const v of [-tick, 0, tick]) nodes.push(line(`M${X(v)} ${top + side}v1M${left} ${Y(v)}h1`));
  const y = top + side + 5.2;
  const text = String(tick);
  nodes.push(label(Math.max(X(-tick) - 3.4, 0), y, "−" + text), label(X(0), y, "0", "middle"));
  nodes.push(label(Math.min(X(tick), left + side), y, text, "middle"));
  return nodes;
}

/// The signs of all seconds by what became of them; of those outside, how many and where they would be.
function signs(stay, on) {
  const paths = ["", ""];
  const count = [0, 0, 0];
  const outside = [];
  const squares = [];
  for (const [, e, n, , became] of stay.seconds) {
    count[became]++;
    const east = e - stay.mean_mm[0];
    const north = n - stay.mean_mm[1];
    const x = on.X(east);
    const y = on.Y(north);
    if (Math.abs(x - on.X(0)) > on.side / 2 || Math.abs(y - on.Y(0)) > on.side / 2) outside.push([east, north]);
    else if (became === APART) squares.push(line(`M${x - 1} ${y - 1}h2v2h-2z`, 0.5));
    else if (became === REFUSED) paths[REFUSED] += `M${x - 0.9} ${y - 0.9}l1.8 1.8m0-1.8l-1.8 1.8`;
    else paths[COUNTED] += `M${x.toFixed(2)} ${y.toFixed(2)}h.01`;
  }
  const dots = line(paths[COUNTED], 0.9);
  dots.setAttribute("stroke-linecap", "round");
  return { nodes: [dots, line(paths[REFUSED], 0.35), ...squares], count, outside };
}

function ring(on, [major, minor, bearing], width, dash) {
  const at = `${on.X(0)} ${on.Y(0)}`;
  return draw("ellipse", {
    cx: on.X(0),
    cy: on.Y(0),
    rx: major * on.k,
    ry: minor * on.k,
    transform: `rotate(${bearing - 90} ${at})`,
    fill: "none",
    stroke: "var(--ink)",
    "stroke-width": width,
    ...(dash && { "stroke-dasharray": dash }),
  });
}

function disc(on, r) {
  const at = { cx: on.X(0), cy: on.Y(0), r: r * on.k };
  return [
    draw("circle", { ...at, fill: "var(--mesh)", opacity: 0.3 }),
    draw("circle", { ...at, fill: "none", stroke: "var(--ink)", "stroke-width": 0.25 }),
  ];
}

function markSign(on, mark) {
  const x = on.X(mark[0]);
  const y = on.Y(mark[1]);
  const white = { fill: "var(--paper)", stroke: "var(--ink)", "stroke-width": 0.5 };
  return [draw("circle", { cx: x, cy: y, r: 1.9, ...white }), line(`M${x - 1.9} ${y}h3.8M${x} ${y - 1.9}v3.8`, 0.5)];
}

/// Those that lie outside: an arrow at the edge towards them, how many, and how far the farthest is.
function outsideSigns(on, outside, word) {
  if (!outside.length) return [];
  const far = outside.reduce((a, b) => (Math.hypot(...b) > Math.hypot(...a) ? b : a));
  const most = Math.max(Math.abs(far[0]), Math.abs(far[1]));
  const half = on.side / 2 - 2.4;
  const x = on.X(0) + (far[0] / most) * half;
  const y = on.Y(0) - (far[1] / most) * half;
  const [dx, dy] = [(far[0] / most) * 1.6, (-far[1] / most) * 1.6];
  const square = [line(`M${x - 1} ${y - 1}h2v2h-2z`, 0.5), line(`M${x} ${y}l${dx} ${dy}`, 0.5)];
  const count = `${outside.length} ${word}`;
  const foot = on.top + on.side + 5.2;
  if (foot - 10 < on.namesTo) return [...square, label(on.lx, foot, count)];
  return [...square, label(on.lx, foot - 5.6, count), label(on.lx, foot, millimetres(Math.hypot(...far)))];
}

/// Names stand beside the square, each with a leader to what it names.
function names(on, rows) {
  const nodes = [];
  let y = 4;
  for (const [words, east, north] of rows) {
    nodes.push(line(`M${on.lx - 0.8} ${y - 1.6}L${on.X(east).toFixed(2)} ${on.Y(north).toFixed(2)}`, 0.3));
    words.forEach((word, i) => nodes.push(label(on.lx, y + i * 4.8, word)));
    y += 4.8 * words.length + 0.8;
  }
  on.namesTo = y - 4.8;
  return nodes;
}

/// A place on a ring, towards the names.
function onRing([major, minor, bearing], towards) {
  const turn = ((bearing - 90) * Math.PI) / 180;
  const a = towards + turn;
  const [u, v] = [major * Math.cos(a), minor * Math.sin(a)];
  return [u * Math.cos(turn) + v * Math.sin(turn), -u * Math.sin(turn) + v * Math.cos(turn)];
}

function scatterSays(stay, mark, { count, outside }) {
  const size = ([major, minor]) => `${millimetres(major)} by ${millimetres(minor)}`;
  return (
    (mark ? `The average is ${millimetres(Math.hypot(mark[0], mark[1]))} from the known mark. ` : "") +
    `${count[0]} seconds counted, ${count[1]} refused, ${count[2]} set apart` +
    (outside.length ? `; ${outside.length} lie outside the drawing` : "") +
    `. The ring of the average, 95 %, is ${size(stay.mean_ellipse)}` +
    (stay.single_ellipse ? `, that of single seconds ${size(stay.single_ellipse)}.` : ".")
  );
}

function nameRows(stay, mark, wanted, error) {
  const rows = [];
  if (stay.single_ellipse) rows.push([["single", "seconds"], ...onRing(stay.single_ellipse, 0.9)]);
  rows.push([["average " + (error * 1000).toFixed(0)], ...onRing(stay.mean_ellipse, 0.3)]);
  if (wanted) rows.push([["wanted " + wanted.toFixed(0)], wanted * 0.92, -wanted * 0.4]);
  if (mark) rows.push([[openPoint()?.name ?? "mark"], mark[0], mark[1]]);
  return rows;
}

function drawNothing(box, caption) {
  const none = openPoint() ? "No second has counted yet" : "No point is open";
  drawWords(box, none + ": nothing to draw.", caption);
}

function squareOn(paper, reach) {
  const [left, top] = [0.3, 0.3];
  const side = Math.max(8, Math.min(paper.width - WORDS, paper.height - FOOT - top));
  const k = side / 2 / reach;
  const X = (e) => left + side / 2 + e * k;
  const Y = (n) => top + side / 2 - n * k;
  return { left, top, side, k, X, Y, lx: left + side + 1.9 };
}

/// Draws into the box; the sentence about it into `caption`, where one is given.
export function drawScatter(box, caption) {
  const stay = day.stay;
  const point = openPoint();
  if (!stay?.seconds.length || !point) return drawNothing(box, caption);
  const mark = markFromAverage();
  const aim = point.wanted_error95_horizontal_m;
  const wanted = isNumber(aim) ? aim * 1000 : null;
  const paper = canvas(box, "Single seconds about their average");
  if (!paper) return null;
  const reach = reachOf(stay, mark, wanted);
  const on = squareOn(paper, reach);
  const drawn = signs(stay, on);
  paper.add(...frame(on, reach));
  if (wanted) paper.add(...disc(on, wanted));
  paper.add(...drawn.nodes);
  if (stay.single_ellipse) paper.add(ring(on, stay.single_ellipse, 0.3, "1.3 .9"));
  paper.add(ring(on, stay.mean_ellipse, 0.9));
  if (mark) paper.add(...markSign(on, mark));
  else paper.add(blackDot(on.X(0), on.Y(0), 0.3));
  paper.add(...names(on, nameRows(stay, mark, wanted, point.error95_horizontal_m ?? stay.mean_ellipse[0] / 1000)));
  paper.add(...outsideSigns(on, drawn.outside, drawn.count[APART] ? "apart" : "outside"));
  paper.finish();
  if (caption) set(caption, scatterSays(stay, mark, drawn));
  return null;
}
