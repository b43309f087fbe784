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
  counted: -Infinity, // when a second counted
  lost: true,
  stay: null, // the seconds of the open stay
  ages: [],
  errors: [], // of the open stay
  errorsOf: "",
  lastName: "",
  lastAlert: null, // that has ended
  points: [], // as the daemon holds them
  lostStays: [],
  marks: [],
  plan: [], // the planned points
  antenna: null,
  wanted: [null, null], // horizontal and vertical, as the last stay told it
  closing: "", // what the closing check came to
  closed: false,
};

export const openPoint = () => day.status?.occupation ?? null;
export const counts = () => !day.lost && day.situation.tone !== "refused";
export const everHeard = () => isFinite(day.heard);
export const heldPoints = () => day.points.filter((p) => p.status === "held");

/// Seconds of the open stay that are set apart.
export const setApart = () => (day.stay?.seconds ?? []).filter((second) => second[4] === 2).length;

/// How far east, north and up of the open stay's average its known mark lies, in millimetres; null: there is none.
export const markFromAverage = () => day.stay?.mark_mm?.map((v, i) => v - day.stay.mean_mm[i]) ?? null;

/// How far the average lies off the mark, horizontal, in millimetres; null: there is no mark.
export function offMark() {
  const mark = markFromAverage();
  return mark && Math.hypot(mark[0], mark[1]);
}

/// Why seconds do not count now, as codes.
export const reasonCodes = () => (day.status?.verdict?.reasons ?? []).map((each) => each.code);

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

function rememberAlert(before, alerts) {
  const ended = before.find((a) => !alerts.some((b) => b.id === a.id && b.key === a.key));
  if (ended) day.lastAlert = ended;
}

function rememberStay(stay) {
  if (!stay.check) day.lastName = stay.name;
  day.closed = false;
  day.wanted = [stay.wanted_error95_horizontal_m ?? null, stay.wanted_error95_vertical_m ?? null];
}

/// False: the frame waited somewhere, and what it says is old.
export function takeStatus(frame) {
  if (!ear.hear(frame.sent_ms)) return false;
  rememberAlert(day.status?.alerts ?? [], frame.status.alerts ?? []);
  day.status = frame.status;
  day.situation = frame.situation;
  day.heard = ear.heardAt();
  day.lost = false;
  if (counts()) day.counted = now();
  const t = now() / 1000;
  const correction = day.status.correction ?? {};
  // Our own clock tells no age, only for how long nothing has proved that corrections come.
  const seconds = correction.from === "own-clock" ? null : (correction.age_s ?? null);
  const age = { t, at: day.status.time_utc, age: seconds, state: correction.state, yes: counts() };
  push(day.ages, age, AGES);
  const stay = openPoint();
  rememberErrors(stay, t);
  if (stay) rememberStay(stay);
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
