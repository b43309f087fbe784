"""A disk that fills: a warning first, then the day ends in good order, and goes on when there is room again.

On a small file system of memory, where this user may mount one.
"""

import contextlib
import errno
import hashlib
import os
import resource
import sqlite3
import subprocess
import threading
import unittest

from harness import OFFICE, ProcessTest, Receiver, log_of, second


def has_alert(key):
    return lambda s: any(a["key"] == key and not a.get("until_utc") for a in s["alerts"])


class SmallDisk(ProcessTest):
    def setUp(self):
        super().setUp()
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=48m", "none", str(self.folder)], capture_output=True)
        if mounted.returncode != 0:
            self.skipTest("this user may not mount a file system")
        self.cleanup.callback(subprocess.run, ["umount", "-l", str(self.folder)])
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.configure_tcp(self.receiver.port)
        config = (self.folder / "config.toml").read_text().replace("[alerts]", "[alerts]\ndisk_free_mib = 30")
        (self.folder / "config.toml").write_text(config)
        self.daemon = self.start("config.toml", "--timer-speed", "10")
        self.client_ = self.client()
        self.link = self.cleanup.enter_context(self.receiver.accept())
        self.stop = threading.Event()
        self.sending = threading.Lock()
        self.sent = 0
        sender = threading.Thread(target=self.send)
        sender.start()
        self.cleanup.callback(sender.join)
        self.cleanup.callback(self.stop.set)

    def send(self):
        while not self.stop.wait(0.05):
            try:
                with self.sending:
                    self.send_seconds(1)
            except OSError:
                return

    def send_seconds(self, count):
        self.link.sendall("".join(second(self.sent + i) for i in range(count)).encode())
        self.sent += count

    def fill(self, free_mib):
        info = os.statvfs(self.folder)
        size = info.f_bavail * info.f_frsize - int(free_mib * 1024 * 1024)
        file = os.open(self.folder / "holiday-pictures", os.O_WRONLY | os.O_APPEND | os.O_CREAT)
        try:
            while size > 0:
                size -= os.write(file, b"\0" * min(size, 1 << 20))
        except OSError as error:
            if error.errno != errno.ENOSPC or free_mib > 0:
                raise  # else the daemon took the last of it
        finally:
            os.close(file)

    def sent_later(self, count):
        """Whether so many more seconds were sent since the first call."""
        self.wanted = getattr(self, "wanted", self.sent + count)
        return self.sent >= self.wanted

    def seconds(self, count):
        wanted = self.client_.call("status")["counters"]["epochs"] + count
        self.client_.until("the seconds", lambda s: s["counters"]["epochs"] >= wanted)

    def test_a_warning_then_a_stop_in_good_order_then_on_again(self):
        client = self.client_
        self.seconds(8)
        client.call("begin", name="EARLY")
        self.seconds(10)
        client.call("keep")
        self.fill(25)
        client.until("the warning", has_alert("disk-low"))
        self.seconds(3)
        client.call("begin", name="HF-1")
        self.seconds(12)
        self.fill(8)
        client.until("the stop", has_alert("disk-full"))
        status = client.until("the point", lambda s: s["store"]["stored"] == 2)
        self.assertIsNone(status["occupation"])
        self.assertEqual(self.rows("SELECT name, status FROM points ORDER BY name"), [("EARLY", "accepted"), ("HF-1", "accepted")])
        self.assertIn("the disk is full", client.refusal("begin", name="HF-2")["message"])
        # The record was closed and sealed; what comes now is neither recorded nor judged, and the status says so.
        sums = self.look_until("the checksum file", lambda: sorted((self.folder / "record").glob("*.sha256")))
        recorded = self.recorded()
        client.until("the standstill", lambda s: s["feed"]["what"] == "the disk is full")
        epochs = client.call("status")["counters"]["epochs"]
        client.until("a second later", lambda s: s["feed"]["state"] == "waiting" and self.sent_later(10))
        self.assertEqual(self.recorded(), recorded)
        self.assertEqual(client.call("status")["counters"]["epochs"], epochs)
        self.assertIn("the disk is full", client.refusal("keep")["message"])
        os.unlink(self.folder / "holiday-pictures")
        client.until("room again", lambda s: not has_alert("disk-full")(s) and s["feed"]["state"] == "open")
        self.seconds(8)
        client.call("begin", name="HF-2")
        self.seconds(12)
        client.call("keep")
        client.until("three points", lambda s: s["store"]["stored"] == 3)
        live = self.listed(client)
        self.daemon.stop()
        self.assertEqual(len(sorted((self.folder / "record").glob("*.sha256"))), len(sums) + 1)
        with contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg")) as book:
            self.assertEqual(book.execute("PRAGMA integrity_check").fetchall(), [("ok",)])
        if OFFICE:
            self.assert_agree(live, self.recompute(self.folder / "config.toml"), 3)
            logs = [f"--log={p}" for p in sorted((self.folder / "record").glob("*.nmea"))]
            self.assertEqual(subprocess.run([OFFICE, "verify", *logs], stdout=subprocess.DEVNULL).returncode, 0)

    def test_a_disk_that_is_full_at_once_stops_the_day_through_a_failed_write(self):
        client = self.client_
        self.seconds(8)
        client.call("begin", name="HF-1")
        self.seconds(4)  # with what the last block may still take, too few for a point
        # More at once than the record's last block can still hold: nothing is written, and before anybody looks at the disk.
        with self.sending:
            self.fill(0)
            self.send_seconds(30)
        status = client.until("the stop", has_alert("disk-full"))
        self.assertFalse(has_alert("record-failed")(status))
        self.assertIsNone(client.call("status")["occupation"])
        os.unlink(self.folder / "holiday-pictures")
        status = client.until("room again", lambda s: not has_alert("disk-full")(s) and s["feed"]["state"] == "open" and s["store"]["stored"] == 1)
        self.assertFalse(has_alert("record-failed")(status))
        self.seconds(8)
        client.call("begin", name="HF-1", again=True)
        self.seconds(12)
        client.call("keep")
        client.until("two points", lambda s: s["store"]["stored"] == 2)
        live = self.listed(client)
        self.assertEqual(self.daemon.stop()[0], 0)
        self.assertEqual([p["status"] for p in live], ["held", "accepted"])
        if OFFICE:
            self.assert_agree(live, self.recompute(self.folder / "config.toml"), 2)

    def recorded(self):
        return sum(p.stat().st_size for p in (self.folder / "record").glob("*.nmea"))


