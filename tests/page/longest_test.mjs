// Every sentence that the page shows, made with its longest values, in every window that the look lists: nothing overlaps,
// nothing is cut, and what is so, what to do and a reply are there to their last word. Prints the misses.
//   longest_test.mjs [part of a window's name [place]]       with STILLPOINT_LONGEST naming tests/sentences/print_longest
import { execFileSync } from "node:child_process";
import { openPage } from "./browse.mjs";
import { look } from "./look.mjs";
import { states, WINDOWS } from "./states.mjs";
import { launch } from "./support.mjs";

const NAME = "CULVERT-HARROWFEN-014-NE";
const TWO_LINES = 152; // longer ones are a known few, and are cut
const ROOMS = ["gate", "occupation", "estimate", "session", "wire", "alerts in brief", "machine's alerts in brief"];
const rooms = JSON.parse(execFileSync(process.env.STILLPOINT_LONGEST, [NAME, ...ROOMS], { encoding: "utf8" }));
const [, , wanted = "", only = ""] = process.argv;

const sentence = text => text[0].toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? "" : ".");
const told = (...names) => names.flatMap(name => rooms[name]).filter(text => text.length <= TWO_LINES).map(sentence);
const byLength = list => [...list].sort((a, b) => b.length - a.length);
const ACT = byLength(told("advice"))[0];
const WHAT = "Fresh corrections: averaging.";
/// Where each sentence is shown: what is so, what to do, what else is so, an alert.
const places = {
  what: told("gate", "occupation", "wire"),
  act: told("advice"),
  also: told("estimate", "gate"),
  alert: told("alerts in brief", "machine's alerts in brief"),
};
const wire = start => rooms.wire.find(each => each.startsWith(start));
/// What really stands beside it.
function actFor(what) {
  if (what.includes("will be held")) return wire("Discard it");
  if (what.includes("They stop counting")) return wire("Stand still. At 0");
  return ACT;
}
const frameOf = {
  what: text => ({ what: text, act: actFor(text) }),
  act: text => ({ what: WHAT, act: text }),
  also: text => ({ what: WHAT, act: "Stand still until it is enough.", also: [text] }),
  alert: () => ({ what: WHAT, act: ACT }),
};
function stateWith(place, text) {
  const state = structuredClone(states.stale);
  Object.assign(state.frame.situation, frameOf[place](text));
  if (place === "alert") Object.assign(state.frame.status.alerts[0], { short: text, times: 12 });
  return state;
}

/// The words of an element, hidden ones not.
const wordsIn = id => (document.getElementById(id).hidden ? "" : document.getElementById(id).textContent.replaceAll("\u00a0", " "));

const browser = await launch();
let misses = 0, looked = 0, shortened = 0;
for (const [width, height, mm] of WINDOWS) {
  const where = `${width} x ${height} (${mm})`;
  if (!where.includes(wanted)) continue;
  const { page, give, standIn, close } = await openPage(browser, { width, height, mm });
  const miss = (place, text, what) => { ++misses; console.log(`MISS  ${where}  ${place} "${text}": ${what}`); };
  const check = async (place, text) => {
    ++looked;
    const { wrong } = await page.evaluate(look);
    wrong.forEach(what => miss(place, text, what));
    const what = await page.evaluate(wordsIn, "what");
    if (!what) miss(place, text, "what is so is hidden");
    if (what.endsWith("…")) { ++shortened; console.log(`GAVE UP WORDS  ${where}  ${place} "${text}"`); }
    if (!await page.evaluate(wordsIn, "act")) miss(place, text, "what to do is hidden");
  };
  for (const [place, texts] of Object.entries(places)) {
    for (const text of new Set(place.includes(only) ? texts : [])) {
      await give(stateWith(place, text));
      await check(place, text);
    }
  }
  // What came of an act, over a state of few words.
  for (const text of new Set("reply".includes(only) ? told("session") : [])) {
    standIn.answer = { error: { code: 1, message: text } };
    await give(states.jump);
    await page.keyboard.press("a");
    const starts = start => { const e = ["also", "reply"].map(id => document.getElementById(id)).find(each => !each.hidden); return e && e.textContent.replaceAll("\u00a0", " ").startsWith(start); };
    const came = await page.waitForFunction(starts, text.slice(0, 12), { timeout: 3000, polling: 20 }).then(() => true, () => false);
    if (!came) miss("reply", text, "it never came");
    else if ((await page.evaluate(wordsIn, "also")).endsWith("…")) ++shortened;
    await check("reply", text);
  }
  page.problems.filter(what => !what.includes("ERR_INCOMPLETE")).forEach(what => miss("script", "", what));
  await close();
}
await browser.close();
console.log(`${looked} sentences in windows looked at, ${misses} misses; ${shortened} gave up words`);
process.exit(misses || !looked ? 1 : 0);
