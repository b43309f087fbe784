"""Decisions by hand, names that read like known ones, and stays that end and leave nothing."""

import json
import signal
import unittest

from checks_test import Crew


class Decisions(Crew):
    def want(self, error_m):
        config = self.folder / "config.toml"
        config.write_text(config.read_text().replace("[project]\n", f"[project]\nwanted_error95_m = {{ horizontal = {error_m}, vertical = {error_m} }}\n"))

    def held_point(self):
        """A point that is too short, and so held; the only second of it counted."""
        self.control.call("begin", name="CUL-01")
        self.send(3)
        self.assertEqual(self.control.call("keep")["point"]["status"], "held")

    def commands(self, word):
        return [c for c in self.journal_commands() if c.get("command") == word]

    def test_what_is_accepted_by_hand_shows_what_it_was_held_for_and_is_listed(self):
        self.begin()
        self.held_point()
        done = self.stillpoint("resolve", "CUL-01", "--accept", "--reason", "the bank was washed away")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertRegex(done.stdout, r"(?m)^It was held: \d epochs counted, at least 5 wanted; .* at least 5.0 s wanted\.$")
        self.assertIn("CUL-01, visit 1: accepted.", done.stdout)
        self.assertIn("Error horizontal", done.stdout)
        point = self.control.call("points")["points"][0]
        self.assertIn("accepted-by-hand", point["flags"])
        self.assertEqual(self.commands("resolve")[0].get("sure"), None)
        self.check("VM-11")
        closed = self.stillpoint("close-day")
        self.assertEqual(closed.returncode, 0, closed.stderr)
        self.assertIn("1 point accepted, 1 of them by hand", closed.stdout)
        self.assertIn("By hand: CUL-01 visit 1 (too-few-epochs, too-short), accepted by", closed.stdout)
        self.assertIn("the bank was washed away", closed.stdout)

    def test_a_missed_error_is_asked_about_and_the_journal_keeps_the_answer(self):
        self.want(0.001)
        self.begin()
        self.held_point()
        refused = self.control.refusal("resolve", name="CUL-01", accept=True, reason="it will do")
        self.assertEqual((refused["code"], refused["data"]["question"]), (1, "wanted-missed"))
        self.assertEqual(refused["data"]["wanted_error95_horizontal_m"], 0.001)
        self.assertGreater(refused["data"]["error95_horizontal_m"], 0.001)
        asked = self.stillpoint("resolve", "CUL-01", "--accept", "--reason", "it will do")
        self.assertEqual((asked.returncode, asked.stdout), (1, ""))
        self.assertIn("--sure", asked.stderr)
        self.assertIn("0.001 m were wanted", asked.stderr)
        self.assertEqual(self.control.call("points")["points"][0]["status"], "held")
        self.assertEqual(self.commands("resolve"), [])
        sure = self.stillpoint("resolve", "CUL-01", "--accept", "--sure", "--reason", "it will do")
        self.assertEqual(sure.returncode, 0, sure.stderr)
        self.assertEqual(self.commands("resolve")[0]["sure"], True)
        self.daemon.stop()
        again = self.recompute(self.folder / "config.toml")
        self.assertEqual([p["point"] for p in again], ["CUL-01"])

    def test_no_error_is_asked_about_that_is_rejected_or_reached(self):
        self.want(5)
        self.begin()
        self.held_point()
        self.control.call("resolve", name="CUL-01", accept=True, reason="it will do")
        self.control.call("begin", name="CUL-02")
        self.send(3)
        self.control.call("keep")
        self.control.call("resolve", name="CUL-02", accept=False, reason="it will not")