# The daemon finds out by what fails, and not by looking.
NO_LOOK = ("--timer-speed", "0.1")


class BookDisk(ProcessTest):
    """The pointbook on a small disk of its own; the record lies elsewhere, where there is room."""

    def setUp(self):
        super().setUp()
        self.disk = self.folder / "book"
        self.disk.mkdir()
        if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=48m", "none", str(self.disk)], capture_output=True).returncode != 0:
            self.skipTest("this user may not mount a file system")
        self.cleanup.callback(subprocess.run, ["umount", "-l", str(self.disk)])
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.configure_tcp(self.receiver.port, pointbook="book/trial.gpkg")
        config = self.folder / "config.toml"
        config.write_text(config.read_text().replace("silence_s = 3.0", "silence_s = 600.0"))
        self.sent = 0

    def begin(self, *arguments):
        self.daemon = self.start("config.toml", *arguments)
        self.link = self.cleanup.enter_context(self.receiver.accept())
        self.client_ = self.client()
        return self.client_

    def seconds(self, count):
        wanted = self.client_.call("status")["counters"]["epochs"] + count - 1
        self.link.sendall(log_of(count, first=self.sent))
        self.sent += count
        self.client_.until("the seconds", lambda s: s["counters"]["epochs"] >= wanted)

    def fill(self, free_mib):
        """Leaves so much; returns how much there was to take."""
        info = os.statvfs(self.disk)
        room = info.f_bavail * info.f_frsize - int(free_mib * 1024 * 1024)
        if room > 0:
            with open(self.disk / "holiday-pictures", "ab", buffering=0) as file, contextlib.suppress(OSError):
                os.posix_fallocate(file.fileno(), file.tell(), room)
        return room

    def fill_up(self):
        """Not a byte is left, and nothing the daemon writes meanwhile gives some back."""
        (self.disk / "trial.gpkg.open.new" / "in the way").mkdir(parents=True)  # the open stay is not saved
        rooms = []
        self.look_until("no room", lambda: rooms.append(self.fill(0)) or not any(rooms[-5:]) and len(rooms) > 5)

    def stored(self):
        with contextlib.closing(sqlite3.connect(f"file:{self.disk / 'trial.gpkg'}?mode=ro", uri=True)) as book:
            return book.execute("SELECT name, status FROM points ORDER BY id").fetchall()

    def test_every_request_is_answered_and_what_is_lost_at_the_end_is_said(self):
        client = self.begin(*NO_LOOK)
        self.seconds(8)
        client.call("begin", name="EARLY")
        self.seconds(10)
        client.call("keep")
        client.until("stored", lambda s: s["store"]["stored"] == 1)
        client.call("begin", name="HF-1")
        self.seconds(500)  # more than what is left of the spool's last block
        self.fill_up()
        refused = client.refusal("keep")["message"]
        self.assertIn("not yet safe", refused)
        self.assertIn("no space is left", refused)
        client.until("the alert", has_alert("spool-failed"))
        for method, parameters in (("begin", {"name": "HF-2"}), ("check", {"mark": "ROCK"})):
            self.assertIn("points cannot be written: ", client.refusal(method, **parameters)["message"])
        refused = client.refusal("resolve", name="EARLY", accept=False, reason="a wrong pole")["message"]
        self.assertIn("no space is left", refused)
        self.seconds(5)  # the record lies elsewhere, and goes on
        self.assertEqual(client.call("status")["feed"]["state"], "open")
        status, took_s = self.daemon.stop()
        self.assertEqual(status, 3, self.daemon.log_text())
        self.assertLess(took_s, 2.0)
        for lost in ("HF-1 (visit 1)", "EARLY (visit 1)"):
            self.assertIn(f"LOST: {lost} could not be written", self.daemon.log_text())
        self.assertNotIn("safe in the spool", self.daemon.log_text())
        os.unlink(self.disk / "holiday-pictures")
        self.begin().until("nothing waits", lambda s: s["store"]["waiting"] == 0)
        self.assertEqual(self.stored()[0], ("EARLY", "accepted"))
        self.assertEqual(self.daemon.stop()[0], 0)

    def test_what_waits_in_memory_is_stored_when_there_is_room_again(self):
        client = self.begin()
        self.seconds(8)
        client.call("begin", name="HF-1")
        self.seconds(500)
        self.fill_up()
        self.assertIn("not yet safe", client.refusal("keep")["message"])
        client.until("the alert", has_alert("spool-failed"))
        os.unlink(self.disk / "holiday-pictures")
        client.until("it is safe", lambda s: s["store"]["stored"] == 1 and not has_alert("spool-failed")(s))
        client.until("the disk", lambda s: not has_alert("disk-full")(s))
        client.call("begin", name="HF-2")
        self.seconds(10)
        client.call("keep")
        self.assertEqual(self.daemon.stop()[0], 0)
        self.assertEqual(self.stored(), [("HF-1", "accepted"), ("HF-2", "accepted")])

    def test_a_disk_of_the_pointbook_that_fills_is_seen_before_nothing_can_be_written(self):
        client = self.begin("--timer-speed", "10")
        self.seconds(8)
        client.call("begin", name="HF-1")
        self.seconds(12)
        self.fill(8)
        status = client.until("the stop", has_alert("disk-full"))
        (alert,) = [a for a in status["alerts"] if a["key"] == "disk-full"]
        self.assertIn("8 MiB free on the disk of the pointbook", alert["text"])
        client.until("the point", lambda s: s["store"]["stored"] == 1)
        self.assertEqual(self.stored(), [("HF-1", "accepted")])
        self.assertIn("the disk is full", client.refusal("begin", name="HF-2")["message"])
        self.seconds(5)
        self.assertEqual(client.call("status")["feed"]["state"], "open")
        os.unlink(self.disk / "holiday-pictures")
        client.until("room again", lambda s: not has_alert("disk-full")(s))
        client.call("begin", name="HF-2")
        self.assertEqual(self.daemon.stop()[0], 0)


