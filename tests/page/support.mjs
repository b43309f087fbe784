// What the tests in a browser share: a real daemon on an invented stream, a stand-in for it that says what it is told,
// and Chromium. Needs playwright-core in $STILLPOINT_PAGE_MODULES.
import { spawn } from "node:child_process";
import { createHash } from "node:crypto";
import { readdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import { createServer as createTcp } from "node:net";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

export const here = dirname(fileURLToPath(import.meta.url));
export const root = join(here, "..", "..");
const require = createRequire(join(process.env.STILLPOINT_PAGE_MODULES ?? join(root, "build/dev/page"), "x.js"));
export const { chromium } = require("playwright-core");
export const axeSource = () => readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

export const launch = (args = []) => chromium.launch({
  executablePath: process.env.STILLPOINT_CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--autoplay-policy=no-user-gesture-required", ...args],
});

const folders = [];
process.on("exit", () => folders.forEach(f => rmSync(f, { recursive: true, force: true })));
export function folder() { const f = mkdtempSync(join(tmpdir(), "stillpoint-page-")); folders.push(f); return f; }

export const listening = server => new Promise(done => server.listen(0, "127.0.0.1", () => done(server.address().port)));
export async function freePort() { const s = createTcp(); const port = await listening(s); await new Promise(done => s.close(done)); return port; }

function sentence(body) {
  let sum = 0;
  for (const c of body) sum ^= c.charCodeAt(0);
  return `$${body}*${sum.toString(16).toUpperCase().padStart(2, "0")}\r\n`;
}
/// One second of an invented receiver on the open water of a lake; second 0 is 14:00:00 UTC.
export function second(i, { age = 0.8, hour = 14 } = {}) {
  const two = n => String(n).padStart(2, "0");
  const t = hour * 3600 + i, at = `${two(Math.floor(t / 3600) % 24)}${two(Math.floor(t / 60) % 60)}${two(t % 60)}.00`;
  const minutes = (36 + (i * 7 % 11 - 5) * 1e-6).toFixed(7), west = (24 + (i * 5 % 13 - 6) * 1e-6).toFixed(7);
  return sentence(`GNRMC,${at},A,47${minutes},N,087${west},W,0.01,,030626,,,R,V`) +
    sentence(`GNGGA,${at},47${minutes},N,087${west},W,4,14,0.7,184.50${i % 7},M,-36.200,M,${(age + i % 5 * 0.1).toFixed(1)},0417`) +
    sentence("GNGSA,A,3,01,02,03,04,05,06,07,08,,,,,1.2,0.7,1.0,1") +
    sentence(`GNGST,${at},1.0,0.010,0.008,20.0,0.009,0.009,0.018`);
}

/// The daemon with a page, fed by `link.write`.
export async function startDaemon(extra = "", prepare = () => {}) {
  const where = folder(), page = await freePort();
  const receiver = createTcp(socket => { socket.on("error", () => {}); daemon.link = socket; daemon.linked(); });
  const port = await listening(receiver);
  const base = readFileSync(join(root, "replay_logs/harrowfen.toml"), "utf8")
    .replace(/\[\[feed\]\][\s\S]*?(?=\n\[antenna\])/, `[[feed]]\nkind = "tcp"\nhost = "127.0.0.1"\nport = ${port}\nsilence_s = 3.0\n`)
    .replace(/"\.\.\/out\//g, '"').replace(/\n\[control\][\s\S]*$/, "\n");
  writeFileSync(join(where, "day.toml"), `${base}\n[page]\nlisten = "127.0.0.1:${page}"\n[control]\nsocket = "control"\n${extra}`);
  prepare(where);
  const process_ = spawn(process.env.STILLPOINTD ?? join(root, "build/dev/daemon/stillpointd"), ["--config", join(where, "day.toml")], { stdio: ["ignore", "pipe", "pipe"] });
  const daemon = { folder: where, process: process_, url: `http://127.0.0.1:${page}/`, log: "" };
  const connected = new Promise(done => { daemon.linked = done; });
  process_.stderr.on("data", d => { daemon.log += d; });
  await new Promise((done, failed) => { process_.stdout.on("data", d => { daemon.log += d; if (String(d).includes("ready")) done(); }); process_.on("exit", c => failed(new Error(`the daemon ended with ${c}: ${daemon.log}`))); });
  await connected;
  daemon.key = () => readFileSync(join(where, "control.page-key"), "utf8").trim();
  daemon.stop = () => new Promise(done => { process_.once("exit", done); receiver.close(); daemon.link.destroy(); if (process_.exitCode !== null || process_.signalCode) done(); else process_.kill("SIGTERM"); });
  return daemon;
}

/// Serves the page's files and whatever status the test gives it.
export async function startStandIn() {
  const read = name => readFileSync(join(root, "daemon/page", name), "utf8");
  const hash = text => createHash("sha256").update(text).digest("hex").slice(0, 12);
  const parts = readdirSync(join(root, "daemon/page")).filter(name => /\.(js|css)$/.test(name));
  const folder = `/${hash(parts.map(read).join(""))}/`;
  const html = read("page.html").replace(/"\/(\w+\.(?:css|js))"/g, `"${folder}$1"`);
  const streams = new Set(), asked = [];
  let last = [];
  const type = t => ({ "Content-Type": t, "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' data:; require-trusted-types-for 'script'" });
  const server = createServer((request, response) => {
    const give = (t, text) => response.writeHead(200, type(t)).end(text);
    if (request.url === "/") return give("text/html; charset=utf-8", html);
    const part = parts.find(name => request.url === folder + name);
    if (part) return give(part.endsWith(".css") ? "text/css" : "text/javascript", read(part));
    if (request.url === "/events") {
      response.writeHead(200, type("text/event-stream")); response.write("retry: 1000\n\n" + last.join(""));
      streams.add(response); response.on("close", () => streams.delete(response));
      return;
    }
    const lists = { "/points": { points: standIn.points, lost_stays: standIn.lostStays }, "/marks": { marks: standIn.marks }, "/plan": { plan: standIn.plan }, "/antenna": standIn.antenna };
    if (lists[request.url]) return give("application/json", JSON.stringify({ jsonrpc: "2.0", id: 1, result: lists[request.url] }));
    if (request.method !== "POST") return response.writeHead(404).end();
    let body = "";
    request.on("data", d => { body += d; });
    request.on("end", () => {
      if (request.url === "/key") return give("application/json", JSON.stringify({ proof: "p" }));
      asked.push(JSON.parse(body));
      const other = standIn.answer;
      if (other?.status) return response.writeHead(other.status, { "Content-Type": "text/plain", ...other.headers }).end(other.text + "\n");
      if (other) return give("application/json", JSON.stringify({ jsonrpc: "2.0", id: 1, ...other }));
      give("application/json", JSON.stringify({ jsonrpc: "2.0", id: 1, result: { text: "done" } }));
    });
  });
  const port = await listening(server);
  const push = (name, data) => { const text = `event: ${name}\ndata: ${JSON.stringify(data)}\n\n`; last = last.filter(e => !e.startsWith(`event: ${name}\n`)).concat(text); streams.forEach(s => s.write(text)); };
  const standIn = { url: `http://127.0.0.1:${port}/`, asked, push, streams, answer: null, points: [], lostStays: [], marks: [], plan: [], antenna: { height_m: 1.871, parts: { pole: 1.8, adapter_to_phase_centre: .071 }, text: "antenna 1.871 m above the mark" }, hush: () => { last = []; },
    stop: () => { streams.forEach(s => s.destroy()); server.closeAllConnections(); server.close(); } };
  return standIn;
}

// ---- the situations a page must tell apart, as the daemon would report them
const base = () => ({ time_utc: "2026-06-03T10:42:17Z", training: false, project: "Harrowfen culvert inventory", feed: { state: "open", what: "tcp localhost:9001" },
  epoch: { utc: "2026-06-03T10:42:17Z", quality: "rtk-fixed", satellites: 14, hdop: .8, pdop: 1.4, error95_horizontal_m: .031, error95_vertical_m: .05, station: 417 },
  source: "county network", correction: { state: "fresh", age_s: 1, from: "receiver", coast_left_s: null, fresh_limit_s: 3, age_limit_s: 60 },
  verdict: { accepted: true, reasons: [] }, occupation: null, alerts: [], store: { spooled: 3, stored: 2, waiting: 1 }, counters: {}, notes: [] });
const stayOf = (accepted, more = {}) => ({ name: "HF-A-0014", visit: 1, code: "CUL-U", since_utc: "2026-06-03T10:41:05Z", accepted, refused: 2, needed_epochs: 60, needed_s: 60,
  counted_s: accepted, enough: false, error95_horizontal_m: .011, error95_vertical_m: .017, wanted_error95_horizontal_m: .01, wanted_error95_vertical_m: .02, error_scale: 1, error_scale_verified: false, advice: "", ...more });
export const alert = (severity, key, text, more = {}) => ({ key, severity, text, since_utc: "2026-06-03T10:41:44Z", seen: false, id: 1, active: true, until_utc: null, times: 1, repeats: 0, ...more });
export const frame = (tone, what, act, change = {}, more = {}) => ({ situation: { tone, what, act, also: [], percent: null, ...more }, status: { ...base(), ...change } });
const refused = (what, act, change = {}) => frame("refused", what, act, { verdict: { accepted: false, reasons: [{ code: "x", text: what }] }, ...change });
export const situations = {
  "fresh and good": frame("counts", "Fresh corrections: ready.", "Put the tip on the mark, then begin a point: press 1."),
  "coasting with 12 s left": frame("coasting", "Counting on late corrections. They stop counting in 12 s.", "Stand still. At 0, wait here: the average waits, nothing is lost.",
    { correction: { ...base().correction, state: "coasting", age_s: 48, coast_left_s: 12.4 }, occupation: stayOf(45), alerts: [alert("notice", "corrections-coasting", "corrections late: 48 s old")] }, { percent: 75 }),
  "stale": refused("Correction age 70 s, limit 60 s.", "Wait here for fresh corrections.", { correction: { ...base().correction, state: "stale", age_s: 70 }, alerts: [alert("stop-work", "corrections-stale", "corrections are too old to count")] }),
  "receiver silent": refused("The receiver is silent.", "Check its battery and its link.", { feed: { state: "silent", what: "tcp localhost:9001" }, alerts: [alert("warning", "feed-silent", "nothing from the receiver for 12 s")] }),
  "not still yet": refused("Moving: speed 0.42 m/s, limit 0.1 m/s.", "Stand still and hold the pole upright.", { verdict: { accepted: false, reasons: [{ code: "moving", text: "" }] } }),
  "averaging at 40 %": frame("counts", "Fresh corrections: averaging.", "Stand still until it is enough.", { occupation: stayOf(24) }, { percent: 40 }),
  "enough": frame("counts", "Fresh corrections, and enough has been collected.", "Keep the point: press 2.", { occupation: stayOf(61, { enough: true, keep_gives: "accepted", error95_horizontal_m: .009 }) }, { percent: 100 }),
  "jump set apart": refused("Jumped 1.21 m from the average.", "Stand still: seconds at the new place are set apart.", { occupation: stayOf(24), verdict: { accepted: false, reasons: [{ code: "jump", text: "" }] },
    alerts: [alert("stop-work", "position-jump", "the position jumped by 1.21 m")] }),
  "check due": frame("counts", "Fresh corrections: ready.", "Put the tip on the mark, then begin a point: press 1.", { alerts: [alert("notice", "check-due", "the last check was 121 min ago")] }),
  "training": frame("counts", "Fresh corrections: ready.", "Put the tip on the mark, then begin a point: press 1.", { training: true }),
};
export const trail = () => ({ name: "HF-A-0014", visit: 1, mean_mm: [1, .5, 2], mean_ellipse: [8, 5, 30], single_ellipse: [14, 9, 30], from: 0,
  seconds: Array.from({ length: 60 }, (_, i) => [i, Math.sin(i * 1.7) * 6, Math.cos(i * 2.3) * 5, i % 5, i === 20 ? 2 : i === 31 ? 1 : 0]) });

/// Sends `count` seconds with ages that pass every limit and come back, and compares what stood on the page at each epoch
/// with what the daemon said of it on a stream of ours. The daemon tells of the newest only, so that some may be passed over.
export async function compareVerdicts(daemon, page, count, every_ms, first) {
  const said = new Map(), abort = new AbortController();
  const reading = (async () => {
    let rest = "";
    const stream = await fetch(daemon.url + "events", { signal: abort.signal });
    for await (const piece of stream.body.pipeThrough(new TextDecoderStream())) {
      rest += piece;
      for (let at; (at = rest.indexOf("\n\n")) >= 0; rest = rest.slice(at + 2)) {
        const [, name, data] = /^event: (\w+)\ndata: (.*)$/s.exec(rest.slice(0, at)) ?? [];
        if (name !== "status") continue;
        const { status } = JSON.parse(data);
        if (status.epoch) said.set(status.epoch.utc, status.verdict.accepted);  // the last word on this epoch
      }
    }
  })().catch(() => {});
  await page.evaluate(() => {
    const root = document.documentElement;
    window.verdicts = {};
    const note = () => { window.verdicts[root.dataset.epoch] = document.getElementById("verdict").textContent === "NO" ? "NO" : "YES"; };
    window.noting = [new MutationObserver(note)];
    window.noting[0].observe(root, { attributes: true, attributeFilter: ["data-epoch"] });
    window.noting[0].observe(document.getElementById("verdict"), { childList: true, characterData: true, subtree: true });
  });
  for (let i = 0; i < count; ++i) {
    const swing = i % 40, age = swing < 20 ? .8 : swing < 30 ? (swing - 19) * .8 : 200;
    daemon.link.write(second(first + i, { age }));
    await new Promise(done => setTimeout(done, every_ms));
  }
  await new Promise(done => setTimeout(done, 300));
  abort.abort();
  await reading;
  const shown = await page.evaluate(() => window.verdicts);
  const both = [...said].filter(([epoch]) => shown[epoch] !== undefined).slice(1, -1);  // the ends may be seen by one only
  return { compared: both.length, yes: both.filter(([, yes]) => yes).length, wrong: both.filter(([epoch, yes]) => (shown[epoch] === "YES") !== yes) };
}

/// Waits in the browser until the function is true.
export const until = (page, f, arg, timeout = 8000) => page.waitForFunction(f, arg, { timeout, polling: 20 });
