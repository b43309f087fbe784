"""A day that is attacked: a crew that works until the daemon is gone, what it was told is safe, and the proof that it is.

`Work` remembers every answer of `keep`, `resolve` and `close_day`. `AttackedDay.prove` starts the daemon once more, lets it
end in good order, and holds the pointbook, the record and both recomputations against those answers.
"""

import contextlib
import json
import os
import shutil
import sqlite3
import subprocess
import threading

from harness import DEADLINE_S, OFFICE, REDUCE, Client, Daemon, ProcessTest, Receiver, log_of

# VM-11 is where the receiver stands.
MARKS = """name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m,recovered
VM-11,EPSG:6319,2010.0,47.600000,-87.400000,146.429,ellipsoid,0.005,0.008,2026-05-02
"""
REDO = """by = "A. Brandvold"
reason = "a section of the pole was forgotten"
[[antenna]]
vertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }
"""
LATER = ("flags", "status", "reasons", "reason_texts")  # what a closing, a decision or a later visit may change
STAY_S = 15  # seconds sent for each stay; eight are enough to keep


class Work:
    """Points, checks, decisions by hand and closings, and which of them were answered."""

    def __init__(self, dice):
        self.dice = dice
        self.number = self.sent = 0
        self.points, self.checks, self.closings, self.decided = {}, {}, [], {}
        self.failure = None
        self.answers = 0

    def until_gone(self, socket_path, receiver):
        """Works until the daemon is gone; anything else that goes wrong is kept in `failure`."""
        try:
            with receiver.accept() as link, contextlib.closing(Client(socket_path)) as client:
                while True:
                    self.one_round(client, link)
        except (OSError, ValueError):
            pass  # the daemon was killed
        except AssertionError as error:
            if "closed the connection" not in str(error) and "went away" not in str(error):
                self.failure = error

    def seconds(self, client, link):
        link.sendall(log_of(STAY_S, first=self.sent))
        self.sent += STAY_S
        client.until("some seconds", lambda s: s["occupation"] is None or s["occupation"]["accepted"] >= 8)

    def one_round(self, client, link):
        name = self.begin(client)
        if self.dice.random() < 0.1:
            client.call("discard")
            return
        self.seconds(client, link)
        self.hear(client.call("keep"))
        if self.dice.random() < 0.3:
            self.hear(client.call("resolve", name=name, accept=False, reason="the wrong culvert"))
        client.call("check", mark="VM-11")
        self.seconds(client, link)
        self.hear(client.call("keep"))
        if self.dice.random() < 0.5:
            self.hear(client.request("close_day", leave_held="the office decides").get("result"))

    def begin(self, client):
        """What was open or unanswered when the daemon went is measured again."""
        name = f"K-{self.number}"
        if "error" in client.request("begin", name=name):  # it was recovered, or kept and never answered
            client.call("begin", name=name, again=True)
        self.number += 1 if self.dice.random() < 0.9 else 0
        return name

    def hear(self, result):
        """An answer; what it promises must be there whatever happens."""
        self.answers += 1
        if not isinstance(result, dict):
            return
        if "storage" in result:
            point = result["point"]
            self.points[point["point"], point["visit"]] = point
        elif "point" in result:
            point = result["point"]
            self.decided[point["point"], point["visit"]] = point["status"]
        elif set(result) == {"check"}:
            self.checks[result["check"]["utc"]] = result["check"]
        elif "counts" in result:
            self.closings.append(result)


