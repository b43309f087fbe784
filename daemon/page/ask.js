// The one place where something is asked: fields, or a choice, or both. The upper half of the screen, for the keyboard
// takes the lower one; Begin's place says yes, Discard's place goes back, and the plate stays as one line.

import { $, fill, make, mark, set, show } from "./dom.js";

const FIELDS = [1, 2, 3];
const root = document.documentElement;
let asked = null;
let backTo = null; // what had the focus before

export const isAsking = () => asked !== null;
export const askedNow = () => asked;
export const values = () => FIELDS.map((i) => $("field" + i).value.trim());

function showFields(fields) {
  show("fields", fields.length > 0);
  for (const i of FIELDS) {
    const field = fields[i - 1];
    const input = $("field" + i);
    show(input.parentElement, Boolean(field));
    input.value = field?.value ?? "";
    mark(input, "placeholder", field?.empty ?? "");
    mark(input, "inputmode", field?.mode ?? "text");
    set("label" + i, field?.label ?? "");
  }
}

function choiceButton({ label, lines = [], run }) {
  const button = make("button", { type: "button" });
  const name = make("b");
  name.append(make("span", {}, label));
  button.append(name, make("span", {}, lines.join("\n")));
  button.addEventListener("click", run);
  return button;
}

let shown = 0;

/// What stands under the fields: a sentence, and buttons to choose from.
function offer(text, choices = []) {
  set("asktext", text);
  show("asktext", Boolean(text));
  show("planned", choices.length > 0);
  fill("planned", String(++shown), () => choices.map(choiceButton));
}

/// `fields`: [{ label, value, empty, mode }], at most three. `choices`: [{ label, lines, run }].
/// `done(values)` answers with a sentence on what is wrong, or with nothing: then the question is over. `primary`: the
/// word for yes; none: there is only the choice. `whole`: no keyboard will come, so that all of the screen is used.
/// `body`: elements of its own before the choices.
export function ask({ title, text = "", fields = [], choices = [], primary = "", does = "", done, whole, body }) {
  if (!asked) backTo = document.activeElement;
  asked = { primary, does, done };
  root.dataset.ask = "name";
  root.dataset.title = title;
  root.classList.toggle("choosing", !primary);
  root.classList.toggle("whole", Boolean(whole));
  root.classList.toggle("reading", Boolean(body));
  showFields(fields);
  offer(text, choices);
  if (body) {
    show("planned", true);
    const ways = make("p", { class: "ways" });
    ways.append(...choices.map(choiceButton));
    $("planned").replaceChildren(...body, ...(choices.length ? [ways] : []));
  }
  scrollTo(0, 0);
  const first = fields.length ? $("field1") : $("planned").querySelector("button");
  first?.focus({ preventScroll: true });
  if (fields.length) $("field1").select();
}

export function endAsking() {
  if (!asked) return;
  asked = null;
  root.dataset.ask = "";
  root.classList.remove("whole", "reading", "choosing");
  document.activeElement?.blur();
  backTo?.focus?.({ preventScroll: true });
}

/// Runs what was answered or chosen. A sentence, or { text, choices }, keeps the question; nothing ends it. Where it
/// led to another question, that one stands.
export async function settle(run) {
  const question = asked;
  const wrong = await run();
  if (asked !== question) return;
  if (wrong) offer(typeof wrong === "string" ? wrong : wrong.text, wrong.choices ?? []);
  else endAsking();
}

/// Yes: done, unless something is said against it.
export function answer() {
  const done = asked?.done;
  if (done) settle(() => done(values()));
}
