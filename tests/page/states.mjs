// Every state that the page has, as the daemon would tell it on an invented day in Vellin County. For the check of all
// states in all windows, and for the pictures.
const DAY = "2026-06-03T";
const at = clock => DAY + clock + "Z";
const METRES_A_DEGREE = 111320;
const ORIGIN = { latitude_deg: 47.6, longitude_deg: -87.4 };
const placeOf = ([east, north]) => ({
  latitude_deg: ORIGIN.latitude_deg + north / METRES_A_DEGREE,
  longitude_deg: ORIGIN.longitude_deg + east / METRES_A_DEGREE / Math.cos(ORIGIN.latitude_deg * Math.PI / 180),
});
/// Harrowfen Trail, invented: metres east and north of the first mark.
const TRAIL = [[60, 70], [180, 130], [310, 150], [450, 90], [560, 140], [700, 260], [820, 390], [960, 460], [1090, 440],
  [1220, 380], [1350, 360], [1480, 430], [1600, 560], [1700, 690], [1830, 770], [1980, 780], [2120, 720], [2260, 690],
  [2400, 760], [2510, 880], [2620, 960], [2760, 1000], [2880, 1090], [2980, 1180]];
const HELD = { "CUL-21": "two places 0.31 m apart in one stay", "CUL-27": "31 s of the 60 s wanted", "CUL-33": "drifted 0.09 m, more than an honest claim allows" };
const pointAt = (place, i, left) => {
  const point = `CUL-${14 + i}`;
  const held = left && HELD[point];
  return { point, visit: 1, status: held ? "held" : "accepted", reasons: held ? ["unresolved"] : [], reason_texts: held ? [HELD[point]] : [],
    ...placeOf(place), easting_m: null, northing_m: null, ellipsoid_height_m: 184.512 + i / 10, orthometric_height_m: null,
    error95_horizontal_m: held ? .017 : .007 + i % 3 / 1000, error95_vertical_m: held ? .028 : .013 + i % 4 / 1000,
    finished_utc: at(`${String(8 + Math.floor((10 + i * 14) / 60)).padStart(2, "0")}:${String((10 + i * 14) % 60).padStart(2, "0")}:40`), code: "CUL-D", note: "" };
};
/// All of the trail is planned, and the one in the middle once more.
export const planAfter = kept => TRAIL.map((place, i) => ({ point: `CUL-${14 + i}`, state: i >= kept ? "open" : i === 5 && kept > 12 ? "again" : "done",
  code: "CUL-D", note: "", ...placeOf(place), again_from_utc: null }));
const points = count => TRAIL.slice(0, count).map((place, i) => pointAt(place, i, true));
export const marks = [{ mark: "VM-11", ...placeOf([0, 0]), status: "good", remarks: "" }, { mark: "VM-12", ...placeOf([1330, 130]), status: "good", remarks: "" }];

const epoch = (clock, place, more = {}) => ({ utc: at(clock), quality: "rtk-fixed", satellites: 18, hdop: .8, pdop: 1.4, error95_horizontal_m: .031, error95_vertical_m: .05,
  station: 417, ...placeOf(place), speed_mps: .01, ...more });
const correction = (state, age_s, more = {}) => ({ state, age_s, from: "receiver", coast_left_s: null, fresh_limit_s: 10, age_limit_s: 60, settling: false, settle_left_s: 0, ...more });
const stay = (name, accepted, more = {}) => ({ name, visit: 1, code: "CUL-D", since_utc: at("10:40:40"), accepted, refused: 0, needed_epochs: 60, needed_s: 60, counted_s: accepted, enough: accepted >= 60,
  error95_horizontal_m: .016, error95_vertical_m: .026, wanted_error95_horizontal_m: .01, wanted_error95_vertical_m: .02, advice: "", facts: [], unproven: [], check: false,
  keep_gives: "held", keep_why: ["too-short"], keep_texts: ["24 s of the 60 s wanted"], apart_m: null, recounted: "", ...more });
