"""Offset points: what cannot be stood on, from kept points and what a hand measured; live, recomputed, verified and redone."""

import json
import math
import os
import signal
import sqlite3
import subprocess
import unittest

from harness import log_of
from mending_test import Mending

REPORT = os.environ.get("STILLPOINT_REPORT")
LAYER = os.environ.get("STILLPOINT_FILE_LAYER")
NORTH_18_M = "36.0100000"


def moved(latitude_deg, longitude_deg, east_m, north_m):
    """By the radii of curvature of GRS 80 (a 6378137 m, 1/f 298.257222101): good to a millimetre over 100 m."""
    a, f = 6378137.0, 1 / 298.257222101
    e2, latitude = f * (2 - f), math.radians(latitude_deg)
    w = 1 - e2 * math.sin(latitude) ** 2
    meridian, normal = a * (1 - e2) / w ** 1.5, a / math.sqrt(w)
    return latitude_deg + math.degrees(north_m / meridian), longitude_deg + math.degrees(east_m / (normal * math.cos(latitude)))


def enu_m(point, other):
    """From one to the other, by the same radii."""
    north = moved(point["latitude_deg"], point["longitude_deg"], 0, 1)[0] - point["latitude_deg"]
    east = moved(point["latitude_deg"], point["longitude_deg"], 1, 0)[1] - point["longitude_deg"]
    return (other["longitude_deg"] - point["longitude_deg"]) / east, (other["latitude_deg"] - point["latitude_deg"]) / north


class Offsets(Mending):
    def offset(self, name, *arguments, status=0):
        done = self.stillpoint("offset", name, *arguments)
        self.assertEqual(done.returncode, status, done.stderr)
        return done.stdout

    def two_points(self):
        """CUL-7, and CUL-8 some 18 m north of it."""
        self.begin()
        first = self.point("CUL-7")
        self.options = {"minutes": NORTH_18_M}
        self.send(30)
        return first, self.point("CUL-8")

    def by_name(self, name):
        return [p for p in self.control.call("points")["points"] if p["point"] == name][-1]

    def stopped_and_verified(self):
        self.stored()
        self.daemon.stop()
        self.verify()

    def standing(self):
        return [(p["point"], p["visit"], p["version"], p["status"], p["reasons"]) for p in self.control.call("points")["points"]]


