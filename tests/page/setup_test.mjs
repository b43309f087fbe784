// The set-up on the page, from no configuration to the first kept point, for two receivers, by taps and what must be typed.
// Prints questions, taps, keys and seconds. Each screen is looked at in the narrowest window; with a folder as its argument
// in three, and by axe-core, and pictures of all are left there.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { createServer as createTcp } from "node:net";
import { join } from "node:path";
import { axeSource, folder, freePort, launch, listening, root, second, until } from "./support.mjs";

const pictures = process.argv[2];
const WINDOWS = pictures ? [[1280, 800], [800, 1280], [480, 800]] : [[480, 800]];
const MARKS = `name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m
VM-11,EPSG:6319,2010.0,47.6000000,-87.4000000,146.430,ellipsoid,0.005,0.008
`;

/// Runs in the page: what is cut, lies on something else, is too small or too faint.
function look() {
  const mm = parseFloat(getComputedStyle(document.documentElement).getPropertyValue("--mm")), wrong = [], boxes = [];
  const light = c => { const [r, g, b] = c.match(/[\d.]+/g).map(v => { v /= 255; return v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4; }); return .2126 * r + .7152 * g + .0722 * b; };
  const ground = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; if (!/^rgba\(.*, 0\)|transparent/.test(c)) return c; } return "rgb(255, 255, 255)"; };
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode, e = node.parentElement;
    if (!node.data.trim() || !e.getClientRects().length) continue;
    const style = getComputedStyle(e), name = `"${node.data.trim().slice(0, 40)}"`, range = document.createRange();
    if (parseFloat(style.fontSize) < 4.49 * mm) wrong.push(`${name} is ${(parseFloat(style.fontSize) / mm).toFixed(1)} mm high`);
    const [a, b] = [light(style.color), light(ground(e))].sort((x, y) => y - x);
    if ((a + .05) / (b + .05) < 7) wrong.push(`${name} has a contrast of ${((a + .05) / (b + .05)).toFixed(1)}`);
    range.selectNodeContents(node);
    const button = e.closest("button")?.getBoundingClientRect();
    for (const r of range.getClientRects()) {
      if (r.left < 0 || r.right > innerWidth + 1) wrong.push(`${name} is cut by the window`);
      if (button && (r.left < button.left || r.right > button.right || r.top < button.top - 1 || r.bottom > button.bottom + 1)) wrong.push(`${name} is cut by its button`);
      for (const other of boxes) if (other.node !== node && r.left < other.r.right - 1 && other.r.left < r.right - 1 && r.top + 2 < other.r.bottom - 2 && other.r.top + 2 < r.bottom - 2) wrong.push(`${name} lies on ${other.name}`);
      boxes.push({ node, name, r });
    }
  }
  for (const b of document.querySelectorAll("button")) {
    const r = b.getBoundingClientRect();
    if (r.width && (r.height < 20 * mm - 1 || r.width < 23 * mm - 1)) wrong.push(`${b.id || b.textContent} is ${(r.width / mm).toFixed(1)} x ${(r.height / mm).toFixed(1)} mm`);
  }
  if (document.documentElement.scrollWidth > innerWidth) wrong.push("the page is wider than the window");
  return [...new Set(wrong)];
}

const browser = await launch();
const table = [];
let misses = 0, pictured = 0;

