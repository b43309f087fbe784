"use strict";
// The page: shows what the daemon says, once a second, and asks for the few acts it may ask for. Sentences come from
// the daemon; what this file decides is places, shapes, sounds, and that an old YES is never shown for long.
(() => {
const LOST_MS = 2100, HOLD_MS = 1000, UNDO_MS = 5000, QUIET_MS = 120000, AGES = 600, ERRORS = 1200, ROWS = 200;
const $ = id => document.getElementById(id);
const now = () => performance.now();
const store = { get(k) { try { return localStorage.getItem(k); } catch { return null; } },
                set(k, v) { try { localStorage.setItem(k, v); } catch { /* private window: lasts as long as the page */ } } };
let status = null, situation = null, heard = -Infinity, lost = true, lostShown = null, remark = "", remarkUntil = 0;
let stay = null, drawn = {}, ages = [], errors = [], errorsOf = "";
let proof = store.get("proof"), mm = 3.7795;

// ---- words and numbers, as on the terminal
const set = (id, text) => { const e = typeof id === "string" ? $(id) : id; if (e.textContent !== text) e.textContent = text; };
const isNumber = v => typeof v === "number" && isFinite(v);
const metres = v => !isNumber(v) ? "--" : Math.abs(v) < 0.0995 ? (v * 1000).toFixed(0) + " mm" : v.toFixed(2) + " m";
const millimetres = v => metres(v / 1000);
const secondsText = v => !isNumber(v) ? "--" : v.toFixed(v < 100 ? 1 : 0) + " s";
const limit = v => (Number.isInteger(v) ? v : v.toFixed(1)) + " s";
const clock = t => typeof t === "string" && t.length >= 19 ? t.slice(11, 19) : "--:--:--";
const sentence = t => { t = String(t ?? ""); return t && t[0].toUpperCase() + t.slice(1) + (/[.!?]$/.test(t) ? "" : "."); };
const QUALITY = { "none": "no position", "autonomous": "without corrections", "rtk-fixed": "fixed", "rtk-float": "float",
  "estimated": "estimated by the receiver", "manual": "typed into the receiver", "sbas": "SBAS", "pps": "PPS" };
const SEVERITY = { "stop-work": "STOP WORK", "warning": "WARNING", "notice": "NOTICE" };
const SIGN = { "stop-work": "!!!", "warning": "!!", "notice": "!" };

// ---- the answer
function figure() {
  const time = (s, of) => s < 1000 ? [String(Math.max(0, Math.floor(s))), "seconds " + of] : [String(Math.floor(s / 60)), "minutes " + of];
  if (lost) return isFinite(heard) ? time((now() - heard) / 1000, "without the daemon") : ["", ""];
  const left = status.correction?.coast_left_s;
  if (situation.tone === "coasting" && isNumber(left)) return time(left, "left");
  return situation.percent == null ? ["", ""] : [String(situation.percent), "percent done"];
}
function showAnswer() {
  const yes = !lost && situation.tone !== "refused";
  const enough = yes && situation.tone === "counts" && situation.percent === 100;
  const training = !!status?.training;
  const answer = $("answer");
  const state = lost ? "lost" : enough ? "enough" : situation.tone;
  if (answer.dataset.state !== state) answer.dataset.state = state;
  answer.classList.toggle("training", training);
  set("question", (training ? "TRAINING. " : "") + "Does this second count?");
  set("verdict", yes ? "YES" : "NO");
  const [digits, of] = figure();
  set("figure", digits); set("of", of);
  const never = !isFinite(heard);
  set("what", !lost ? situation.what : never ? "The daemon has not been heard yet." : "The daemon does not answer: every value below is OLD.");
  set("act", !lost ? situation.act : never ? "Wait; if nothing comes, see whether stillpointd runs." : "Wait; if it does not come back, start stillpointd again.");
  const also = lost ? [] : situation.also, advice = status?.occupation?.advice;
  set("also", also.length ? "Also: " + also[0] + (also.length > 1 ? " (+" + (also.length - 1) + " more)" : "") : yes && advice ? sentence(advice) : "");
  document.title = (yes ? "YES" : "NO") + " - Stillpoint";
  document.documentElement.classList.toggle("old", lost);
  if (!never) say((yes ? "Yes. " : "No. ") + $("what").textContent + " " + $("act").textContent, yes + situation?.tone);
}
// Spoken at most four times a minute: the newest words win, and those of the same state are not said again.
let said = [], saying = "", saidKey = "";
function say(text, key) {
  if (key === saidKey) return;
  const t = now();
  said = said.filter(each => t - each < 60000);
  saying = text;
  if (said.length >= 4) return;
  said.push(t); saidKey = key;
  set("said", saying);
}

// ---- the values
function showValues() {
  const s = status, c = s.correction ?? {}, stayed = s.occupation, e = s.epoch;
  set("point", stayed ? (stayed.check ? "Check on " : "") + stayed.name + (stayed.visit > 1 ? ", visit " + stayed.visit : "") : "No point open");
  set("project", (s.project ?? "") + (s.crew ? ", crew " + s.crew : "")); set("clock", clock(s.time_utc));
  let text = "NONE in use";
  if (c.state && c.state !== "none") {
    text = (isNumber(c.age_s) ? secondsText(c.age_s) + " old " : "age not given ") + c.state.toUpperCase();
    if (isNumber(c.age_limit_s)) text += (c.state === "stale" ? " (counted until " : " (counts until ") + limit(c.age_limit_s) + ")";
    if (c.from === "own-clock") text += " by our clock";
    if (s.source) text += ", " + s.source;
  }
  set("corrections", text);
  showScale(c);
  const reasons = (s.verdict?.reasons ?? []).map(each => each.code);
  set("position", !e ? "nothing heard yet" : (QUALITY[e.quality] ?? e.quality) + (reasons.includes("moving") ? ", MOVING" : "") +
    (reasons.includes("settling") ? ", settling" : "") + (e.satellites != null ? ", " + e.satellites + " satellites" : "") +
    (e.hdop != null ? ", HDOP " + e.hdop.toFixed(1) : "") + (e.pdop != null ? ", PDOP " + e.pdop.toFixed(1) : ""));
  set("average", !stayed ? "no point open" : stayed.counted_s.toFixed(0) + " of " + stayed.needed_s.toFixed(0) + " s, " + stayed.accepted + " of " +
    stayed.needed_epochs + " epochs, " + stayed.refused + " refused");
  const want = v => v == null ? "" : " (want " + metres(v) + ")";
  set("error", !stayed ? "no point open" : stayed.error95_horizontal_m == null && stayed.error95_vertical_m == null ? "not known yet" :
    "plan " + metres(stayed.error95_horizontal_m) + want(stayed.wanted_error95_horizontal_m) + ", height " + metres(stayed.error95_vertical_m) +
    want(stayed.wanted_error95_vertical_m) + (stayed.assumed_sigma ? ", assumed" : stayed.error_scale != null && !stayed.error_scale_verified ? ", unverified" : ""));
  const due = (s.alerts ?? []).find(a => a.active !== false && (a.key === "check-failed" || a.key === "check-due"));
  set("check", due ? (due.key === "check-due" ? "DUE: " : "FAILED: ") + sentence(due.text) : sentence(s.check?.text) || "none reported");
}
function showScale(c) {
  const svg = $("scale"), known = isNumber(c.age_s) && c.age_limit_s > 0;
  const [w] = canvas(svg), key = [c.age_s, c.fresh_limit_s, c.age_limit_s, w].join();
  if (svg.dataset.key === key) return;
  svg.dataset.key = key;
  if (!known) { svg.replaceChildren(label(0, 30, "no age to show on a scale")); svg.setAttribute("aria-label", "no age to show on a scale"); return; }
  const x = v => 8 + Math.min(v / c.age_limit_s, 1.04) * (w - 110), fresh = x(c.fresh_limit_s ?? 0), end = x(c.age_limit_s), at = x(c.age_s);
  svg.replaceChildren(
    make("path", { d: `M8 14H${fresh}V30H8Z`, fill: "none", stroke: "currentColor", "stroke-width": 2 }),
    make("path", { d: hatch(fresh, 14, end, 30, 9), stroke: "currentColor", "stroke-width": 1.5 }),
    make("path", { d: `M${fresh} 14H${end}V30H${fresh}`, fill: "none", stroke: "currentColor", "stroke-width": 2 }),
    make("path", { d: `M${at - 9} 0H${at + 9}L${at} 13ZM${at} 12V32`, fill: "currentColor", stroke: "currentColor", "stroke-width": 4 }),
    make("text", { x: end + 10, y: 30 }, limit(c.age_limit_s)));
  svg.setAttribute("aria-label", `age ${secondsText(c.age_s)}, fresh up to ${limit(c.fresh_limit_s ?? 0)}, counts until ${limit(c.age_limit_s)}`);
}

// ---- alerts: those nobody has seen first, in three places that stay where they are
const shownAlerts = () => [...(status?.alerts ?? [])].sort((a, b) => a.seen - b.seen);
const inView = all => all.slice(0, all.length > 3 ? 2 : 3);
function showAlerts() {
  const all = shownAlerts(), rows = $("alertlist").children, few = inView(all);
  set("alerthead", all.length ? "Alerts: " + all.length : "No alerts");
  for (let i = 0; i < 3; ++i) {
    const a = few[i], row = rows[i];
    let text = "", sign = "";
    if (a) {
      sign = a.seen ? "" : SIGN[a.severity] + " ";
      text = SEVERITY[a.severity] + " " + clock(a.since_utc) + " " + sentence(a.text) + (a.times > 1 ? " Coming and going ×" + a.times + "." : "") +
        (a.repeats > 0 ? " Told " + (a.repeats + 1) + " times." : "") + (a.seen ? "" : a.active === false ? " GONE, NOT SEEN" : " NOT SEEN");
    } else if (i === 2 && all.length > 3) text = "+" + (all.length - 2) + " more: Seen brings up the next.";
    if (row.dataset.text !== sign + text) {
      row.dataset.text = sign + text;
      row.replaceChildren(...(sign ? [make("i", {}, sign, true)] : []), text);
      row.className = !a ? "" : "on" + (a.severity === "stop-work" ? " stop" : "");
    }
    row.classList.toggle("blink", !!a && !a.seen && blink);
  }
}

// ---- sounds, after one tap: a rhythm and a direction for each severity
let audio = null, quietUntil = 0, known = new Map(), mutedUntil = new Map(), wasLost = false, counted = true, wasEnough = true, goodAt = 0, goodPoint = "", quietBefore = false;
const SOUNDS = { high: [[0, 800], [.3, 700], [.6, 600], [1.4, 800], [1.7, 600]], medium: [[0, 700], [.9, 700]], good: [[0, 600], [.25, 800]], low: [[0, 400]] };
const ORDER = ["", "good", "low", "medium", "high"];
function ring(kind) {
  document.documentElement.dataset.sound = kind;
  if (!audio || !SOUNDS[kind]) return;
  for (const [at, hz] of SOUNDS[kind]) {
    const o = audio.createOscillator(), g = audio.createGain(), t = audio.currentTime + at + .02;
    o.frequency.value = hz;
    g.gain.setValueAtTime(0, t); g.gain.linearRampToValueAtTime(.6, t + .02); g.gain.setValueAtTime(.6, t + .16); g.gain.linearRampToValueAtTime(0, t + .2);
    o.connect(g).connect(audio.destination); o.start(t); o.stop(t + .22);
  }
}
function listen() {
  const t = now(), quiet = t < quietUntil;
  let out = lost && !wasLost && isFinite(heard) ? "high" : "";
  wasLost = lost;
  const louder = kind => { if (ORDER.indexOf(kind) > ORDER.indexOf(out)) out = kind; };
  const present = new Map();
  for (const a of lost ? [] : status.alerts ?? []) {
    if (a.active === false) continue;
    const id = a.key + "/" + a.id, k = known.get(id) ?? { since: t, told: false, repeats: 0, times: 1 };
    const first = !k.told && t - k.since >= (a.key === "corrections-stale" ? 2000 : a.key === "feed-silent" ? 7000 : 0);
    const again = k.told && a.repeats > k.repeats && !quiet;
    if (a.times > 1 && a.times > k.times && t >= (mutedUntil.get(a.key) ?? 0)) mutedUntil.set(a.key, t + QUIET_MS);
    present.set(id, { since: k.since, told: k.told || first, repeats: a.repeats ?? 0, times: a.times ?? 1 });
    if (!(first || again) || a.seen) continue;
    if (first) set("alarm", SEVERITY[a.severity] + ". " + sentence(a.text));
    if (t >= (mutedUntil.get(a.key) ?? 0)) louder(a.severity === "stop-work" ? "high" : a.severity === "warning" ? "medium" : "low");
  }
  if (lost && out) set("alarm", "The daemon does not answer. No second counts.");
  if (!lost) {
    known = present;
    const stayed = status.occupation, yes = situation.tone !== "refused", enough = stayed?.keep_gives === "accepted";
    const same = !!stayed && stayed.name === goodPoint;
    if (same && yes && (!counted || (enough && !wasEnough)) && !quiet && t >= goodAt) { goodAt = t + 10000; louder("good"); }
    counted = yes; wasEnough = enough; goodPoint = stayed?.name ?? "";
  }
  if (out && !status?.training) ring(out);
}
function soundWords() {
  const left = Math.ceil((quietUntil - now()) / 1000);
  const text = !audio ? "Sound: off, tap" : status?.training ? "Sound: training" : left > 0 ? "Quiet " + left + " s" : "Sound: on";
  set("sound", text);
}
function quiet() {
  if (!audio) {
    const Audio = window.AudioContext ?? window.webkitAudioContext;
    if (Audio) { audio = new Audio(); audio.resume?.(); ring("low"); tell("Sound is on. Tap again for two quiet minutes."); }
  } else quietUntil = now() < quietUntil ? 0 : now() + QUIET_MS;
  soundWords();
}

// ---- acts
const tell = text => { remark = text; remarkUntil = now() + 12000; set("message", text); };
async function send(method, params) {
  if (lost) return tell("Nothing was changed: the daemon does not answer.");
  try {
    const r = await fetch("/control", { method: "POST", headers: { "Content-Type": "application/json", "Stillpoint-Proof": proof ?? "" },
      body: JSON.stringify({ jsonrpc: "2.0", id: 1, method, params }), signal: AbortSignal.timeout(20000) });
    if (r.headers.get("Stillpoint-Key")) { forget(); return askKey(); }
    if (!r.ok) return tell("Refused: " + (await r.text()).trim());
    const reply = await r.json();
    if (reply.error) return tell("Refused: " + sentence(reply.error.message));
    const p = reply.result?.point, check = reply.result?.check;
    if (check) return tell(sentence(check.text));
    if (!p) return method === "alerts" ? undefined : tell(sentence(reply.result?.text));
    tell(p.status === "accepted" ? p.point + " is kept, safe on disk." : p.point + (p.status === "none" ? " has no second that counts" : " is " + p.status + ", not accepted") +
      (p.reason_texts?.length ? ": " + p.reason_texts.join("; ") : "") + ".");
  } catch { tell("No answer came: look at the point's name above before you try again."); }
}
function forget() { proof = null; try { localStorage.removeItem("proof"); } catch { /* nothing was kept */ } showActs(); }
async function exchange(key) {
  try {
    const r = await fetch("/key", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ key }) });
    if (!r.ok) return tell((await r.text()).trim());
    proof = (await r.json()).proof;
    store.set("proof", proof);
    tell("This page may act now.");
  } catch { tell("No answer came."); }
  showActs();
}
const open = () => status?.occupation ?? null;
const may = { occupy: () => !open(), keep: () => !!open(), drop: () => !!open(), seen: () => shownAlerts().some(a => !a.seen) };
function showActs() {
  if (now() > remarkUntil && remark) { remark = ""; set("message", dropping ? dropWords() : ""); }
  if (dropping) set("message", dropWords());
  for (const id of ["occupy", "keep", "drop", "seen"]) {
    const off = String(lost || !may[id]() && !(id === "drop" && dropping));
    const b = $(id);
    if (b.getAttribute("aria-disabled") !== off) b.setAttribute("aria-disabled", off);
  }
  const text = dropping ? "Undo" : "Drop", label = $("drop").lastElementChild;
  if (label.dataset.text !== text) { label.dataset.text = text; label.replaceChildren(make("kbd", {}, dropping ? "U" : "3", true), " " + text); }
}
function nextName(name) {
  const m = /^(.*?)([0-9]+)$/.exec(name ?? "");
  if (!m) return "";
  const n = String(BigInt(m[2]) + 1n);
  return n.length > m[2].length ? "" : m[1] + n.padStart(m[2].length, "0");
}
let answerTo = null, lastName = "";
function ask({ title, text, yes, label = "", value = "", again = false, done }) {
  if ($("ask").open) return;
  set("asktitle", title); set("asktext", text); set("askyes", yes); set("asklabel", label);
  $("askfields").hidden = !label; $("againlabel").hidden = !again;
  $("askinput").value = value; $("again").checked = false;
  $("ask").returnValue = "";
  answerTo = done;
  $("ask").showModal();
  if (label) $("askinput").select(); else $("askno").focus();
}
$("ask").addEventListener("close", () => { if ($("ask").open) return; if ($("ask").returnValue === "yes") answerTo?.($("askinput").value.trim(), $("again").checked); answerTo = null; });
const askKey = () => ask({ title: "This page may only look", label: "Key", yes: "Give the key", done: exchange,
  text: "To act it needs the key that the daemon wrote beside its control socket, in the file that ends in .page-key. It is good for one browser." });
