// The one dialog that asks: a title, a sentence, at most one field, yes or back.

import { $, set } from "./dom.js";

let answerTo = null;

/// `done(value, again)` is called when the answer is yes.
export function ask({ title, text, yes, label = "", value = "", again = false, done }) {
  if ($("ask").open) return;
  set("asktitle", title);
  set("asktext", text);
  set("askyes", yes);
  set("asklabel", label);
  $("askfields").hidden = !label;
  $("againlabel").hidden = !again;
  $("askinput").value = value;
  $("again").checked = false;
  $("ask").returnValue = "";
  answerTo = done;
  $("ask").showModal();
  if (label) $("askinput").select();
  else $("askno").focus();
}

export function listenToDialog() {
  $("ask").addEventListener("close", () => {
    if ($("ask").open) return;
    const done = answerTo;
    answerTo = null;
    if ($("ask").returnValue === "yes") done?.($("askinput").value.trim(), $("again").checked);
  });
}
