"""Serial ports as they fail in the field, and several receivers: each fault has its sentence, each link comes back.

The waits of the links are ten times shorter here (`--timer-speed`), nothing else is.
"""

import fcntl
import os
import shutil
import tempfile
import termios
import threading
import tty
import unittest
from pathlib import Path
from unittest import mock

import harness
from harness import ProcessTest, Receiver, second

SPEED = ("--timer-speed", "10")
NOBODY = 65534


def is_open(status):
    return status["feed"]["state"] == "open"


def is_waiting(words):
    return lambda s: s["feed"]["state"] == "waiting" and words in (s["feed"]["what"] or "")


def alert_says(words):
    def found(status):
        return any(a["key"] == "feed-unavailable" and words in a["text"] for a in status["alerts"])

    return found


class Terminal:
    """A pseudo-terminal that stands for a receiver; sends a second twenty times a second until it is closed."""

    def __init__(self, line=lambda terminal, i: second(i).encode()):
        self.master, slave = os.openpty()
        tty.setraw(slave)
        self.name = os.ttyname(slave)
        os.close(slave)
        self.line = line
        self.stop = threading.Event()
        self.sender = None

    def rate(self):
        return termios.tcgetattr(self.master)[5]

    def send(self, first=0):
        def run():
            os.set_blocking(self.master, False)
            i = first
            while not self.stop.wait(0.05):
                try:
                    os.write(self.master, self.line(self, i))
                except BlockingIOError:
                    pass
                i += 1

        self.sender = threading.Thread(target=run)
        self.sender.start()

    def close(self):
        self.stop.set()
        if self.sender:
            self.sender.join()
            self.sender = None
        if self.master is not None:
            os.close(self.master)
            self.master = None


class Ports(ProcessTest):
    def terminal(self, **options):
        terminal = Terminal(**options)
        self.cleanup.callback(terminal.close)
        return terminal

    def serve(self, device, baud="115200", **process):
        self.configure(f'kind = "serial"\ndevice = "{device}"\nbaud = {baud}')
        self.start("config.toml", *SPEED, **process)
        return self.client()

    def test_unplugged_then_gone_then_back_under_another_name(self):
        node = self.folder / "usb-receiver-by-id"
        terminal = self.terminal()
        node.symlink_to(terminal.name)
        client = self.serve(node)
        terminal.send()
        client.until("open", is_open)
        node.unlink()
        terminal.close()
        client.until("the alert of a missing port", alert_says("is the receiver plugged in"))
        again = self.terminal()
        node.symlink_to(again.name)
        again.send(100)
        status = client.until("open again", is_open)
        self.assertEqual([a["key"] for a in status["alerts"] if a.get("until_utc") is None and a["key"] == "feed-unavailable" and not a["seen"]][1:], [])

    def test_busy_then_free(self):
        terminal = self.terminal()
        holder = os.open(terminal.name, os.O_RDWR | os.O_NOCTTY)
        fcntl.flock(holder, fcntl.LOCK_EX)
        client = self.serve(terminal.name)
        client.until("busy", alert_says("in use by another program"))
        terminal.send()
        os.close(holder)
        client.until("open", is_open)

    def test_the_daemon_holds_its_port_alone(self):
        terminal = self.terminal()
        client = self.serve(terminal.name)
        terminal.send()
        client.until("open", is_open)
        with self.assertRaises(OSError):
            other = os.open(terminal.name, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
            fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)

    @unittest.skipUnless(os.geteuid() == 0, "only root can give a port and a folder to others")
    def test_permission_denied_names_the_group_then_is_granted(self):
        # The checkout, and the temporary folder of the one who tests, may lie where nobody else may enter.
        self.folder = Path(self.cleanup.enter_context(tempfile.TemporaryDirectory(prefix="stillpoint-", dir="/tmp")))
        own_copy = shutil.copy(harness.DAEMON, self.folder / "stillpointd")
        self.cleanup.enter_context(mock.patch.object(harness, "DAEMON", own_copy))
        terminal = self.terminal()
        os.chmod(terminal.name, 0o600)
        os.chown(self.folder, NOBODY, NOBODY)
        client = self.serve(terminal.name, user=NOBODY, group=NOBODY, extra_groups=[])
        client.until("refused", alert_says("may not be opened; join its group"))
        os.chmod(terminal.name, 0o666)
        terminal.send()
        client.until("open", is_open)

    def test_a_port_that_never_says_anything(self):
        terminal = self.terminal()
        client = self.serve(terminal.name)
        client.until("silence", alert_says("no bytes for 10 s; is the receiver on and set to send here?"))
        terminal.send()
        client.until("open", is_open)

    def test_bytes_at_the_wrong_rate_are_told_from_silence_and_from_a_stream(self):
        self.noise = True

        def line(_, i):
            return b"\x00\xff\x80\x9c$\xfe" * 20 if self.noise else second(i).encode()

        terminal = self.terminal(line=line)
        client = self.serve(terminal.name, baud=9600)
        terminal.send()
        status = client.until("the wrong rate", alert_says("bytes come, but no NMEA sentence in 10 s; is 9600 baud the receiver's rate"))
        self.assertEqual(status["counters"]["bytes"], 0)
        self.noise = False
        client.until("open", is_open)

    def test_the_rate_is_found(self):
        terminal = self.terminal(line=lambda t, i: second(i).encode() if t.rate() == termios.B38400 else b"\xf8\x80\x00~" * 30)
        client = self.serve(terminal.name, baud='"auto"')
        terminal.send()
        status = client.until("epochs", lambda s: is_open(s) and s["counters"]["epochs"] >= 3)
        self.assertEqual(terminal.rate(), termios.B38400)
        # What was read at the wrong rates is no damage of the stream.
        self.assertLess(status["counters"]["garbage_bytes"], 200)

    def test_no_rate_brings_a_sentence(self):
        terminal = self.terminal(line=lambda t, i: b"\xf8\x80\x00~" * 30)
        client = self.serve(terminal.name, baud='"auto"')
        terminal.send()
        client.until("no rate", alert_says("no NMEA sentence at any usual rate"))

    def test_a_bridged_bluetooth_node_is_closed_at_once_and_opened_anew(self):
        node = self.folder / "rfcomm0"
        terminal = self.terminal()
        node.symlink_to(terminal.name)
        client = self.serve(node)
        terminal.send()
        client.until("open", is_open)
        again = self.terminal()
        node.unlink()
        node.symlink_to(again.name)
        terminal.close()
        client.until("the drop", is_waiting("the Bluetooth link dropped"))
        again.send(100)
        client.until("open again", is_open)

    def test_one_empty_read_is_an_idle_line_and_many_in_a_second_are_a_port_that_hung_up(self):
        for ends, gone in ((1, False), (20, True)):
            with self.subTest(ends):
                terminal = self.terminal()
                self.configure(f'kind = "serial"\ndevice = "{terminal.name}"\nbaud = 115200', socket=f"control-{ends}", pointbook=f"{ends}.gpkg", record=f"record-{ends}")
                self.start("config.toml", *SPEED)
                client = self.client(self.folder / f"control-{ends}")
                os.write(terminal.master, second(0).encode())
                client.until("open", is_open)
                # In lines, as a keyboard gives them: this character ends a read with nothing in it.
                lines = termios.tcgetattr(terminal.master)
                lines[3] |= termios.ICANON
                termios.tcsetattr(terminal.master, termios.TCSANOW, lines)
                os.write(terminal.master, b"\x04" * ends)
                if gone:
                    client.until("the hang-up", is_waiting("the port hung up; is the cable in and the receiver on?"))
                    continue
                os.write(terminal.master, second(1).encode() + second(2).encode())
                status = client.until("epochs", lambda s: s["counters"].get("epochs", 0) >= 2)
                self.assertTrue(is_open(status))
                self.assertNotIn({"event": "cut"}, self.journal_commands())

    def test_listing_the_ports_opens_none_and_says_what_is_there(self):
        done = self.run_daemon("--list-ports")
        self.assertEqual(done.returncode, 0)
        self.assertTrue(done.stdout.strip())


