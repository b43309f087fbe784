#!/usr/bin/python3
"""Rehearsals through the real daemon and the real client.

    rehearse_test.py REHEARSE DAEMON REPLAY_LOGS OFFICE [--update]

The debriefs in golden/ guard against change; what must be so whatever the wording is asserted beside them.
--update writes them anew: read the difference before committing it.
"""
import contextlib
import json
import os
import signal
import sqlite3
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

GOLDEN = Path(__file__).resolve().parent / "golden"
UPDATE = "--update" in sys.argv
REHEARSE, DAEMON, LOGS, OFFICE = (Path(x) for x in [a for a in sys.argv[1:] if a != "--update"][:4])
SCENARIOS = ["two-skies", "alder-cut", "everything-else", "clean-day", "moved-mark", "other-base"]


def rehearse(folder, scenario, *arguments, pace="max"):
    command = [REHEARSE, "--scenario", scenario, "--with-daemon", "--pace", pace, "--folder", folder / "work"]
    done = subprocess.run([str(x) for x in [*command, *arguments]], capture_output=True, text=True, timeout=120, check=False)
    return done


class Rehearsal(unittest.TestCase):
    def setUp(self):
        self.cleanup = contextlib.ExitStack()
        self.addCleanup(self.cleanup.close)

    def folder(self):
        return Path(self.cleanup.enter_context(tempfile.TemporaryDirectory(prefix="stillpoint-")))

    kept_runs = {}

    def debrief(self, scenario, crew):
        """Each crew's day is played once."""
        if (scenario, crew) not in self.kept_runs:
            self.kept_runs[scenario, crew] = self.play(scenario, crew)
        return self.kept_runs[scenario, crew]

    def play(self, scenario, crew):
        folder = self.folder()
        done = rehearse(folder, LOGS / f"{scenario}.toml", "--crew", crew, "--json", folder / "debrief.json")
        self.assertIn(done.returncode, (0, 1), done.stderr)
        self.verified_points[scenario, crew] = self.verify(folder / "work")
        return done, json.loads((folder / "debrief.json").read_text())

    verified_points = {}

    def verify(self, folder):
        """Computed once more from the day's record, every field of every point and second is what the field stored."""
        done = subprocess.run([OFFICE, "verify", "--config", folder / "config.toml", "--pointbook", folder / "training.gpkg"],
                              capture_output=True, text=True, timeout=60, check=False)
        with contextlib.closing(sqlite3.connect(folder / "training.gpkg")) as book:
            stored = book.execute("SELECT count(*) FROM points WHERE version = 1").fetchone()[0]
        if stored == 0:
            self.assertIn("no point in it, and none in the record", done.stdout)
            return 0
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertIn(f"to the last bit ({stored} point", done.stdout)
        return stored

    def test_each_crew_gets_its_kept_debrief(self):
        for scenario in SCENARIOS:
            for crew in ("careful", "careless"):
                with self.subTest(scenario=scenario, crew=crew):
                    done, debrief = self.debrief(scenario, crew)
                    kept = GOLDEN / f"{scenario}.{crew}.txt"
                    if UPDATE:
                        GOLDEN.mkdir(exist_ok=True)
                        kept.write_text(done.stdout)
                    self.assertEqual(done.stdout, kept.read_text())
                    self.assertEqual((done.returncode == 0, debrief["passed"]), (crew == "careful", crew == "careful"))

    def test_every_day_comes_out_of_its_record_to_the_last_bit(self):
        for scenario in SCENARIOS:
            for crew in ("careful", "careless"):
                self.debrief(scenario, crew)
        self.assertGreaterEqual(sum(self.verified_points.values()), 50)

    def test_the_careful_crew_meets_every_hazard_and_the_careless_one_falls_for_what_nothing_shows(self):
        for scenario in SCENARIOS:
            with self.subTest(scenario=scenario):
                careful, careless = (self.debrief(scenario, crew)[1] for crew in ("careful", "careless"))
                self.assertEqual([i["id"] for i in careful["items"] if not i["met"]], [])
                missed = {i["id"] for i in careless["items"] if i["kind"] == "hazard" and not i["met"]}
                unseen = {"two-skies": {"silent-shift", "overlap", "mark-after"},
                          "alder-cut": {"fallback", "false-fix", "frozen", "multipath", "closing"},
                          "everything-else": {"pole", "opening", "cut", "reset", "base", "closing"},
                          "clean-day": {"opening", "closing"},
                          "moved-mark": {"second-mark", "closing"},
                          "other-base": {"opening", "other-base", "closing"}}[scenario]
                self.assertLessEqual(unseen, missed)

    def test_doing_nothing_and_distrusting_everything_cost_30_points_and_more(self):
        for scenario in SCENARIOS:
            careful = self.debrief(scenario, "careful")[1]["score"]
            for crew in ("nothing", "distrust"):
                with self.subTest(scenario=scenario, crew=crew):
                    self.assertLessEqual(self.debrief(scenario, crew)[1]["score"], careful - 30)

    def test_a_checked_day_is_closed_only_on_a_check(self):
        flags = {}
        for crew in ("careful", "careless"):
            folder = self.folder()
            rehearse(folder, LOGS / "moved-mark.toml", "--crew", crew)
            with contextlib.closing(sqlite3.connect(folder / "work" / "training.gpkg")) as book:
                flags[crew] = {"day-not-closed" in row[0] for row in book.execute("SELECT flags FROM current_points")}
                shots = book.execute("SELECT mark, passed FROM check_shots ORDER BY utc").fetchall()
            self.assertEqual(shots, [("VM-13", 0), ("VM-11", 1), ("VM-11", 1)][: 3 if crew == "careful" else 1])
        self.assertEqual(flags, {"careful": {False}, "careless": {True}})

    def test_training_leaves_a_mark_that_live_work_refuses(self):
        folder = self.folder()
        self.assertEqual(rehearse(folder, LOGS / "clean-day.toml", "--crew", "careful").returncode, 0)
        with contextlib.closing(sqlite3.connect(folder / "work" / "training.gpkg")) as book:
            rows = book.execute("SELECT training, flags FROM points").fetchall()
        self.assertEqual(len(rows), 6)
        for training, flags in rows:
            self.assertEqual(training, 1)
            self.assertIn("training", flags)
        live = subprocess.run([DAEMON, "--config", folder / "work" / "config.toml"], capture_output=True, text=True, timeout=60)
        self.assertEqual(live.returncode, 3)
        self.assertIn("holds training points", live.stderr)
        again = rehearse(folder, LOGS / "clean-day.toml", "--crew", "careful")
        self.assertEqual(again.returncode, 3)
        self.assertIn("holds a rehearsal already", again.stderr)

    def test_a_pseudo_terminal_at_60_times_gives_the_same_points(self):
        folder = self.folder()
        day = (LOGS / "clean-day.toml").read_text().replace("seconds   = 1260", "seconds   = 180")
        day = day[: day.index('  { at_s = 205, do = "begin"')] + "]\n"
        (folder / "short.toml").write_text(day)
        (folder / "training.toml").write_text((LOGS / "training.toml").read_text())
        found = []
        for number, arguments in enumerate([("--pace", "60", "--pty"), ("--pace", "max")]):
            where = folder / str(number)
            done = subprocess.run([REHEARSE, "--scenario", folder / "short.toml", "--with-daemon", "--crew", "careful",
                                   "--folder", where, *arguments], capture_output=True, text=True, timeout=120, check=False)
            self.assertEqual(done.returncode, 1, done.stderr)  # the day ends before half of the job
            found.append(done.stdout)
        self.assertEqual(found[0], found[1])

    def interrupted(self, words, *arguments):
        """Ctrl-C at a terminal goes to every program of the foreground group. Pressed when stderr says `words`."""
        command = [REHEARSE, "--scenario", LOGS / "clean-day.toml", *arguments]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True)
        self.cleanup.callback(process.kill)
        said = ""
        for line in process.stderr:
            said += line
            if words in line:
                break
        os.killpg(process.pid, signal.SIGINT)
        out, more = process.communicate(timeout=20)
        return process.returncode, out, said + more

    def test_ctrl_c_ends_the_day_early_with_a_debrief(self):
        status, out, said = self.interrupted("Ctrl-C ends the day early", "--with-daemon", "--folder", self.folder() / "work")
        self.assertEqual(status, 1, said)
        self.assertIn("Score ", out)

    def test_ctrl_c_ends_the_wait_for_somebody_who_reads(self):
        status, _, said = self.interrupted("Ctrl-C ends the day early")
        self.assertEqual(status, 1, said)
        self.assertIn("stopped before anybody read", said)

    def test_what_is_wrong_is_said_with_its_status(self):
        rows = [([], 2, "--scenario"), (["--scenario", "none.toml"], 2, "cannot read the scenario"),
                (["--scenario", LOGS / "clean-day.toml", "--crew", "x", "--with-daemon"], 2, "there are nothing, distrust, careful"),
                (["--scenario", LOGS / "clean-day.toml", "--pace", "61"], 2, "--pace is 61"),
                (["--scenario", LOGS / "clean-day.toml", "--pace", "max"], 2, "scripted crews"),
                (["--scenario", LOGS / "clean-day.toml", "--crew", "careful"], 2, "needs --with-daemon"),
                (["--scenario", LOGS / "training.toml"], 2, "there is no such key"),
                (["--scenario", LOGS / "clean-day.toml", "--control", "/nowhere"], 3, "/nowhere")]
        for arguments, status, words in rows:
            with self.subTest(words=words):
                done = subprocess.run([REHEARSE, *arguments], capture_output=True, text=True, timeout=60, check=False)
                self.assertEqual(done.returncode, status, done.stderr)
                self.assertIn(words, done.stderr)


if __name__ == "__main__":
    os.environ.pop("STILLPOINT_CONTROL", None)
    unittest.main(argv=sys.argv[:1])
