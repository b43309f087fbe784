"""The power goes on a real journalling file system, at random moments of a crew's work.

  power_cuts.py [CUTS] [SEED]      as root, on Linux with ext4 and a free loop device

Book and record lie on an ext4 file system of their own. The cut is the file system's own shutdown without writing its
journal: whatever was not synced is gone, as after a power cut. It is mounted again, which replays the journal, and the
daemon is started there. In every second cut each sync takes 40 ms longer, as on a slow card.
"""

import fcntl
import os
import random
import struct
import subprocess
import sys
import time
import unittest
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "process"))

from attacked_day import AttackedDay  # noqa: E402

LAYER = os.environ.get("STILLPOINT_FILE_LAYER")
SHUTDOWN, WITHOUT_JOURNAL = 0x8004587D, 2  # FS_IOC_SHUTDOWN of Linux
SLOW_SYNC_MS = 40
CUTS_A_DAY = 6


def run(*command):
    done = subprocess.run(list(map(str, command)), capture_output=True, text=True)
    if done.returncode != 0:
        raise RuntimeError(f"{' '.join(map(str, command))}: {done.stderr}")


class RealCuts(AttackedDay):
    cuts, seed = 60, 20

    def setUp(self):
        super().setUp()
        if os.geteuid() != 0:
            self.skipTest("only root may mount a file system")
        self.image, self.mount = self.folder / "card.img", self.folder / "card"
        self.mount.mkdir()

    def make_card(self):
        with open(self.image, "wb") as image:
            image.truncate(96 << 20)
        run("mkfs.ext4", "-q", "-F", self.image)
        self.put_in()
        self.cleanup.callback(subprocess.run, ["umount", "-l", str(self.mount)], capture_output=True)

    def put_in(self):
        run("mount", "-o", "loop", self.image, self.mount)

    def cut_power(self):
        folder = os.open(self.mount, os.O_RDONLY)
        try:
            fcntl.ioctl(folder, SHUTDOWN, struct.pack("I", WITHOUT_JOURNAL))
        finally:
            os.close(folder)

    def one_cut(self, dice, is_slow):
        layer = {"env": dict(os.environ, LD_PRELOAD=LAYER, FILE_LAYER_ROOT=str(self.mount), FILE_LAYER_TRACE="/dev/null", FILE_LAYER_SYNC_MS=str(SLOW_SYNC_MS))} if is_slow else {}
        daemon, worker = self.start_work(**layer)
        wanted = self.work.answers + dice.randint(0, 5)
        while self.work.answers < wanted and worker.is_alive():
            time.sleep(0.001)
        time.sleep(dice.uniform(0.0, 0.4 if is_slow else 0.1))
        self.cut_power()
        daemon.process.kill()
        daemon.process.wait()
        worker.join()
        self.work.failure = None  # after the cut "not yet safe" is the truth
        daemon.close()
        run("umount", self.mount)
        self.put_in()
        self.prove()

    def count(self):
        return len(self.work.points), len(self.work.checks), len(self.work.closings)

    def take_out(self):
        subprocess.run(["umount", str(self.mount)], capture_output=True)

    def test_after_each_cut_what_was_answered_is_there_once_and_the_record_verifies_and_redoes(self):
        dice = random.Random(self.seed)
        wrong, told, is_over = 0, [0, 0, 0], True
        for number in range(self.cuts):
            if is_over or number % CUTS_A_DAY == 0:
                told = [a + b for a, b in zip(told, self.count())] if number > 0 else told
                self.take_out()
                self.make_card()
                self.begin_day(dice, self.mount / "day")
                self.home.mkdir()
                subprocess.run(["sync", "-f", str(self.home)], check=True)
            is_over = True
            with self.subTest(cut=number + 1):
                self.one_cut(dice, is_slow=number % 2 == 1)
                is_over = False
            wrong += is_over
        points, checks, closings = (a + b for a, b in zip(told, self.count()))
        self.take_out()
        print(f"{self.cuts} cuts: {points} points, {checks} checks and {closings} closings answered for; wrong after {wrong} cuts")
        self.assertGreater(points, self.cuts // 3)


if __name__ == "__main__":
    numbers = [int(a) for a in sys.argv[1:] if a.isdigit()]
    RealCuts.cuts, RealCuts.seed = (numbers + [RealCuts.cuts, RealCuts.seed][len(numbers):])[:2]
    unittest.main(argv=[a for a in sys.argv if not a.isdigit()])