function refuses(id) {
  if (lost) tell("The daemon does not answer: nothing can be done.");
  else if (!may[id]()) tell(id === "occupy" ? open().name + " is still open: keep or drop it first." : id === "seen" ? "No alert waits." : "No point is open.");
  else if (!proof) askKey();
  else return false;
  return true;
}
function occupy() {
  if (refuses("occupy")) return;
  ask({ title: "New point", text: "The tip is on the mark and the bubble is level.", label: "Name", value: nextName(lastName), again: true, yes: "Start",
    done: (name, again) => name && send("occupy", again ? { name, again } : { name }) });
}
function keep() {
  if (refuses("keep")) return;
  const { name, visit, check } = open();
  if (dropping) undo();
  const go = () => send("keep", { name, visit });
  if (open().keep_gives === "accepted") return go();
  const why = open().keep_texts?.[0];
  ask({ title: "Keep " + name + " so?", text: (check ? "It will not count as a check" : "It will be held, not accepted") + (why ? ": " + why : "") + ".", yes: "Keep it so", done: go });
}
async function seen() {
  if (refuses("seen")) return;
  for (const { key, id } of inView(shownAlerts()).filter(a => !a.seen)) await send("alerts", { seen: true, key, id });
}
// Dropping: held for a second, then five seconds in which it can be taken back. Nothing is asked of the daemon before.
let dropping = null, holding = null;
const dropWords = () => dropping.name + " is dropped in " + Math.max(0, Math.ceil((dropping.at - now()) / 1000)) + " s. It still averages: Undo takes this back.";
let heldClick = false;  // the click that ends a hold is no tap on Undo
function hold(clicks) {
  heldClick = false;
  if (dropping || holding || refuses("drop")) return;
  $("drop").classList.add("held");
  holding = setTimeout(() => {
    release();
    if (!open()) return;
    heldClick = clicks;
    dropping = { name: open().name, visit: open().visit, since: open().since_utc, at: now() + UNDO_MS };
    showActs();
  }, HOLD_MS);
}
function release(short) {
  if (short && holding) tell("Hold Drop for one second.");
  clearTimeout(holding); holding = null;
  $("drop").classList.remove("held");
}
function undo() { if (!dropping) return; tell(dropping.name + " goes on: nothing was dropped."); dropping = null; showActs(); }
function dropWhenDue() {
  if (!dropping) return;
  const same = open()?.name === dropping.name && open()?.since_utc === dropping.since;
  if (lost || !same) { tell(lost ? "The daemon does not answer: nothing was dropped." : "Nothing was dropped: another point is open."); dropping = null; return; }
  if (now() >= dropping.at) { const { name, visit } = dropping; dropping = null; send("drop", { name, visit }); }
}

