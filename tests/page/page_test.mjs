// The page in a real browser: what it shows, how large, for whom, and what it never does. Against a stand-in that says
// what it is told, then against the daemon. Every check is named by the fact it holds.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { alert, axeSource, compareVerdicts, frame, launch, second, situations, startDaemon, startStandIn, trail, until } from "./support.mjs";

const PORTRAIT = { width: 800, height: 1280 };
const browser = await launch(), standIn = await startStandIn(), axe = axeSource();
let failed = 0;
const leaving = [];
async function fact(name, check) {
  const began = Date.now();
  try { await check(); console.log(`ok      ${name} (${Date.now() - began} ms)`); }
  catch (error) { failed++; console.log(`FAILED  ${name}\n${error.stack}`); }
  for (const leave of leaving.splice(0)) await leave();
}
const pause = ms => new Promise(done => setTimeout(done, ms));
/// A page that has the frame; the stand-in repeats it, as the daemon does.
async function shown(viewport, data, path = "") {
  standIn.push("stay", trail()); standIn.push("status", data);
  const context = await browser.newContext({ viewport }), page = await context.newPage();
  page.problems = [];
  page.on("pageerror", e => page.problems.push(e.message));
  page.on("console", m => { if (m.type() === "error") page.problems.push(m.text()); });
  page.beat = setInterval(() => standIn.push("status", page.now), 400);
  page.now = data;
  await page.goto(standIn.url + path);
  await until(page, () => !document.documentElement.classList.contains("old"));
  page.show = async next => { page.now = next; standIn.push("status", next); await until(page, what => document.getElementById("what").textContent.replaceAll("\u00a0", " ") === what, next.situation.what); };
  leaving.push(async () => { clearInterval(page.beat); standIn.hush(); await context.close(); });
  return page;
}
/// Waits for what the page says of an act, in the third line of its sentences; `what` is a pattern or the whole of it.
const said = (page, what) => until(page, ([pattern, whole]) => { const text = document.getElementById("also").textContent.replaceAll("\u00a0", " "); return whole ? text === pattern : new RegExp(pattern).test(text); }, [what.source ?? what, typeof what === "string"]);
const asked = async page => until(page, () => document.documentElement.dataset.ask === "name");
const text = (page, id) => page.$eval("#" + id, e => e.textContent);
async function found(page, impacts) {
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  return violations.filter(v => !impacts || impacts.includes(v.impact)).map(v => `${v.id}: ${v.nodes.map(n => n.target).join(" ")}`);
}

await fact("all eleven situations differ from one another in words and, without colour, in the picture", async () => {
  const page = await shown(PORTRAIT, situations["fresh and good"]);
  const words = new Map(), pictures = [];
  const take = async name => {
    const of = await page.evaluate(() => ["question", "verdict", "figure", "of", "what", "act", "sign", "alerttext"].map(id => document.getElementById(id).innerText).join("|") + document.getElementById("answer").dataset.tone);
    for (const [other, said] of words) assert.notEqual(of, said, `${name} reads like ${other}`);
    words.set(name, of);
    pictures.push((await page.screenshot({ clip: { x: 0, y: 0, width: 800, height: 640 } })).toString("base64"));
  };
  for (const [name, data] of Object.entries(situations)) { await page.show(data); await take(name); }
  clearInterval(page.beat); standIn.hush(); standIn.streams.forEach(s => s.destroy());
  await until(page, () => document.documentElement.classList.contains("old"));
  await take("daemon lost");
  assert.equal(words.size, 11);
  assert.match(words.get("daemon lost"), /NO.*OLD/s);
  const blank = await browser.newPage();
  const least = await blank.evaluate(async all => {
    const grey = await Promise.all(all.map(async data => {
      const image = await createImageBitmap(await (await fetch("data:image/png;base64," + data)).blob());
      const c = new OffscreenCanvas(image.width, image.height).getContext("2d");
      c.drawImage(image, 0, 0);
      const { data: p } = c.getImageData(0, 0, image.width, image.height), out = new Uint8Array(p.length / 4);
      for (let i = 0; i < out.length; ++i) out[i] = .2126 * p[4 * i] + .7152 * p[4 * i + 1] + .0722 * p[4 * i + 2] > 127 ? 1 : 0;
      return out;
    }));
    let least = Infinity;
    for (let a = 0; a < grey.length; ++a) for (let b = 0; b < a; ++b) { let n = 0; for (let i = 0; i < grey[a].length; ++i) n += grey[a][i] ^ grey[b][i]; least = Math.min(least, n); }
    return least;
  }, pictures);
  assert.ok(least > 1000, `only ${least} dots differ between two situations`);
  await blank.close();
});