class SeveralReceivers(ProcessTest):
    def setUp(self):
        super().setUp()
        self.first, self.second = Receiver(), Receiver()
        self.cleanup.callback(self.first.close)
        self.cleanup.callback(self.second.close)
        feeds = [f'[[feed]]\nkind = "tcp"\nhost = "127.0.0.1"\nport = {r.port}\nsilence_s = 5.0' for r in (self.first, self.second)]
        self.configure("\n".join(feeds))
        self.start("config.toml", *SPEED)
        self.client_ = self.client()
        self.links = [self.first.accept(), self.second.accept()]
        for link in self.links:
            self.cleanup.callback(link.close)
        self.sending = [True, True]
        self.stop = threading.Event()
        sender = threading.Thread(target=self.send)
        sender.start()
        self.cleanup.callback(sender.join)
        self.cleanup.callback(self.stop.set)

    def send(self):
        i = 0
        while not self.stop.wait(0.05):
            for which, link in enumerate(self.links):
                if self.sending[which]:
                    # The second receiver is told by its height of 7 decimals of a minute further north.
                    link.sendall(second(i, minutes=f"36.{which}{i * 7 % 11:06d}").encode())
            i += 1

    def uses(self, which):
        port = (self.first, self.second)[which].port
        return lambda s: is_open(s) and str(port) in s["feed"]["what"].split(" (")[0]

    def test_the_second_takes_over_on_silence_and_the_first_comes_back_between_stays(self):
        client = self.client_
        client.until("the first", self.uses(0))
        client.call("begin", name="HF-1")
        client.until("seconds", lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= 2)
        self.sending[0] = False
        status = client.until("the second", self.uses(1))
        self.assertIn("feed 2 of 2, in place of: ", status["feed"]["what"])
        client.until("the point", lambda s: s["store"]["stored"] == 1)
        self.assertEqual(self.rows("SELECT name, status FROM points"), [("HF-1", "held")])
        # While a stay is open nothing changes, however well the first is again.
        client.call("begin", name="HF-2")
        self.sending[0] = True
        client.until("a longer stay", lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= 40)
        self.assertTrue(self.uses(1)(client.call("status")))
        client.call("keep")
        status = client.until("the first again", self.uses(0))
        self.assertIn("feed 1 of 2, well again", status["feed"]["what"])
        client.until("both points", lambda s: s["store"]["stored"] == 2)
        # Events come to the pointbook behind points.
        told = "SELECT count(*) FROM events WHERE kind = 'feed' AND text LIKE "
        self.look_until("the way back", lambda: self.rows(told + "'%well again%'") == [(1,)])
        self.assertEqual(self.rows(told + "'%in place of%'"), [(1,)])


if __name__ == "__main__":
    unittest.main()
