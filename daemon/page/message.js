// What came of the last act: one sentence in the third line, for a while.

import { now } from "./day.js";

const SHOWN_MS = 12000;
let until = 0;
let text = "";
let showIt = () => {};

/// `show()` is called when there is something new to say.
export function listenToMessages(show) {
  showIt = show;
}

export function tell(said) {
  text = said;
  until = now() + SHOWN_MS;
  showIt();
}

/// Empty: nothing is to be said.
export const told = () => (now() <= until ? text : "");
