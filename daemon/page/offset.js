// A point that nobody can stand on: from one kept point by distance and bearing, or from two by their distances.

import { ask, settle } from "./ask.js";
import { request } from "./control.js";
import { day } from "./day.js";
import { tell } from "./message.js";
import { distance } from "./words.js";

// What is offered for the errors, 1 sigma: a tape and a hand compass. Common practice, no source.
const TAPE_M = "0.02";
const COMPASS_DEG = "2";
const TITLE = "Offset point";
const NO_HEIGHT = "not measured";

const typed = (text) => (text === "" ? NaN : Number(text.replace(",", ".")));

/// What was typed, as numbers by name; a sentence on the first that is none. Empty ones that may be are left out.
function numbers(fields) {
  const out = {};
  for (const [key, what, text, mayBeEmpty] of fields) {
    if (text === "" && mayBeEmpty) continue;
    out[key] = typed(text);
    if (!isFinite(out[key])) return { wrong: `Type the ${what} as a number, such as 4.20 or 4,20.` };
  }
  return out;
}

/// A name that reads like a known one is asked about; any other refusal stays in the question.
async function make(params) {
  const { result, refused, question, text } = await request("offset", params);
  if (question?.question === "name-near") {
    const run = () => settle(() => make({ ...params, new: true }));
    return {
      text: `${params.name} reads like ${question.candidate}. Is it another one?`,
      choices: [{ label: "It is new", lines: [params.name], run }],
    };
  }
  if (result) tell(text);
  return refused;
}

const stayOf = (p) => ({ name: p.point, visit: p.visit });
export const mayBeMeasuredFrom = (p) => !p.offset && p.status !== "rejected" && p.latitude_deg !== null;

function askBearing(params) {
  ask({
    title: TITLE,
    text:
      "Degrees clockwise from true north. A compass shows magnetic north: then type its declination too, east is " +
      "positive.",
    fields: [
      { label: "Bearing", mode: "decimal", empty: "degrees" },
      { label: "± degrees", mode: "decimal", value: COMPASS_DEG },
      { label: "Declination", empty: "true north" },
    ],
    primary: "Make",
    does: ([bearing]) => (bearing ? params.name : "type it"),
    done: ([bearing, error, declination]) => {
      const { wrong, ...read } = numbers([
        ["bearing_deg", "bearing", bearing],
        ["bearing_error_deg", "error", error],
        ["declination_deg", "declination", declination, true],
      ]);
      return wrong ?? make({ ...params, ...read, north: declination ? "magnetic" : "true" });
    },
  });
}

function askSide(params) {
  const [first, second] = params.from.map((stay) => stay.name);
  const side = (name) => ({ label: name, lines: ["of the way"], run: () =>
    settle(() => make({ ...params, side: name.toLowerCase() })) });
  ask({
    title: TITLE,
    text: `On which side is it, as you look from ${first} to ${second}?`,
    whole: true,
    choices: [side("Left"), side("Right")],
  });
}

function askSecondDistance(params, stay) {
  ask({
    title: TITLE,
    text: `From ${stay.name}, horizontal.`,
    fields: [
      { label: "Distance, m", mode: "decimal", empty: "metres" },
      { label: "± metres", mode: "decimal", value: TAPE_M },
    ],
    primary: "Go on",
    does: ([far]) => (far ? "the side" : "type it"),
    done: ([far, error]) => {
      const { wrong, ...read } = numbers([["distance_m", "distance", far], ["error_m", "error", error]]);
      if (wrong) return wrong;
      askSide({ ...params, from: [...params.from, { ...stay, ...read }] });
      return "";
    },
  });
}

function askSecond(params, choose) {
  const others = [...day.points].reverse().filter((p) => mayBeMeasuredFrom(p) && p.point !== params.from[0].name);
  if (!others.length) return "No other kept point: keep one first, or take a bearing.";
  const points = others.map((p) => ({ label: p.point, lines: [p.status, ""], run: () =>
    askSecondDistance(params, stayOf(p)) }));
  choose(TITLE, "Choose the second kept point.", points);
  return "";
}

function askWay(params, choose) {
  ask({
    title: TITLE,
    text: `${distance(params.from[0].distance_m)} from ${params.from[0].name}: what else was measured?`,
    whole: true,
    choices: [
      { label: "Bearing", lines: ["from", "there"], run: () => askBearing(params) },
      { label: "Distance", lines: ["from another", "point"], run: () => settle(() => askSecond(params, choose)) },
    ],
  });
}

function askDistance(p, name, code, choose) {
  ask({
    title: TITLE,
    text: `From ${p.point}, horizontal. Errors are 1 sigma; the one offered is common practice, no source. Without a ` +
      "height difference the point gets no height.",
    fields: [
      { label: "Distance, m", mode: "decimal", empty: "metres" },
      { label: "± metres", mode: "decimal", value: TAPE_M },
      { label: "Higher, m", empty: NO_HEIGHT },
    ],
    primary: "Go on",
    does: ([far]) => (far ? "the rest" : "type it"),
    done: ([far, error, higher]) => {
      const { wrong, up_m: up, ...read } = numbers([
        ["distance_m", "distance", far],
        ["error_m", "error", error],
        ["up_m", "height difference", higher, true],
      ]);
      if (wrong) return wrong;
      const params = { name, from: [{ ...stayOf(p), ...read }] };
      if (code) params.code = code;
      if (up !== undefined) params.up_m = up;
      askWay(params, choose);
      return "";
    },
  });
}

/// From a kept point. `choose(title, text, choices)`: shows as many as there is room for.
export function askOffset(p, choose) {
  ask({
    title: TITLE,
    text: `What nobody can stand on, measured from ${p.point}.`,
    fields: [{ label: "Name" }, { label: "Code", empty: "none" }],
    primary: "Go on",
    does: ([name]) => name || "needs a name",
    done: ([name, code]) => {
      if (!name) return "A point needs a name.";
      askDistance(p, name, code, choose);
      return "";
    },
  });
}

/// From what it was measured; empty: somebody stood there.
export function offsetText(p) {
  if (!p.offset) return "";
  const from = p.offset.from.map((stay) => `${stay.distance_m.toFixed(3)} m from ${stay.name}`).join(", ");
  const bearing = p.offset.bearing_true_deg;
  return from + (bearing === null ? `, ${p.offset.side}` : `, ${bearing.toFixed(1)}° true`);
}
