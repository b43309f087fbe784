// Firefox as far as the tests of the page need a browser, in the words of Playwright, which wants a Firefox of its own. It
// speaks Marionette, the line that Firefox itself opens: `LENGTH:[type, id, …]` on a TCP port.
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { connect } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";

const KEYS = { Escape: "\uE00C", Enter: "\uE007", Tab: "\uE004" };
const pause = ms => new Promise(done => setTimeout(done, ms));

async function connected(port, tries = 300) {
  for (; ; --tries) {
    const socket = connect(port, "127.0.0.1");
    const came = await new Promise(done => { socket.once("connect", () => done(true)); socket.once("error", () => done(false)); });
    if (came) return socket;
    if (tries === 0) throw new Error("firefox opens no port");
    await pause(200);
  }
}

/// Sends a command and gives its answer.
function speaker(socket) {
  const waiting = new Map();
  let heard = Buffer.alloc(0), last = 0;
  socket.on("data", piece => {
    heard = Buffer.concat([heard, piece]);
    for (let colon; (colon = heard.indexOf(":")) >= 0;) {
      const length = Number(heard.subarray(0, colon)), end = colon + 1 + length;
      if (heard.length < end) return;
      const message = JSON.parse(heard.subarray(colon + 1, end));
      heard = heard.subarray(end);
      if (!Array.isArray(message)) continue; // its greeting
      const [, id, error, result] = message;
      const { done, failed } = waiting.get(id);
      waiting.delete(id);
      error ? failed(new Error(`${error.error}: ${error.message}`)) : done(result);
    }
  });
  return (name, params = {}) => new Promise((done, failed) => {
    const text = JSON.stringify([0, ++last, name, params]);
    waiting.set(last, { done, failed });
    socket.write(`${Buffer.byteLength(text)}:${text}`);
  });
}

function pageOf(ask, { viewport }, scripts) {
  const run = (f, ...args) => ask("WebDriver:ExecuteScript", { script: `return (${f}).apply(null, arguments)`, args }).then(r => r.value);
  const fit = async () => {
    for (let i = 0; i < 3; ++i) {
      const [w, h, outerW, outerH] = await run("() => [innerWidth, innerHeight, outerWidth, outerHeight]");
      if (w === viewport.width && h === viewport.height) return;
      await ask("WebDriver:SetWindowRect", { width: outerW + viewport.width - w, height: outerH + viewport.height - h });
      await pause(300);
    }
    const [w, h] = await run("() => [innerWidth, innerHeight]");
    throw new Error(`the window is ${w} x ${h}, not ${viewport.width} x ${viewport.height}`);
  };
  return {
    async goto(url) {
      await ask("WebDriver:Navigate", { url });
      await fit();
      for (const [f, arg] of scripts) await run(f, arg);
      await ask("WebDriver:Navigate", { url });
    },
    evaluate: (f, arg) => run(f, arg),
    async waitForFunction(f, arg, { timeout = 8000, polling = 20 } = {}) {
      for (const end = Date.now() + timeout; ; await pause(polling)) {
        if (await run(`(...a) => Boolean((${f})(...a))`, arg)) return;
        if (Date.now() > end) throw new Error(`never came: ${f}`);
      }
    },
    waitForTimeout: pause,
    keyboard: {
      press: key => ask("WebDriver:PerformActions", { actions: [{ type: "key", id: "keys", actions: ["keyDown", "keyUp"].map(type => ({ type, value: KEYS[key] ?? key })) }] }),
    },
    screenshot: async () => Buffer.from((await ask("WebDriver:TakeScreenshot", { full: false })).value, "base64"),
    on() {}, // what its console says is not heard
  };
}

export async function launchFirefox(program = "firefox-esr", port = 2828) {
  const profile = mkdtempSync(join(tmpdir(), "stillpoint-firefox-"));
  writeFileSync(join(profile, "user.js"), `user_pref("marionette.port", ${port});\nuser_pref("browser.shell.checkDefaultBrowser", false);\nuser_pref("datareporting.policy.dataSubmissionEnabled", false);\nuser_pref("ui.systemUsesDarkTheme", 0);\n`);
  const process_ = spawn(program, ["--headless", "--marionette", "--no-remote", "--profile", profile], { stdio: "ignore", env: { ...process.env, TZ: "Etc/GMT+4", HOME: profile } });
  const socket = await connected(port);
  const ask = speaker(socket);
  await ask("WebDriver:NewSession", { capabilities: { alwaysMatch: { acceptInsecureCerts: true } } });
  return {
    async newContext(options) {
      const scripts = [];
      return { addInitScript: async (f, arg) => { scripts.push([f, arg]); }, newPage: async () => pageOf(ask, options, scripts), close: async () => {} };
    },
    async close() {
      await ask("Marionette:Quit", { flags: ["eForceQuit"] }).catch(() => {});
      await new Promise(done => (process_.exitCode !== null ? done() : process_.once("exit", done)));
      rmSync(profile, { recursive: true, force: true });
    },
  };
}
