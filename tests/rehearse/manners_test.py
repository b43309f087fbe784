#!/usr/bin/python3
"""One short scenario for each receiver manner, through the real simulation and recomputation; and a profile whose
label says "WGS 84".

    manners_test.py SIMULATE REDUCE DAEMON REPLAY_LOGS
"""
import json
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

SIMULATE, REDUCE, DAEMON, LOGS = (Path(x) for x in sys.argv[1:5])

# Scenario: status of the only point, reasons that must be there, flags that must be there, damage expected.
EXPECTED = {
    "bad-link": ("accepted", ["error-missing"], [], True),
    "blank-fields": ("none", ["correction-age-missing", "satellites"], [], False),
    "cold-start": ("accepted", ["quality", "settling"], [], False),
    "constant-age": ("accepted", ["settling"], [], False),
    "date-jump": ("held", ["date-contradicted"], [], False),
    "four-decimals": ("none", ["coarse-coordinates"], [], False),
    "full-burst": ("accepted", ["settling"], [], False),
    "late-link": ("held", ["late"], [], False),
    "leap-step": ("held", ["other-segment"], [], False),
    "position-last": ("accepted", ["pdop"], [], False),
    "quality-nine": ("accepted", ["settling"], ["coasted"], False),
    "slow-position": ("accepted", ["settling"], [], False),
    "week-rollover": ("accepted", ["settling"], [], False),  # a recorded log is taken as dated
    "zero-age": ("none", ["correction-age-missing", "error-missing"], [], False),
}


class Manners(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory(prefix="stillpoint-")
        self.addCleanup(folder.cleanup)
        self.folder = Path(folder.name)

    def run_program(self, *command):
        return subprocess.run([str(x) for x in command], capture_output=True, text=True, timeout=60, check=False)

    def test_each_manner_has_its_consequence(self):
        self.assertEqual({p.stem for p in (LOGS / "manners").glob("*.toml")}, set(EXPECTED))
        for name, (status, reasons, flags, damaged) in EXPECTED.items():
            with self.subTest(manner=name):
                log, truth = self.folder / "log.nmea", self.folder / "truth.json"
                made = self.run_program(SIMULATE, "--scenario", LOGS / "manners" / f"{name}.toml", "--out", log, "--truth", truth)
                self.assertEqual((made.returncode, made.stderr), (0, ""))
                self.assertGreaterEqual(len(json.loads(truth.read_text())["epochs"]), 90)
                done = self.run_program(REDUCE, "--config", LOGS / "training.toml", "--log", log)
                point, summary = (json.loads(line) for line in done.stdout.splitlines())
                self.assertEqual(point["status"], status, point)
                for reason in reasons:
                    self.assertIn(reason, point["refused"])
                for flag in flags:
                    self.assertIn(flag, point["flags"])
                self.assertEqual(any(summary["summary"]["damaged"].values()), damaged)

    def test_a_profile_labelled_wgs_84_is_refused_with_the_cause(self):
        day = (LOGS / "training.toml").read_text()
        for label in ("WGS 84", "EPSG:4326", "EPSG:4979"):
            with self.subTest(label=label):
                config = self.folder / "day.toml"
                config.write_text(day.replace('frame            = "EPSG:9989"', f'frame = "{label}"'))
                done = self.run_program(DAEMON, "--config", config, "--check")
                self.assertEqual(done.returncode, 2)
                self.assertIn("sbas", done.stderr)

    def test_what_cannot_be_done_is_said_with_its_status(self):
        clean = LOGS / "clean-day.toml"
        rows = [([], 2, "are needed"), (["--scenario", "none.toml", "--out", "-"], 2, "cannot read the scenario none.toml"),
                (["--scenario", clean, "--out", "/no/such/folder/x"], 3, "cannot write /no/such/folder/x"),
                (["--scenario", clean, "--out", "/dev/full"], 3, "disk full"),
                (["--scenario", LOGS / "training.toml", "--out", "-"], 2, "name is missing")]
        for arguments, status, words in rows:
            with self.subTest(words=words):
                done = self.run_program(SIMULATE, *arguments)
                self.assertEqual(done.returncode, status, done.stderr)
                self.assertIn(words, done.stderr)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
