// The page: shows what the daemon says, once a second, and asks for the few acts it may ask for. Sentences come from
// the daemon; what these files decide is places, shapes, sounds, and that an old YES is never shown for long.

import { keep, occupy, refuses, seen, showActs } from "./acts.js";
import { showAlerts } from "./alerts.js";
import { showAnswer } from "./answer.js";
import { exchangeKey, mayAct } from "./control.js";
import { day, everHeard, lookForLoss, now, takeStatus, takeStay } from "./day.js";
import { listenToDialog } from "./dialog.js";
import { $, set } from "./dom.js";
import { drawAtOnce, drawWhenDue } from "./drawings.js";
import { dropWhenDue, hold, isDropping, isHolding, release, tapDrop, undo } from "./drop.js";
import { connect, reconnectWhenSilent } from "./link.js";
import { resize, restoreSize, toggleDusk } from "./size.js";
import { listen, quiet, showSound } from "./sound.js";
import { listenToTables } from "./tables.js";
import { showValues } from "./values.js";

const BEAT_MS = 250;
const BEATS = 4; // to a second
let beat = 0;
let blink = false;

function showHealth() {
  const ago = ((now() - day.heard) / 1000).toFixed(1);
  const heard = everHeard() ? `Heard ${ago} s ago. ` : "Not heard from the daemon yet. ";
  const act = mayAct() ? " This page may act." : " This page may only look.";
  set("health", heard + (day.lost ? "Daemon LOST." : "Daemon alive.") + act);
  showSound();
}

function onStatus(frame) {
  if (!takeStatus(frame)) return;
  showAnswer();
  showValues();
  showAlerts(blink);
  listen();
  showActs();
  showHealth();
  document.documentElement.dataset.epoch = day.status.epoch?.utc ?? "";
  drawWhenDue();
}

function onBeat() {
  const wasLost = day.lost;
  const isLost = lookForLoss();
  const isSecond = ++beat % BEATS === 0;
  reconnectWhenSilent();
  dropWhenDue();
  if (isLost) showAnswer();
  if (isLost !== wasLost || (day.status && isSecond)) {
    if (day.status) listen();
    showActs();
  }
  if (!isSecond) return;
  blink = !blink;
  if (day.status) showAlerts(blink);
  showHealth();
}

function showHelp() {
  if (!$("info").open) $("info").showModal();
}

const holdDrop = (byHand) => hold(byHand, () => refuses("drop"));

function listenToDrop() {
  const drop = $("drop");
  drop.addEventListener("click", tapDrop);
  drop.addEventListener("pointerdown", (e) => {
    if (e.button === 0) holdDrop(true);
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) drop.addEventListener(end, () => release(true));
  drop.addEventListener("contextmenu", (e) => e.preventDefault());
}

const KEYS = { 1: occupy, 2: keep, a: seen, s: quiet, t: toggleDusk, "?": showHelp, u: undo };

const holdsByKey = (e) =>
  e.key === "3" || ((e.key === " " || e.key === "Enter") && document.activeElement === $("drop") && !isDropping());

function onKey(e) {
  if (e.ctrlKey || e.altKey || e.metaKey || $("ask").open || $("info").open) return;
  if (holdsByKey(e)) {
    if (!e.repeat) holdDrop(e.key !== "3");
    e.preventDefault();
    return;
  }
  const act = e.repeat ? undefined : KEYS[e.key.toLowerCase()];
  if (!act) return;
  act();
  e.preventDefault();
}

function onKeyUp(e) {
  if (!isHolding()) return;
  release(true);
  e.preventDefault();
}

function listenToHands() {
  const acts = {
    occupy,
    keep,
    seen,
    sound: quiet,
    dusk: toggleDusk,
    help: showHelp,
    smaller: () => resize(1 / 1.02),
    larger: () => resize(1.02),
  };
  for (const id in acts) $(id).addEventListener("click", acts[id]);
  listenToDrop();
  listenToDialog();
  listenToTables();
  addEventListener("keydown", onKey);
  addEventListener("keyup", onKeyUp);
  addEventListener("blur", () => release());
  addEventListener("resize", () => {
    if (day.status) showValues();
    drawAtOnce();
  });
  addEventListener("visibilitychange", () => {
    if (document.hidden) return;
    onBeat();
    drawAtOnce();
  });
  // Whoever comes back sees no answer of before, not even for a beat.
  for (const back of ["focus", "pageshow", "resume"]) addEventListener(back, onBeat);
}

/// A link with the key in it is good once; the key does not stay in the address.
function takeKeyFromAddress() {
  const given = /^#key=(.+)$/.exec(location.hash);
  if (!given) return;
  history.replaceState(null, "", "/");
  exchangeKey(decodeURIComponent(given[1]));
}

restoreSize();
listenToHands();
takeKeyFromAddress();
showAnswer();
showActs();
showHealth();
setInterval(onBeat, BEAT_MS);
connect({ status: onStatus, stay: takeStay });
