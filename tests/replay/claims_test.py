"""Does the 95 % hold where the claim is right, and where it is not? Whole stays through the real stillpoint-reduce.

    claims_test.py REDUCE LOGS [--stays N] [--seconds S] [--kind PART] [--seed N] [--table] [--prove-bounds]

Draws streams of known errors, cuts them into visits, runs the reduction over the bytes and reads its JSON: once with a
scale that is verified, once with one that is not. Every cell has bounds that fail: the least share of stays whose 95 %
holds the truth in plan and in height, the most that may be held, and the least that must be called drifting. With fewer
stays the bounds give way by three standard deviations of a share. Fixed seeds: the same call prints the same figures.

--prove-bounds spoils what was read: with radii a hundredth of what they are each bound of coverage must be missed, and
with every stay held and none called drifting each bound of that.

The tables in lib/estimate/MEASURED.md are `--stays 1000 --seconds 60 --table` and the same with `--seconds 300`.
"""

import argparse
import json
import math
import random
import subprocess
import sys
import tempfile
from datetime import timedelta
from pathlib import Path

from claims_noise import M_LAT, M_LON, START, AWAY_S, Place, right_kinds, write_stay, wrong_kinds

CONFIG = """
[project]
name = "Invented stays"
frame = "EPSG:6319"
pointbook = "x.gpkg"
record = "record"
[[feed]]
kind = "replay"
file = "x.nmea"
[antenna]
vertical_parts_m = {{ pole = 0.0 }}
[[source]]
name = "county network"
match = {{ station = ["417"] }}
frame = "EPSG:6319"
coordinate_epoch = 2010.0
evidence = "invented"
{evidence}
[source.gate]
quality = ["rtk-fixed"]
fresh_age_s = 3.0
max_age_s = 10.0
[occupation]
min_epochs = {least}
min_duration_s = {least}
{finish}
"""
VERIFIED = "error_scale_evidence = { visits = 14, until = 2026-06-01 }"


def write_cell(folder, kind, stays, seconds, seed):
    draw = random.Random(f"{kind.name} {seconds} {seed}")
    places, at = [], START
    with open(folder / "x.nmea", "w", newline="") as out, open(folder / "visits.csv", "w") as visits:
        visits.write("name,start_utc,end_utc,code\n")
        for i in range(stays):
            end = at + timedelta(seconds=seconds)
            visits.write(f"P{i},{at:%Y-%m-%dT%H:%M:%SZ},{end:%Y-%m-%dT%H:%M:%SZ},\n")
            places.append(Place(draw))
            write_stay(out, kind, draw, at, places[-1], seconds)
            at = end + timedelta(seconds=AWAY_S)
    return places


class Result:
    """A position that was printed, against the truth; `shrunk` multiplies the radii."""

    def __init__(self, place, printed, shrunk=1.0):
        east = (printed["longitude_deg"] - place.lon) * M_LON
        north = (printed["latitude_deg"] - place.lat) * M_LAT
        self.radius_m = printed["error95_horizontal_m"]
        self.plan = math.hypot(east, north) <= shrunk * self.radius_m
        self.height = abs(printed["ellipsoid_height_m"] - place.height) <= shrunk * printed["error95_vertical_m"]


