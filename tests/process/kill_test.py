"""The daemon is killed at random moments of its work: what it acknowledged is there afterwards, and nothing is there twice.

  kill_test.py [ROUNDS] [SEED]
"""

import contextlib
import os
import random
import sqlite3
import sys
import threading
import time
import unittest

from harness import REDUCE, Client, ProcessTest, Receiver, log_of


class Kill(ProcessTest):
    rounds, seed = 6, 417
    # VM-11 is where the receiver stands.
    MARKS = """name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m,recovered
VM-11,EPSG:6319,2010.0,47.600000,-87.400000,146.429,ellipsoid,0.005,0.008,2026-05-02
"""

    def work(self, receiver, acknowledged, checks):
        """Occupies and keeps a point, then a mark, until the daemon is gone."""
        with contextlib.suppress(OSError, AssertionError, ValueError), receiver.accept() as link:
            client = Client(self.folder / "control")
            try:
                while True:
                    name = f"K-{self.number}"
                    self.number += 1
                    client.call("occupy", name=name)
                    link.sendall(log_of(15, first=self.sent))
                    self.sent += 15
                    client.until("some seconds", lambda s: s["occupation"] is None or s["occupation"]["accepted"] >= 8)
                    acknowledged[name] = client.call("keep")["point"]
                    client.call("check", mark="VM-11")
                    link.sendall(log_of(15, first=self.sent))
                    self.sent += 15
                    client.until("some seconds", lambda s: s["occupation"] is None or s["occupation"]["accepted"] >= 8)
                    check = client.call("keep")["check"]
                    checks[check["utc"]] = check
            finally:
                client.close()

    def begin(self):
        receiver = Receiver()
        receiver.listener.settimeout(5)
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        return receiver

    def configure_tcp(self, port, **options):
        super().configure_tcp(port, **options)
        (self.folder / "marks.csv").write_text(self.MARKS)
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

    def test_nothing_acknowledged_is_lost_and_nothing_is_stored_twice(self):
        chance = random.Random(self.seed)
        receiver = self.begin()
        self.number = self.sent = 0
        acknowledged, checks = {}, {}
        for _ in range(self.rounds):
            daemon = self.start()
            worker = threading.Thread(target=self.work, args=(receiver, acknowledged, checks))
            worker.start()
            time.sleep(chance.uniform(0.0, 0.6))
            daemon.process.kill()
            daemon.process.wait()
            worker.join()
            daemon.close()
        daemon = self.start()
        client = self.client()
        client.until("stored", lambda s: s["store"]["waiting"] == 0)
        listed = client.call("points")["points"]
        self.assertEqual(daemon.stop()[0], 0)
        self.assertGreater(len(acknowledged), self.rounds // 2)
        names = [(p["point"], p["visit"], p["version"]) for p in listed]
        self.assertEqual(len(names), len(set(names)))
        there = {p["point"]: p for p in listed}
        for name, point in acknowledged.items():
            for key, value in point.items():
                self.assertEqual(there[name][key], value, (name, key))
        with contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg")) as book:
            self.assertEqual(book.execute("PRAGMA integrity_check").fetchall(), [("ok",)])
            twice = book.execute("SELECT name, visit FROM points GROUP BY name, visit, version HAVING count(*) > 1").fetchall()
            shots = book.execute("SELECT strftime('%Y-%m-%dT%H:%M:%SZ', utc), off_east_m, off_north_m, off_up_m, text FROM check_shots").fetchall()
        self.assertEqual(twice, [])
        # No two stays end at one second.
        self.assertEqual(len({shot[0] for shot in shots}), len(shots), shots)
        self.assertGreater(len(checks), self.rounds // 2)
        for utc, check in checks.items():
            self.assertIn((utc, check["off_east_m"], check["off_north_m"], check["off_up_m"], check["text"]), shots)
        if REDUCE:
            again = {p["point"]: p for p in self.recompute(self.folder / "config.toml")}
            for name, point in acknowledged.items():
                self.assertEqual({k: again[name][k] for k in point}, point)
        print(f"{self.rounds} kills, {len(acknowledged)} points and {len(checks)} checks acknowledged, {len(listed) - len(acknowledged)} and {len(shots) - len(checks)} more in the book")


if __name__ == "__main__":
    numbers = [int(a) for a in sys.argv[1:] if a.isdigit()]
    Kill.rounds, Kill.seed = (numbers + [Kill.rounds, Kill.seed][len(numbers):])[:2]
    unittest.main(argv=[a for a in sys.argv if not a.isdigit()])
