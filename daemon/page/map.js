// The map of the day: points by their status, planned points, marks, the pole's place, a scale bar, north. Three sizes:
// the whole day, the neighbourhood, and what lies about the pole.

import { day } from "./day.js";
import { draw, set } from "./dom.js";
import { hasPlace, lostSentences } from "./lists.js";
import { canvas, label, line, sign, step } from "./paper.js";
import { eastNorth } from "./ways.js";

const LETTER_WIDTH = 2.5; // of letters 4.5 mm high, on the average
const REACH = [0, 200, 25]; // metres from the pole to the edge; 0: all of the day
const LEAST = 10; // metres that a map shows at least
const SIZES = ["Points of the day", "Points within 200 m", "Points within 25 m"];
const BOTTOM = 9; // millimetres for the scale bar and north

export const mapTitle = (size) => SIZES[size];
export const MAP_SIZES = SIZES.length;

/// What the map shows: [{ kind, name, latitude_deg, longitude_deg, isNamed }].
function placesOf(isLarge) {
  const points = day.points.filter((p) => p.status !== "none" && hasPlace(p));
  const ends = isLarge ? [points[0], points[points.length - 1]] : [];
  const rows = points.map((p) => ({
    kind: p.status,
    name: p.point,
    isNamed: p.status === "held" || ends.includes(p),
    ...p,
  }));
  const planned = day.plan
    .filter((p) => p.state !== "done" && hasPlace(p))
    .map((p) => ({ ...p, kind: "planned", name: p.point, isNamed: isLarge }));
  const marks = day.marks.filter(hasPlace).map((m) => ({ ...m, kind: "mark", name: m.mark, isNamed: isLarge }));
  return [...rows, ...planned, ...marks];
}

/// East and north of everything in metres about one of the places.
function metresAbout(places, here) {
  const origin = here ?? places[0];
  return { rows: places.map((p) => ({ ...p, at: eastNorth(p, origin) })), pole: here ? [0, 0] : null };
}

function boundsOf(all, reach) {
  if (reach) return { west: -reach, east: reach, south: -reach, north: reach };
  const e = all.map(([east]) => east);
  const n = all.map(([, north]) => north);
  const grow = (low, high) => Math.max(0, LEAST - (high - low)) / 2;
  const [west, east, south, north] = [Math.min(...e), Math.max(...e), Math.min(...n), Math.max(...n)];
  const [x, y] = [grow(west, east), grow(south, north)];
  return { west: west - x, east: east + x, south: south - y, north: north + y };
}

/// Keeps names from lying on one another: the first free place about a sign, or none.
function makeNames(width, height) {
  const taken = [];
  const overlaps = (a) => taken.some((b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]);
  const isInside = (a) => a[0] > 0.5 && a[2] < width - 0.5 && a[1] > 0.5 && a[3] < height - BOTTOM;
  return {
    take: (box) => taken.push(box),
    put(x, y, text) {
      const w = text.length * LETTER_WIDTH;
      const tries = [[2.6, -2], [2.6, 5.4], [-2.6 - w, -2], [-2.6 - w, 5.4], [-w / 2, -3.4], [-w / 2, 7]];
      for (const [dx, dy] of tries) {
        const box = [x + dx, y + dy - 4.4, x + dx + w, y + dy + 1];
        if (overlaps(box) || !isInside(box)) continue;
        taken.push(box);
        return label(box[0], y + dy, text);
      }
      return null;
    },
  };
}

/// An upright pole, its foot on the spot.
function poleSign(x, y) {
  const shaft = `M${x} ${y}V${y - 8}`;
  const bar = `M${x - 1.9} ${y - 8}h3.8`;
  const paper = { stroke: "var(--paper)" };
  return [
    line(shaft, 1.9, paper),
    line(bar, 2.2, paper),
    draw("path", { d: `M${x - 0.5} ${y - 8}h1v6.2L${x} ${y}l-.5-1.8z`, fill: "var(--ink)" }),
    line(bar, 1.3),
  ];
}