class Seen:
    """What the points of one cell and one configuration came to."""

    def __init__(self, places, points, shrunk=1.0):
        self.stays = len(places)
        counted = [(place, point) for place, point in zip(places, points) if point["status"] != "none"]
        self.none = self.stays - len(counted)
        self.results = [Result(place, point, shrunk) for place, point in counted]
        self.drifting = sum("drifting" in point["reasons"] for _, point in counted)
        self.held = sum(point["status"] == "held" for _, point in counted)
        accepted = [result for result, (_, point) in zip(self.results, counted) if point["status"] == "accepted"]
        self.wrong = sum(not (result.plan and result.height) for result in accepted)

    def plan(self):
        return share([r.plan for r in self.results])

    def height(self):
        return share([r.height for r in self.results])

    def tenth(self):
        """In plan, of the stays with the smallest printed errors."""
        tightest = sorted(self.results, key=lambda r: r.radius_m)
        return share([r.plan for r in tightest[: max(1, len(tightest) // 10)]])

    def row(self):
        return (f"{short(self.plan())} / {short(self.height())} | {short(self.tenth(), 2)} | "
                f"{short(self.drifting / self.stays)} | {short(self.held / self.stays)} | {short(self.wrong / self.stays)}")


def share(values):
    return sum(values) / max(1, len(values))


def short(value, decimals=3):
    """.983 for 0.983; 1 and 0 stand alone only where they are exact."""
    if value in (0, 1):
        return f"{value:.0f}"
    return f"{value:.{decimals}f}".lstrip("0") if value < 1 else f"{value:.2f}"


def run(reduce, folder, evidence, least=30, finish="", visits=True):
    """All that is printed. Without `visits` the stays are those of the log's journal."""
    (folder / "c.toml").write_text(CONFIG.format(evidence=evidence, least=least, finish=finish))
    command = [reduce, "--config", folder / "c.toml", "--log", folder / "x.nmea"]
    done = subprocess.run(command + (["--visits", folder / "visits.csv"] if visits else []), capture_output=True, text=True)
    if done.returncode > 1:
        raise SystemExit(f"stillpoint-reduce failed: {done.stderr[-500:]}")
    return [json.loads(line) for line in done.stdout.splitlines()]


def points_of(printed):
    return [value for value in printed if "point" in value]


def below(value, bound, stays):
    """Under a bound by more than three standard deviations of so few stays."""
    return bound is not None and value < bound - 3 * math.sqrt(max(bound * (1 - bound), 1 / stays) / stays)


def coverage_faults(name, what, seen, bound):
    for axis, value in (("plan", seen.plan()), ("height", seen.height())):
        if below(value, bound, seen.stays):
            yield f"{name}, {what}: {axis} holds {value:.3f}, at least {bound} wanted"


def hold_faults(name, what, held, drifting, stays, kind, least):
    if below(1 - held / stays, 1 - kind.held, stays):
        yield f"{name}, {what}: {held} of {stays} are held, at most {kind.held} wanted"
    if below(drifting / stays, least, stays):
        yield f"{name}, {what}: {drifting} of {stays} drift, at least {least} wanted"


def faults(kind, verified, unproven):
    for what, seen, bound, caught in (("verified", verified, kind.verified, kind.caught[0]),
                                      ("not verified", unproven, kind.unproven, kind.caught[1])):
        yield from coverage_faults(kind.name, what, seen, bound)
        yield from hold_faults(kind.name, what, seen.held, seen.drifting, seen.stays, kind, caught)
        if seen.none:
            yield f"{kind.name}, {what}: {seen.none} stays without a second that counted"


def bounds_that_cannot_fail(kind, places, verified, unproven):
    """Of `kind`, when all that was read is spoilt."""
    for what, points, bound, caught in (("verified", verified, kind.verified, kind.caught[0]),
                                        ("not verified", unproven, kind.unproven, kind.caught[1])):
        missed = list(coverage_faults(kind.name, what, Seen(places, points, shrunk=0.01), bound))
        if bound is not None and len(missed) != 2:
            yield f"{kind.name}, {what}: the bound {bound} holds with radii a hundredth of what they are"
        stays = len(places)
        if kind.held < 1 and not list(hold_faults(kind.name, what, stays, stays, stays, kind, 0)):
            yield f"{kind.name}, {what}: at most {kind.held} are held, and the bound holds when all are"
        if caught > 0 and not list(hold_faults(kind.name, what, 0, 0, stays, kind, caught)):
            yield f"{kind.name}, {what}: at least {caught} drift, and the bound holds when none does"


def arguments(doc):
    parser = argparse.ArgumentParser(description=doc, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("reduce")
    parser.add_argument("logs", help="not used: every replay test is given it")
    parser.add_argument("office", nargs="?", help="not used either")
    parser.add_argument("--stays", type=int, default=60)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", default="", help="part of a name: these alone")
    parser.add_argument("--table", action="store_true")
    parser.add_argument("--prove-bounds", action="store_true")
    return parser.parse_args()


def main():
    asked = arguments(__doc__)
    found = []
    if asked.table:
        print("| error | verified: plan / height | tenth | drifting | held | wrong "
              "| not verified | tenth | drifting | held | wrong |", flush=True)
    for kind in right_kinds() + wrong_kinds():
        if asked.kind not in kind.name:
            continue
        with tempfile.TemporaryDirectory(prefix="stillpoint-") as place:
            folder = Path(place)
            places = write_cell(folder, kind, asked.stays, asked.seconds, asked.seed)
            least = min(30, asked.seconds // 2)
            verified = points_of(run(asked.reduce, folder, VERIFIED, least))
            unproven = points_of(run(asked.reduce, folder, "", least))
        if asked.prove_bounds:
            found += bounds_that_cannot_fail(kind, places, verified, unproven)
            continue
        seen = Seen(places, verified), Seen(places, unproven)
        if asked.table:
            print(f"| {kind.name} | {seen[0].row()} | {seen[1].row()} |", flush=True)
        found += faults(kind, *seen)
    for fault in found:
        print(fault)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
