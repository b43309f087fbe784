// Whether the page knows an old answer, without a browser: the two clocks are handed in.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";

// As text: a browser takes it for a module, and not every Node does.
const script = readFileSync(new URL("../../daemon/page/ear.js", import.meta.url), "utf8");
const { makeEar } = await import("data:text/javascript," + encodeURIComponent(script));

let steady = 0, wall = 1_780_000_000_000;
const pass = (ms, slept = false) => { wall += ms; if (!slept) steady += ms; };
const ear = makeEar(() => steady, () => wall, 2100);
const frame = (under = 20) => ear.hear(wall - under);

assert.ok(ear.lost(), "nothing has been heard");
for (let i = 0; i < 5; ++i) { pass(1000); assert.ok(frame()); assert.ok(!ear.lost()); }
pass(2100); assert.ok(!ear.lost(), "at the limit");
pass(1); assert.ok(ear.lost(), "a millisecond past it");
assert.ok(frame()); assert.ok(!ear.lost());

pass(600_000, true);
assert.ok(ear.lost(), "the machine slept, and only one clock went on");
assert.ok(!ear.hear(wall - 600_000), "a frame that waited all that time is old");
assert.ok(ear.lost());
pass(300); assert.ok(frame(), "a new one counts at once"); assert.ok(!ear.lost());

pass(1000); wall -= 3_600_000;
assert.ok(ear.lost(), "a clock that was put back proves nothing");
assert.ok(frame()); assert.ok(!ear.lost());

wall += 3_600_000;  // this machine's clock alone: every frame seems an hour old
for (let i = 0; i < 5; ++i) { pass(1000); assert.ok(!ear.hear(wall - 3_600_000 - 20)); }
pass(1000); assert.ok(ear.hear(wall - 3_600_000 - 20), "five seconds later the clock is known to have been set");
pass(1000); assert.ok(ear.hear(wall - 3_600_000 - 20)); assert.ok(!ear.lost());

assert.ok(ear.hear(undefined), "a stand-in that does not say when it sent");
console.log("the ear knows an old answer");
