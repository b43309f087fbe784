"""Checks on control marks as a crew makes them: real daemon, real client, and the same day from its record."""

import contextlib
import os
import shutil
import sqlite3
import subprocess
import unittest

from harness import DEADLINE_S, OFFICE, REDUCE, ProcessTest, Receiver, log_of

CLIENT = os.environ.get("STILLPOINT_CLIENT")
# VM-11 is where the receiver stands. VM-12 lies E +1.038 m, N -0.988 m, U +0.906 m from it: what NAD83(2011) differs by
# from ITRF2020 at this place on 2026.40, by the EPSG parameters.
MARKS = """name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m,recovered,status,remarks
VM-11,EPSG:6319,2010.0,47.600000,-87.400000,146.429,ellipsoid,0.005,0.008,2026-05-02,good,Sluice
VM-12,EPSG:6319,2010.0,47.59999111370,-87.39998619688,147.335,ellipsoid,0.005,0.008,2026-05-02,good,Heron
"""


class Crew(ProcessTest):
    """A crew at VM-11, second by second."""

    def setUp(self):
        super().setUp()
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.configure_tcp(self.receiver.port)
        (self.folder / "marks.csv").write_text(MARKS)
        with (self.folder / "config.toml").open("a") as config:
            config.write('\n[checks]\nmarks = "marks.csv"\n')
        self.seconds = 0
        self.options = {}

    def begin(self):
        self.seconds_before = self.seconds  # sent to an earlier run
        self.daemon = self.start()
        self.control = self.client()
        self.stream = self.receiver.accept()
        self.cleanup.callback(self.stream.close)
        self.send(10)

    def send(self, count):
        self.stream.sendall(log_of(count, first=self.seconds, **self.options))
        self.seconds += count
        # An epoch closes with the next one, or a little later by itself.
        self.control.until("the seconds", lambda s: s["counters"]["epochs"] >= self.seconds - self.seconds_before)

    def stillpoint(self, *arguments):
        command = [CLIENT, "--control", str(self.folder / "control"), *arguments]
        return subprocess.run(command, capture_output=True, text=True, timeout=DEADLINE_S)

    def check(self, mark, *options):
        opened = self.stillpoint("check", mark, *options)
        self.assertEqual(opened.returncode, 0, opened.stderr)
        self.send(12)
        return self.stillpoint("keep")

    def point(self, name):
        self.control.call("begin", name=name)
        self.send(12)
        return self.control.call("keep")["point"]


