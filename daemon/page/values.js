// The values, each in one row, with one limit line through all their scales.

import { day, offMark, openPoint, reasonCodes, setApart } from "./day.js";
import { $, fill, make, set } from "./dom.js";
import { lastKept, plannedFirst } from "./lists.js";
import { scaleOfAge, scaleOfError } from "./paper.js";
import { distance, firm, isNumber, metres, QUALITY, secondsText, shortClock, wind } from "./words.js";

const AGE_WORDS = { fresh: "fresh", coasting: "late", stale: "too old" };
const MS_PER_S = 1000;
const M_PER_KM = 1000;

const clockOf = (utc) => utc.slice(11, 19);

function averageText() {
  const stay = openPoint();
  if (!stay) return "no point open";
  const apart = setApart();
  const rest = apart ? `, ${apart} set apart` : stay.refused ? `, ${stay.refused} refused` : "";
  return `${stay.counted_s.toFixed(0)} s, ${stay.needed_s.toFixed(0)} wanted${rest}`;
}

/// While the stream to the receiver has stopped; the alert beside it says why.
function stoppedText({ age_s: age, last_frame_utc: at }) {
  if (!isNumber(age)) return ["", "none so far"];
  return [secondsText(age), at ? `without any, stopped ${clockOf(at)}` : "without any"];
}

/// A bold part and the rest.
function correctionText() {
  const { correction = {}, delivery } = day.status;
  if (delivery?.state === "stopped" && correction.state !== "fresh") return stoppedText(delivery);
  if (correction.state === "unknown") return ["", "not told by the receiver"];
  if (!AGE_WORDS[correction.state]) return ["", "none in use"];
  if (!isNumber(correction.age_s)) return ["", AGE_WORDS[correction.state]];
  const word = correction.from === "own-clock" ? "without proof, " : "";
  return [secondsText(correction.age_s), word + AGE_WORDS[correction.state]];
}

function errorText(value, wanted) {
  const of = isNumber(wanted) ? `wanted ${(wanted * 1000).toFixed(0)}` : "";
  if (isNumber(value)) return [metres(value), "(95 %)" + (of && ", " + of)];
  return ["", of ? of + " mm (95 %)" : "not known"];
}

function checkText() {
  const { check = {}, time_utc: time } = day.status;
  const stay = openPoint();
  const off = offMark();
  if (stay?.check && off !== null) return `${off.toFixed(0)} mm off ${stay.name} so far`;
  if (day.closing) return "closing: " + day.closing;
  if (!check.configured) return "no marks are set";
  if (check.failed) return "FAILED " + shortClock(check.last_utc);
  if (!check.last_utc) return "none yet";
  if (check.due) return `due; the last ${shortClock(check.last_utc)}`;
  const due = isNumber(check.due_in_s) ? Date.parse(time) + check.due_in_s * MS_PER_S : null;
  return `passed ${shortClock(check.last_utc)}` + (due ? `, due ${shortClock(due)}` : "");
}

function lastText() {
  const last = lastKept();
  return last ? `${last.point} ${last.status}, ${shortClock(last.finished_utc)}` : "none kept yet";
}

/// Between two points where to go next, while there is a plan; else what was kept last.
const hasNext = () => day.plan.length > 0 && !openPoint();

function nextText() {
  const [next] = plannedFirst();
  if (!next) return "no planned point is left";
  return `${next.point}: ${distance(next.far_m)}` + (next.far_m === null ? "" : ` ${wind(next.towards_deg)}`);
}

function positionText() {
  const { epoch, feed } = day.status;
  if (!epoch || feed?.state === "silent" || feed?.state === "waiting") return "not known";
  const parts = [QUALITY[epoch.quality] ?? epoch.quality];
  parts.push(reasonCodes().includes("moving") ? "moving" : "still");
  if (epoch.satellites != null) parts.push(epoch.satellites + " satellites");
  const { base } = day.status;
  if (isNumber(base?.distance_m)) parts.push(`base ${base.station} at ${(base.distance_m / M_PER_KM).toFixed(1)} km`);
  return parts.join(", ");
}

const wantedOf = (way) => day.wanted[way === "horizontal" ? 0 : 1];

const errorOf = (way) => errorText(openPoint()?.[`error95_${way}_m`], wantedOf(way));

const ROWS = [
  ["Average", () => ["", averageText()]],
  ["Corrections", correctionText, "age"],
  ["Horizontal", () => errorOf("horizontal"), "horizontal"],
  ["Vertical", () => errorOf("vertical"), "vertical"],
  ["Check", () => ["", checkText()]],
  ["Last", () => ["", hasNext() ? nextText() : lastText()]],
  ["Position", () => ["", positionText()]],
];

function makeRow([name, , scale]) {
  const row = make("div", scale ? { class: "has" } : {});
  const value = make("dd");
  value.append(make("b"), make("span"));
  row.append(make("dt", {}, name), value);
  if (scale) row.append(make("dd", { class: "scale" }));
  return row;
}

function showScale(kind, into) {
  const { correction = {} } = day.status;
  if (kind === "age") scaleOfAge(into, correction);
  else scaleOfError(into, openPoint()?.[`error95_${kind}_m`], wantedOf(kind));
}

export function showValues() {
  const list = $("values");
  fill(list, "made", () => ROWS.map(makeRow));
  if (!list.clientHeight || !day.status) return;
  ROWS.forEach(([, textOf, scale], i) => {
    const [strong, rest] = textOf();
    const [bold, plain] = list.children[i].children[1].children;
    if (ROWS[i][0] === "Last") set(list.children[i].firstElementChild, hasNext() ? "Next" : "Last");
    set(bold, firm(strong));
    set(plain, firm((strong && " ") + rest));
    if (scale) showScale(scale, list.children[i].children[2]);
  });
}
