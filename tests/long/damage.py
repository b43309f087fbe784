"""Each file of a day, damaged in twenty ways at ten places: nothing crashes, nothing hangs, and nothing is silent.

  damage.py [PLACES] [SEED] [FILE …]      FILE: nmea journal sha256 pairs book spool open marks config redo visits scenario

Every program that reads the file runs on the damaged day. A case is good when one of them refuses it or tells of it (another
exit status, or words that the whole day does not bring), or when all of them print what they print for the whole day.

What people write by hand (configuration, marks, redo, visits, scenario) becomes another file of its kind by a changed letter or
a lost line, which nobody can tell from a wish: for such ways only crashes and hangs count there.
"""

import collections
import contextlib
import os
import random
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import unittest
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "process"))

from attacked_day import AttackedDay  # noqa: E402
from harness import OFFICE, REDUCE, Client, Daemon, log_of  # noqa: E402

CLIENT = os.environ["STILLPOINT_CLIENT"]
SIMULATE = os.environ["STILLPOINT_SIMULATE"]
LOGS = Path(os.environ["STILLPOINT_REPLAY_LOGS"])
TIMEOUT_S = 60
VISITS = "name,start_utc,end_utc\nK-A,2026-06-03T14:00:02Z,2026-06-03T14:00:14Z\nK-B,2026-06-03T14:00:32Z,2026-06-03T14:00:44Z\n"


def line_at(data, at):
    begin = data.rfind(b"\n", 0, at) + 1
    end = data.find(b"\n", at)
    return begin, len(data) if end < 0 else end + 1


def without_line(data, at, dice):
    begin, end = line_at(data, at)
    return data[:begin] + data[end:]


def line_twice(data, at, dice):
    begin, end = line_at(data, at)
    return data[:end] + data[begin:end] + data[end:]


def lines_changed_about(data, at, dice):
    begin, end = line_at(data, at)
    _, after = line_at(data, min(end, len(data) - 1))
    return data[:begin] + data[end:after] + data[begin:end] + data[after:]


def another_digit(data, at, dice):
    found = [i for i in range(at, len(data)) if 48 <= data[i] < 58][:1] or [i for i in range(len(data)) if 48 <= data[i] < 58][:1]
    if not found:
        return data
    return data[: found[0]] + bytes([48 + (data[found[0]] - 47) % 10]) + data[found[0] + 1 :]


# Ways with a place.
PLACED = {
    "cut off": lambda d, at, dice: d[:at],
    "begin lost": lambda d, at, dice: d[at:],
    "one bit turned": lambda d, at, dice: d[:at] + bytes([d[at] ^ 1 << dice.randrange(8)]) + d[at + 1 :],
    "another digit": another_digit,
    "a byte lost": lambda d, at, dice: d[:at] + d[at + 1 :],
    "a zero byte put in": lambda d, at, dice: d[:at] + b"\0" + d[at:],
    "a byte that is no UTF-8": lambda d, at, dice: d[:at] + b"\xe9" + d[at:],
    "a block of zeros": lambda d, at, dice: d[:at] + bytes(min(512, len(d) - at)) + d[at + 512 :],
    "a block of noise": lambda d, at, dice: d[:at] + dice.randbytes(min(512, len(d) - at)) + d[at + 512 :],
    "a line lost": without_line,
    "a line twice": line_twice,
    "lines in another order": lines_changed_about,
    "a long line": lambda d, at, dice: d[:at] + b"9" * 100_000 + d[at:],
    "other line ends": lambda d, at, dice: d[:at] + d[at:].replace(b"\n", b"\r\n"),
}
# Ways without.
WHOLE = {
    "empty": lambda path: path.write_bytes(b""),
    "gone": lambda path: path.unlink(),
    "a folder": lambda path: (path.unlink(), path.mkdir()),
    "a pipe": lambda path: (path.unlink(), os.mkfifo(path)),
    "a link to itself": lambda path: (path.unlink(), path.symlink_to(path)),
    "noise": lambda path: path.write_bytes(random.Random(3).randbytes(5000)),
}
BY_HAND = ("marks", "config", "redo", "visits", "scenario")
ANOTHER_FILE_OF_THE_KIND = ("another digit", "one bit turned", "a byte lost", "a line lost", "a line twice", "lines in another order", "cut off", "begin lost")


class Outcome(collections.namedtuple("Outcome", "status out err")):
    def crashed(self):
        return self.status < 0 or self.status > 100 or "terminate called" in self.err or "Sanitizer" in self.err


