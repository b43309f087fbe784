// What the page asks of the daemon, and the key that allows it.

import { day } from "./day.js";
import { ask } from "./dialog.js";
import { kept } from "./kept.js";
import { tell } from "./message.js";
import { sentence } from "./words.js";

const PATIENCE_MS = 20000;
let proof = kept.get("proof");

export const mayAct = () => Boolean(proof);

const post = (path, body, headers = {}) =>
  fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", ...headers },
    body: JSON.stringify(body),
    signal: AbortSignal.timeout(PATIENCE_MS),
  });

function pointText(point) {
  const refuted = point.flags?.includes("receiver-error-refuted");
  if (point.status === "accepted") {
    return point.point + " is kept, safe on disk." + (refuted ? " It scatters more than the receiver claims." : "");
  }
  const came = point.status === "none" ? " has no second that counts" : " is " + point.status + ", not accepted";
  return point.point + came + (point.reason_texts?.length ? ": " + point.reason_texts.join("; ") : "") + ".";
}

/// What came of an act, as one sentence; empty: nothing to say.
function replyText(method, reply) {
  if (reply.error) return "Refused: " + sentence(reply.error.message);
  const { point, check, text } = reply.result ?? {};
  if (check) return sentence(check.text);
  if (point) return pointText(point);
  return method === "alerts" ? "" : sentence(text);
}

export async function send(method, params) {
  if (day.lost) return tell("Nothing was changed: the daemon does not answer.");
  try {
    const request = { jsonrpc: "2.0", id: 1, method, params };
    const response = await post("/control", request, { "Stillpoint-Proof": proof ?? "" });
    if (response.headers.get("Stillpoint-Key")) return refuseProof();
    if (!response.ok) return tell("Refused: " + (await response.text()).trim());
    const reply = await response.json();
    if (reply.error?.data?.question === "name-near") return askWhetherNew(params, reply.error.data.candidate);
    const text = replyText(method, reply);
    if (text) tell(text);
  } catch {
    tell("No answer came: look at the point's name above before you try again.");
  }
}

/// The name reads like a known one: only whoever says that it is new begins with it.
function askWhetherNew(params, candidate) {
  ask({
    title: params.name + " reads like " + candidate,
    text: "Go back and use that name, or say that this is another point.",
    yes: "It is new",
    done: () => send("occupy", { ...params, new: true }),
  });
}

function refuseProof() {
  proof = null;
  kept.forget("proof");
  askKey();
}

/// A key for a proof, which this browser keeps.
export async function exchangeKey(key) {
  try {
    const response = await post("/key", { key });
    if (!response.ok) return tell((await response.text()).trim());
    proof = (await response.json()).proof;
    kept.set("proof", proof);
    tell("This page may act now.");
  } catch {
    tell("No answer came.");
  }
}

export function askKey() {
  ask({
    title: "This page may only look",
    text:
      "To act it needs the key that the daemon wrote beside its control socket, in the file that ends in .page-key. " +
      "It is good for one browser.",
    label: "Key",
    yes: "Give the key",
    done: exchangeKey,
  });
}
