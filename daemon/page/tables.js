// The newest points, and the drawings as tables, newest row first.

import { day } from "./day.js";
import { $, draw, fill, make } from "./dom.js";
import { sign } from "./paper.js";
import { layoutName } from "./size.js";
import { clock, isNumber, metres, secondsText, shortClock } from "./words.js";

const ROWS = 200;
const NEWEST = 5;
const BECAME = ["counted", "refused", "set apart"];
let open = ""; // which table

function cellOf(value, i) {
  const cell = make(i ? "td" : "th", i ? {} : { scope: "row" });
  cell.append(...(Array.isArray(value) ? value : [value]));
  return cell;
}

function tableOf(caption, heads, rows) {
  const table = document.createElement("table");
  const body = table.createTBody();
  table.createCaption().textContent = caption;
  const head = table.createTHead().insertRow();
  for (const each of heads) head.append(make("th", { scope: "col" }, each));
  for (const cells of rows) body.insertRow().append(...cells.map(cellOf));
  return table;
}

const newestFirst = (rows) => rows.slice(-ROWS).reverse();
const mm = (v) => (isNumber(v) ? (v * 1000).toFixed(0) : "not known");

function statusCell(status) {
  const icon = draw("svg", { viewBox: "0 0 4 4", "aria-hidden": "true" });
  icon.append(sign(status, 2, 2, 1.1));
  return [icon, status];
}

export function showNewest() {
  const rows = day.points
    .slice(-NEWEST)
    .reverse()
    .map((p) => [p.point, p.status, shortClock(p.finished_utc), mm(p.error95_horizontal_m), mm(p.error95_vertical_m)]);
  const across = layoutName() === "phone" ? "mm (95 %)" : "Horizontal, mm (95 %)";
  const heads = ["Point", "Status", "Kept at", across, "Vertical, mm (95 %)"];
  const cells = () => rows.map(([name, status, ...rest]) => [name, statusCell(status), ...rest]);
  fill("newest", JSON.stringify([across, rows]), () => [tableOf("Newest points", heads, cells())]);
}

function secondsTable() {
  const all = day.stay?.seconds ?? [];
  const mean = day.stay?.mean_mm ?? [0, 0, 0];
  const off = (v, i) => (v - mean[i]).toFixed(1) + " mm";
  const rows = newestFirst(all).map(([t, east, north, up, became]) => [
    t.toFixed(1),
    ...[east, north, up].map(off),
    BECAME[became],
  ]);
  const caption = `The newest ${rows.length} of ${all.length} seconds, from the average`;
  return tableOf(caption, ["Second", "East", "North", "Up", "Became"], rows);
}

const AGE_WORDS = { coasting: "late", stale: "too old" };

function agesTable() {
  const row = (a) => [
    clock(a.at),
    secondsText(a.age),
    AGE_WORDS[a.state] ?? a.state ?? "none",
    a.yes ? "yes" : "no",
  ];
  const heads = ["Time", "Age", "State", "Counts"];
  return tableOf("Age of the corrections, newest first", heads, newestFirst(day.ages).map(row));
}

function errorsTable() {
  const row = (e) => [clock(e.at), metres(e.plan), metres(e.height)];
  const heads = ["Time", "Horizontal", "Vertical"];
  return tableOf("Error of the average, 95 %, newest first", heads, newestFirst(day.errors).map(row));
}

const TABLES = { scatter: secondsTable, ages: agesTable, errors: errorsTable };

/// One table at a time, below the buttons.
function toggle(button) {
  open = open === button.dataset.table ? "" : button.dataset.table;
  for (const each of document.querySelectorAll("[data-table]")) {
    each.setAttribute("aria-expanded", String(each.dataset.table === open));
  }
  $("table").hidden = !open;
  $("table").replaceChildren(...(open ? [TABLES[open]()] : []));
}

export function listenToTables() {
  for (const button of document.querySelectorAll("[data-table]")) {
    button.addEventListener("click", () => toggle(button));
  }
}

export function refreshTable() {
  if (open) $("table").replaceChildren(TABLES[open]());
}
