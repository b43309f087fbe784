// How the page asks the daemon to act, and the proof that allows it, which this browser keeps.

import { kept } from "./kept.js";

const PATIENCE_MS = 20000;
let proof = kept.get("proof");

export const hasProof = () => Boolean(proof);

export function forgetProof() {
  proof = null;
  kept.forget("proof");
}

const post = (path, body, headers = {}) =>
  fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", ...headers },
    body: JSON.stringify(body),
    signal: AbortSignal.timeout(PATIENCE_MS),
  });

/// The whole response: one with the header Stillpoint-Key says that the proof is none.
export const call = (method, params) =>
  post("/control", { jsonrpc: "2.0", id: 1, method, params }, { "Stillpoint-Proof": proof ?? "" });

/// A key for a proof. What is wrong with the key; empty: nothing.
export async function takeProof(key) {
  try {
    const response = await post("/key", { key });
    if (!response.ok) return (await response.text()).trim() || "Refused.";
    proof = (await response.json()).proof;
    kept.set("proof", proof);
    return "";
  } catch {
    return "No answer came.";
  }
}
