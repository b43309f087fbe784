"""What the process tests share: a folder with a configuration, the daemon as a process, a client, invented sentences.

Nothing here sleeps for a fixed time to let things happen: waiting is reading the daemon's own notifications, or looking
again at what can be observed, up to a deadline.
"""

import contextlib
import json
import os
import select
import signal
import socket
import sqlite3
import subprocess
import tempfile
import time
import unittest
from pathlib import Path

DAEMON = os.environ["STILLPOINTD"]
REDUCE = os.environ.get("STILLPOINT_REDUCE")
OFFICE = os.environ.get("STILLPOINT_OFFICE")
STORED_ONLY = ("version", "uuid", "storage")
DEADLINE_S = float(os.environ.get("STILLPOINT_TEST_DEADLINE_S", "60"))


def sentence(body):
    checksum = 0
    for byte in body.encode("ascii"):
        checksum ^= byte
    return f"${body}*{checksum:02X}\r\n"


def second(i, quality=4, station="0417", age=0.8, gst=True, rmc=True, gga=True, gsa=True, minutes=None):
    """All sentences of one second, on the open water of a lake near 47.600 N 87.400 W. Second 0 is 14:00:00 UTC.

    Position and age tremble a little: a receiver that repeats itself to the last digit is taken for a frozen one.
    """
    minutes = minutes or f"{36 + (i * 7 % 11 - 5) * 1e-6:.7f}"
    age = f"{age + i % 5 * 0.1:.1f}" if age else ""
    total = 14 * 3600 + i
    clock = f"{total // 3600 % 24:02d}{total // 60 % 60:02d}{total % 60:02d}.00"
    day = 3 + total // 86400
    text = ""
    if rmc:
        text += sentence(f"GNRMC,{clock},A,47{minutes},N,08724.0000000,W,0.01,,{day:02d}0626,,,R,V")
    if gga:
        text += sentence(f"GNGGA,{clock},47{minutes},N,08724.0000000,W,{quality},14,0.7,184.500,M,-36.200,M,{age},{station}")
    if gsa:
        text += sentence("GNGSA,A,3,01,02,03,04,05,06,07,08,,,,,1.2,0.7,1.0,1")
    if gst:
        text += sentence(f"GNGST,{clock},1.0,0.010,0.008,20.0,0.009,0.009,0.018")
    return text


def log_of(seconds, first=0, **options):
    return "".join(second(i, **options) for i in range(first, first + seconds)).encode("ascii")


CONFIG = """
[project]
name             = "Vellin County trial"
crew             = "A"
frame            = "{frame}"
coordinate_epoch = "observation"
height           = "ellipsoid"
pointbook        = "{pointbook}"
record           = "{record}"

{feed}

[antenna]
vertical_parts_m = {{ pole = 1.800, adapter_to_phase_centre = 0.071 }}
already_reduced_by_receiver = false

[[source]]
name             = "county network"
match            = {{ station = ["417"] }}
frame            = "EPSG:6319"
coordinate_epoch = 2010.0
evidence         = "invented"
error_scale      = 1.0
error_floor_m    = {{ horizontal = 0.008, vertical = 0.012 }}
[source.gate]
quality                  = ["rtk-fixed"]
fresh_age_s              = 3.0
max_age_s                = 10.0
coast_growth_m_per_min   = 0.05
age_missing              = "refuse"
max_hdop                 = 2.0
max_pdop                 = 4.0
min_satellites           = 6
max_error95_horizontal_m = 0.05
max_error95_vertical_m   = 0.08
max_speed_mps            = 0.10
settle_s                 = 2.0
min_minute_decimals      = 6

[occupation]
min_epochs     = 5
min_duration_s = 5
max_duration_s = 600

[alerts]
run = {run}

[control]
socket = "{socket}"
"""


class Client:
    def __init__(self, path):
        self.socket = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        self.socket.settimeout(DEADLINE_S)
        self.socket.connect(str(path))
        self.reader = self.socket.makefile("rb")
        self.next_id = 0
        self.notifications = []

    def close(self):
        self.reader.close()
        self.socket.close()

    def send_line(self, line):
        self.socket.sendall(line + b"\n")

    def read_message(self):
        """The next message, or None when the daemon closed the connection."""
        line = self.reader.readline()
        return json.loads(line) if line else None

    def request(self, method, **params):
        self.next_id += 1
        message = {"jsonrpc": "2.0", "id": self.next_id, "method": method}
        if params:
            message["params"] = params
        self.send_line(json.dumps(message).encode())
        while True:
            reply = self.read_message()
            if reply is None:
                raise AssertionError("the daemon closed the connection")
            if "method" in reply:
                self.notifications.append(reply)
                continue
            assert reply["id"] == self.next_id, reply
            return reply

    def call(self, method, **params):
        reply = self.request(method, **params)
        if "error" in reply:
            raise AssertionError(f"{method}: {reply['error']}")
        return reply["result"]

    def refusal(self, method, **params):
        return self.request(method, **params)["error"]

    def until(self, what, condition):
        """Follows the daemon until the condition holds for a status; returns that status."""
        deadline = time.monotonic() + DEADLINE_S
        status = self.call("status")
        # What was told before it is older.
        self.notifications = [n for n in self.notifications if n["method"] != "status"]
        self.call("follow")
        while not condition(status):
            if time.monotonic() > deadline:
                raise AssertionError(f"not seen in time: {what}; last status {status}")
            message = self.notifications.pop(0) if self.notifications else self.read_message()
            if message is None:
                raise AssertionError(f"the daemon went away before: {what}")
            if message.get("method") == "status":
                status = message["params"]
        return status