class Checks(Crew):
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
        self.control.until("stored", lambda s: s["store"]["waiting"] == 0)
        shots = self.rows("SELECT mark, kind, passed FROM check_shots ORDER BY utc")
        self.assertEqual(shots, [("VM-12", "opening", 0), ("VM-11", "extra", 1)])
        east, north, up = self.rows("SELECT off_east_m, off_north_m, off_up_m FROM check_shots WHERE mark = 'VM-12'")[0]
        for found, expected in ((east, -1.038), (north, 0.988), (up, -0.906)):
            self.assertAlmostEqual(found, expected, delta=0.005)
        live = self.listed(self.control)
        # The counts are of points; what waits may be a check, too.
        stored = self.control.until("stored", lambda s: s["store"]["waiting"] == 0)
        self.assertEqual(stored["store"], {"spooled": 3, "stored": 3, "waiting": 0})
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

    PLAN = """name,code,note,latitude_deg,longitude_deg,again_from
CUL-26,CUL-U,left bank,47.600100,-87.400000,
CUL-27,,,47.600900,-87.400000,2026-06-01
=BAD,,,47.6,-87.4,
"""

    def plan(self, text):
        (self.folder / "plan.csv").write_text(text)
        config = self.folder / "config.toml"
        config.write_text(config.read_text().replace("[project]", '[project]\nplan = "plan.csv"'))

    def test_planned_points_come_nearest_first_and_are_done_once_somebody_was_there(self):
        self.plan(self.PLAN)
        checked = self.run_config("--check")
        self.assertEqual(checked.returncode, 0, checked.stderr)
        self.assertIn("\nplan\n", checked.stdout)
        self.assertRegex(checked.stdout, r"2 from .*plan\.csv")
        self.assertIn("line 4", checked.stdout)
        self.begin()
        states = lambda: {each["point"]: each["state"] for each in self.control.call("plan")["plan"]}
        self.assertEqual(states(), {"CUL-26": "open", "CUL-27": "open"})
        listed = self.stillpoint("plan")
        self.assertEqual(listed.returncode, 0, listed.stderr)
        self.assertEqual(listed.stdout.splitlines()[:3], ["CUL-26  11 m north  CUL-U  left bank", "CUL-27  100 m north", "0 of 2 planned points are measured."])
        self.assertIn("line 4", listed.stdout)
        self.check("VM-11")
        self.point("cul 26")  # as it reads aloud
        self.assertEqual(states(), {"CUL-26": "done", "CUL-27": "open"})
        self.point("CUL-27")
        self.control.call("amend", name="CUL-27", void=True, reason="wrong culvert")
        self.assertEqual(states(), {"CUL-26": "done", "CUL-27": "open"}, "a rejected visit is none")

    def test_a_plan_that_cannot_be_used_stops_the_start_with_what_is_wrong(self):
        for text, says in (("name,code\nA,B\n", "latitude_deg"), ("", "plan.csv"), ("name,latitude_deg,longitude_deg\n", "no planned point")):
            with self.subTest(text=text):
                self.plan(text)
                done = self.run_config()
                self.assertEqual(done.returncode, 3, done.stderr)
                self.assertIn(says, done.stderr)
                config = self.folder / "config.toml"
                config.write_text(config.read_text().replace('plan = "plan.csv"\n', ""))

    def test_a_row_of_another_character_set_is_told_with_its_line_and_the_daemon_works_on(self):
        with open(self.folder / "marks.csv", "ab") as marks:
            marks.write(b"VM-20,EPSG:6319,2010.0,47.6,-87.4,,none,0.01,,,good,caf\xe9\n")
        where = f"line {len(MARKS.splitlines()) + 1}"
        checked = self.run_config("--check")
        self.assertIn(where, checked.stdout + checked.stderr)
        self.start()
        listed = self.client().call("marks")
        self.assertIn("VM-11", [mark["mark"] for mark in listed["marks"]])
        self.assertEqual(len([error for error in listed["errors"] if where in error and "no UTF-8" in error]), 1, listed["errors"])
        self.assertIn("feed", self.client().call("status"))

    def test_a_file_of_marks_that_cannot_be_read_stops_the_start(self):
        (self.folder / "marks.csv").unlink()
        done = self.run_config()
        self.assertEqual(done.returncode, 3)
        self.assertIn("marks.csv", done.stderr)

    def layer(self, name, source, *options):
        done = subprocess.run(["ogr2ogr", "-f", "GPKG", str(self.folder / name), str(source), *options], capture_output=True, text=True, timeout=DEADLINE_S)
        self.assertEqual(done.returncode, 0, done.stderr)

    def name_marks(self, name):
        config = self.folder / "config.toml"
        lines = config.read_text().splitlines()
        config.write_text("\n".join(lines[:-1] + [f'marks = "{name}"']) + "\n")

    @unittest.skipUnless(shutil.which("ogr2ogr"), "ogr2ogr is not installed")
    def test_marks_from_a_layer_that_another_program_made_give_what_the_same_csv_gives(self):
        place = ("-oo", "X_POSSIBLE_NAMES=longitude_deg", "-oo", "Y_POSSIBLE_NAMES=latitude_deg")
        self.layer("layer.gpkg", self.folder / "marks.csv", *place, "-oo", "AUTODETECT_TYPE=YES", "-a_srs", "EPSG:6318", "-nln", "control")
        self.name_marks("layer.gpkg")
        self.begin()
        self.assertIn("VM-12  good  EPSG:6319", self.stillpoint("marks").stdout)
        self.assertEqual(self.check("VM-12").returncode, 1)
        self.assertEqual(self.check("VM-11").returncode, 0)
        self.control.until("stored", lambda s: s["store"]["waiting"] == 0)
        live = self.rows("SELECT off_east_m, off_north_m, off_up_m, text FROM check_shots ORDER BY id")
        self.daemon.stop()
        for name in ("layer.gpkg", "marks.csv"):
            self.name_marks(name)
            done = self.run_program(OFFICE, "verify", "--pointbook", self.folder / "trial.gpkg")
            self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
            self.assertIn("(2 check shots)", done.stdout)
        for found, expected in zip(live[0], (-1.038, 0.988, -0.906)):
            self.assertAlmostEqual(found, expected, delta=0.005)

        # Drawn in another system than the marks declare, a metre away at this place.
        self.layer("wgs.gpkg", self.folder / "marks.csv", *place, "-a_srs", "EPSG:4326", "-nln", "control")
        self.name_marks("wgs.gpkg")
        done = self.run_config()
        self.assertEqual(done.returncode, 3)
        self.assertIn("row 1: the mark says frame EPSG:6319, but the layer is drawn in EPSG:4326", done.stderr)

    @unittest.skipUnless(shutil.which("ogr2ogr"), "ogr2ogr is not installed")
    def test_points_of_a_pointbook_serve_as_marks_once_they_say_what_a_mark_must_say(self):
        self.begin()
        self.point("CUL-01")
        self.daemon.stop()
        book = self.folder / "trial.gpkg"
        self.name_marks("trial.gpkg")
        done = self.run_config()
        self.assertEqual(done.returncode, 3)
        self.assertIn("is the pointbook itself", done.stderr)
        shutil.copy(book, self.folder / "copy.gpkg")
        self.name_marks("copy.gpkg")
        self.assertIn("several layers of points (check_shots, current_points, points), and none is called marks", self.run_config().stderr)
        self.layer("alone.gpkg", book, "current_points")
        self.name_marks("alone.gpkg")
        self.assertIn("row 1: sigma_horizontal_m (1 sigma) is missing", self.run_config().stderr)
        said = "SELECT geom, name, frame, coordinate_epoch, 'ellipsoid' AS height_kind, 0.01 AS sigma_horizontal_m, 0.01 AS sigma_vertical_m FROM current_points"
        self.layer("points.gpkg", book, "-sql", said, "-nln", "marks")
        self.name_marks("points.gpkg")
        done = self.run_program(REDUCE, "--log", *sorted((self.folder / "record").glob("*.nmea")))
        self.assertEqual(done.returncode, 0, done.stderr)
        with contextlib.closing(sqlite3.connect(self.folder / "points.gpkg")) as layer:
            self.assertEqual(layer.execute("SELECT count(*) FROM marks").fetchall(), [(1,)])

    def run_program(self, program, *arguments):
        return subprocess.run([program, *arguments, "--config", self.folder / "config.toml"], capture_output=True, text=True, timeout=DEADLINE_S)


if __name__ == "__main__":
    unittest.main()
