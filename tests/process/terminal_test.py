"""The screen in a real terminal: what the program leaves behind however it ends, its keys, and another size."""

import signal
import sys
import termios
import time
import unittest

from harness import ProcessTest, Receiver, second
from terminal import Terminal

OWN_PAGE, BACK = b"\x1b[?1049h", b"\x1b[?1049l\x1b[?25h"  # DEC private modes 1049 (other page) and 25 (cursor)


class TerminalTest(ProcessTest):
    def setUp(self):
        super().setUp()
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.configure_tcp(self.receiver.port)
        self.daemon = self.start()
        self.control = self.client()
        self.link = self.receiver.accept()
        self.cleanup.callback(self.link.close)
        self.seconds = 0

    def send(self, count):
        for _ in range(count):
            self.link.sendall(second(self.seconds).encode())
            self.seconds += 1
        self.control.until("the seconds", lambda s: s["counters"]["epochs"] >= self.seconds)

    def terminal(self, **size):
        terminal = Terminal(self.folder / "control", **size)
        self.cleanup.callback(terminal.close)
        terminal.until(b"[M] More")
        return terminal

    def is_through_with(self, terminal, number):
        """No handler for it is set or running, and none waits."""
        with open(f"/proc/{terminal.process.pid}/status") as status:
            masks = [int(line.split()[1], 16) for line in status if line.startswith(("Sig", "ShdPnd")) and "/" not in line]
        return not any(mask >> (number - 1) & 1 for mask in masks)

    def test_however_the_screen_ends_the_terminal_gets_its_page_its_cursor_and_its_keys_back(self):
        raw = termios.ICANON | termios.ECHO
        for number in (signal.SIGSEGV, signal.SIGABRT, signal.SIGBUS, signal.SIGQUIT, signal.SIGINT, signal.SIGTERM, signal.SIGHUP, None):
            with self.subTest(signal=number):
                terminal = self.terminal()
                self.assertEqual(terminal.modes() & raw, 0)
                terminal.press("q") if number is None else terminal.process.send_signal(number)
                status = terminal.ended()
                self.assertIn(BACK, terminal.seen)
                self.assertNotIn(OWN_PAGE, terminal.seen.rsplit(BACK, 1)[1])
                self.assertEqual(terminal.modes() & raw, raw)
                crash = number in (signal.SIGSEGV, signal.SIGABRT, signal.SIGBUS, signal.SIGQUIT)
                self.assertEqual(status, -number if crash else 0)

    def test_a_stopped_screen_gives_the_terminal_back_and_takes_it_again(self):
        terminal = self.terminal()
        terminal.process.send_signal(signal.SIGTSTP)
        terminal.until(BACK)
        # A shell goes on with what has stopped, not with what is about to. Here, without one, the system lets nothing stop.
        self.look_until("the stop", lambda: self.is_through_with(terminal, signal.SIGTSTP))
        terminal.process.send_signal(signal.SIGCONT)
        self.assertIn(OWN_PAGE, terminal.until(b"[M] More"))
        self.assertEqual(terminal.modes() & termios.ICANON, 0)

    def test_a_point_is_begun_and_kept_by_keys(self):
        terminal = self.terminal()
        self.send(5)
        terminal.shows(r">\[1\] Begin")
        terminal.press("1")
        terminal.until(b"New point")
        terminal.press("HF-A-0014\r")
        self.control.until("the stay", lambda s: s["occupation"] is not None)
        self.send(12)
        terminal.shows("accepted")
        terminal.press("2")
        terminal.shows("HF-A-0014 accepted, .* mm horizontal, .* mm vertical")
        stored = self.look_until("the point in the pointbook", lambda: self.rows("SELECT name, status FROM points"))
        self.assertEqual(stored, [("HF-A-0014", "accepted")])

    def test_another_size_is_painted_anew_and_a_small_one_says_less(self):
        terminal = self.terminal()
        terminal.resize(12, 40)
        terminal.shows("1 2 3 A  M More")
        self.assertNotIn("all the rest", terminal.screen.text())
        terminal.resize(24, 80)
        terminal.shows("all the rest")

    def measure(self):
        """`terminal_test.py --measure`: from the last byte of a second to its time on the screen."""
        terminal, took_ms = self.terminal(), []
        self.send(5)
        for _ in range(120):
            i = self.seconds
            self.seconds += 1
            terminal.read()
            terminal.seen = b""
            began = time.monotonic()
            self.link.sendall(second(i).encode())
            terminal.until(f"14:{i // 60:02d}:{i % 60:02d}".encode())
            took_ms.append((time.monotonic() - began) * 1000)
            while time.monotonic() - began < 0.5:  # the stream of a receiver comes in beats, and screens are painted in them
                terminal.read()
        took_ms.sort()
        print(f"second to screen: {len(took_ms)} seconds, median {took_ms[60]:.0f} ms, 95 % {took_ms[114]:.0f} ms, longest {took_ms[-1]:.0f} ms")


if __name__ == "__main__":
    if "--measure" in sys.argv:
        unittest.TextTestRunner().run(TerminalTest("measure"))
    else:
        unittest.main()