await fact("axe-core finds nothing: both themes, an open table, a question", async () => {
  const page = await shown(PORTRAIT, situations["jump set apart"], "#key=ABCDE");
  await page.click("[data-table=scatter]");
  await until(page, () => document.querySelectorAll("#table tbody tr").length > 50);
  assert.deepEqual(await found(page), []);
  await page.keyboard.press("t");
  assert.deepEqual(await found(page), []);
  await page.show(situations["fresh and good"]);
  await page.keyboard.press("1");
  await until(page, () => document.documentElement.dataset.ask === "name");
  assert.deepEqual(await found(page), []);
  assert.deepEqual(page.problems, []);
});

await fact("the verdict is spoken at most four times a minute, and there is one region for alarms", async () => {
  const page = await shown(PORTRAIT, situations["fresh and good"]);
  await page.evaluate(() => { window.spoken = 1; new MutationObserver(() => { window.spoken++; }).observe(document.getElementById("said"), { childList: true, characterData: true, subtree: true }); });
  for (let i = 0; i < 12; ++i) await page.show(i % 2 ? situations["fresh and good"] : situations["not still yet"]);
  assert.equal(await page.evaluate(() => window.spoken), 4);
  assert.equal((await page.$$("[role=alert]")).length, 1);
  assert.equal((await page.$$("[role=status]")).length, 1);
});

await fact("every act has a key, and the keyboard alone is enough", async () => {
  const page = await shown(PORTRAIT, situations["fresh and good"]);
  standIn.asked.length = 0;
  const key = k => page.keyboard.press(k);
  await key("1");
  await asked(page);
  await page.keyboard.type("ABCDE"); await key("Enter");  // the key for acting
  await said(page, /may act now/);
  await key("1"); await asked(page);
  await page.keyboard.press("Control+A"); await page.keyboard.type("HF-A-0014"); await key("Tab"); await page.keyboard.type("CUL-U"); await key("Enter");
  const wasAsked = async (n, what) => { for (let i = 0; i < 100 && standIn.asked.length < n; ++i) await pause(20); assert.deepEqual({ ...standIn.asked[n - 1], jsonrpc: undefined, id: undefined }, { ...what, jsonrpc: undefined, id: undefined }); };
  await wasAsked(1, { method: "begin", params: { name: "HF-A-0014", code: "CUL-U" } });
  await page.show(situations["averaging at 40 %"]);
  await key("2"); // too short a press
  await said(page, /Hold Keep for one second/);
  await page.keyboard.down("2"); await pause(1200); await page.keyboard.up("2");
  await until(page, () => document.querySelector("#keep b span").textContent === "Undo");
  await key("u");
  await page.show(situations["enough"]);
  await key("2");
  await wasAsked(2, { method: "keep", params: { name: "HF-A-0014", visit: 1 } });
  await page.show(situations["jump set apart"]);
  await key("a");
  await wasAsked(3, { method: "alerts", params: { seen: true, key: "position-jump", id: situations["jump set apart"].status.alerts[0].id } });
  const sound = () => page.$$eval("#set button", all => all.find(b => b.textContent.startsWith("Sound")).textContent);
  await key("s"); assert.match(await sound(), /is on/);
  await key("s"); assert.match(await sound(), /quiet 1(19|20) s$/);
  await key("m"); assert.equal(await page.evaluate(() => document.documentElement.dataset.ask), "more"); await key("m");
  await key("?"); await asked(page); await key("Escape");
  const reached = new Set();
  for (let i = 0; i < 24; ++i) {
    await key("Tab");
    const [id, outline] = await page.evaluate(() => { const e = document.activeElement; return e === document.body ? [] : [e.id || e.dataset.table || e.querySelector?.("b")?.textContent, getComputedStyle(e).outlineStyle]; });
    if (id) { reached.add(id); if (id !== "table") assert.notEqual(outline, "none", id); }
  }
  for (const id of ["begin", "keep", "discard", "seen", "more", "Sound", "Dusk", "Help", "Check", "Held", "Pole", "Close", "Points", "scatter", "ages", "errors"]) assert.ok(reached.has(id), `${id} is not reached: ${[...reached]}`);
  assert.deepEqual(page.problems, []);
});

