#!/usr/bin/python3
"""Whatever is printed, stored or recomputed stays byte for byte what it was.

    golden_test.py REDUCE REPORT SIMULATE DAEMON STATUSES REPLAY_LOGS OFFICE [--update]

Short outputs lie whole in `whole/`; of long ones `digests.json` holds a SHA-256 of each 200 lines, so that a difference
is found to within these. `days/` holds recorded days as an earlier version wrote them (make_days.py): later programs
must read them and say the same about them.
--update writes all of it anew: read the difference before committing it, and say the reason in the commit.
"""

import contextlib
import gzip
import hashlib
import json
import os
import random
import re
import shutil
import sqlite3
import subprocess
import sys
import tarfile
import tempfile
import unittest
from pathlib import Path

HERE = Path(__file__).resolve().parent
UPDATE = "--update" in sys.argv
REDUCE, REPORT, SIMULATE, DAEMON, STATUSES, LOGS, OFFICE = (Path(x).resolve() for x in [a for a in sys.argv[1:] if a != "--update"][:7])
LINES = 200
DAYS = sorted(p.name.removesuffix(".tar.gz") for p in (HERE / "days").glob("*.tar.gz"))
SCENARIOS = sorted(p.stem for p in [*LOGS.glob("*.toml"), *(LOGS / "manners").glob("*.toml")] if "[[use]]" in p.read_text())

kept = json.loads((HERE / "digests.json").read_text()) if (HERE / "digests.json").exists() else {}


def digests(text):
    lines = text.splitlines(keepends=True)
    return [hashlib.sha256("".join(lines[i : i + LINES]).encode()).hexdigest()[:16] for i in range(0, len(lines), LINES)]


