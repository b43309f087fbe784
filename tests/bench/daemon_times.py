"""What the daemon costs and how long it lets people wait: the start, `keep`, and a full stream at 20 Hz.

Used by tests/bench/table; by itself:

    daemon_times.py STILLPOINTD STATUS_LATENCY [SECONDS_OF_STREAM]
    daemon_times.py --pair STILLPOINTD OTHER STATUS_LATENCY [PAIRS]

A pair runs at the same time, each with a stream of its own, now one and now the other started first: on a shared host the
same program costs a fifth more or less from one minute to the next, which hides all smaller differences.
"""
import contextlib
import json
import os
import re
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

EXAMPLE = Path(__file__).resolve().parent.parent / "config/data/complete.toml"
WAIT_S = 60
WARM_UP_S = 5


def configure(folder, port):
    """The example configuration with a feed from this machine and no end of a stay by itself."""
    text = EXAMPLE.read_text()
    feed = f'[[feed]]\nkind = "tcp"\nhost = "127.0.0.1"\nport = {port}\n\n'
    text, feeds = re.subn(r"^\[\[feed\]\].*?(?=^# \[\[feed\]\])", feed, text, count=1, flags=re.M | re.S)
    text, stays = re.subn(r"^max_duration_s = .*$", "max_duration_s = 86400", text, flags=re.M)
    assert feeds == stays == 1, "the example configuration has another form"
    path = Path(folder) / "day.toml"
    path.write_text(text)
    return path


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Daemon:
    def __init__(self, program, folder, port):
        begun = time.monotonic()
        self.log = open(Path(folder) / "log", "wb")
        self.process = subprocess.Popen([Path(program).resolve(), "--config", configure(folder, port)], stdout=subprocess.PIPE,
                                        stderr=self.log, cwd=folder)
        line = self.process.stdout.readline()
        self.ready_s = time.monotonic() - begun
        if not line.startswith(b"ready "):
            raise RuntimeError(f"the daemon did not start: {(Path(folder) / 'log').read_text()}")
        self.control = Path(folder) / "control"

    def cpu_s(self):
        return cpu_s(self.process)

    def memory_mib(self, key):
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(rf"^{key}:\s+(\d+) kB", status, re.M).group(1)) / 1024

    def stop(self):
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(timeout=WAIT_S)
        self.process.stdout.close()
        self.log.close()


def cpu_s(process):
    """Of all threads, in nanoseconds as the scheduler counts them; the usual ticks are too coarse."""
    tasks = Path(f"/proc/{process.pid}/task").iterdir()
    return sum(int((task / "schedstat").read_text().split()[0]) for task in tasks) / 1e9


@contextlib.contextmanager
def running(program, port):
    with tempfile.TemporaryDirectory(prefix="stillpoint-bench-") as folder:
        daemon = Daemon(program, folder, port)
        try:
            yield daemon
        finally:
            daemon.stop()


class Client:
    def __init__(self, path):
        self.socket = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        self.socket.settimeout(WAIT_S)
        self.socket.connect(str(path))
        self.reader = self.socket.makefile("rb")

    def call(self, method, **params):
        message = {"jsonrpc": "2.0", "id": 1, "method": method, **({"params": params} if params else {})}
        self.socket.sendall(json.dumps(message).encode() + b"\n")
        reply = json.loads(self.reader.readline())
        if "error" in reply:
            raise RuntimeError(f"{method}: {reply['error']['message']}")
        return reply["result"]


def sentence(body):
    checksum = 0
    for byte in body.encode("ascii"):
        checksum ^= byte
    return f"${body}*{checksum:02X}\r\n"


