"""The daemon is killed at random moments of its work: what it acknowledged is there afterwards, and nothing is there twice.

  kill_test.py [KILLS] [SEED]
"""

import contextlib
import os
import random
import sqlite3
import sys
import time
import unittest

from attacked_day import MARKS, AttackedDay
from harness import Daemon, ProcessTest, Receiver, log_of


class Kill(ProcessTest):
    def begin(self):
        receiver = Receiver()
        receiver.listener.settimeout(5)
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        return receiver

    def configure_tcp(self, port, **options):
        super().configure_tcp(port, **options)
        (self.folder / "marks.csv").write_text(MARKS)
        with (self.folder / "config.toml").open("a") as config:
            config.write('\n[checks]\nmarks = "marks.csv"\n')

    def test_a_check_is_answered_and_safe_while_another_program_holds_the_pointbook(self):
        receiver = self.begin()
        daemon = self.start()
        client = self.client()
        with receiver.accept() as link, contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg", isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            client.call("check", mark="VM-11")
            link.sendall(log_of(15))
            client.until("some seconds", lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= 8)
            check = client.call("keep")["check"]
            daemon.process.kill()
            daemon.process.wait()
            self.assertEqual(other.execute("SELECT count(*) FROM check_shots").fetchall(), [(0,)])
        shots = "SELECT mark, off_east_m, text, passed FROM check_shots"
        for _ in range(2):
            daemon = self.start()
            self.look_until("the shot in the pointbook", lambda: self.rows(shots))
            self.assertEqual(daemon.stop()[0], 0)
            self.assertEqual(self.rows(shots), [("VM-11", check["off_east_m"], check["text"], 1)])

    def test_a_daemon_started_again_seals_what_was_left_and_then_rests(self):
        receiver = self.begin()
        daemon = self.start()
        with receiver.accept() as link:
            link.sendall(log_of(3))
            self.client().until("epochs", lambda s: s["counters"]["epochs"] >= 2)
            daemon.process.kill()
            daemon.process.wait()
        left = sorted((self.folder / "record").glob("*.nmea"))
        self.assertEqual([path.with_suffix(".sha256").exists() for path in left], [False])
        daemon = self.start()
        self.look_until("the checksums", left[0].with_suffix(".sha256").exists)
        used, ticks_a_second = [], os.sysconf("SC_CLK_TCK")

        def rests():
            """Under 5 % of a core over a second."""
            with open(f"/proc/{daemon.process.pid}/stat") as stat:
                ticks = sum(map(int, stat.read().rpartition(")")[2].split()[11:13]))
            used.append((time.monotonic(), ticks / ticks_a_second))
            while used[-1][0] - used[1 if len(used) > 1 else 0][0] > 1.0:
                del used[0]
            passed_s, worked_s = used[-1][0] - used[0][0], used[-1][1] - used[0][1]
            return passed_s > 1.0 and worked_s < 0.05 * passed_s

        self.look_until("a second of rest", rests)


class KilledDay(AttackedDay):
    """Days of ten kills each; in every second one the daemon is also killed while it starts."""

    rounds, seed = 6, 417
    KILLS_A_DAY = 10

    def killed_at_work(self, dice):
        daemon, worker = self.start_work()
        wanted = self.work.answers + dice.randint(0, 5)
        while self.work.answers < wanted and worker.is_alive():
            time.sleep(0.001)
        time.sleep(dice.uniform(0.0, 0.1))
        self.kill(daemon)
        worker.join()

    def killed_at_its_start(self, dice):
        daemon = Daemon(self.folder)
        time.sleep(dice.uniform(0.0, 0.15))
        self.kill(daemon)

    def kill(self, daemon):
        daemon.process.kill()
        daemon.process.wait()
        daemon.close()

    def one_kill(self, dice, number):
        """Returns 1 when it fell into a start."""
        if number % 2 == 1 and dice.random() < 0.5:
            self.killed_at_its_start(dice)
            return 1
        self.killed_at_work(dice)
        return 0

    def count(self):
        work = self.work
        return len(work.points), len(work.checks), len(work.decided), len(work.closings)

    def test_nothing_acknowledged_is_lost_or_twice_and_the_record_verifies_and_redoes_after_each_kill(self):
        dice = random.Random(self.seed)
        starting = wrong = 0
        told = [0, 0, 0, 0]
        is_over = True
        for number in range(self.rounds):
            if is_over or number % self.KILLS_A_DAY == 0:  # whatever was wrong in a day would be wrong to its end
                told = [a + b for a, b in zip(told, self.count())] if number > 0 else told
                day = self.folder / f"day-{number}"
                day.mkdir()
                self.begin_day(dice, day)
            is_over = True
            with self.subTest(kill=number + 1):
                starting += self.one_kill(dice, number)
                self.prove()
                is_over = False
            wrong += is_over
        points, checks, decided, closings = (a + b for a, b in zip(told, self.count()))
        print(f"{self.rounds} kills ({starting} while starting): {points} points, {checks} checks, {decided} decisions and {closings} closings answered for; wrong after {wrong} kills")
        self.assertGreater(points, self.rounds // 3)
        self.assertGreater(checks, self.rounds // 3)


if __name__ == "__main__":
    numbers = [int(a) for a in sys.argv[1:] if a.isdigit()]
    KilledDay.rounds, KilledDay.seed = (numbers + [KilledDay.rounds, KilledDay.seed][len(numbers):])[:2]
    unittest.main(argv=[a for a in sys.argv if not a.isdigit()])
