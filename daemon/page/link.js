// The stream of what the daemon says; opened anew when it falls silent.

import { day, now } from "./day.js";

const PATIENCE_MS = 3000;
let source = null;
let openedAt = -Infinity;
let told = null;

function open() {
  source?.close();
  openedAt = now();
  source = new EventSource("/events");
  for (const name in told) source.addEventListener(name, (e) => told[name](JSON.parse(e.data)));
}

/// `listeners`: what is done with a `status` and with a `stay`.
export function connect(listeners) {
  told = listeners;
  open();
}

export function reconnectWhenSilent() {
  if (day.lost && now() - openedAt > PATIENCE_MS && now() - day.heard > PATIENCE_MS) open();
}
