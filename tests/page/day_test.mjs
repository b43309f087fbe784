// A whole day by hand on the page alone: opening check, seven points with codes, one of them held and decided, the pole
// changed, what was wrong put right, closing check, the day closed. Nothing is typed but names, codes, reasons, a height
// and a time; all else is tapped.
import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { launch, second, startDaemon, until } from "./support.mjs";

// Where the invented receiver stands, less the antenna: ellipsoidal 184.50 - 36.20 - 1.871 m.
const MARKS = `name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m,recovered,status,remarks
VM-13,EPSG:6319,2010.0,47.6042100,-87.3911800,151.204,ellipsoid,0.005,0.008,2024-10-11,good,Old Pump
VM-11,EPSG:6319,2010.0,47.6000000,-87.4000000,146.430,ellipsoid,0.005,0.008,2026-05-02,good,Sluice
`;
const daemon = await startDaemon('[checks]\nmarks = "marks.csv"\n', folder => writeFileSync(join(folder, "marks.csv"), MARKS));
const browser = await launch(), context = await browser.newContext({ viewport: { width: 1280, height: 800 } }), page = await context.newPage();
let at = 0, every_ms = 100, feed = null; // ten seconds of stream in one of ours
const write = () => { daemon.link.write(second(at++)); feed = setTimeout(write, every_ms); };
write();
const problems = [];
page.on("pageerror", e => problems.push(e.message));

const said = pattern => until(page, source => new RegExp(source).test(document.getElementById("also").textContent.replaceAll("\u00a0", " ")), pattern.source, 30000)
  .catch(async () => assert.match(await seen(), pattern));
const word = wanted => until(page, w => document.getElementById("verdict").textContent === w, wanted, 30000);
const seen = () => page.evaluate(() => ["point", "verdict", "what", "act", "also", "asktext"].map(id => document.getElementById(id).textContent).join("|"));
const title = wanted => until(page, w => document.getElementById("point").textContent === w, wanted, 30000).catch(async () => assert.equal(await seen(), wanted));
const asking = wanted => until(page, w => document.documentElement.dataset.ask === "name" && document.documentElement.dataset.title === w, wanted);
const tap = id => page.click("#" + id);
const choose = async name => page.click(`#planned button:has(b span:text-is("${name}"))`);
const more = async (name, lines) => { await tap("more"); const button = page.locator(`:is(#rest, #set2) button:has(b span:text-is("${name}"))`); if (lines) assert.match(await button.textContent(), lines); await button.click(); };
async function begin(name, code) {
  await tap("begin"); await asking("New point");
  if (name) await page.fill("#field1", name);
  const proposed = await page.inputValue("#field1");
  if (code) await page.fill("#field2", code);
  await tap("begin"); await title(proposed);
  return proposed;
}
async function held(button) {
  const box = await (await page.$("#" + button)).boundingBox();
  await page.mouse.move(box.x + 30, box.y + 30); await page.mouse.down(); await page.waitForTimeout(1200); await page.mouse.up();
  await until(page, id => document.querySelector(`#${id} b span`).textContent === "Undo", button);
}
async function check(mark) {
  await choose(mark); await title(`Check on ${mark}`);
  await word("ENOUGH"); await tap("keep");
  await said(/^PASSED: \d+ mm off VM-11/); await title("No point open");
}
const points = () => page.evaluate(async () => (await (await fetch("/points")).json()).result.points);

await page.goto(daemon.url + "#key=" + encodeURIComponent(daemon.key()));
await word("READY");
await until(page, () => /start/.test(document.getElementById("begin").textContent), null, 30000); // the key was taken

await more("Check", /VM-11.*VM-13/s); // the nearest first
await asking("Check on a mark");
assert.equal(await page.textContent("#planned button b"), "VM-11");
await check("VM-11");

await begin("CUL-14", "CUL-U"); await word("ENOUGH"); await tap("keep"); await said(/^CUL-14 accepted, /);
assert.equal(await begin(null, "CUL-D"), "CUL-15"); // the next free name is proposed
await word("ENOUGH"); await tap("keep"); await said(/^CUL-15 accepted, /);

// A name that is known keeps the question; Back leaves it, and nothing has begun.
await tap("begin"); await page.fill("#field1", "CUL-14"); await tap("begin");
await until(page, () => /known already/.test(document.getElementById("asktext").textContent));
assert.equal(await page.inputValue("#field1"), "CUL-14");
await tap("discard"); await title("No point open");

await begin("CUL-16", "CUL-D"); // begun on the wrong thing, and discarded by a hold
await held("discard"); await said(/CUL-16 .*discarded/); await title("No point open");

every_ms = 1000;
await begin("CUL-16", "CUL-D"); // kept before it was enough
await until(page, () => /will be held/.test(document.getElementById("keep").textContent), null, 30000);
await held("keep"); await said(/^CUL-16 held: /); await title("No point open");
every_ms = 100;
await more("Held", /decide 1/); await asking("Held points");
await choose("CUL-16"); await asking("Decide CUL-16");
await choose("Accept"); await asking("Accept CUL-16");
await tap("begin"); // without a reason it is not done
await until(page, () => /Say why/.test(document.getElementById("asktext").textContent));
await page.fill("#field1", "short, and good enough for a culvert"); await tap("begin");
await said(/CUL-16 .*accepted/);

await more("Pole"); await asking("Pole");
await page.fill("#field1", "1.810"); await page.fill("#field2", "the tip was changed"); await tap("begin");
await said(/1\.871 m became 1\.881 m/);

