// Figures, each with its bound: how long from the receiver's second to the pixel, what eight hours do to the browser's
// memory, what twenty open pages cost the daemon, and whether an hour of verdicts is the daemon's. Exit 1: beyond a bound.
//   python3 tests/page/browser_test.py build/NAME/tests/page measure.mjs [pixel|crowd|heap|verdict]      with STILLPOINTD set
import { readFileSync } from "node:fs";
import { compareVerdicts, launch, second, situations, startDaemon, startStandIn, trail, until } from "./support.mjs";

const pause = ms => new Promise(done => setTimeout(done, ms));
const wanted = process.argv[2];
const MOST_MS = 300, MOST_SHARE = 0.5, MOST_GROWTH_MB = 0.5; // at 95 %; percent of a core; from the first hour to the eighth
let isBeyond = false;
const bound = (what, holds) => { if (holds) return; isBeyond = true; console.log(`BEYOND ITS BOUND: ${what}`); };
const at = (values, part) => [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(values.length * part))];

/// From the last byte of a second to the frame in which it is on the screen: the clock on the page is part of it.
async function pixel() {
  const daemon = await startDaemon(), browser = await launch(), page = await browser.newPage({ viewport: { width: 800, height: 1280 } });
  await page.goto(daemon.url + "#key=" + encodeURIComponent(daemon.key()));
  await page.evaluate(() => { window.seen = {}; const look = () => { const e = document.documentElement.dataset.epoch; if (e && !window.seen[e]) { window.seen[e] = true; requestAnimationFrame(() => { window.seen[e] = Date.now(); }); } requestAnimationFrame(look); }; look(); });
  const sent = {};
  for (let i = 0; i < 130; ++i) {
    if (i === 15) { await page.keyboard.press("1"); await page.fill("#field1", "CUL-14"); await page.keyboard.press("Enter"); }
    sent[`2026-06-03T14:${String(Math.floor(i / 60)).padStart(2, "0")}:${String(i % 60).padStart(2, "0")}Z`] = Date.now();
    daemon.link.write(second(i));
    await pause(1000 - Date.now() % 1000 % 1000 + i % 7 * 30);
  }
  const seen = await page.evaluate(() => window.seen);
  const took = Object.entries(sent).slice(10, -1).map(([epoch, t]) => [seen[epoch] - t, epoch]);
  const missing = took.filter(([ms]) => !(ms >= 0)).map(([, epoch]) => epoch), times = took.map(([ms]) => ms).filter(ms => ms >= 0);
  console.log(`epoch to pixel: ${times.length} seconds, median ${at(times, .5)} ms, 95 % ${at(times, .95)} ms, longest ${Math.max(...times)} ms, never seen ${missing.length}`);
  bound(`${MOST_MS} ms at 95 %`, times.length > 100 && at(times, .95) <= MOST_MS && missing.length === 0);
  await browser.close(); await daemon.stop();
}