class Made(Offsets):
    def test_a_distance_and_a_magnetic_bearing_make_a_point_that_its_record_gives_to_the_last_digit(self):
        self.begin()
        stay = self.point("CUL-7")
        said = self.offset("WALL-1", "--from", "CUL-7", "--distance", "4,205", "--bearing", "123.4", "--north", "magnetic",
                           "--declination", "-4.5", "--up", "0.35", "--code", "WAL", "--note", "north corner")
        self.assertIn("WALL-1 is 4.205 m from CUL-7 visit 1 at 118.9 degrees from true north", said)
        self.assertIn("Measured 4.205 m from CUL-7 at 123.4 degrees from magnetic north, -4.5 degrees of declination", said)
        point = self.by_name("WALL-1")
        bearing = math.radians(118.9)
        east, north = enu_m(stay, point)
        self.assertAlmostEqual(east, 4.205 * math.sin(bearing), delta=0.001)
        self.assertAlmostEqual(north, 4.205 * math.cos(bearing), delta=0.001)
        self.assertAlmostEqual(point["ellipsoid_height_m"] - stay["ellipsoid_height_m"], 0.35, delta=1e-4)
        self.assertEqual((point["status"], point["code"], point["note"], point["epochs_used"]), ("accepted", "WAL", "north corner", 0))
        self.assertIn("offset", point["flags"])
        self.assertTrue(set(stay["flags"]) <= set(point["flags"]), (stay["flags"], point["flags"]))
        self.assertIsNone(point["repeatability_m"])
        # The stay's variance, and that of the hand: 0.02 m along, 2 degrees across (C = J S J^T, JCGM 100:2008, 5.1).
        ee, en, nn, uu = stay["covariance_enu_m2"]
        along, across = 0.02 ** 2, (4.205 * math.radians(2)) ** 2
        sine, cosine = math.sin(bearing), math.cos(bearing)
        expected = [ee + sine ** 2 * along + cosine ** 2 * across, en + sine * cosine * (along - across),
                    nn + cosine ** 2 * along + sine ** 2 * across, uu + 0.05 ** 2]
        for found, wanted in zip(point["covariance_enu_m2"], expected):
            self.assertAlmostEqual(found, wanted, delta=0.01 * max(expected))
        self.assertGreater(point["error95_horizontal_m"], 2 * math.sqrt(across))
        self.assertEqual(point["offset"]["from"], [{"name": "CUL-7", "visit": 1, "uuid": self.by_name("CUL-7")["uuid"], "distance_m": 4.205, "error_m": 0.02}])
        self.assertEqual(point["offset"]["bearing_true_deg"], 118.9)
        (command,) = [c for c in self.journal_commands() if c.get("command") == "offset"]
        self.assertEqual((command["name"], command["visit"], command["made"]), ("WALL-1", 1, point["uuid"]))
        self.stored()
        self.assertEqual(self.rows("SELECT count(*) FROM epochs WHERE point_uuid = '%s'" % point["uuid"]), [(0,)])
        self.agree(2)

    def test_two_distances_make_a_point_on_the_side_that_was_said_and_without_a_height_it_has_none(self):
        first, second = self.two_points()
        said = self.offset("TREE", "--from", "CUL-7", "--distance", "12.5", "--from", "CUL-8", "--distance", "10", "--side", "left")
        self.assertIn("its height was not measured", said)
        tree = self.by_name("TREE")
        for stay, far_m in ((first, 12.5), (second, 10.0)):
            self.assertAlmostEqual(math.hypot(*enu_m(stay, tree)), far_m, delta=0.002)
        east, _ = enu_m(first, tree)
        self.assertLess(east, -1)  # CUL-8 is to the north: left is west
        for member in ("ellipsoid_height_m", "orthometric_height_m", "error95_vertical_m"):
            self.assertIsNone(tree[member], member)
        self.assertIn("height-not-measured", tree["flags"])
        # In the book stands the mean of the stays, with an error as large as the distance.
        self.stored()
        height, error = self.rows("SELECT ellipsoid_height_m, error95_vertical_m FROM current_points WHERE name = 'TREE'")[0]
        self.assertAlmostEqual(height, (first["ellipsoid_height_m"] + second["ellipsoid_height_m"]) / 2, delta=1e-3)
        self.assertGreater(error, 1.9 * 12.5)
        self.offset("POST", "--from", "CUL-7", "--distance", "12.5", "--from", "CUL-8", "--distance", "10", "--side", "right", "--up", "-1,2")
        self.assertGreater(enu_m(first, self.by_name("POST"))[0], 1)
        self.agree(4)

    def test_a_flat_crossing_has_a_larger_error_and_a_flatter_one_is_refused(self):
        self.two_points()
        def error_of(name, far):
            self.offset(name, "--from", "CUL-7", "--distance", str(far), "--from", "CUL-8", "--distance", str(far), "--side", "left")
            return self.by_name(name)["error95_horizontal_m"]
        upright, flat = error_of("A1", 13.1), error_of("A2", 9.6)
        self.assertGreater(flat, 2 * upright)
        self.assertIn("cross at", self.control.refusal("offset", name="A3", side="left", **{"from": [
            {"name": "CUL-7", "distance_m": 9.28}, {"name": "CUL-8", "distance_m": 9.28}]})["message"])

    def test_it_may_be_made_while_another_point_is_open_which_goes_on(self):
        self.begin()
        self.point("CUL-7")
        self.control.call("begin", name="CUL-9")
        self.send(6)
        refused = self.control.refusal("offset", name="W", bearing_deg=90, north="true", **{"from": [{"name": "CUL-9", "distance_m": 4}]})
        self.assertIn("CUL-9 visit 1 is still open; keep it first", refused["message"])
        self.offset("W", "--from", "CUL-7", "--distance", "4", "--bearing", "90", "--north", "true", "--up", "0")
        self.assertEqual(self.control.call("status")["occupation"]["name"], "CUL-9")
        self.send(6)
        self.assertEqual(self.control.call("keep", name="CUL-9")["point"]["status"], "accepted")
        self.agree(3)

    def test_the_newest_visit_is_meant_unless_another_is_named(self):
        self.begin()
        self.point("CUL-7")
        self.options = {"minutes": "36.0000200"}
        self.send(20)
        self.control.call("begin", name="CUL-7", again=True)
        self.send(12)
        self.control.call("keep")
        offset = {"bearing_deg": 10, "north": "true"}
        newest = self.control.call("offset", name="W1", **offset, **{"from": [{"name": "CUL-7", "distance_m": 4}]})["point"]
        older = self.control.call("offset", name="W2", **offset, **{"from": [{"name": "CUL-7", "visit": 1, "distance_m": 4}]})["point"]
        self.assertEqual([p["offset"]["from"][0]["visit"] for p in (newest, older)], [2, 1])
        self.assertIn("one place", self.control.refusal("offset", name="W3", side="left", **{"from": [
            {"name": "CUL-7", "visit": 1, "distance_m": 4}, {"name": "CUL-7", "visit": 2, "distance_m": 4}]})["message"])
        self.assertIn("CUL-7 visit 9", self.control.refusal("offset", name="W3", **offset, **{"from": [{"name": "CUL-7", "visit": 9, "distance_m": 4}]})["message"])
        self.agree(4)


