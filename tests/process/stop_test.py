"""Stopping: nothing collected is lost, two seconds are enough, a second signal needs none."""

import contextlib
import os
import signal
import sqlite3
import subprocess
import time
import unittest

from harness import DAEMON, ProcessTest, log_of


def enough(status):
    return status["occupation"] is not None and status["occupation"]["enough"]


def counted(n):
    return lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= n


class Stopping(ProcessTest):
    def setUp(self):
        super().setUp()
        self.configure_replay(log_of(3000), pace="10")
        self.daemon = self.start()
        self.client_ = self.client()

    def test_an_open_occupation_is_kept_as_held(self):
        for number in (signal.SIGTERM, signal.SIGINT):
            with self.subTest(number.name):
                name = number.name
                self.client_.call("begin", name=name)
                self.client_.until("seconds", counted(8))
                status, took_s = self.daemon.stop(number)
                self.assertEqual(status, 0, self.daemon.log_text())
                self.assertLess(took_s, 2.0)
                self.assertEqual(self.rows(f"SELECT status FROM points WHERE name = '{name}'"), [("held",)])
                self.assertFalse((self.folder / "control").exists())
                self.daemon = self.start()
                self.client_ = self.client()
                held = [p for p in self.client_.call("points")["points"] if p["point"] == name]
                self.assertIn("interrupted", held[0]["reasons"])

    def test_started_and_stopped_are_events_of_the_pointbook(self):
        self.daemon.stop()
        kinds = [kind for (kind,) in self.rows("SELECT kind FROM events")]
        self.assertEqual((kinds.count("started"), kinds.count("stopped")), (1, 1), kinds)

    def test_followers_see_the_end_of_the_connection(self):
        self.client_.call("follow")
        self.daemon.stop()
        while self.client_.read_message() is not None:
            pass


class LogThatNobodyReads(ProcessTest):
    def test_the_daemon_works_and_stops_although_standard_error_takes_nothing(self):
        reader, writer = os.pipe()
        self.cleanup.callback(os.close, reader)
        self.cleanup.callback(os.close, writer)
        os.set_blocking(writer, False)
        with contextlib.suppress(BlockingIOError):
            while True:
                os.write(writer, b"x" * 4096)
        os.set_blocking(writer, True)
        self.configure_replay(log_of(3000), pace="10")
        process = subprocess.Popen([DAEMON, "--config", str(self.folder / "config.toml")], stdout=subprocess.PIPE, stderr=writer)
        self.cleanup.callback(process.stdout.close)
        self.cleanup.callback(process.wait)
        self.cleanup.callback(process.kill)
        self.assertTrue(process.stdout.readline().startswith(b"ready"))
        client = self.client()
        client.call("begin", name="ST-1")
        client.until("seconds", counted(8))
        client.call("keep")
        process.send_signal(signal.SIGTERM)
        self.assertEqual(process.wait(60), 0)
        self.assertEqual(self.rows("SELECT name FROM points"), [("ST-1",)])


