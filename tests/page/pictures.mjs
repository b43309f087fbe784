// Makes the pictures: three states of the page for the README, all states in each layout, small, on one sheet each, and the
// report of the demo's day.
//   ninja -C build/NAME page_pictures       or pictures.mjs states: without the report, whose day is played first
import { execFileSync, spawn } from "node:child_process";
import { copyFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { openPage } from "./browse.mjs";
import { opened, states } from "./states.mjs";
import { folder, freePort, here, launch, root, until } from "./support.mjs";

const out = join(here, "pictures");
mkdirSync(out, { recursive: true });
const browser = await launch();

/// The first page of the report of the demo's day, which is worked on the page.
async function demoDay() {
  const day = folder(), port = await freePort(), config = join(day, "replay_logs/harrowfen.toml");
  mkdirSync(join(day, "replay_logs")); mkdirSync(join(day, "out"));
  copyFileSync(join(root, "replay_logs/harrowfen-culverts.nmea"), join(day, "replay_logs/harrowfen-culverts.nmea"));
  writeFileSync(config, readFileSync(join(root, "replay_logs/harrowfen.toml"), "utf8") + `\n[page]\nlisten = "127.0.0.1:${port}"\n`);
  const daemon = spawn(process.env.STILLPOINTD, ["--config", config], { stdio: ["ignore", "pipe", "inherit"] });
  await new Promise(done => daemon.stdout.on("data", d => String(d).includes("ready") && done()));

  const page = await browser.newPage({ viewport: { width: 1280, height: 800 }, deviceScaleFactor: .6 });
  const key = readFileSync(join(day, "out/control.page-key"), "utf8").trim();
  await page.goto(`http://127.0.0.1:${port}/#key=${encodeURIComponent(key)}`);
  const reach = time => until(page, t => document.getElementById("clock").textContent >= t && document.getElementById("clock").textContent[0] !== "-", time, 90000);
  const begin = async name => { await page.keyboard.press("1"); await page.fill("#field1", name); await page.keyboard.press("Enter"); await until(page, n => document.getElementById("point").textContent === n, name); };
  const keep = async () => {
    await page.keyboard.down("2");
    await page.waitForTimeout(1200);
    await page.keyboard.up("2");
    await until(page, () => document.getElementById("point").textContent === "No point open", null, 20000);
  };
  await reach("14:01:05"); await begin("CUL-14");
  await reach("14:04:25"); await keep();
  await reach("14:06:35"); await begin("CUL-15");
  await reach("14:10:25"); await keep();
  await reach("14:12:45"); await begin("CUL-16");
  await reach("14:16:45"); await keep();
  await new Promise(done => { daemon.once("exit", done); daemon.kill("SIGTERM"); });

  execFileSync(process.env.STILLPOINT_REPORT, ["--pointbook", join(day, "out/harrowfen.gpkg"), "--out", join(day, "report")]);
  const report = await browser.newPage({ viewport: { width: 900, height: 960 }, deviceScaleFactor: .6 });
  await report.goto(pathToFileURL(join(day, "report", readdirSync(join(day, "report")).find(f => f.endsWith(".html")))).href);
  await report.screenshot({ path: join(out, "report.png") });
}

/// All states of one window, `width` px wide each, `across` beside one another.
async function sheet(name, window, width, across) {
  const { page: one, show, close } = await openPage(browser, window);
  const cells = [];
  for (const state of [...Object.keys(states), ...Object.keys(opened), "lost"]) {
    await show(state);
    cells.push(`<figure>${state}<img src="data:image/png;base64,${(await one.screenshot()).toString("base64")}"></figure>`);
  }
  await close();
  const all = await browser.newPage({ viewport: { width: across * (width + 12) + 12, height: 400 } });
  await all.setContent(`<style>body{margin:6px;background:#888;font:bold 13px sans-serif;color:#fff;display:flex;flex-wrap:wrap}figure{margin:6px}img{display:block;width:${width}px}</style>${cells.join("")}`);
  await all.screenshot({ path: join(out, `${name}.png`), fullPage: true });
  await all.close();
}
/// One state, for those who read of the page before they have it.
async function picture(name, state, window) {
  const { page, show, close } = await openPage(browser, window);
  await show(state);
  await page.screenshot({ path: join(out, `${name}.png`) });
  await close();
}
await picture("coasting", "coasting", { width: 1280, height: 800, mm: 5.9, deviceScaleFactor: .4 });
await picture("stale-dusk", "stale", { width: 1280, height: 800, mm: 5.9, dusk: true, deviceScaleFactor: .4 });
await picture("check-tall", "check", { width: 800, height: 1280, mm: 5.9, deviceScaleFactor: .4 });
await sheet("states-wide", { width: 1280, height: 800, mm: 5.9 }, 320, 4);
await sheet("states-dusk", { width: 1280, height: 800, mm: 5.9, dusk: true }, 320, 4);
await sheet("states-tall", { width: 800, height: 1280, mm: 5.9 }, 200, 6);
await sheet("states-small", { width: 1024, height: 600, mm: 6.69 }, 320, 4);
await sheet("states-phone", { width: 390, height: 844, mm: 6 }, 150, 8);
if (!process.argv.includes("states")) await demoDay();
await browser.close();
process.exit(0);