async function firstPoint(name, change, typed) {
  if (!name.includes(process.argv[3] ?? "")) return;
  const began = Date.now(), where = folder(), port = await freePort(), config = join(where, "day.toml");
  let at = 0, asked = 0, taps = 0, keys = 0;
  const receiver = createTcp(socket => { const beat = setInterval(() => socket.write(change(second(at++))), 50); socket.on("error", () => {}); socket.on("close", () => clearInterval(beat)); });
  const link = `127.0.0.1:${await listening(receiver)}`;
  writeFileSync(join(where, "marks.csv"), MARKS);
  const daemon = spawn(process.env.STILLPOINTD ?? join(root, "build/dev/daemon/stillpointd"), ["--config", config, "--first-start", `127.0.0.1:${port}`, "--listen", "2"], { stdio: ["ignore", "pipe", "pipe"] });
  let log = "";
  for (const out of [daemon.stdout, daemon.stderr]) out.on("data", d => { log += d; });
  await new Promise((done, failed) => { daemon.stdout.on("data", () => log.includes("set-up page=") && done()); daemon.on("exit", c => failed(new Error(`ended with ${c}: ${log}`))); });

  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } }), page = await context.newPage();
  const problems = [];
  page.on("pageerror", e => problems.push(e.message));
  const title = part => until(page, p => document.getElementById("ask")?.textContent.includes(p), part, 30000).catch(async () => assert.fail(`no "${part}": ${await page.textContent("body")}\n${log}`));
  async function lookAt(what) {
    await page.evaluate(() => document.activeElement?.blur()); // what is typed into keeps its layout
    for (const [width, height] of WINDOWS) {
      await page.setViewportSize({ width, height });
      await page.evaluate(() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done))));
      for (const wrong of await page.evaluate(look)) { ++misses; console.log(`MISS  ${width} x ${height}  ${what}: ${wrong}`); }
      if (pictures) await page.screenshot({ path: join(pictures, `${String(pictured).padStart(2, "0")}-${what}-${width}x${height}.png`), fullPage: true });
    }
    ++pictured;
    await page.setViewportSize({ width: 1280, height: 800 });
    if (!pictures) return;
    await page.evaluate(axeSource());
    const { violations } = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
    for (const v of violations) { ++misses; console.log(`MISS  ${what}: axe ${v.id} ${v.nodes.map(n => n.target).join(" ")}`); }
  }
  const tap = async selector => { ++taps; await page.click(selector); };
  const type = async text => { keys += text.length; await page.fill("#typed", text); };

  // Nobody sees a question without the key.
  await page.goto(`http://127.0.0.1:${port}/`);
  await title("Which key");
  if (name === "TCP") await lookAt("key");
  for (const path of ["/events", "/points", "/setup.html"]) assert.ok([404, 503].includes(await page.evaluate(async p => (await fetch(p)).status, path)), path);
  assert.equal(await page.evaluate(async () => (await fetch("/control", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ jsonrpc: "2.0", id: 1, method: "setup", params: { answer: "?" } }) })).status), 403);
  const key = readFileSync(join(where, "control.page-key"), "utf8").trim();
  await page.goto("about:blank");
  await page.goto(`http://127.0.0.1:${port}/#key=${encodeURIComponent(key)}`);

  await title("Where is the receiver?");
  ++asked;
  if (name === "TCP") {
    await lookAt("receiver");
    await type("/dev/ttyACM0 96OO"); await tap("#next"); await until(page, () => document.getElementById("wrong").textContent.includes("A baud rate of 96OO cannot be"));
    await lookAt("wrong");
    keys = taps = 0;
  }
  await type(link); await tap("#next");
  let last = "", pole = false;
  for (;;) {
    let now = last;
    for (const end = Date.now() + 30000; now === last || /^(Listening|Waiting|Asking)/.test(now); now = await page.textContent("#ask")) {
      assert.ok(Date.now() < end, `stays at "${last}": ${await page.textContent("#wrong")}`);
      await page.waitForTimeout(20);
    }
    last = now;
    if (!last.endsWith("?")) break;
    ++asked;
    if (name === "TCP") await lookAt(`q${String(asked).padStart(2, "0")}`);
    if (last.startsWith("How long") && !pole && name === "TCP") {  // there and back: the answer before is asked again
      pole = true;
      await page.click("#back"); await title("control marks"); await page.fill("#typed", "marks.csv"); await page.click("#next"); await title("How long");
    }
    const [, answer = ""] = Object.entries(typed).find(([part]) => last.includes(part)) ?? [];
    if (answer.startsWith("tap ")) await tap(`#choices button:has(b:text-is("${answer.slice(4)}"))`);
    else { if (answer) await type(answer); await tap("#next"); }
  }
  assert.equal(last, "The configuration is in order.", log);
  await lookAt(`${name}-end`);
  assert.ok(asked <= 14, `${asked} questions`);
  if (name === "TCP") {
    const before = await page.evaluate(() => getComputedStyle(document.documentElement).getPropertyValue("--mm"));
    await page.click('#sizes button:has(b:text-is("Larger"))');
    assert.notEqual(await page.evaluate(() => getComputedStyle(document.documentElement).getPropertyValue("--mm")), before);
    await page.click('#sizes button:has(b:text-is("Smaller"))');
    await page.click('#sizes button:has(b:text-is("Sound"))');
  }
  await tap("#next");
  const word = wanted => until(page, w => document.getElementById("verdict")?.textContent === w, wanted, 60000)
    .catch(async () => assert.fail(`never ${wanted}: ${await page.url()} ${(await page.textContent("body")).slice(0, 600)}\n${log}`));
  if (typed["control marks"]) {  // the first check is opened
    await until(page, () => document.documentElement.dataset.title === "Check on a mark", null, 30000);
    await tap('#planned button:has(b span:text-is("VM-11"))');
    await word("ENOUGH"); await tap("#keep");
    await until(page, () => document.getElementById("also").textContent.includes("PASSED"), null, 30000);
  }
  await word("READY");
  await tap("#begin"); await page.fill("#field1", "P1"); keys += 2; await tap("#begin");
  // Kept by hand as soon as it is enough, or by itself once both wanted errors are reached.
  const isKept = () => page.evaluate(async () => (await (await fetch("/points")).json()).result.points.some(p => p.point === "P1" && p.status === "accepted"));
  const end = Date.now() + 60000;
  while (!(await isKept()) && Date.now() < end) {
    if (await page.textContent("#verdict") === "ENOUGH") await tap("#keep");
    await page.waitForTimeout(200);
  }
  assert.ok(await isKept(), await page.textContent("body"));
  assert.deepEqual(problems, []);
  assert.ok(existsSync(config));
  table.push([name, asked, taps, keys, ((Date.now() - began) / 1000).toFixed(1)]);
  await context.close();
  receiver.close();
  await new Promise(done => { daemon.once("exit", done); daemon.kill("SIGTERM"); });
}

const common = { "work called": "Harrowfen", "How long": "1.800 m", "measuring point": "71 mm" };
await firstPoint("TCP", text => text, { ...common, "control marks": "marks.csv", "frame does the network": "tap NAD83(2011)", "Which epoch": "2010.0", "How do you know": "operator" });
await firstPoint("satellites-no-GST", text => text.replace(/\$GNGST.*\r\n/, "").replace(/\$GNGGA.*\r\n/, line => {
  const body = line.slice(1, line.indexOf("*")).replace(",W,4,", ",W,2,").replace(/0417$/, "0131");
  let sum = 0;
  for (const c of body) sum ^= c.charCodeAt(0);
  return `$${body}*${sum.toString(16).toUpperCase().padStart(2, "0")}\r\n`;
}), common);
await browser.close();
console.log("receiver            questions  taps  keys  seconds");
for (const [name, ...figures] of table) console.log(name.padEnd(20) + figures.map((f, i) => String(f).padStart([9, 6, 6, 9][i])).join(""));
console.log(`${pictured} screens looked at, windows of each: ${WINDOWS.length}, ${misses} misses`);
process.exit(misses ? 1 : 0);
