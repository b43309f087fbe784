"""Does the 95 % hold where the claim is right, and where it is not? Whole stays through the real stillpoint-reduce.

    claims_test.py REDUCE LOGS [--stays N] [--seconds S] [--kind PART] [--seed N] [--table]

Draws streams of known errors, cuts them into visits, runs the reduction over the bytes and reads its JSON: once with a
scale that is verified, once with one that is not. Every cell has bounds that fail: the least share of stays whose 95 %
holds the truth in plan and in height, and the most that may be called drifting. With fewer stays the bounds give way by
three standard deviations of a share. Fixed seeds: the same call prints the same figures.

The table in lib/estimate/MEASURED.md is `--stays 1000 --seconds 60 --table` and the same with `--seconds 300`.
"""

import argparse
import json
import math
import random
import subprocess
import sys
import tempfile
from datetime import datetime, timedelta, timezone
from pathlib import Path

LAT, LON, ALT, SEPARATION = 47.6, -87.4, 184.5, -36.2
# Metres a degree at 47.6 N and 150 m: radii of curvature of the GRS 80 ellipsoid, to 1e-6.
M_LAT, M_LON = 111178.6, 75193.4
CLAIM_M, CLAIM_UP_M = 0.020, 0.030
AWAY_S = 20  # between two stays: a gap
START = datetime(2026, 6, 3, tzinfo=timezone.utc)

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
min_epochs = 30
min_duration_s = 30
"""
VERIFIED = "error_scale_evidence = { visits = 14, until = 2026-06-01 }"


class Markov:
    """Gauss-Markov of variance 1."""

    def __init__(self, draw, lasting_s):
        self.draw, self.keep = draw, math.exp(-1 / lasting_s)
        self.fresh = math.sqrt(1 - self.keep**2)
        self.now = draw.gauss(0, 1)

    def next(self):
        here = self.now
        self.now = self.keep * here + self.fresh * self.draw.gauss(0, 1)
        return here


def white(draw, seconds):
    return [draw.gauss(0, 1) for _ in range(seconds)]


def markov(lasting_s):
    def series(draw, seconds):
        process = Markov(draw, lasting_s)
        return [process.next() for _ in range(seconds)]

    return series


def mixed(draw, seconds):
    """35 % white, 50 % lasting 30 s, 15 % constant."""
    process, bias = Markov(draw, 30), draw.gauss(0, 1)
    return [math.sqrt(0.35) * draw.gauss(0, 1) + math.sqrt(0.5) * process.next() + math.sqrt(0.15) * bias
            for _ in range(seconds)]


def flicker(draw, seconds):
    """1/f: equal parts that last 1, 4, 16 … 4096 s."""
    parts = [Markov(draw, 4**k) for k in range(7)]
    return [sum(p.next() for p in parts) / math.sqrt(len(parts)) for _ in range(seconds)]


def random_walk(draw, seconds):
    """Its variance through the stay and where it begins together are the claim's."""
    steps, at = [], 0.0
    for _ in range(seconds):
        steps.append(at)
        at += draw.gauss(0, 1)
    size = math.sqrt(seconds / 2)  # root mean square over the stay
    begin = draw.gauss(0, math.sqrt(0.5))
    return [begin + math.sqrt(0.5) * s / size for s in steps]


def sine(draw, seconds):
    """70 % a sine of 60 to 600 s, 20 % white, 10 % constant."""
    period_s, phase, bias = draw.uniform(60, 600), draw.uniform(0, 2 * math.pi), draw.gauss(0, 1)
    return [math.sqrt(1.4) * math.sin(phase + 2 * math.pi * t / period_s) + math.sqrt(0.2) * draw.gauss(0, 1)
            + math.sqrt(0.1) * bias for t in range(seconds)]


def satellite_sets(draw, seconds):
    """Jumps by 1 sigma about every 90 s, on errors lasting 60 s."""
    process, level = Markov(draw, 60), draw.gauss(0, 1)
    out = []
    for _ in range(seconds):
        if draw.random() < 1 / 90:
            level = draw.gauss(0, 1)
        out.append(math.sqrt(0.5) * process.next() + math.sqrt(0.5) * level)
    return out


def times(factor, base):
    return lambda draw, seconds: [factor * v for v in base(draw, seconds)]


def reflections(draw, seconds):
    """Slow reflections of 1 to 5 minutes at twice the claim."""
    return times(2, markov(draw.uniform(60, 300)))(draw, seconds)


def falsely(share, sigmas):
    """Another level over a part of the stay, on errors lasting 5 s."""
    def series(draw, seconds):
        length = round(share * seconds)
        begin, process = draw.randrange(seconds - length + 1), Markov(draw, 5)
        side = draw.choice((-1, 1))
        return [process.next() + (side * sigmas if begin <= t < begin + length else 0) for t in range(seconds)]

    return series


