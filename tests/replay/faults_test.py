#!/usr/bin/python3
"""A short invented stream in which one second after the other has one thing wrong, through the real stillpoint-reduce.

    faults_test.py REDUCE REPLAY_LOGS

What each second must be refused for stands beside the fault, written by hand from the rules.
"""
import json
import subprocess
import sys
import tempfile
from pathlib import Path

SECONDS = 150


def checked(body):
    value = 0
    for byte in body.encode("ascii"):
        value ^= byte
    return f"${body}*{value:02X}\r\n".encode("ascii")


def good(second):
    """The fields of a second on the county network with nothing wrong; millimetres of it vary."""
    return {"clock": f"15{second // 60:02d}{second % 60:02d}.00", "lat": f"4736.{100 + second * 7 % 13:07d}",
            "lon": f"08724.{200 + second * 5 % 11:07d}", "quality": "4", "satellites": "14", "hdop": "0.80",
            "pdop": "1.50", "height": f"184.{500 + second * 3 % 7:03d}", "separation": "-36.100", "age": "1.0",
            "station": "0417", "speed": "0.030", "gst": "0.0100,0.0080,35.0,0.0090,0.0088,0.0160"}


def gga(f):
    return checked(f"GNGGA,{f['clock']},{f['lat']},N,{f['lon']},W,{f['quality']},{f['satellites']},{f['hdop']},"
                   f"{f['height']},M,{f['separation']},M,{f['age']},{f['station']}")


def gsa(f):
    return checked(f"GNGSA,A,3,05,07,08,13,15,18,20,23,24,27,29,30,{f['pdop']},{f['hdop']},1.27,1")


def rmc(f):
    return checked(f"GNRMC,{f['clock']},A,{f['lat']},N,{f['lon']},W,{f['speed']},,030626,,,R,V")


def gst(f):
    return checked(f"GNGST,{f['clock']},0.012,{f['gst']}")


def plain(f):
    return gga(f) + gsa(f) + rmc(f) + gst(f)


def with_fields(**fields):
    return lambda f: plain(f | fields)


# second: (how its bytes are made, what it must be refused for)
FAULTS = {
    10: (with_fields(hdop=""), "hdop"),
    12: (with_fields(pdop=""), "pdop"),
    13: (with_fields(hdop="0.00"), "hdop"),
    14: (with_fields(gst=",,,,,"), "error-missing"),
    15: (with_fields(gst=",,,0.0090,0.0088,0.0160"), ""),                 # no ellipse: the two sigmas serve
    16: (with_fields(satellites=""), "satellites"),
    18: (with_fields(speed=""), ""),                                      # then the speed comes from the positions
    20: (with_fields(separation=""), "no-height"),
    22: (with_fields(station="0555"), "unlisted-station"),
    30: (with_fields(quality="8"), "quality"),
    38: (with_fields(age=""), "correction-age-missing"),
    46: (with_fields(lat="4736.0000", lon="08724.0000"), "coarse-coordinates"),
    48: (lambda f: b"$GNGGA,15" + plain(f), ""),                          # a sentence broken off by the next
    50: (lambda f: b"\xb5\x62\x01\x07\x5c\x00" + plain(f), ""),           # a binary frame's head between sentences
    52: (lambda f: plain(f).replace(b"\r\n", b"\n"), ""),
    54: (lambda f: gst(f) + rmc(f) + gsa(f) + gga(f), ""),                # another order
    56: (lambda f: b"$GPGSV,1,1,00\r\n" + plain(f), ""),                  # no checksum
    58: (lambda f: plain(f) + gst(f)[:-4] + b"00\r\n", ""),               # a wrong one
    85: (with_fields(age="0"), "correction-age-missing"),                 # "0" means none
}
NO_DATE = range(0, 6)          # no RMC yet
LOST = 60                      # its position report is damaged: a second without one is no epoch
OTHER_SOURCE = range(64, 76)   # satellite corrections for a moment, settling for ten seconds
# Every byte that is not part of a good sentence or a line end is garbage: a broken-off and a binary head, a sentence
# without checksum, and two with a wrong one.
DAMAGE = {"cut-short": 1, "no-checksum": 1, "bad-checksum": 2,
          "garbage-bytes": 9 + 6 + 13 + len(gst(good(58))) - 2 + len(gga(good(LOST))) - 2}


def bytes_of(second):
    fields = good(second)
    if second in NO_DATE:
        return gga(fields) + gsa(fields) + gst(fields)
    if second == LOST:
        return plain(fields).replace(b",M,", b",m,", 1)
    if second in OTHER_SOURCE:
        return plain(fields | {"quality": "9", "station": "", "age": "5.0"})
    return FAULTS.get(second, (plain, ""))[0](fields)


def expected():
    """The reasons of every epoch, from the faults and the settling that follows them."""
    settling_until, out = 5, []
    for second in range(SECONDS):
        reasons = {"no-date"} if second in NO_DATE else set(FAULTS.get(second, (plain, ""))[1].split())
        if reasons & {"unlisted-station", "quality", "correction-age-missing"}:
            settling_until = second + 6
        elif second == OTHER_SOURCE.start:
            settling_until = second + 10
        elif second == OTHER_SOURCE.stop:
            settling_until = second + 5
        if second < settling_until and not reasons & {"unlisted-station", "quality", "correction-age-missing"}:
            reasons.add("settling")
        if second == 0:
            reasons.add("moving")  # no speed printed, and no position before to take one from
        if second in OTHER_SOURCE and not reasons:
            reasons.add("other-segment")
        if second != LOST:
            out.append((second, sorted(reasons)))
    return out


def main():
    program, logs = sys.argv[1], Path(sys.argv[2])
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "faults.nmea"
        log.write_bytes(b"".join(map(bytes_of, range(SECONDS))))
        run = subprocess.run([program, "--config", logs / "harrowfen.toml", "--log", log, "--epochs"],
                             capture_output=True, text=True, timeout=120, check=False)
    objects = [json.loads(line) for line in run.stdout.splitlines()]
    epochs = [o for o in objects if "verdict" in o]
    wrong = [f"second {second}: expected {want}, got {sorted(e['reasons'])}"
             for (second, want), e in zip(expected(), epochs) if sorted(e["reasons"]) != want]
    wrong += [f"second {second}: the date is {e['utc']}" for (second, _), e in zip(expected(), epochs)
              if (e["utc"] is None) != (second in NO_DATE)]
    if len(epochs) != SECONDS - 1:
        wrong.append(f"{len(epochs)} epochs, expected {SECONDS - 1}; {run.stderr.strip()}")
    damaged = {kind: count for kind, count in objects[-1]["summary"]["damaged"].items() if count} if objects else {}
    print(f"{len(epochs)} epochs, damage {damaged}")
    if damaged != DAMAGE:
        wrong.append(f"damage expected {DAMAGE}")
    print("\n".join(wrong[:30]))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
