#!/usr/bin/python3
"""Runs the real stillpoint-reduce over the demo day and compares it with what the scenario says must come out.

    replay_test.py CASE REDUCE REPLAY_LOGS

Cases: generator, verdicts, truth, limits, bytes, files. Nothing here is derived from the program's own output.
"""
import json
import math
import os
import random
import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import expected_verdicts

NAME = "harrowfen-culverts"


def reduce_log(program, config, log, visits=None, epochs=False):
    """Exit status, and the printed objects by kind."""
    command = [program, "--config", config, "--log", log] + (["--visits", visits] if visits else [])
    run = subprocess.run([str(x) for x in command] + (["--epochs"] if epochs else []), capture_output=True, text=True,
                         timeout=120, check=False)
    objects = [json.loads(line) for line in run.stdout.splitlines()]
    return (run, [o for o in objects if "verdict" in o], [o for o in objects if "point" in o],
            next((o["summary"] for o in objects if "summary" in o), None))


def differences(program, config, log, visits):
    """Seconds whose printed verdict is not the expected one, as sentences; and the expected verdicts."""
    run, epochs, _, _ = reduce_log(program, config, log, visits, epochs=True)
    printed = [(e["utc"][:19], e["verdict"], " ".join(sorted(e["reasons"]))) for e in epochs]
    expected = list(expected_verdicts.verdicts(tomllib.loads(Path(config).read_text(encoding="utf-8")), log, visits))
    wrong = [f"{want[0]}: expected {want[1:]}, got {got}" for want, got in zip(expected, printed) if want != got]
    if len(printed) != len(expected):
        wrong.append(f"expected {len(expected)} epochs, got {len(printed)}; {run.stderr.strip()}")
    return wrong, expected


def case_generator(_, logs):
    """The committed files are what the generator writes, twice."""
    wrong = []
    for _ in range(2):
        with tempfile.TemporaryDirectory() as folder:
            subprocess.run([sys.executable, logs / "generate.py", folder], check=True)
            wrong += [f"{made.name} is not what generate.py writes" for made in sorted(Path(folder).iterdir())
                      if made.read_bytes() != (logs / made.name).read_bytes()]
    return wrong


def case_verdicts(program, logs):
    wrong = []
    for kind in ("visits", "whole-day.visits"):
        found, expected = differences(program, logs / "harrowfen.toml", logs / f"{NAME}.nmea",
                                      logs / f"{NAME}.{kind}.csv")
        reasons = {reason for row in expected for reason in row[2].split()}
        print(f"{kind}: {len(expected)} seconds, {len(found)} wrong; reasons met: {' '.join(sorted(reasons))}")
        wrong += found
    return wrong


def distance_m(point, mark):
    """East-north distance and height difference; a metre's worth of curvature does not matter over metres."""
    lat = math.radians(mark["latitude_deg"])
    north = math.radians(point["latitude_deg"] - mark["latitude_deg"]) * 6368900.0
    east = math.radians(point["longitude_deg"] - mark["longitude_deg"]) * 6389790.0 * math.cos(lat)
    return math.hypot(east, north), abs(point["ellipsoid_height_m"] - mark["ellipsoid_height_m"])


# What the scenario makes of each mark: source, station, quality, coordinate epoch.
MADE_OF = {"CUL-14": ("sbas", 131, "differential", 2026.42), "CUL-15": ("county network", 417, "rtk-fixed", 2010.0),
           "CUL-16": ("county network", 417, "rtk-fixed", 2010.0)}


def case_truth(program, logs):
    truth = json.loads((logs / f"{NAME}.truth.json").read_text(encoding="utf-8"))
    run, _, points, summary = reduce_log(program, logs / "harrowfen.toml", logs / f"{NAME}.nmea",
                                         logs / f"{NAME}.visits.csv")
    wrong = [] if run.returncode == 0 else [f"exit status {run.returncode}: {run.stderr.strip()}"]
    if [p["point"] for p in points] != list(MADE_OF):
        wrong.append(f"points {[p['point'] for p in points]}")
    for point, mark in zip(points, truth["marks"]):
        plan_m, height_m = distance_m(point, mark)
        print(f"{point['point']}: {plan_m:.4f} m off in plan (95 % {point['error95_horizontal_m']:.4f}), "
              f"{height_m:.4f} m in height (95 % {point['error95_vertical_m']:.4f})")
        source, station, quality, year = MADE_OF[mark["name"]]
        facts = {
            "in plan within its 95 % error": plan_m <= point["error95_horizontal_m"],
            "in height within its 95 % error": height_m <= point["error95_vertical_m"],
            "accepted": point["status"] == "accepted",
            "in the project frame": point["frame"] == truth["frame"],
            "at its source's epoch": abs(point["coordinate_epoch"] - year) < 0.005,
            "from the right source": (point["source"], int(point["station"]), point["quality"])
                                     == (source, station, quality),
            "reduced to the mark": abs(point["antenna_height_m"] - truth["antenna_height_m"]) < 1e-9,
        }
        wrong += [f"{mark['name']} is not {fact}" for fact, holds in facts.items() if not holds]
    size = (logs / f"{NAME}.nmea").stat().st_size
    if not summary or summary["bytes"] != size or sum(summary["damaged"].values()) or summary["epochs"] != 1200:
        wrong.append(f"summary {summary}")
    return wrong