class Kind:
    """`plan` and `up` draw errors in claimed sigmas; `drift` is added along a random direction in plan."""

    def __init__(self, name, plan, verified, unproven, held=1.0, up=None, drift=0, claim_m=CLAIM_M, claim_up_m=CLAIM_UP_M,
                 decimals=8, up_decimals=4, lag=False):
        self.name, self.plan, self.up = name, plan, up or plan
        self.verified, self.unproven, self.held = verified, unproven, held  # bounds; None: none can be given
        self.drift, self.claim_m, self.claim_up_m = drift, claim_m, claim_up_m
        self.decimals, self.up_decimals, self.lag = decimals, up_decimals, lag


def kinds():
    steady = markov(60)
    return [
        Kind("white", white, 0.98, 0.99, 0.01),
        Kind("lasting 5 s", markov(5), 0.95, 0.98, 0.01),
        Kind("lasting 60 s", steady, 0.95, 0.98, 0.01),
        Kind("lasting 300 s", markov(300), 0.94, 0.98, 0.01),
        Kind("mixed with a bias", mixed, 0.95, 0.98, 0.01),
        Kind("flicker", flicker, 0.95, 0.98, 0.01),
        Kind("random walk", random_walk, 0.94, 0.98, 0.02),
        Kind("sine with a bias", sine, 0.95, 0.98, 0.03),
        Kind("satellite sets", satellite_sets, 0.94, 0.98, 0.02),
        Kind("drift by 3 sigma", steady, 0.92, 0.97, drift=3),
        Kind("drift by 5 sigma", steady, 0.94, 0.97, drift=5),
        Kind("drift by 8 sigma", steady, 0.95, 0.98, drift=8),
        Kind("claim 1.5 times too small", times(1.5, steady), None, 0.94),
        Kind("claim 2 times too small", times(2, steady), None, 0.83),
        Kind("slow reflections, twice the claim", reflections, None, 0.80),
        Kind("claim late by 100 s", white, 0.90, 0.97, lag=True),
        Kind("false fix, 10 % at 5 sigma", falsely(0.1, 5), 0.90, 0.97, up=markov(5)),
        Kind("false fix, 30 % at 5 sigma", falsely(0.3, 5), 0.90, 0.97, up=markov(5)),
        Kind("altitude to 0.1 m at 12 mm", mixed, 0.93, 0.97, 0.02, claim_up_m=0.012, up_decimals=1),
        Kind("altitude to 0.1 m at 50 mm", mixed, 0.93, 0.97, 0.02, claim_up_m=0.050, up_decimals=1),
        Kind("five decimals at 6 mm", mixed, 0.94, 0.97, 0.02, claim_m=0.006, decimals=5),
        Kind("four decimals at 20 mm", mixed, 0.94, 0.97, 0.02, decimals=4),
    ]


def sentence(body):
    total = 0
    for c in body:
        total ^= ord(c)
    return f"${body}*{total:02X}\r\n"


def angle(value, degrees, decimals):
    value = abs(value)
    whole = int(value)
    minutes = round((value - whole) * 60, decimals)
    return f"{whole:0{degrees}d}{minutes:0{decimals + 3}.{decimals}f}"


class Place:
    """Where a stay is: somewhere within the last digits, so that their phase differs from stay to stay."""

    def __init__(self, draw):
        self.lat, self.lon = LAT + draw.uniform(0, 2) / M_LAT, LON + draw.uniform(0, 2) / M_LON
        self.height = ALT + SEPARATION + draw.uniform(0, 1)


def grown(t, seconds):
    """True over first sigma where the claim is late: three times from three tenths of the stay on."""
    return 3 if t >= 0.3 * seconds else 1


def claimed(t, seconds):
    """What a claim that follows with 100 s says of it."""
    since = t - 0.3 * seconds
    return 1 if since < 0 else math.sqrt(9 - 8 * math.exp(-since / 100))


def write_stay(out, kind, draw, at, place, seconds):
    east, north, up = kind.plan(draw, seconds), kind.plan(draw, seconds), kind.up(draw, seconds)
    direction = draw.uniform(0, 2 * math.pi)
    for t in range(seconds):
        size, claim = (grown(t, seconds), claimed(t, seconds)) if kind.lag else (1, 1)
        along = kind.drift * (t + 0.5) / seconds
        e = kind.claim_m * (size * east[t] + along * math.cos(direction))
        n = kind.claim_m * (size * north[t] + along * math.sin(direction))
        u = kind.claim_up_m * size * up[t]
        now = at + timedelta(seconds=t)
        clock, date = now.strftime("%H%M%S.00"), now.strftime("%d%m%y")
        lat = angle(place.lat + n / M_LAT, 2, kind.decimals)
        lon = angle(place.lon + e / M_LON, 3, kind.decimals)
        height = f"{place.height + u - SEPARATION:.{kind.up_decimals}f}"
        sigma, sigma_up = claim * kind.claim_m, claim * kind.claim_up_m
        out.write(sentence(f"GNGGA,{clock},{lat},N,{lon},W,4,14,0.7,{height},M,{SEPARATION:.4f},M,1.0,0417"))
        # The range residuals change, or a stream of coarse digits would be one that repeats itself.
        out.write(sentence(f"GNGST,{clock},{draw.uniform(0.3, 0.7):.3f},,,,{sigma:.4f},{sigma:.4f},{sigma_up:.4f}"))
        out.write(sentence(f"GNRMC,{clock},A,{lat},N,{lon},W,0.010,,{date},,,R,V"))


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


