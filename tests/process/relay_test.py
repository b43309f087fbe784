"""One link, many programs: all read the receiver's bytes, one may write, and its silence is not the receiver's."""

import os
import select
import socket
import unittest

from harness import ProcessTest, Receiver, free_port, second

NOBODY = 65534
SECRET = "a secret of twelve"


class Relay(ProcessTest):
    def setUp(self):
        super().setUp()
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.port = free_port()
        self.configure_tcp(self.receiver.port)
        with open(self.folder / "config.toml", "a") as config:
            config.write(f'\n[relay]\nlisten = "127.0.0.1:{self.port}"\nterminal = "shared"\nsilence_s = 1.0\ntoken = "{SECRET}"\n')
        self.start()
        self.client_ = self.client()
        self.link = self.receiver.accept()
        self.cleanup.callback(self.link.close)

    def program(self):
        program = socket.create_connection(("127.0.0.1", self.port), timeout=60)
        self.cleanup.callback(program.close)
        return program

    def counter(self, name, value):
        return self.client_.until(f"{name} {value}", lambda s: s["counters"].get(name) == value)

    def receive(self, program, size):
        got = b""
        while len(got) < size:
            piece = program.recv(65536)
            self.assertTrue(piece, "closed")
            got += piece
        return got

    def test_readers_get_the_bytes_as_they_are_and_what_one_writes_goes_to_the_receiver(self):
        programs = [self.program(), self.program()]
        self.counter("relay_readers", 2)
        sent = (second(0) + second(1)).encode() + b"\x00\xd3\x00\xff"
        self.link.sendall(sent)
        for program in programs:
            self.assertEqual(self.receive(program, len(sent)), sent)
        correction = b"\xd3\x00\x04\x4c\xe0\x00\x80\xed\xed\xd6" * 30
        programs[0].sendall(correction)
        self.assertEqual(self.receive(self.link, len(correction)), correction)
        self.counter("relay_bytes_to_receiver", len(correction))
        # Only one writes at a time.
        programs[1].sendall(b"another")
        self.counter("relay_bytes_refused", 7)

    def test_the_writers_silence_is_told_apart_from_the_receivers(self):
        writer = self.program()
        writer.sendall(b"corrections")
        self.receive(self.link, 11)

        def told(words):
            return lambda s: any(a["key"] == "relay-silent" and words in a["text"] for a in s["alerts"])

        status = self.client_.until("its silence", told("no correction bytes for 2 s"))
        self.assertNotIn("feed-silent", [a["key"] for a in status["alerts"]])
        self.client_.until("the seconds count", told("no correction bytes for 3 s"))
        writer.close()
        self.client_.until("that it is gone", told("which is gone"))
        again = self.program()
        again.sendall(b"more")
        self.client_.until("it is over", lambda s: not any(a["key"] == "relay-silent" and a["active"] for a in s["alerts"]))

    def test_a_pseudo_terminal_reads_and_writes(self):
        terminal = os.open(self.folder / "shared", os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
        self.cleanup.callback(os.close, terminal)
        self.link.sendall(second(0).encode())
        got = b""
        while len(got) < len(second(0)):
            select.select([terminal], [], [], 60)
            got += os.read(terminal, 4096)
        self.assertEqual(got, second(0).encode())
        os.write(terminal, b"\x00\x03\x04\x11\x13\x7f\r\n")
        self.assertEqual(self.receive(self.link, 8), b"\x00\x03\x04\x11\x13\x7f\r\n")

    def test_a_terminal_nobody_reads_holds_nothing_up(self):
        flood = "".join(second(i) for i in range(400)).encode()
        self.link.sendall(flood)
        self.client_.until("all of it", lambda s: s["counters"]["bytes"] == len(flood))
        terminal = os.open(self.folder / "shared", os.O_RDONLY | os.O_NOCTTY | os.O_NONBLOCK)
        self.cleanup.callback(os.close, terminal)
        try:
            old = os.read(terminal, 65536)
        except BlockingIOError:
            old = b""
        self.assertLess(len(old), 20_000)

    def test_a_reader_that_does_not_read_is_dropped_and_the_others_are_not(self):
        idle = socket.socket()
        idle.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        idle.connect(("127.0.0.1", self.port))
        self.cleanup.callback(idle.close)
        reader = self.program()
        self.counter("relay_readers", 2)
        block = "".join(second(i) for i in range(2000)).encode()
        for _ in range(20):
            self.link.sendall(block)
            self.receive(reader, len(block))
        status = self.counter("relay_readers_dropped", 1)
        self.assertEqual(status["counters"]["relay_readers"], 1)

    @unittest.skipUnless(os.geteuid() == 0, "only root can connect as another user")
    def test_another_user_may_read_and_writes_only_with_the_token(self):
        def connect(text):
            reading, writing = os.pipe()
            child = os.fork()
            if child == 0:
                os.close(writing)
                try:
                    os.setgroups([])
                    os.setgid(NOBODY)
                    os.setuid(NOBODY)
                    program = socket.create_connection(("127.0.0.1", self.port))
                    program.sendall(text)
                    os.read(reading, 1)
                finally:
                    os._exit(0)
            os.close(reading)
            self.cleanup.callback(os.waitpid, child, 0)
            self.cleanup.callback(os.close, writing)

        connect(b"corrections without a right\n")
        self.counter("relay_bytes_refused", 28)
        connect(f"token {SECRET}\r\n".encode() + b"\xd3with it")
        self.assertEqual(self.receive(self.link, 8), b"\xd3with it")


if __name__ == "__main__":
    unittest.main()
