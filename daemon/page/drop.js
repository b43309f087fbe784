// Dropping the open point: held for a second, then five seconds in which it can be taken back. Nothing is asked of the
// daemon before those are over.

import { send } from "./control.js";
import { day, now, openPoint } from "./day.js";
import { $, make, set } from "./dom.js";
import { tell } from "./message.js";

const HOLD_MS = 1000;
const UNDO_MS = 5000;

let dropping = null; // the point that will be dropped, and when
let holding = null; // the timer of a hold that goes on
let endsInClick = false; // the click that ends a hold is no tap on Undo

export const isDropping = () => dropping !== null;
export const isHolding = () => holding !== null;

function waitText() {
  const left = Math.max(0, Math.ceil((dropping.at - now()) / 1000));
  return `${dropping.name} is dropped in ${left} s. It still averages: Undo takes this back.`;
}

export function showDrop() {
  if (dropping) set("message", waitText());
  const text = dropping ? "Undo" : "Drop";
  const label = $("drop").lastElementChild;
  if (label.dataset.text === text) return;
  label.dataset.text = text;
  label.replaceChildren(make("kbd", {}, dropping ? "U" : "3"), " " + text);
}

/// A hold begins; `byHand` when a click will end it. `refuses()` says when nothing can be dropped.
export function hold(byHand, refuses) {
  endsInClick = false;
  if (dropping || holding || refuses()) return;
  $("drop").classList.add("held");
  holding = setTimeout(() => {
    release();
    const point = openPoint();
    if (!point) return;
    endsInClick = byHand;
    dropping = { name: point.name, visit: point.visit, since: point.since_utc, at: now() + UNDO_MS };
    $("drop").setAttribute("aria-disabled", "false");
    showDrop();
  }, HOLD_MS);
}

/// The hand is off. `early`: say how long it must be on.
export function release(early = false) {
  if (early && holding) tell("Hold Drop for one second.");
  clearTimeout(holding);
  holding = null;
  $("drop").classList.remove("held");
}

export function undo() {
  if (!dropping) return;
  tell(dropping.name + " goes on: nothing was dropped.");
  dropping = null;
  showDrop();
}

export function tapDrop() {
  if (!endsInClick) undo();
  endsInClick = false;
}

export function dropWhenDue() {
  if (!dropping) return;
  const point = openPoint();
  const isSame = point?.name === dropping.name && point?.since_utc === dropping.since;
  if (day.lost || !isSame) {
    const why = day.lost ? "The daemon does not answer: nothing was dropped." : "";
    tell(why || "Nothing was dropped: another point is open.");
    dropping = null;
  } else if (now() >= dropping.at) {
    const { name, visit } = dropping;
    dropping = null;
    send("drop", { name, visit });
  }
}
