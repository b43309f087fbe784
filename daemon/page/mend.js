// Mending: what a point is called, or that it stands on the wrong mark, and since when the pole was another one.

import { ask, settle } from "./ask.js";
import { request } from "./control.js";
import { day } from "./day.js";
import { tell } from "./message.js";
import { sentence } from "./words.js";

const SAY_WHY = "Say why: the report shows it.";

/// The question stays where the name is taken or reads like another, with what would make it right beside it.
async function amend(params) {
  const { result, refused, question } = await request("amend", params);
  if (result) tell(sentence(result.text));
  const name = params.new_name;
  const again = (text, label, more) => {
    const run = () => settle(() => amend({ ...params, ...more }));
    return { text, choices: [{ label, lines: [name], run }] };
  };
  if (question?.question === "name-near") {
    return again(`${name} reads like ${question.candidate}. Is it another one?`, "It is new", { new: true });
  }
  if (refused && name && day.points.some((p) => p.point === name)) {
    return again(`${name} is known already. Is this another visit of it?`, "Again", { again: true });
  }
  return refused;
}

function askWhy(title, primary, params) {
  ask({
    title,
    fields: [{ label: "Reason", empty: "why" }],
    primary,
    does: ([reason]) => (reason ? "as said" : "say why"),
    done: ([reason]) => (reason ? amend({ ...params, reason }) : SAY_WHY),
  });
}

/// `of`: { name, visit, code, note }. The open point wants no reason: nothing of it is stored yet.
export function askAmend(of, isOpen = false) {
  ask({
    title: "Amend " + of.name,
    fields: [{ label: "Name", value: of.name }, { label: "Code", value: of.code ?? "", empty: "none" },
      { label: "Note", value: of.note ?? "", empty: isOpen ? "as before" : "none" }],
    primary: isOpen ? "Change" : "Go on",
    does: ([name]) => name || "needs a name",
    done: ([name, code, note]) => {
      if (!name) return "A point needs a name.";
      const params = { name: of.name, visit: of.visit };
      if (name !== of.name) params.new_name = name;
      if (code !== (of.code ?? "")) params.code = code;
      if (note !== (of.note ?? "")) params.note = note;
      if (isOpen) return amend(params);
      if (Object.keys(params).length === 2) return "Nothing is changed yet.";
      askWhy("Amend " + of.name, "Change", params);
      return "";
    },
  });
}

export const askVoid = (p) =>
  askWhy(`Make ${p.point} void`, "Void", { name: p.point, visit: p.visit, void: true });

const DAY_MS = 86400000;

/// The newest time not after the receiver's at which clocks here show this; null: it is no time of day.
export function utcOfClock(clock, now) {
  const parts = /^(\d{1,2}):(\d{2})$/.exec(clock);
  const at = new Date(now ?? NaN);
  if (!parts || isNaN(at) || Number(parts[1]) > 23 || Number(parts[2]) > 59) return null;
  const before = at.getTime();
  at.setHours(Number(parts[1]), Number(parts[2]), 0, 0);
  return new Date(at.getTime() > before ? at.getTime() - DAY_MS : at.getTime()).toISOString();
}