await fact("a stay on a mark says that it is a check, draws the mark, and Keep tells what the check came to", async () => {
  const data = structuredClone(situations["enough"]);
  Object.assign(data.status.occupation, { name: "VM-11", check: true });
  const page = await shown(PORTRAIT, data, "#key=ABCDE");
  await said(page, /may act now/);
  assert.equal(await text(page, "point"), "Check on VM-11");
  await page.evaluate(() => scrollTo(0, innerHeight));
  const circles = () => page.$$eval("#bigscatter circle", all => all.length);
  await until(page, () => document.getElementById("scattersays").textContent.includes("seconds counted"));
  const before = await circles();
  standIn.push("stay", { ...trail(), mark_mm: [31, 40.5, 2] });  // 30 mm east and 40 mm north of the average
  await until(page, () => document.getElementById("scattersays").textContent.startsWith("The average is 50 mm from the known mark. "));
  assert.equal(await circles(), before);  // the mark's circle for the average's dot
  assert.equal(await text(page, "of"), "100 % of the check is done".replace(" %", "\u00a0%"));
  standIn.answer = { result: { check: { outcome: "stop", text: "check on VM-11 failed: 0.050 m off, limit 0.030 m" } } };
  await page.click("#keep");
  await said(page, "Check on VM-11 failed: 0.050 m off, limit 0.030 m.");
  data.status.occupation.enough = false; data.status.occupation.keep_gives = "held"; data.situation.what = "Fresh corrections: averaging.";
  await page.show(data);
  assert.match(await text(page, "keep"), /hold 1 s:\s+too short/);
  standIn.answer = null;
});

await fact("what is over stands behind what is so, in one line, and one press sees all of it", async () => {
  const due = alert("notice", "check-due", "a check is due", { id: 3 }), gone = [alert("stop-work", "corrections-stale", "too old", { id: 4, active: false }), alert("warning", "feed-silent", "silent", { id: 5, active: false })];
  const withAlerts = alerts => { const data = structuredClone(situations["fresh and good"]); data.status.alerts = alerts; return data; };
  const page = await shown(PORTRAIT, withAlerts([...gone, due]), "#key=ABCDE");
  await said(page, /may act now/);
  const place = () => Promise.all(["alerttext", "sign", "seen"].map(id => text(page, id)));
  const [words, sign, button] = await place();
  assert.match(words, /NOTICE .*A check is due\./); assert.match(sign, /not seen/); assert.match(button, /1 more/);
  await page.show(withAlerts([...gone, { ...due, seen: true }]));
  await until(page, () => document.getElementById("seen").textContent.includes("2 gone"));
  const after = await place();
  assert.match(after[0], /A check is due\./); assert.match(after[1], /seen/); assert.match(after[2], /2 gone/);
  await page.show(withAlerts(gone));
  await until(page, () => document.getElementById("sign").textContent.includes("2 gone"));
  const over = await place();
  assert.match(over[0], /STOP MEASURING .*Too old\./); assert.match(over[1], /2 gone, not seen/); assert.match(over[2], /2 gone/);
  standIn.asked.length = 0;
  await page.keyboard.press("a");
  for (let i = 0; i < 100 && standIn.asked.length < 2; ++i) await pause(20);
  assert.deepEqual(standIn.asked.map(each => each.params.id), [4, 5]);
});

