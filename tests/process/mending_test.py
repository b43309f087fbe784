"""Mending: what a point is called is put right after it was kept, and a mark that was the wrong one is made void."""

import json
import os
import signal
import sqlite3
import subprocess
import unittest

from checks_test import Crew
from harness import DEADLINE_S, OFFICE

REPORT = os.environ.get("STILLPOINT_REPORT")


class Mending(Crew):
    def stored(self):
        self.control.until("stored", lambda s: s["store"]["waiting"] == 0)

    def current(self):
        self.stored()
        return self.rows("SELECT name, visit, version, status, code, note, changed_by, change_reason FROM current_points ORDER BY started_utc")

    def names(self):
        return [(p["point"], p["visit"], p["version"]) for p in self.control.call("points")["points"]]

    def verify(self):
        done = subprocess.run([OFFICE, "verify", "--config", str(self.folder / "config.toml"), "--pointbook", str(self.folder / "trial.gpkg")],
                              capture_output=True, text=True, timeout=DEADLINE_S)
        # The pair that is being written when the program is stopped gets its checksum file too.
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        return done.stdout

    def agree(self, count):
        """What the daemon lists is what its record gives, names included, and the book is what the field stored."""
        live = self.listed(self.control)
        self.daemon.stop()
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), count)
        self.verify()

    def amend(self, *arguments):
        done = self.stillpoint("amend", *arguments)
        self.assertEqual(done.returncode, 0, done.stderr)
        return done.stdout

    def refused(self, *arguments):
        done = self.stillpoint("amend", *arguments)
        self.assertEqual((done.returncode, done.stdout), (1, ""))
        return done.stderr

    def again(self):
        self.control.close()
        self.begin()

    def office(self, *arguments):
        done = subprocess.run([OFFICE, *map(str, arguments), "--config", str(self.folder / "config.toml"), "--pointbook", str(self.folder / "trial.gpkg")],
                              capture_output=True, text=True, timeout=DEADLINE_S)
        return done.returncode, done.stdout + done.stderr


