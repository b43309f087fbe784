"""A day whose power was cut: the record is read as far as it is whole, what is left out is said, nothing is refused.

The daemon is killed, then its last pair of files is cut as a loss of power leaves them: the journal is synced before the
bytes, and what neither sync reached is gone, torn or zeros.
"""

import os
import re
import shutil
import subprocess
import unittest

from harness import DEADLINE_S, ProcessTest, Receiver, log_of

REDUCE = os.environ["STILLPOINT_REDUCE"]
OFFICE = os.environ["STILLPOINT_OFFICE"]
REDO = """by = "A. Brandvold"
reason = "the pole stood at 2.000"
[[antenna]]
vertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }
"""
LONGER = "is longer than its journal says, as after a loss of power"
SHORTER = "is shorter than its journal says, as after a loss of power"
TORN = "breaks off in line"
HEADLESS = "has no whole first line, as after a loss of power"
NEVER = "was recorded and never acknowledged: nothing was promised"


class Cut(ProcessTest):
    def setUp(self):
        super().setUp()
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.sent = 0

    def begin(self):
        self.configure_tcp(self.receiver.port)
        self.daemon = self.start()
        self.control = self.client()
        self.link = self.cleanup.enter_context(self.receiver.accept())

    def seconds(self, count):
        self.sent += count
        clock = f"{(self.sent - 1) // 60:02d}:{(self.sent - 1) % 60:02d}Z"
        self.link.sendall(log_of(count, first=self.sent - count))
        self.control.until("the seconds", lambda s: s["epoch"] and s["epoch"]["utc"].endswith(clock))

    def keep(self, name):
        self.control.call("begin", name=name)
        self.seconds(12)
        self.control.call("keep")

    def kill(self):
        self.daemon.process.kill()
        self.daemon.process.wait()
        self.link.close()

    def stored(self):
        self.control.until("stored", lambda s: s["store"]["waiting"] == 0)

    def day(self):
        """A run that stopped in good order with two points, and one that was killed while a third stay was open."""
        self.begin()
        self.seconds(8)
        self.keep("HF-1")
        self.keep("HF-2")
        self.stored()
        self.assertEqual(self.daemon.stop()[0], 0)
        self.link.close()
        self.begin()
        self.seconds(8)
        self.control.call("begin", name="HF-3")
        for _ in range(10):
            self.seconds(3)
        self.look_until("the open stay", lambda: (self.folder / "trial.gpkg.open").exists())
        self.kill()

    def start_once(self):
        """The next start takes up what is left and seals the pair."""
        daemon = self.start()
        self.look_until("the seal", lambda: self.last_pair()[0].with_suffix(".sha256").exists())
        self.assertEqual(daemon.stop()[0], 0)
        return daemon.log_text()

    def last_pair(self):
        log = sorted((self.folder / "record").glob("*.nmea"))[-1]
        return log, log.with_suffix(".journal")

    def office(self, verb, *more):
        return subprocess.run([OFFICE, verb, *more, "--config", self.folder / "config.toml", "--pointbook", self.folder / "trial.gpkg"],
                              capture_output=True, text=True, timeout=DEADLINE_S)

    def reduce(self):
        logs = sorted((self.folder / "record").glob("*.nmea"))
        return subprocess.run([REDUCE, "--config", self.folder / "config.toml", "--log", *logs], capture_output=True, text=True, timeout=DEADLINE_S)

    def verify_redo_and_reduce(self, points, said):
        verified = self.office("verify")
        out = verified.stdout + verified.stderr
        self.assertEqual(verified.returncode, 0, out)
        broke_off = "HF-3 visit 1: was saved with" in out
        self.assertIn(f"to the last bit ({points - broke_off} points)", out)
        reduced = self.reduce()
        self.assertIn(reduced.returncode, (0, 1), reduced.stderr)
        self.assertIn('"point":"HF-2"', reduced.stdout)
        (self.folder / "redo.toml").write_text(REDO)
        redone = self.office("redo", self.folder / "redo.toml")
        self.assertEqual(redone.returncode, 0, redone.stdout + redone.stderr)
        for words in said:
            for text in (out, reduced.stderr, redone.stderr):
                self.assertIn(words, text)
        if not said:
            self.assertNotIn("loss of power", out + reduced.stderr + redone.stderr)
        return out

    def test_a_record_cut_anywhere_is_read_as_far_as_it_is_whole_and_says_so(self):
        self.day()
        template = self.folder
        nmea, journal = (path.read_bytes() for path in self.last_pair())
        lines = journal.splitlines(keepends=True)
        half = len(b"".join(lines[: len(lines) // 2]))
        rows = [
            ("nothing is cut", nmea, journal, []),
            ("one byte is missing", nmea[:-1], journal, [SHORTER]),
            ("half of the bytes are missing", nmea[: len(nmea) // 2], journal, [SHORTER]),
            ("all bytes are missing", b"", journal, [SHORTER]),
            ("the journal lacks its last line", nmea, b"".join(lines[:-1]), [LONGER]),
            ("the journal is torn in its last line", nmea, journal[:-3], [TORN, LONGER]),
            ("the journal is torn in the middle", nmea, journal[: half + 4], [TORN, LONGER]),
            ("both are cut, the journal later", nmea[: len(nmea) // 3], journal[: half + 4], [TORN, SHORTER]),
            ("the journal ends in zeros", nmea, journal[:half] + bytes(len(journal) - half), [TORN, LONGER]),
            ("zeros where the middle was", nmea, journal[:half] + bytes(300) + journal[half + 300 :], [TORN, LONGER]),
            ("only the first line is there", nmea, lines[0], [LONGER]),
            ("the first line is torn", nmea, lines[0][:-20], [HEADLESS, "are left out"]),
            ("the first line is zeros", nmea, bytes(len(journal)), [HEADLESS]),
            ("the journal is empty", nmea, b"", [HEADLESS]),
            ("both are empty", b"", b"", [HEADLESS, "nothing is in the pair"]),
        ]
        for number, (what, bytes_left, journal_left, said) in enumerate(rows):
            for saved in (False, True):
                with self.subTest(what, saved=saved):
                    self.folder = template / f"cut-{number}-{saved}"
                    shutil.copytree(template, self.folder, ignore=shutil.ignore_patterns("cut-*", "control*"))
                    log, beside = self.last_pair()
                    log.write_bytes(bytes_left)
                    beside.write_bytes(journal_left)
                    if not saved:
                        (self.folder / "trial.gpkg.open").unlink()
                    self.start_once()
                    out = self.verify_redo_and_reduce(3 if saved else 2, said)
                    if saved:
                        self.assertRegex(out, "HF-3 visit 1: (the same as it was last saved|was saved with [0-9]+ seconds; the record broke off)")
        self.folder = template

    def taken_back(self, *files):
        for file in files:
            shutil.copy(self.folder / f"before.{file}", self.folder / file)

    def without_the_word(self, name):
        """The record as it is when the power goes between the keep and its answer."""
        for path in sorted((self.folder / "record").glob("*.journal")):
            path.write_text(re.sub(r'.*"event":"safe".*\n', "", path.read_text()))

    def keep_and_lose(self, then=None):
        self.begin()
        self.seconds(8)
        self.keep("HF-1")
        self.stored()
        for file in ("trial.gpkg", "trial.gpkg.spool"):
            shutil.copy(self.folder / file, self.folder / f"before.{file}")
        self.keep("HF-2")
        self.stored()
        if then:
            self.control.call("begin", name=then)
            self.seconds(4)
        self.kill()
        self.taken_back("trial.gpkg", "trial.gpkg.spool")
        (self.folder / "trial.gpkg.open").unlink(missing_ok=True)

    def test_a_keep_that_was_never_answered_is_told_and_is_no_fault(self):
        self.keep_and_lose()
        self.without_the_word("HF-2")
        log = self.start_once()
        self.assertRegex(log, f"HF-2 visit 1, kept at .*Z, {NEVER}")
        self.assertNotIn("points-missing", log)
        verified = self.office("verify")
        self.assertEqual(verified.returncode, 0, verified.stdout + verified.stderr)
        self.assertIn(f"HF-2 visit 1: {NEVER}", verified.stdout)
        (self.folder / "redo.toml").write_text(REDO)
        redone = self.office("redo", self.folder / "redo.toml")
        self.assertEqual(redone.returncode, 0, redone.stdout + redone.stderr)
        self.assertIn("1 of 1 points have a new version", redone.stdout)

    def test_a_keep_of_which_the_record_says_that_it_was_safe_is_missed(self):
        self.keep_and_lose()
        self.assertIn("points-missing", self.start_once())
        verified = self.office("verify")
        self.assertEqual(verified.returncode, 1, verified.stdout)
        self.assertIn("HF-2 visit 1: the record gives it, the pointbook does not have it", verified.stdout)

    def test_a_keep_in_the_middle_of_a_run_is_missed(self):
        self.keep_and_lose(then="HF-3")
        self.without_the_word("HF-2")
        self.assertIn("points-missing", self.start_once())
        verified = self.office("verify")
        self.assertEqual(verified.returncode, 1, verified.stdout)
        self.assertIn("HF-2 visit 1: the record gives it, the pointbook does not have it", verified.stdout)


if __name__ == "__main__":
    unittest.main()
