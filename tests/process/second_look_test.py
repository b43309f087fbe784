"""The office's second look: what the record gives is what the field stored, to the last bit; and whatever was changed
since is found and named. The four days of the scenarios are verified where they are played, in rehearse_test.py."""

import contextlib
import hashlib
import os
import re
import shutil
import sqlite3
import struct
import subprocess
import unittest
import zoneinfo
from datetime import datetime
from pathlib import Path

from harness import DEADLINE_S, ProcessTest, Receiver, log_of

REDUCE = os.environ["STILLPOINT_REDUCE"]
OFFICE = os.environ["STILLPOINT_OFFICE"]
REHEARSE = os.environ["STILLPOINT_REHEARSE"]
LOGS = Path(os.environ["STILLPOINT_REPLAY_LOGS"])
CREW = """
[[crew]]
name = "one point"
actions = [
  { at_s = 5, do = "begin", name = "VM-11", code = "MRK" },
  { at_s = %d, do = "keep" },
]
"""


def office(*arguments):
    return subprocess.run([OFFICE, *map(str, arguments)], capture_output=True, text=True, timeout=DEADLINE_S)


def change(book, statement, *values):
    """Writes to a pointbook as no program of ours does: past the triggers that refuse it."""
    with contextlib.closing(sqlite3.connect(book)) as database:
        for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            database.execute(f"DROP TRIGGER {name}")
        database.execute(statement, values)
        database.commit()


def know_places(database):
    """What the triggers of a spatial index call, for points of the book: OGC 12-128r18, 2.1.3, no envelope."""
    for name, at in (("ST_MinX", 13), ("ST_MaxX", 13), ("ST_MinY", 21), ("ST_MaxY", 21)):
        database.create_function(name, 1, lambda blob, at=at: struct.unpack_from("<d", blob, at)[0])
    database.create_function("ST_IsEmpty", 1, lambda blob: 0)


def add_check_shot(book, off, mark="VM-11", limits=(0.03, 0.05), text="good", diagnosis="", passed=1):
    """A shot on a mark made from the point of that name, with the sum of its canonical content beside it."""
    with contextlib.closing(sqlite3.connect(book)) as database:
        know_places(database)
        geom, uuid, utc, frame, epoch, lat, lon, h = database.execute(
            "SELECT geom, uuid, finished_utc, frame, coordinate_epoch, latitude_deg, longitude_deg, ellipsoid_height_m FROM points WHERE name = ? AND version = 1", (mark,)).fetchone()
        number = lambda value, decimals: "" if value is None else f"{value:.{decimals}f}"
        content = [("uuid", "018f0000-0000-7000-8000-000000000001"), ("version", "1"), ("supersedes", ""), ("mark", mark), ("kind", "opening"), ("utc", utc), ("passed", str(passed)), ("frame", frame),
                   ("coordinate_epoch", number(epoch, 8)), ("latitude_deg", number(lat, 11)), ("longitude_deg", number(lon, 11)), ("easting_m", ""), ("northing_m", ""), ("ellipsoid_height_m", number(h, 6)),
                   ("off_east_m", number(off[0], 6)), ("off_north_m", number(off[1], 6)), ("off_up_m", number(off[2], 6)), ("limit_horizontal_m", number(limits[0], 6)), ("limit_vertical_m", number(limits[1], 6)),
                   ("source", ""), ("antenna_height_m", "1.871000"), ("text", text), ("diagnosis", diagnosis), ("point_uuid", uuid)]
        whole = "stillpoint-content 1\n" + "".join(f"{key}={value}\n" for key, value in content)
        values = dict(content, coordinate_epoch=epoch, latitude_deg=lat, longitude_deg=lon, easting_m=None, northing_m=None, ellipsoid_height_m=h, off_east_m=off[0], off_north_m=off[1], off_up_m=off[2],
                      limit_horizontal_m=limits[0], limit_vertical_m=limits[1], antenna_height_m=1.871, version=1, passed=passed, supersedes=None, source=None, diagnosis=diagnosis or None,
                      training=1, geom=geom, content_sha256=hashlib.sha256(whole.encode()).hexdigest(), stored_at=utc)
        database.execute(f"INSERT INTO check_shots ({', '.join(values)}) VALUES ({', '.join('?' * len(values))})", tuple(values.values()))
        database.commit()
    return lat, lon, h, frame


class EveryManner(ProcessTest):
    def play(self, scenario, crew, folder):
        command = [REHEARSE, "--scenario", scenario, "--with-daemon", "--pace", "max", "--crew", crew, "--folder", folder]
        done = subprocess.run(list(map(str, command)), capture_output=True, text=True, timeout=120)
        self.assertIn(done.returncode, (0, 1), done.stderr)

    def verify(self, folder):
        done = office("verify", "--config", folder / "config.toml", "--pointbook", folder / "training.gpkg")
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        count = re.search(r"to the last bit \((\d+) points?\)", done.stdout)
        self.assertIsNotNone(count, done.stdout)
        with contextlib.closing(sqlite3.connect(folder / "training.gpkg")) as book:
            stored = book.execute("SELECT count(*) FROM points WHERE version = 1").fetchone()[0]
        self.assertEqual(int(count[1]), stored)
        return stored

    def test_a_point_under_every_manner_of_a_receiver_comes_out_of_its_record_to_the_last_bit(self):
        shutil.copy(LOGS / "training.toml", self.folder / "training.toml")
        counted = []
        for scenario in sorted((LOGS / "manners").glob("*.toml")):
            with self.subTest(manner=scenario.stem):
                text = scenario.read_text()
                seconds = int(re.search(r"^seconds\s*=\s*(\d+)", text, re.M)[1])
                made = self.folder / scenario.name
                made.write_text('config = "training.toml"\n' + text + CREW % (seconds - 10))
                folder = self.folder / scenario.stem
                self.play(made, "one point", folder)
                if office("verify", "--config", folder / "config.toml", "--pointbook", folder / "training.gpkg").stdout.endswith("none in the record\n"):
                    continue  # no second counted: nothing was stored, and nothing comes out
                self.verify(folder)
                counted.append(scenario.stem)
        self.assertGreaterEqual(len(counted), 9, counted)