class Names(Crew):
    def test_a_name_that_reads_like_a_known_one_is_asked_about_and_the_journal_keeps_the_answer(self):
        self.begin()
        self.point("CUL-31")
        for name, candidate, of in (("cul-31", "CUL-31", "point"), ("CUL 31", "CUL-31", "point"), ("VM 11", "VM-11", "mark")):
            with self.subTest(name):
                asked = self.stillpoint("begin", name)
                self.assertEqual(asked.returncode, 1, asked.stdout)
                self.assertIn(candidate, asked.stderr)
                self.assertIn("--new", asked.stderr)
                refused = self.control.refusal("begin", name=name)
                self.assertEqual(refused["data"], {"question": "name-near", "candidate": candidate, "is": of})
                self.assertIsNone(self.control.call("status")["occupation"])
        done = self.stillpoint("begin", "VM 11", "--new")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.send(12)
        self.control.call("keep")
        commands = [c for c in self.journal_commands() if c.get("command") == "occupy"]
        self.assertEqual([(c["name"], c.get("new")) for c in commands], [("CUL-31", None), ("VM 11", True)])
        live = self.listed(self.control)
        self.daemon.stop()
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), 2)


class Lost(Crew):
    """A stay that ended otherwise than by hand, before a second had counted."""

    def open_without_a_second(self, name="CUL-9"):
        self.options = {"quality": 1}
        self.control.call("begin", name=name)
        self.send(5)

    def told(self):
        return [a for a in self.control.call("status")["alerts"] if a["key"] == "stay-lost" and not a["seen"]]

    def points(self):
        return self.stillpoint("points").stdout

    def begin_again(self):
        self.control.close()
        self.begin()

    def test_the_receiver_falls_silent_and_it_is_told_until_it_is_seen(self):
        self.begin()
        self.open_without_a_second()
        self.control.until("the silence", lambda s: s["occupation"] is None)
        told = self.told()
        self.assertEqual([a["severity"] for a in told], ["warning"])
        self.assertRegex(told[0]["text"], r"^CUL-9 ended: .*, nothing stored$")
        self.assertRegex(self.points(), r"(?m)^No point: CUL-9 ended: .*, nothing stored \(14:0\d:\d\d UTC\)\.$")
        self.assertEqual(self.control.call("points")["points"], [])
        # A restart does not make it seen.
        self.daemon.stop()
        self.begin_again()
        self.assertEqual([a["text"] for a in self.told()], [told[0]["text"]])
        self.control.call("alerts", seen=True, key="stay-lost")
        self.assertEqual(self.told(), [])
        self.assertIn("No point: CUL-9", self.points())
        self.daemon.stop()
        self.begin_again()
        self.assertEqual(self.told(), [])
        self.assertIn("No point: CUL-9", self.points())  # of a day that is not closed

    def test_two_of_them_are_both_told(self):
        self.begin()
        self.open_without_a_second()
        self.control.until("the silence", lambda s: s["occupation"] is None)
        self.open_without_a_second("CUL-10")
        self.control.until("the silence", lambda s: s["occupation"] is None)
        (told,) = self.told()
        self.assertIn("CUL-9 ended", told["text"])
        self.assertIn("CUL-10 ended", told["text"])

    def test_the_program_is_stopped_or_killed(self):
        for how, why in ((signal.SIGTERM, "the program was stopped"), (signal.SIGKILL, "the program ended without a word")):
            with self.subTest(why):
                self.begin()
                self.open_without_a_second(f"CUL-{int(how)}")
                self.look_until("the open stay is saved", lambda: how == signal.SIGTERM or (self.folder / "trial.gpkg.open").exists())
                self.daemon.stop(how)
                self.begin_again()
                self.assertIn(f"CUL-{int(how)} ended: {why}, nothing stored", " ".join(a["text"] for a in self.told()))
                self.control.call("alerts", seen=True)
                self.look_until("the open stay is gone", lambda: not (self.folder / "trial.gpkg.open").exists())
                self.control.call("begin", name=f"CUL-{int(how)}")  # its name is free
                self.control.call("discard")
                self.daemon.stop()
                self.control.close()

    def test_what_was_discarded_by_hand_is_not_told(self):
        self.begin()
        self.open_without_a_second()
        self.control.call("discard")
        self.assertEqual(self.told(), [])
        self.assertNotIn("CUL-9", self.points())


if __name__ == "__main__":
    unittest.main()