# A limit of the county network, moved by its last digit past a value that occurs in the log; seconds that must change.
LIMITS = [
    ("max_hdop", "2.0", "1.9", 1), ("max_hdop", "2.0", "2.1", 1),
    ("max_pdop", "4.0", "3.9", 1), ("max_pdop", "4.0", "4.1", 1),
    ("max_vdop", "3.6", "3.5", 2), ("max_vdop", "3.6", "3.7", 1),  # two: one of them is over its PDOP as well
    ("min_satellites", "6", "7", 1), ("min_satellites", "6", "5", 1),
    ("min_altitude_decimals", "2", "3", 1), ("min_altitude_decimals", "2", "1", 1),
    ("max_error95_horizontal_m", "0.05", "0.04", 1), ("max_error95_vertical_m", "0.08", "0.07", 1),
    ("max_speed_mps", "0.10", "0.09", 1), ("max_speed_mps", "0.10", "0.11", 1),
    ("max_age_s", "10.0", "9.9", 1), ("settle_s", "5.0", "5.1", 3),  # three: after float, fixed, and stale
]


def case_limits(program, logs):
    log, visits = logs / f"{NAME}.nmea", logs / f"{NAME}.visits.csv"
    text = (logs / "harrowfen.toml").read_text(encoding="utf-8")
    before = list(expected_verdicts.verdicts(tomllib.loads(text), log, visits))
    wrong = []
    for key, old, new, seconds in LIMITS:
        moved, count = re.subn(rf"^({key} *= ){re.escape(old)}$", rf"\g<1>{new}", text, count=1, flags=re.M)
        with tempfile.TemporaryDirectory() as folder:
            config = Path(folder) / "moved.toml"
            config.write_text(moved, encoding="utf-8")
            found, after = differences(program, config, log, visits)
        changed = sum(a != b for a, b in zip(before, after))
        print(f"{key} {old} to {new}: {changed} seconds change, {len(found)} wrong")
        if count != 1 or changed != seconds:
            wrong.append(f"{key} {old} to {new}: {changed} seconds change in the expectation, not {seconds}")
        wrong += [f"{key} {old} to {new}: {sentence}" for sentence in found]
    return wrong


def case_bytes(program, logs):
    """One byte changed inside a sentence always shows in the damage counters."""
    lines = (logs / f"{NAME}.nmea").read_bytes().split(b"\r\n")
    first = next(i for i, line in enumerate(lines) if line.startswith(b"$GNGGA,140840"))
    excerpt = b"\r\n".join(lines[first:first + 18]) + b"\r\n"
    inside = [i for i, byte in enumerate(excerpt) if byte not in b"\r\n"]
    dice, wrong = random.Random(20260603), []
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "excerpt.nmea"

        def damage(data):
            log.write_bytes(data)
            run, _, _, summary = reduce_log(program, logs / "harrowfen.toml", log)
            return summary["damaged"] if summary else f"no summary: {run.stderr.strip()}"

        clean = damage(excerpt)
        if not isinstance(clean, dict) or sum(clean.values()):
            return [f"the unchanged excerpt: {clean}"]
        for at in dice.sample(inside, 40):
            new = dice.choice([b for b in range(256) if b != excerpt[at]])
            after = damage(excerpt[:at] + bytes([new]) + excerpt[at + 1:])
            if after == clean or not isinstance(after, dict):
                wrong.append(f"byte {at} ({excerpt[at]:#x}) changed to {new:#x}: {after}")
    print(f"40 of {len(inside)} bytes changed, one at a time: {len(wrong)} unnoticed")
    return wrong


def case_files(program, logs):
    """A pipe that nobody writes to, and a device that never ends, in place of each file that is read."""
    config, log, words = logs / "harrowfen.toml", logs / f"{NAME}.nmea", "is no file but a pipe or a device"
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        pipe = Path(folder) / "pipe.nmea"
        os.mkfifo(pipe)
        for other in (pipe, Path("/dev/zero")):
            rows = [("configuration", ["--config", other, "--log", log], 2), ("log", ["--config", config, "--log", other], 4),
                    ("visits", ["--config", config, "--log", log, "--visits", other], 2)]
            for name, arguments, status in rows:
                run = subprocess.run([program, *arguments], capture_output=True, text=True, timeout=60, check=False)
                if run.returncode != status or words not in run.stderr:
                    wrong.append(f"{other} as {name}: exit {run.returncode}, {run.stderr.strip()}")
    return wrong


def main():
    case, program, logs = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    wrong = globals()[f"case_{case}"](program, logs)
    print("\n".join(wrong[:20]))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