class Refused(Offsets):
    def test_what_cannot_be_is_refused_in_one_sentence_and_nothing_is_made(self):
        self.two_points()
        one = lambda far=4.0, **more: {"from": [{"name": "CUL-7", "distance_m": far, **more}]}
        two = lambda a, b: {"from": [{"name": "CUL-7", "distance_m": a}, {"name": "CUL-8", "distance_m": b}]}
        true = {"bearing_deg": 10.0, "north": "true"}
        rows = [
            ({**one(0.0), **true}, "0.000 m cannot be measured so; above 0 and at most 200 m"),
            ({**one(1000.0), **true}, "at most 200 m"),
            ({**one(), **true, "bearing_deg": 400.0}, "from 0 to 360"),
            ({**one(), "bearing_deg": 400.0, "north": "magnetic", "declination_deg": -50.0}, "from 0 to 360"),
            ({**one(), **true, "bearing_error_deg": 45.0}, "at most 20"),
            ({**one(error_m=0.0), **true}, "needs its error"),
            ({**one(), **true, "up_m": 250.0}, "at most 200 m"),
            ({**one()}, "one kept point with distance and bearing, or two"),
            ({**two(4.0, 4.0), **true, "side": "left"}, "one kept point with distance and bearing, or two"),
            ({**two(4.0, 4.0), "side": "left"}, "miss each other by 10."),
            ({**two(40.0, 4.0), "side": "left"}, "miss each other by 17."),
            ({"from": [{"name": "NOBODY", "distance_m": 4.0}], **true}, "NOBODY"),
            ({**one(), **true, "name": "CUL-8"}, "CUL-8 is in the pointbook already"),
            ({**one(), **true, "name": "cul 8"}, "reads like CUL-8"),
            ({**one(), **true, "name": "=1"}, "letter or a digit"),
        ]
        for params, said in rows:
            with self.subTest(params=params):
                self.assertIn(said, self.control.refusal("offset", **{"name": "W", **params})["message"])
        for params, said in [
            ({**two(13.0, 13.0)}, '"side" must be'), ({**two(13.0, 13.0), "side": "behind"}, '"side" must be'),
            ({**one(), "bearing_deg": 10.0}, '"north" is missing'), ({**one(), "bearing_deg": 10.0, "north": "grid"}, '"north" must be'),
            ({**one(), "bearing_deg": 10.0, "north": "magnetic"}, "declination_deg"), ({"from": []}, "one or two kept points"),
            ({"from": [{"name": "CUL-7"}], **true}, '"distance_m" is missing'),
        ]:
            with self.subTest(params=params):
                refused = self.control.refusal("offset", **{"name": "W", **params})
                self.assertEqual(refused["code"], -32602)
                self.assertIn(said, refused["message"])
        typed = self.stillpoint("offset", "W", "--from", "CUL-7", "--distance", "four", "--bearing", "10", "--north", "true")
        self.assertEqual((typed.returncode, typed.stdout), (2, ""))
        self.assertIn('the distance must be a number, such as 4.20 or 4,20; got "four"', typed.stderr)
        self.assertEqual(self.names(), [("CUL-7", 1, 1), ("CUL-8", 1, 1)])
        self.assertEqual([c for c in self.journal_commands() if c.get("command") == "offset"], [])
        self.assertEqual(self.control.refusal("offset", name="cul 8", **one(), **true)["data"]["candidate"], "CUL-8")

    def test_nothing_is_measured_from_an_offset_point_nor_from_a_rejected_one(self):
        self.begin()
        self.point("CUL-7")
        offset = {"bearing_deg": 10, "north": "true"}
        self.control.call("offset", name="W1", **offset, **{"from": [{"name": "CUL-7", "distance_m": 4}]})
        self.assertIn("is an offset point itself", self.control.refusal("offset", name="W2", **offset, **{"from": [{"name": "W1", "distance_m": 4}]})["message"])
        self.control.call("resolve", name="CUL-7", accept=False, reason="the wrong culvert")
        self.assertIn("is rejected", self.control.refusal("offset", name="W2", **offset, **{"from": [{"name": "CUL-7", "distance_m": 4}]})["message"])
        self.assertEqual(self.standing(), [("CUL-7", 1, 2, "rejected", []), ("W1", 1, 2, "held", ["stay-held"])])
        self.stopped_and_verified()


