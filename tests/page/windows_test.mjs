// Every state in every window that the look lists: nothing overlaps, nothing is cut, no text under its size, contrast of 7
// or more, buttons at their sizes, nothing moves from one state to the next, and axe-core finds nothing. Prints the misses.
//   windows_test.mjs [part of a window's or a state's name]       STILLPOINT_BROWSER=firefox: in Firefox, which tells of no
//   move, and without dusk and axe-core
import { openPage } from "./browse.mjs";
import { look } from "./look.mjs";
import { opened, states, WINDOWS } from "./states.mjs";
import { launchFirefox } from "./firefox.mjs";
import { axeSource, launch } from "./support.mjs";

const wanted = process.argv[2] ?? "";
const names = [...Object.keys(states), ...Object.keys(opened), "lost"];
const axe = axeSource();

const inFirefox = process.env.STILLPOINT_BROWSER === "firefox";
const browser = await (inFirefox ? launchFirefox() : launch());
let misses = 0, looked = 0;
// Its window is never narrower than 500 px: a phone of twice the dots instead.
const windows = inFirefox ? WINDOWS.map(([w, h, mm]) => (w < 500 ? [2 * w, 2 * h, 2 * mm] : [w, h, mm])) : WINDOWS;
for (const [width, height, mm] of windows) {
  const where = `${width} x ${height} (${mm})`;
  const some = where.includes(wanted) ? names : names.filter(name => name.includes(wanted));
  if (!some.length) continue;
  for (const dusk of where.startsWith("1280 x 800 (5.9)") && !inFirefox ? [false, true] : [false]) {
    const { page, show, close } = await openPage(browser, { width, height, mm, dusk });
    const miss = (name, what) => { ++misses; console.log(`MISS  ${where}${dusk ? " dusk" : ""}  ${name}: ${what}`); };
    if (!inFirefox) await page.evaluate(() => { window.moved = []; new PerformanceObserver(l => l.getEntries().forEach(e => { const far = s => Math.hypot(s.previousRect.x - s.currentRect.x, s.previousRect.y - s.currentRect.y) > .5; if (!e.hadRecentInput && e.sources.some(far)) window.moved.push(e.sources.map(s => { const n = s.node?.nodeType === 1 ? s.node : s.node?.parentElement; return `${n?.closest("[id]")?.id}/${n?.tagName} ${s.previousRect.x},${s.previousRect.y}>${s.currentRect.x},${s.currentRect.y}`; }).join("; ")); })).observe({ type: "layout-shift", buffered: false }); });
    for (const name of some) {
      await page.keyboard.press("Escape"); // what a hand opened it closes: that may move things
      if (!inFirefox) await page.evaluate(() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => { window.moved.length = 0; done(); }))));
      await show(name);
      const { wrong, texts, buttons } = await page.evaluate(look);
      ++looked;
      if (texts < 6 || buttons < 2) miss(name, `only ${texts} texts and ${buttons} buttons were found`);
      wrong.forEach(what => miss(name, what));
      // What a hand opens may move; and the sentences follow one another in their place, of one line or two.
      if (!opened[name] && !inFirefox) (await page.evaluate(() => window.moved.splice(0))).filter(what => what.split("; ").some(each => !/^(what|act|also)\//.test(each))).forEach(what => miss(name, `moved: ${what}`));
      if (mm !== 5.9 || height !== 800 || inFirefox) continue;
      await page.evaluate(axe);
      const { violations } = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
      violations.forEach(v => miss(name, `axe ${v.id}: ${v.nodes.map(n => n.target).join(" ")}`));
    }
    page.problems.filter(what => !what.includes("ERR_INCOMPLETE")).forEach(what => miss("the script", what));
    await close();
  }
}
await browser.close();
console.log(`${looked} states in windows looked at, ${misses} misses`);
process.exit(misses || !looked ? 1 : 0);