class Names(Mending):
    def test_a_kept_point_is_renamed_as_a_new_version_and_its_old_name_is_free(self):
        self.begin()
        self.point("CUL-7")
        said = self.amend("CUL-7", "--name", "CUL-8", "--code", "CUL-U", "--note", "left bank", "--reason", "misread the plate")
        self.assertRegex(said, r"^It is CUL-8 visit 1 now, amended by \w+\.$")
        user = self.current()[0][6]
        self.assertEqual(self.current(), [("CUL-8", 1, 2, "accepted", "CUL-U", "left bank", user, "misread the plate")])
        self.assertEqual(self.rows("SELECT name, version FROM points ORDER BY id"), [("CUL-7", 1), ("CUL-8", 2)])
        self.assertEqual(self.names(), [("CUL-8", 1, 2)])
        # The old name is free, and the number that the pointbook has for it is never given again.
        self.assertEqual(self.control.call("begin", name="CUL-7")["visit"], 2)
        self.send(12)
        self.assertEqual(self.control.call("keep")["point"]["status"], "accepted")
        self.assertEqual(self.names(), [("CUL-8", 1, 2), ("CUL-7", 2, 1)])
        self.assertIn("choose another name", self.control.refusal("begin", name="CUL-8")["message"])
        events = self.rows("SELECT text FROM events WHERE kind = 'amended'")
        self.assertEqual(events, [("CUL-7 visit 1 was amended by hand, it is CUL-8 visit 1 now: misread the plate",)])
        self.agree(2)

    def test_a_name_that_is_taken_or_near_is_asked_about_as_at_begin(self):
        self.begin()
        self.point("CUL-7")
        self.point("CUL-8")
        self.assertIn("--again", self.refused("CUL-7", "--name", "CUL-8", "--reason", "r"))
        for name, candidate in (("cul 8", "CUL-8"), ("vm11", "VM-11")):
            refused = self.control.refusal("amend", name="CUL-7", new_name=name, reason="r")
            self.assertEqual(refused["data"]["question"], "name-near")
            self.assertEqual(refused["data"]["candidate"], candidate)
        # Its own name written otherwise is no other point's.
        self.amend("CUL-7", "--name", "CUL 7", "--reason", "as on the plan")
        self.amend("CUL 7", "--name", "CUL-8", "--again", "--reason", "it was CUL-8 once more")
        self.assertEqual(self.names(), [("CUL-8", 2, 3), ("CUL-8", 1, 1)])
        self.assertEqual([c["point"] if "point" in c else c["combined"] for c in self.control.call("points")["combined"]], ["CUL-8"])
        self.assertEqual([c.get("question") for c in self.journal_commands() if c.get("command") == "amend"], [None, None])
        self.agree(2)

    def test_what_makes_no_sense_is_refused_and_nothing_is_changed(self):
        self.begin()
        self.point("CUL-7")
        rows = [
            ({"name": "CUL-9", "code": "x", "reason": "r"}, "no point is called CUL-9"),
            ({"name": "CUL-7", "visit": 2, "code": "x", "reason": "r"}, "with visit 2"),
            ({"name": "CUL-7", "code": "x"}, "say why"),
            ({"name": "CUL-7", "reason": "r"}, "say what to change"),
            ({"name": "CUL-7", "code": "", "reason": "r"}, "is so already"),
            ({"name": "CUL-7", "new_name": "CUL-7", "reason": "r"}, "is so already"),
            ({"name": "CUL-7", "new_name": "=1+1", "reason": "r"}, "letter or a digit"),
            ({"name": "CUL-7", "new_name": "X", "void": True, "reason": "r"}, "one of them"),
            ({"name": "CUL-7", "void": True}, "say why"),
        ]
        for params, said in rows:
            with self.subTest(params=params):
                self.assertIn(said, self.control.refusal("amend", **params)["message"])
        self.assertEqual(self.names(), [("CUL-7", 1, 1)])
        self.assertEqual([c for c in self.journal_commands() if c.get("command") in ("amend", "resolve")], [])

    def test_an_accepted_point_on_the_wrong_mark_is_made_void(self):
        self.begin()
        self.point("CUL-7")
        self.assertIn("rejected by", self.amend("CUL-7", "--void", "--reason", "it was the neighbour's culvert"))
        self.assertEqual([row[:4] + row[7:] for row in self.current()], [("CUL-7", 1, 2, "rejected", "it was the neighbour's culvert")])
        self.assertIn("is rejected", self.refused("CUL-7", "--void", "--reason", "again"))
        # It can still be called by its right name, and stays void.
        self.amend("CUL-7", "--name", "CUL-70", "--reason", "so that nobody takes it for CUL-7")
        self.assertEqual([row[:4] for row in self.current()], [("CUL-70", 1, 3, "rejected")])
        self.daemon.stop()
        self.verify()

    def test_the_open_point_is_renamed_and_kept_under_its_new_name(self):
        self.begin()
        self.control.call("begin", name="CUL-7", code="CUL-D")
        self.send(6)
        self.assertIn("It is CUL-8 visit 1 now", self.amend("CUL-7", "--name", "CUL-8", "--note", "right bank"))
        status = self.control.until("the name", lambda s: s["occupation"]["name"] == "CUL-8")
        self.assertEqual((status["occupation"]["code"], status["occupation"]["visit"]), ("CUL-D", 1))
        self.assertIn("CUL-8", self.control.refusal("keep", name="CUL-7")["message"])
        self.send(6)
        self.assertEqual(self.control.call("keep", name="CUL-8")["point"]["point"], "CUL-8")
        self.assertEqual([row[:6] for row in self.current()], [("CUL-8", 1, 1, "accepted", "CUL-D", "right bank")])
        # Nothing was stored under the old name.
        self.assertEqual(self.control.call("begin", name="CUL-7")["visit"], 1)
        self.control.call("discard")
        self.agree(1)


