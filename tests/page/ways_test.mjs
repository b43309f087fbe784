// Whether ways on the page are those of the geodesic on GRS 80, by `geod -I +ellps=GRS80` of PROJ 9.1.1: latitude and
// longitude of two places, direction in degrees, length in metres.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";

// As text: a browser takes it for a module, and not every Node does.
const script = readFileSync(new URL("../../daemon/page/ways.js", import.meta.url), "utf8");
const { eastNorth } = await import("data:text/javascript," + encodeURIComponent(script));

const ROWS = [
  [[47.6, -87.4], [47.6018, -87.3965], 52.750215, 330.6418],
  [[47.6, -87.4], [47.55, -87.5], 360 - 126.423284, 9354.5956],
  [[0, -10], [-0.01, -10.02], 360 - 116.411423, 2485.8557],
  [[69.7, 30], [69.72, 30.1], 59.999084, 4468.5446],
  [[-16.8, 179.99], [-16.82, -179.98], 124.693421, 3889.0443],
];
const place = ([latitude_deg, longitude_deg]) => ({ latitude_deg, longitude_deg });
for (const [here, there, towards_deg, far_m] of ROWS) {
  const way = eastNorth(place(there), place(here));
  assert.ok(Math.abs(Math.hypot(...way) / far_m - 1) < 5e-6, `${here} to ${there}: ${Math.hypot(...way)} m for ${far_m}`);
  const towards = (Math.atan2(...way) * 180 / Math.PI + 360) % 360;
  assert.ok(Math.abs(towards - towards_deg) < 0.06, `${here} to ${there}: ${towards} for ${towards_deg} degrees`);
}
console.log(`${ROWS.length} ways are those of the geodesic`);