for (const name of ["CUL-17", "CUL-18", "CUL-19"]) { assert.equal(await begin(null, null), name); await word("ENOUGH"); await tap("keep"); await said(new RegExp(`^${name} accepted, `)); }

// Mending: the open point is renamed, a kept one gets its code, and one on the wrong mark is made void.
await begin("CUL-91", null); await more("Points"); await asking("Points");
await choose("CUL-91"); await asking("Amend CUL-91"); await page.fill("#field1", "CUL-20"); await tap("begin");
await said(/It is CUL-20 visit 1 now/); await title("CUL-20"); await word("ENOUGH"); await tap("keep"); await said(/^CUL-20 accepted, /);
await more("Points"); await choose("CUL-19"); await choose("Amend"); await asking("Amend CUL-19");
await page.fill("#field1", "CUL-20"); await page.fill("#field2", "CUL-D"); await tap("begin");
await tap("begin"); // without a reason it is not done
await until(page, () => /Say why/.test(document.getElementById("asktext").textContent));
await page.fill("#field1", "misread"); await tap("begin");
await until(page, () => /known already/.test(document.getElementById("asktext").textContent));
await tap("discard"); await title("No point open");
await more("Points"); await choose("CUL-19"); await choose("Amend"); await page.fill("#field1", "CUL-29"); await tap("begin");
await page.fill("#field1", "misread"); await tap("begin"); await said(/It is CUL-29 visit 1 now, amended by/);
await more("Points"); await choose("CUL-20"); await choose("Void"); await asking("Make CUL-20 void");
await page.fill("#field1", "the neighbour's culvert"); await tap("begin"); await said(/CUL-20 visit 1 is rejected by/);

// What nobody can stand on: by a compass from one point, and by two distances.
const typed = async (...values) => {
  for (const [i, value] of values.entries()) if (value !== null) await page.fill(`#field${i + 1}`, value);
  await tap("begin");
};
await more("Points"); await choose("CUL-29"); await choose("Offset"); await asking("Offset point");
await typed("WALL-1", "WAL"); await typed("four");
await until(page, () => /Type the distance as a number/.test(document.getElementById("asktext").textContent));
await typed("4,2", null, "0.35"); await choose("Bearing"); await typed("400", null, "-4.5");
await until(page, () => /from 0 to 360/.test(document.getElementById("asktext").textContent));
await typed("123,4"); await said(/^WALL-1 is 4\.200 m from CUL-29 visit 1 at 118\.9 degrees from true north/);
await more("Points"); await choose("CUL-18"); await choose("Offset"); await typed("TREE"); await typed("3");
await choose("Distance"); await choose("CUL-29"); await typed("2.5"); await choose("Left");
await until(page, () => /miss each other by|cross at/.test(document.getElementById("asktext").textContent)); // one place
await tap("discard"); await title("No point open");
const wall = (await points()).find(p => p.point === "WALL-1");
assert.deepEqual([wall.status, wall.code, wall.offset.from[0].name, wall.offset.declination_deg], ["accepted", "WAL", "CUL-29", -4.5]);

// The pole was wrong since a time of day: the last points are held, and are decided.
const since = (await points())[5].started_utc;
const [hh, mm] = await page.evaluate(utc => [new Date(utc).getHours(), new Date(utc).getMinutes()], since);
await more("Pole"); await asking("Pole");
await page.fill("#field1", "1.805"); await page.fill("#field2", "the stop was worn"); await page.fill("#field3", "noon"); await tap("begin");
await until(page, () => /HH:MM/.test(document.getElementById("asktext").textContent));
await page.fill("#field3", `${hh}:${String(mm).padStart(2, "0")}`); await tap("begin");
await said(/1\.876 m above the mark from now on, and was since/);
const allHeld = (await points()).filter(p => p.status === "held").map(p => p.point);
const heldNow = allHeld.filter(name => name !== "WALL-1"); // it is held with its stay, and free again with it
assert.ok(allHeld.includes("WALL-1"), allHeld.join());
assert.ok(heldNow.includes("CUL-29") && !heldNow.includes("CUL-20"), heldNow.join());
for (const name of heldNow) {
  await more("Held"); await choose(name); await choose("Accept"); await page.fill("#field1", "to be computed again"); await tap("begin");
  await said(new RegExp(`${name} .*accepted`));
}

assert.equal((await points()).find(p => p.point === "WALL-1").status, "accepted");

await more("Close"); await asking("Close the day");
await choose("Check"); await asking("Closing check");
await check("VM-11");
await more("Close"); await asking("Close the day");
await tap("begin"); await asking("The day is closed");
await tap("discard");
await until(page, () => document.getElementById("ear").textContent === "DAY CLOSED");

const kept = await points();
assert.deepEqual(kept.map(p => [p.point, p.status, p.code]), [["CUL-14", "accepted", "CUL-U"], ["CUL-15", "accepted", "CUL-D"], ["CUL-16", "accepted", "CUL-D"],
  ["CUL-17", "accepted", "CUL-D"], ["CUL-18", "accepted", "CUL-D"], ["CUL-29", "accepted", "CUL-D"], ["CUL-20", "rejected", "CUL-D"],
  ["WALL-1", "accepted", "WAL"]]);
assert.ok(kept[2].flags.includes("accepted-by-hand"));
assert.equal(kept[5].antenna_height_m, 1.881);
assert.deepEqual(problems, []);
clearTimeout(feed);
await browser.close(); await daemon.stop();
console.log("a whole day was worked on the page alone");
process.exit(0);
