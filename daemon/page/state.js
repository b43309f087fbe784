// What the plate says: the word, its filling, the one figure and what it means. Worked out from the day alone.

import { counts, day, everHeard, heldPoints, now, offMark, openPoint, reasonCodes, setApart } from "./day.js";
import { isNumber, metres } from "./words.js";

const ALL_IS_WELL = ["moving", "settling", "time-repeated"]; // a second that does not count, and nothing is wrong
const LONGEST_NAME = 10; // that has room beside a percentage
const NO_FIGURE = ["", "", ""];

function isWaiting() {
  const codes = reasonCodes();
  return day.status.feed?.state === "open" && codes.length > 0 && codes.every((code) => ALL_IS_WELL.includes(code));
}

/// Enough was collected, and keeping now gives an accepted point.
export function isEnough() {
  return counts() && openPoint()?.keep_gives === "accepted" && day.situation.percent === 100;
}

export function wordNow() {
  if (!counts()) return "NO";
  if (!openPoint()) return "READY";
  return isEnough() ? "ENOUGH" : "YES";
}

/// The filling of the plate: `lost` `no` `wait` `coasting` `enough` `counts` `ready`.
export function toneNow() {
  if (day.lost) return "lost";
  if (!counts()) return isWaiting() ? "wait" : "no";
  if (day.situation.tone === "coasting" || day.status.correction?.state === "unknown") return "coasting";
  if (!openPoint()) return "ready";
  return isEnough() ? "enough" : "counts";
}

function seconds(s, of) {
  if (!isNumber(s)) return ["", "", ""];
  if (s < 1000) return [String(Math.max(0, Math.floor(s))), "s", of];
  return s < 60000 ? [String(Math.floor(s / 60)), "min", of] : [String(Math.floor(s / 3600)), "h", of];
}

const decide = (held) => [String(held), "", held === 1 ? "point to decide" : "points to decide"];

function figureReady() {
  const { check } = day.status;
  const held = heldPoints().length;
  if (day.closing && held) return decide(held);
  if (check?.due) return ["", "", "a check is due"];
  if (isNumber(check?.due_in_s) && !day.closing) {
    return [String(Math.floor(check.due_in_s / 60)), "min", "until a check is due"];
  }
  return held ? decide(held) : NO_FIGURE;
}

function whole(stay) {
  if (stay.check) return "of the check is done";
  return stay.name.length > LONGEST_NAME ? "of the point is done" : `of ${stay.name} is done`;
}

function figureYes(stay) {
  const left = day.status.correction?.coast_left_s;
  const isLate = day.situation.tone === "coasting" && isNumber(left);
  if (isEnough()) {
    return ["", "", isLate ? `${Math.floor(left)} s until it stops counting` : "100 % " + whole(stay)];
  }
  if (isNumber(stay.apart_m)) return [...metres(stay.apart_m).split(" "), "between two places"];
  if (isLate) return seconds(left, "until it stops counting");
  const percent = day.situation.percent ?? 0;
  // What will be held never has all of what it needs.
  if (percent === 100) return ["", "", stay.keep_gives === "held" ? "it will be held" : ""];
  return [String(percent), "%", whole(stay)];
}

function figureNo(stay) {
  const { correction, epoch } = day.status;
  const codes = reasonCodes();
  if (isNumber(stay?.apart_m)) return [...metres(stay.apart_m).split(" "), "between two places"];
  if (codes[0] === "moving" && isNumber(epoch?.speed_mps)) return [epoch.speed_mps.toFixed(1), "m/s", "the pole moves"];
  if (isWaiting() && codes.includes("settling")) return seconds(correction?.settle_left_s, "until it counts again");
  return isFinite(day.counted) ? seconds((now() - day.counted) / 1000, "since a second counted") : NO_FIGURE;
}

/// The figure, its unit, and what it means.
export function figureNow() {
  const stay = openPoint();
  if (day.lost) return everHeard() ? seconds((now() - day.heard) / 1000, "without an answer") : NO_FIGURE;
  if (!counts()) return figureNo(stay);
  return stay ? figureYes(stay) : figureReady();
}

/// The third sentence: what was collected.
export function collected() {
  const stay = openPoint();
  if (!stay || isEnough()) return "";
  const off = offMark();
  if (stay.check && off !== null) return `So far ${off.toFixed(0)} mm off the mark, horizontal.`;
  const apart = setApart();
  const held = apart && reasonCodes().includes("jump") ? `${apart} set apart; ` : "";
  return `${held}${stay.counted_s.toFixed(0)} of ${stay.needed_s.toFixed(0)} s are collected.`;
}

/// The name at the head of the page.
export function titleNow(isBrief) {
  const stay = openPoint();
  if (!stay) return isBrief ? "No point" : "No point open";
  return (stay.check && !isBrief ? "Check on " : "") + stay.name + (stay.visit > 1 ? ", visit " + stay.visit : "");
}
