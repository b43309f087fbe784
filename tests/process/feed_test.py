"""Live links: refused, dropped, silent, flooding; a pseudo-terminal; datagrams."""

import os
import socket
import threading
import time
import tty
import unittest

from harness import ProcessTest, Receiver, free_port, log_of, second


def is_open(status):
    return status["feed"]["state"] == "open"


def is_waiting(words):
    return lambda s: s["feed"]["state"] == "waiting" and words in (s["feed"]["what"] or "")


class Tcp(ProcessTest):
    def receiver(self, port=0):
        receiver = Receiver(port)
        self.cleanup.callback(receiver.close)
        return receiver

    def test_refused_then_there_then_dropped_in_a_sentence_then_back(self):
        port = free_port()
        self.configure_tcp(port)
        self.start()
        client = self.client()
        status = client.until("a refusal", is_waiting("connection refused"))
        self.assertIn("feed-unavailable", [a["key"] for a in client.until("the alert", lambda s: s["alerts"])["alerts"]])
        receiver = self.receiver(port)
        with receiver.accept() as link:
            client.until("a link that is up and silent", is_waiting("the link is up, and nothing has come over it yet"))
            for i in range(4):
                link.sendall(second(i).encode())
            client.until("open", is_open)
            client.until("three epochs", lambda s: s["counters"]["epochs"] >= 3)
            link.sendall(second(4).encode()[:40])
        client.until("the loss", is_waiting("closed the connection"))
        with receiver.accept() as link:
            for i in range(5, 9):
                link.sendall(second(i).encode())
            status = client.until("open again", lambda s: is_open(s) and s["counters"]["epochs"] >= 6)
        # The half sentence is counted, and never joined to what came after.
        self.assertEqual(status["counters"]["cut_short"], 1)
        self.assertEqual(status["counters"]["bad_checksum"], 0)
        self.assertIn({"event": "cut"}, self.journal_commands())

    def test_a_new_connection_is_open_with_its_own_first_sentence_and_not_before(self):
        receiver = self.receiver()
        self.configure_tcp(receiver.port)
        self.start()
        client = self.client()
        noise = b"\x00\xff\x80 no sentence \xfe"
        with receiver.accept() as link:
            link.sendall(second(0).encode())
            client.until("open", is_open)
        with receiver.accept() as link:
            link.sendall(noise)
        with receiver.accept() as link:
            link.sendall(second(1).encode() + second(2).encode())
            status = client.until("open again", lambda s: is_open(s) and s["counters"]["epochs"] >= 2)
        # What came before a sentence was of no use, and went with its connection.
        self.assertEqual(status["counters"]["garbage_bytes"], 0)
        recorded = b"".join(path.read_bytes() for path in sorted((self.folder / "record").glob("*.nmea")))
        self.assertEqual(recorded, log_of(3))

    def test_a_cut_during_an_occupation_holds_the_point(self):
        receiver = self.receiver()
        self.configure_tcp(receiver.port)
        self.start()
        client = self.client()
        client.call("begin", name="HF-1")
        with receiver.accept() as link:
            for i in range(8):
                link.sendall(second(i).encode())
            client.until("some seconds", lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= 3)
        client.until("the point", lambda s: s["store"]["stored"] == 1)
        self.assertEqual(self.rows("SELECT name, status FROM points"), [("HF-1", "held")])
        self.assertIn("interrupted", client.call("points")["points"][0]["reasons"])

    def test_a_receiver_that_says_nothing_is_told(self):
        receiver = self.receiver()
        self.configure_tcp(receiver.port)
        self.start()
        with receiver.accept():
            client = self.client()
            client.until("silence", is_waiting("no bytes for 10 s"))

    def test_a_host_that_is_not_there(self):
        self.configure('kind = "tcp"\nhost = "receiver.invalid"\nport = 9000')
        daemon = self.start()
        self.client().until("no host", is_waiting("host name cannot be found"))
        status, took_s = daemon.stop()
        self.assertEqual(status, 0)
        self.assertLess(took_s, 2.0)

    def test_ipv6(self):
        with socket.socket(socket.AF_INET6) as listener:
            try:
                listener.bind(("::1", 0))
            except OSError:
                self.skipTest("this machine has no IPv6 loopback")
            listener.listen()
            self.configure(f'kind = "tcp"\nhost = "::1"\nport = {listener.getsockname()[1]}')
            self.start()
            link, _ = listener.accept()
            with link:
                link.sendall(second(0).encode())
                self.client().until("open", is_open)

    def test_a_flood_neither_stops_the_answers_nor_loses_a_byte(self):
        receiver = self.receiver()
        self.configure_tcp(receiver.port)
        self.start()
        flood = log_of(20_000)
        client = self.client()
        with receiver.accept() as link:
            sender = threading.Thread(target=link.sendall, args=(flood,))
            sender.start()
            slowest_s = 0.0
            deadline = time.monotonic() + 60
            while time.monotonic() < deadline:
                began = time.monotonic()
                status = client.call("status")
                slowest_s = max(slowest_s, time.monotonic() - began)
                if status["counters"].get("bytes") == len(flood):
                    break
            sender.join()
        self.assertEqual(status["counters"]["bytes"], len(flood))
        self.assertEqual(status["counters"]["sentences"], flood.count(b"$"))
        self.assertLess(slowest_s, 1.0)
        recorded = b"".join(p.read_bytes() for p in sorted((self.folder / "record").glob("*.nmea")))
        self.assertEqual(recorded, flood)