def second(i):
    """A second at 1 Hz; second 0 is 14:00:00 UTC. It trembles a little, as what repeats itself is taken for frozen."""
    hours = 14 + i // 3600
    clock, day = f"{hours % 24:02d}{i // 60 % 60:02d}{i % 60:02d}.00", 3 + hours // 24
    minutes = f"{36 + (i * 7 % 11 - 5) * 1e-6:.7f}"
    return "".join(map(sentence, (
        f"GNRMC,{clock},A,47{minutes},N,08724.0000000,W,0.01,,{day:02d}0626,,,R,V",
        f"GNGGA,{clock},47{minutes},N,08724.0000000,W,4,14,0.7,184.500,M,-36.200,M,{0.8 + i % 5 * 0.1:.1f},0417",
        "GNGSA,A,3,01,02,03,04,05,06,07,08,,,,,1.2,0.7,1.0,1",
        f"GNGST,{clock},1.0,0.010,0.008,20.0,0.009,0.009,0.018")))


def share(values, part):
    values = sorted(values)
    return values[round(part * (len(values) - 1))]


def start_times(program, runs=9):
    """Milliseconds from the start of the program to its line `ready`, pointbook and record made anew each time."""
    took = []
    for _ in range(runs):
        with running(program, free_port()) as daemon:
            took.append(daemon.ready_s * 1000)
    return {"median_ms": statistics.median(took), "slowest_ms": max(took)}


def accepted(client):
    return client.call("status")["occupation"]["accepted"]


def keep_times(program, points=200, epochs=600):
    """Milliseconds from sending `keep` to the answer that the point is safe."""
    took, i = [], 0
    with socket.create_server(("127.0.0.1", 0)) as listener, running(program, listener.getsockname()[1]) as daemon:
        listener.settimeout(WAIT_S)
        link, _ = listener.accept()
        client = Client(daemon.control)

        def feed(count):
            nonlocal i
            link.sendall("".join(second(i + n) for n in range(count)).encode("ascii"))
            i += count

        feed(30)
        for n in range(points):
            client.call("begin", name=f"P-{n}")
            while (missing := epochs - accepted(client)) > 0:
                feed(missing)
                until = time.monotonic() + WAIT_S
                # A burst is only over with the next one, so the last second may be open still.
                while accepted(client) < epochs - 1 and time.monotonic() < until:
                    time.sleep(0.005)
            # As in the field, where minutes lie between two points: what was kept before is stored, and the pause is
            # any part of the seconds in which an open stay is saved once.
            while client.call("status")["store"]["waiting"]:
                time.sleep(0.01)
            time.sleep(0.2 + 0.005 * (n * 37 % 101))
            begun = time.monotonic()
            client.call("keep")
            took.append((time.monotonic() - begun) * 1000)
        link.close()
    return {"points": points, "p50_ms": share(took, 0.5), "p99_ms": share(took, 0.99), "worst_ms": max(took)}


def sync_times(count=200, size=70_000):
    """What the disk alone needs for that: appending as much as such a point has, and fdatasync."""
    took = []
    with tempfile.TemporaryFile(prefix="stillpoint-bench-") as file:
        for _ in range(count):
            begun = time.monotonic()
            os.write(file.fileno(), bytes(size))
            os.fdatasync(file.fileno())
            took.append((time.monotonic() - begun) * 1000)
            time.sleep(0.01)
    return {"p50_ms": share(took, 0.5), "p99_ms": share(took, 0.99), "worst_ms": max(took)}


def stream(program, latency_program, seconds=15):
    """A full stream at 20 Hz with an open stay and one client that follows."""
    port = free_port()
    with tempfile.TemporaryDirectory(prefix="stillpoint-bench-") as folder:
        probe = subprocess.Popen([latency_program, str(port), Path(folder) / "control", str(seconds)],
                                 stdout=subprocess.PIPE, text=True)
        daemon = Daemon(program, folder, port)
        try:
            time.sleep(WARM_UP_S)
            Client(daemon.control).call("begin", name="A")
            begun, before = time.monotonic(), daemon.cpu_s()
            out, _ = probe.communicate(timeout=seconds + 2 * WAIT_S)
            if probe.returncode:
                raise RuntimeError("status_latency failed")
            used = (daemon.cpu_s() - before) / (time.monotonic() - begun)
            return {**json.loads(out), "cpu_share": used, "resident_mib": daemon.memory_mib("VmRSS"),
                    "peak_mib": daemon.memory_mib("VmHWM")}
        finally:
            daemon.stop()


