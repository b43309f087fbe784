"""Faults of real links, one after the other, against the daemon's own counters: nothing crashes, nothing sticks.

`STILLPOINT_SOAK_FAULTS=100` runs as many through each kind of link; the test itself runs few. Waits of the links are
twenty times shorter, nothing else is.
"""

import os
import random
import select
import tty
import unittest

from harness import ProcessTest, Receiver, second

FAULTS = int(os.environ.get("STILLPOINT_SOAK_FAULTS", "12"))
SPEED = ("--timer-speed", "20")
HALF = b"$GNGSA,A,3,01,02,03,04,05"


class TcpLink:
    def __init__(self, test):
        self.receiver = Receiver()
        test.cleanup.callback(self.receiver.close)
        self.feed = f'kind = "tcp"\nhost = "127.0.0.1"\nport = {self.receiver.port}'
        self.link = None

    def open(self):
        self.link = self.receiver.accept()

    def send(self, data):
        self.link.sendall(data)

    def close(self):
        self.link.close()

    def reopened(self):
        """The daemon gave the link up by itself and comes again."""
        self.link.close()
        self.open()


class TerminalLink:
    def __init__(self, test):
        self.node = test.folder / "receiver"
        self.feed = f'kind = "serial"\ndevice = "{self.node}"\nbaud = 115200'
        self.master = None
        self.make()
        test.cleanup.callback(lambda: os.close(self.master))

    def make(self):
        self.master, slave = os.openpty()
        tty.setraw(slave)
        if self.node.is_symlink():
            self.node.unlink()
        self.node.symlink_to(os.ttyname(slave))
        os.close(slave)
        self.is_open = True

    def open(self):
        if not self.is_open:
            self.make()

    def send(self, data):
        os.set_blocking(self.master, False)
        while data:
            _, writable, _ = select.select([], [self.master], [], 60)
            assert writable, "the daemon does not read its port"
            try:
                data = data[os.write(self.master, data[:1024]) :]
            except BlockingIOError:
                select.select([], [], [], 0.01)

    def close(self):
        # The new one first, so that its name is another.
        old = self.master
        self.make()
        os.close(old)

    def reopened(self):
        pass


class Soak(ProcessTest):
    def soak(self, link, seed):
        dice = random.Random(seed)
        self.configure(link.feed)
        daemon = self.start("config.toml", *SPEED)
        client = self.client()
        link.open()
        done = {"hang-up": 0, "half": 0, "garbage": 0, "stall": 0, "flood": 0}
        state = {"second": 0, "bytes": 0}

        def send(data):
            link.send(data)
            state["bytes"] += len(data)

        def seconds(count):
            for _ in range(count):
                send(second(state["second"]).encode())
                state["second"] += 1

        def caught_up(status):
            return status["counters"]["bytes"] == state["bytes"]

        seconds(3)
        client.until("the start", caught_up)
        garbage = 0
        for number in range(FAULTS):
            fault = dice.choice(sorted(done))
            done[fault] += 1
            if fault == "hang-up":
                link.close()
                client.until("the hang-up", lambda s: s["feed"]["state"] == "waiting")
                link.open()
            elif fault == "half":
                send(HALF)
                garbage += len(HALF)
            elif fault == "garbage":
                noise = bytes(dice.randrange(128, 256) for _ in range(dice.randrange(1, 3000)))
                send(noise)
                garbage += len(noise)
            elif fault == "stall":
                client.until("the link is given up", lambda s: s["feed"]["state"] == "waiting" and "no bytes" in s["feed"]["what"])
                link.reopened()
            else:
                seconds(50)
            seconds(3)
            client.until(f"all bytes after fault {number}, {fault}", caught_up)
        counters = client.call("status")["counters"]
        self.assertEqual(counters["cut_short"], done["half"])
        self.assertEqual(counters["garbage_bytes"], garbage)
        self.assertEqual(counters["bad_checksum"] + counters["no_checksum"] + counters["oversize"], 0)
        cuts = [c for c in self.journal_commands() if c.get("event") == "cut"]
        self.assertEqual(len(cuts), done["hang-up"] + done["stall"])
        recorded = sum(p.stat().st_size for p in (self.folder / "record").glob("*.nmea"))
        self.assertEqual(recorded, state["bytes"])
        status, took_s = daemon.stop()
        self.assertEqual(status, 0)
        self.assertLess(took_s, 2.0)
        print(f"{FAULTS} faults: {done}, {state['bytes']} bytes")

    def test_loopback_tcp(self):
        self.soak(TcpLink(self), 1)

    def test_a_pseudo_terminal(self):
        self.soak(TerminalLink(self), 2)


if __name__ == "__main__":
    unittest.main()
