// What More opens and asks about: checks on marks, held points, the pole, closing the day, the points, help.

import { ask, settle } from "./ask.js";
import { mayAct, request } from "./control.js";
import { day, heldPoints, openPoint } from "./day.js";
import { make } from "./dom.js";
import { lostSentences, nearestFirst, poleText, refreshLists } from "./lists.js";
import { askAmend, askVoid, utcOfClock } from "./mend.js";
import { tell } from "./message.js";
import { askOffset, mayBeMeasuredFrom, offsetText } from "./offset.js";
import { isNarrow, layoutName } from "./size.js";
import { distance, isNumber, metres, shortClock, wind } from "./words.js";

const MOST = { wide: 12, tall: 12, small: 6, phone: 8 }; // choices at once
const MOST_NARROW = 8;

/// Does it, and says in the third line what came of it; a refusal stays in the question.
async function act(method, params) {
  const { text, refused } = await request(method, params);
  if (refused !== undefined) return refused;
  tell(text);
  return "";
}

const way = ({ far_m: far, towards_deg: towards }) =>
  far === null ? ["how far is", "not known"] : [distance(far), wind(towards)];

/// A choice from all that there are, the first ones first, the others behind "More".
function choose(title, text, choices, from = 0) {
  const rest = choices.length - from;
  const most = isNarrow() ? MOST_NARROW : MOST[layoutName()];
  const some = choices.slice(from, rest > most ? from + most - 1 : choices.length);
  const more = { label: "More", lines: [`${rest - some.length} more`], run: () =>
    choose(title, text, choices, from + some.length) };
  ask({ title, text, whole: true, choices: rest > some.length ? [...some, more] : some });
}

export function askCheck(closing = false) {
  const begin = (mark) => () => settle(() => act("check", closing ? { mark, closing } : { mark }));
  const marks = nearestFirst(day.marks).map((m) => ({ label: m.mark, lines: way(m), run: begin(m.mark) }));
  const title = closing ? "Closing check" : "Check on a mark";
  if (!marks.length) return ask({ title, text: "No marks are set in the configuration.", whole: true });
  choose(title, "Stand on the mark with the pole upright, then choose it.", marks);
}

/// A decision wants its reason. One that misses the wanted error is asked about once more.
function askReason(point, accept) {
  const decide = async (params) => {
    const { text, refused, question } = await request("resolve", params);
    if (question?.question === "wanted-missed") {
      const sure = () => settle(() => decide({ ...params, sure: true }));
      const size = `${metres(question.error95_horizontal_m)} and ${metres(question.error95_vertical_m)}`;
      const why = `${point.point} misses the wanted error: ${size} (95 %). Accept it although?`;
      return { text: why, choices: [{ label: "Accept", lines: ["although"], run: sure }] };
    }
    if (refused !== undefined) return refused;
    tell(text);
    return "";
  };
  ask({
    title: (accept ? "Accept " : "Reject ") + point.point,
    fields: [{ label: "Reason" }],
    text: point.reason_texts?.[0] ?? "",
    primary: accept ? "Accept" : "Reject",
    does: ([reason]) => (reason ? point.point : "say why"),
    done: ([reason]) =>
      reason ? decide({ name: point.point, visit: point.visit, accept, reason }) : "Say why: the report shows it.",
  });
}

function askDecision(point) {
  ask({
    title: "Decide " + point.point,
    text: `Held: ${(point.reason_texts ?? []).join("; ")}.`,
    whole: true,
    choices: [
      { label: "Accept", lines: ["all the", "same"], run: () => askReason(point, true) },
      { label: "Reject", lines: ["not to", "be used"], run: () => askReason(point, false) },
    ],
  });
}