await fact("a reply never hides what to do", async () => {
  for (const window of [PORTRAIT, { width: 1280, height: 720 }, { width: 1024, height: 520 }, { width: 390, height: 844 }]) {
    const page = await shown(window, situations["jump set apart"], "#key=ABCDE");
    await said(page, /may act now/);
    standIn.answer = { error: { code: 1, message: "another program holds the pointbook, so nobody can tell whether HF-1 was measured before; close it there, or say --new if it is new" } };
    await page.keyboard.press("a");
    await said(page, /Another program holds/);
    assert.ok(await page.isVisible("#act"));
    assert.equal(await text(page, "act"), situations["jump set apart"].situation.act);
    assert.ok(await page.isVisible("#also") || await page.isVisible("#reply"));
    standIn.answer = null;
    await page.close();
  }
});

await fact("a stay that ended and left nothing is told of beside the points", async () => {
  standIn.lostStays = ["HF-A-0013", "HF-A-0014"].map(name => ({ name, visit: 1, check: false, seen: true, text: `${name} ended: the receiver fell silent, nothing stored` }));
  const page = await shown(PORTRAIT, situations["fresh and good"]);
  await page.evaluate(() => scrollTo(0, innerHeight));
  await until(page, () => document.getElementById("mapsays").textContent.endsWith("No point: HF-A-0014 ended: the receiver fell silent, nothing stored. No point: HF-A-0013 ended: the receiver fell silent, nothing stored."));
  await page.evaluate(() => [...document.querySelectorAll("#set button")].find(b => b.textContent.startsWith("Points")).click());
  await asked(page);
  assert.equal(await text(page, "asktext"), "No point is kept yet. No point: HF-A-0014 ended: the receiver fell silent, nothing stored. (+1 more)");
  standIn.lostStays = [];
});

await fact("only a refusal for want of the key takes the page's right to act", async () => {
  const page = await shown(PORTRAIT, situations["enough"], "#key=ABCDE");
  await said(page, /may act now/);
  standIn.answer = { status: 403, text: "Another site's page may not ask this." };
  await page.click("#keep");
  await said(page, "Refused: Another site's page may not ask this.");
  assert.ok(await page.evaluate(() => localStorage.getItem("proof")));
  standIn.answer = { status: 403, text: "This browser may only look.", headers: { "Stillpoint-Key": "needed" } };
  await page.click("#keep");
  await asked(page);
  assert.equal(await page.evaluate(() => localStorage.getItem("proof")), null);
  standIn.answer = null;
  page.problems = page.problems.filter(p => !p.includes("403"));
  assert.deepEqual(page.problems, []);
});

await fact("a choice that is refused for want of the key leaves the question for the key as it is", async () => {
  const page = await shown(PORTRAIT, situations["fresh and good"], "#key=ABCDE");
  await said(page, /may act now/);
  standIn.marks = [{ mark: "VM-11", latitude_deg: 47.6, longitude_deg: -87.4 }];
  const chooses = async (open, choice) => {
    await page.evaluate(() => localStorage.setItem("proof", "p")); await page.reload(); await until(page, () => !document.documentElement.classList.contains("old"));
    standIn.answer = { error: { code: 1, message: "reads like", data: { question: "name-near", candidate: "HF-1", candidate_is: "point" } } };
    await open(); await asked(page);
    await until(page, label => document.querySelector("#planned button b")?.textContent === label, choice);
    standIn.answer = { status: 403, text: "This browser may only look.", headers: { "Stillpoint-Key": "needed" } };
    await page.click("#planned button");
    await until(page, () => document.getElementById("label1").textContent === "Key");
    await pause(100);  // whoever waits for the answer has heard it
    assert.equal(await page.evaluate(() => document.documentElement.dataset.ask), "name", choice);
    assert.match(await text(page, "asktext"), /^To act this page needs the key/, choice);
  };
  await chooses(async () => { await page.keyboard.press("1"); await page.fill("#field1", "HF-l"); await page.keyboard.press("Enter"); }, "It is new");
  await chooses(async () => { await until(page, () => /VM-11/.test(document.getElementById("set").textContent)); await page.evaluate(() => [...document.querySelectorAll("#set button")].find(b => b.textContent.startsWith("Check")).click()); }, "VM-11");
  Object.assign(standIn, { answer: null, marks: [] });
});