class Follows(Offsets):
    def test_it_is_held_while_its_stay_is_and_free_when_that_is_accepted(self):
        self.begin()
        self.control.call("begin", name="CUL-7")
        self.send(3)
        self.assertEqual(self.control.call("keep")["point"]["status"], "held")
        done = self.stillpoint("offset", "W", "--from", "CUL-7", "--distance", "4", "--bearing", "10", "--north", "true")
        self.assertEqual(done.returncode, 1)
        self.assertIn("W is not accepted: held, its stay CUL-7 visit 1 is held: decide about that stay", done.stderr)
        self.control.call("resolve", name="CUL-7", accept=True, reason="long enough")
        self.assertEqual([row[:4] for row in self.standing()], [("CUL-7", 1, 2, "accepted"), ("W", 1, 2, "accepted")])
        # A decision is known to the next run, here and in the recomputation.
        self.daemon.stop(signal.SIGKILL)
        self.again()
        self.offset("W2", "--from", "CUL-7", "--distance", "5", "--bearing", "10", "--north", "true")
        self.stopped_and_verified()

    def test_it_follows_the_name_of_its_stay_and_is_renamed_itself_over_a_restart(self):
        self.begin()
        self.point("CUL-7")
        self.offset("W", "--from", "CUL-7", "--distance", "4", "--bearing", "10", "--north", "true")
        self.amend("CUL-7", "--name", "CUL-70", "--reason", "misread")
        self.assertEqual(self.by_name("W")["offset"]["from"][0]["name"], "CUL-70")
        self.amend("W", "--name", "WALL", "--reason", "as on the plan")
        self.daemon.stop(signal.SIGKILL)
        self.again()
        self.assertEqual(self.names(), [("CUL-70", 1, 2), ("WALL", 1, 3)])
        self.control.call("resolve", name="CUL-70", accept=False, reason="the wrong culvert")
        self.assertEqual([row[3:] for row in self.standing()], [("rejected", []), ("held", ["stay-held"])])
        self.stopped_and_verified()

    def test_a_pole_that_was_wrong_holds_it_with_its_stay_and_one_redo_puts_both_right(self):
        self.begin()
        self.point("CUL-7")
        self.offset("W", "--from", "CUL-7", "--distance", "4", "--bearing", "10", "--north", "true", "--up", "1")
        said = self.control.call("pole", height_m=2.0, reason="the lower stop", since_utc="2026-06-03T14:00:00Z")
        self.assertEqual(said["held"], ["CUL-7 visit 1"])
        self.assertEqual([row[3:] for row in self.standing()], [("held", ["pole-wrong"]), ("held", ["stay-held"])])
        self.stored()
        before = dict(self.rows("SELECT name, ellipsoid_height_m FROM current_points"))
        self.agree(2)
        status, told = self.office("redo", said["redo"])
        self.assertEqual(status, 0, told)
        after = dict(self.rows("SELECT name, ellipsoid_height_m FROM current_points"))
        for name in ("CUL-7", "W"):
            self.assertAlmostEqual(before[name] - after[name], 0.2, delta=1e-6, msg=name)
        self.assertEqual(self.rows("SELECT name, status, coalesce(reasons, '') FROM current_points ORDER BY name"),
                         [("CUL-7", "accepted", ""), ("W", "accepted", "")])
        self.verify()
        self.assertIn("nothing", self.office("redo", said["redo"])[1].lower())

    def test_a_later_stay_of_its_name_is_a_visit_that_is_not_weighed_against_it(self):
        self.begin()
        self.point("CUL-7")
        self.offset("W", "--from", "CUL-7", "--distance", "40", "--bearing", "10", "--north", "true", "--up", "0")
        self.send(20)
        self.assertEqual(self.control.call("begin", name="W", again=True)["visit"], 2)
        self.send(12)
        self.assertEqual(self.control.call("keep")["point"]["status"], "accepted")
        self.assertEqual([row[3] for row in self.standing()], ["accepted"] * 3)
        self.assertEqual(self.control.call("points")["combined"], [])
        self.agree(3)


