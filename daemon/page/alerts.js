// The one place of alerts: the highest that nobody has seen, else the highest, else those that are over in one line,
// else the last. What is over never stands above what is so.

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

/// Alerts come the most severe first, and those that are over last.
const alerts = () => day.status?.alerts ?? [];
const isGone = (alert) => alert.active === false;

/// Those that go on and nobody has seen.
export const unseenAlerts = () => alerts().filter((a) => !a.seen && !isGone(a));
/// Those that are over before anybody has seen them.
export const goneAlerts = () => alerts().filter(isGone);

const alertShown = () => unseenAlerts()[0] ?? alerts().find((a) => !isGone(a)) ?? alerts()[0] ?? null;
/// What a press of Seen is for: one that goes on, or all that are over.
export const alertsToSee = () => (unseenAlerts().length ? unseenAlerts().slice(0, 1) : goneAlerts());

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

function goneText() {
  const count = goneAlerts().length;
  return (count > 1 ? count + " " : "") + "gone, not seen";
}

function kindOf(alert) {
  if (alert.seen) return "seen";
  return alert.severity === "stop-work" ? "stop" : "unseen";
}

/// What stands before the words of an alert; the word of its severity goes where there is no room.
const headsOf = (alert) =>
  hasLittleRoom() ? [since(alert)] : [`${SEVERITY[alert.severity]} ${since(alert)}`, since(alert)];

let fitted = { key: "", head: "" };

/// With the first head that leaves the words whole, or with the last; found once for each text and window.
function fitText(heads, text) {
  const key = [innerWidth, innerHeight, ...heads, text].join("|");
  const put = (head) =>
    fill("alerttext", key + head, () => {
      const whole = make("span");
      whole.append(make("b", {}, head.trim() + " "), text);
      return [whole];
    });
  if (fitted.key === key) return put(fitted.head);
  const box = $("alerttext");
  for (const head of heads) {
    put(head);
    fitted = { key, head };
    if (box.scrollHeight <= box.clientHeight + 1) return;
  }
}

function showAlert(alert) {
  const phone = layoutName() === "phone";
  if (isGone(alert)) showSign("gone", "", goneText());
  else showSign(kindOf(alert), (phone ? SEVERITY : SIGN)[alert.severity], alert.seen ? "seen" : "not seen");
  const times = alert.times > 1 ? ` ×${alert.times}` : "";
  fitText(headsOf(alert), firm(shortText(alert) + times));
}

/// An alert in one line, for where it has no place of its own.
export const alertLine = (alert) =>
  layoutName() === "phone" ? `${SIGN[alert.severity]} alert waits` : shortText(alert);

/// `isDark`: whether the bar of an unseen alert is in the other half of its blinking. Words never blink.
export function showAlerts(isDark) {
  const alert = day.lost ? LOST : alertShown();
  if (alert) showAlert(alert);
  else showQuiet();
  $("sign").classList.toggle("blink", Boolean(alert) && !alert.seen && !isGone(alert) && isDark);
}
