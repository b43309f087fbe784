// A new point: its name, its code and a note. The next free name stands there already.

import { ask, settle } from "./ask.js";
import { request } from "./control.js";
import { day } from "./day.js";
import { lastKept, plannedFirst } from "./lists.js";
import { tell } from "./message.js";
import { isLow, layoutName } from "./size.js";
import { distance, wind } from "./words.js";

/// The number behind a name, one higher; empty where that would need a digit more.
function follower(name) {
  const parts = /^(.*?)([0-9]+)$/.exec(name ?? "");
  if (!parts) return "";
  const number = String(BigInt(parts[2]) + 1n);
  return number.length > parts[2].length ? "" : parts[1] + number.padStart(parts[2].length, "0");
}

function nextFreeName() {
  const taken = new Set(day.points.map((p) => p.point));
  let name = day.lastName || lastKept()?.point || "";
  do name = follower(name);
  while (taken.has(name));
  return name;
}

const parameters = ([name, code, note]) => ({ name, ...(code && { code }), ...(note && { note }) });

async function start(params) {
  const { result, text, refused, question } = await request("begin", params);
  if (result) tell(text);
  if (question?.question === "name-near") {
    const why = `${params.name} reads like ${question.candidate}. Use that name, or say that this one is new.`;
    return refusal(why, "It is new", { ...params, new: true });
  }
  if (refused && day.points.some((p) => p.point === params.name)) {
    return refusal(`${params.name} is known already. Choose another name, or visit it again.`, "Again", {
      ...params,
      again: true,
    });
  }
  return refused;
}

/// The question stays, with what would make it right beside it.
function refusal(text, label, params) {
  const run = () => settle(() => start(params));
  return { text, choices: [{ label, lines: [params.name], run }] };
}

const HERE_M = 10; // a planned point that is farther is asked about
const PLANNED = { wide: 4, tall: 3, small: 3, phone: 2 }; // that have room in one row

const LETTERS = { wide: 12, tall: 11, small: 10, phone: 8 }; // of a name on such a button

/// Names of one plan differ at their ends.
function brief(name) {
  const most = LETTERS[layoutName()];
  return name.length > most ? "…" + name.slice(1 - most) : name;
}

const hasOneLine = () => ["small", "phone"].includes(layoutName()) || isLow();

/// The planned points that are nearest; a tap begins one.
function planned() {
  return plannedFirst().slice(0, PLANNED[layoutName()]).map((p) => {
    const isBrief = hasOneLine();
    const way = p.far_m === null ? [distance(null)] : [distance(p.far_m), wind(p.towards_deg, isBrief)];
    const again = p.state === "again" ? { again: true } : {};
    const params = { ...parameters([p.point, p.code, p.note]), ...again };
    const far = `${p.point} is planned ${way.join(" ")} of here: is it the right point?`;
    const run = () => settle(() => (p.far_m > HERE_M ? refusal(far, "Begin", params) : start(params)));
    return { label: brief(p.point), lines: isBrief ? [way.join(" ")] : way, run };
  });
}

export function askName() {
  ask({
    title: "New point",
    fields: [{ label: "Name", value: nextFreeName() }, { label: "Code", value: lastKept()?.code ?? "", empty: "none" },
      { label: "Note", empty: "none" }],
    primary: "Start",
    does: ([name]) => name || "needs a name",
    choices: planned(),
    done: (values) => (values[0] ? start(parameters(values)) : "A point needs a name."),
  });
}
