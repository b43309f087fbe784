// The day as the daemon tells it, and what this page remembers of it. Everything else reads from here.

import { makeEar } from "./ear.js";

const AGES = 600;
const ERRORS = 1200;
const LOST_MS = 2100;
const APART_S = 0.8; // two rows of a drawing are no nearer

export const now = () => performance.now();
const ear = makeEar(now, () => Date.now(), LOST_MS);

export const day = {
  status: null,
  situation: null,
  heard: -Infinity, // when the last status came
  lost: true,
  stay: null, // the seconds of the open stay
  ages: [],
  errors: [], // of the open stay
  errorsOf: "",
  lastName: "",
};

export const openPoint = () => day.status?.occupation ?? null;
export const counts = () => !day.lost && day.situation.tone !== "refused";
export const everHeard = () => isFinite(day.heard);

/// Looks whether the daemon is still there; true: it is not.
export function lookForLoss() {
  day.lost = ear.lost();
  return day.lost;
}

function push(rows, row, most) {
  if (rows.length && row.t - rows[rows.length - 1].t < APART_S) return;
  rows.push(row);
  if (rows.length > most) rows.splice(0, rows.length - most);
}

function rememberErrors(stay, t) {
  const of = stay ? stay.name + "/" + stay.visit + "/" + stay.since_utc : "";
  if (of !== day.errorsOf) {
    day.errors = [];
    day.errorsOf = of;
  }
  if (!stay || stay.error95_horizontal_m == null) return;
  const row = { t, at: day.status.time_utc, plan: stay.error95_horizontal_m, height: stay.error95_vertical_m };
  push(day.errors, row, ERRORS);
}

/// False: the frame waited somewhere, and what it says is old.
export function takeStatus(frame) {
  if (!ear.hear(frame.sent_ms)) return false;
  day.status = frame.status;
  day.situation = frame.situation;
  day.heard = ear.heardAt();
  day.lost = false;
  const t = now() / 1000;
  const correction = day.status.correction ?? {};
  // Our own clock tells no age, only for how long nothing has proved that corrections come.
  const seconds = correction.from === "own-clock" ? null : (correction.age_s ?? null);
  const age = { t, at: day.status.time_utc, age: seconds, state: correction.state, yes: counts() };
  push(day.ages, age, AGES);
  const stay = openPoint();
  rememberErrors(stay, t);
  if (stay) day.lastName = stay.name;
  return true;
}

/// Seconds come as what was added since the last time.
export function takeStay(told) {
  if (!told) {
    day.stay = null;
    return;
  }
  const before = day.stay && told.from > 0 ? day.stay.seconds : [];
  before.length = Math.min(before.length, told.from);
  for (const each of told.seconds) before.push(each);
  day.stay = told;
  day.stay.seconds = before;
}