/// Eight hours of seconds, pushed as fast as the page takes them.
async function heap() {
  const standIn = await startStandIn(), browser = await launch(["--js-flags=--expose-gc"]), page = await browser.newPage();
  const base = structuredClone(situations["averaging at 40 %"]), start = Date.parse("2026-06-03T08:00:00Z");
  standIn.push("stay", trail()); standIn.push("status", base);
  await page.goto(standIn.url);
  const session = await page.context().newCDPSession(page);
  const size = async () => { await session.send("HeapProfiler.collectGarbage"); const m = Object.fromEntries((await session.send("Performance.getMetrics")).metrics.map(e => [e.name, e.value])); return [m.JSHeapUsedSize / 1e6, m.Nodes, m.JSEventListeners]; };
  await session.send("Performance.enable");
  const rows = [];
  for (let i = 0; i <= 28800; ++i) {
    const utc = new Date(start + i * 1000).toISOString().replace(".000", "");
    base.status.time_utc = base.status.epoch.utc = utc;
    base.status.correction.age_s = i % 70 / 10;
    base.status.occupation.name = `HF-${Math.floor(i / 300)}`;
    base.status.alerts = i % 90 < 20 ? [{ key: "corrections-coasting", severity: "notice", text: `age ${i}`, since_utc: utc, seen: false, id: i, active: true, times: 1, repeats: 0 }] : [];
    base.situation.what = i % 90 < 20 ? "Counting on late corrections." : "Fresh corrections: averaging.";
    standIn.push("stay", { ...trail(), name: base.status.occupation.name, from: i % 300 ? 60 : 0, seconds: i % 300 ? [[i % 300, Math.sin(i), Math.cos(i), 0, 0]] : trail().seconds });
    standIn.push("status", base);
    if (i % 100 === 0) await until(page, e => document.documentElement.dataset.epoch === e, utc, 30000);
    if (i % 3600 === 0) { await pause(1200); rows.push([i / 3600, ...await size()]); console.log(`${i / 3600} h: heap ${rows.at(-1)[1].toFixed(2)} MB, ${rows.at(-1)[2]} nodes, ${rows.at(-1)[3]} listeners`); }
  }
  const [, first_mb, nodes] = rows[1], [, last_mb, lastNodes] = rows.at(-1);
  bound(`${MOST_GROWTH_MB} MB more, no node more`, last_mb - first_mb <= MOST_GROWTH_MB && lastNodes <= nodes);
  await browser.close(); standIn.stop();
}

/// Processor time of the daemon with twenty pages and an open stay, at one second a second.
async function crowd() {
  const daemon = await startDaemon(), browser = await launch();
  const cpu = () => { const s = readFileSync(`/proc/${daemon.process.pid}/stat`, "utf8").split(") ")[1].split(" "); return (+s[11] + +s[12]) / 100; };
  let i = 0;
  const feed = setInterval(() => daemon.link.write(second(i++)), 1000);
  const share = async (what, s) => { const c = cpu(), t = Date.now(); await pause(s * 1000); console.log(`${what}: daemon ${((cpu() - c) / (Date.now() - t) * 1e5).toFixed(2)} % of a core over ${s} s`); return (cpu() - c) / (Date.now() - t) * 1e5; };
  await pause(5000);
  await share("no page", 30);
  const streams = [];
  for (let n = 0; n < 20; ++n) {
    // Twenty readers of the stream; one of them is a browser. What the daemon does is the same for each.
    if (n === 0) { const page = await browser.newPage(); await page.goto(daemon.url + "#key=" + encodeURIComponent(daemon.key())); await pause(1500); await page.keyboard.press("1"); await page.fill("#field1", "CUL-14"); await page.keyboard.press("Enter"); continue; }
    const r = await fetch(daemon.url + "events");
    streams.push(r); (async () => { for await (const piece of r.body) void piece; })().catch(() => {});
  }
  const percent = await share("20 pages, open stay", 60);
  bound(`${MOST_SHARE} % of a core`, percent < MOST_SHARE);
  clearInterval(feed);
  await browser.close(); await daemon.stop();
}
/// An hour of seconds, twenty a second: how often the page showed another verdict than the daemon gave.
async function verdict() {
  const daemon = await startDaemon(), browser = await launch(), page = await browser.newPage();
  await page.goto(daemon.url);
  await pause(1000);
  const { compared, yes, wrong } = await compareVerdicts(daemon, page, 3600, 60, 0);
  console.log(`verdict: 3600 seconds sent, ${compared} compared, ${yes} of them YES, ${wrong.length} mismatches`);
  bound("no mismatch", compared > 1000 && wrong.length === 0);
  await browser.close(); await daemon.stop();
}
for (const [name, run] of Object.entries({ pixel, crowd, heap, verdict })) if (!wanted || wanted === name) await run();
process.exit(isBeyond ? 1 : 0);