// ---- drawings
const SVG = "http://www.w3.org/2000/svg";
function make(name, attributes = {}, text, html = false) {
  const e = html ? document.createElement(name) : document.createElementNS(SVG, name);
  for (const k in attributes) e.setAttribute(k, attributes[k]);
  if (text !== undefined) e.textContent = text;
  return e;
}
// A drawing is as wide as its place; its letters are as large as the page's.
const LETTER = 21;
function canvas(svg) {
  const unit = LETTER / (5.4 * mm), place = svg.getBoundingClientRect();
  const w = Math.max(200, Math.round(place.width * unit)), h = Math.max(40, Math.round(place.height * unit));
  const box = `0 0 ${w} ${h}`;
  if (svg.getAttribute("viewBox") !== box) svg.setAttribute("viewBox", box);
  return [w, h];
}
const line = (d, dash, width = 2) => make("path", { d, fill: "none", stroke: "currentColor", "stroke-width": width, ...(dash ? { "stroke-dasharray": dash } : {}) });
const label = (x, y, text, anchor = "start") => make("text", { x, y, "text-anchor": anchor }, text);
function step(least) { const p = 10 ** Math.floor(Math.log10(least)); for (const m of [1, 2, 5, 10]) if (m * p >= least * .999) return m * p; }
function hatch(x0, y0, x1, y1, gap) {
  let d = "", h = y1 - y0;
  for (let x = x0 - h; x < x1; x += gap) {
    const a = Math.max(x, x0), b = Math.min(x + h, x1);
    if (b > a) d += `M${a.toFixed(1)} ${(y1 - (a - x)).toFixed(1)}L${b.toFixed(1)} ${(y1 - (b - x)).toFixed(1)}`;
  }
  return d;
}
function drawScatter() {
  const svg = $("scatter"), [w, h] = canvas(svg), half = Math.min(w, h) / 2 - 6, mid = [w / 2, h / 2];
  if (!stay || !stay.seconds.length) {
    svg.replaceChildren(label(20, 40, "no seconds yet"));
    set("scattersays", open() ? "No second has counted yet: nothing to draw." : "No point is open: nothing to draw.");
    return;
  }
  const [e0, n0] = stay.mean_mm, single = stay.single_ellipse, mean = stay.mean_ellipse;
  const mark = stay.mark_mm && [stay.mark_mm[0] - e0, stay.mark_mm[1] - n0];
  let reach = Math.max(single?.[0] ?? 1, mean[0], 1, ...(mark ?? []).map(v => Math.abs(v) * 1.1)), out = 0;
  for (const s of stay.seconds) if (s[4] === 0) reach = Math.max(reach, Math.abs(s[1] - e0), Math.abs(s[2] - n0));
  const tick = step(reach / 3), most = Math.max(Math.ceil(reach / tick), 1) * tick, k = half / most, count = [0, 0, 0], d = ["", "", ""];
  for (const s of stay.seconds) {
    count[s[4]]++;
    const x = mid[0] + (s[1] - e0) * k, y = mid[1] - (s[2] - n0) * k;
    if (Math.abs(x - mid[0]) > half || Math.abs(y - mid[1]) > half) { out++; continue; }
    const at = `M${x.toFixed(1)} ${y.toFixed(1)}`;
    d[s[4]] += s[4] === 0 ? at + "h0" : s[4] === 1 ? at + "m-5-5l10 10m0-10l-10 10" : at + "m-5-5h10v10h-10z";
  }
  const nodes = [line(`M${mid[0] - half} ${mid[1] - half}h${2 * half}v${2 * half}h${-2 * half}z`), line(`M${mid[0] - half} ${mid[1]}h${2 * half}M${mid[0]} ${mid[1] - half}v${2 * half}`, "2 6", 1)];
  for (let v = -most; v <= most + tick / 2; v += tick) nodes.push(line(`M${mid[0] + v * k} ${mid[1] + half}v-8M${mid[0] - half} ${mid[1] - v * k}h8`));
  const dots = line(d[0], "", 5); dots.setAttribute("stroke-linecap", "round");
  nodes.push(dots, line(d[1]), line(d[2]));
  const ring = (e, dash, width) => make("ellipse", { cx: mid[0], cy: mid[1], rx: e[0] * k, ry: e[1] * k, transform: `rotate(${e[2] - 90} ${mid[0]} ${mid[1]})`, fill: "none", stroke: "currentColor", "stroke-width": width, "stroke-dasharray": dash });
  if (single) nodes.push(ring(single, "9 5", 2));
  nodes.push(ring(mean, "none", 4));
  if (mark) {
    const x = (mid[0] + mark[0] * k).toFixed(1), y = (mid[1] - mark[1] * k).toFixed(1);
    nodes.push(make("circle", { cx: x, cy: y, r: 13, fill: "none", stroke: "currentColor", "stroke-width": 3 }), line(`M${x - 13} ${y}h26M${x} ${y - 13}v26`, "", 3));
  }
  svg.replaceChildren(...nodes);
  set("scattersays", (mark ? `The mean is ${millimetres(Math.hypot(...mark))} from the known mark. ` : "") + `${count[0]} seconds counted, ${count[1]} refused, ${count[2]} set apart` + (out ? `; ${out} lie outside the drawing` : "") +
    `. The mean's 95 % ellipse is ${millimetres(mean[0])} by ${millimetres(mean[1])}` + (single ? `, that of single seconds ${millimetres(single[0])} by ${millimetres(single[1])}` : "") + `. A side is ${millimetres(2 * most)}, a tick ${millimetres(tick)}.`);
}
// A time axis of `span` seconds that ends now; y from 0 to `most`.
function paper(svg, most, span) {
  const [w, h] = canvas(svg), x0 = 92, x1 = w - 8, y0 = h - 40;
  return { x0, x1, y0, y: v => +(y0 - Math.min(v / most, 1) * (y0 - 15)).toFixed(1), x: (t, from) => (x0 + (t - from) / span * (x1 - x0)).toFixed(1) };
}
function axes(p, most, span, unit, ticksAt) {
  const nodes = [line(`M${p.x0} 10V${p.y0}H${p.x1}`)];
  for (let v = 0; v <= most * 1.001; v += ticksAt) nodes.push(line(`M${p.x0 - 6} ${p.y(v)}h6`), label(p.x0 - 10, p.y(v) + 7, unit(v), "end"));
  nodes.push(label(p.x1, p.y0 + 30, "now", "end"), label(p.x0, p.y0 + 30, span < 120 ? span.toFixed(0) + " s ago" : (span / 60).toFixed(0) + " min ago"));
  return nodes;
}
function trace(p, points, from, of) {
  let d = "", before = null;
  for (const each of points) {
    const v = of(each);
    if (!isNumber(v) || each.t < from) { before = null; continue; }
    d += (before !== null && each.t - before < 3.5 ? "L" : "M") + p.x(each.t, from) + " " + p.y(v);
    if (before === null) d += "h.1";
    before = each.t;
  }
  return d;
}
function drawAges() {
  const svg = $("ages"), last = ages[ages.length - 1];
  if (!last) return;
  const span = Math.max(60, Math.min(600, last.t - ages[0].t)), from = last.t - span, c = status.correction ?? {};
  const top = c.age_limit_s ?? Math.max(10, ...ages.map(a => a.age ?? 0)), most = top * 1.25, fresh = c.fresh_limit_s ?? 0;
  const p = paper(svg, most, span), nodes = axes(p, most, span, v => v.toFixed(0) + " s", step(most / 4));
  if (c.age_limit_s) {
    nodes.push(line(hatch(p.x0, p.y(top), p.x1, p.y(fresh), 16), "", .8), line(hatch(p.x0, 15, p.x1, p.y(top), 6), "", .8));
    nodes.push(line(`M${p.x0} ${p.y(fresh)}H${p.x1}M${p.x0} ${p.y(top)}H${p.x1}`, "8 4"));
    for (const [text, at] of [["too old", top * 1.13], ["counts, old", (top + fresh) / 2]]) {
      const yy = p.y(at) + 7;
      nodes.push(make("rect", { x: p.x0 + 4, y: yy - 19, width: text.length * 12 + 8, height: 25, fill: "var(--paper)" }), label(p.x0 + 8, yy, text));
    }
  }
  nodes.push(line(trace(p, ages, from, each => each.age), "", 4));
  svg.replaceChildren(...nodes);
  const gaps = ages.filter((a, i) => i && (a.t - ages[i - 1].t > 3.5 || (a.age == null && ages[i - 1].age != null))).length;
  const old = ages.filter(a => a.age != null);
  set("agessay", !old.length ? "No age has been heard." : `Now ${secondsText(last.age)}; the oldest in view ${secondsText(Math.max(...old.map(a => a.age)))}; ${gaps} ${gaps === 1 ? "gap" : "gaps"}` +
    (c.age_limit_s ? `. Fresh up to ${limit(fresh)}, too old above ${limit(top)}. Since this page was opened.` : "."));
}
function drawErrors() {
  const svg = $("errors"), s = open(), last = errors[errors.length - 1];
  if (!s || !last) { canvas(svg); svg.replaceChildren(label(10, 40, s ? "no error known yet" : "no point open")); set("errorssay", s ? "The error is not known yet." : "No point is open: nothing to draw."); return; }
  const span = Math.max(30, last.t - errors[0].t), from = last.t - span, wp = s.wanted_error95_horizontal_m, wh = s.wanted_error95_vertical_m;
  const sorted = errors.flatMap(p => [p.plan, p.height]).filter(isNumber).sort((a, b) => a - b);
  const most = Math.max(sorted[Math.floor(sorted.length * .9)] ?? .01, last.height ?? 0, last.plan ?? 0, wp ?? 0, wh ?? 0) * 1.15;
  const p = paper(svg, most, span), nodes = axes(p, most, span, metres, step(most / 4));
  for (const [v, text] of [[wp, "want plan"], [wh, "want height"]]) if (v != null) nodes.push(line(`M${p.x0} ${p.y(v)}H${p.x1}`, "2 5"), label(p.x1 - 40, p.y(v) - 4, text, "end"));
  nodes.push(line(trace(p, errors, from, each => each.plan), "", 4), line(trace(p, errors, from, each => each.height), "12 4", 4));
  svg.replaceChildren(...nodes);
  set("errorssay", `Plan (whole line) ${metres(last.plan)}${wp != null ? ", wanted " + metres(wp) : ""}; height (broken line) ${metres(last.height)}${wh != null ? ", wanted " + metres(wh) : ""}; 95 % of the average so far.`);
}
function table(into, caption, heads, rows) {
  const t = document.createElement("table"), body = t.createTBody();
  t.createCaption().textContent = caption;
  const head = t.createTHead().insertRow();
  for (const h of heads) head.append(make("th", { scope: "col" }, h, true));
  for (const r of rows) { const row = body.insertRow(); r.forEach((v, i) => row.append(make(i ? "td" : "th", i ? {} : { scope: "row" }, v, true))); }
  into.replaceChildren(t);
}
const KINDS = ["counted", "refused", "set apart"];
const tables = {
  scatter: into => { const all = stay?.seconds ?? [], [e0, n0, u0] = stay?.mean_mm ?? [0, 0, 0], from = Math.max(0, all.length - ROWS);
    table(into, `The newest ${all.length - from} of ${all.length} seconds, from the mean`, ["Second", "East", "North", "Up", "Became"],
      all.slice(from).reverse().map(s => [s[0].toFixed(1), (s[1] - e0).toFixed(1) + " mm", (s[2] - n0).toFixed(1) + " mm", (s[3] - u0).toFixed(1) + " mm", KINDS[s[4]]])); },
  ages: into => table(into, "Age of the corrections, newest first", ["Time", "Age", "State", "Counts"], ages.slice(-ROWS).reverse().map(p => [clock(p.at), secondsText(p.age), p.state ?? "none", p.yes ? "yes" : "no"])),
  errors: into => table(into, "Error of the average, 95 %, newest first", ["Time", "Plan", "Height"], errors.slice(-ROWS).reverse().map(p => [clock(p.at), metres(p.plan), metres(p.height)])),
  points: async into => {
    try {
      const { points = [] } = (await (await fetch("/points")).json()).result ?? {};
      table(into, points.length + " points, newest first", ["Point", "Visit", "Status", "Plan 95 %", "Height 95 %"], points.slice(-ROWS).reverse().map(p => [p.point, String(p.visit), p.status, metres(p.error95_horizontal_m), metres(p.error95_vertical_m)]));
      set("pointssay", points.length + " points are kept, " + points.filter(p => p.status === "held").length + " of them held: somebody has to decide.");
    } catch { set("pointssay", "The points could not be had: the daemon does not answer."); }
  },
};
for (const b of document.querySelectorAll("[data-table]")) {
  b.addEventListener("click", () => {
    const into = b.nextElementSibling, show = into.hidden;
    into.hidden = !show; b.setAttribute("aria-expanded", String(show));
    if (show) tables[b.dataset.table](into); else into.replaceChildren();
  });
}
function refreshTables() {
  for (const name of ["scatter", "ages", "errors"]) { const b = document.querySelector(`[data-table=${name}]`); if (b.getAttribute("aria-expanded") === "true") tables[name](b.nextElementSibling); }
}

