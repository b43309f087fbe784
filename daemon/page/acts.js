// The acts: what may be done now and why not, and doing it.

import { alertsInView, shownAlerts } from "./alerts.js";
import { askKey, mayAct, send } from "./control.js";
import { day, openPoint } from "./day.js";
import { ask } from "./dialog.js";
import { $ } from "./dom.js";
import { isDropping, showDrop, undo } from "./drop.js";
import { fadeMessage, tell } from "./message.js";

const MAY = {
  occupy: () => !openPoint(),
  keep: () => Boolean(openPoint()),
  drop: () => Boolean(openPoint()),
  seen: () => shownAlerts().some((a) => !a.seen),
};

export function showActs() {
  fadeMessage("");
  for (const id in MAY) {
    const off = String(day.lost || (!MAY[id]() && !(id === "drop" && isDropping())));
    if ($(id).getAttribute("aria-disabled") !== off) $(id).setAttribute("aria-disabled", off);
  }
  showDrop();
}

function whyNot(id) {
  if (day.lost) return "The daemon does not answer: nothing can be done.";
  if (MAY[id]()) return "";
  if (id === "occupy") return openPoint().name + " is still open: keep or drop it first.";
  return id === "seen" ? "No alert waits." : "No point is open.";
}

/// True, and said why: it cannot be done now.
export function refuses(id) {
  const why = whyNot(id);
  if (why) tell(why);
  else if (!mayAct()) askKey();
  else return false;
  return true;
}

/// The number behind the last name, one higher; empty where that would need a digit more.
function nextName(name) {
  const parts = /^(.*?)([0-9]+)$/.exec(name ?? "");
  if (!parts) return "";
  const number = String(BigInt(parts[2]) + 1n);
  return number.length > parts[2].length ? "" : parts[1] + number.padStart(parts[2].length, "0");
}

export function occupy() {
  if (refuses("occupy")) return;
  ask({
    title: "New point",
    text: "The tip is on the mark and the bubble is level.",
    label: "Name",
    value: nextName(day.lastName),
    again: true,
    yes: "Start",
    done: (name, again) => name && send("occupy", again ? { name, again } : { name }),
  });
}

export function keep() {
  if (refuses("keep")) return;
  const { name, visit, check, keep_gives: gives, keep_texts: texts } = openPoint();
  if (isDropping()) undo();
  const go = () => send("keep", { name, visit });
  if (gives === "accepted") return go();
  const what = check ? "It will not count as a check" : "It will be held, not accepted";
  const why = texts?.[0];
  ask({
    title: "Keep " + name + " so?",
    text: what + (why ? ": " + why : "") + ".",
    yes: "Keep it so",
    done: go,
  });
}

export async function seen() {
  if (refuses("seen")) return;
  for (const { key, id } of alertsInView(shownAlerts()).filter((a) => !a.seen)) {
    await send("alerts", { seen: true, key, id });
  }
}