/// Horizontal and vertical error, short.
function sizes(p) {
  const both = [p.error95_horizontal_m, p.error95_vertical_m];
  if (isNumber(both[0]) && both[1] === null) return metres(both[0]);
  if (!both.every(isNumber)) return "not known";
  const small = both.every((v) => v < 0.0995);
  return both.map((v) => (small ? (v * 1000).toFixed(0) : v.toFixed(2))).join(", ") + (small ? " mm" : " m");
}

export function askHeld() {
  const held = heldPoints().map((p) => ({
    label: p.point,
    lines: [shortClock(p.finished_utc), sizes(p)],
    run: () => askDecision(p),
  }));
  if (!held.length) return ask({ title: "Held points", text: "No point waits for a decision.", whole: true });
  choose("Held points", "Choose one to decide.", held);
}

const metresHigh = (v) => (isNumber(v) ? v.toFixed(3) + " m" : "not known");

/// The height that is set on the pole, where the parts name one; else that of the antenna above the mark.
export function askPole() {
  const hasPole = isNumber(day.antenna?.parts?.pole);
  const what = hasPole ? "that is set on the pole" : "of the antenna above the mark";
  ask({
    title: "Pole",
    text: `Now ${poleText()}, antenna ${metresHigh(day.status?.antenna_height_m)} above the mark.`,
    fields: [{ label: hasPole ? "Pole, m" : "Antenna, m", mode: "decimal", empty: "height" },
      { label: "Reason", empty: "why" }, { label: "Wrong since", empty: "no, from now on; or HH:MM" }],
    primary: "Change",
    does: ([height]) => (height ? height + " m" : "type it"),
    done: ([height, reason, since]) => {
      const height_m = Number(height.replace(",", "."));
      if (!height || !isFinite(height_m)) return `Type the height ${what}, in metres.`;
      if (!reason) return "Say why: the report shows it.";
      if (!since) return act("pole", { height_m, reason });
      const since_utc = utcOfClock(since, day.status?.time_utc);
      if (!since_utc) return "Say since when as HH:MM, or leave it empty.";
      return act("pole", { height_m, reason, since_utc });
    },
  });
}

async function close(params) {
  const { text, refused } = await request("close_day", params);
  if (refused !== undefined) return refused;
  day.closed = true;
  day.closing = "";
  ask({ title: "The day is closed", text, whole: true });
  return "";
}

/// Closing may want to be told why something is left as it is.
function askLeaving(why) {
  ask({
    title: "Close the day",
    text: why,
    fields: [{ label: "Left so, because" }],
    primary: "Close",
    does: ([reason]) => (reason ? "so" : "say why"),
    done: ([reason]) => {
      if (!reason) return why;
      return close(heldPoints().length ? { leave_held: reason } : { leave_record: reason });
    },
  });
}

export function askClose() {
  const held = heldPoints().length;
  const first = day.marks.length ? "A check on a mark comes last, then the day is closed." : "";
  const decide = held ? [{ label: "Held", lines: [`decide ${held}`], run: askHeld }] : [];
  const check = day.marks.length ? [{ label: "Check", lines: ["the closing", "one"], run: () => askCheck(true) }] : [];
  ask({
    title: "Close the day",
    text: day.closing ? `The closing check: ${day.closing}.` : first,
    whole: true,
    choices: [...decide, ...check],
    primary: "Close",
    does: "the day",
    done: async () => {
      const wrong = await close({});
      if (!wrong) return "";
      return { text: wrong, choices: [...decide, ...check,
        { label: "Leave so", lines: ["and say why"], run: () => askLeaving(wrong) }] };
    },
  });
}

/// Of the stays that left nothing the newest, and how many more.
function lostText() {
  const [newest, ...rest] = lostSentences();
  return (newest ? " " + newest : "") + (rest.length ? ` (+${rest.length} more)` : "");
}

