// Two courses over time: the age of the corrections on its limits, and the error of the average on what is wanted.

import { day, openPoint } from "./day.js";
import { set } from "./dom.js";
import { area, canvas, drawWords, hatch, label, line, meshLine, plainLabel, step } from "./paper.js";
import { isNumber, metres, secondsText } from "./words.js";

const TEN_MINUTES = 600;
const GAP_S = 3.5; // a line is not drawn over a longer one
const FOOT = 6.5;
const HALF_LETTER = 1.6;

const newest = (rows) => rows[rows.length - 1];

/// The path of a value over time, with gaps where nothing came.
function trace(rows, x, y, valueOf) {
  let d = "";
  let before = null;
  for (const row of rows) {
    const v = valueOf(row);
    const at = x(row.t);
    if (!isNumber(v) || at === null) {
      before = null;
      continue;
    }
    d += (before !== null && row.t - before < GAP_S ? "L" : "M") + at.toFixed(2) + " " + y(v).toFixed(2);
    if (before === null) d += "h.05";
    before = row.t;
  }
  return d;
}

/// The zones of the age: hatched where it still counts, grey where it is too old.
function zones(on, x0, x1, y, { fresh_limit_s: fresh, age_limit_s: most }) {
  const low = fresh ?? 0;
  on.add(
    meshLine(hatch(x0, y(most), x1, y(low), 2.4), 0.18),
    area(x0, 0.5, x1 - x0, y(most) - 0.5, 0.32),
    line(`M${x0} ${y(most)}H${x1}M${x0} ${y(low)}H${x1}`, 0.3),
    plainLabel(x0 + 1.5, 5, "too old"),
    label(x0 - 1.2, y(most) + HALF_LETTER, String(most), "end"),
  );
  if (y(low) - y(most) > 9) on.add(label(x0 + 1.5, (y(low) + y(most)) / 2 + HALF_LETTER, "late, still counts"));
  if (low > 0 && y(low) - y(most) > 5) on.add(label(x0 - 1.2, y(low) + HALF_LETTER, String(low), "end"));
}

function agesSays(ages, correction) {
  const known = ages.filter((a) => a.age != null);
  if (!known.length) return "No age has been heard.";
  const oldest = Math.max(...known.map((a) => a.age));
  const limits = correction.age_limit_s ? `, fresh up to ${correction.fresh_limit_s ?? 0} s, ` +
    `too old above ${correction.age_limit_s} s` : "";
  return `Now ${secondsText(newest(ages).age)}; the oldest since this page was opened ${secondsText(oldest)}${limits}.`;
}

export function drawAges(box, caption) {
  const { ages } = day;
  const correction = day.status.correction ?? {};
  const on = canvas(box, "Age of the corrections in the last 10 minutes");
  if (!on || !ages.length) return;
  const last = newest(ages).t;
  const limit = correction.age_limit_s;
  const most = limit ? limit * 1.33 : Math.max(10, ...ages.map((a) => a.age ?? 0)) * 1.2;
  const x0 = 2 + 2.6 * String(limit ?? 10).length;
  const x1 = on.width - 0.3;
  const y1 = on.height - FOOT;
  const y = (v) => y1 - (Math.min(v, most) / most) * (y1 - 0.5);
  const x = (t) => (t < last - TEN_MINUTES ? null : x1 - ((last - t) / TEN_MINUTES) * (x1 - x0));
  if (limit) zones(on, x0, x1, y, correction);
  on.add(line(`M${x0} .5V${y1}H${x1}`), line(trace(ages, x, y, (row) => row.age), 0.7));
  on.add(label(x0, on.height - 1, "10 min ago"), label(x1, on.height - 1, "now", "end"));
  on.finish();
  if (caption) set(caption, agesSays(ages, correction));
}

/// The first large errors of a stay may leave the drawing; what comes and what is wanted may not.
function mostError(errors, wanted) {
  const last = newest(errors);
  const sorted = errors.flatMap((row) => [row.plan, row.height]).filter(isNumber).sort((a, b) => a - b);
  const usual = sorted[Math.floor(sorted.length * 0.9)] ?? 0.01;
  return Math.max(usual, last.height ?? 0, last.plan ?? 0, ...wanted.map((v) => v ?? 0)) * 1.15 * 1000;
}

function errorsSays(last, stay) {
  const want = (v) => (v != null ? ", wanted " + metres(v) : "");
  return (
    `Horizontal (whole line) ${metres(last.plan)}${want(stay.wanted_error95_horizontal_m)}; ` +
    `vertical (broken line) ${metres(last.height)}${want(stay.wanted_error95_vertical_m)}; 95 % of the average so far.`
  );
}

function errorFrame(on, frame, wanted) {
  const { x0, x1, y1, y, most } = frame;
  on.add(line(`M${x0} .5V${y1}H${x1}`));
  const tick = step(most / 4);
  for (let v = 0; v <= most; v += tick) {
    const up = v === 0 ? 0 : HALF_LETTER;
    if (v === 0 || y1 - y(v) > 5) on.add(label(x0 - 1.2, Math.max(y(v) + up, 4), String(v), "end"));
  }
  let low = Infinity;
  for (const v of [...wanted].filter(isNumber).sort((a, b) => a - b)) {
    const at = Math.min(y(v * 1000) + HALF_LETTER, low - 4.8);
    low = at;
    on.add(line(`M${x0} ${y(v * 1000)}H${x1}`, 0.3, { dash: "1.2 1" }));
    on.add(label(x1 + 1, at, `wanted ${(v * 1000).toFixed(0)}`));
  }
}

/// The lines are named at their ends, apart from one another.
function lineNames(on, { x0, x1, y, x }, last) {
  const right = Math.max(x(last.t), x0 + 22);
  const up = Math.max(y((last.height ?? 0) * 1000) - 1.6, 4);
  const down = Math.max(y((last.plan ?? 0) * 1000) + 5, up + 5);
  on.add(label(Math.min(right, x1 - 0.5), up, "vertical", "end"));
  on.add(label(Math.min(right, x1 - 0.5), down, "horizontal", "end"));
}

export function drawErrors(box, caption) {
  const stay = openPoint();
  const { errors } = day;
  const last = newest(errors);
  if (!stay || !last) {
    const none = stay ? "The error is not known yet" : "No point is open";
    return drawWords(box, none + ": nothing to draw.", caption);
  }
  const on = canvas(box, "Error of the average against time");
  if (!on) return null;
  const wanted = [stay.wanted_error95_horizontal_m, stay.wanted_error95_vertical_m];
  const most = mostError(errors, wanted);
  const span = Math.max(30, last.t - errors[0].t);
  const x0 = 2 + 2.6 * String(Math.round(most)).length;
  const x1 = on.width - (wanted.some(isNumber) ? 24 : 0.5);
  const y1 = on.height - FOOT;
  const y = (v) => y1 - (Math.min(v, most) / most) * (y1 - 0.5);
  const x = (t) => x0 + ((t - errors[0].t) / span) * (x1 - x0);
  const frame = { x0, x1, y1, y, x, most };
  errorFrame(on, frame, wanted);
  on.add(line(trace(errors, x, y, (row) => row.plan * 1000), 0.8));
  on.add(line(trace(errors, x, y, (row) => row.height * 1000), 0.8, { dash: "2.4 1" }));
  lineNames(on, frame, last);
  on.add(label(x0, on.height - 1, "0", "middle"), label(x1, on.height - 1, `${span.toFixed(0)} s`, "end"));
  on.finish();
  if (caption) set(caption, errorsSays(last, stay));
  return null;
}
