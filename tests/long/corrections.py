#!/usr/bin/env python3
"""Corrections in real time: when each reason is told, when the position goes up, what a day of them costs.

    corrections.py [NAME …]          with the environment of the process tests; tests/long/run sets it

  limits    each reason is told 10 s after the last frame that reached the receiver, within 0.2 s, and as what it is
  position  the receiver's own position goes up every 5 s, within 0.5 s
  soak      28,800 seconds of corrections, about a hundred a second: the daemon's memory is flat
  cost      the processor time that corrections take beside a receiver's second, of a core: less than 0.2 %

Only a machine that has nothing else to do keeps the first two limits.
"""
import contextlib
import os
import sys
import threading
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "process"))
from caster_test import WithCaster  # noqa: E402
from casters import ICY, Caster, observations, position, streams  # noqa: E402

TICKS = os.sysconf("SC_CLK_TCK")
SLACK_S = 0.2
STOPPED_S = 10.0
ONE = observations(7) + position(7)


class Day(WithCaster):
    """One daemon, its receiver at 1 Hz by the wall clock, and its caster."""

    def runTest(self):
        pass

    def open(self, caster, **keys):
        self.setUp()
        self.configure_caster(caster.port, version=1, **keys)
        self.begin()
        self.client_.until("heard", lambda s: s["epoch"] is not None)
        self.stop_clock = threading.Event()
        self.clock = threading.Thread(target=self.tick, daemon=True)
        self.clock.start()
        self.look_until("a request", lambda: caster.requests)

    def tick(self):
        due = time.monotonic()
        while not self.stop_clock.is_set():
            with contextlib.suppress(OSError):
                self.tell(1)
            due += 1
            self.stop_clock.wait(max(0.0, due - time.monotonic()))

    def swallow(self):
        """Takes what is brought to the receiver."""
        with contextlib.suppress(OSError):
            self.link.setblocking(False)
            while self.link.recv(65536):
                pass

    def close(self):
        self.stop_clock.set()
        self.clock.join()
        self.daemon.stop()
        self.cleanup.close()

    def cpu_s(self):
        fields = Path(f"/proc/{self.daemon.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / TICKS

    def memory_kib(self):
        lines = Path(f"/proc/{self.daemon.process.pid}/status").read_text().splitlines()
        return int(next(line for line in lines if line.startswith("VmRSS")).split()[1])


def send_seconds(day, caster, seconds):
    """A second of corrections each second; when the last was sent."""
    for _ in range(seconds):
        caster.send(ONE)
        sent = time.monotonic()
        time.sleep(0.5)
        day.swallow()
        time.sleep(0.5)
    return sent


def limits():
    """What stops them, and the reason that the alert must give."""
    def damage(day, caster):
        broken = bytearray(observations(7))
        broken[8] ^= 1
        for _ in range(13):
            time.sleep(1)
            with contextlib.suppress(OSError, IndexError):  # once the daemon has gone
                caster.send(bytes(broken))
            day.swallow()

    causes = {
        "mount-silent": lambda day, caster: None,
        "closed": lambda day, caster: caster.drop(),
        "refused": lambda day, caster: caster.close(),
        "damaged": lambda day, caster: threading.Thread(target=damage, args=(day, caster), daemon=True).start(),
    }
    good = True
    for reason, cause in causes.items():
        day = Day()
        # Once dropped, a new connection is closed before a word: the caster stays out of order.
        caster = Caster(streams(ICY), *([lambda self, connection: connection.close()] if reason == "closed" else []))
        day.open(caster)
        last = send_seconds(day, caster, 6)
        cause(day, caster)
        delivery = {}
        while time.monotonic() - last < STOPPED_S + 5:
            delivery = day.client_.call("status")["delivery"]
            if delivery["state"] == "stopped":
                break
            time.sleep(0.02)
        took = time.monotonic() - last
        right = delivery.get("reason") == reason and abs(took - STOPPED_S) <= SLACK_S
        print(f"  {reason}: told as {delivery.get('reason')} after {took:.2f} s{'' if right else '  MISSED'}", flush=True)
        good &= right
        day.close()
        caster.close()
    return good


def positions():
    caster = Caster(streams(ICY))
    day = Day()
    day.open(caster, send_position=True)
    seen, at, brought = 0, [], 0.0
    end = time.monotonic() + 41
    while time.monotonic() < end:
        if time.monotonic() - brought >= 1:
            caster.send(ONE)
            brought = time.monotonic()
        count = caster.sent_up.count(b"GGA")
        if count > seen:
            at += [time.monotonic()] * (count - seen)
            seen = count
        time.sleep(0.01)
        day.swallow()
    day.close()
    caster.close()
    steps = [b - a for a, b in zip(at, at[1:])]
    good = len(steps) >= 6 and all(4.5 <= step <= 5.5 for step in steps)
    print(f"  {len(at)} positions in 41 s, {min(steps, default=0):.2f} to {max(steps, default=0):.2f} s apart{'' if good else '  MISSED'}")
    return good


def soak(seconds=28_800, pace=100):
    caster = Caster(streams(ICY))
    day = Day()
    day.open(caster)
    sizes = {}
    began = time.monotonic()
    for i in range(seconds):
        caster.send(ONE if i % 10 == 0 else observations(7))
        if i % 20 == 0:
            day.swallow()
            time.sleep(max(0.0, began + i / pace - time.monotonic()))
        if i in (seconds // 10, seconds // 2, seconds - 1):
            time.sleep(1)
            day.swallow()
            sizes[i] = day.memory_kib()
    day.close()
    caster.close()
    first, *_, last = sizes.values()
    good = last - first <= 1024
    print(f"  {seconds} seconds of corrections in {time.monotonic() - began:.0f} s: "
          f"{', '.join(f'{size / 1024:.1f} MiB after {i + 1}' for i, size in sizes.items())}{'' if good else '  MISSED'}")
    return good


def cost(seconds=60):
    shares = {}
    for brings in (False, True, False, True):
        caster = Caster(streams(ICY))
        day = Day()
        day.open(caster)
        before, began = day.cpu_s(), time.monotonic()
        for _ in range(seconds):
            if brings:  # five systems of twenty satellites are about 600 bytes a second
                caster.send(ONE + observations(7) * 12)
            time.sleep(1)
            day.swallow()
        shares.setdefault(brings, []).append((day.cpu_s() - before) / (time.monotonic() - began))
        day.close()
        caster.close()
    more = sum(shares[True]) / 2 - sum(shares[False]) / 2
    good = more < 0.002
    print(f"  {100 * sum(shares[True]) / 2:.3f} % of a core with corrections, {100 * sum(shares[False]) / 2:.3f} % without: "
          f"{100 * more:.3f} % more{'' if good else '  MISSED'}")
    return good


PARTS = {"limits": limits, "position": positions, "soak": soak, "cost": cost}


def main():
    names = sys.argv[1:] or list(PARTS)
    if unknown := [name for name in names if name not in PARTS]:
        sys.exit(f"there is no part called {', '.join(unknown)}")
    return 0 if all([PARTS[name]() for name in names]) else 1


if __name__ == "__main__":
    sys.exit(main())
