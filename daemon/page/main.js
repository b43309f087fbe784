// The page: shows what the daemon says, once a second, and asks for the few acts it may ask for. Sentences come from
// the daemon; what these files decide is places, shapes, sounds, and that an old YES is never shown for long.

import { begin, discard, keep, press, seen, showActs } from "./acts.js";
import { showAlerts } from "./alerts.js";
import { showAnswer } from "./answer.js";
import { endAsking, isAsking } from "./ask.js";
import { exchangeKey, mayAct } from "./control.js";
import { day, everHeard, lookForLoss, now, takeStatus, takeStay } from "./day.js";
import { $, set } from "./dom.js";
import { drawAtOnce, drawWhenDue, nextDrawing, nextSize } from "./drawings.js";
import { doWhenDue, isHolding, release, undo } from "./hold.js";
import { connect, reconnectWhenSilent } from "./link.js";
import { refreshWhenChanged } from "./lists.js";
import { listenToMessages, tell } from "./message.js";
import { buildMore, closeMore, showMore, toggleMore } from "./more.js";
import { askCheck } from "./sheets.js";
import { fit, restoreSize, toggleDusk } from "./size.js";
import { listen, quiet } from "./sound.js";
import { listenToTables, showNewest } from "./tables.js";
import { showValues } from "./values.js";

const BEAT_MS = 250;
const BEATS = 4; // to a second
let beat = 0;
let isDark = false;
let wantsCheck = location.hash === "#check";

function showHealth() {
  const ago = ((now() - day.heard) / 1000).toFixed(1);
  const heard = everHeard() ? `Heard ${ago} s ago. ` : "Not heard from Stillpoint yet. ";
  set("health", heard + (mayAct() ? "This page may act." : "This page may only look."));
}

function showAll() {
  showAnswer();
  showAlerts(isDark);
  showActs();
  showMore();
  showNewest();
  if (day.status) showValues();
}

function onStatus(frame) {
  if (!takeStatus(frame)) return;
  showAll();
  listen();
  refreshWhenChanged();
  document.documentElement.dataset.epoch = day.status.epoch?.utc ?? "";
  drawWhenDue();
}

function onBeat() {
  const wasLost = day.lost;
  const isLost = lookForLoss();
  const isSecond = ++beat % BEATS === 0;
  reconnectWhenSilent();
  doWhenDue();
  checkFirst();
  if (isLost) showAnswer();
  if (isLost !== wasLost || (day.status && isSecond)) {
    if (day.status) listen();
    if (isLost !== wasLost) showAll();
  }
  showActs();
  if (!isSecond) return;
  isDark = !isDark;
  showAlerts(isDark);
  showHealth();
}

const atOnce = (act) => () => {
  act();
  showAll();
};

const KEYS = {
  1: begin,
  a: seen,
  s: quiet,
  t: toggleDusk,
  u: undo,
  n: nextDrawing,
  m: toggleMore,
  "?": () => $("set").lastElementChild.click(),
};
const HELD = { 2: "keep", 3: "discard" };

function heldBy(e) {
  if (HELD[e.key]) return HELD[e.key];
  const id = document.activeElement?.id;
  return (e.key === " " || e.key === "Enter") && (id === "keep" || id === "discard") ? id : null;
}

function onAskKey(e) {
  if (e.key === "Escape") endAsking();
  else if (e.key === "Enter" && document.activeElement?.tagName === "INPUT") begin();
  else return;
  e.preventDefault();
  showAll();
}

function onKey(e) {
  if (e.ctrlKey || e.altKey || e.metaKey) return;
  if (isAsking()) return onAskKey(e);
  if (e.key === "Escape") return atOnce(closeMore)();
  const id = heldBy(e);
  if (id) {
    if (!e.repeat) press(id, false);
    e.preventDefault();
    return;
  }
  const act = e.repeat ? undefined : KEYS[e.key.toLowerCase()];
  if (!act) return;
  atOnce(act)();
  e.preventDefault();
}

function onKeyUp(e) {
  if (!isHolding()) return;
  release(true);
  e.preventDefault();
}

function listenToHolds(id) {
  const button = $(id);
  button.addEventListener("pointerdown", (e) => {
    if (e.button === 0) press(id, true);
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) button.addEventListener(end, () => release(true));
  button.addEventListener("contextmenu", (e) => e.preventDefault());
}

function onResize() {
  fit();
  showAll();
  drawAtOnce();
}

function listenToHands() {
  const acts = { begin, keep, seen, discard, more: toggleMore, drawing: nextDrawing, second: nextDrawing };
  for (const id in acts) $(id).addEventListener("click", atOnce(acts[id]));
  $("bigmap").addEventListener("click", nextSize);
  for (const id of ["keep", "discard"]) listenToHolds(id);
  listenToTables();
  addEventListener("keydown", onKey);
  addEventListener("keyup", onKeyUp);
  addEventListener("blur", () => release());
  addEventListener("resize", onResize);
  addEventListener("visibilitychange", () => {
    if (document.hidden) return;
    onBeat();
    drawAtOnce();
  });
  // Whoever comes back sees no answer of before, not even for a beat.
  for (const back of ["focus", "pageshow", "resume"]) addEventListener(back, onBeat);
}

/// When the plate has left the screen, a line with the big word stays.
function watchThePlate() {
  const seenNow = ([entry]) => document.documentElement.classList.toggle("scrolled", !entry.isIntersecting);
  new IntersectionObserver(seenNow).observe($("plate"));
}

/// A link with the key in it is good once; the key does not stay in the address.
async function takeKeyFromAddress() {
  const given = /^#key=(.+)$/.exec(location.hash);
  if (!given) return;
  history.replaceState(null, "", "/");
  const wrong = await exchangeKey(decodeURIComponent(given[1]));
  if (wrong) tell(wrong);
}

/// The set-up leads to a first check, as soon as the marks are known.
function checkFirst() {
  if (!wantsCheck || !day.status || !day.marks.length || isAsking()) return;
  wantsCheck = false;
  askCheck();
  showAll();
}

restoreSize();
buildMore();
listenToHands();
watchThePlate();
listenToMessages(showAnswer);
if (wantsCheck) history.replaceState(null, "", "/");
takeKeyFromAddress();
showAll();
showHealth();
setInterval(onBeat, BEAT_MS);
connect({ status: onStatus, stay: takeStay });