class AttackedDay(ProcessTest):
    """`self.work` is what the crew does; `self.home` the folder of book and record."""

    def begin_day(self, dice, folder=None):
        self.home = folder or self.folder
        self.work = Work(dice)
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        (self.folder / "marks.csv").write_text(MARKS)
        (self.folder / "redo.toml").write_text(REDO)
        inside = lambda name: str(self.home / name)
        self.configure_tcp(self.receiver.port, pointbook=inside("trial.gpkg"), record=inside("record"))
        config = self.folder / "config.toml"
        # A busy machine may keep the receiver waiting for longer than a real one is silent.
        config.write_text(config.read_text().replace("silence_s = 3.0", "silence_s = 600.0") + '\n[checks]\nmarks = "marks.csv"\n')

    def start_work(self, **process):
        """A daemon and a thread that works; join it once the daemon is gone."""
        self.forget_callers()
        daemon = self.start(**process)
        worker = threading.Thread(target=self.work.until_gone, args=(self.folder / "control", self.receiver))
        worker.start()
        return daemon, worker

    def forget_callers(self):
        """Whoever called the receiver and is gone by now."""
        self.receiver.listener.settimeout(0)
        with contextlib.suppress(BlockingIOError):
            while True:
                self.receiver.listener.accept()[0].close()
        self.receiver.listener.settimeout(5)

    def office(self, *arguments):
        return subprocess.run([OFFICE, *map(str, arguments)], capture_output=True, text=True, timeout=DEADLINE_S)

    def office_holds(self, verb, *arguments, book="trial.gpkg"):
        done = self.office(verb, *arguments, "--config", self.folder / "config.toml", "--pointbook", self.home / book)
        self.assertEqual(done.returncode, 0, f"{verb}: {done.stdout[-3000:]}{done.stderr[-3000:]}")
        return done.stdout

    def prove(self):
        """Everything that was answered is there once, and the record gives it again."""
        if self.work.failure:
            raise self.work.failure
        left = self.logs()
        daemon = Daemon(self.folder, arguments=("--timer-speed", "0.1"))  # its end in good order has time on a busy machine
        try:
            daemon.ready()
            with contextlib.closing(Client(self.folder / "control")) as client:
                client.until("stored", lambda s: s["store"]["waiting"] == 0)
                alerts = [a for a in client.call("alerts")["alerts"] if a["key"] in ("points-missing", "spool-failed", "record-failed")]
                self.assertEqual(alerts, [])
                listed = client.call("points")["points"]
                self.look_until("the sums of earlier pairs", lambda: all(log.with_suffix(".sha256").exists() for log in left))
            self.assertEqual(daemon.stop()[0], 0, daemon.log_text()[-2000:])
        finally:
            daemon.close()
        self.check_book(listed)
        if sum(log.stat().st_size for log in self.logs()) == 0:
            self.assertEqual((self.work.points, self.work.checks), ({}, {}), "points without a record")
            return
        if REDUCE:
            self.check_recomputed()
        if OFFICE:
            self.check_second_look()

    def logs(self):
        return sorted((self.home / "record").glob("*.nmea"))

    def check_book(self, listed):
        names = [(p["point"], p["visit"], p["version"]) for p in listed]
        self.assertEqual(len(names), len(set(names)), "a point is listed twice")
        there = {(p["point"], p["visit"]): p for p in listed}
        for who, point in self.work.points.items():
            self.assertIn(who, there, "an acknowledged point is lost")
            changes = LATER if there[who]["version"] > 1 else ("flags",)
            for key in set(point) - set(changes):
                self.assertEqual(there[who][key], point[key], (who, key))
        for who, status in self.work.decided.items():
            self.assertEqual(there[who]["status"], status, (who, "a decision by hand is lost"))
        with contextlib.closing(sqlite3.connect(self.home / "trial.gpkg")) as book:
            self.assertEqual(book.execute("PRAGMA integrity_check").fetchall(), [("ok",)])
            self.assertEqual(book.execute("SELECT name, visit FROM points GROUP BY name, visit, version HAVING count(*) > 1").fetchall(), [])
            shots = book.execute("SELECT strftime('%Y-%m-%dT%H:%M:%SZ', utc), off_east_m, off_north_m, off_up_m, text FROM check_shots WHERE version = 1").fetchall()
            closings = book.execute("SELECT count(*) FROM events WHERE kind = 'day-closed'").fetchone()[0]
        # No two stays end at one second.
        self.assertEqual(len({shot[0] for shot in shots}), len(shots), shots)
        for utc, check in self.work.checks.items():
            self.assertIn((utc, check["off_east_m"], check["off_north_m"], check["off_up_m"], check["text"]), shots)
        self.assertGreaterEqual(closings, len(self.work.closings), "an acknowledged closing is lost")

    def check_recomputed(self):
        command = [REDUCE, "--config", str(self.folder / "config.toml"), "--log", *map(str, self.logs())]
        done = subprocess.run(command, capture_output=True, text=True, timeout=DEADLINE_S)
        self.assertIn(done.returncode, (0, 1), done.stderr)
        again = {(p["point"], p["visit"]): p for p in map(json.loads, done.stdout.splitlines()) if "point" in p}
        for who, point in self.work.points.items():
            self.assertIn(who, again, "not in the record")
            for key in set(point) - set(LATER):
                self.assertEqual(again[who][key], point[key], (who, key))

    def check_second_look(self):
        """The record verifies, and redoes in a copy of the book."""
        self.office_holds("verify")
        for suffix in ("", ".spool", ".open"):
            with contextlib.suppress(FileNotFoundError):
                shutil.copy(self.home / f"trial.gpkg{suffix}", self.home / f"redone.gpkg{suffix}")
        self.office_holds("redo", self.folder / "redo.toml", book="redone.gpkg")
        for path in self.home.glob("redone.gpkg*"):
            os.unlink(path)