def damaged(data, seed):
    """Bytes lost, changed, doubled and put in, as a bad link does; the same for a seed on every machine."""
    dice = random.Random(seed)
    out = bytearray(data)
    for _ in range(len(out) // 2000):
        at = dice.randrange(len(out))
        kind = dice.randrange(4)
        if kind == 0:
            out[at] = dice.randrange(256)
        elif kind == 1:
            del out[at : at + dice.randrange(1, 80)]
        elif kind == 2:
            out[at:at] = out[at : at + dice.randrange(1, 200)]
        else:
            out[at:at] = bytes(dice.randrange(256) for _ in range(dice.randrange(1, 40)))
    return bytes(out)


class Golden(unittest.TestCase):
    maxDiff = 4000

    def setUp(self):
        self.cleanup = contextlib.ExitStack()
        self.addCleanup(self.cleanup.close)
        self.folder = Path(self.cleanup.enter_context(tempfile.TemporaryDirectory(prefix="stillpoint-")))

    def run_program(self, *command):
        return subprocess.run([str(c) for c in command], capture_output=True, timeout=300, check=False, cwd=self.folder)

    def said(self, *command):
        """Exit status, output and messages, without the names of temporary folders."""
        done = self.run_program(*command)
        text = f"exit {done.returncode}\n{done.stdout.decode()}{done.stderr.decode()}"
        return text.replace(str(self.folder), "FOLDER")

    def same_whole(self, name, text):
        path = HERE / "whole" / name
        if UPDATE:
            path.parent.mkdir(exist_ok=True)
            path.write_text(text)
        self.assertEqual(path.read_text(), text, name)

    def same_digests(self, name, text):
        if UPDATE:
            kept[name] = digests(text)
        now, before = digests(text), kept.get(name, [])
        for part, (one, other) in enumerate(zip(before, now)):
            self.assertEqual(one, other, f"{name}: lines {part * LINES + 1} to {(part + 1) * LINES} are not what they were")
        self.assertEqual(len(before), len(now), f"{name}: as many lines")

    def simulated(self, scenario):
        path = LOGS / f"{scenario}.toml"
        if not path.exists():
            path = LOGS / "manners" / f"{scenario}.toml"
        log = self.folder / f"{scenario}.nmea"
        done = self.run_program(SIMULATE, "--scenario", path, "--out", log)
        self.assertEqual(done.returncode, 0, done.stderr)
        return log

    def unpacked(self, day):
        with gzip.open(HERE / "days" / f"{day}.tar.gz") as packed, tarfile.open(fileobj=packed) as tar:
            tar.extractall(self.folder)
        return self.folder

    def book_of(self, day):
        return self.folder / ("trial.gpkg" if day == "left-open" else "training.gpkg")

    def test_recomputed_scenarios(self):
        for scenario in SCENARIOS:
            with self.subTest(scenario=scenario):
                log = self.simulated(scenario)
                self.same_digests(f"epochs of {scenario}",
                                  self.said(REDUCE, "--config", LOGS / "training.toml", "--log", log, "--epochs"))

    def test_recomputed_demo_day(self):
        log, visits = LOGS / "harrowfen-culverts.nmea", LOGS / "harrowfen-culverts.visits.csv"
        config = LOGS / "harrowfen.toml"
        self.same_digests("epochs of the demo day", self.said(REDUCE, "--config", config, "--log", log, "--visits", visits, "--epochs"))
        self.same_whole("demo-day.jsonl", self.said(REDUCE, "--config", config, "--log", log, "--visits", visits))

    def test_recomputed_damaged_logs(self):
        data = (LOGS / "harrowfen-culverts.nmea").read_bytes()
        for seed in (1, 2, 3):
            with self.subTest(seed=seed):
                log = self.folder / "damaged.nmea"
                log.write_bytes(damaged(data, seed))
                self.same_digests(f"epochs of damage {seed}", self.said(
                    REDUCE, "--config", LOGS / "harrowfen.toml", "--log", log, "--visits", LOGS / "harrowfen-culverts.visits.csv",
                    "--epochs"))

    def test_statuses(self):
        for scenario in SCENARIOS:
            with self.subTest(scenario=scenario):
                self.same_digests(f"statuses of {scenario}", self.said(STATUSES, LOGS / "training.toml", self.simulated(scenario)))

    def test_recorded_days(self):
        for day in DAYS:
            with self.subTest(day=day):
                shutil.rmtree(self.folder)
                self.folder.mkdir()
                self.unpacked(day)
                logs = sorted((self.folder / "record").glob("*.nmea"))
                config = self.folder / "config.toml"
                self.same_digests(f"epochs of {day}", self.said(REDUCE, "--config", config, "--log", *logs, "--epochs"))
                self.same_whole(f"{day}.jsonl", self.said(REDUCE, "--config", config, "--log", *logs))
                self.same_whole(f"{day}.verified.txt",
                                self.said(OFFICE, "verify", "--config", config, "--pointbook", self.book_of(day)))
                self.same_report(day)

    def same_report(self, day):
        self.said(REPORT, "--pointbook", self.book_of(day), "--out", self.folder / "report")
        for name in ("report.html", "points.csv", "points.geojson"):
            text = (self.folder / "report" / name).read_text().replace(str(self.folder), "FOLDER")
            text = re.sub(r"stillpoint-report [0-9.]+, \S+Z\.", "Report made.", text)
            if name == "report.html":
                self.same_digests(f"{name} of {day}", text)
            else:
                self.same_whole(f"{day}.{name}", text)

    def test_a_journal_that_says_more_than_its_bytes_is_read_to_where_they_end(self):
        """Power lost between the syncs of the two files. In the middle of a run only damage does that."""
        self.unpacked("everything-else.careful")
        log = next((self.folder / "record").glob("*.nmea"))
        recompute = [REDUCE, "--config", self.folder / "config.toml", "--log", log]

        def stays(done):
            return [(p["point"], p["visit"], p["latitude_deg"], p["longitude_deg"]) for p in
                    map(json.loads, done.stdout.splitlines()) if "point" in p]

        whole = self.run_program(*recompute)
        log.write_bytes(log.read_bytes()[:-7])
        cut = self.run_program(*recompute)
        self.assertIn(f"{log} is shorter than its journal says, as after a loss of power", cut.stderr.decode())
        self.assertEqual(cut.returncode, whole.returncode)
        self.assertGreater(len(stays(whole)), 3)
        self.assertEqual(stays(cut), stays(whole))
        later = log.with_name("later.nmea")
        later.write_text("\n")
        head, *_, last = log.with_suffix(".journal").read_text().splitlines()
        at = last.split()[1]
        later.with_suffix(".journal").write_text(re.sub("steady [0-9]+", f"steady {at}", head) + f"\n1 {at}\n")
        middle = self.run_program(*recompute, "--log", later)
        self.assertIn(f"{log} is shorter than its journal says; the record was cut", middle.stderr.decode())
        self.assertEqual((middle.returncode, middle.stdout), (4, b""))

    def test_what_a_day_left_open_is_taken_up(self):
        """Points and a check of the old spool reach the book, the old open stay comes back as held."""
        self.unpacked("left-open")
        config = (self.folder / "config.toml").read_text()
        (self.folder / "empty.nmea").write_text("\n")
        feed = config.index("[[feed]]"), config.index("[antenna]")
        config = config[: feed[0]] + '[[feed]]\nkind = "replay"\nfile = "empty.nmea"\npace = "max"\n\n' + config[feed[1] :]
        (self.folder / "config.toml").write_text(config)
        process = subprocess.Popen([DAEMON, "--config", str(self.folder / "config.toml")], stdout=subprocess.PIPE,
                                   stderr=subprocess.PIPE)
        self.cleanup.callback(process.stderr.close)
        self.cleanup.callback(process.stdout.close)
        self.assertTrue(process.stdout.readline().startswith(b"ready"))
        process.terminate()
        process.communicate(timeout=60)
        self.assertEqual(process.returncode, 0)
        with contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg")) as book:
            points = book.execute("SELECT name, visit, version, status, reasons, code, note, latitude_deg, longitude_deg,"
                                  " ellipsoid_height_m, error95_horizontal_m, epochs_used, refused, flags, content_sha256"
                                  " FROM points ORDER BY id").fetchall()
            checks = book.execute("SELECT * FROM check_shots ORDER BY id").fetchall()
        rows = [list(p)[:-1] if p[0] == "LF-3" else list(p) for p in points]
        checks = [[c.hex() if isinstance(c, bytes) else c for c in row] for row in checks]
        self.same_whole("left-open.rows.json", json.dumps({"points": rows, "checks": checks}, indent=1) + "\n")


if __name__ == "__main__":
    program = unittest.main(argv=[sys.argv[0], *(["-v"] if os.environ.get("VERBOSE") else [])], exit=False)
    if UPDATE:
        (HERE / "digests.json").write_text(json.dumps(kept, indent=1, sort_keys=True) + "\n")
    sys.exit(0 if program.result.wasSuccessful() else 1)
