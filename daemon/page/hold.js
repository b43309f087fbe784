// What wants a hold of one second and can be taken back for five: Discard, and Keep before it is enough. Nothing is
// asked of the daemon before those are over.

import { send } from "./control.js";
import { day, now, openPoint } from "./day.js";
import { $ } from "./dom.js";
import { tell } from "./message.js";

const HOLD_MS = 1000;
const UNDO_MS = 5000;
const METHOD = { discard: "discard", keep: "keep" };

let waiting = null; // what will be done, with which point, and when
let holding = null; // the button that is held, and the timer of the hold
let endsInClick = false; // the click that ends a hold is no tap on Undo

export const isHolding = () => holding !== null;
export const waitsFor = (id) => waiting?.id === id;
export const secondsLeft = () => Math.max(0, Math.ceil((waiting.at - now()) / 1000));

/// A hold of a button begins; `byHand` when a click will end it.
export function hold(id, byHand) {
  endsInClick = false;
  if (waiting || holding) return;
  $(id).classList.add("held");
  const timer = setTimeout(() => {
    release();
    const point = openPoint();
    if (!point) return;
    endsInClick = byHand;
    waiting = { id, name: point.name, visit: point.visit, since: point.since_utc, at: now() + UNDO_MS };
  }, HOLD_MS);
  holding = { id, timer };
}

/// The hand is off. `early`: say how long it must be on.
export function release(early = false) {
  if (!holding) return;
  if (early) tell(`Hold ${holding.id === "keep" ? "Keep" : "Discard"} for one second.`);
  clearTimeout(holding.timer);
  $(holding.id).classList.remove("held");
  holding = null;
}

export function undo() {
  if (!waiting) return;
  tell(waiting.name + " goes on: nothing was " + (waiting.id === "keep" ? "kept." : "discarded."));
  waiting = null;
}

/// True: the tap was the end of a hold, or it took something back.
export function tapTookBack(id) {
  if (waiting?.id !== id) return false;
  if (!endsInClick) undo();
  endsInClick = false;
  return true;
}

export function doWhenDue() {
  if (!waiting) return;
  const point = openPoint();
  // A stay has no beginning before its first second.
  const sameBegin = !waiting.since || point?.since_utc === waiting.since;
  const isSame = point?.name === waiting.name && point?.visit === waiting.visit && sameBegin;
  if (day.lost || !isSame) {
    tell("Nothing was done: " + (day.lost ? "Stillpoint does not answer." : "another point is open."));
    waiting = null;
  } else if (now() >= waiting.at) {
    const { id, name, visit } = waiting;
    waiting = null;
    send(METHOD[id], { name, visit });
  }
}
