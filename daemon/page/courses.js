// Two courses over time: the age of the corrections on its limits, and the error of the average on what is wanted.

import { day, openPoint } from "./day.js";
import { $, draw, set } from "./dom.js";
import { axes, canvas, hatch, isGap, label, line, paper, step, trace } from "./paper.js";
import { isNumber, limit, metres, secondsText } from "./words.js";

const newest = (rows) => rows[rows.length - 1];

/// The bands above the fresh limit, hatched, each with its words.
function bands(on, top, fresh) {
  const nodes = [
    line(hatch(on.x0, on.y(top), on.x1, on.y(fresh), 16), "", 0.8),
    line(hatch(on.x0, 15, on.x1, on.y(top), 6), "", 0.8),
    line(`M${on.x0} ${on.y(fresh)}H${on.x1}M${on.x0} ${on.y(top)}H${on.x1}`, "8 4"),
  ];
  const words = [
    ["too old", top * 1.13],
    ["counts, old", (top + fresh) / 2],
  ];
  for (const [text, at] of words) {
    const y = on.y(at) + 7;
    const box = { x: on.x0 + 4, y: y - 19, width: text.length * 12 + 8, height: 25, fill: "var(--paper)" };
    nodes.push(draw("rect", box), label(on.x0 + 8, y, text));
  }
  return nodes;
}

function agesText(ages, correction) {
  const known = ages.filter((a) => a.age != null);
  if (!known.length) return "No age has been heard.";
  const breaks = (a, i) => i > 0 && (isGap(a, ages[i - 1]) || (a.age == null && ages[i - 1].age != null));
  const gaps = ages.filter(breaks).length;
  const oldest = Math.max(...known.map((a) => a.age));
  const limits = correction.age_limit_s
    ? `. Fresh up to ${limit(correction.fresh_limit_s ?? 0)}, too old above ${limit(correction.age_limit_s)}. ` +
      "Since this page was opened."
    : ".";
  return (
    `Now ${secondsText(newest(ages).age)}; the oldest in view ${secondsText(oldest)}; ` +
    `${gaps} ${gaps === 1 ? "gap" : "gaps"}${limits}`
  );
}

export function drawAges() {
  const { ages } = day;
  const last = newest(ages);
  if (!last) return;
  const correction = day.status.correction ?? {};
  const span = Math.max(60, Math.min(600, last.t - ages[0].t));
  const from = last.t - span;
  const top = correction.age_limit_s ?? Math.max(10, ...ages.map((a) => a.age ?? 0));
  const most = top * 1.25;
  const on = paper($("ages"), most, span);
  const nodes = axes(on, most, span, (v) => v.toFixed(0) + " s", step(most / 4));
  if (correction.age_limit_s) nodes.push(...bands(on, top, correction.fresh_limit_s ?? 0));
  nodes.push(
    line(
      trace(on, ages, from, (row) => row.age),
      "",
      4,
    ),
  );
  $("ages").replaceChildren(...nodes);
  set("agessay", agesText(ages, correction));
}

function showNoErrors(stay) {
  canvas($("errors"));
  $("errors").replaceChildren(label(10, 40, stay ? "no error known yet" : "no point open"));
  set("errorssay", stay ? "The error is not known yet." : "No point is open: nothing to draw.");
}

/// The first large errors of a stay may leave the drawing; what comes and what is wanted may not.
function mostError(errors, wanted) {
  const sorted = errors
    .flatMap((row) => [row.plan, row.height])
    .filter(isNumber)
    .sort((a, b) => a - b);
  const last = newest(errors);
  const usual = sorted[Math.floor(sorted.length * 0.9)] ?? 0.01;
  return Math.max(usual, last.height ?? 0, last.plan ?? 0, ...wanted.map(([v]) => v ?? 0)) * 1.15;
}

function errorsText(last, stay) {
  const want = (v) => (v != null ? ", wanted " + metres(v) : "");
  return (
    `Plan (whole line) ${metres(last.plan)}${want(stay.wanted_error95_horizontal_m)}; ` +
    `height (broken line) ${metres(last.height)}${want(stay.wanted_error95_vertical_m)}; 95 % of the average so far.`
  );
}

export function drawErrors() {
  const stay = openPoint();
  const { errors } = day;
  const last = newest(errors);
  if (!stay || !last) return showNoErrors(stay);
  const wanted = [
    [stay.wanted_error95_horizontal_m, "want plan"],
    [stay.wanted_error95_vertical_m, "want height"],
  ];
  const span = Math.max(30, last.t - errors[0].t);
  const from = last.t - span;
  const most = mostError(errors, wanted);
  const on = paper($("errors"), most, span);
  const nodes = axes(on, most, span, metres, step(most / 4));
  for (const [v, text] of wanted) {
    if (v == null) continue;
    nodes.push(line(`M${on.x0} ${on.y(v)}H${on.x1}`, "2 5"), label(on.x1 - 40, on.y(v) - 4, text, "end"));
  }
  nodes.push(
    line(
      trace(on, errors, from, (row) => row.plan),
      "",
      4,
    ),
  );
  nodes.push(
    line(
      trace(on, errors, from, (row) => row.height),
      "12 4",
      4,
    ),
  );
  $("errors").replaceChildren(...nodes);
  set("errorssay", errorsText(last, stay));
}
