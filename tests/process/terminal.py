"""A pseudo-terminal with the client's screen on it, and what a person would see there."""

import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import termios
import time

from harness import DEADLINE_S

CLIENT = os.environ.get("STILLPOINT_CLIENT")
# What the client writes, by ECMA-48: a place (CUP), the rest of a row or all of it erased (EL, ED), other modes.
PIECES = re.compile(rb"\x1b\[(\??[0-9;]*)([A-Za-z])|([^\x1b]+)|\x1b")


class Screen:
    """Rows of text, as far as the client's own sequences make them."""

    def __init__(self, rows):
        self.rows, self.at, self.rest = [""] * rows, (0, 0), b""

    def take(self, data):
        data = self.rest + data
        cut = data.rfind(b"\x1b")
        # A sequence may come in two pieces.
        self.rest = data[cut:] if cut >= 0 and not re.match(rb"\x1b\[\??[0-9;]*[A-Za-z]", data[cut:]) else b""
        for piece in PIECES.finditer(data[: len(data) - len(self.rest)]):
            numbers, letter, text = piece.groups()
            if text:
                self.write(text.decode("ascii").replace("\a", ""))
            elif letter == b"H":
                row, column = (int(n) for n in numbers.split(b";"))
                self.at = (row - 1, column - 1)
            elif letter == b"K":
                self.rows[self.at[0]] = self.rows[self.at[0]][: self.at[1]]
            elif letter == b"J":
                self.rows = [""] * len(self.rows)

    def write(self, text):
        row, column = self.at
        if row < len(self.rows):
            line = self.rows[row].ljust(column)
            self.rows[row] = line[:column] + text + line[column + len(text):]
        self.at = (row, column + len(text))

    def text(self):
        return "\n".join(self.rows)


class Terminal:
    """The program on it, as a shell would start it."""

    def __init__(self, control, rows=24, columns=80):
        self.master, slave = pty.openpty()
        self.resize(rows, columns)
        self.before = termios.tcgetattr(slave)
        self.process = subprocess.Popen(
            [CLIENT, "--control", str(control)], stdin=slave, stdout=slave, stderr=slave,
            env={**os.environ, "TERM": "xterm", "TZ": "UTC"}, start_new_session=True, preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0))
        self.slave, self.seen = slave, b""

    def resize(self, rows, columns):
        self.screen = Screen(rows)
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def press(self, keys):
        os.write(self.master, keys.encode())

    def read(self, wait_s=0.05):
        while select.select([self.master], [], [], wait_s)[0]:
            data = os.read(self.master, 65536)
            self.seen += data
            self.screen.take(data)
            wait_s = 0

    def until(self, wanted):
        """Reads until the bytes come; returns all since the last call."""
        deadline = time.monotonic() + DEADLINE_S
        while wanted not in self.seen:
            if time.monotonic() > deadline:
                raise AssertionError(f"not seen in time: {wanted}; the end of what came: {self.seen[-600:]}")
            self.read()
        out, self.seen = self.seen, b""
        return out

    def shows(self, pattern):
        """Reads until the screen shows it; returns the match."""
        deadline = time.monotonic() + DEADLINE_S
        while not (found := re.search(pattern, self.screen.text())):
            if time.monotonic() > deadline:
                raise AssertionError(f"not shown in time: {pattern}; the screen:\n{self.screen.text()}")
            self.read()
        return found

    def ended(self):
        status = self.process.wait(DEADLINE_S)
        self.read()
        return status

    def modes(self):
        return termios.tcgetattr(self.slave)[3]

    def close(self):
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.slave)
        os.close(self.master)
