// What changes seldom and is asked for when it may have changed: points, marks, planned points, the height
// of the antenna.

import { day } from "./day.js";
import { eastNorth } from "./ways.js";
import { isNumber, sentence } from "./words.js";

let known = "";

async function ask(path) {
  const response = await fetch(path);
  return response.ok ? ((await response.json()).result ?? {}) : {};
}

async function askAll() {
  const points = await ask("/points");
  day.points = points.points ?? [];
  day.lostStays = points.lost_stays ?? [];
  day.marks = (await ask("/marks")).marks ?? [];
  day.plan = (await ask("/plan")).plan ?? [];
  day.antenna = await ask("/antenna");
}

/// Asks anew at once.
export async function refreshLists() {
  try {
    await askAll();
  } catch {
    known = ""; // the next status tries again
  }
}

/// Asks anew when a point came in, a stay or a check ended, or the antenna was changed.
export function refreshWhenChanged() {
  const { store, occupation, check, antenna_height_m: height } = day.status;
  const hour = String(day.status.time_utc).slice(0, 13); // with every one a planned point may be due again
  const now = [store?.spooled, occupation?.name, occupation?.visit, check?.last_utc, height, hour].join();
  if (now === known) return;
  known = now;
  refreshLists();
}

export const hasPlace = (p) => isNumber(p?.latitude_deg) && isNumber(p?.longitude_deg);

/// East and north of the pole; null: not known.
function fromHere(place) {
  const here = day.status?.epoch;
  return hasPlace(here) && hasPlace(place) ? eastNorth(place, here) : null;
}

/// Each with `far_m` and `towards_deg`; nearest first, those of no known place last.
export function nearestFirst(places) {
  const rows = places.map((place) => {
    const way = fromHere(place);
    if (!way) return { ...place, far_m: null };
    return { ...place, far_m: Math.hypot(...way), towards_deg: (Math.atan2(...way) * 180 / Math.PI + 360) % 360 };
  });
  return rows.sort((a, b) => (a.far_m ?? Infinity) - (b.far_m ?? Infinity));
}

/// The planned points that are still to be measured, nearest first.
export const plannedFirst = () => nearestFirst(day.plan.filter((p) => p.state !== "done"));

/// The height that is set on the pole, where the parts name one; else of the antenna above the mark.
export function poleText() {
  const parts = day.antenna?.parts ?? {};
  if (isNumber(parts.pole)) return "pole " + parts.pole.toFixed(3) + " m";
  const height = day.status?.antenna_height_m;
  return isNumber(height) ? "antenna " + height.toFixed(3) + " m" : "";
}

/// Of the stays since the last closing that ended and left nothing, the newest first: a sentence each.
export const lostSentences = () => [...day.lostStays].reverse().map((stay) => sentence("No point: " + stay.text));

export const lastKept = () =>
  [...day.points].sort((a, b) => String(b.finished_utc ?? "").localeCompare(String(a.finished_utc ?? "")))[0];