class Changed(ProcessTest):
    def day(self, saved=True):
        """Two points over a live link, the daemon killed in the middle of a third and started again."""
        receiver = Receiver()
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        for run, names in enumerate((("HF-1", "HF-2", "HF-3"), ("HF-4",))):
            daemon = self.start()
            client = self.client()
            with receiver.accept() as link:
                for number, name in enumerate(names):
                    client.call("begin", name=name)
                    link.sendall(log_of(20, first=200 * run + 30 * number))
                    client.until("some seconds", lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= 10)
                    if name == "HF-3":
                        self.look_until("the open stay on the disk", self.open_stay)
                        # The record gets further than what was saved of the stay.
                        link.sendall(log_of(10, first=200 * run + 30 * number + 20))
                        client.until("more seconds", lambda s: s["epoch"]["utc"].endswith(f":{(30 * number + 29) % 60:02d}Z"))
                        daemon.process.kill()
                        daemon.process.wait()
                        if not saved:
                            self.open_stay().unlink()
                        break
                    client.call("keep")
        client.until("stored", lambda s: s["store"]["waiting"] == 0)
        self.assertEqual(daemon.stop()[0], 0)

    def open_stay(self):
        """The file of the open stay, once HF-3 is in it."""
        for path in self.folder.glob("trial.gpkg.*"):
            if path.suffix not in (".new", ".lock", ".spool") and b"HF-3" in path.read_bytes():
                return path
        return None

    def verify(self, *more):
        return office("verify", "--config", self.folder / "config.toml", "--pointbook", self.folder / "trial.gpkg", *more)

    def test_what_was_changed_since_is_found_and_named(self):
        self.day()
        good = self.verify()
        self.assertEqual(good.returncode, 0, good.stdout + good.stderr)
        self.assertIn("to the last bit (4 points)", good.stdout)
        self.assertIn("HF-3 visit 1: the same as it was last saved before the program ended", good.stdout)

        book, kept = self.folder / "trial.gpkg", self.folder / "kept.gpkg"
        shutil.copy(book, kept)
        rows = [
            ("UPDATE points SET longitude_deg = longitude_deg + 1e-13 WHERE name = 'HF-1'", "HF-1 visit 1: DIFFERS in 1 value\n  longitude_deg: stored -87.3", "1 of 4 points do NOT"),
            ("UPDATE epochs SET station = 418 WHERE id = 3", "HF-1 visit 1: DIFFERS in 1 value\n  epoch 3 of 20: station: stored 418, recomputed 417", "its epochs no longer match"),
            ("UPDATE points SET antenna_height_m = 1.9 WHERE name = 'HF-2'", "antenna_height_m: stored 1.9, recomputed 1.871", "no longer matches its SHA-256"),
            ("DELETE FROM points WHERE name = 'HF-2'", "HF-2 visit 1: the record gives it, the pointbook does not have it", "1 of 4 points"),
        ]
        for statement, found, also in rows:
            with self.subTest(statement=statement):
                shutil.copy(kept, book)
                change(book, statement)
                done = self.verify()
                self.assertEqual(done.returncode, 1)
                self.assertIn(found, done.stdout)
                self.assertIn(also, done.stdout)
        shutil.copy(kept, book)

        config = self.folder / "config.toml"
        text = config.read_text()
        config.write_text(text.replace("pole = 1.800", "pole = 2.000"))
        done = self.verify()
        self.assertEqual(done.returncode, 1)
        self.assertIn("antenna_height_m: stored 1.871, recomputed 2.071", done.stdout)
        self.assertIn("4 of 4 points do NOT", done.stdout)
        config.write_text(text)

        logs = sorted((self.folder / "record").glob("*.nmea"))
        some = self.verify("--log", logs[-1])
        self.assertEqual(some.returncode, 1)
        self.assertIn("HF-1 visit 1: the record does not give it", some.stdout)
        with open(logs[0], "r+b") as log:
            log.seek(400)
            log.write(b"7")
        done = self.verify()
        self.assertEqual(done.returncode, 1)
        self.assertIn(f"{logs[0]}: CHANGED since it was closed", done.stdout)

    def test_a_redo_of_a_stay_that_was_recovered_takes_the_seconds_that_were_saved(self):
        self.day()
        everything = "SELECT status, reasons, epochs_used, epochs_refused, finished_utc FROM points WHERE name = 'HF-3' ORDER BY version"
        before = self.rows(everything)
        (self.folder / "redo.toml").write_text('by = "A. Brandvold"\nreason = "x"\n[[antenna]]\nvertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }\n')
        done = office("redo", self.folder / "redo.toml", "--config", self.folder / "config.toml", "--pointbook", self.folder / "trial.gpkg")
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertIn("4 of 4 points have a new version", done.stdout)
        self.assertEqual(self.rows(everything), before * 2)
        self.assertEqual(self.verify().returncode, 0)

    def test_a_stay_that_was_open_and_never_saved_is_no_fault_of_the_pointbook(self):
        self.day(saved=False)
        out = self.verify()
        self.assertEqual(out.returncode, 0, out.stdout + out.stderr)
        self.assertIn("HF-3 visit 1: open when the program ended, and not saved yet", out.stdout)
        self.assertIn("to the last bit (3 points)", out.stdout)
        (self.folder / "redo.toml").write_text('by = "A. Brandvold"\nreason = "x"\n[[antenna]]\nvertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }\n')
        done = office("redo", self.folder / "redo.toml", "--config", self.folder / "config.toml", "--pointbook", self.folder / "trial.gpkg")
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertIn("3 of 3 points have a new version", done.stdout)

    def test_what_cannot_be_compared_says_why(self):
        self.configure_replay(log_of(30))
        config, book = self.folder / "config.toml", self.folder / "trial.gpkg"
        rows = [
            (("verify", "--pointbook", book), 2, "--config"),
            (("verify", "--config", config, "--pointbook", book), 4, "cannot read the record"),
            (("verify", "--config", config, "--pointbook", book, "--log", self.folder / "day.nmea"), 4, "there is no pointbook at"),
        ]
        for arguments, status, said in rows:
            with self.subTest(said=said):
                done = office(*arguments)
                self.assertEqual(done.returncode, status, done.stderr)
                self.assertIn(said, done.stderr)
                self.assertEqual(done.stdout, "")


