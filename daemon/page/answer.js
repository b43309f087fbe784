// The answer: whether this second counts, what is wrong, what to do.

import { counts, day, everHeard, now } from "./day.js";
import { $, set } from "./dom.js";
import { isNumber, sentence } from "./words.js";

const SPOKEN_MS = 60000;
const SPOKEN = 4; // in that time

const seconds = (s, of) =>
  s < 1000 ? [String(Math.max(0, Math.floor(s))), "seconds " + of] : [String(Math.floor(s / 60)), "minutes " + of];

/// The large figure, and what it counts.
function figure() {
  if (day.lost) return everHeard() ? seconds((now() - day.heard) / 1000, "without the daemon") : ["", ""];
  const left = day.status.correction?.coast_left_s;
  if (day.situation.tone === "coasting" && isNumber(left)) return seconds(left, "left");
  return day.situation.percent == null ? ["", ""] : [String(day.situation.percent), "percent done"];
}

function stateWord(yes) {
  if (day.lost) return "lost";
  const enough = yes && day.situation.tone === "counts" && day.situation.percent === 100;
  return enough ? "enough" : day.situation.tone;
}

function whatAndAct() {
  if (!day.lost) return [day.situation.what, day.situation.act];
  if (!everHeard()) {
    return ["The daemon has not been heard yet.", "Wait; if nothing comes, see whether stillpointd runs."];
  }
  return [
    "The daemon does not answer: every value below is OLD.",
    "Wait; if it does not come back, start stillpointd again.",
  ];
}

function alsoText(yes) {
  const also = day.lost ? [] : day.situation.also;
  const advice = day.status?.occupation?.advice;
  if (also.length) return "Also: " + also[0] + (also.length > 1 ? " (+" + (also.length - 1) + " more)" : "");
  return yes && advice ? sentence(advice) : "";
}

export function showAnswer() {
  const yes = counts();
  const training = Boolean(day.status?.training);
  const answer = $("answer");
  const state = stateWord(yes);
  if (answer.dataset.state !== state) answer.dataset.state = state;
  answer.classList.toggle("training", training);
  set("question", (training ? "TRAINING. " : "") + "Does this second count?");
  set("verdict", yes ? "YES" : "NO");
  const [digits, of] = figure();
  set("figure", digits);
  set("of", of);
  const [what, act] = whatAndAct();
  set("what", what);
  set("act", act);
  set("also", alsoText(yes));
  document.title = (yes ? "YES" : "NO") + " - Stillpoint";
  document.documentElement.classList.toggle("old", day.lost);
  if (everHeard()) say((yes ? "Yes. " : "No. ") + what + " " + act, yes + day.situation?.tone);
}

let said = [];
let saidKey = "";

/// For a screen reader, at most four times a minute: the newest words win, and those of the same state are not said
/// again.
function say(text, key) {
  if (key === saidKey) return;
  const t = now();
  said = said.filter((each) => t - each < SPOKEN_MS);
  if (said.length >= SPOKEN) return;
  said.push(t);
  saidKey = key;
  set("said", text);
}
