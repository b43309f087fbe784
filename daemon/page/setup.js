// The set-up: one question a screen, as the daemon asks it. Which questions there are, what they propose and which
// answers can be taken is decided there; this file decides places only.

import { $, fill, make, mark, set, show } from "./dom.js";
import { call, forgetProof, takeProof } from "./proof.js";
import { fit, resize, restoreSize } from "./size.js";
import { tryIt } from "./tones.js";

const LOOK_MS = 700; // between two looks while the daemon listens
const MOST = 6; // choices at once

let standing = null;
let act = {}; // what the three ways on do now
let waits = false;

/// `lines`: of one kind of text, each an element of its own.
const tellLines = (id, lines) => fill(id, JSON.stringify(lines), () => lines.map((line) => make("p", {}, line)));

function way(id, { label, line = "", run, filled = false, needsText = false } = {}) {
  show(id, Boolean(run));
  act[id] = run;
  if (!run) return;
  if (id === "next") Object.assign(act, { isFilled: filled, needsText, line });
  const [name, below] = $(id).children;
  set(name, label);
  set(below, line);
}

function choiceButton(choice, isProposed, run) {
  const button = make("button", { type: "button" });
  if (isProposed) button.className = "next";
  button.append(make("b", {}, choice.label), make("span", {}, choice.line));
  button.addEventListener("click", run);
  return button;
}

/// One screen. `choices`: [{ label, line, run, isProposed }]; `field`: its label, none: nothing is typed.
function screen({ number = "", ask, said = [], wrong, hints = [], choices = [], field, body = [], ways }) {
  set("number", number);
  set("ask", ask);
  tellLines("said", said);
  set("wrong", wrong);
  tellLines("hints", hints);
  show("said", said.length > 0);
  show("wrong", Boolean(wrong));
  show("hints", hints.length > 0);
  show("choices", choices.length > 0);
  $("choices").replaceChildren(...choices.map((each) => choiceButton(each, each.isProposed, each.run)));
  show("body", body.length > 0);
  $("body").replaceChildren(...body);
  show("type", Boolean(field));
  set("typelabel", field ?? "");
  if (field && !wrong) $("typed").value = "";
  act = {};
  for (const id of ["back", "unknown", "next"]) way(id, ways[id]);
  allowNext();
  if (wrong) return;
  scrollTo(0, 0);
  (field && choices.length === 0 ? $("typed") : $("ask")).focus({ preventScroll: true });
}

/// Without a proposal there is nothing to go on with before something is typed.
function allowNext() {
  const isEmpty = act.next && act.needsText && $("typed").value.trim() === "";
  mark("next", "aria-disabled", String(Boolean(isEmpty)));
  $("next").classList.toggle("next", Boolean(act.next && act.isFilled && !isEmpty));
  const isTyped = !$("type").hidden && $("typed").value.trim() !== "";
  if (act.next) set($("next").lastElementChild, isTyped ? "what is typed" : act.line);
}

/// Asks the daemon, and shows how the set-up stands then.
async function send(params) {
  if (waits) return;
  waits = true;
  try {
    const response = await call("setup", params);
    if (response.headers.get("Stillpoint-Key")) return askKey();
    const reply = await response.json();
    if (reply.error) return location.reload(); // the day has begun
    standing = reply.result;
    if (params.begin) return waitForDay();
    showStanding();
  } catch {
    screen({ ask: "Stillpoint does not answer.", hints: ["It is tried again every second."], ways: {} });
    setTimeout(() => send({}), 1000);
  } finally {
    waits = false;
  }
}

async function exchange(key) {
  const wrong = await takeProof(key);
  if (wrong) askKey(wrong);
  else send({});
}

function askKey(wrong = "") {
  forgetProof();
  screen({
    ask: "Which key does this page have?",
    wrong,
    hints: ["The set-up needs the key that lies beside Stillpoint's control socket. It is good for one browser."],
    field: "Key",
    ways: {
      next: {
        label: "Allow",
        line: "this browser",
        filled: true,
        needsText: true,
        run: () => exchange($("typed").value),
      },
    },
  });
}

const answer = (typed) => send({ answer: typed });