class Survives(Offsets):
    def test_it_is_there_after_a_kill_and_after_a_closing_it_opens_the_day_again(self):
        self.begin()
        self.point("CUL-7")
        self.offset("W", "--from", "CUL-7", "--distance", "4", "--bearing", "10", "--north", "true", "--up", "0")
        self.daemon.stop(signal.SIGKILL)
        self.again()
        self.assertEqual(self.names(), [("CUL-7", 1, 1), ("W", 1, 1)])
        self.check("VM-11")
        self.assertEqual(self.stillpoint("close-day").returncode, 0)
        said = self.offset("W2", "--from", "CUL-7", "--distance", "4", "--bearing", "20", "--north", "true", "--up", "0")
        self.assertIn("a point kept now opens it again", said)
        self.stored()
        self.assertEqual(self.rows("SELECT name, flags LIKE '%day-not-closed%' FROM current_points ORDER BY name"), [("CUL-7", 0), ("W", 0), ("W2", 1)])
        self.agree(3)

    def test_it_waits_in_the_spool_while_another_program_holds_the_pointbook_and_a_lost_spool_is_told(self):
        self.begin()
        self.point("CUL-7")
        self.stored()
        holder = sqlite3.connect(self.folder / "trial.gpkg", isolation_level=None)
        holder.execute("BEGIN EXCLUSIVE")
        self.offset("W", "--from", "CUL-7", "--distance", "4", "--bearing", "10", "--north", "true", "--up", "0")
        self.assertEqual(self.by_name("W")["storage"], "spooled")
        self.daemon.stop(signal.SIGKILL)
        spool = self.folder / "trial.gpkg.spool"
        kept = spool.read_bytes()
        os.truncate(spool, 0)
        holder.execute("ROLLBACK")
        holder.close()
        self.again()
        missing = lambda: [a["text"] for a in self.control.call("alerts")["alerts"] if a["key"] == "points-missing"]
        self.look_until("what is missing", missing)
        self.assertIn("W visit 1, kept at ", missing()[0])
        self.daemon.stop(signal.SIGKILL)
        spool.write_bytes(kept)
        self.again()
        self.stored()
        self.assertEqual(self.names(), [("CUL-7", 1, 1), ("W", 1, 1)])
        self.daemon.stop()
        self.verify()

    @unittest.skipUnless(LAYER, "the layer below the files was not built")
    def test_one_that_was_not_safe_yet_at_a_kill_is_told_and_made_again_and_the_record_verifies(self):
        self.begin()
        self.point("CUL-7")
        self.stored()
        self.daemon.stop()
        self.control.close()
        slow = dict(os.environ, LD_PRELOAD=LAYER, FILE_LAYER_ROOT=str(self.folder), FILE_LAYER_TRACE="/dev/null", FILE_LAYER_SYNC_MS="1500")
        daemon = self.start(env=slow)
        control = self.client()
        with self.receiver.accept() as link:
            link.sendall(log_of(8, first=self.seconds))
            control.until("the seconds", lambda s: s["counters"]["epochs"] >= 7)
            self.seconds += 8
            asked = {"name": "W", "from": [{"name": "CUL-7", "distance_m": 4.0}], "bearing_deg": 10.0, "north": "true"}
            control.send_line(json.dumps({"jsonrpc": "2.0", "id": 900, "method": "offset", "params": asked}).encode())
            self.look_until("it is in the record", lambda: any(c.get("command") == "offset" for c in self.journal_commands()))
            daemon.process.kill()
            daemon.process.wait()
        self.begin()
        alerts = {a["key"]: a["text"] for a in self.control.call("alerts")["alerts"]}
        self.assertIn("W visit 1", alerts.get("keep-unanswered", ""))
        self.assertNotIn("points-missing", alerts)
        again = self.control.call("offset", **{**asked, "bearing_deg": 20.0})["point"]
        self.assertEqual((again["visit"], again["status"]), (1, "accepted"))
        self.stored()
        self.daemon.stop()
        self.verify()

    @unittest.skipUnless(REPORT and os.path.exists(REPORT), "stillpoint-report was not built")
    def test_the_report_says_from_what_it_comes_and_tells_no_height_that_nobody_measured(self):
        self.begin()
        self.point("CUL-7")
        self.offset("W", "--from", "CUL-7", "--distance", "4", "--bearing", "10", "--north", "true")
        self.stored()
        self.daemon.stop()
        done = subprocess.run([REPORT, "--pointbook", str(self.folder / "trial.gpkg"), "--out", str(self.folder / "report")], capture_output=True, text=True)
        self.assertEqual(done.returncode, 0, done.stderr)
        page = "".join(p.read_text() for p in self.folder.glob("report/**/*.html"))
        self.assertIn("from CUL-7 visit 1 at 10.0", page)
        self.assertIn("its height was not measured", page)
        header, *rows = next(self.folder.glob("report/**/*.csv")).read_bytes().decode().split("\r\n")
        row = dict(zip(header.split(","), next(r for r in rows if r.startswith("W,")).split(",")))
        self.assertEqual((row["ellipsoid_height_m"], row["error95_vertical_m"], row["repeatability_m"]), ("", "", ""))
        self.assertIn("offset", row["flags"])


if __name__ == "__main__":
    unittest.main()
