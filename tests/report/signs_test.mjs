// The page's signs against signs.json, which the report's are held against too (signs_test.cpp).
//     node signs_test.mjs PAGE_FOLDER

import assert from "node:assert/strict";
import { copyFileSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

// What the page's modules touch when they make an element of a drawing.
class Element {
  constructor(name) {
    this.name = name;
    this.attributes = {};
  }
  setAttribute(name, value) {
    this.attributes[name] = String(value);
  }
}
globalThis.document = {
  createElementNS: (_, name) => new Element(name),
  createElement: (name) => new Element(name),
  getElementById: () => null,
  documentElement: { style: {}, dataset: {} },
  addEventListener: () => {},
};
globalThis.window = globalThis;
globalThis.addEventListener = () => {};

/// The strokes of a path, as places.
function strokesOf(d) {
  const strokes = [];
  let [x, y, command] = [0, 0, "M"];
  const tokens = d.match(/[A-Za-z]|-?\d*\.?\d+(?:e-?\d+)?/g);
  for (let i = 0; i < tokens.length; ) {
    if (/[A-Za-z]/.test(tokens[i])) command = tokens[i++];
    const kind = command.toUpperCase();
    const from = command === kind ? [0, 0] : [x, y];
    if (kind === "Z") [x, y] = strokes.at(-1)[0];
    if (kind === "H") x = from[0] + Number(tokens[i++]);
    if (kind === "V") y = from[1] + Number(tokens[i++]);
    if (kind === "M" || kind === "L") [x, y] = [from[0] + Number(tokens[i++]), from[1] + Number(tokens[i++])];
    if (kind === "M") strokes.push([]);
    strokes.at(-1).push([x, y]);
    if (kind === "M") command = command === "m" ? "l" : "L";
  }
  return strokes;
}

// A browser takes the modules for what they are; not every Node does without being told.
const folder = mkdtempSync(join(tmpdir(), "stillpoint-"));
process.on("exit", () => rmSync(folder, { recursive: true }));
for (const name of readdirSync(process.argv[2]).filter((each) => each.endsWith(".js")))
  copyFileSync(join(process.argv[2], name), join(folder, name));
writeFileSync(join(folder, "package.json"), '{"type":"module"}');
const { sign } = await import(pathToFileURL(join(folder, "paper.js")).href);
const shared = JSON.parse(readFileSync(new URL("signs.json", import.meta.url)));
for (const kind of ["held", "mark", "rejected"]) {
  for (const r of [1, 20]) {
    const element = sign(kind, 40, 70, r);
    assert.equal(element.name, "path", kind);
    const strokes = strokesOf(element.attributes.d);
    assert.equal(strokes.length, shared[kind].length, `${kind}: strokes`);
    strokes.forEach((stroke, i) => {
      const wanted = shared[kind][i];
      assert.equal(stroke.length, wanted.length, `${kind}: places of stroke ${i}`);
      stroke.forEach(([x, y], j) => {
        assert.ok(Math.abs((x - 40) / r - wanted[j][0]) < 0.011, `${kind}: ${x}, ${y} of radius ${r}`);
        assert.ok(Math.abs((y - 70) / r - wanted[j][1]) < 0.011, `${kind}: ${x}, ${y} of radius ${r}`);
      });
    });
  }
}
assert.equal(sign("accepted", 1, 1, 1).name, "circle");
console.log("the page's signs are those of the report");
