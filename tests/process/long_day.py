#!/usr/bin/env python3
"""A day of many hours at 10 Hz, replayed at the highest pace: what the daemon's memory does. Not part of the check.

  STILLPOINTD=build/rel/daemon/stillpointd tests/process/long_day.py [HOURS]

Prints resident memory at each hour of the log and its growth from the first hour to the last.
"""

import sys

import harness

RATE = 10


def tenth(i):
    t = 8 * 3600 * RATE + i
    clock = f"{t // RATE // 3600:02d}{t // RATE // 60 % 60:02d}{t // RATE % 60:02d}.{t % RATE}0"
    minutes = f"{36 + (i * 7 % 11 - 5) * 1e-6:.7f}"
    text = harness.sentence(f"GNGGA,{clock},47{minutes},N,08724.0000000,W,4,14,0.7,184.500,M,-36.200,M,{0.8 + i % 5 * 0.1:.1f},0417")
    text += harness.sentence("GNGSA,A,3,01,02,03,04,05,06,07,08,,,,,1.2,0.7,1.0,1")
    text += harness.sentence(f"GNGST,{clock},1.0,0.010,0.008,20.0,0.009,0.009,0.018")
    return text + harness.sentence(f"GNRMC,{clock},A,47{minutes},N,08724.0000000,W,0.01,,030626,,,R,V")


def memory_kib(pid, key="VmRSS"):
    with open(f"/proc/{pid}/status") as lines:
        return next(int(line.split()[1]) for line in lines if line.startswith(key))


class LongDay(harness.ProcessTest):
    hours = 10

    def runTest(self):
        with open(self.folder / "day.nmea", "w") as log:
            for i in range(self.hours * 3600 * RATE):
                log.write(tenth(i))
        self.configure('kind = "replay"\nfile = "day.nmea"\npace = "max"')
        daemon = self.start()
        client, crew = self.client(), self.client()
        seen = {}
        names = 0
        client.call("follow")
        while len(seen) < self.hours + 1:
            message = client.read_message()
            status = message.get("params", {}) if message else None
            if not status or not status.get("epoch") or not status["epoch"]["utc"]:
                continue
            hour = int(status["epoch"]["utc"][11:13]) - 8
            if hour >= 1 and hour not in seen:
                seen[hour] = memory_kib(daemon.process.pid)
                print(f"hour {hour}: {seen[hour]} KiB resident", flush=True)
            # One stay after the other, half of them kept and the rest ended by their longest duration: what a day's points
            # add is in the figure.
            stay = status["occupation"]
            if stay is None and status["feed"]["state"] == "open":
                names += "result" in crew.request("begin", name=f"P-{names}")
            elif stay is not None and names % 2 and stay["accepted"] > 300:
                crew.request("keep")
            if status["feed"]["state"] == "ended":
                seen.setdefault(self.hours, memory_kib(daemon.process.pid))
                break
        last = max(seen)
        print(f"{len(crew.call('points')['points'])} points")
        print(f"peak {memory_kib(daemon.process.pid, 'VmHWM')} KiB; growth hour 1 to {last}: {seen[last] - seen[1]} KiB")
        self.assertLess(seen[last] - seen[1], 2048)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        LongDay.hours = int(sys.argv[1])
    harness.unittest.main(argv=sys.argv[:1])