// ---- what comes in
function remember() {
  const t = now() / 1000, c = status.correction ?? {}, s = status.occupation;
  if (!ages.length || t - ages[ages.length - 1].t >= .8) {
    ages.push({ t, at: status.time_utc, age: c.age_s ?? null, state: c.state, yes: situation.tone !== "refused" });
    if (ages.length > AGES) ages.splice(0, ages.length - AGES);
  }
  const of = s ? s.name + "/" + s.visit + "/" + s.since_utc : "";
  if (of !== errorsOf) { errors = []; errorsOf = of; }
  if (s && s.error95_horizontal_m != null && (!errors.length || t - errors[errors.length - 1].t >= .8)) {
    errors.push({ t, at: status.time_utc, plan: s.error95_horizontal_m, height: s.error95_vertical_m });
    if (errors.length > ERRORS) errors.splice(0, errors.length - ERRORS);
  }
  if (s) lastName = s.name;
}
function draw() {
  const t = now();
  if (document.hidden || !status || t - (drawn.at ?? -1e9) < 900) return;
  drawn.at = t;
  drawScatter(); drawAges(); drawErrors(); refreshTables();
}
function onStatus(data) {
  const frame = JSON.parse(data);
  status = frame.status; situation = frame.situation;
  heard = now(); lost = false;
  remember(); showAnswer(); showValues(); showAlerts(); listen(); showActs(); health();
  document.documentElement.dataset.epoch = status.epoch?.utc ?? "";
  draw();
}
function onStay(data) {
  const s = JSON.parse(data);
  if (!s) { stay = null; return; }
  const before = stay && s.from > 0 ? stay.seconds : [];
  before.length = Math.min(before.length, s.from);
  for (const each of s.seconds) before.push(each);
  stay = s; stay.seconds = before;
}
let source = null, opened = -Infinity;
function connect() {
  source?.close();
  opened = now();
  source = new EventSource("/events");
  source.addEventListener("status", e => onStatus(e.data));
  source.addEventListener("stay", e => onStay(e.data));
}
const health = () => { set("health", (isFinite(heard) ? "Heard " + ((now() - heard) / 1000).toFixed(1) + " s ago. " : "Not heard from the daemon yet. ") + (lost ? "Daemon LOST." : "Daemon alive.") +
  " " + (proof ? "This page may act." : "This page may only look.")); soundWords(); };