function showQuestion(showsAll = false) {
  const { number, ask, hints, choices, proposed, said, wrong, may_be_unknown: mayBeUnknown, id } = standing;
  const offered = choices.find((choice) => choice.typed === proposed);
  const isChoice = choices.length > 0;
  const mustChoose = ["silent", "overwrite", "position"].includes(id);
  const some = choices.length > MOST && !showsAll ? choices.slice(0, MOST - 1) : choices;
  const buttons = some.map((choice) => ({
    ...choice,
    isProposed: choice.typed === proposed,
    run: () => answer(choice.typed),
  }));
  const rest = choices.length - some.length;
  if (rest) buttons.push({ label: "More", line: `${rest} more`, run: () => showQuestion(true) });
  screen({
    number: `question ${number}`,
    ask,
    said,
    wrong,
    hints,
    choices: buttons,
    field: mustChoose ? "" : isChoice ? "Or type it" : "Type it",
    ways: {
      back: number > 1 ? { label: "Back", line: "one question", run: () => send({ back: true }) } : {},
      unknown: mayBeUnknown ? { label: "Not known", line: "goes on without", run: () => answer("?") } : {},
      next: mustChoose
        ? {}
        : {
            label: "Next",
            line: proposed ? `takes ${offered?.label ?? proposed}` : "when it is typed",
            filled: true,
            needsText: !proposed,
            run: () => answer($("typed").value),
          },
    },
  });
}

function ruler() {
  const bar = make("p", { id: "ruler" });
  bar.append(make("b"), "This bar is 50 mm long when the size is right: hold a ruler to it.");
  const sizes = [["Smaller", 1 / 1.02], ["Larger", 1.02]].map(([name, factor]) =>
    choiceButton({ label: name, line: "the millimetre" }, false, () => {
      resize(factor);
    }),
  );
  const sound = choiceButton({ label: "Sound", line: "hear it once" }, false, () => tryIt());
  const row = make("p", { id: "sizes" });
  row.append(...sizes, sound);
  return [bar, row];
}

/// At the end: what the day can and cannot do, the sound, the ruler, and the first check.
function showWritten() {
  const { path, day, faults, has_marks: hasMarks } = standing;
  const isUsable = faults.length === 0;
  const back = { label: "Back", line: "to the questions", run: () => send({ back: true }) };
  if (!isUsable) {
    return screen({
      ask: "No day can begin yet.",
      said: [`${path} is written. This is still to be put right:`],
      hints: faults,
      ways: { back },
    });
  }
  screen({
    ask: "The configuration is in order.",
    said: day,
    body: ruler(),
    ways: {
      back,
      next: {
        label: "Begin",
        line: hasMarks ? "with a check" : "the day",
        filled: true,
        run: () => send({ begin: true }),
      },
    },
  });
}

function showStanding() {
  const { stage, busy, path } = standing;
  if (stage === "asking") return showQuestion();
  if (stage === "written") return showWritten();
  if (stage === "left") {
    const back = { label: "Back", line: "to the questions", run: () => send({ back: true }) };
    return screen({ ask: `${path} is left as it is.`, hints: ["Nothing was written."], ways: { back } });
  }
  screen({ ask: busy, hints: ["This takes up to half a minute."], ways: {} });
  setTimeout(() => send({}), LOOK_MS);
}

/// The daemon begins the day, and serves its page at the same place.
async function waitForDay() {
  screen({ ask: "The day begins.", ways: {} });
  const isThere = await fetch("/antenna").then((response) => response.ok, () => false);
  if (!isThere) return setTimeout(waitForDay, LOOK_MS);
  location.replace(standing.has_marks ? "/#check" : "/");
  location.reload();
}

function start() {
  restoreSize();
  addEventListener("resize", fit);
  $("setup").addEventListener("submit", (e) => {
    e.preventDefault();
    if ($("next").getAttribute("aria-disabled") !== "true") act.next?.();
  });
  $("typed").addEventListener("input", allowNext);
  for (const id of ["back", "unknown"]) $(id).addEventListener("click", () => act[id]?.());
  const given = /^#key=(.+)$/.exec(location.hash);
  if (given) history.replaceState(null, "", "/");
  if (given) exchange(decodeURIComponent(given[1]));
  else send({});
}

start();