@unittest.skipUnless(OFFICE, "stillpoint-office is not built")
class FailingRecord(ProcessTest):
    """No file may grow beyond a limit, so that the record cannot be written while everything else can."""

    def test_live_and_recomputed_agree_when_the_record_fails_under_an_open_stay(self):
        receiver = Receiver()
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        daemon = self.start()
        client = self.client()
        sent = 0

        def send(link, seconds):
            nonlocal sent
            wanted = client.call("status")["counters"]["epochs"] + seconds - 1
            link.sendall(log_of(seconds, first=sent))
            sent += seconds
            client.until("the seconds", lambda s: s["counters"]["epochs"] >= wanted)

        with receiver.accept() as link:
            send(link, 1200)  # the record outgrows every other file
            client.call("begin", name="HF-1")
            send(link, 20)
            hard = resource.prlimit(daemon.process.pid, resource.RLIMIT_FSIZE)[1]
            (log,) = (self.folder / "record").glob("*.nmea")
            resource.prlimit(daemon.process.pid, resource.RLIMIT_FSIZE, (log.stat().st_size + 100, hard))
            link.sendall(log_of(3, first=sent))
            sent += 3
            status = client.until("the failure", has_alert("record-failed"))
            self.assertIsNone(status["occupation"])
            self.assertEqual(status["feed"]["what"], "the record cannot be written")
            for method, parameters in (("begin", {"name": "HF-2"}), ("keep", {}), ("discard", {}), ("antenna", {"height_m": 2.0, "reason": "a section more"})):
                self.assertIn("the record cannot be written", client.refusal(method, **parameters)["message"])
            link.sendall(log_of(3, first=sent))  # lost: nothing of it counts anywhere
            sent += 3
            self.assertTrue(has_alert("record-failed")(client.call("status")))
            link.close()
        resource.prlimit(daemon.process.pid, resource.RLIMIT_FSIZE, (hard, hard))
        with receiver.accept() as link:
            client.until("it goes on", lambda s: not has_alert("record-failed")(s))
            client.until("what was held is safe", lambda s: s["store"]["stored"] == 1)
            send(link, 20)
            client.call("begin", name="HF-1", again=True)
            send(link, 20)
            client.call("keep")
            client.until("stored", lambda s: s["store"]["stored"] == 2)
        live = self.listed(client)
        self.assertEqual(daemon.stop()[0], 0)
        self.assertEqual([p["status"] for p in live], ["held", "accepted"])
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), 2)
        self.assertIn({"event": "cut", "why": "the record cannot be written"}, self.journal_commands())
        logs = [f"--log={p}" for p in sorted((self.folder / "record").glob("*.nmea"))]
        self.assertEqual(subprocess.run([OFFICE, "verify", *logs], stdout=subprocess.DEVNULL).returncode, 0)


