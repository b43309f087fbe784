"""From a fresh install to the first kept point, for six receivers at once: answers on a terminal, keys on the live screen,
no file edited. Prints questions, keys and seconds of each.

    first_point_test.py       the table; exit 1 where a receiver did not come to its point, or took over 14 questions
"""

import concurrent.futures
import contextlib
import fcntl
import os
import pty
import re
import select
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import time
import tty
from pathlib import Path

from harness import DEADLINE_S, second, sentence
from terminal import CLIENT, Terminal

DAEMON = os.environ["STILLPOINTD"]
MOST_QUESTIONS = 14
FAST_S = 0.05  # a second of the receiver in ours


@contextlib.contextmanager
def one_page():
    """One daemon at a time: the page has one address, which is written into every configuration."""
    with open(Path(tempfile.gettempdir()) / "stillpoint-first-point.lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def other_talker(text):
    """The same sentences as a receiver of another system would begin them."""
    return "".join(sentence("GB" + line[3:].split("*")[0]) for line in text.splitlines())


class Sending:
    """An invented receiver on one or more pseudo-terminals, or on a TCP port."""

    def __init__(self, over_tcp=False, silent_too=False, change=lambda text: text, **options):
        self.options, self.change, self.over, self.links = options, change, threading.Event(), []
        self.open, self.names = [], []
        if over_tcp:
            self.server = socket.create_server(("127.0.0.1", 0))
            self.names.append(f"127.0.0.1:{self.server.getsockname()[1]}")
            threading.Thread(target=self.accept, daemon=True).start()
        else:
            if silent_too:
                self.names.append(self.port()[1])
            ours, name = self.port()
            self.names.append(name)
            self.links.append(lambda data: os.write(ours, data))
        threading.Thread(target=self.send, daemon=True).start()

    def port(self):
        ours, theirs = pty.openpty()
        tty.setraw(theirs)
        os.set_blocking(ours, False)
        self.open += [ours, theirs]
        return ours, os.ttyname(theirs)

    def accept(self):
        with contextlib.suppress(OSError):
            while True:
                self.links.append(self.server.accept()[0].sendall)

    def send(self):
        for i in range(100_000):
            data = self.change(second(i, **self.options)).encode()
            for link in list(self.links):
                with contextlib.suppress(OSError):
                    link(data)
            if self.over.wait(FAST_S):
                return


NETWORK = {"Which corrections": "", "which frame does the office": "", "frame does the network": "1", "Which epoch": "2010.0",
           "How do you know": "operator, 2026-05-02", "What is the work": "Harrowfen", "How long is the pole": "2.000 m", "measuring point": "95 mm"}


class Hands:
    """Types what a person would, and counts the keys. The set-up first, then the live screen."""

    def __init__(self, receiver, folder):
        self.receiver, self.folder, self.keys, self.questions = receiver, folder, 0, 0
        self.ports = list(receiver.names)

    def answer_to(self, ask):
        if "Where is the receiver" in ask:
            return self.ports.pop(0)
        if "Go on without" in ask:
            return "no"
        return next((typed for part, typed in NETWORK.items() if part in ask), "")

    def set_up(self):
        ours, theirs = pty.openpty()
        with subprocess.Popen([CLIENT, "setup", "--write", "day.toml", "--listen", "2"], stdin=theirs, stdout=theirs, stderr=theirs, cwd=self.folder, start_new_session=True) as process:
            os.close(theirs)
            self.said, seen = "", ""
            with contextlib.suppress(OSError):
                while process.poll() is None or select.select([ours], [], [], 0)[0]:
                    data = os.read(ours, 65536).decode()
                    self.said += data
                    seen += data
                    if seen.rstrip(" ").endswith("\n>"):
                        ask = re.findall(r"^(\d+\. .*\?)\s*$", seen, re.M)[-1]
                        typed = self.answer_to(ask)
                        self.questions += 1
                        if self.questions > 2 * MOST_QUESTIONS:
                            process.kill()
                            raise AssertionError(f"it asks on and on:\n{self.said[-2000:]}")
                        self.keys += len(typed) + 1
                        os.write(ours, typed.encode() + b"\n")
                        seen = ""
            status = process.wait(DEADLINE_S)
        os.close(ours)
        if status != 0:
            raise AssertionError(f"the set-up ended with {status}:\n{self.said}")

    def press(self, terminal, keys):
        self.keys += len(keys)
        terminal.press(keys)

    def keep_a_point(self):
        with one_page(), subprocess.Popen([DAEMON, "--config", "day.toml"], cwd=self.folder, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as daemon:
            try:
                if not daemon.stdout.readline().startswith(b"ready"):
                    raise AssertionError("the daemon did not begin")
                terminal = Terminal(self.folder / "control")
                terminal.shows(r">\[1\] Begin")
                self.press(terminal, "1")
                terminal.shows(r"-- New point --")
                self.press(terminal, "P1\r")
                terminal.shows(r">\[2\] Keep")
                self.press(terminal, "2")
                terminal.shows(r"P1 accepted")
                terminal.close()
            finally:
                daemon.terminate()
                daemon.wait(DEADLINE_S)


RECEIVERS = {
    "serial over a pseudo-terminal": dict(),
    "TCP": dict(over_tcp=True),
    "another talker": dict(change=other_talker),
    "no GST": dict(gst=False),
    "no date": dict(rmc=False),
    "two ports, one silent": dict(silent_too=True),
}


def try_one(name):
    """Questions, keys and seconds; what was said of it."""
    folder = Path(tempfile.mkdtemp(prefix="first-point-"))
    receiver = Sending(**RECEIVERS[name])
    hands, began = Hands(receiver, folder), time.monotonic()
    try:
        hands.set_up()
        if name == "no date":
            if "no second counts before RMC or ZDA is switched on" not in hands.said:
                raise AssertionError("nobody was told that no second can count")
            receiver.options["rmc"] = True  # as the sentence says
        hands.keep_a_point()
        return hands.questions, hands.keys, time.monotonic() - began, ""
    except AssertionError as error:
        return hands.questions, hands.keys, time.monotonic() - began, str(error)
    finally:
        receiver.over.set()
        shutil.rmtree(folder, ignore_errors=True)


def main():
    wanted = [name for name in RECEIVERS if not sys.argv[1:] or name in sys.argv[1:]]
    with concurrent.futures.ProcessPoolExecutor(len(wanted)) as pool:
        results = dict(zip(wanted, pool.map(try_one, wanted)))
    print(f"{'receiver':32}{'questions':>10}{'keys':>6}{'seconds':>9}")
    bad = 0
    for name, (questions, keys, seconds, fault) in results.items():
        again = 2 if "silent" in name else 0  # the silent port: asked whether to go on, and for the receiver once more
        wrong = fault or ("over 14 questions" if questions - again > MOST_QUESTIONS else "")
        print(f"{name:32}{questions:>10}{keys:>6}{seconds:>9.1f}  {wrong}")
        bad += bool(wrong)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
