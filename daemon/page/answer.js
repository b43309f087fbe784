// The head, the plate and its sentences: whether this second counts, what is wrong, what to do.

import { alertLine, unseenAlerts } from "./alerts.js";
import { counts, day, everHeard, now, openPoint } from "./day.js";
import { $, set, show } from "./dom.js";
import { poleText } from "./lists.js";
import { told } from "./message.js";
import { layoutName } from "./size.js";
import { earText } from "./sound.js";
import { collected, figureNow, titleNow, toneNow, wordNow } from "./state.js";
import { clock, firm, sentence, shortClock, zone } from "./words.js";

const SPOKEN_MS = 60000;
const SPOKEN = 4; // in that time
const root = document.documentElement;

function whatAndAct() {
  if (!day.lost) return [day.situation.what, day.situation.act];
  if (!everHeard()) return ["Stillpoint has not been heard yet.", "Wait. If nothing comes, start Stillpoint."];
  return [
    "Stillpoint does not answer: every value here is OLD.",
    "Wait. If it does not come back, start Stillpoint again.",
  ];
}

function alsoText() {
  if (day.lost) return "";
  const also = day.situation.also;
  if (also.length) return also[0] + (also.length > 1 ? " (+" + (also.length - 1) + " more)" : "");
  return collected() || sentence(openPoint()?.advice);
}

const isCut = (element) => element.scrollHeight > element.clientHeight + 1;

/// Gives up the last words until there is room.
function shorten(id, text) {
  let words = text;
  while (isCut($("says")) && words.includes(" ")) {
    words = words.slice(0, words.lastIndexOf(" "));
    set(id, firm(words + "…"));
  }
}

/// In the last rows of the values, which are hidden for its time; empty: nothing is told there.
function tellBelow(text) {
  set("reply", firm(text));
  show("reply", text !== "");
  const rows = [...$("values").children].filter((row) => row.clientHeight);
  const covered = text && rows.length ? Math.ceil($("reply").offsetHeight / rows[0].offsetHeight) : 0;
  rows.forEach((row, i) => row.classList.toggle("covered", i >= rows.length - covered));
}

/// The third line goes first, but for a reply; then the sentences get the size of everything else; then a reply goes
/// below or gives up words, and at last what is so does. What to do stays whole.
function showSentences(what, act, also, reply) {
  const says = $("says");
  set("what", firm(what));
  set("act", firm(act));
  set("also", firm(reply || also));
  says.classList.remove("tight");
  show("also", Boolean(reply || also));
  if (isCut(says) && !reply) show("also", false);
  if (isCut(says)) says.classList.add("tight");
  const isBelow = Boolean(reply) && isCut(says) && $("values").clientHeight > 0;
  if (isBelow) {
    says.classList.remove("tight");
    show("also", false);
    if (isCut(says)) says.classList.add("tight");
  }
  tellBelow(isBelow ? reply : "");
  if (reply && !isBelow) shorten("also", reply);
  if (isCut(says)) show("also", false);
  shorten("what", what);
}

const hasRoom = () => ["wide", "tall"].includes(layoutName());

function showTime(utc) {
  const phone = layoutName() === "phone";
  set("time", phone ? shortClock(utc) : clock(utc));
  set("zone", phone ? "" : " " + zone(utc));
}

/// Whole things go from the head when there is no room.
function showHead() {
  const head = $("head");
  set("point", root.dataset.ask === "name" ? root.dataset.title : titleNow(layoutName() === "phone"));
  set("project", hasRoom() ? (day.status?.project ?? "") : "");
  set("pole", day.status ? poleText() : "");
  set("ear", day.closed ? "DAY CLOSED" : earText(!hasRoom()));
  showTime(day.status?.time_utc);
  for (const id of ["project", "zone", "pole"]) show(id, $(id).textContent !== "");
  for (const id of ["project", "zone", "pole"]) if (head.scrollWidth > head.clientWidth) show(id, false);
  if (head.scrollWidth > head.clientWidth) set("time", shortClock(day.status?.time_utc));
}

/// While something is asked an alert takes the place of the figure; where there is no head, the pole is told here.
function meaningBesideQuestion(of) {
  const alert = unseenAlerts()[0];
  root.classList.toggle("alerted", Boolean(alert));
  if (alert) return alertLine(alert);
  return hasRoom() ? of : poleText();
}

function showPlate(word, tone) {
  const answer = $("answer");
  const [digits, unit, of] = figureNow();
  const training = Boolean(day.status?.training);
  if (answer.dataset.tone !== tone) answer.dataset.tone = tone;
  answer.dataset.digits = String(digits.length);
  answer.dataset.unit = unit.length > 1 ? "long" : "";
  if (answer.dataset.word !== word.toLowerCase()) answer.dataset.word = word.toLowerCase();
  root.classList.toggle("training", training);
  root.classList.toggle("old", day.lost);
  show("tag", training);
  show("asked", !(training && layoutName() === "tall"));
  set("asked", openPoint() ? "Does this second count?" : "Ready to measure?");
  set("verdict", word);
  set("digits", digits);
  set("unit", unit);
  set("of", firm(root.dataset.ask === "name" ? meaningBesideQuestion(of) : of));
}

export function showAnswer() {
  const word = wordNow();
  const tone = toneNow();
  const [what, act] = whatAndAct();
  showHead();
  showPlate(word, tone);
  showSentences(what, act, alsoText(), told());
  // What stays in sight when the page is scrolled.
  set("lineword", word);
  set("linesays", what);
  document.title = word + " - Stillpoint";
  if (everHeard()) say(`${word[0]}${word.slice(1).toLowerCase()}. ${what} ${act}`, counts() + tone);
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
