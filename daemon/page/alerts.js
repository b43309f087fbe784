// Alerts: those nobody has seen first, in three places that stay where they are.

import { day } from "./day.js";
import { $, make, set } from "./dom.js";
import { clock, sentence, SEVERITY, SIGN } from "./words.js";

const ROWS = 3;

export const shownAlerts = () => [...(day.status?.alerts ?? [])].sort((a, b) => a.seen - b.seen);

/// Those that have a place; the last place tells how many more there are.
export const alertsInView = (all) => all.slice(0, all.length > ROWS ? ROWS - 1 : ROWS);

function alertText(alert) {
  const since = alert.since_utc ? clock(alert.since_utc) : (alert.since_time ?? clock(null));
  let text = SEVERITY[alert.severity] + " " + since + " " + sentence(alert.text);
  if (alert.times > 1) text += " Coming and going ×" + alert.times + ".";
  if (alert.repeats > 0) text += " Told " + (alert.repeats + 1) + " times.";
  if (alert.seen) return text;
  return text + (alert.active === false ? " GONE, NOT SEEN" : " NOT SEEN");
}

function showRow(row, alert, text) {
  const sign = alert && !alert.seen ? SIGN[alert.severity] + " " : "";
  if (row.dataset.text === sign + text) return;
  row.dataset.text = sign + text;
  row.replaceChildren(...(sign ? [make("i", {}, sign)] : []), text);
  row.className = alert ? "on" + (alert.severity === "stop-work" ? " stop" : "") : "";
}

/// `blink`: whether the signs of unseen alerts are in their dark half.
export function showAlerts(blink) {
  const all = shownAlerts();
  const few = alertsInView(all);
  const rows = $("alertlist").children;
  set("alerthead", all.length ? "Alerts: " + all.length : "No alerts");
  for (let i = 0; i < ROWS; ++i) {
    const alert = few[i];
    const more = i === ROWS - 1 && all.length > ROWS ? `+${all.length - ROWS + 1} more: Seen brings up the next.` : "";
    showRow(rows[i], alert, alert ? alertText(alert) : more);
    rows[i].classList.toggle("blink", Boolean(alert) && !alert.seen && blink);
  }
}