function scaleBar(on, k) {
  const wanted = (on.width * 0.4) / k;
  const long = step(wanted / 2.5);
  const words = long >= 1000 ? `${long / 1000} km` : `${long} m`;
  const north = [on.width - 5, on.height - 8];
  on.add(
    line(`M3 ${on.height - 4.6}v1.6h${long * k}v-1.6`, 0.5),
    label(3 + long * k + 1.6, on.height - 2.4, words),
    draw("path", { d: `M${north[0]} ${north[1] - 5.4}l1.9 6.4-1.9-1.3-1.9 1.3z`, fill: "var(--ink)" }),
    label(north[0], on.height - 2.4, "N", "middle"),
  );
}

function legend(on, names) {
  let x = 3;
  const planned = day.plan.length ? [["planned", "planned"]] : [];
  for (const [kind, words] of [["accepted", "accepted"], ["held", "held"], ["mark", "known mark"], ...planned]) {
    on.add(sign(kind, x + 1.6, 5, 1.6), label(x + 5, 6.6, words));
    x += words.length * LETTER_WIDTH + 12;
  }
  names.take([0, 0, x, 9]);
}

function mapSays(points, marks) {
  const of = (status) => points.filter((p) => p.status === status).length;
  const kept = points.length
    ? `${points.length} points are kept, ${of("held")} of them held: somebody has to decide; ${marks} known marks.`
    : "No point is kept yet.";
  const left = day.plan.filter((p) => p.state !== "done").length;
  const plan = day.plan.length ? [`${left} of ${day.plan.length} planned points are still to be measured.`] : [];
  return [kept, ...plan, ...lostSentences()].join(" ");
}

function drawSigns(on, rows, { at, names, r }) {
  const order = { planned: 0, mark: 1, accepted: 2, rejected: 3, held: 4 };
  for (const row of [...rows].sort((a, b) => (order[a.kind] ?? 2) - (order[b.kind] ?? 2))) {
    const [x, y] = at(row.at);
    if (x < 0 || x > on.width || y < 0 || y > on.height - 1) continue;
    on.add(sign(row.kind, x, y, row.kind === "mark" ? r * 1.2 : r));
    names.take([x - r, y - r, x + r, y + r]);
  }
}

const poleNow = () => (hasPlace(day.status?.epoch) && day.status.feed?.state === "open" ? day.status.epoch : null);

/// From metres to the drawing: all of the bounds within its edges.
function projection(on, bounds, isLarge) {
  const [edge, top] = [isLarge ? 14 : 8, 15];
  const [w, h] = [on.width - 2 * edge, Math.max(2, on.height - top - BOTTOM - 2)];
  const k = Math.max(0.00001, Math.min(w / (bounds.east - bounds.west), h / (bounds.north - bounds.south)));
  const middle = [(bounds.east + bounds.west) / 2, (bounds.north + bounds.south) / 2];
  return { k, at: ([e, n]) => [on.width / 2 + (e - middle[0]) * k, top + h / 2 - (n - middle[1]) * k] };
}

function drawPole(on, [x, y], names) {
  names.take([x - 2, y - 15, x + 2, y]);
  on.add(...poleSign(x, y), label(Math.min(Math.max(x, 5), on.width - 5), y - 10.4, "here", "middle"));
}

/// Draws into the box. `size`: of the three; `caption`: what is told of it.
export function drawMap(box, { isLarge = false, size = 0, caption = null } = {}) {
  const here = poleNow();
  const places = placesOf(isLarge);
  if (caption) set(caption, mapSays(day.points, day.marks.length));
  const on = canvas(box, "Map of the day's points");
  if (!on) return;
  on.add(line(`M.2 .2H${on.width - 0.2}V${on.height - 0.2}H.2Z`));
  if (places.length || here) drawPlaces(on, { places, here, isLarge, size });
  else on.add(label(3, 7, "nothing to show yet"));
  on.finish();
}

function drawPlaces(on, { places, here, isLarge, size }) {
  const { rows, pole } = metresAbout(places, here);
  const bounds = boundsOf([...rows.map((row) => row.at), ...(pole ? [pole] : [])], here ? REACH[size] : 0);
  const { k, at } = projection(on, bounds, isLarge);
  const names = makeNames(on.width, on.height);
  if (isLarge && on.width > 90) legend(on, names);
  drawSigns(on, rows, { at, names, r: isLarge ? 1.6 : 1.15 });
  if (pole) drawPole(on, at(pole), names);
  const named = rows.filter((row) => row.isNamed).map((row) => names.put(...at(row.at), row.name));
  on.add(...named.filter(Boolean));
  scaleBar(on, k);
}