export async function askPoints() {
  await refreshLists();
  const points = [...day.points].reverse().map((p) => ({
    label: p.point,
    lines: [p.status, sizes(p)],
    run: () => showPoint(p),
  }));
  const open = openPoint();
  const rename = () => askAmend(open, true);
  if (open && !open.check) points.unshift({ label: open.name, lines: ["open", "amend it"], run: rename });
  const lost = lostText();
  if (!points.length) return ask({ title: "Points", text: "No point is kept yet." + lost, whole: true });
  const here = day.status?.epoch;
  const live = isNumber(here?.latitude_deg) && ["wide", "tall"].includes(layoutName())
    ? ` The pole now: ${here.latitude_deg.toFixed(7)}, ${here.longitude_deg.toFixed(7)} in the receiver's frame.`
    : "";
  choose("Points", `${day.points.length} points, the newest first, with their errors (95 %).${lost}${live}`, points);
}

const degrees = (v) => (isNumber(v) ? v.toFixed(9) + "°" : "not known");

const row = (name, value) => {
  const line = make("p");
  line.append(make("span", {}, name), make("b", {}, value));
  return line;
};

function showPoint(p) {
  const place = p.easting_m == null ? [["Latitude", degrees(p.latitude_deg)], ["Longitude", degrees(p.longitude_deg)]]
    : [["Easting", p.easting_m.toFixed(3) + " m"], ["Northing", p.northing_m.toFixed(3) + " m"]];
  const height = p.orthometric_height_m ?? p.ellipsoid_height_m;
  const rows = [["Status", p.status], ["Kept at", shortClock(p.finished_utc)], ...place,
    ["Height", height == null ? (p.offset ? "not measured" : "not known") : height.toFixed(3) + " m"],
    ["Horizontal, 95 %", metres(p.error95_horizontal_m)], ["Vertical, 95 %", metres(p.error95_vertical_m)],
    ...(p.offset ? [["Measured", offsetText(p)]] : []),
    ["Code", p.code || "none"], ["Note", p.note || "none"]];
  const choices = [{ label: "Amend", lines: ["name, code,", "note"], run: () => askAmend({ ...p, name: p.point }) }];
  if (p.status === "accepted") {
    choices.push({ label: "Void", lines: ["it is the", "wrong mark"], run: () => askVoid(p) });
  }
  if (mayBeMeasuredFrom(p)) {
    choices.push({ label: "Offset", lines: ["what nobody", "can stand on"], run: () => askOffset(p, choose) });
  }
  ask({ title: p.point, whole: true, body: rows.map(([name, value]) => row(name, value)), choices });
}

const HELP = [
  ["1", "begins a point; 2 keeps it; hold 3 for one second to discard it."],
  ["U", "takes back a hold within five seconds."],
  ["A", "the alert is seen and falls silent. M: more acts. N: next drawing."],
  ["S", "quiet for 2 min: only new alerts sound. T: dusk. ?: this help."],
  ["Sounds", "3 and 2 falling: stop; 2 level: warning; 2 rising: good news."],
  ["Plate", "white is good, hatched counts on late corrections, dark does not count."],
];

/// `resize(factor)` changes the size of a millimetre.
export function askHelp(resize, millimetre) {
  const ruler = make("p", { id: "ruler" });
  ruler.append(make("b"), "This bar is 50 mm long when the size is right: hold a ruler to it.");
  const keys = HELP.map(([name, text]) => {
    const line = make("p", { class: "key" });
    line.append(make("b", {}, name), make("span", {}, text));
    return line;
  });
  const button = (name, factor) => {
    const made = make("button", { type: "button" });
    made.append(make("b", {}, name), make("span", {}, "the millimetre"));
    made.addEventListener("click", () => resize(factor));
    return made;
  };
  const two = make("p", { id: "sizes" });
  two.append(button("Smaller", 1 / 1.02), button("Larger", 1.02));
  const key = mayAct() ? "" : " This page may only look: Begin asks for the key.";
  ask({ title: "Help and size", text: `A millimetre is ${millimetre.toFixed(2)} px here.${key}`, whole: true,
    body: [...keys, ruler, two] });
}