await fact("a hundred taps of rain discard nothing; a hold of one second does after five, unless it is taken back", async () => {
  const page = await shown(PORTRAIT, situations["averaging at 40 %"], "#key=ABCDE");
  await said(page, /may act now/);
  standIn.asked.length = 0;
  const box = await (await page.$("#discard")).boundingBox();
  const at = i => [box.x + 8 + i * 37 % (box.width - 16), box.y + 8 + i * 23 % (box.height - 16)];
  for (let i = 0; i < 100; ++i) { await page.mouse.move(...at(i)); await page.mouse.down(); if (i % 50 === 0) await pause(700); await page.mouse.up(); }
  await pause(300);
  await said(page, "Hold Discard for one second.");
  assert.deepEqual(standIn.asked, []);
  const hold = async ms => { await page.mouse.move(...at(3)); await page.mouse.down(); await pause(ms); await page.mouse.up(); };
  await hold(1500);
  const waits = () => until(page, () => /^\s*Undo\s*3\s*[45] s/.test(document.getElementById("discard").textContent));
  await waits();
  await page.mouse.click(...at(5));  // Undo stands in the same place
  await said(page, /nothing was discarded/);
  await page.keyboard.down("3"); await pause(1200); await page.keyboard.up("3");
  await waits();
  await page.keyboard.press("u");
  await hold(1100);
  assert.deepEqual(standIn.asked, []);
  await pause(4000);
  assert.deepEqual(standIn.asked, []);
  for (let i = 0; i < 100 && !standIn.asked.length; ++i) await pause(30);
  assert.deepEqual(standIn.asked.map(a => a.method), ["discard"]);
});

await fact("a hold made before the first second counts means its point when that second has come", async () => {
  const begun = situations["averaging at 40 %"], before = structuredClone(begun);
  before.status.occupation.since_utc = null;
  const page = await shown(PORTRAIT, before, "#key=ABCDE");
  await said(page, /may act now/);
  standIn.asked.length = 0;
  await page.keyboard.down("3"); await pause(1200); await page.keyboard.up("3");
  await until(page, () => document.querySelector("#discard b span").textContent === "Undo");
  await page.show(begun);
  for (let i = 0; i < 200 && !standIn.asked.length; ++i) await pause(30);
  assert.deepEqual(standIn.asked.map(a => a.method), ["discard"]);
});

await fact("after one tap alerts sound by their severity, good news too, and training is silent", async () => {
  const page = await shown(PORTRAIT, situations["fresh and good"]);
  const sound = () => page.evaluate(() => { const s = document.documentElement.dataset.sound ?? ""; document.documentElement.dataset.sound = ""; return s; });
  const heard = async (kind, data) => { await sound(); await page.show(data); await pause(150); assert.equal(await sound(), kind, data.situation.what); };
  await page.keyboard.press("s");
  await heard("high", situations["jump set apart"]);
  await heard("", { ...situations["jump set apart"], situation: { ...situations["jump set apart"].situation, what: "The same alert." } });
  await heard("good", { ...situations["averaging at 40 %"], status: { ...situations["averaging at 40 %"].status } });
  await heard("medium", frame("counts", "A warning.", "x", { alerts: [alert("warning", "clock-disagrees", "clocks disagree", { id: 5 })] }));
  await heard("low", frame("counts", "A notice.", "x", { alerts: [alert("notice", "check-due", "a check is due", { id: 6 })] }));
  await heard("", frame("refused", "In training.", "x", { training: true, alerts: [alert("stop-work", "position-jump", "a jump", { id: 7 })] }));
});
standIn.stop();

const daemon = await startDaemon();
let at = 0;
let feed = setInterval(() => daemon.link.write(second(at++)), 100);  // ten seconds of stream in one of ours
const context = await browser.newContext({ viewport: PORTRAIT }), page = await context.newPage();
const foreignRequests = [];
page.on("request", r => { if (!r.url().startsWith(daemon.url) && !r.url().startsWith("data:")) foreignRequests.push(r.url()); });

