// Words and numbers, as on the terminal: millimetres below a tenth of a metre, a true minus, times of this place.

export const isNumber = (v) => typeof v === "number" && isFinite(v);

const minus = (text) => text.replace(/-/g, "−");

/// A length; "not known" where it is not.
export function metres(v) {
  if (!isNumber(v)) return "not known";
  return minus(Math.abs(v) < 0.0995 ? (v * 1000).toFixed(0) + " mm" : v.toFixed(2) + " m");
}

export const millimetres = (v) => metres(v / 1000);
export const secondsText = (v) => (!isNumber(v) ? "not known" : v.toFixed(v < 10 ? 1 : 0) + " s");

/// A way on foot.
export function distance(v) {
  if (!isNumber(v)) return "how far is not known";
  if (v < 10) return v.toFixed(1) + " m";
  return v < 1000 ? v.toFixed(0) + " m" : (v / 1000).toFixed(1) + " km";
}

const WINDS = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
const SHORT_WINDS = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
export const wind = (deg, isShort = false) => (isShort ? SHORT_WINDS : WINDS)[Math.round(deg / 45) % 8];

const two = (n) => String(n).padStart(2, "0");

/// The time of day at this place; dashes where there is none.
export function clock(utc) {
  const at = new Date(utc ?? NaN);
  if (isNaN(at)) return "--:--:--";
  return [at.getHours(), at.getMinutes(), at.getSeconds()].map(two).join(":");
}

export const shortClock = (utc) => clock(utc).slice(0, 5);

/// The zone of all times of the page, said once.
export function zone(utc) {
  const at = new Date(utc ?? NaN);
  const east = isNaN(at) ? 0 : -at.getTimezoneOffset();
  if (east === 0) return "UTC";
  const rest = Math.abs(east) % 60;
  return "UTC" + (east < 0 ? "−" : "+") + Math.floor(Math.abs(east) / 60) + (rest ? ":" + two(rest) : "");
}

/// A number stays with its unit.
export const firm = (text) => text.replace(/(\d) (s|mm|m|min|km|%)(?![\w])/g, "$1\u00a0$2");

export function sentence(words) {
  const text = String(words ?? "");
  return text && text[0].toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? "" : ".");
}

/// As much as a place of `most` characters holds, by whole words.
export function cut(text, most) {
  if (text.length <= most) return text;
  return text.slice(0, text.lastIndexOf(" ", most - 1)).replace(/[,;:.]$/, "") + "…";
}

export const QUALITY = {
  none: "no position",
  autonomous: "without corrections",
  "rtk-fixed": "fixed",
  "rtk-float": "float",
  estimated: "estimated",
  manual: "typed in",
  sbas: "SBAS",
  pps: "PPS",
};
export const SEVERITY = { "stop-work": "STOP MEASURING", warning: "WARNING", notice: "NOTICE" };
export const SIGN = { "stop-work": "!!!", warning: "!!", notice: "!" };
