// Words and numbers, as on the terminal.

export const isNumber = (v) => typeof v === "number" && isFinite(v);

export function metres(v) {
  if (!isNumber(v)) return "--";
  return Math.abs(v) < 0.0995 ? (v * 1000).toFixed(0) + " mm" : v.toFixed(2) + " m";
}

export const millimetres = (v) => metres(v / 1000);
export const secondsText = (v) => (!isNumber(v) ? "--" : v.toFixed(v < 100 ? 1 : 0) + " s");
export const limit = (v) => (Number.isInteger(v) ? v : v.toFixed(1)) + " s";
export const clock = (t) => (typeof t === "string" && t.length >= 19 ? t.slice(11, 19) : "--:--:--");

export function sentence(words) {
  const text = String(words ?? "");
  return text && text[0].toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? "" : ".");
}

export const QUALITY = {
  none: "no position",
  autonomous: "without corrections",
  "rtk-fixed": "fixed",
  "rtk-float": "float",
  estimated: "estimated by the receiver",
  manual: "typed into the receiver",
  sbas: "SBAS",
  pps: "PPS",
};
export const SEVERITY = { "stop-work": "STOP WORK", warning: "WARNING", notice: "NOTICE" };
export const SIGN = { "stop-work": "!!!", warning: "!!", notice: "!" };