@unittest.skipUnless(OFFICE, "stillpoint-office is not built")
class Checksums(ProcessTest):
    def verify(self):
        logs = sorted((self.folder / "record").glob("*.nmea"))
        return subprocess.run([OFFICE, "verify", *(f"--log={p}" for p in logs)], capture_output=True, text=True)

    def test_each_pair_is_sealed_and_a_changed_byte_is_found(self):
        receiver = Receiver()
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        daemon = self.start()
        with receiver.accept() as link:
            link.sendall(log_of(5))
            self.client().until("epochs", lambda s: s["counters"]["epochs"] >= 4)
        # A crash leaves the pair without a checksum file; the next start makes it.
        daemon.process.kill()
        daemon.process.wait()
        self.assertEqual(list((self.folder / "record").glob("*.sha256")), [])
        self.assertEqual(self.verify().returncode, 1)
        daemon = self.start()
        (sums,) = self.look_until("the checksum file", lambda: list((self.folder / "record").glob("*.sha256")))
        for line in sums.read_text().splitlines():
            digest, name = line.split("  ")
            self.assertEqual(digest, hashlib.sha256((self.folder / "record" / name).read_bytes()).hexdigest())
        daemon.stop()
        self.assertEqual(self.verify().returncode, 0)
        log = sorted((self.folder / "record").glob("*.nmea"))[0]
        changed = bytearray(log.read_bytes())
        changed[100] ^= 1
        log.write_bytes(changed)
        done = self.verify()
        self.assertEqual(done.returncode, 1)
        self.assertIn("CHANGED", done.stdout)


if __name__ == "__main__":
    unittest.main()
