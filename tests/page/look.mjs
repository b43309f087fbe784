// Whether the page as it stands is in order: nothing overlaps, nothing is cut, sizes, contrast, buttons and their room.

/// Runs in the page: what is wrong with it as it stands.
export function look() {
  const root = document.documentElement, mm = parseFloat(getComputedStyle(root).getPropertyValue("--mm")), wrong = [];
  const layout = root.dataset.layout, low = root.classList.contains("low"), work = document.getElementById("work");
  const px = v => (v / mm).toFixed(1);
  const light = c => { const [r, g, b] = c.match(/[\d.]+/g).map(v => { v /= 255; return v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4; }); return .2126 * r + .7152 * g + .0722 * b; };
  const plate = document.getElementById("plate").getBoundingClientRect(), tone = document.getElementById("answer").dataset.tone;
  const darkTo = layout === "phone" ? [Infinity, plate.top + 21.6 * mm] : [plate.left + parseFloat(getComputedStyle(document.getElementById("plate")).backgroundSize) || 0, Infinity];
  const ground = (e, box) => {
    const isDark = e.closest("#plate") && tone === "wait" && box.left < darkTo[0] && box.top < darkTo[1];
    if (isDark) return getComputedStyle(root).getPropertyValue("--wait").trim().replace(/^#(.)(.)(.)$/, "#$1$1$2$2$3$3");
    for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; if (!/^rgba\(.*, 0\)|transparent/.test(c)) return c; }
    return "rgb(255, 255, 255)";
  };
  const rgb = c => c.startsWith("#") ? `rgb(${[1, 3, 5].map(i => parseInt(c.slice(i, i + 2), 16)).join()})` : c;
  const texts = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode, e = node.parentElement;
    if (!node.data.trim() || e.closest(".unseen, #line, script, [hidden]") || !e.getClientRects().length || getComputedStyle(e).visibility === "hidden") continue;
    if (e.closest("#question") && getComputedStyle(document.getElementById("question")).position === "absolute") continue;
    const style = getComputedStyle(e), svg = e.closest("svg"), scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1, size = parseFloat(style.fontSize) * scale;
    const range = document.createRange();
    range.selectNodeContents(node);
    // Firefox counts the paper about a letter on a drawing as a part of it.
    const halo = svg && navigator.userAgent.includes("Firefox") ? parseFloat(style.strokeWidth) * scale / 2 : 0;
    const name = (e.closest("[id]")?.id ?? e.tagName) + ` "${node.data.trim().slice(0, 30)}"`;
    if (size < 4.49 * mm) wrong.push(`${name} is ${px(size)} mm high`);
    for (const r of range.getClientRects()) {
      // What of a line has ink, about: the height of capitals about its middle.
      const box = { left: r.left + halo, right: r.right - halo, top: (r.top + r.bottom) / 2 - size * .36, bottom: (r.top + r.bottom) / 2 + size * .36 };
      const scrolled = e.closest(".reading #ask, .low[data-layout=small] #ask")?.getBoundingClientRect();
      if (scrolled && (box.top < scrolled.top || box.bottom > scrolled.bottom)) continue;  // scrolled out of sight
      texts.push({ e, node, name, box });
      const ink = light(rgb(svg ? style.fill : style.color)), paper = light(rgb(ground(svg ?? e, box)));
      const ratio = (Math.max(ink, paper) + .05) / (Math.min(ink, paper) + .05);
      if (ratio < 7) wrong.push(`${name} has a contrast of ${ratio.toFixed(1)}`);
      for (let p = e; p && p !== document.body; p = p.parentElement) {
        const s = getComputedStyle(p), c = p.getBoundingClientRect();
        if (s.overflowX === "visible" && s.overflowY === "visible" && p !== work) continue;
        if (s.overflowY === "auto") break;
        if (box.left < c.left - 1.5 || box.right > c.right + 1.5 || box.top < c.top - 1.5 || box.bottom > c.bottom + 1.5) { wrong.push(`${name} is cut by ${p.id || p.tagName}`); break; }
      }
    }
  }
  for (let i = 0; i < texts.length; ++i) for (let j = 0; j < i; ++j) {
    const a = texts[i], b = texts[j];
    if (a.node === b.node || a.e.closest("#table") || b.e.closest("#table")) continue;
    if (a.box.left < b.box.right - 1.5 && b.box.left < a.box.right - 1.5 && a.box.top < b.box.bottom - 1.5 && b.box.top < a.box.bottom - 1.5) wrong.push(`${a.name} lies on ${b.name}`);
  }
  const buttons = [...document.querySelectorAll("button")].filter(b => b.getClientRects().length).map(b => [b.id || b.textContent.trim().slice(0, 12), b.getBoundingClientRect(), b]);
  const tight = low || layout === "small" || layout === "phone", least = layout === "small" || layout === "phone" ? 23 : 25;
  for (const [name, r, b] of buttons) {
    const isAct = b.closest("#acts, #alert") && name !== "more";
    if (isAct && !tight && (r.width < 25 * mm - 1 || r.height < (root.dataset.ask === "name" ? 19.9 : 20) * mm - 1)) wrong.push(`${name} is ${px(r.width)} x ${px(r.height)} mm`);
    if (Math.max(r.width, r.height) < least * mm - 1 || Math.min(r.width, r.height) < 10.9 * mm - 1) wrong.push(`${name} is ${px(r.width)} x ${px(r.height)} mm`);
    if (b.closest("#work") && (r.right > innerWidth - 3.5 * mm || r.left < 3.5 * mm)) wrong.push(`${name} is at the edge`);
    for (const [other, o] of buttons) {
      if (o === r) continue;
      const across = Math.max(o.left - r.right, r.left - o.right), down = Math.max(o.top - r.bottom, r.top - o.bottom);
      if (Math.max(across, down) < 1.9 * mm - 1) wrong.push(`${name} is ${px(Math.max(across, down))} mm from ${other}`);
    }
    for (const t of texts) if (!b.contains(t.e) && t.box.left < r.right - 1 && r.left < t.box.right - 1 && t.box.top < r.bottom - 1 && r.top < t.box.bottom - 1) wrong.push(`${t.name} lies on the button ${name}`);
  }
  // A sentence of the daemon that tells a time tells its zone, which may be another.
  const zones = texts.filter(t => /UTC/.test(t.node.data) && !t.e.closest("#says, #reply, #ask")).length;
  if (zones > 1) wrong.push(`the zone is told ${zones} times`);
  const high = work.getBoundingClientRect().height;
  if (root.dataset.ask !== "name" && layout !== "phone" && Math.abs(high - innerHeight) > 1) wrong.push(`the work screen is ${px(high)} mm high, the window ${px(innerHeight)}`);
  if (work.scrollHeight > work.clientHeight + 1) wrong.push(`the work screen is ${px(work.scrollHeight - work.clientHeight)} mm too full`);
  if (root.scrollWidth > innerWidth) wrong.push("the page is wider than the window: " + [...document.querySelectorAll("#day *")].filter(e => e.getBoundingClientRect().right > innerWidth + 1).map(e => e.id || e.tagName).slice(0, 5).join());
  return { wrong: [...new Set(wrong)], texts: texts.length, buttons: buttons.length };
}