let blink = false, beat = 0;
setInterval(() => {
  const was = lost;
  lost = now() - heard > LOST_MS;
  if (lost && now() - opened > 3000 && now() - heard > 3000) connect();
  dropWhenDue();
  if (lost) showAnswer();
  if (lost !== was || status && beat % 4 === 0) { if (status) listen(); showActs(); }
  if (++beat % 4 === 0) { blink = !blink; if (status) showAlerts(); health(); }
}, 250);

// ---- hands
const on = (id, act) => $(id).addEventListener("click", act);
on("occupy", occupy); on("keep", keep); on("seen", seen); on("sound", quiet);
$("drop").addEventListener("click", () => { if (!heldClick) undo(); heldClick = false; });
$("drop").addEventListener("pointerdown", e => { if (e.button === 0) hold(true); });
for (const end of ["pointerup", "pointercancel", "pointerleave"]) $("drop").addEventListener(end, () => release(true));
$("drop").addEventListener("contextmenu", e => e.preventDefault());
const dusk = () => { const d = document.documentElement.classList.toggle("dusk"); $("dusk").setAttribute("aria-pressed", String(d)); store.set("dusk", d ? "1" : ""); };
on("dusk", dusk);
const help = () => { if (!$("info").open) $("info").showModal(); };
on("help", help);
function size(v) {
  mm = Math.min(12, Math.max(2, v));
  document.documentElement.style.setProperty("--mm", mm.toFixed(4) + "px");
  set("mm", "One millimetre is " + mm.toFixed(2) + " px here.");
}
on("smaller", () => { size(mm / 1.02); store.set("mm", mm); });
on("larger", () => { size(mm * 1.02); store.set("mm", mm); });
size(parseFloat(store.get("mm")) || mm);
if (store.get("dusk")) dusk();
const KEYS = { "1": occupy, "2": keep, a: seen, s: quiet, t: dusk, "?": help, u: undo };
addEventListener("keydown", e => {
  if (e.ctrlKey || e.altKey || e.metaKey || $("ask").open || $("info").open) return;
  if (e.key === "3" || ((e.key === " " || e.key === "Enter") && document.activeElement === $("drop") && !dropping)) { if (!e.repeat) hold(e.key !== "3"); e.preventDefault(); return; }
  if (e.repeat) return;
  const act = KEYS[e.key.toLowerCase()];
  if (act) { act(); e.preventDefault(); }
});
addEventListener("keyup", e => { if (holding) { release(true); e.preventDefault(); } });
addEventListener("blur", () => release());
addEventListener("resize", () => { drawn.at = 0; if (status) showValues(); draw(); });
addEventListener("visibilitychange", () => { if (!document.hidden) { drawn.at = 0; draw(); } });
const given = /^#key=(.+)$/.exec(location.hash);
if (given) { history.replaceState(null, "", "/"); exchange(decodeURIComponent(given[1])); }
showAnswer(); showActs(); health();
connect();
})();