class BusyPointbook(ProcessTest):
    def setUp(self):
        super().setUp()
        self.configure_replay(log_of(3000), pace="10")
        self.daemon = self.start()
        self.client_ = self.client()
        self.client_.call("begin", name="HF-1")
        self.client_.until("enough", enough)
        self.holder = self.cleanup.enter_context(contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg", isolation_level=None)))
        # As a GIS does while it draws: a read transaction that stays open.
        self.holder.execute("BEGIN")
        self.holder.execute("SELECT count(*) FROM points").fetchone()
        self.assertEqual(self.client_.call("keep")["storage"], "spooled")

    def release(self):
        self.holder.execute("ROLLBACK")

    def test_a_point_waits_in_the_spool_and_is_stored_when_the_book_is_free(self):
        status = self.client_.until("the alert", lambda s: "store-waiting" in [a["key"] for a in s["alerts"]])
        self.assertEqual(status["store"], {"spooled": 1, "stored": 0, "waiting": 1})
        self.release()
        self.client_.until("stored", lambda s: s["store"] == {"spooled": 1, "stored": 1, "waiting": 0})
        self.assertEqual(self.rows("SELECT name FROM points"), [("HF-1",)])

    def test_a_stop_leaves_it_in_the_spool_for_the_next_start(self):
        status, took_s = self.daemon.stop()
        self.assertEqual(status, 0, self.daemon.log_text())
        self.assertLess(took_s, 2.0)
        self.assertEqual(self.rows("SELECT count(*) FROM points"), [(0,)])
        self.release()
        self.start()
        client = self.client()
        self.assertEqual(client.refusal("begin", name="HF-1")["code"], 1)
        client.until("nothing waits", lambda s: s["store"]["waiting"] == 0)
        self.assertEqual(self.rows("SELECT name, version FROM points"), [("HF-1", 1)])

    def test_a_second_signal_ends_it_at_once_and_loses_nothing(self):
        self.daemon.process.send_signal(signal.SIGTERM)
        # The first signal was taken once the socket is gone.
        self.look_until("the first signal", lambda: not (self.folder / "control").exists())
        began = time.monotonic()
        self.daemon.process.send_signal(signal.SIGTERM)
        self.daemon.process.wait(10)
        self.assertLess(time.monotonic() - began, 1.0)
        self.release()
        self.start()
        self.client().until("nothing waits", lambda s: s["store"]["waiting"] == 0)
        self.assertEqual(self.rows("SELECT name FROM points"), [("HF-1",)])


class Killed(ProcessTest):
    def test_an_open_stay_survives_kill_9_as_a_held_point(self):
        self.configure_replay(log_of(3000), pace="1")
        daemon = self.start()
        client = self.client()
        client.call("begin", name="OPEN")
        client.until("ten seconds", counted(10))
        daemon.process.kill()
        daemon.process.wait()
        self.start()
        client = self.client()
        client.until("stored", lambda s: s["store"]["stored"] == 1)
        (point,) = client.call("points")["points"]
        self.assertEqual((point["point"], point["status"]), ("OPEN", "held"))
        self.assertIn("interrupted", point["reasons"])
        self.assertGreaterEqual(point["epochs_used"], 10 - 5)
        self.assertEqual(self.rows("SELECT count(*) FROM epochs")[0][0], point["epochs_used"] + point["epochs_refused"])
        self.assertEqual(self.rows("SELECT count(*) FROM events WHERE kind = 'recovered'"), [(1,)])
        self.assertEqual(client.refusal("begin", name="OPEN")["code"], 1)
        self.look_until("nothing left over", lambda: not (self.folder / "trial.gpkg.open").exists())

    def test_a_stay_that_was_discarded_does_not_come_back(self):
        self.configure_replay(log_of(3000), pace="2")
        daemon = self.start()
        client = self.client()
        client.call("begin", name="OPEN")
        self.look_until("it is saved", lambda: (self.folder / "trial.gpkg.open").exists())
        client.call("discard")
        self.look_until("it is forgotten", lambda: not (self.folder / "trial.gpkg.open").exists())
        daemon.process.kill()
        daemon.process.wait()
        self.start()
        self.assertEqual(self.client().call("points")["points"], [])

    def test_an_acknowledged_point_survives_kill_9(self):
        self.configure_replay(log_of(3000), pace="20")
        for i in range(5):
            daemon = self.start()
            client = self.client()
            name = f"HF-{i}"
            client.call("begin", name=name)
            client.until("enough", enough)
            client.call("keep")
            daemon.process.kill()
            daemon.process.wait()
        self.start()
        client = self.client()
        client.until("nothing waits", lambda s: s["store"]["waiting"] == 0)
        self.assertEqual([n for (n,) in self.rows("SELECT name FROM points ORDER BY name")], [f"HF-{i}" for i in range(5)])


if __name__ == "__main__":
    unittest.main()
