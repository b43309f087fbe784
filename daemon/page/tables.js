// The drawings as tables, opened by a button, newest row first.

import { day } from "./day.js";
import { make, set } from "./dom.js";
import { clock, metres, secondsText, sentence } from "./words.js";

const ROWS = 200;
const BECAME = ["counted", "refused", "set apart"];

function fillTable(into, caption, heads, rows) {
  const table = document.createElement("table");
  const body = table.createTBody();
  table.createCaption().textContent = caption;
  const head = table.createTHead().insertRow();
  for (const each of heads) head.append(make("th", { scope: "col" }, each));
  for (const cells of rows) {
    const row = body.insertRow();
    cells.forEach((v, i) => row.append(i ? make("td", {}, v) : make("th", { scope: "row" }, v)));
  }
  into.replaceChildren(table);
}

const newestFirst = (rows) => rows.slice(-ROWS).reverse();

function showSeconds(into) {
  const all = day.stay?.seconds ?? [];
  const mean = day.stay?.mean_mm ?? [0, 0, 0];
  const off = (v, i) => (v - mean[i]).toFixed(1) + " mm";
  const rows = newestFirst(all).map(([t, east, north, up, became]) => [
    t.toFixed(1),
    ...[east, north, up].map(off),
    BECAME[became],
  ]);
  const caption = `The newest ${rows.length} of ${all.length} seconds, from the mean`;
  fillTable(into, caption, ["Second", "East", "North", "Up", "Became"], rows);
}

function showAges(into) {
  const row = (a) => [clock(a.at), secondsText(a.age), a.state ?? "none", a.yes ? "yes" : "no"];
  const heads = ["Time", "Age", "State", "Counts"];
  fillTable(into, "Age of the corrections, newest first", heads, newestFirst(day.ages).map(row));
}

function showErrors(into) {
  const row = (e) => [clock(e.at), metres(e.plan), metres(e.height)];
  const heads = ["Time", "Plan", "Height"];
  fillTable(into, "Error of the average, 95 %, newest first", heads, newestFirst(day.errors).map(row));
}

async function showPoints(into) {
  try {
    const { points = [], lost_stays: lost = [] } = (await (await fetch("/points")).json()).result ?? {};
    const row = (p) => [
      p.point,
      String(p.visit),
      p.status,
      metres(p.error95_horizontal_m),
      metres(p.error95_vertical_m),
    ];
    const heads = ["Point", "Visit", "Status", "Plan 95 %", "Height 95 %"];
    fillTable(into, points.length + " points, newest first", heads, newestFirst(points).map(row));
    const held = points.filter((p) => p.status === "held").length;
    const gone = lost.map((stay) => " No point: " + sentence(stay.text)).join("");
    set("pointssay", `${points.length} points are kept, ${held} of them held: somebody has to decide.${gone}`);
  } catch {
    set("pointssay", "The points could not be had: the daemon does not answer.");
  }
}

const TABLES = { scatter: showSeconds, ages: showAges, errors: showErrors, points: showPoints };

export function listenToTables() {
  for (const button of document.querySelectorAll("[data-table]")) {
    button.addEventListener("click", () => {
      const into = button.nextElementSibling;
      const isOpening = into.hidden;
      into.hidden = !isOpening;
      button.setAttribute("aria-expanded", String(isOpening));
      if (isOpening) TABLES[button.dataset.table](into);
      else into.replaceChildren();
    });
  }
}

/// Of the open tables those that change with every second.
export function refreshTables() {
  for (const name of ["scatter", "ages", "errors"]) {
    const button = document.querySelector(`[data-table=${name}]`);
    if (button.getAttribute("aria-expanded") === "true") TABLES[name](button.nextElementSibling);
  }
}
