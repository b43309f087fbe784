// Sounds, after one tap: a rhythm and a direction for each severity.

import { counts, day, everHeard, now, openPoint } from "./day.js";
import { set } from "./dom.js";
import { tell } from "./message.js";
import { allowSound, maySound, play } from "./tones.js";
import { sentence, SEVERITY } from "./words.js";

const QUIET_MS = 120000;
const GOOD_EVERY_MS = 10000;
const ORDER = ["", "good", "low", "medium", "high"];
const KIND = { "stop-work": "high", warning: "medium", notice: "low" };
/// A condition that often passes by itself is heard only when it lasts.
const PATIENCE_MS = { "corrections-stale": 2000, "feed-silent": 7000 };

let quietUntil = 0;
let wasLost = false;
let known = new Map(); // alerts, by occurrence
const mutedUntil = new Map(); // kinds that come and go
const good = { counted: true, wasEnough: true, at: 0, point: "" };

const louder = (a, b) => (ORDER.indexOf(b) > ORDER.indexOf(a) ? b : a);
const isQuiet = () => now() < quietUntil;
const isMuted = (key) => now() < (mutedUntil.get(key) ?? 0);

function ring(kind) {
  document.documentElement.dataset.sound = kind;
  play(kind);
}

/// One that comes and goes is heard once more, and then not for a while.
function muteComingAndGoing(alert, before) {
  if (alert.times > 1 && alert.times > before.times && !isMuted(alert.key)) {
    mutedUntil.set(alert.key, now() + QUIET_MS);
  }
}

/// What an alert sounds like now: it is new, or it was told again and nobody asked for quiet.
function soundOfAlert(alert, present) {
  const { key, repeats = 0, times = 1 } = alert;
  const t = now();
  const id = key + "/" + alert.id;
  const before = known.get(id) ?? { since: t, told: false, repeats: 0, times: 1 };
  const isFirst = !before.told && t - before.since >= (PATIENCE_MS[key] ?? 0);
  const isAgain = before.told && repeats > before.repeats && !isQuiet();
  muteComingAndGoing(alert, before);
  present.set(id, { since: before.since, told: before.told || isFirst, repeats, times });
  if (alert.seen || !(isFirst || isAgain)) return "";
  if (isFirst) set("alarm", SEVERITY[alert.severity] + ". " + sentence(alert.text));
  return isMuted(key) ? "" : KIND[alert.severity];
}

/// On the same open point, seconds count again, or there are enough of them.
function isGoodNews(stay, enough) {
  if (!stay || stay.name !== good.point || !counts()) return false;
  return !good.counted || (enough && !good.wasEnough);
}

function soundOfGoodNews() {
  const stay = openPoint();
  const enough = stay?.keep_gives === "accepted";
  const isHeard = isGoodNews(stay, enough) && !isQuiet() && now() >= good.at;
  if (isHeard) good.at = now() + GOOD_EVERY_MS;
  good.counted = counts();
  good.wasEnough = enough;
  good.point = stay?.name ?? "";
  return isHeard ? "good" : "";
}

function soundOfLoss() {
  const isNew = day.lost && !wasLost && everHeard();
  wasLost = day.lost;
  if (isNew) set("alarm", "Stillpoint does not answer. No second counts.");
  return isNew ? "high" : "";
}

export function listen() {
  let sound = soundOfLoss();
  if (!day.lost) {
    const present = new Map();
    for (const alert of day.status.alerts ?? []) {
      if (alert.active !== false) sound = louder(sound, soundOfAlert(alert, present));
    }
    known = present;
    sound = louder(sound, soundOfGoodNews());
  }
  if (sound && !day.status?.training) ring(sound);
}

const quietLeft = () => Math.ceil((quietUntil - now()) / 1000);

/// What the button says.
export function soundText() {
  if (!maySound()) return "is OFF: tap";
  if (quietLeft() > 0) return `quiet ${quietLeft()} s`;
  return "is on";
}

/// What the head says: nothing when all is as it should be.
export function earText(isBrief) {
  if (day.status?.training && isBrief) return "TRAINING";
  if (!maySound()) return "SOUND OFF";
  const left = quietLeft();
  return left > 0 ? `quiet ${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}` : "";
}

/// The first tap allows sound, which browsers want; the next ones ask for two quiet minutes and end them.
export function quiet() {
  if (!maySound()) {
    allowSound();
    ring("low");
    tell("Sound is on. Tap again for two quiet minutes.");
  } else {
    quietUntil = isQuiet() ? 0 : now() + QUIET_MS;
  }
}
