// The values below the answer, each in one line, and the age of the corrections on its scale.

import { day } from "./day.js";
import { $, draw, set } from "./dom.js";
import { canvas, hatch, label } from "./paper.js";
import { clock, isNumber, limit, metres, QUALITY, secondsText, sentence } from "./words.js";

const LAST_LABEL = 110; // room for the figure behind the scale

function pointText(stay) {
  if (!stay) return "No point open";
  return (stay.check ? "Check on " : "") + stay.name + (stay.visit > 1 ? ", visit " + stay.visit : "");
}

function correctionText(correction, source) {
  if (!correction.state || correction.state === "none") return "NONE in use";
  if (correction.state === "unknown") return "age UNKNOWN (counts by the quality)" + (source ? ", " + source : "");
  const ours = correction.from === "own-clock";
  const seconds = secondsText(correction.age_s);
  const known = ours ? `no proof for ${seconds} ` : `${seconds} old `;
  let text = (isNumber(correction.age_s) ? known : "age not given ") + correction.state.toUpperCase();
  if (isNumber(correction.age_limit_s)) {
    text +=
      (correction.state === "stale" ? " (counted until " : " (counts until ") + limit(correction.age_limit_s) + ")";
  }
  return source ? text + ", " + source : text;
}

function positionText(epoch, reasons) {
  if (!epoch) return "nothing heard yet";
  const parts = [QUALITY[epoch.quality] ?? epoch.quality];
  if (reasons.includes("moving")) parts.push("MOVING");
  if (reasons.includes("settling")) parts.push("settling");
  if (epoch.satellites != null) parts.push(epoch.satellites + " satellites");
  if (epoch.hdop != null) parts.push("HDOP " + epoch.hdop.toFixed(1));
  if (epoch.pdop != null) parts.push("PDOP " + epoch.pdop.toFixed(1));
  return parts.join(", ");
}

function averageText(stay) {
  if (!stay) return "no point open";
  return (
    `${stay.counted_s.toFixed(0)} of ${stay.needed_s.toFixed(0)} s, ` +
    `${stay.accepted} of ${stay.needed_epochs} epochs, ${stay.refused} refused`
  );
}

const wanted = (v) => (v == null ? "" : " (want " + metres(v) + ")");

function restsOn(stay) {
  if (stay.assumed_sigma) return ", assumed";
  return stay.error_scale != null && !stay.error_scale_verified ? ", unverified" : "";
}

function errorText(stay) {
  if (!stay) return "no point open";
  if (stay.error95_horizontal_m == null && stay.error95_vertical_m == null) return "not known yet";
  return (
    `plan ${metres(stay.error95_horizontal_m)}${wanted(stay.wanted_error95_horizontal_m)}, ` +
    `height ${metres(stay.error95_vertical_m)}${wanted(stay.wanted_error95_vertical_m)}${restsOn(stay)}`
  );
}

function checkText(status) {
  const isCheck = (a) => a.active !== false && (a.key === "check-failed" || a.key === "check-due");
  const alert = (status.alerts ?? []).find(isCheck);
  if (alert) return (alert.key === "check-due" ? "DUE: " : "FAILED: ") + sentence(alert.text);
  return sentence(status.check?.text) || "none reported";
}

export function showValues() {
  const status = day.status;
  const correction = status.correction ?? {};
  const stay = status.occupation;
  const reasons = (status.verdict?.reasons ?? []).map((each) => each.code);
  set("point", pointText(stay));
  set("project", (status.project ?? "") + (status.crew ? ", crew " + status.crew : ""));
  set("clock", clock(status.time_utc));
  set("corrections", correctionText(correction, status.source));
  showScale(correction);
  set("position", positionText(status.epoch, reasons));
  set("average", averageText(stay));
  set("error", errorText(stay));
  set("check", checkText(status));
}

function scaleNodes(correction, width) {
  const x = (v) => 8 + Math.min(v / correction.age_limit_s, 1.04) * (width - LAST_LABEL);
  const fresh = x(correction.fresh_limit_s ?? 0);
  const end = x(correction.age_limit_s);
  const at = x(correction.age_s);
  const outline = { fill: "none", stroke: "currentColor", "stroke-width": 2 };
  const pointer = { fill: "currentColor", stroke: "currentColor", "stroke-width": 4 };
  return [
    draw("path", { d: `M8 14H${fresh}V30H8Z`, ...outline }),
    draw("path", { d: hatch(fresh, 14, end, 30, 9), stroke: "currentColor", "stroke-width": 1.5 }),
    draw("path", { d: `M${fresh} 14H${end}V30H${fresh}`, ...outline }),
    draw("path", { d: `M${at - 9} 0H${at + 9}L${at} 13ZM${at} 12V32`, ...pointer }),
    draw("text", { x: end + 10, y: 30 }, limit(correction.age_limit_s)),
  ];
}

function scaleText(correction) {
  const fresh = limit(correction.fresh_limit_s ?? 0);
  const what = correction.from === "own-clock" ? "no proof for" : "age";
  const most = limit(correction.age_limit_s);
  return `${what} ${secondsText(correction.age_s)}, fresh up to ${fresh}, counts until ${most}`;
}

function showScale(correction) {
  const svg = $("scale");
  const isKnown = isNumber(correction.age_s) && correction.age_limit_s > 0;
  const [width] = canvas(svg);
  const key = [correction.age_s, correction.fresh_limit_s, correction.age_limit_s, width].join();
  if (svg.dataset.key === key) return;
  svg.dataset.key = key;
  const none = "no age to show on a scale";
  svg.replaceChildren(...(isKnown ? scaleNodes(correction, width) : [label(0, 30, none)]));
  svg.setAttribute("aria-label", isKnown ? scaleText(correction) : none);
}