class OtherLinks(ProcessTest):
    def test_a_pseudo_terminal_hangs_up_and_comes_back_under_another_name(self):
        node = self.folder / "receiver"
        master, slave = os.openpty()
        tty.setraw(slave)
        node.symlink_to(os.ttyname(slave))
        os.close(slave)
        self.configure(f'kind = "serial"\ndevice = "{node}"\nbaud = 115200')
        self.start()
        client = self.client()
        self.feed_until(client, master, 0, is_open)
        os.close(master)
        client.until("the hang-up", lambda s: s["feed"]["state"] == "waiting")
        keeper, _ = os.openpty()  # takes the old name
        self.cleanup.callback(os.close, keeper)
        master, slave = os.openpty()
        tty.setraw(slave)
        node.unlink()
        node.symlink_to(os.ttyname(slave))
        os.close(slave)
        self.feed_until(client, master, 100, is_open)
        os.close(master)

    def feed_until(self, client, master, first, condition):
        """A pseudo-terminal takes bytes before it is opened, so they are sent until they are seen."""
        stop = threading.Event()

        def send():
            i = first
            while not stop.wait(0.05):
                os.write(master, second(i).encode())
                i += 1

        sender = threading.Thread(target=send)
        sender.start()
        try:
            client.until("open", condition)
        finally:
            stop.set()
            sender.join()

    def test_no_such_port_and_no_serial_port(self):
        rows = [("missing", str(self.folder / "none"), "is the receiver plugged in"), ("a file", "/dev/null", "is not a serial port")]
        for name, device, words in rows:
            with self.subTest(name):
                self.configure(f'kind = "serial"\ndevice = "{device}"\nbaud = 9600')
                daemon = self.start()
                client = self.client()
                client.until(name, is_waiting(words))
                client.close()
                daemon.stop()

    def test_datagrams(self):
        port = free_port()
        self.configure(f'kind = "udp"\naddress = "127.0.0.1"\nport = {port}')
        self.start()
        client = self.client()
        client.until("silence", is_waiting("no datagrams for 10 s"))
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
            stop = threading.Event()

            def send():
                i = 0
                while not stop.wait(0.05):
                    sender.sendto(second(i).encode(), ("127.0.0.1", port))
                    i += 1

            thread = threading.Thread(target=send)
            thread.start()
            try:
                client.until("epochs", lambda s: is_open(s) and s["counters"]["epochs"] >= 2)
            finally:
                stop.set()
                thread.join()

    def datagrams(self, extra=""):
        port = free_port()
        self.configure(f'kind = "udp"\naddress = "127.0.0.1"\nport = {port}\nsilence_s = 0.5{extra}')
        self.start()
        return port, self.client()

    def sender(self, address="127.0.0.1"):
        out = self.cleanup.enter_context(socket.socket(socket.AF_INET, socket.SOCK_DGRAM))
        out.bind((address, 0))
        return out

    def send_until(self, port, what, condition, *senders):
        """Every sender a second of its own in turn, until the condition holds."""
        client, stop = self.client(), threading.Event()

        def send():
            while not stop.wait(0.05):
                for one in senders:
                    one.sendto(second(self.sent).encode(), ("127.0.0.1", port))
                    self.sent += 1

        thread = threading.Thread(target=send)
        thread.start()
        try:
            return client.until(what, condition)
        finally:
            stop.set()
            thread.join()

    def test_another_sender_of_datagrams_is_a_cut_and_told(self):
        def told(words):
            return lambda s: any(a["key"] == "sender-changed" and words in a["text"] for a in s["alerts"])

        self.sent = 0
        port, client = self.datagrams()
        first, other = self.sender(), self.sender()
        self.send_until(port, "epochs", lambda s: is_open(s) and s["counters"]["epochs"] >= 2, first)
        self.assertFalse(told("")(client.call("status")))
        status = self.send_until(port, "two at once", told("two senders at once"), first, other)
        self.assertEqual(next(a["severity"] for a in status["alerts"] if a["key"] == "sender-changed"), "warning")
        self.send_until(port, "another", told(f"come from 127.0.0.1 port {other.getsockname()[1]} now"), other)
        self.assertIn("cut", [c.get("event") for c in self.journal_commands()])

    def test_datagrams_of_others_than_from_are_left_out(self):
        self.sent = 0
        port, client = self.datagrams('\nfrom = "127.0.0.2"')
        other, right = self.sender("127.0.0.3"), self.sender("127.0.0.2")
        told = lambda s: any("127.0.0.3" in a["text"] and "left out" in a["text"] for a in s["alerts"])
        status = self.send_until(port, "left out", told, other)
        self.assertEqual(status["counters"]["epochs"], 0)
        self.send_until(port, "epochs", lambda s: is_open(s) and s["counters"]["epochs"] >= 2, right, other)


if __name__ == "__main__":
    unittest.main()
