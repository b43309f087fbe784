"""The end of a day as a crew lives it: checks, what speaks against closing, the closing, and what it changes."""

import contextlib
import hashlib
import json
import os
import signal
import sqlite3
import subprocess
import unittest

from checks_test import CLIENT, Crew
from harness import DEADLINE_S, OFFICE

SBAS = """
[[source]]
name             = "sbas"
match            = { quality = ["sbas"], station = ["120-158"] }
frame            = "EPSG:6319"
coordinate_epoch = 2010.0
evidence         = "invented"
error_scale      = 1.0
error_floor_m    = { horizontal = 0.10, vertical = 0.20 }
[source.gate]
quality     = ["sbas"]
fresh_age_s = 30.0
max_age_s   = 600.0
settle_s    = 2.0
"""


class Closing(Crew):
    def close(self, *arguments):
        return self.stillpoint("close-day", *arguments)

    def flags(self):
        return {p["point"]: "day-not-closed" in p["flags"] for p in self.control.call("points")["points"]}

    def flags_in_gis(self):
        return {name: "day-not-closed" in (flags or "") for name, flags in self.rows("SELECT name, flags FROM current_points")}

    def closings(self):
        return [(text, json.loads(details)) for text, details in self.rows("SELECT text, details FROM events WHERE kind = 'day-closed' ORDER BY id")]

    def refused(self, *parts, arguments=()):
        done = self.close(*arguments)
        self.assertEqual(done.returncode, 1, done.stdout)
        for part in parts:
            self.assertIn(part, done.stderr)
        return done.stderr

    def verify(self):
        return subprocess.run([OFFICE, "verify", "--config", self.folder / "config.toml", "--pointbook", self.folder / "trial.gpkg"], capture_output=True, text=True, timeout=DEADLINE_S)

    def test_a_closing_remembers_the_record_even_when_its_checksum_file_is_made_anew(self):
        self.begin()
        self.point("CUL-01")
        self.check("VM-11", "--closing")
        self.assertEqual(self.close().returncode, 0)
        self.daemon.stop()
        verified = self.verify()
        self.assertEqual(verified.returncode, 0, verified.stdout)
        self.assertIn("2 of 2 files of the record are as they were when the day was closed", verified.stdout)
        log = sorted((self.folder / "record").glob("*.nmea"))[0]
        log.write_bytes(log.read_bytes() + b"$GNXXX,1*00\r\n")
        sums = log.with_suffix(".sha256")
        sums.write_text("".join(f"{hashlib.sha256((log.parent / line[66:]).read_bytes()).hexdigest()}  {line[66:]}\n" for line in sums.read_text().splitlines()))
        changed = self.verify()
        self.assertEqual(changed.returncode, 1, changed.stdout)
        self.assertIn(f"{log.name}: CHANGED since the day was closed", changed.stdout)
        self.assertIn(f"{log.name}: unchanged", changed.stdout)  # by the file beside it
        log.with_suffix(".journal").unlink()
        self.assertIn("was there when the day was closed, and is gone", self.verify().stdout)

    def test_a_day_is_closed_on_a_check_and_reopened_by_a_point(self):
        self.begin()
        self.assertIn("day-not-closed", self.point("CUL-01")["flags"])
        self.assertNotIn("CUL-02", self.refused("a check on a mark is due: no check has been made since the start"))
        self.assertEqual(self.check("VM-11", "--closing").returncode, 0)
        closed = self.close()
        self.assertEqual(closed.returncode, 0, closed.stderr)
        self.assertIn("The day is closed: 1 point accepted, 0 held, 0 rejected", closed.stdout)
        self.assertIn("proved on VM-11 at 14:00:3", closed.stdout)
        self.assertIn("2 files of the record are as recorded", closed.stdout)
        self.assertEqual(self.rows("SELECT kind FROM check_shots"), [("closing",)])
        self.assertEqual(self.flags(), {"CUL-01": False})
        self.assertEqual(self.flags_in_gis(), {"CUL-01": False})
        text, details = self.closings()[0]
        self.assertEqual(details["counts"]["accepted"], 1)
        self.assertEqual(details["counts"]["alerts"], {"check-due": 1})
        self.assertEqual(details["proof"]["mark"], "VM-11")
        self.assertEqual([f["file"].split(".")[-1] for f in details["record"]["unchanged"]], ["nmea", "journal"])
        self.refused("closed already, and nothing was kept since")
        again = self.stillpoint("begin", "CUL-02")
        self.assertIn("a point kept now opens it again", again.stdout)
        self.send(12)
        self.assertIn("day-not-closed", self.control.call("keep")["point"]["flags"])
        self.assertEqual(self.flags(), {"CUL-01": False, "CUL-02": True})
        # Events are stored behind the answer.
        self.look_until("the reopening", lambda: self.rows("SELECT count(*) FROM events WHERE kind = 'day-reopened'") == [(1,)])
        self.refused("1 point was kept after the newest check")
        self.check("VM-11")
        self.assertEqual(self.close().returncode, 0)
        self.assertEqual(len(self.closings()), 2)
        self.assertEqual(self.flags_in_gis(), {"CUL-01": False, "CUL-02": False})
        live = self.listed(self.control)
        self.daemon.stop()
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), 2)
        verified = self.verify()
        self.assertEqual(verified.returncode, 0, verified.stdout + verified.stderr)

    def test_a_closing_says_where_the_error_scale_stands_and_changes_nothing(self):
        self.begin()
        self.check("VM-11")
        self.check("VM-11")  # within 45 min: the same visit
        self.point("CUL-01")
        self.check("VM-11", "--closing")
        closed = self.close()
        self.assertEqual(closed.returncode, 0, closed.stderr)
        self.assertIn('Source "county network": 1 of 10 visits, scale so far ', closed.stdout)
        self.assertIn("9 more checks on marks, 45 min from each other, prove it.", closed.stdout)
        self.assertNotIn("error_scale =", closed.stdout)
        rows = self.rows("SELECT error_scale, claim_plan_m2 > 0, scatter_plan_m2 IS NULL, mark_sigma_plan_m, mark_sigma_up_m FROM check_shots")
        self.assertEqual(rows, [(1.0, 1, 0, 0.005, 0.008)] * 3)
        self.assertNotIn("scales", self.closings()[0][1])  # said, and not stored
        office = [OFFICE, "error-scale", "--config", self.folder / "config.toml", "--pointbook", self.folder / "trial.gpkg"]
        said = subprocess.run(office, capture_output=True, text=True, timeout=DEADLINE_S)
        self.assertEqual(said.returncode, 1, said.stderr)
        (scale,) = [json.loads(line) for line in said.stdout.splitlines()]
        self.assertEqual((scale["calibration"], scale["against"], scale["counted"]), ("county network", "marks", 1))
        for line in said.stderr.splitlines():
            self.assertIn(line, closed.stdout)
        self.daemon.stop()
        verified = self.verify()
        self.assertEqual(verified.returncode, 0, verified.stdout + verified.stderr)

    def test_every_reason_is_told_at_once_and_held_points_want_a_decision_or_a_reason(self):
        self.begin()
        self.check("VM-12")
        self.point("CUL-01")
        self.control.call("begin", name="CUL-02")
        self.refused("CUL-02 is open", "the newest check failed", "1 point was kept after", "CUL-01 visit 1 (check-failed)", "--leave-held")
        self.control.call("discard")
        self.check("VM-11")
        why = self.refused("1 point is held and undecided, CUL-01 visit 1 (check-failed)")
        self.assertNotIn("check on a mark", why)
        self.assertNotIn("in the spool", why)  # the check of a moment ago was waited for
        closed = self.close("--leave-held", "the office has the deed", "--json")
        self.assertEqual(closed.returncode, 0, closed.stderr)
        answer = json.loads(closed.stdout)
        self.assertEqual((answer["counts"]["held"], answer["counts"]["abandoned"], answer["left_held_because"]), (1, 1, "the office has the deed"))
        self.assertEqual(self.flags(), {"CUL-01": False})

    def test_points_that_wait_in_the_spool_keep_the_day_open(self):
        self.begin()
        self.check("VM-11")
        # A check is answered when the spool has it, and may reach the pointbook later: it must not be held up here.
        self.control.until("the check is in the pointbook", lambda s: s["store"]["waiting"] == 0)
        self.look_until("the check is in the pointbook", lambda: self.rows("SELECT count(*) FROM check_shots") == [(1,)])
        with contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg", isolation_level=None)) as holder:
            holder.execute("BEGIN EXCLUSIVE")
            self.point("CUL-01")
            self.refused("1 point or check waits in the spool for the pointbook", "1 point was kept after the newest check")
            holder.execute("ROLLBACK")

    def test_a_record_that_is_not_what_was_recorded_is_told_and_left_only_with_a_reason(self):
        self.begin()
        self.check("VM-11")
        self.daemon.stop(signal.SIGTERM)
        first = sorted((self.folder / "record").glob("*.nmea"))[0]
        with first.open("r+b") as log:
            log.write(b"%")
        self.stream.close()
        self.begin()
        self.check("VM-11")
        self.refused(f"{first.name} has changed since it was recorded", "--leave-record")
        closed = self.close("--leave-record", "a bad card")
        self.assertEqual(closed.returncode, 0, closed.stderr)
        self.assertIn("left because: a bad card", closed.stdout)

    def test_a_record_that_was_deleted_is_missed(self):
        self.begin()
        self.point("CUL-01")
        self.daemon.stop(signal.SIGTERM)
        gone = sorted((self.folder / "record").glob("2*"))
        for file in gone:
            file.unlink()
        self.stream.close()
        self.begin()
        self.check("VM-11")
        # Within a second the new pair has the name of the old one.
        self.refused(gone[0].stem, "is gone", "--leave-record")
        closed = self.close("--leave-record", "the card broke")
        self.assertEqual(closed.returncode, 0, closed.stderr)
        # What a closing has left is not asked about again.
        self.point("CUL-02")
        self.check("VM-11")
        self.assertEqual(self.close().returncode, 0)

    def test_without_marks_the_day_closes_and_nothing_proves_it(self):
        config = self.folder / "config.toml"
        config.write_text(config.read_text().replace('marks = "marks.csv"', ""))
        self.begin()
        self.point("CUL-01")
        closed = self.close()
        self.assertEqual(closed.returncode, 0, closed.stderr)
        self.assertIn("no marks are configured, so nothing proves it", closed.stdout)
        self.daemon.stop()
        # The closing outlives the daemon, and so does what it covers.
        self.stream.close()
        self.begin()
        self.assertEqual(self.flags(), {"CUL-01": False})
        self.assertIn("opens it again", self.stillpoint("begin", "CUL-02").stdout)

    def test_points_under_a_second_source_wait_for_the_overlap_check_live_and_recomputed(self):
        with (self.folder / "config.toml").open("a") as config:
            config.write(SBAS)
        self.begin()
        self.check("VM-11")
        self.assertEqual(self.point("CUL-01")["status"], "accepted")
        self.options = {"quality": 9, "station": "0133", "age": 5.0}
        self.send(20)
        held = self.point("CUL-02")
        self.assertEqual((held["source"], held["status"], held["reasons"]), ("sbas", "held", ["overlap-check-due"]))
        passed = self.check("VM-11")
        self.assertEqual(passed.returncode, 0, passed.stderr)
        self.assertIn('VM-11 under "sbas" minus under "county network": east', passed.stdout)
        self.assertIn("the two sources agree", passed.stdout)
        self.assertEqual(self.point("CUL-03")["status"], "accepted")
        live = self.listed(self.control)
        self.daemon.stop()
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), 3)

    def test_the_turn_test_leads_through_its_four_stays(self):
        self.begin()
        for heading, says in (("n", "turn the pole to face east"), ("E", "face south"), ("S", "face west"), ("W", "the bubble is good")):
            opened = self.stillpoint("check", "VM-11", "--turn", heading)
            self.assertEqual(opened.returncode, 0, opened.stderr)
            self.assertIn("let the pole face", opened.stdout)
            self.assertIn("The pole faces", self.control.call("status")["occupation"]["advice"])
            self.send(12)
            kept = self.stillpoint("keep")
            self.assertEqual(kept.returncode, 0, kept.stderr)
            self.assertIn(says, kept.stdout.lower())
        self.assertEqual(self.rows("SELECT * FROM check_shots"), [])
        self.look_until("the turn test", lambda: self.rows("SELECT count(*) FROM events WHERE kind = 'turn-test'") == [(4,)])
        self.assertEqual(self.stillpoint("check", "VM-11", "--turn", "up").returncode, 2)


if __name__ == "__main__":
    unittest.main()
