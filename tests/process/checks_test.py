"""Checks on control marks as a crew makes them: real daemon, real client, and the same day from its record."""

import os
import subprocess
import unittest

from harness import DEADLINE_S, ProcessTest, Receiver, log_of

CLIENT = os.environ.get("STILLPOINT_CLIENT")
# VM-11 is where the receiver stands. VM-12 lies E +1.038 m, N -0.988 m, U +0.906 m from it: what NAD83(2011) differs by
# from ITRF2020 at this place on 2026.40, by the EPSG parameters.
MARKS = """name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m,recovered,status,remarks
VM-11,EPSG:6319,2010.0,47.600000,-87.400000,146.429,ellipsoid,0.005,0.008,2026-05-02,good,Sluice
VM-12,EPSG:6319,2010.0,47.59999111370,-87.39998619688,147.335,ellipsoid,0.005,0.008,2026-05-02,good,Heron
"""


class Checks(ProcessTest):
    def setUp(self):
        super().setUp()
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.configure_tcp(self.receiver.port)
        (self.folder / "marks.csv").write_text(MARKS)
        with (self.folder / "config.toml").open("a") as config:
            config.write('\n[checks]\nmarks = "marks.csv"\n')
        self.seconds = 0

    def begin(self):
        self.daemon = self.start()
        self.control = self.client()
        self.stream = self.receiver.accept()
        self.cleanup.callback(self.stream.close)
        self.send(10)

    def send(self, count):
        self.stream.sendall(log_of(count, first=self.seconds))
        self.seconds += count
        # An epoch closes with the next one, or a little later by itself.
        self.control.until("the seconds", lambda s: s["counters"]["epochs"] >= self.seconds)

    def stillpoint(self, *arguments):
        command = [CLIENT, "--control", str(self.folder / "control"), *arguments]
        return subprocess.run(command, capture_output=True, text=True, timeout=DEADLINE_S)

    def check(self, mark):
        opened = self.stillpoint("check", mark)
        self.assertEqual(opened.returncode, 0, opened.stderr)
        self.send(12)
        return self.stillpoint("keep")

    def point(self, name):
        self.control.call("occupy", name=name)
        self.send(12)
        return self.control.call("keep")["point"]

    def test_a_day_with_a_failed_check_names_its_cause_holds_points_and_is_recomputed_alike(self):
        self.begin()
        self.assertIn("check-due", self.point("CUL-01")["flags"])
        failed = self.check("VM-12")
        self.assertEqual(failed.returncode, 1, failed.stdout)
        self.assertIn("First suspect (", failed.stdout)
        self.assertIn("frame", failed.stdout.split("First suspect (")[1])
        self.assertIn("To make sure:", failed.stdout)
        self.assertNotIn("shift the points", failed.stdout.lower())
        held = self.point("CUL-02")
        self.assertEqual((held["status"], held["reasons"]), ("held", ["check-failed"]))
        passed = self.check("VM-11")
        self.assertEqual(passed.returncode, 0, passed.stderr)
        self.assertIn("passed", self.control.call("status")["check"]["text"])
        good = self.point("CUL-03")
        self.assertEqual((good["status"], good["flags"].count("check-due")), ("accepted", 0))
        shots = self.rows("SELECT mark, kind, passed FROM check_shots ORDER BY utc")
        self.assertEqual(shots, [("VM-12", "opening", 0), ("VM-11", "extra", 1)])
        east, north, up = self.rows("SELECT off_east_m, off_north_m, off_up_m FROM check_shots WHERE mark = 'VM-12'")[0]
        for found, expected in ((east, -1.038), (north, 0.988), (up, -0.906)):
            self.assertAlmostEqual(found, expected, delta=0.005)
        live = self.listed(self.control)
        self.daemon.stop()
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), 3)

    def test_marks_are_listed_and_what_is_no_mark_is_refused(self):
        self.begin()
        listed = self.stillpoint("marks")
        self.assertEqual(listed.returncode, 0, listed.stderr)
        self.assertIn("VM-11  good  EPSG:6319", listed.stdout)
        unknown = self.stillpoint("check", "VM-99")
        self.assertEqual(unknown.returncode, 1)
        self.assertIn("no mark is called VM-99", unknown.stderr)

    def test_a_file_of_marks_that_cannot_be_read_stops_the_start(self):
        (self.folder / "marks.csv").unlink()
        done = self.run_config()
        self.assertEqual(done.returncode, 3)
        self.assertIn("marks.csv", done.stderr)


if __name__ == "__main__":
    unittest.main()