class CheckedDay(ProcessTest):
    """A day with checks on marks, seen again in the office. VM-11 is where the receiver stands; VM-12 lies where another
    frame would put it (E +1.038 m, N -0.988 m, U +0.906 m: NAD83(2011) from ITRF2020 here on 2026.40, by the EPSG
    parameters); VM-13 is VM-11 as a pole of 2.000 m instead of 1.800 m would find it."""

    WHO = 'by = "A. Brandvold"\nreason = "read from the field book"\n'
    COLUMNS = "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m,recovered,status\n"
    MARKS = COLUMNS + """VM-11,EPSG:6319,2010.0,47.600000,-87.400000,146.429,ellipsoid,0.005,0.008,2026-05-02,good
VM-12,EPSG:6319,2010.0,47.59999111370,-87.39998619688,147.335,ellipsoid,0.005,0.008,2026-05-02,good
VM-13,EPSG:6319,2010.0,47.600000,-87.400000,146.229,ellipsoid,0.005,0.008,2026-05-02,good
"""
    ANTENNA = "[[antenna]]\nvertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }\n"
    SOURCE = '[[source]]\nname = "county network"\n'
    SHOTS = "SELECT mark, version, passed, round(off_east_m, 3), round(off_north_m, 3), round(off_up_m, 3), antenna_height_m, diagnosis IS NOT NULL FROM check_shots ORDER BY id"
    POINTS = "SELECT name, version, status, reasons, round(ellipsoid_height_m, 3) FROM points ORDER BY id"

    def setUp(self):
        super().setUp()
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.configure_tcp(self.receiver.port)
        self.config, self.book = self.folder / "config.toml", self.folder / "trial.gpkg"
        (self.folder / "marks.csv").write_text(self.MARKS)
        with self.config.open("a") as config:
            config.write('\n[checks]\nmarks = "marks.csv"\n')
        self.seconds = 0

    def begin(self):
        self.daemon = self.start()
        self.control = self.client()
        self.stream = self.receiver.accept()
        self.cleanup.callback(self.stream.close)
        self.send(10)

    def send(self, count, **options):
        self.stream.sendall(log_of(count, first=self.seconds, **options))
        self.seconds += count
        # The daemon counts from its start.
        self.control.until("the seconds", lambda s: (s["epoch"] or {}).get("utc") == f"2026-06-03T14:{(self.seconds - 1) // 60:02d}:{(self.seconds - 1) % 60:02d}Z")

    def point(self, name, seconds=12):
        self.control.call("begin", name=name)
        self.send(seconds)
        return self.control.call("keep")["point"]

    def check(self, mark, seconds=12):
        self.control.call("check", mark=mark)
        self.send(seconds)
        return self.control.call("keep")["check"]

    def end(self):
        self.control.until("stored", lambda s: s["store"]["waiting"] == 0)
        self.assertEqual(self.daemon.stop()[0], 0)

    def verify(self, status=0):
        done = office("verify", "--config", self.config, "--pointbook", self.book)
        self.assertEqual(done.returncode, status, done.stdout + done.stderr)
        return done.stdout

    def redo(self, text, status=0, name="redo.toml"):
        (self.folder / name).write_text(self.WHO + text)
        done = office("redo", self.folder / name, "--config", self.config, "--pointbook", self.book)
        self.assertEqual(done.returncode, status, done.stdout + done.stderr)
        return done.stdout + done.stderr

    def mark(self, name, latitude=47.6, longitude=-87.4, height=146.429):
        return f"[[mark]]\nname = '{name}'\nframe = 'EPSG:6319'\ncoordinate_epoch = 2010.0\nlatitude_deg = {latitude!r}\nlongitude_deg = {longitude!r}\nheight_m = {height!r}\nheight_kind = 'ellipsoid'\nsigma_horizontal_m = 0.005\nsigma_vertical_m = 0.008\nrecovered = '2026-05-02'\n"

    def fail_and_pass(self):
        """VM-12 fails and holds CUL-01, VM-11 passes and CUL-02 is accepted."""
        self.begin()
        self.assertEqual(self.check("VM-12")["outcome"], "stop")
        self.assertEqual(self.point("CUL-01")["reasons"], ["check-failed"])
        self.assertNotEqual(self.check("VM-11")["outcome"], "stop")
        self.assertEqual(self.point("CUL-02")["status"], "accepted")
        self.end()

    def test_shots_come_out_of_the_record_to_the_last_bit_and_what_was_changed_since_is_found(self):
        self.fail_and_pass()
        out = self.verify()
        self.assertIn("check on VM-12 of 2026-06-03T14:00:21Z: the same\n", out)
        self.assertIn("every check shot comes out of the record as the field stored it, to the last bit (2 check shots)", out)
        self.assertIn("to the last bit (2 points)", out)
        kept = self.folder / "kept.gpkg"
        shutil.copy(self.book, kept)
        rows = [
            ("UPDATE check_shots SET off_east_m = off_east_m + 1e-14 WHERE mark = 'VM-12'", "check on VM-12 of 2026-06-03T14:00:21Z: DIFFERS in 1 value\n  off_east_m: stored -1.0", "1 of 2 check shots do NOT"),
            ("UPDATE check_shots SET diagnosis = 'nothing' WHERE mark = 'VM-12'", "  diagnosis: stored nothing, recomputed ", "no longer matches its SHA-256"),
            ("UPDATE check_shots SET passed = 1 WHERE mark = 'VM-12'", "  passed: stored yes, recomputed no", "1 of 2 check shots do NOT"),
            ("DELETE FROM check_shots WHERE mark = 'VM-11'", "check on VM-11 of 2026-06-03T14:00:45Z: the record gives it, the pointbook does not have it", "1 of 2 check shots do NOT"),
            ("UPDATE check_shots SET mark = 'VM-13' WHERE mark = 'VM-11'", "check on VM-13 of 2026-06-03T14:00:45Z: the record does not give it", "2 of 3 check shots do NOT"),
        ]
        for statement, found, also in rows:
            with self.subTest(statement=statement):
                shutil.copy(kept, self.book)
                change(self.book, statement)
                out = self.verify(status=1)
                self.assertIn(found, out)
                self.assertIn(also, out)
        shutil.copy(kept, self.book)
        change(self.book, "UPDATE check_shots SET passed = 1 WHERE mark = 'VM-12'")
        self.assertIn("no longer matches its SHA-256; nothing is computed", self.redo(self.ANTENNA, status=4))

    def test_another_antenna_height_corrects_a_shot_and_frees_the_points_that_were_held_for_it(self):
        self.begin()
        self.assertEqual(self.check("VM-13")["outcome"], "stop")
        self.assertEqual(self.point("CUL-01")["reasons"], ["check-failed"])
        self.end()
        out = self.redo(self.ANTENNA)
        self.assertIn("1 of 1 points have a new version, 1 of 1 check shots", out)
        self.assertEqual(self.rows(self.SHOTS), [("VM-13", 1, 0, 0.0, 0.0, 0.2, 1.871, 1), ("VM-13", 2, 1, 0.0, 0.0, 0.0, 2.071, 0)])
        self.assertEqual(self.rows(self.POINTS), [("CUL-01", 1, "held", "check-failed", 146.429), ("CUL-01", 2, "accepted", None, 146.229)])
        ((uuid, _), (_, supersedes)) = self.rows("SELECT uuid, supersedes FROM check_shots ORDER BY id")
        self.assertEqual(uuid, supersedes)
        self.assertIn("(A. Brandvold: read from the field book)", self.rows("SELECT text FROM check_shots WHERE version = 2")[0][0])
        out = self.verify()
        self.assertIn("to the last bit (1 check shot)", out)
        self.assertIn("1 version of points made by a redo", out)
        self.assertIn("1 version of check shots made by a redo", out)
        self.assertNotIn("by hand", out)
        whole = self.book.read_bytes()
        self.assertIn("nothing is written", self.redo(self.ANTENNA))
        self.assertEqual(self.book.read_bytes(), whole)

    def test_a_marks_better_coordinates_correct_its_shots_and_the_points_held_for_it_and_the_other_way_round(self):
        self.fail_and_pass()
        out = self.redo(self.mark("VM-12"))
        self.assertIn("1 of 2 points have a new version, 1 of 2 check shots", out)
        self.assertEqual(self.rows(self.SHOTS)[2], ("VM-12", 2, 1, 0.0, 0.0, 0.0, 1.871, 0))
        self.assertEqual(self.rows(self.POINTS)[2], ("CUL-01", 2, "accepted", None, 146.429))
        # One hundredth of a second of latitude is 0.309 m on GRS 80 at 47.6 N.
        out = self.redo(self.mark("VM-11", latitude=47.6 + 0.01 / 3600), name="second.toml")
        self.assertIn("1 of 2 points have a new version, 1 of 2 check shots", out)
        self.assertEqual(self.rows(self.SHOTS)[3][:6], ("VM-11", 2, 0, 0.0, -0.309, 0.0))
        self.assertEqual(self.rows(self.POINTS)[3], ("CUL-02", 2, "held", "check-failed", 146.429))
        self.assertIn("nothing is written", self.redo(self.mark("VM-12"), name="redo.toml"))
        self.assertIn("no mark and no check shot is called VM-21", self.redo(self.mark("VM-21"), status=2, name="third.toml"))

    def test_another_frame_of_the_source_corrects_shots_and_points(self):
        self.fail_and_pass()
        self.redo(self.SOURCE + 'frame = "EPSG:7912"\ncoordinate_epoch = "observation"\n')
        shots, points = self.rows(self.SHOTS), self.rows(self.POINTS)
        for found, expected in ((shots[2], ("VM-12", 2, 1, 0, 0, 0)), (shots[3], ("VM-11", 2, 0, 1.038, -0.988, 0.906))):
            self.assertEqual(found[:3], expected[:3])
            for value, wanted in zip(found[3:6], expected[3:]):
                self.assertAlmostEqual(value, wanted, delta=0.005)
        self.assertEqual([p[:4] for p in points[2:]], [("CUL-01", 2, "accepted", None), ("CUL-02", 2, "held", "check-failed")])

    def test_a_shot_without_a_second_that_counts_is_not_passed_and_comes_back_with_them(self):
        self.fail_and_pass()
        self.redo(self.SOURCE + "gate = { max_hdop = 0.01 }\n")
        self.assertEqual([s[:3] for s in self.rows(self.SHOTS)[2:]], [("VM-12", 2, 0), ("VM-11", 2, 0)])
        for (text,) in self.rows("SELECT text FROM check_shots WHERE version = 2"):
            self.assertIn("does not count", text)
            self.assertIn("the numbers are the old ones", text)
        self.assertIn("nothing is written", self.redo(self.SOURCE + "gate = { max_hdop = 0.01 }\n"))
        self.redo(self.SOURCE + "gate = { max_hdop = 50.0 }\n", name="back.toml")
        self.assertEqual([s[:3] for s in self.rows(self.SHOTS)[4:]], [("VM-12", 3, 0), ("VM-11", 3, 1)])
        self.assertEqual(self.rows("SELECT status FROM current_points ORDER BY name"), [("held",), ("accepted",)])

    def test_a_check_that_counts_only_under_another_gate_becomes_a_shot_of_the_redo(self):
        self.begin()
        self.assertEqual(self.check("VM-12")["outcome"], "stop")
        self.control.call("check", mark="VM-11")
        self.send(3)
        self.send(12, age=12.0)
        self.assertIn("does not count", self.control.call("keep")["check"]["text"])
        self.send(10)
        self.assertEqual(self.point("CUL-01")["reasons"], ["check-failed"])
        self.end()
        self.verify()
        self.redo(self.SOURCE + "gate = { max_age_s = 20.0 }\n")
        self.assertEqual([s[:3] for s in self.rows(self.SHOTS)], [("VM-12", 1, 0), ("VM-11", 1, 1)])
        self.assertEqual(self.rows("SELECT status FROM current_points"), [("accepted",)])
        out = self.verify()
        self.assertIn("(1 check shot)", out)
        self.assertIn("1 version of check shots made by a redo", out)
        self.redo(self.ANTENNA, name="second.toml")
        self.assertEqual([(s[0], s[1], s[5]) for s in self.rows(self.SHOTS)[3:]], [("VM-11", 2, -0.2)])

    def test_the_stays_of_a_turn_test_are_no_shots_for_verify_and_redo(self):
        self.begin()
        self.check("VM-11")
        for heading in "NESW":
            self.control.call("check", mark="VM-11", turn=heading)
            self.send(12)
            self.control.call("keep")
        self.point("CUL-01")
        self.end()
        self.assertIn("(1 check shot)", self.verify())
        # A gate that nothing passes: the shot and the point change, the stays of the turn test make no rows.
        self.redo(self.SOURCE + "[source.gate]\nmin_satellites = 40\n")
        self.assertEqual([(mark, version, passed) for mark, version, passed, *_ in self.rows(self.SHOTS)], [("VM-11", 1, 1), ("VM-11", 2, 0)])
        self.verify()

    def test_a_mark_that_turns_out_to_be_the_base_has_no_shot_that_passed(self):
        self.fail_and_pass()
        self.redo(self.mark("VM-11") + "status = 'base'\n")
        self.assertEqual(self.rows(self.SHOTS)[2][:3], ("VM-11", 2, 0))
        self.assertIn("is the base", self.rows("SELECT text FROM check_shots WHERE version = 2")[0][0])
        self.assertEqual(self.rows("SELECT name, status FROM current_points ORDER BY name"), [("CUL-01", "held"), ("CUL-02", "held")])

    def test_a_name_that_was_discarded_and_taken_again_is_computed_as_the_stay_that_was_kept(self):
        self.begin()
        self.control.call("begin", name="CUL-01")
        self.send(20)
        self.control.call("discard")
        kept = self.point("CUL-01", seconds=8)
        # A check on a mark and a point of the same name are two stays.
        self.point("VM-11", seconds=9)
        self.check("VM-11", seconds=15)
        self.end()
        self.assertIn("2 of 2 points have a new version, 1 of 1 check shots", self.redo(self.ANTENNA))
        every = "SELECT name, version, flags, epochs_used, epochs_refused, started_utc, finished_utc, round(ellipsoid_height_m, 3) FROM points ORDER BY id"
        rows = self.rows(every)
        self.assertEqual(len(rows), 4)
        for before, after in zip(rows[:2], rows[2:]):
            self.assertEqual((before[0], *before[2:-1], round(before[-1] - 0.2, 3)), (after[0], *after[2:-1], after[-1]))
        self.assertEqual(rows[0][3], kept["epochs_used"])
        self.assertEqual(self.rows("SELECT count(DISTINCT utc) FROM check_shots"), [(1,)])

    def test_a_receiver_that_reduces_its_heights_itself_has_no_antenna_height_to_correct(self):
        text = self.config.read_text()
        self.config.write_text(text.replace("already_reduced_by_receiver = false", "already_reduced_by_receiver = true"))
        self.begin()
        self.point("CUL-01")
        self.end()
        whole = self.book.read_bytes()
        said = self.redo(self.ANTENNA, status=2)
        self.assertIn("redo.toml, line 3: the receiver reduced its heights to the mark itself", said)
        self.assertEqual(self.book.read_bytes(), whole)