class Daemon:
    def __init__(self, folder, config="config.toml", arguments=(), **process):
        self.folder = Path(folder)
        self.log = open(self.folder / "daemon.log", "ab")
        self.process = subprocess.Popen(
            [DAEMON, "--config", str(self.folder / config), *arguments], stdout=subprocess.PIPE, stderr=self.log, cwd="/", **process
        )

    def ready(self):
        """Waits for the ready line; returns the path it names."""
        readable, _, _ = select.select([self.process.stdout], [], [], DEADLINE_S)
        line = self.process.stdout.readline().decode() if readable else ""
        if not line.startswith("ready control="):
            raise AssertionError(f"not ready: {line!r}; log: {self.log_text()}")
        return line.strip().removeprefix("ready control=")

    def log_text(self):
        return (self.folder / "daemon.log").read_text(errors="replace")

    def stop(self, number=signal.SIGTERM):
        """Sends the signal; returns (exit status, seconds it took)."""
        began = time.monotonic()
        if self.process.poll() is None:
            self.process.send_signal(number)
        status = self.process.wait(DEADLINE_S)
        return status, time.monotonic() - began

    def close(self):
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        self.process.stdout.close()
        self.log.close()


class ProcessTest(unittest.TestCase):
    def setUp(self):
        self.cleanup = contextlib.ExitStack()
        self.addCleanup(self.cleanup.close)
        self.folder = Path(self.cleanup.enter_context(tempfile.TemporaryDirectory(prefix="stillpoint-")))

    def configure(self, feed, name="config.toml", socket="control", pointbook="trial.gpkg", frame="EPSG:6319", run=(), record="record"):
        text = CONFIG.format(feed="[[feed]]\n" + feed if "[[feed]]" not in feed else feed, socket=socket, pointbook=pointbook, frame=frame, run=json.dumps(list(run)), record=record)
        (self.folder / name).write_text(text)

    def configure_replay(self, log, pace='"max"', **options):
        (self.folder / "day.nmea").write_bytes(log)
        self.configure(f'kind = "replay"\nfile = "day.nmea"\npace = {pace}\nsilence_s = 3.0', **options)

    def configure_tcp(self, port, **options):
        self.configure(f'kind = "tcp"\nhost = "127.0.0.1"\nport = {port}\nsilence_s = 3.0', **options)

    def start(self, config="config.toml", *arguments, **process):
        daemon = Daemon(self.folder, config, arguments, **process)
        self.cleanup.callback(daemon.close)
        daemon.ready()
        return daemon

    def client(self, path=None):
        client = Client(path or self.folder / "control")
        self.cleanup.callback(client.close)
        return client

    def run_daemon(self, *arguments):
        return subprocess.run([DAEMON, *map(str, arguments)], capture_output=True, text=True, timeout=DEADLINE_S)

    def run_config(self, *arguments, config="config.toml"):
        return self.run_daemon("--config", self.folder / config, *arguments)

    def rows(self, query):
        with contextlib.closing(sqlite3.connect(f"file:{self.folder / 'trial.gpkg'}?mode=ro", uri=True)) as book:
            return book.execute(query).fetchall()

    def look_until(self, what, look):
        """Looks again until there is something; for what the daemon does not tell by itself."""
        deadline = time.monotonic() + DEADLINE_S
        while time.monotonic() < deadline:
            if found := look():
                return found
            select.select([], [], [], 0.02)
        raise AssertionError(f"not seen in time: {what}")

    # What the daemon lists and what is recomputed from its record agree in every field to the last digit.
    def recompute(self, config):
        logs = sorted((self.folder / "record").glob("*.nmea"))
        done = subprocess.run([REDUCE, "--config", str(config), "--log", *map(str, logs)], capture_output=True, text=True, timeout=DEADLINE_S)
        self.assertIn(done.returncode, (0, 1), done.stderr)
        return [p for p in map(json.loads, done.stdout.splitlines()) if "point" in p]

    def listed(self, client):
        return [{k: v for k, v in p.items() if k not in STORED_ONLY} for p in client.call("points")["points"]]

    def assert_agree(self, live, again, count):
        self.assertEqual(len(live), count, live)
        self.assertEqual([p["point"] for p in live], [p["point"] for p in again])
        for one, other in zip(live, again):
            self.assertEqual(one, other, one["point"])

    def journal_commands(self):
        lines = []
        for path in sorted((self.folder / "record").glob("*.journal")):
            for line in path.read_text().splitlines()[1:]:
                parts = line.split(" ", 2)
                if len(parts) == 3:
                    lines.append(json.loads(parts[2]))
        return lines


class Receiver:
    """A TCP server that stands for a receiver."""

    def __init__(self, port=0):
        self.listener = socket.socket()
        self.listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        self.listener.bind(("127.0.0.1", port))
        self.listener.listen()
        self.listener.settimeout(DEADLINE_S)
        self.port = self.listener.getsockname()[1]

    def accept(self):
        connection, _ = self.listener.accept()
        connection.settimeout(DEADLINE_S)
        return connection

    def close(self):
        self.listener.close()


def free_port():
    with contextlib.closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]
