"""A disk that fills: a warning first, then the day ends in good order, and goes on when there is room again.

On a small file system of memory, where this user may mount one.
"""

import contextlib
import hashlib
import os
import sqlite3
import subprocess
import threading
import unittest

from harness import ProcessTest, Receiver, log_of, second

REDUCE = os.environ.get("STILLPOINT_REDUCE")


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
        self.daemon = self.start()
        self.client_ = self.client()
        link = self.cleanup.enter_context(self.receiver.accept())
        self.stop = threading.Event()
        sender = threading.Thread(target=self.send, args=(link,))
        sender.start()
        self.cleanup.callback(sender.join)
        self.cleanup.callback(self.stop.set)

    def send(self, link):
        i = 0
        while not self.stop.wait(0.1):
            try:
                link.sendall(second(i).encode())
            except OSError:
                return
            i += 1

    def fill(self, free_mib):
        info = os.statvfs(self.folder)
        size = info.f_bavail * info.f_frsize - int(free_mib * 1024 * 1024)
        with open(self.folder / "holiday-pictures", "ab") as file:
            file.write(b"\0" * max(0, size))

    def seconds(self, count):
        wanted = self.client_.call("status")["counters"]["epochs"] + count
        self.client_.until("the seconds", lambda s: s["counters"]["epochs"] >= wanted)

    def test_a_warning_then_a_stop_in_good_order_then_on_again(self):
        client = self.client_
        self.seconds(8)
        client.call("occupy", name="EARLY")
        self.seconds(10)
        client.call("keep")
        self.fill(25)
        client.until("the warning", has_alert("disk-low"))
        self.seconds(3)
        client.call("occupy", name="HF-1")
        self.seconds(12)
        self.fill(8)
        client.until("the stop", has_alert("disk-full"))
        status = client.until("the point", lambda s: s["store"]["stored"] == 2)
        self.assertIsNone(status["occupation"])
        self.assertEqual(self.rows("SELECT name, status FROM points ORDER BY name"), [("EARLY", "accepted"), ("HF-1", "accepted")])
        self.assertIn("the disk is full", client.refusal("occupy", name="HF-2")["message"])
        # The record was closed and sealed; what comes now is judged but not recorded.
        sums = self.look_until("the checksum file", lambda: sorted((self.folder / "record").glob("*.sha256")))
        recorded = self.recorded()
        self.seconds(5)
        self.assertEqual(self.recorded(), recorded)
        os.unlink(self.folder / "holiday-pictures")
        client.until("room again", lambda s: not has_alert("disk-full")(s))
        self.seconds(8)
        client.call("occupy", name="HF-2")
        self.seconds(12)
        client.call("keep")
        client.until("three points", lambda s: s["store"]["stored"] == 3)
        self.daemon.stop()
        self.assertEqual(len(sorted((self.folder / "record").glob("*.sha256"))), len(sums) + 1)
        with contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg")) as book:
            self.assertEqual(book.execute("PRAGMA integrity_check").fetchall(), [("ok",)])
        if REDUCE:
            logs = [f"--log={p}" for p in sorted((self.folder / "record").glob("*.nmea"))]
            done = subprocess.run([REDUCE, "--config", str(self.folder / "config.toml"), *logs], capture_output=True, text=True)
            points = [line for line in done.stdout.splitlines() if line.startswith('{"point"')]
            self.assertEqual([p.split('"')[3] for p in points], ["EARLY", "HF-1", "HF-2"], done.stdout + done.stderr)
            self.assertEqual(subprocess.run([REDUCE, "--verify", *logs]).returncode, 0)

    def recorded(self):
        return sum(p.stat().st_size for p in (self.folder / "record").glob("*.nmea"))


@unittest.skipUnless(REDUCE, "stillpoint-reduce is not built")
class Checksums(ProcessTest):
    def verify(self):
        logs = sorted((self.folder / "record").glob("*.nmea"))
        return subprocess.run([REDUCE, "--verify", *(f"--log={p}" for p in logs)], capture_output=True, text=True)

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