class Redo(ProcessTest):
    """A clean day of six points, corrected afterwards."""

    WHO = 'by = "A. Brandvold"\nreason = "read from the field book"\n'

    def setUp(self):
        super().setUp()
        command = [REHEARSE, "--scenario", LOGS / "clean-day.toml", "--with-daemon", "--pace", "max", "--crew", self.crew(), "--folder", self.folder / "day"]
        done = subprocess.run(list(map(str, command)), capture_output=True, text=True, timeout=120)
        self.assertIn(done.returncode, (0, 1), done.stderr)
        self.config, self.book = self.folder / "day" / "config.toml", self.folder / "day" / "training.gpkg"

    def crew(self):
        return "careless" if "decision" in self.id() else "careful"

    def redo(self, text, status=0, name="redo.toml", head=WHO):
        (self.folder / name).write_text(head + text)
        done = office("redo", self.folder / name, "--config", self.config, "--pointbook", self.book)
        self.assertEqual(done.returncode, status, done.stdout + done.stderr)
        return done

    def query(self, statement):
        with contextlib.closing(sqlite3.connect(self.book)) as book:
            return book.execute(statement).fetchall()

    def moved(self, out, name):
        """The shift that was printed for a point: east, north, up."""
        found = re.search(name + r" visit 1: .*\n  moved (\S+) m east, (\S+) m north, (\S+) m up", out)
        self.assertIsNotNone(found, out)
        return [float(x) for x in found.groups()]

    def test_another_antenna_height_is_a_new_version_and_the_old_one_stays_as_it_was(self):
        everything = "SELECT * FROM points WHERE version = 1 ORDER BY id"
        before, epochs = self.query(everything), self.query("SELECT count(*) FROM epochs")
        antenna = "[[antenna]]\nvertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }\n"
        done = self.redo(antenna)
        for name in ("VM-11", "CUL-51", "CUL-54", "VM-12"):
            self.assertEqual(self.moved(done.stdout, name), [0, 0, -0.2])
        self.assertIn("antenna_height_m 1.871 became 2.071", done.stdout)
        self.assertIn("6 of 6 points have a new version", done.stdout)
        self.assertEqual(self.query(everything), before)
        rows = self.query("SELECT p.version, p.supersedes = o.uuid, p.changed_by, p.change_reason, p.antenna_height_m, round(p.ellipsoid_height_m - o.ellipsoid_height_m, 6), p.stored_at > o.stored_at"
                          " FROM current_points p JOIN points o ON o.name = p.name AND o.visit = p.visit AND o.version = 1")
        self.assertEqual(len(rows), 6)
        for row in rows:
            self.assertEqual(row, (2, 1, "A. Brandvold", "read from the field book (moved 0.0000 m east, 0.0000 m north, -0.2000 m up)", 2.071, -0.2, 1))
        self.assertEqual(self.query("SELECT kind, text FROM events WHERE kind = 'redo'"), [("redo", "A. Brandvold had 6 points computed again: read from the field book")])
        self.assertEqual(self.query("SELECT count(*) FROM epochs")[0][0], 2 * epochs[0][0])

        whole = self.book.read_bytes()
        self.assertIn("nothing is written; this file was applied before", self.redo(antenna).stdout)
        self.assertEqual(self.book.read_bytes(), whole)
        self.assertEqual(office("verify", "--config", self.config, "--pointbook", self.book).returncode, 0)

        # The next correction starts from the one before: the height stays corrected.
        done = self.redo('[[source]]\nname = "county network"\nframe = "EPSG:7912"\ncoordinate_epoch = "observation"\n', name="second.toml")
        # ITRF2014 to NAD83(2011) at 47.6 N 87.4 W, 2026.40, from the parameters of the EPSG registry by hand.
        for found, expected in zip(self.moved(done.stdout, "CUL-52"), (1.038, -0.988, 0.906)):
            self.assertAlmostEqual(found, expected, delta=0.005)
        self.assertEqual(self.query("SELECT DISTINCT version, antenna_height_m FROM current_points"), [(3, 2.071)])

    def test_a_time_range_takes_the_stays_inside_it_and_never_half_a_stay(self):
        stays = dict((name, (start, end)) for name, start, end in self.query("SELECT name, started_utc, finished_utc FROM points"))
        antenna = '[[antenna]]\nfrom_utc = "%s"\nuntil_utc = "%s"\nvertical_parts_m = { pole = 1.500 }\n'
        done = self.redo(antenna % (stays["CUL-52"][0], stays["CUL-54"][0]))
        self.assertIn("2 of 6 points have a new version", done.stdout)
        self.assertEqual(self.moved(done.stdout, "CUL-52"), [0, 0, 0.371])
        self.assertEqual(self.moved(done.stdout, "CUL-53"), [0, 0, 0.371])
        for first, last, word, where in (("CUL-52", "CUL-53", "ends", "CUL-53"), ("CUL-51", "CUL-52", "begins", "CUL-51")):
            middle = stays[where][0][:17] + "59Z"
            given = (stays[first][0], middle) if word == "ends" else (middle, stays[last][0])
            done = self.redo(antenna % given, status=2, name="half.toml")
            self.assertRegex(done.stderr, rf"half.toml, line 3: the antenna correction {word} in the middle of the stay on {where}")

    def test_local_times_are_those_of_the_projects_zone_and_of_then(self):
        stays = dict((name, (start, end)) for name, start, end in self.query("SELECT name, started_utc, finished_utc FROM points"))
        zone = zoneinfo.ZoneInfo("America/Detroit")
        local = lambda text: datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(zone).strftime("%Y-%m-%d %H:%M:%S")
        antenna = '[[antenna]]\nfrom_local = "%s"\nuntil_local = "%s"\nvertical_parts_m = { pole = 1.500 }\n'
        wanted = antenna % (local(stays["CUL-52"][0]), local(stays["CUL-54"][0]))
        self.assertIn("redo.toml, line 3: a local time needs local_time under [project]", self.redo(wanted, status=2).stderr)
        config = self.config.read_text()
        self.config.write_text(config.replace("[project]", '[project]\nlocal_time = "America/Detroit"', 1))
        self.assertIn("clocks in America/Detroit never show 2026-03-08T02:30:00",
                      self.redo(antenna % ("2026-03-08 02:30", "2026-06-03 23:00"), status=2, name="no.toml").stderr)
        self.assertIn("clocks show 2026-11-01T01:30:00 twice",
                      self.redo(antenna % ("2026-11-01 01:30", "2026-11-02 23:00"), status=2, name="twice.toml").stderr)
        done = self.redo(wanted)
        self.assertIn("2 of 6 points have a new version", done.stdout)
        self.assertEqual(self.moved(done.stdout, "CUL-52"), [0, 0, 0.371])
        # A later redo reads it by the zone of then.
        self.config.write_text(config.replace("[project]", '[project]\nlocal_time = "Asia/Tokyo"', 1))
        done = self.redo('[[source]]\nname = "county network"\ngate = { max_hdop = 50.0 }\n', name="second.toml")
        self.assertIn("nothing comes out otherwise", done.stdout)
        self.assertEqual(self.query("SELECT count(*) FROM current_points WHERE antenna_height_m = 1.5"), [(2,)])

    def test_points_are_corrected_by_their_names_of_then_and_of_now(self):
        antenna = '[[antenna]]\npoints = [%s]\nvertical_parts_m = { pole = 1.500 }\n'
        self.assertIn("redo.toml, line 3: no point of the pointbook is or was called CUL-99, visit 1",
                      self.redo(antenna % '"CUL-52", "CUL-99"', status=2).stderr)
        self.assertIn("called CUL-52, visit 2;", self.redo(antenna % '"CUL-52 visit 2"', status=2).stderr)
        done = self.redo(antenna % '"CUL-52", "CUL-54 visit 1"')
        self.assertIn("2 of 6 points have a new version", done.stdout)
        self.assertEqual(self.query("SELECT name FROM current_points WHERE antenna_height_m = 1.5 ORDER BY name"), [("CUL-52",), ("CUL-54",)])
        done = self.redo('[[source]]\nname = "county network"\ngate = { max_hdop = 50.0 }\n', name="second.toml")
        self.assertIn("nothing comes out otherwise", done.stdout)

    def test_a_gate_that_nothing_passes_leaves_points_without_coordinates_and_one_that_changes_nothing_writes_nothing(self):
        whole = self.book.read_bytes()
        gate = '[[source]]\nname = "county network"\ngate = { %s }\n'
        self.assertIn("nothing comes out otherwise, so nothing is written\n", self.redo(gate % "max_hdop = 50.0").stdout)
        self.assertEqual(self.book.read_bytes(), whole)
        done = self.redo(gate % "max_hdop = 0.01")
        self.assertIn("no second counts any more", done.stdout)
        self.assertEqual(self.query("SELECT DISTINCT status, latitude_deg FROM current_points"), [("none", None)])
        self.assertIn("it has coordinates now", self.redo(gate % "max_hdop = 50.0", name="back.toml").stdout)
        self.assertEqual(self.query("SELECT DISTINCT status FROM current_points"), [("accepted",)])

    def test_a_decision_by_hand_stays(self):
        held = self.query("SELECT name, visit, status FROM current_points WHERE changed_by IS NOT NULL")
        self.assertEqual(len(held), 1)
        name, visit, status = held[0]
        done = self.redo("[[antenna]]\nvertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }\n")
        self.assertEqual(self.query(f"SELECT version, status FROM current_points WHERE name = '{name}' AND visit = {visit}"), [(3, status)])
        if status == "rejected":
            self.assertIn("stays rejected by hand", done.stdout)

    def test_a_check_shot_follows_its_point_and_its_mark(self):
        lat, lon, h, frame = add_check_shot(self.book, (0.004, -0.003, 0.205), text="too high", diagnosis="a pole section", passed=0)
        verify = ("verify", "--config", self.config, "--pointbook", self.book)
        self.assertEqual(office(*verify).returncode, 0, office(*verify).stdout)
        done = self.redo("[[antenna]]\nvertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }\n")
        self.assertIn("1 of 1 check shots", done.stdout)
        shots = "SELECT version, passed, round(off_east_m, 6), round(off_north_m, 6), round(off_up_m, 6), supersedes, diagnosis FROM check_shots ORDER BY id"
        first = (1, 0, 0.004, -0.003, 0.205, None, "a pole section")
        self.assertEqual(self.query(shots), [first, (2, 1, 0.004, -0.003, 0.005, "018f0000-0000-7000-8000-000000000001", None)])
        self.assertIn("(A. Brandvold: read from the field book)", self.query("SELECT text FROM check_shots WHERE version = 2")[0][0])
        self.assertEqual(self.query("SELECT antenna_height_m, source FROM check_shots WHERE version = 2"), [(2.071, "county network")])

        shutil.copy(self.book, self.folder / "shot.gpkg")
        change(self.folder / "shot.gpkg", "UPDATE check_shots SET longitude_deg = longitude_deg + 1e-12 WHERE version = 1")
        found = office(*verify[:-1], self.folder / "shot.gpkg")
        self.assertEqual(found.returncode, 1)
        self.assertIn("check on VM-11 of 2026-06-03T14:02:04Z: DIFFERS from its point in 1 value\n  longitude_deg: stored -87.4", found.stdout)

        # The mark one hundredth of a second of latitude (0.309 m on GRS 80 at 47.6 N) north of the shot.
        mark = f"[[mark]]\nname = 'VM-11'\nframe = '{frame}'\ncoordinate_epoch = 2010.0\nlatitude_deg = {lat + 0.01 / 3600!r}\nlongitude_deg = {lon!r}\nheight_m = {h - 0.2!r}\nheight_kind = 'ellipsoid'\nsigma_horizontal_m = 0.005\nsigma_vertical_m = 0.008\n"
        done = self.redo(mark, name="mark.toml")
        self.assertIn("0 of 6 points have a new version, 1 of 1 check shots", done.stdout)
        version, passed, east, north, up, _, _ = self.query(shots)[2]
        self.assertEqual((version, passed), (3, 0))
        self.assertAlmostEqual(east, 0, delta=0.0002)
        self.assertAlmostEqual(north, -0.309, delta=0.0005)
        self.assertAlmostEqual(up, 0, delta=0.0005)
        self.assertIn("nothing is written", self.redo(mark, name="mark.toml").stdout)

    def test_a_check_shot_of_a_point_without_coordinates_is_not_passed_until_it_has_some_again(self):
        add_check_shot(self.book, (0.004, -0.003, 0.005))
        gate = '[[source]]\nname = "county network"\ngate = { max_hdop = %s }\n'
        shots = "SELECT version, passed, round(off_up_m, 6) FROM check_shots ORDER BY id"
        self.redo(gate % "0.01")
        self.assertEqual(self.query(shots), [(1, 1, 0.005), (2, 0, 0.005)])
        self.assertIn("the point VM-11 it was made from has no coordinates any more; the numbers are the old ones, and prove nothing", self.query("SELECT text FROM check_shots WHERE version = 2")[0][0])
        self.assertIn("nothing is written", self.redo(gate % "0.01").stdout)
        self.redo(gate % "50.0", name="back.toml")
        self.assertEqual(self.query(shots)[2:], [(3, 1, 0.005)])
        out = office("verify", "--config", self.config, "--pointbook", self.book).stdout
        self.assertIn("2 versions of check shots made by a redo", out)
        self.assertIn("1 version of check shots made by hand from points", out)

    def test_what_is_wrong_is_said_with_its_line_and_nothing_is_written(self):
        whole = self.book.read_bytes()
        parts = "[[antenna]]\nvertical_parts_m = { pole = 2.0 }\n"
        rows = [
            ("", parts, "redo.toml, line 1: by is missing"),
            (self.WHO, "", "nothing to correct, add [[antenna]]"),
            (self.WHO, "[[antena]]\nx = 1\n", "redo.toml, line 3: antena"),
            (self.WHO, parts + "until = '2026-06-03T14:05:10Z'\n", "line 5: antenna.until"),
            (self.WHO, parts + "until_utc = 'noon'\n", "line 5: antenna.until_utc is \"noon\", give a UTC time"),
            (self.WHO, parts + "also_measured_ft = 6.0\n", "line 3: "),
            (self.WHO, "[[antenna]]\nfrom_utc = '2026-06-03T14:05:10Z'\n", "vertical_parts_m is missing"),
            (self.WHO, "[[source]]\nname = 'county netwrk'\nframe = 'EPSG:7912'\n", "line 3: source.name is \"county netwrk\", which the configuration does not have"),
            (self.WHO, "[[source]]\nname = 'county network'\n[source.gate]\nmax_hdopp = 1.0\n", "line 6: source \"county network\": gate.max_hdopp"),
            (self.WHO, "[[source]]\nname = 'county network'\ngate = { max_age_s = 0.1 }\n", "line 5: source \"county network\": gate.max_age_s is 0.1"),
            (self.WHO, "[[source]]\nname = 'county network'\nframe = 'EPSG:4326'\n", "rests on an ensemble"),
            (self.WHO, "[[source]]\nname = 'county network'\nmatch = { station = [1] }\n", "line 5: source.match cannot be changed afterwards"),
            (self.WHO, "[[mark]]\nname = 'VM-11'\nlattitude_deg = 47.0\n", "line 5: mark.lattitude_deg"),
            (self.WHO, "[[mark]]\nname = 'VM-11'\nframe = 'EPSG:6319'\n", "line 3"),
        ]
        for head, text, said in rows:
            with self.subTest(said=said):
                self.assertIn(said, self.redo(text, status=2, head=head).stderr)
                self.assertEqual(self.book.read_bytes(), whole)
        text = self.config.read_text()
        self.config.write_text(text.replace("pole = 1.800", "pole = 1.700"))
        self.assertIn("differ by 99.9 mm", self.redo(parts, status=2).stderr)
        self.config.write_text(text.replace("pole = 1.800", "pole = 1.700").replace("6.138", "5.810"))
        self.assertIn("6 points do not come out of the record as the field stored them, so nothing is written", self.redo(parts, status=1).stderr)
        self.config.write_text(text)
        self.assertEqual(office("redo", "x.toml", "--config", self.config).returncode, 2)
        self.assertEqual(office("redo", "x.toml", "--config", self.config, "--pointbook", self.folder / "none.gpkg").returncode, 4)

    def test_a_pointbook_that_another_program_holds_is_left_alone(self):
        import fcntl

        whole = self.book.read_bytes()
        with open(f"{self.book}.lock", "r+") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            done = self.redo("[[antenna]]\nvertical_parts_m = { pole = 2.0 }\n", status=3)
        self.assertIn("training.gpkg", done.stderr)
        self.assertEqual(self.book.read_bytes(), whole)


