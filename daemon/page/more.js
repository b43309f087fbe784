// More: the acts of the day in the place of the sentences, what is looked at and set in the place of the drawing. Where
// there is no room for them they stand in the day below, which repeats them all.

import { endAsking, isAsking } from "./ask.js";
import { day, heldPoints, openPoint } from "./day.js";
import { $, make, mark, set } from "./dom.js";
import { nearestFirst, poleText } from "./lists.js";
import { askCheck, askClose, askHeld, askHelp, askPoints, askPole } from "./sheets.js";
import { hasLittleRoom, isDusk, isLow, layoutName, millimetre, resize, toggleDusk } from "./size.js";
import { quiet, soundText } from "./sound.js";
import { distance } from "./words.js";

const root = document.documentElement;
const isBrief = () => layoutName() !== "wide" || isLow();

function checkLines() {
  const [first, second] = nearestFirst(day.marks);
  if (!first) return ["no marks", "are set"];
  const name = (m) => (m.far_m === null ? m.mark : `${m.mark}, ${distance(m.far_m)}`);
  if (isBrief()) return [first.mark, first.far_m === null ? "" : distance(first.far_m)];
  return second ? [name(first) + ";", name(second)] : [name(first)];
}

function heldLines() {
  const held = heldPoints();
  if (!held.length) return ["none"];
  return [`decide ${held.length}` + (isBrief() ? "" : ":"), held[0].point + (held.length > 1 ? ", …" : "")];
}

const closeLines = () => {
  if (day.closed) return ["the day", "is closed"];
  if (isBrief()) return ["the day"];
  return day.closing ? ["the day, last", "check made"] : ["the day, after", "a last check"];
};

/// Each: name, second line, what a tap does, whether an open point forbids it.
const REST = [
  ["Check", checkLines, () => askCheck(), true],
  ["Held", heldLines, askHeld, false],
  ["Pole", () => [poleText().replace(/^\w+ /, "") + ";", "change it"], askPole, true],
  ["Close", closeLines, askClose, true],
];
const SET = [
  ["Points", () => [`${day.points.length} in all`], askPoints, false],
  ["Sound", () => [soundText()], quiet, false],
  ["Dusk", () => ["is " + (isDusk() ? "on" : "off")], toggleDusk, false],
  ["Help", () => ["size, keys"], help, false],
];
const SET_HERE = ["Sound", "Dusk", "Help"]; // they ask nothing of the daemon

function help() {
  const scaled = (factor) => {
    resize(factor);
    help();
  };
  askHelp(scaled, millimetre());
}

const made = new Map(); // row: its buttons

function build(into, rows) {
  for (const row of rows) {
    const button = make("button", { type: "button" });
    const name = make("b");
    name.append(make("span", {}, row[0]));
    button.append(name, make("span"));
    button.addEventListener("click", () => {
      if (button.getAttribute("aria-disabled") !== "true") open(row);
    });
    into.append(button);
    made.set(row, [...(made.get(row) ?? []), button]);
  }
}

function open([name, , run]) {
  if (!SET_HERE.includes(name) || name === "Help") closeMore();
  run();
}

export function buildMore() {
  build($("rest"), REST);
  build($("set2"), SET);
  build($("set"), [...REST, ...SET]);
}

function whyNot([name, , , isForbidden]) {
  if (day.lost && !SET_HERE.includes(name)) return "no answer";
  return isForbidden && openPoint() ? "point open" : "";
}

export function showMore() {
  for (const [row, buttons] of made) {
    const why = day.status ? whyNot(row) : "no answer";
    const line = why || row[1]().join("\n");
    for (const button of buttons) {
      mark(button, "aria-disabled", String(Boolean(why)));
      set(button.lastElementChild, line);
    }
  }
  set($("more").firstElementChild.firstElementChild, root.dataset.ask === "more" ? "Back" : "More");
}

export function closeMore() {
  if (root.dataset.ask === "more") root.dataset.ask = "";
  showMore();
}

export function toggleMore() {
  if (isAsking()) return endAsking();
  if (hasLittleRoom()) return $("set").scrollIntoView({ block: "start" });
  root.dataset.ask = root.dataset.ask === "more" ? "" : "more";
  showMore();
}
