"""A whole day by hand on the terminal alone: opening check, six points with codes, one of them held and decided, the pole
changed, closing check, the day closed. Nothing is typed but names, codes, reasons and a height; all else is one key."""

import re
import threading
import unittest

from checks_test import Crew
from harness import second
from terminal import Terminal

ENOUGH = r">\[2\] Keep"


class TerminalDay(Crew):
    def setUp(self):
        super().setUp()
        config = self.folder / "config.toml"
        # Long enough that a point can be kept, and the time to take that back be over, before it is enough.
        config.write_text(re.sub(r"(min_epochs|min_duration_s) += 5", r"\1 = 20", config.read_text()))

    def feed(self):
        """The receiver: ten seconds of its stream in one of ours, or one."""
        while not self.over.wait(self.every_s):
            self.stream.sendall(second(self.seconds).encode())
            self.seconds += 1

    def begin_day(self):
        self.begin()
        self.over, self.every_s = threading.Event(), 0.1
        receiver = threading.Thread(target=self.feed)
        receiver.start()
        self.cleanup.callback(receiver.join)
        self.cleanup.callback(self.over.set)
        self.terminal = Terminal(self.folder / "control")
        self.cleanup.callback(self.terminal.close)
        self.shows(r">\[1\] Begin")

    def shows(self, pattern):
        return self.terminal.shows(pattern)

    def press(self, keys):
        self.terminal.press(keys)

    def begin_point(self, name, keys):
        self.press("1")
        self.shows(r"-- New point --")
        self.press(keys)
        self.shows(rf"^ {name} ")

    def keep(self, came):
        self.shows(ENOUGH)
        self.press("2")
        self.shows(came)
        self.shows(r"^ No point open")

    def check(self, keys):
        self.press(keys)
        self.shows(r"VM-11 +0\.\d m .*\n.*VM-12")  # the nearest first
        self.press("1")
        self.shows(r"^ Check on VM-11")
        self.keep(r"PASSED: \d+ mm off VM-11, \d+ mm in height; limit \d+ mm\.")

    def test_a_whole_day_is_worked_on_the_terminal_alone(self):
        self.begin_day()
        self.press("m")
        self.shows(r"\[C\] Check a mark +VM-11")
        self.check("c")

        self.begin_point("CUL-14", "CUL-14\tCUL-U\r")
        self.keep(r"CUL-14 accepted, \d+ mm horizontal, \d+ mm vertical \(95 %\)\.")
        self.press("1")
        self.shows(r"> Name +CUL-15_")  # the next free name is proposed, with the code of the last one
        self.shows(r"Code +CUL-U")
        self.press("\tCUL-D\r")
        self.shows(r"^ CUL-15 ")
        self.keep(r"CUL-15 accepted, ")

        # A name that is known keeps the question; Back leaves it, and nothing has begun.
        self.press("1")
        self.shows(r"-- New point --")
        self.press("CUL-14\r")
        self.shows(r"CUL-14 is known already")
        self.press("\x1b")
        self.shows(r"^ No point open")

        # Begun on the wrong thing: discarded by a second press, after the time to take it back.
        self.begin_point("CUL-16", "\r")
        self.press("3")
        self.shows(r"press 3 again")
        self.press("3")
        self.shows(r"\[U\] Undo")
        self.shows(r"^ No point open")

        # Kept before it was enough.
        self.every_s = 1
        self.begin_point("CUL-16", "CUL-16\r")
        self.shows(r"will be held")
        self.press("2")
        self.shows(r"press 2 again")
        self.press("2")
        self.shows(r"CUL-16 held: ")
        self.every_s = 0.1
        self.press("m")
        self.shows(r"\[H\] Held points +decide 1")
        self.press("h")
        self.shows(r"\[1\] CUL-16")
        self.press("1")
        self.shows(r"-- Decide CUL-16 --")
        self.press("a")
        self.shows(r"-- Accept CUL-16 --")
        self.press("\r")  # without a reason it is not done
        self.shows(r"Say why")
        self.press("short, and good enough for a culvert\r")
        self.shows(r"CUL-16 .*accepted")

        self.press("m")
        self.shows(r"\[P\] Change the pole +pole 1\.800 m")
        self.press("p")
        self.shows(r"antenna 1\.871 m above the mark")
        self.press("1.810\tthe tip was changed\r")
        self.shows(r"1\.871 m became 1\.881 m")

        for name in ("CUL-17", "CUL-18", "CUL-19"):
            self.begin_point(name, "\r")
            self.keep(rf"{name} accepted, ")

        # Mending: the open point is renamed, a kept one gets another name, and the pole was wrong since a time of day.
        self.begin_point("CUL-91", "CUL-91\r")
        self.press("ml")
        self.shows(r"\[1\] CUL-91 +open now")
        self.press("1")
        self.shows(r"-- Amend CUL-91 --")
        self.press("CUL-20\r")
        self.shows(r"It is CUL-20 visit 1 now")
        self.keep(r"CUL-20 accepted, ")
        self.shows(r"Last +CUL-20 ")
        self.press("ml1")
        self.shows(r"-- CUL-20 --")
        self.press("a")
        self.shows(r"-- Amend CUL-20 --")
        self.press("CUL-21\t\t\tmisread\r")
        self.shows(r"It is CUL-21 visit 1 now, amended by")
        self.shows(r"Last +CUL-21 ")
        self.press("ml1")
        self.shows(r"\[V\] Make void")
        self.press("v")
        self.shows(r"-- Make CUL-21 void --")
        self.press("the neighbour's culvert\r")
        self.shows(r"CUL-21 visit 1 is rejected by")
        self.press("mp")
        self.shows(r"Since +\(from now on")
        self.press("1.805\tthe stop was worn\tnoon\r")
        self.shows(r"Say since when as HH:MM")
        self.press("\x1b")
        self.shows(r"^ No point open")

        # What nobody can stand on, with tape and compass.
        self.press("ml2")
        self.shows(r"\[O\] Offset point")
        self.press("ob")
        self.shows(r"From CUL-19: horizontal metres")
        self.press("WALL-1\t4,2\t\t400\t\t-4.5\t0.35\r")
        self.shows(r"from 0 to 360")
        self.press("\x1b")
        self.press("ml2obWALL-1\t4,2\t\t123.4\t\t-4.5\t0.35\r")
        self.shows(r"WALL-1 is 4\.200 m from CUL-19 visit 1")

        self.press("m")
        self.shows(r"\[D\] Close the day")
        self.press("d")
        self.shows(r"\[C\] Make the closing check")
        self.check("c")
        self.shows(r"Check +closing: \d+ mm off VM-11")
        self.press("md")
        self.shows(r"The closing check: \d+ mm off VM-11\.")
        self.press("\r")
        self.shows(r"-- The day is closed --")
        self.press("\x1b")
        self.shows(r"^ No point open .*DAY CLOSED")
        self.press("q")
        self.assertEqual(self.terminal.ended(), 0)

        kept = [(p["point"], p["status"], p["code"]) for p in self.control.call("points")["points"]]
        self.assertEqual(kept, [("CUL-14", "accepted", "CUL-U"), ("CUL-15", "accepted", "CUL-D"), ("CUL-16", "accepted", "CUL-D"),
                                ("CUL-17", "accepted", "CUL-D"), ("CUL-18", "accepted", "CUL-D"), ("CUL-19", "accepted", "CUL-D"),
                                ("CUL-21", "rejected", "CUL-D"), ("WALL-1", "accepted", None)])
        points = {p["point"]: p for p in self.control.call("points")["points"]}
        self.assertIn("accepted-by-hand", points["CUL-16"]["flags"])
        self.assertEqual(points["CUL-19"]["antenna_height_m"], 1.881)
        self.assertEqual([kind for kind, in self.rows("SELECT kind FROM check_shots ORDER BY utc")], ["opening", "closing"])


if __name__ == "__main__":
    unittest.main()