class Merge(ProcessTest):
    """Two crews on the same clean day, with equal names."""

    TABLES = ("points", "epochs", "check_shots", "antenna_setups", "events")

    def setUp(self):
        super().setUp()
        self.books = []
        for crew in ("careful", "careless"):
            command = [REHEARSE, "--scenario", LOGS / "clean-day.toml", "--with-daemon", "--pace", "max", "--crew", crew, "--folder", self.folder / crew]
            done = subprocess.run(list(map(str, command)), capture_output=True, text=True, timeout=120)
            self.assertIn(done.returncode, (0, 1), done.stderr)
            self.books.append(self.folder / f"{crew}.gpkg")
            shutil.copy(self.folder / crew / "training.gpkg", self.books[-1])
        self.a, self.b = self.books
        add_check_shot(self.a, (0.004, -0.003, None), limits=(0.03, None))

    def merge(self, *books, out="out.gpkg", status=0, options=()):
        done = office("merge", *books, "--out", self.folder / out, *options)
        self.assertEqual(done.returncode, status, done.stdout + done.stderr)
        return done

    def query(self, book, statement):
        with contextlib.closing(sqlite3.connect(self.folder / book)) as database:
            return database.execute(statement).fetchall()

    def count(self, book, table, where="1"):
        return self.query(book, f"SELECT count(*) FROM {table} WHERE {where}")[0][0]

    def test_equal_names_of_two_crews_are_both_kept_and_listed(self):
        done = self.merge(self.a, self.b, status=1)
        names = {name for (name,) in self.query(self.a, "SELECT DISTINCT name FROM points")} & {name for (name,) in self.query(self.b, "SELECT DISTINCT name FROM points")}
        self.assertEqual(len(names), 3)
        self.assertEqual(done.stdout.count("conflict: "), 3)
        self.assertRegex(done.stdout, r"conflict: CUL-51 visit 1 is in \S+/careful.gpkg and in \S+/careless.gpkg, 0\.0\d\d m apart horizontally and .*; that of \S+/careless.gpkg is visit 2 here")
        for table in self.TABLES:
            made = "kind NOT IN ('merged', 'merge-conflict')" if table == "events" else "1"
            self.assertEqual(self.count("out.gpkg", table, made), self.count(self.a, table) + self.count(self.b, table), table)
        self.assertEqual(self.count("out.gpkg", "events", "kind = 'merge-conflict'"), 3)
        every = "SELECT uuid, name, latitude_deg, longitude_deg, ellipsoid_height_m, status, started_utc, epochs_sha256 FROM points ORDER BY uuid"
        self.assertEqual(self.query("out.gpkg", every), sorted(self.query(self.a, every) + self.query(self.b, every)))
        same = "SELECT content_sha256 FROM points ORDER BY uuid"
        kept = {row for row in self.query("out.gpkg", same)} & {row for row in self.query(self.a, same) + self.query(self.b, same)}
        renumbered = self.count("out.gpkg", "points", "visit = 2")
        self.assertEqual(len(kept), self.count("out.gpkg", "points") - renumbered)
        self.assertEqual(self.query("out.gpkg", "SELECT mark, off_east_m, text FROM check_shots"), [("VM-11", 0.004, "good")])

        # A number once given stays when the merged book is merged again.
        uuid = self.query(self.b, "SELECT uuid FROM points WHERE name = 'CUL-51'")[0][0]
        self.merge(self.folder / "out.gpkg", self.a, out="third.gpkg")
        self.assertEqual(self.query("third.gpkg", f"SELECT visit FROM points WHERE uuid = '{uuid}'"), [(2,)])

        # A merged book and one that is in it already: nothing new, nothing lost, no conflict.
        again = self.merge(self.folder / "out.gpkg", self.b, self.a, out="again.gpkg")
        self.assertIn(f"{self.count('out.gpkg', 'current_points')} points from 3 pointbooks", again.stdout)
        self.assertEqual(self.query("again.gpkg", every), self.query("out.gpkg", every))
        self.assertEqual(self.count("again.gpkg", "epochs"), self.count("out.gpkg", "epochs"))
        self.assertEqual(self.count("again.gpkg", "events"), self.count("out.gpkg", "events") + 1)

    def test_copies_that_were_corrected_apart_keep_both_corrections_in_their_order(self):
        copy = self.folder / "copy.gpkg"
        shutil.copy(self.a, copy)
        self.assertIn("0 conflicts", self.merge(self.a, copy, out="same.gpkg").stdout)
        self.assertEqual(self.count("same.gpkg", "points"), self.count(self.a, "points"))
        for number, (book, pole) in enumerate(((copy, "2.000"), (self.a, "1.500"))):
            (self.folder / "redo.toml").write_text(f'by = "office {number}"\nreason = "x"\n[[antenna]]\nvertical_parts_m = {{ pole = {pole} }}\n')
            done = office("redo", self.folder / "redo.toml", "--config", self.folder / "careful" / "config.toml", "--pointbook", book)
            self.assertEqual(done.returncode, 0, done.stderr)
        done = self.merge(self.a, copy, status=1)
        self.assertIn(f"conflict: CUL-51 visit 1 was changed in {self.a} and in {copy}; both changes are kept", done.stdout)
        rows = self.query("out.gpkg", "SELECT version, changed_by, antenna_height_m FROM points WHERE name = 'CUL-51' ORDER BY version")
        self.assertEqual(rows, [(1, None, 1.871), (2, "office 0", 2.0), (3, "office 1", 1.5)])
        chain = self.query("out.gpkg", "SELECT count(*) FROM points p JOIN points o ON p.supersedes = o.uuid AND p.version = o.version + 1")
        self.assertEqual(chain[0][0], self.count("out.gpkg", "points", "version > 1"))

        # One of two copies corrected alone is no conflict, whichever comes first.
        shutil.copy(self.folder / "careful" / "training.gpkg", self.folder / "old.gpkg")
        for number, books in enumerate(((copy, self.folder / "old.gpkg"), (self.folder / "old.gpkg", copy))):
            self.merge(*books, out=f"one{number}.gpkg")
            self.assertEqual(self.count(f"one{number}.gpkg", "current_points", "version = 2"), 6)

    def test_what_does_not_belong_together_is_refused_in_words(self):
        def changed(name, statement):
            shutil.copy(self.b, self.folder / name)
            change(self.folder / name, statement)
            return self.folder / name

        (self.folder / "taken.gpkg").write_text("x")
        live = changed("live.gpkg", "UPDATE pointbook SET training = 0")
        project = changed("project.gpkg", "UPDATE pointbook SET project = 'Other trail'")
        frame = changed("frame.gpkg", "UPDATE pointbook SET frame = 'EPSG:7912'")
        damaged = changed("damaged.gpkg", "UPDATE points SET code = 'X'")
        other = self.folder / "other.gpkg"
        shutil.copy(self.a, other)
        change(other, "UPDATE check_shots SET off_east_m = 0.5")
        second = self.folder / "second.gpkg"
        shutil.copy(self.folder / "careful" / "training.gpkg", second)
        add_check_shot(second, (0.5, -0.003, None), limits=(0.03, None))
        rows = [
            ((self.a, live), 2, "careful.gpkg holds training points and " + str(live) + " live ones; they are never mixed"),
            ((self.a, frame), 2, "is in the frame EPSG:6319"),
            ((self.a, project), 2, f'of "Other trail"; nothing is merged. If they belong together all the same, say so with --different-projects'),
            ((self.a, damaged), 4, "no longer matches its SHA-256; nothing is merged"),
            ((self.a, other), 4, "the check shot on VM-11 of 2026-06-03T14:02:04Z, version 1: the content no longer matches its SHA-256; nothing is merged"),
            ((self.a, second), 4, "a check shot has other content in two of the files"),
            ((self.a, self.folder / "none.gpkg"), 4, "there is no pointbook at"),
            ((self.a,), 2, "two pointbooks or more"),
        ]
        for books, status, said in rows:
            with self.subTest(said=said):
                self.assertIn(said, self.merge(*books, status=status).stderr)
                self.assertFalse((self.folder / "out.gpkg").exists())
        self.merge(self.a, project, out="both.gpkg", status=1, options=("--different-projects",))
        self.assertEqual(self.query("both.gpkg", "SELECT project LIKE '% + Other trail' FROM pointbook"), [(1,)])
        self.assertIn("is there already", self.merge(self.a, self.b, out="taken.gpkg", status=3).stderr)
        self.assertEqual((self.folder / "taken.gpkg").read_text(), "x")
        self.assertIn("does not exist", self.merge(self.a, self.b, out="no/out.gpkg", status=3).stderr)


if __name__ == "__main__":
    unittest.main()