class Survives(Mending):
    def test_what_was_amended_is_so_after_a_kill_a_restart_and_a_closing(self):
        self.begin()
        self.point("CUL-7")
        self.amend("CUL-7", "--name", "CUL-8", "--reason", "misread")
        self.amend("CUL-8", "--name", "CUL-9", "--reason", "misread once more")
        self.daemon.stop(signal.SIGKILL)
        self.again()
        self.assertEqual(self.names(), [("CUL-9", 1, 3)])
        for name in ("CUL-7", "CUL-8"):  # free, and never visit 1 again
            self.assertEqual(self.control.call("begin", name=name)["visit"], 2)
            self.control.call("discard")
        self.check("VM-11")
        self.assertEqual(self.stillpoint("close-day").returncode, 0)
        self.amend("CUL-9", "--code", "CUL-U", "--reason", "forgotten")
        self.assertEqual([row[:5] for row in self.current()], [("CUL-9", 1, 4, "accepted", "CUL-U")])
        # Closed it was, and nothing was measured since.
        self.assertEqual(self.rows("SELECT flags LIKE '%day-not-closed%' FROM current_points"), [(0,)])
        self.agree(1)

    def test_a_point_still_in_the_spool_is_amended_while_another_program_holds_the_pointbook(self):
        self.begin()
        self.point("CUL-6")
        self.stored()
        holder = sqlite3.connect(self.folder / "trial.gpkg", isolation_level=None)
        holder.execute("BEGIN EXCLUSIVE")
        self.point("CUL-7")
        self.amend("CUL-7", "--name", "CUL-8", "--reason", "misread")
        self.amend("CUL-6", "--name", "CUL-60", "--reason", "misread")
        self.amend("CUL-8", "--name", "CUL-80", "--reason", "misread once more")
        self.assertEqual(self.names(), [("CUL-60", 1, 2), ("CUL-80", 1, 3)])
        self.daemon.stop(signal.SIGKILL)
        # The book cannot be read yet: what the spool has is known, and what is there of it later is not known twice.
        self.again()
        self.amend("CUL-80", "--name", "CUL-81", "--reason", "at last", "--new")
        holder.execute("ROLLBACK")
        holder.close()
        self.stored()
        self.assertEqual(sorted(self.names()), [("CUL-60", 1, 2), ("CUL-81", 1, 4)])
        self.assertEqual([row[:3] for row in self.current()], [("CUL-60", 1, 2), ("CUL-81", 1, 4)])
        self.again_stopped()

    def again_stopped(self):
        self.daemon.stop()
        self.verify()
        self.again()
        self.assertEqual(sorted(self.names()), [("CUL-60", 1, 2), ("CUL-81", 1, 4)])

    def test_the_open_point_has_its_new_name_after_a_kill(self):
        self.begin()
        self.control.call("begin", name="CUL-7")
        self.send(8)
        self.look_until("the open stay is saved", lambda: (self.folder / "trial.gpkg.open").exists())
        self.amend("CUL-7", "--name", "CUL-8")
        self.look_until("it is saved", lambda: b"CUL-8" in (self.folder / "trial.gpkg.open").read_bytes())
        self.daemon.stop(signal.SIGKILL)
        self.again()
        self.assertEqual(self.names(), [("CUL-8", 1, 1)])
        self.daemon.stop()
        self.verify()

    def test_a_visit_is_weighed_under_its_new_name_and_a_rename_is_no_decision(self):
        self.begin()
        self.point("CUL-7")
        self.options = {"minutes": "36.0100000"}  # 18 m away
        self.send(30)
        self.point("CUL-8")
        self.control.call("amend", name="CUL-8", new_name="CUL-7", again=True, reason="it was CUL-7 once more")
        self.assertEqual([(p["point"], p["visit"], p["status"]) for p in self.control.call("points")["points"]],
                         [("CUL-7", 1, "held"), ("CUL-7", 2, "held")])
        self.control.call("amend", name="CUL-7", visit=2, new_name="CUL-9", reason="it was not")
        self.assertEqual([(p["point"], p["visit"], p["status"]) for p in self.control.call("points")["points"]],
                         [("CUL-7", 1, "accepted"), ("CUL-9", 1, "accepted")])
        self.agree(2)

    @unittest.skipUnless(REPORT and os.path.exists(REPORT), "stillpoint-report was not built")
    def test_deliveries_have_the_newest_version_and_its_reason(self):
        self.begin()
        self.point("CUL-7")
        self.amend("CUL-7", "--name", "CUL-8", "--reason", "misread the plate")
        self.stored()
        self.daemon.stop()
        done = subprocess.run([REPORT, "--pointbook", str(self.folder / "trial.gpkg"), "--out", str(self.folder / "report")],
                              capture_output=True, text=True, timeout=DEADLINE_S)
        self.assertEqual(done.returncode, 0, done.stderr)
        csv = next(self.folder.glob("report/**/*.csv")).read_text()
        self.assertEqual([line.split(",")[:3] for line in csv.splitlines()[1:]], [["CUL-8", "1", "2"]])
        self.assertIn("misread the plate", csv)
        page = "".join(p.read_text() for p in self.folder.glob("report/**/*.html"))
        self.assertIn("it was called CUL-7 before", page)


