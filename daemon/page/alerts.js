// The one place of alerts: the highest that nobody has seen, else the highest, else the last that has ended.

import { day, openPoint } from "./day.js";
import { $, fill, make } from "./dom.js";
import { hasLittleRoom, layoutName } from "./size.js";
import { cut, firm, metres, secondsText, sentence, SEVERITY, shortClock, SIGN } from "./words.js";

const LONGEST = 48; // characters, as alerts have them in their short form
const LOST = {
  key: "lost",
  severity: "stop-work",
  short: "Stillpoint does not answer.",
  seen: false,
  active: true,
};

export const unseenAlerts = () => (day.status?.alerts ?? []).filter((a) => !a.seen);

/// Alerts come the most severe first; those nobody has seen stand before.
export const alertShown = () => unseenAlerts()[0] ?? (day.status?.alerts ?? [])[0] ?? null;

const shortText = (alert) => cut(sentence(alert.short || alert.text), LONGEST);

const since = (alert) => (alert.since_utc ? shortClock(alert.since_utc) : (alert.since_time ?? "").slice(0, 5));

const wanted = (v) => (v == null ? "" : ` of ${(v * 1000).toFixed(0)}`);

/// Without an alert its place tells the values that have no room of their own.
function valueLines() {
  const stay = openPoint();
  const age = "Corrections " + secondsText(day.status?.correction?.age_s);
  const first = hasLittleRoom() ? [] : [age];
  if (!stay) return [...first, "No alert."];
  return [
    ...first,
    "Horizontal " + metres(stay.error95_horizontal_m) + wanted(stay.wanted_error95_horizontal_m),
    "Vertical " + metres(stay.error95_vertical_m) + wanted(stay.wanted_error95_vertical_m),
  ];
}

function quietLines() {
  if (["small", "phone"].includes(layoutName()) && day.status && !day.lost) return valueLines();
  const last = day.lastAlert;
  return [last ? `The last: ${shortClock(last.since_utc)}, ${shortText(last)}` : "None since this page was opened."];
}

function showSign(kind, mark, word) {
  const sign = $("sign");
  if (sign.dataset.kind !== kind) sign.dataset.kind = kind;
  fill(sign, mark + word, () => [...(mark ? [make("b", {}, mark)] : []), make("span", {}, word)]);
}

function showQuiet() {
  const lines = quietLines();
  showSign("none", "", "no alert");
  fill("alerttext", lines.join("|"), () => lines.map((text) => make("span", {}, firm(text))));
}

function kindOf(alert) {
  if (alert.seen) return "seen";
  return alert.severity === "stop-work" ? "stop" : "unseen";
}

function showAlert(alert) {
  const isGone = alert.active === false;
  const phone = layoutName() === "phone";
  if (isGone) showSign("gone", "", "gone, not seen");
  else showSign(kindOf(alert), (phone ? SEVERITY : SIGN)[alert.severity], alert.seen ? "seen" : "not seen");
  const head = hasLittleRoom() ? since(alert) : `${SEVERITY[alert.severity]} ${since(alert)}`;
  const times = alert.times > 1 ? ` ×${alert.times}` : "";
  const text = firm(shortText(alert) + times);
  fill("alerttext", head + text, () => {
    const whole = make("span");
    whole.append(make("b", {}, head.trim() + " "), text);
    return [whole];
  });
}

/// An alert in one line, for where it has no place of its own.
export const alertLine = (alert) =>
  layoutName() === "phone" ? `${SIGN[alert.severity]} alert waits` : shortText(alert);

/// `isDark`: whether the bar of an unseen alert is in the other half of its blinking. Words never blink.
export function showAlerts(isDark) {
  const alert = day.lost ? LOST : alertShown();
  if (alert) showAlert(alert);
  else showQuiet();
  $("sign").classList.toggle("blink", Boolean(alert) && !alert.seen && alert.active !== false && isDark);
}