class Damage(AttackedDay):
    places, seed, only = 10, 5, ()

    def setUp(self):
        super().setUp()
        self.day = self.folder / "day"  # the damaged copy lies where the whole day was made
        self.whole = self.folder / "whole"
        self.make_day()

    def make_day(self):
        """Two starts, a closing, a point that waits in the spool, and an open stay."""
        self.day.mkdir()
        self.begin_day(random.Random(1), self.day)
        for name in ("marks.csv", "redo.toml", "config.toml"):
            shutil.move(self.folder / name, self.day / name)
        self.config = self.day / "config.toml"
        (self.day / "visits.csv").write_text(VISITS)
        shutil.copy(LOGS / "training.toml", self.day / "training.toml")
        shutil.copy(LOGS / "manners" / "bad-link.toml", self.day / "scenario.toml")
        work = self.work
        for number in range(2):
            daemon = Daemon(self.day)
            daemon.ready()
            self.cleanup.callback(daemon.close)
            with self.receiver.accept() as link, contextlib.closing(Client(self.day / "control")) as client:
                work.dice = random.Random(4)
                client.call("begin", name=f"K-{number}")
                work.seconds(client, link)
                client.call("keep")
                client.call("check", mark="VM-11")
                work.seconds(client, link)
                client.call("keep")
                client.until("stored", lambda s: s["store"]["waiting"] == 0)
                if number == 0:
                    client.call("close_day")
                    daemon.stop()
                    continue
                with contextlib.closing(sqlite3.connect(self.day / "trial.gpkg", isolation_level=None)) as holder:
                    holder.execute("BEGIN")
                    holder.execute("SELECT count(*) FROM points").fetchone()
                    client.call("begin", name="K-2")
                    work.seconds(client, link)
                    client.call("keep")
                    client.call("begin", name="K-3")
                    work.seconds(client, link)
                    self.look_until("the open stay on the disk", lambda: (self.day / "trial.gpkg.open").exists() and b"K-3" in (self.day / "trial.gpkg.open").read_bytes())
                    daemon.process.kill()
                    daemon.process.wait()
        for left in ("daemon.log", "control", "control.lock"):
            (self.day / left).unlink(missing_ok=True)
        shutil.copytree(self.day, self.whole)
        record = sorted((self.day / "record").glob("*.nmea"))[0]
        self.files = {
            "nmea": record, "journal": record.with_suffix(".journal"), "sha256": record.with_suffix(".sha256"), "pairs": self.day / "record" / "pairs.txt",
            "book": self.day / "trial.gpkg", "spool": self.day / "trial.gpkg.spool", "open": self.day / "trial.gpkg.open",
            "marks": self.day / "marks.csv", "config": self.config, "redo": self.day / "redo.toml", "visits": self.day / "visits.csv", "scenario": self.day / "scenario.toml",
        }
        for name, path in self.files.items():
            self.assertGreater(path.stat().st_size, 0, name)

    def run_tool(self, *command):
        done = subprocess.run(list(map(str, command)), capture_output=True, text=True, errors="replace", timeout=TIMEOUT_S, stdin=subprocess.DEVNULL)
        return Outcome(done.returncode, done.stdout, done.stderr)

    def logs_of_day(self):
        return sorted((self.day / "record").glob("*.nmea"))

    def reduce(self):
        return self.run_tool(REDUCE, "--config", self.config, "--epochs", "--log", *self.logs_of_day())

    def reduce_visits(self):
        return self.run_tool(REDUCE, "--config", self.config, "--visits", self.day / "visits.csv", "--log", *self.logs_of_day())

    def verify(self):
        return self.run_tool(OFFICE, "verify", "--config", self.config, "--pointbook", self.day / "trial.gpkg")

    def redo(self):
        return self.run_tool(OFFICE, "redo", self.day / "redo.toml", "--config", self.config, "--pointbook", self.day / "trial.gpkg")

    def merge(self):
        return self.run_tool(OFFICE, "merge", self.day / "trial.gpkg", self.whole / "trial.gpkg", "--out", self.day / "merged.gpkg")

    def check(self):
        return self.run_tool(os.environ["STILLPOINTD"], "--config", self.config, "--check")

    def simulate(self):
        return self.run_tool(SIMULATE, "--scenario", self.day / "scenario.toml", "--out", "-")

    def daemon(self):
        """A start, what the client is told, and an end in good order."""
        daemon = Daemon(self.day)
        try:
            try:
                daemon.ready()
            except AssertionError:
                return Outcome(daemon.process.wait(TIMEOUT_S), "", daemon.log_text())
            with contextlib.closing(Client(self.day / "control")) as client:
                client.until("settled", lambda s: s["store"]["waiting"] == 0 or any(a["key"] in ("store-waiting", "points-unstored") for a in s["alerts"]))
                told = [self.run_tool(CLIENT, "--control", self.day / "control", *words) for words in (("points", "--json"), ("marks", "--json"))]
                alerts = sorted(a["key"] + ": " + a["text"] for a in client.call("alerts")["alerts"] if not a["key"].startswith("feed-"))
            status = daemon.stop(signal.SIGTERM)[0]
            return Outcome(max([status] + [t.status for t in told if t.status < 0 or t.status > 100], key=abs), "".join(t.out for t in told) + "\n".join(alerts), daemon.log_text() + "".join(t.err for t in told))
        finally:
            daemon.close()

    # Those that read it; what writes comes last, on a day put back.
    READERS = {
        "nmea": ("reduce", "verify", "check", "daemon"), "journal": ("reduce", "verify", "check", "redo", "daemon"), "sha256": ("verify", "check", "daemon"),
        "pairs": ("verify", "check", "daemon"), "book": ("verify", "check", "merge", "redo", "daemon"), "spool": ("verify", "check", "redo", "daemon"),
        "open": ("verify", "check", "daemon"), "marks": ("check", "verify", "daemon"), "config": ("check", "reduce", "verify", "daemon"),
        "redo": ("redo",), "visits": ("reduce_visits",), "scenario": ("simulate",),
    }

    def outcomes(self, name, damage):
        out = {}
        for tool in self.READERS[name]:
            shutil.rmtree(self.day)
            shutil.copytree(self.whole, self.day)
            damage(self.files[name])
            try:
                out[tool] = getattr(self, tool)()
            except subprocess.TimeoutExpired:
                out[tool] = "hang"
            except AssertionError as error:  # the daemon went away or never settled
                out[tool] = Outcome(-1, "", f"{error}")
        return out

    @staticmethod
    def plain(text):
        """Without what differs between two runs on the same day."""
        text = re.sub(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d(\.\d+)?Z?", "TIME", text)
        text = re.sub(r"20\d{6}T\d{6}Z-\d\d", "PAIR", text)
        return re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}|:\d{4,5}\b|port \d+|\bpid \d+|^.*\[info\].*$", "X", text, flags=re.M)

    def judge(self, name, way, whole, damaged):
        """Empty, or what is wrong."""
        bad = [f"{tool}: hangs" for tool, one in damaged.items() if one == "hang"]
        bad += [f"{tool}: crashes ({one.status}): {one.err[-300:]}" for tool, one in damaged.items() if one != "hang" and one.crashed()]
        if bad or (name in BY_HAND and way in ANOTHER_FILE_OF_THE_KIND):
            return bad
        told = any(one.status != whole[tool].status or self.plain(one.err) != self.plain(whole[tool].err) for tool, one in damaged.items())
        other = [tool for tool, one in damaged.items() if self.plain(one.out) != self.plain(whole[tool].out)]
        spoken = [tool for tool in other if tool in ("verify", "check", "redo", "merge")]  # what they print are sentences
        if told or spoken or not other:
            return []
        one, two = (self.plain(outcomes[other[0]].out) for outcomes in (whole, damaged))
        at = len(os.path.commonprefix([one, two]))
        return [f"{', '.join(other)}: prints something else, and nobody says a word: {one[max(0, at - 40) : at + 80]!r} became {two[max(0, at - 40) : at + 80]!r}"]

    def test_every_damage_is_refused_told_or_harmless(self):
        dice = random.Random(self.seed)
        cases = harmless = 0
        for name in self.only or self.files:
            whole = self.outcomes(name, lambda path: None)
            for tool, one in whole.items():
                self.assertFalse(one == "hang" or one.crashed(), (name, tool, one))
            data = (self.whole / self.files[name].relative_to(self.day)).read_bytes()
            rows = [(way, at) for way in PLACED for at in sorted(dice.randrange(len(data)) for _ in range(self.places))] + [(way, None) for way in WHOLE]
            wrong = 0
            for way, at in rows:
                state = dice.random()
                change = WHOLE[way] if at is None else lambda path: path.write_bytes(PLACED[way](data, at, random.Random(state)))
                damaged = self.outcomes(name, change)
                bad = self.judge(name, way, whole, damaged)
                cases += 1
                wrong += bool(bad)
                harmless += damaged == whole
                if bad:
                    print(f"BAD {name}, {way} at {at}: {bad}", flush=True)
                    with self.subTest(file=name, way=way, at=at):
                        self.fail(bad)
            print(f"{name}: {len(rows)} damages, {wrong} wrong", flush=True)
        print(f"{cases} damages of {len(self.only or self.files)} files")


if __name__ == "__main__":
    numbers = [int(a) for a in sys.argv[1:] if a.isdigit()]
    Damage.only = tuple(a for a in sys.argv[1:] if a in Damage.READERS)
    Damage.places, Damage.seed = (numbers + [Damage.places, Damage.seed][len(numbers):])[:2]
    unittest.main(argv=[a for a in sys.argv if not a.isdigit() and a not in Damage.READERS])
