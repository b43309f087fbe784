// What the page asks of the daemon, and the key that allows it.

import { ask } from "./ask.js";
import { day } from "./day.js";
import { refreshLists } from "./lists.js";
import { tell } from "./message.js";
import { call, forgetProof, hasProof, takeProof } from "./proof.js";
import { isNumber, metres, sentence } from "./words.js";

export const mayAct = hasProof;

/// What came of a point, its status first, with its error.
function pointText(point) {
  const errors =
    point.error95_horizontal_m == null
      ? ""
      : `, ${metres(point.error95_horizontal_m)} horizontal, ${metres(point.error95_vertical_m)} vertical (95 %)`;
  const refuted = point.flags?.includes("receiver-error-refuted");
  const why = point.reason_texts?.length ? ": " + point.reason_texts.join("; ") : "";
  if (point.status === "accepted") {
    return `${point.point} accepted${errors}.` + (refuted ? " It scatters more than the receiver claims." : "");
  }
  return point.status === "none" ? `${point.point} has no second that counts${why}.` : `${point.point} held${why}.`;
}

/// What came of a check: PASSED or FAILED first, beside what was allowed.
function checkText(check) {
  const failed = check.outcome === "stop";
  if (!isNumber(check.off_east_m) || !isNumber(check.limit_horizontal_m)) return sentence(check.text);
  const off = `${metres(Math.hypot(check.off_east_m, check.off_north_m))} off ${check.mark}`;
  if (check.kind === "closing" && !failed) day.closing = off;
  const height = isNumber(check.off_up_m) ? `, ${metres(Math.abs(check.off_up_m))} in height` : "";
  return `${failed ? "FAILED" : "PASSED"}: ${off}${height}; limit ${metres(check.limit_horizontal_m)}.`;
}

/// What came of an act, as one sentence; empty: nothing to say.
function replyText(method, result) {
  const { point, check, text } = result ?? {};
  if (check) return checkText(check);
  const saysItself = ["resolve", "amend"].includes(method) || (method === "offset" && point?.status === "accepted");
  if (point) return saysItself ? sentence(text) : pointText(point);
  return method === "alerts" ? "" : sentence(text);
}

/// Asks the daemon. What comes back is its result, or what it asks, or why it refuses; `refused` is a sentence.
export async function request(method, params) {
  if (day.lost) return { refused: "Nothing was changed: Stillpoint does not answer." };
  try {
    const response = await call(method, params);
    if (response.headers.get("Stillpoint-Key")) return refuseProof();
    if (!response.ok) return { refused: "Refused: " + (await response.text()).trim() };
    const reply = await response.json();
    if (reply.error) return { refused: sentence(reply.error.message), question: reply.error.data };
    if (method !== "alerts") refreshLists(); // a seen alert changes none of them
    return { result: reply.result, text: replyText(method, reply.result) };
  } catch {
    return { refused: "No answer came: look at the point's name above before you try again." };
  }
}

/// Asks, and says in the third line what came of it.
export async function send(method, params) {
  const { text, refused } = await request(method, params);
  if (text || refused) tell(text || refused);
}

function refuseProof() {
  forgetProof();
  askKey();
  return { refused: "" };
}

/// A key for a proof, which this browser keeps.
export async function exchangeKey(key) {
  const wrong = await takeProof(key);
  if (!wrong) tell("This page may act now.");
  return wrong;
}

export function askKey() {
  ask({
    title: "Only to look",
    text: "To act this page needs the key that lies beside Stillpoint's control socket. It is good for one browser.",
    fields: [{ label: "Key" }],
    primary: "Allow",
    done: ([key]) => exchangeKey(key),
  });
}
