// The acts of the moment: what may be done now, what will come of it or why not, and doing it.

import { alertsToSee, goneAlerts, unseenAlerts } from "./alerts.js";
import { answer, askedNow, endAsking, isAsking, values } from "./ask.js";
import { askKey, mayAct, send } from "./control.js";
import { day, everHeard, openPoint } from "./day.js";
import { $, mark, set } from "./dom.js";
import { hold, isHolding, secondsLeft, tapTookBack, undo, waitsFor } from "./hold.js";
import { tell } from "./message.js";
import { askName } from "./name.js";
import { isEnough } from "./state.js";

const NO_RECEIVER = ["silent", "waiting", "ended"];

/// [what kind, the second line]: `no` cannot be pressed, `yes`, `next` is the next step, `hold` wants a hold.
function mayBegin() {
  if (openPoint()) return ["no", openPoint().check ? "check open" : "point open"];
  if (NO_RECEIVER.includes(day.status.feed?.state)) return ["no", "no receiver"];
  return [day.situation.tone === "refused" ? "yes" : "next", "start"];
}

function mayKeep() {
  const stay = openPoint();
  if (!stay) return ["no", "no point"];
  if (stay.keep_gives === "nothing" || stay.accepted === 0) return ["no", "nothing yet"];
  if (stay.keep_gives === "accepted") return [isEnough() ? "next" : "yes", stay.check ? "compare" : "accepted"];
  return ["hold", "hold 1 s:\n" + (stay.check ? "too short" : "will be held")];
}

function maySee() {
  const gone = goneAlerts().length;
  const lines = unseenAlerts().length + (gone ? 1 : 0); // those that are over have one line
  if (!lines) return ["no", day.status.alerts?.length ? "all seen" : "no alerts"];
  if (lines > 1) return ["yes", `${lines - 1} more`];
  return ["yes", gone ? `${gone} gone` : "silence"];
}

const mayDiscard = () => (openPoint() ? ["hold", "hold 1 s"] : ["no", "no point"]);

const MAY = { begin: mayBegin, keep: mayKeep, seen: maySee, discard: mayDiscard };

function mayNow(id) {
  if (day.lost || !everHeard()) return ["no", "no answer"];
  if (waitsFor(id)) return ["yes", `${secondsLeft()} s`];
  const now = MAY[id]();
  return now[0] !== "no" && !mayAct() ? ["no", "look only"] : now;
}

const NAMES = { begin: "Begin", keep: "Keep", seen: "Seen", discard: "Discard" };

function showAct(id, name, [kind, line]) {
  const button = $(id);
  mark(button, "aria-disabled", String(kind === "no"));
  button.classList.toggle("next", kind === "next");
  button.classList.toggle("hold", kind === "hold");
  set(button.firstElementChild.firstElementChild, name);
  set(button.children[1], line);
}

function showAsked({ primary, does }) {
  const line = typeof does === "function" ? does(values()) : does;
  showAct("begin", primary || "Begin", [primary ? "next" : "no", line]);
  showAct("discard", "Back", ["yes", ""]);
}

export function showActs() {
  if (isAsking()) return showAsked(askedNow());
  for (const id in MAY) showAct(id, waitsFor(id) ? "Undo" : NAMES[id], mayNow(id));
}

/// True, and said why: it cannot be done now.
function refuses(id) {
  const [kind, line] = mayNow(id);
  if (kind !== "no") return false;
  if (line === "look only") askKey();
  else tell(`${NAMES[id]}: ${line}.`);
  return true;
}

export function begin() {
  if (isAsking()) answer();
  else if (!refuses("begin")) askName();
}

export function keep() {
  if (isAsking() || tapTookBack("keep") || refuses("keep")) return;
  if (mayNow("keep")[0] === "hold") return;
  undo(); // of a discard that waits
  const { name, visit } = openPoint();
  send("keep", { name, visit });
}

export function discard() {
  if (isAsking()) endAsking();
  else if (!tapTookBack("discard")) refuses("discard");
}

export function seen() {
  if (isAsking() || refuses("seen")) return;
  for (const { key, id } of alertsToSee()) send("alerts", { seen: true, key, id });
}

/// A finger or a key goes down on a button that may want a hold.
export function press(id, byHand) {
  if (isAsking() || isHolding()) return;
  if (mayNow(id)[0] === "hold") hold(id, byHand);
  else if (!byHand && id === "keep") keep();
  else if (!byHand) discard();
}