class Pole(Mending):
    """1.800 m were said of the pole, and it was 2.000 m from the second point on."""

    SINCE = "2026-06-03T14:00:40Z"

    def until_second(self, second):
        self.send(second - self.seconds)

    def heights(self):
        return {row[0]: row[1:] for row in self.rows("SELECT name, ellipsoid_height_m, antenna_height_m, status, coalesce(reasons, '') FROM current_points")}

    def measured(self):
        self.begin()
        self.point("CUL-1")
        self.until_second(40)
        self.point("CUL-2")
        self.point("CUL-3")

    def test_points_since_then_are_held_and_the_file_for_the_office_gives_their_heights_in_one_command(self):
        self.measured()
        self.control.call("begin", name="CUL-4")
        self.send(12)
        done = self.stillpoint("pole", "2.000", "--reason", "the lower \"stop\" was used", "--since", self.SINCE)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("2.071 m above the mark", done.stdout)
        self.assertIn("since 14:00:40 UTC: 3 points held for it, CUL-2 visit 1, CUL-3 visit 1, CUL-4 visit 1", done.stdout)
        (file,) = self.folder.glob("trial.gpkg.pole-*.toml")
        self.assertIn(str(file), done.stdout)
        self.until_second(self.seconds + 10)
        self.point("CUL-5")
        self.stored()
        before = self.heights()
        self.assertEqual({name: (round(row[1], 6), *row[2:]) for name, row in before.items()}, {
            "CUL-1": (1.871, "accepted", ""), "CUL-2": (1.871, "held", "pole-wrong"), "CUL-3": (1.871, "held", "pole-wrong"),
            "CUL-4": (1.871, "held", "interrupted pole-wrong"), "CUL-5": (2.071, "accepted", "")})
        self.assertEqual(self.rows("SELECT reason_texts FROM current_points WHERE name = 'CUL-2'"),
                         [("1.871 m of antenna were subtracted, 2.071 m were right: redo in the office",)])
        self.assertEqual(self.rows("SELECT change_reason, version FROM points WHERE name = 'CUL-3' ORDER BY version")[1], ('the lower "stop" was used', 2))
        self.agree(5)
        status, said = self.office("redo", file)
        self.assertEqual(status, 0, said)
        after = self.heights()
        self.assertEqual({name: (round(row[1], 6), *row[2:]) for name, row in after.items()}, {
            "CUL-1": (1.871, "accepted", ""), "CUL-2": (2.071, "accepted", ""), "CUL-3": (2.071, "accepted", ""),
            "CUL-4": (2.071, "held", "interrupted"), "CUL-5": (2.071, "accepted", "")})
        for name in before:
            lower_m = 0.2 if name in ("CUL-2", "CUL-3", "CUL-4") else 0.0
            self.assertAlmostEqual(before[name][0] - after[name][0], lower_m, delta=1e-6, msg=name)
        self.verify()
        self.assertIn("nothing", self.office("redo", file)[1].lower())

    def test_the_time_of_day_is_that_of_the_zone_and_without_it_nothing_is_held(self):
        self.measured()
        done = self.stillpoint("pole", "1.900", "--reason", "another section")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual([p["status"] for p in self.control.call("points")["points"]], ["accepted"] * 3)
        # The height is right already: only what was measured before it is held.
        self.until_second(130)
        self.point("CUL-4")
        said = self.control.call("pole", height_m=1.9, reason="it was so from the start", since_utc="2026-06-03T14:00:00Z")
        self.assertEqual(said["held"], ["CUL-1 visit 1", "CUL-2 visit 1", "CUL-3 visit 1"])
        self.assertEqual([p["status"] for p in self.control.call("points")["points"]], ["held"] * 3 + ["accepted"])
        # Asked again, it changes nothing and writes the file again.
        again = self.control.call("pole", height_m=1.9, reason="it was so from the start", since_utc="2026-06-03T14:00:00Z")
        self.assertEqual(again["redo"], said["redo"])
        self.assertEqual([p["version"] for p in self.control.call("points")["points"]], [2, 2, 2, 1])
        self.stored()
        self.agree(4)
        status, told = self.office("redo", said["redo"])
        self.assertEqual(status, 0, told)
        self.assertEqual({round(row[1], 6) for row in self.heights().values()}, {1.971})

    def test_what_cannot_be_is_refused_and_nothing_is_held(self):
        self.measured()
        self.control.call("pole", height_m=1.9, reason="a section more")
        self.point("CUL-4")
        rows = [
            ({"height_m": 2.0, "reason": "r", "since_utc": "2026-06-03T14:00:00Z"}, "at 1.871 m and at 1.971 m"),
            ({"height_m": 2.0, "reason": "r", "since_utc": "2026-06-04T14:00:00Z"}, "still to come"),
            ({"height_m": 2.0, "reason": "", "since_utc": self.SINCE}, "say why"),
            ({"height_m": 31.0, "reason": "r", "since_utc": "2026-06-03T14:01:08Z"}, "cannot be right"),
            ({"height_m": 1.9, "reason": "r", "since_utc": "2026-06-03T14:01:08Z"}, "already"),
        ]
        for params, said in rows:
            with self.subTest(params=params):
                self.assertIn(said, self.control.refusal("pole", **params)["message"])
        self.assertEqual(self.control.refusal("pole", height_m=2, reason="r", since_utc="noon")["code"], -32602)
        self.assertEqual([p["status"] for p in self.control.call("points")["points"]], ["accepted"] * 4)
        self.assertEqual(list(self.folder.glob("*.toml")), [self.folder / "config.toml"])

    def test_a_decision_by_hand_is_open_again_and_a_rejected_point_stays_so(self):
        self.measured()
        self.control.call("resolve", name="CUL-2", accept=False, reason="the wrong culvert")
        self.control.call("begin", name="CUL-4")
        self.send(3)
        self.control.call("keep")
        self.control.call("resolve", name="CUL-4", accept=True, reason="long enough")
        self.control.call("pole", height_m=2.0, reason="the lower stop", since_utc=self.SINCE)
        self.assertEqual([(p["point"], p["status"]) for p in self.control.call("points")["points"]],
                         [("CUL-1", "accepted"), ("CUL-2", "rejected"), ("CUL-3", "held"), ("CUL-4", "held")])
        self.assertNotIn("accepted-by-hand", self.control.call("points")["points"][3]["flags"])
        self.daemon.stop(signal.SIGKILL)
        self.again()
        self.assertEqual([p["status"] for p in self.control.call("points")["points"]], ["accepted", "rejected", "held", "held"])
        self.daemon.stop()
        (file,) = self.folder.glob("trial.gpkg.pole-*.toml")
        self.assertEqual(self.office("redo", file)[0], 0)
        self.assertEqual({n: row[2] for n, row in self.heights().items()}, {"CUL-1": "accepted", "CUL-2": "rejected", "CUL-3": "accepted", "CUL-4": "held"})


if __name__ == "__main__":
    unittest.main()