const alert = (severity, key, short, clock, more = {}) => ({ key, severity, text: short, short, since_utc: at(clock), seen: false, id: 7, active: true, until_utc: null, times: 1, repeats: 0, ...more });
const no = (...codes) => ({ accepted: false, reasons: codes.map(code => ({ code, text: code })) });
/// The seconds of a stay: `counted` of them about their average, `apart` at another place.
function trail(name, counted, error, { apart = 0, refused = 0, mark } = {}) {
  let seed = 11;
  const random = () => (seed = seed * 16807 % 2147483647) / 2147483647;
  const gauss = () => Math.sqrt(-2 * Math.log(random())) * Math.cos(6.2832 * random());
  const limited = () => Math.max(-2.2, Math.min(2.2, gauss()));
  const seconds = Array.from({ length: counted }, (_, i) => { const [u, v] = [limited() * 8, limited() * 5.6]; return [i, u * .9 - v * .4, u * .4 + v * .9, limited() * 9, 0]; });
  for (let i = 0; i < refused; ++i) seconds.push([counted + i, limited() * 9, limited() * 9, 0, 1]);
  for (let i = 0; i < apart; ++i) seconds.push([counted + i, 270 + limited() * 6, -265 + limited() * 6, 10, 2]);
  return { name, visit: 1, mean_mm: [0, 0, 0], mean_ellipse: [error * 1080, error * 820, 66], single_ellipse: [21.5, 15.5, 66], from: 0, seconds, ...(mark && { mark_mm: mark }) };
}
const CHECK = { configured: true, due: false, failed: false, last_utc: at("10:05:10"), due_in_s: 5100, text: "last 10:05 UTC, passed, 0.006 m off" };
function state(clock, tone, what, act, { place = TRAIL[11], also = [], percent = null, alerts = [], status = {}, seconds = null, kept = 11, ...rest } = {}) {
  return { frame: { sent_ms: null, situation: { tone, what, act, also, percent },
    status: { time_utc: at(clock), training: false, feed: { state: "open", what: "tcp 127.0.0.1:9001", standstill: null }, epoch: epoch(clock, place), source: "county network",
      correction: correction("fresh", .8), verdict: { accepted: tone !== "refused", reasons: [] }, occupation: null, alerts, check: CHECK,
      store: { spooled: kept, stored: kept, waiting: 0 }, counters: {}, project: "Harrowfen culvert inventory", crew: "A", antenna_height_m: 1.871, notes: [], ...status } },
    stay: seconds, points: points(kept), ...rest };
}
const late = [alert("warning", "corrections-coasting", "Corrections late, over 30 s.", "10:41:44")];
const old = (more = {}) => [alert("stop-work", "corrections-stale", "Corrections too old, over 60 s.", "10:42:14", more)];
const jumped = alert("stop-work", "position-jump", "Jump of 0.38 m, pole standing.", "10:41:11");
const STILL = "Stand still until it is enough.";
export const states = {
  idle: state("10:36:02", "refused", "The pole moves.", "Walk on. At the next mark, hold the pole still and upright.",
    { place: [1450, 400], status: { verdict: no("moving"), epoch: epoch("10:36:02", [1450, 400], { speed_mps: 1.3 }) } }),
  fresh: state("10:39:31", "counts", "Fresh corrections: ready.", "Put the tip on the mark, then begin a point."),
  "fresh, late": state("10:39:31", "coasting", "Corrections are late: ready for 12 s.", "They must become fresh again before that.",
    { status: { correction: correction("coasting", 48, { coast_left_s: 12.4 }) }, alerts: late }),
  occupied: state("10:41:04", "counts", "Fresh corrections: averaging.", STILL, { percent: 39, status: { occupation: stay("CUL-25", 24) }, seconds: trail("CUL-25", 24, .016) }),
  coasting: state("10:42:02", "coasting", "Counting on late corrections. They stop counting in 12 s.", "Stand still. At 0, wait here: the average waits, nothing is lost.",
    { percent: 75, alerts: late, status: { correction: correction("coasting", 48, { coast_left_s: 12.4 }), occupation: stay("CUL-25", 45, { error95_horizontal_m: .011, error95_vertical_m: .017 }) },
      seconds: trail("CUL-25", 45, .011) }),
  stale: state("10:42:30", "refused", "Corrections are too old: 76 s, limit 60 s.", "Wait here: the average waits, nothing is lost.",
    { percent: 82, alerts: old(), status: { correction: correction("stale", 76), verdict: no("correction-age"), occupation: stay("CUL-25", 57, { refused: 16, error95_horizontal_m: .011, error95_vertical_m: .016 }) },
      seconds: trail("CUL-25", 57, .011, { refused: 16 }) }),
  settling: state("10:43:01", "refused", "Corrections are fresh again, for 6 of the 10 s asked for.", "Stand still; it counts again by itself.",
    { percent: 82, alerts: old({ active: false, until_utc: at("10:42:55") }), status: { correction: correction("fresh", .8, { settling: true, settle_left_s: 4 }), verdict: no("settling"),
      occupation: stay("CUL-25", 57, { refused: 47, error95_horizontal_m: .011, error95_vertical_m: .016 }) }, seconds: trail("CUL-25", 57, .011, { refused: 47 }) }),
  enough: state("10:43:20", "counts", "Fresh corrections, and enough has been collected.", "Keep the point.",
    { percent: 100, status: { occupation: stay("CUL-25", 72, { refused: 47, error95_horizontal_m: .009, error95_vertical_m: .015, keep_gives: "accepted", keep_why: [], keep_texts: [] }) }, seconds: trail("CUL-25", 72, .009) }),
  jump: state("10:41:18", "refused", "The position jumped 0.38 m while the pole stood still.", "Stand still: seconds at the new place are set apart.",
    { percent: 51, alerts: [jumped, { ...late[0], id: 8, since_utc: at("10:41:02") }, alert("notice", "satellites-lost", "Satellites fell from 18 to 9.", "10:41:11", { id: 9 })],
      status: { verdict: no("jump"), correction: correction("fresh", 1.1), occupation: stay("CUL-25", 31, { error95_horizontal_m: .014, error95_vertical_m: .023 }) }, seconds: trail("CUL-25", 31, .014, { apart: 7 }) }),
  "two places": state("10:42:18", "counts", "Two places 0.38 m apart: the point will be held.", "Discard it and begin anew, or keep it as held.",
    { percent: 99, alerts: [jumped], status: { occupation: stay("CUL-25", 91, { apart_m: .38, keep_why: ["unresolved"], keep_texts: ["two places 0.38 m apart"], error95_horizontal_m: .009, error95_vertical_m: .015 }) },
      seconds: trail("CUL-25", 61, .009, { apart: 30 }) }),
  drifting: state("10:42:18", "counts", "The point will be held: it drifted 0.09 m.", "Discard it and begin anew, or keep it as held.",
    { percent: 99, status: { occupation: stay("CUL-25", 91, { keep_why: ["drifting"], keep_texts: ["it drifted 0.09 m, more than an honest claim allows"], error95_horizontal_m: .009, error95_vertical_m: .015 }) },
      seconds: trail("CUL-25", 91, .009) }),
  "held beside": state("10:43:20", "counts", "Enough; kept now it will be held: the last check failed.", "Keep it, then check a mark.",
    { percent: 100, status: { check: { ...CHECK, failed: true, due_in_s: null }, occupation: stay("CUL-25", 72, { error95_horizontal_m: .009, error95_vertical_m: .015, keep_why: ["check-failed"], keep_texts: ["the last check failed"] }) },
      alerts: [alert("stop-work", "check-failed", "Check failed on VM-12, 52 mm off.", "10:05:10", { seen: true })], seconds: trail("CUL-25", 72, .009) }),
  "age not known": state("10:41:04", "counts", "Corrections of unknown age: averaging.", STILL,
    { percent: 39, status: { correction: correction("unknown", null, { from: "quality" }), occupation: stay("CUL-25", 24) }, seconds: trail("CUL-25", 24, .016) }),
  feedlost: state("10:42:10", "refused", "The receiver is silent.", "Check its battery and its link.",
    { also: ["CUL-25 ended and is held with 31 of 60 s."], alerts: [alert("stop-work", "feed-silent", "Receiver silent, over 10 s.", "10:41:38")],
      status: { feed: { state: "silent", what: "tcp 127.0.0.1:9001", standstill: null }, verdict: no("no-position"), correction: correction("none", null, { from: null }), epoch: null } }),
  training: state("16:10:26", "counts", "Fresh corrections: averaging.", STILL,
    { percent: 39, status: { training: true, project: "Rehearsal, no real points", occupation: stay("CUL-25", 24) }, seconds: trail("CUL-25", 24, .016) }),
  check: state("14:00:12", "counts", "Fresh corrections: averaging the check.", STILL,
    { kept: 24, place: [0, 0], percent: 71, status: { correction: correction("fresh", .9), occupation: stay("VM-11", 43, { check: true, code: "", error95_horizontal_m: .011, error95_vertical_m: .018, wanted_error95_horizontal_m: null, wanted_error95_vertical_m: null }) },
      seconds: trail("VM-11", 43, .011, { mark: [3.6, -3.4, 2] }) }),
  closing: state("14:06:30", "counts", "Closing check passed: 5 mm off VM-11, limit 30 mm.", "Decide the 3 held points, then close the day.",
    { kept: 24, place: [2, 1], status: { check: { ...CHECK, due_in_s: null, last_utc: at("14:04:10") } }, alerts: [alert("notice", "day-not-closed", "Day not closed: CUL-21, 27, 33 held.", "14:01:22", { seen: true })] }),
};
export { points, stay, state, trail };
/// Lost: the frame of the coasting state, and then nothing.
export const lost = states.coasting;
/// What hands make of a state: the keys that lead there; a word is a button of More, `first` the first choice.
export const opened = {
  more: ["fresh", ["m"]], "more, point open": ["occupied", ["m"]], name: ["fresh", ["1"]], help: ["fresh", ["?"]],
  "name, with an alert": ["fresh, late", ["1"]], "check marks": ["closing", ["Check"]], held: ["closing", ["Held"]], decide: ["closing", ["Held", "first"]], reason: ["closing", ["Held", "first", "first"]],
  pole: ["closing", ["Pole"]], close: ["closing", ["Close"]], points: ["closing", ["Points"]], point: ["closing", ["Points", "first"]],
};
/// px of one millimetre for each window, as `look.md` lists them.
export const WINDOWS = [[1280, 800, 5.9], [1280, 800, 6.7], [1280, 720, 5.9], [800, 1280, 5.9], [800, 1130, 5.9], [1024, 600, 6.69], [1024, 520, 6.69], [768, 480, 5.02], [390, 844, 6]];
