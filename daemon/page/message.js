// The line above the acts: what came of the last one.

import { now } from "./day.js";
import { set } from "./dom.js";

const SHOWN_MS = 12000;
let until = 0;
let isShown = false;

export function tell(text) {
  isShown = true;
  until = now() + SHOWN_MS;
  set("message", text);
}

/// Takes an old message away; `instead` stands there now.
export function fadeMessage(instead) {
  if (!isShown || now() <= until) return;
  isShown = false;
  set("message", instead);
}