class Seen:
    """What the points of one cell and one configuration came to."""

    def __init__(self, places, points):
        self.stays, self.none = len(places), 0
        self.plan, self.height, self.radii = [], [], []
        self.drifting = self.held = self.wrong = 0
        for place, point in zip(places, points):
            reasons = point["reasons"]
            self.drifting += "drifting" in reasons
            self.held += point["status"] == "held"
            if point["status"] == "none":
                self.none += 1
                continue
            east = (point["longitude_deg"] - place.lon) * M_LON
            north = (point["latitude_deg"] - place.lat) * M_LAT
            plan = math.hypot(east, north) <= point["error95_horizontal_m"]
            height = abs(point["ellipsoid_height_m"] - place.height) <= point["error95_vertical_m"]
            self.plan.append(plan)
            self.height.append(height)
            self.radii.append((point["error95_horizontal_m"], plan))
            self.wrong += point["status"] == "accepted" and not (plan and height)

    @staticmethod
    def share(values):
        return sum(values) / max(1, len(values))

    def tenth(self):
        """Of the stays with the smallest printed errors."""
        tightest = sorted(self.radii)[: max(1, len(self.radii) // 10)]
        return self.share([covered for _, covered in tightest])

    def median_m(self):
        return sorted(r for r, _ in self.radii)[len(self.radii) // 2]

    def row(self):
        return (f"{self.share(self.plan):.3f} / {self.share(self.height):.3f} | {self.tenth():.2f} | "
                f"{self.drifting / self.stays:.3f} | {self.wrong / self.stays:.3f}")


def run(reduce, folder, evidence):
    (folder / "c.toml").write_text(CONFIG.format(evidence=evidence))
    done = subprocess.run([reduce, "--config", folder / "c.toml", "--log", folder / "x.nmea", "--visits",
                           folder / "visits.csv"], capture_output=True, text=True, timeout=900)
    points = [v for v in map(json.loads, done.stdout.splitlines()) if "point" in v]
    if done.returncode > 1:
        raise SystemExit(f"stillpoint-reduce failed: {done.stderr[-500:]}")
    return points


def below(value, bound, stays):
    """Under a bound by more than three standard deviations of so few stays."""
    return bound is not None and value < bound - 3 * math.sqrt(max(bound * (1 - bound), 1 / stays) / stays)


def faults(kind, verified, unproven):
    found = []
    for what, seen, bound in (("verified", verified, kind.verified), ("not verified", unproven, kind.unproven)):
        for axis, values in (("plan", seen.plan), ("height", seen.height)):
            if below(seen.share(values), bound, seen.stays):
                found.append(f"{kind.name}, {what}: {axis} holds {seen.share(values):.3f}, at least {bound} wanted")
        if below(1 - seen.drifting / seen.stays, 1 - kind.held, seen.stays):
            found.append(f"{kind.name}, {what}: {seen.drifting} of {seen.stays} drift, at most {kind.held} wanted")
        if seen.none:
            found.append(f"{kind.name}, {what}: {seen.none} stays without a second that counted")
    return found


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("reduce")
    parser.add_argument("logs", help="not used: every replay test is given it")
    parser.add_argument("office", nargs="?", help="not used either")
    parser.add_argument("--stays", type=int, default=60)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind", default="", help="part of a name: these alone")
    parser.add_argument("--table", action="store_true")
    asked = parser.parse_args()
    found = []
    if asked.table:
        print("| error | verified: plan / height | tightest tenth | drifting | accepted and wrong "
              "| not verified | tightest tenth | drifting | accepted and wrong |", flush=True)
    for kind in kinds():
        if asked.kind not in kind.name:
            continue
        with tempfile.TemporaryDirectory(prefix="stillpoint-") as place:
            folder = Path(place)
            places = write_cell(folder, kind, asked.stays, asked.seconds, asked.seed)
            verified = Seen(places, run(asked.reduce, folder, VERIFIED))
            unproven = Seen(places, run(asked.reduce, folder, ""))
        if asked.table:
            print(f"| {kind.name} | {verified.row()} | {unproven.row()} |", flush=True)
        found += faults(kind, verified, unproven)
    for fault in found:
        print(fault)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