def stream_alone(alone_program, latency_program, seconds=15):
    """The same stream to a program that makes the system calls on a burst's way and does nothing else."""
    port = free_port()
    with tempfile.TemporaryDirectory(prefix="stillpoint-bench-") as folder, \
            subprocess.Popen([latency_program, str(port), Path(folder) / "control", str(seconds)],
                             stdout=subprocess.PIPE, text=True) as probe, \
            subprocess.Popen([alone_program, str(port), folder]) as alone:
        try:
            time.sleep(WARM_UP_S)
            begun, before = time.monotonic(), cpu_s(alone)
            time.sleep(0.9 * seconds)  # while both still run
            used = (cpu_s(alone) - before) / (time.monotonic() - begun)
            out, _ = probe.communicate(timeout=2 * WAIT_S)
            if probe.returncode or alone.wait(timeout=WAIT_S):
                raise RuntimeError(f"status_latency ended with {probe.returncode}, "
                                   f"system_calls_alone with {alone.returncode}")
            return {**json.loads(out), "cpu_share": used}
        finally:
            probe.kill()
            alone.kill()


def pair(programs, latency_program, seconds=30):
    """Share of a core and p50 of daemons that run at the same time."""
    with contextlib.ExitStack() as all_of_them:
        running_now = []
        for program in programs:
            port, folder = free_port(), all_of_them.enter_context(tempfile.TemporaryDirectory(prefix="stillpoint-bench-"))
            probe = subprocess.Popen([latency_program, str(port), Path(folder) / "control", str(seconds + WARM_UP_S)],
                                     stdout=subprocess.PIPE, text=True)
            daemon = Daemon(program, folder, port)
            all_of_them.callback(daemon.stop)
            running_now.append((daemon, probe))
            time.sleep(0.5125)  # so that their bursts do not come together
        for daemon, _ in running_now:
            Client(daemon.control).call("begin", name="A")
        time.sleep(WARM_UP_S / 2)
        begun, before = time.monotonic(), [daemon.cpu_s() for daemon, _ in running_now]
        time.sleep(seconds)
        shares = [(daemon.cpu_s() - earlier) / (time.monotonic() - begun)
                  for (daemon, _), earlier in zip(running_now, before)]
        return [(share, json.loads(probe.communicate()[0])["p50_ms"]) for share, (_, probe) in zip(shares, running_now)]


def print_pairs(programs, latency_program, pairs):
    told = {program: [] for program in programs}
    for i in range(pairs):
        order = programs if i % 2 == 0 else programs[::-1]
        for program, (share, p50_ms) in zip(order, pair(order, latency_program)):
            told[program].append((share, p50_ms))
            print(f"{program}  {share:.3%} of a core, p50 {p50_ms:.3f} ms", flush=True)
    for program, each in told.items():
        print(f"median  {program}  {statistics.median(share for share, _ in each):.3%} of a core, "
              f"p50 {statistics.median(p50_ms for _, p50_ms in each):.3f} ms")


if __name__ == "__main__":
    if len(sys.argv) in (5, 6) and sys.argv[1] == "--pair":
        print_pairs(sys.argv[2:4], sys.argv[4], int(sys.argv[5]) if len(sys.argv) == 6 else 4)
        sys.exit()
    if len(sys.argv) not in (3, 4):
        sys.exit(__doc__)
    print("start:", start_times(sys.argv[1]))
    print("keep:", keep_times(sys.argv[1]))
    print("disk:", sync_times())
    print("stream:", stream(sys.argv[1], sys.argv[2], int(sys.argv[3]) if len(sys.argv) == 4 else 15))
