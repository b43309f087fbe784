// Opens the page on the stand-in in a given window and shows a state of states.mjs.
import { startStandIn, until } from "./support.mjs";
import { marks, opened, planAfter, states } from "./states.mjs";

export async function openPage(browser, { width, height, mm, dusk = false, deviceScaleFactor = 1 }) {
  const standIn = await startStandIn();
  standIn.marks = marks;
  const context = await browser.newContext({ viewport: { width, height }, deviceScaleFactor, timezoneId: "Etc/GMT+4", colorScheme: dusk ? "dark" : "light" });
  await context.addInitScript(px => { if (px) localStorage.setItem("mm", px); localStorage.setItem("proof", "p"); }, mm);
  const page = await context.newPage();
  page.problems = [];
  page.on("pageerror", e => page.problems.push(e.message));
  page.on("console", m => { if (m.type() === "error") page.problems.push(m.text()); });
  let frame = null;
  const beat = setInterval(() => frame && standIn.push("status", frame), 400);
  const give = async state => {
    standIn.points = state.points;
    standIn.plan = planAfter(state.points.length);
    standIn.push("stay", state.stay);
    frame = state.frame;
    standIn.push("status", frame);
    await until(page, ([what, lists]) => what.startsWith(document.getElementById("what").textContent.replaceAll("\u00a0", " ").replace("…", "")) && document.querySelectorAll("#newest tbody tr").length === lists,
      [state.frame.situation.what, Math.min(5, state.points.length)]);
    await page.evaluate(() => document.getElementById("drawing").offsetHeight);
  };
  await give_first();
  async function give_first() {
    frame = states.fresh.frame; standIn.points = states.fresh.points; standIn.plan = planAfter(states.fresh.points.length); standIn.push("stay", null); standIn.push("status", frame);
    await page.goto(standIn.url);
    await until(page, () => !document.documentElement.classList.contains("old") && document.getElementById("pole").textContent && document.querySelectorAll("#newest tbody tr").length);
    await page.waitForTimeout(200);
  }
  return {
    page, standIn, give,
    async show(name) {
      await page.keyboard.press("Escape");
      if (name === "lost") {
        await give(states.coasting);
        frame = null; standIn.hush(); standIn.streams.forEach(s => s.destroy());
        return until(page, () => document.getElementById("verdict").textContent === "NO" && document.documentElement.classList.contains("old"));
      }
      const [base, keys] = opened[name] ?? [name, []];
      await give(states[base]);
      for (const step of keys) {
        if (step === "first") await page.evaluate(() => document.querySelector("#planned button").click());
        else if (step.length > 1) await page.evaluate(name => [...document.querySelectorAll("#set button")].find(b => b.textContent.startsWith(name)).click(), step);
        else await page.keyboard.press(step);
        if (step === "Points") await until(page, () => document.documentElement.dataset.ask === "name");
      }
      await page.evaluate(() => new Promise(done => { dispatchEvent(new Event("resize")); requestAnimationFrame(() => requestAnimationFrame(done)); })); // a resize draws at once
    },
    async close() { clearInterval(beat); await context.close(); standIn.stop(); },
  };
}