await fact("with the daemon's key a point is occupied and kept from the page, and the cookie is out of a script's reach", async () => {
  await page.goto(daemon.url + "#key=" + encodeURIComponent(daemon.key()));
  await said(page, /may act now/);
  assert.equal(page.url(), daemon.url);
  const [cookie] = await context.cookies();
  assert.ok(cookie.httpOnly && cookie.sameSite === "Strict");
  assert.equal(await page.evaluate(() => document.cookie), "");
  await until(page, () => document.getElementById("verdict").textContent === "READY");
  await page.click("#begin"); await page.fill("#field1", "CUL-14"); await page.click("#begin");
  await until(page, () => document.getElementById("point").textContent === "CUL-14");
  await until(page, () => document.getElementById("verdict").textContent === "ENOUGH");
  await page.click("#keep");
  await said(page, /^CUL-14 accepted, \d+ mm horizontal, \d+ mm vertical \(95 %\)/);
  await until(page, () => document.querySelector("#newest tbody")?.textContent.includes("CUL-14"));
  await page.click("#begin");
  assert.equal(await page.$eval("#field1", e => e.value), "CUL-15");
  await page.click("#discard");
  await until(page, () => document.getElementById("verdict").textContent === "READY");
  assert.deepEqual(foreignRequests, []);
});

await fact("a page of another port, in the same browser with its cookie, can neither read nor act", async () => {
  const other = await startStandIn(), foreign = await context.newPage();
  await foreign.goto(other.url);
  const got = await foreign.evaluate(async url => {
    const attempt = async (path, options) => { try { const r = await fetch(url + path, options); return `${r.type} ${r.status} ${(await r.text()).length}`; } catch { return "nothing"; } };
    const body = JSON.stringify({ jsonrpc: "2.0", id: 1, method: "begin", params: { name: "FOREIGN" } });
    const stream = await new Promise(done => { try { const s = new EventSource(url + "events", { withCredentials: true }); s.onopen = () => done("open"); s.onerror = () => done("closed"); } catch { done("closed"); } });
    return [await attempt("points", { credentials: "include" }), await attempt("control", { method: "POST", credentials: "include", headers: { "Content-Type": "application/json" }, body }),
      await attempt("control", { method: "POST", mode: "no-cors", credentials: "include", headers: { "Content-Type": "text/plain" }, body }), stream];
  }, daemon.url);
  assert.deepEqual(got.map(g => g.replace(/^opaque 0 0$/, "nothing")), ["nothing", "nothing", "nothing", "closed"]);
  assert.equal(await text(page, "point"), "No point open");
  await foreign.close(); other.stop();
});

await fact("the verdict on the page is the daemon's, second by second, while ages pass their limits and come back", async () => {
  clearInterval(feed);
  const { compared, yes, wrong } = await compareVerdicts(daemon, page, 120, 70, at);
  at += 120;
  assert.ok(compared > 60 && yes > 10 && yes < compared - 10, `${compared} compared, ${yes} YES`);
  assert.deepEqual(wrong, []);
  feed = setInterval(() => daemon.link.write(second(at++)), 100);
});

await fact("a daemon that is killed turns the verdict to NO, every value to OLD, within 2.5 s", async () => {
  await until(page, () => document.getElementById("verdict").textContent === "READY");
  clearInterval(feed);
  daemon.process.kill("SIGKILL");
  const began = Date.now();
  await until(page, () => document.getElementById("verdict").textContent === "NO" && document.documentElement.classList.contains("old"), null, 4000);
  const took = Date.now() - began;
  assert.ok(took <= 2500, `${took} ms`);
  assert.match(await page.evaluate(() => getComputedStyle(document.querySelector("#values > div"), "::after").content), /OLD/);
});
await daemon.stop();

if (process.env.STILLPOINT_REPORT) await fact("axe-core finds nothing serious on the day's report", async () => {
  const out = join(daemon.folder, "report");
  execFileSync(process.env.STILLPOINT_REPORT, ["--pointbook", join(daemon.folder, "harrowfen.gpkg"), "--out", out]);
  const report = await browser.newPage();
  const { readdirSync } = await import("node:fs");
  await report.goto(pathToFileURL(join(out, readdirSync(out).find(f => f.endsWith(".html")))).href);
  assert.deepEqual(await found(report, ["serious", "critical"]), []);
});
await browser.close();
console.log(failed ? `${failed} FAILED` : "all facts hold");
process.exit(failed ? 1 : 0);
