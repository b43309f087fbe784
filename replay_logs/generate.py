#!/usr/bin/python3
"""Writes the invented demo day: harrowfen-culverts.nmea, its truth (.truth.json) and its visits (.visits.csv).

Every person, place, mark and network in it is invented; the coordinates lie in open lake water. The same source gives
the same bytes on every run: random numbers come from an integer generator below, not from the library.

    ./generate.py [FOLDER]        writes into FOLDER (default: beside this file)
"""
import csv
import json
import math
import sys
from datetime import datetime, timedelta, timezone
from pathlib import Path

NAME = "harrowfen-culverts"
START = datetime(2026, 6, 3, 14, 0, 0, tzinfo=timezone.utc)
SECONDS = 1200

# NAD83(2011) minus ITRF2020 at 47.6 N 87.4 W at 2026.42, metres. Source: EPSG parameters as shipped with PROJ 9.1.1,
#   echo "47.6 -87.4 150 2026.42" | cs2cs -f %.12f EPSG:9989 EPSG:6319
# and the differences taken through the radii of curvature of GRS 80.
SHIFT_E_M, SHIFT_N_M, SHIFT_U_M = 1.0386, -0.9879, 0.9061

ANTENNA_M = 1.800 + 0.071
GEOID_SEPARATION_M = -36.100  # what the receiver prints, not a true geoid

# Marks in NAD83(2011): name -> latitude, longitude (degrees), ellipsoid height (metres), code.
MARKS = {
    "CUL-14": (47.5993120000, -87.4021450000, 148.213, "CUL-U"),
    "CUL-15": (47.6000380000, -87.4005460000, 148.904, "CUL-D"),
    "CUL-16": (47.6008120000, -87.3988520000, 149.377, "CUL-U"),
}
TRAIL_START = (47.5990700000, -87.4026800000, 148.000)
TRAIL_END = (47.6019900000, -87.3963700000, 149.800)

# Where the pole is: (first second, second after the last, from, to). Equal ends: it stands still.
LEGS = [
    (0, 20, TRAIL_START, TRAIL_START),
    (20, 60, TRAIL_START, MARKS["CUL-14"]),
    (60, 270, MARKS["CUL-14"], MARKS["CUL-14"]),
    (270, 390, MARKS["CUL-14"], MARKS["CUL-15"]),
    (390, 630, MARKS["CUL-15"], MARKS["CUL-15"]),
    (630, 760, MARKS["CUL-15"], MARKS["CUL-16"]),
    (760, 1010, MARKS["CUL-16"], MARKS["CUL-16"]),
    (1010, 1200, MARKS["CUL-16"], TRAIL_END),
]
VISITS = [("CUL-14", 65, 265), ("CUL-15", 395, 625), ("CUL-16", 765, 1005)]

# What the receiver works with: (first second, GGA quality, station as printed).
MODES = [
    (0, 0, ""), (4, 1, ""), (12, 2, "0131"),                    # no fix, no corrections, SBAS
    (430, 5, "0417"), (438, 4, "0417"),                         # the network arrives: float, then fixed
    (690, 2, "0417"), (698, 4, "0417"),                         # code-differential from the same network
    (1150, 2, "0131"),                                          # the network is lost for good
]
# Corrections missing: (first second without, seconds, age of the last correction in the second before).
OUTAGES = [
    {"what": "sbas", "from": 151, "seconds": 70, "age_before_s": 6.0},
    {"what": "county network", "from": 520, "seconds": 3, "age_before_s": 1.4},
    {"what": "county network", "from": 850, "seconds": 40, "age_before_s": 1.0},
]
# Single seconds that are out of the ordinary, each on its own or just past a limit of harrowfen.toml.
DOPS = {460: (2.00, 2.60), 461: (2.05, 2.60), 466: (1.90, 3.46), 467: (1.90, 3.60),       # HDOP, VDOP
        468: (0.72, 3.60), 469: (0.72, 3.65)}
SATELLITES = {472: 6, 473: 5}
HEIGHT_DECIMALS = {474: 2, 475: 1}
CLAIMS = {480: (0.0200, 0.0160, 0.0160), 481: (0.0300, 0.0240, 0.0160),                   # major, minor, vertical
          486: (0.0100, 0.0080, 0.0380), 487: (0.0100, 0.0080, 0.0500)}
KNOTS = {500: 0.185, 501: 0.210}
WITHOUT_GST = {940}


class Noise:
    """Bounded, bell-shaped noise of unit variance from a 64-bit integer generator (Knuth's MMIX constants)."""

    def __init__(self, seed):
        self.state = seed

    def uniform(self):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 11) / 2**53

    def bell(self):
        return sum(self.uniform() for _ in range(12)) - 6.0


class Wander:
    """Gauss-Markov error of one axis plus white noise, metres; one step a second."""

    def __init__(self, noise, sigma_m, life_s, white_m):
        self.noise, self.sigma_m, self.white_m = noise, sigma_m, white_m
        self.keep = 1.0 - 1.0 / life_s
        self.value_m = sigma_m * noise.bell()

    def step(self):
        self.value_m = self.keep * self.value_m + self.sigma_m * math.sqrt(1 - self.keep**2) * self.noise.bell()
        return self.value_m + self.white_m * self.noise.bell()


def radii_m(latitude_deg):
    """Radii of curvature of GRS 80: north-south, and of the parallel circle."""
    a, f = 6378137.0, 1 / 298.257222101
    e2 = f * (2 - f)
    w = math.sqrt(1 - e2 * math.sin(math.radians(latitude_deg))**2)
    return a * (1 - e2) / w**3, a / w * math.cos(math.radians(latitude_deg))


def moved(position, east_m, north_m, up_m):
    meridian_m, parallel_m = radii_m(position[0])
    return (position[0] + math.degrees(north_m / meridian_m), position[1] + math.degrees(east_m / parallel_m),
            position[2] + up_m)


def leg_at(second):
    return next(leg for leg in LEGS if leg[0] <= second < leg[1])


def mark_at(second):
    first, end, a, b = leg_at(second)
    part = (second - first) / (end - first)
    return tuple(a[i] + part * (b[i] - a[i]) for i in range(3))


def walking_at(second):
    leg = leg_at(second)
    return leg[2] != leg[3]


def mode_at(second):
    return [mode for mode in MODES if mode[0] <= second][-1][1:]


def is_sbas(mode):
    return mode == (2, "0131")


def age_at(second, mode):
    """Age of the corrections in seconds, as the receiver counts it; None without corrections."""
    if mode[0] < 2:
        return None
    for outage in OUTAGES:
        since = second - outage["from"] + 1
        if 0 <= since <= outage["seconds"]:
            return outage["age_before_s"] + since
    return 3.0 + second % 5 if is_sbas(mode) else (1.0, 1.2, 0.8, 1.4)[second % 4]


def claim_at(second, mode):
    """The receiver's own error claim: major and minor axis of the horizontal ellipse and vertical, 1 sigma, metres."""
    if second in CLAIMS:
        return CLAIMS[second]
    wave = 1 + 0.04 * ((second * 7) % 11 - 5) / 5
    base = {0: (60.0, 55.0, 90.0), 1: (1.90, 1.60, 3.10), 4: (0.0100, 0.0080, 0.0160), 5: (0.2600, 0.2100, 0.4000)}
    a, b, up = base.get(mode[0], (0.450, 0.360, 0.700) if is_sbas(mode) else (0.620, 0.540, 0.950))
    return a * wave, b * wave, up * wave


def checked(body):
    value = 0
    for byte in body.encode("ascii"):
        value ^= byte
    return f"${body}*{value:02X}\r\n"


def angle_text(degrees, width, letters):
    """Degrees as (d)ddmm.mmmmmmm and the hemisphere, rounded once."""
    units = round(abs(degrees) * 60 * 10**7)
    whole, rest = divmod(units, 60 * 10**7)
    return f"{whole:0{width}d}{rest // 10**7:02d}.{rest % 10**7:07d},{letters[degrees < 0]}"


def number(value, decimals):
    return "" if value is None else f"{value:.{decimals}f}"


SEEN = [5, 7, 8, 13, 15, 18, 20, 23, 24, 27, 29, 30]
SEEN_GLONASS = [66, 67, 76, 77, 82, 83]


def gsa(ids, dops, system, fix):
    listed = ",".join([f"{i:02d}" for i in ids] + [""] * (12 - len(ids)))
    return checked(f"GNGSA,A,{fix},{listed},{dops[2]:.2f},{dops[0]:.2f},{dops[1]:.2f},{system}")


def gsv(second):
    parts = [SEEN[i:i + 4] for i in range(0, len(SEEN), 4)]
    out = ""
    for index, ids in enumerate(parts):
        sky = "".join(f",{i:02d},{15 + (i * 7) % 70:02d},{(i * 29 + second // 60) % 360:03d},{34 + (i + second // 10) % 14}"
                      for i in ids)
        out += checked(f"GPGSV,{len(parts)},{index + 1},{len(SEEN):02d}{sky}")
    return out


def gst(clock, claim, orientation_deg):
    a, b, up = claim
    turn = math.radians(orientation_deg)
    north = math.hypot(a * math.cos(turn), b * math.sin(turn))
    east = math.hypot(a * math.sin(turn), b * math.cos(turn))
    return checked(f"GNGST,{clock},{0.8 * a + 0.4 * b:.3f},{a:.4f},{b:.4f},{orientation_deg:.1f},"
                   f"{north:.4f},{east:.4f},{up:.4f}")


def epoch_text(second, position, dops, noise):
    """All sentences of one second. `position`: degrees, degrees, ellipsoid height of the antenna; None without a fix."""
    now = START + timedelta(seconds=second)
    mode = mode_at(second)
    clock = now.strftime("%H%M%S.00")
    where, height = ",,,", ","
    if position:
        where = angle_text(position[0], 2, "NS") + "," + angle_text(position[1], 3, "EW")
        digits = HEIGHT_DECIMALS.get(second, 3)
        height = f"{position[2] - GEOID_SEPARATION_M:.{digits}f},M,{GEOID_SEPARATION_M:.3f},M"
    else:
        height = ",M,,M"
    satellites = SATELLITES.get(second, 12 if position else 0)
    knots = KNOTS.get(second, (1.2 + 0.08 * noise.bell()) / (1852 / 3600) if walking_at(second)
                      else 0.04 + 0.02 * noise.uniform())
    course = 55.0 + noise.bell() if walking_at(second) else None
    letter = {0: "N", 1: "A", 2: "D", 4: "R", 5: "F"}[mode[0]]
    text = checked(f"GNGGA,{clock},{where},{mode[0]},{satellites:02d},{number(dops[0], 2)},{height},"
                   f"{number(age_at(second, mode), 1)},{mode[1]}")
    fix = 3 if position else 1
    text += gsa(SEEN[:max(0, satellites - 4)] if position else [], dops, 1, fix)
    text += gsa(SEEN_GLONASS[:4] if position else [], dops, 2, fix)
    if second % 10 == 0:
        text += gsv(second)
    text += checked(f"GNRMC,{clock},{'A' if position else 'V'},{where},{number(knots if position else None, 3)},"
                    f"{number(course if position else None, 1)},{now.strftime('%d%m%y')},,,{letter},V")
    if position and second not in WITHOUT_GST:
        text += gst(clock, claim_at(second, mode), 35.0 + (second // 30) % 40)
    return text


def dops_at(second):
    horizontal, vertical = DOPS.get(second, (0.70 + 0.01 * (second // 40 % 9), 1.10 + 0.01 * (second // 25 % 12)))
    return horizontal, vertical, math.hypot(horizontal, vertical)


def log_text():
    noise = Noise(20260603)
    loose = [Wander(noise, *p) for p in ((0.26, 120, 0.12), (0.26, 120, 0.12), (0.42, 120, 0.20))]
    tight = [Wander(noise, *p) for p in ((0.0055, 60, 0.0045), (0.0055, 60, 0.0045), (0.009, 60, 0.007))]
    text = ""
    for second in range(SECONDS):
        mode = mode_at(second)
        loose_m, tight_m = [w.step() for w in loose], [w.step() for w in tight]
        dops = dops_at(second) if mode[0] else (99.99, 99.99, 99.99)
        position = None
        if mode[0] in (4, 5):  # the network's own frame
            drift_m = 0.03 * max(0.0, age_at(second, mode) - 3.0) / 60
            scale = 1 if mode[0] == 4 else 20
            position = moved(mark_at(second), scale * tight_m[0] + drift_m, scale * tight_m[1],
                             scale * tight_m[2] + ANTENNA_M)
        elif mode[0]:  # satellite corrections, or none: ITRF2020 at the date; from the network: its own frame
            scale, shift = (1, 1) if is_sbas(mode) else (4, 1) if mode[0] == 1 else (1.5, 0)
            position = moved(mark_at(second), scale * loose_m[0] - shift * SHIFT_E_M,
                             scale * loose_m[1] - shift * SHIFT_N_M,
                             scale * loose_m[2] - shift * SHIFT_U_M + ANTENNA_M)
        text += epoch_text(second, position, dops, noise)
    return text


def utc(second):
    return (START + timedelta(seconds=second)).strftime("%Y-%m-%dT%H:%M:%SZ")


def truth():
    return {
        "about": "Invented. What the log was made from; coordinates are those of the mark, not of the antenna.",
        "frame": "EPSG:6319",
        "start_utc": utc(0),
        "seconds": SECONDS,
        "antenna_height_m": round(ANTENNA_M, 4),
        "sbas_frame": "EPSG:9989 at the date of observation",
        "nad83_2011_minus_itrf2020_m": {"east": SHIFT_E_M, "north": SHIFT_N_M, "up": SHIFT_U_M},
        "marks": [{"name": n, "latitude_deg": m[0], "longitude_deg": m[1], "ellipsoid_height_m": m[2], "code": m[3]}
                  for n, m in MARKS.items()],
        "visits": [{"name": n, "start_utc": utc(a), "end_utc": utc(b)} for n, a, b in VISITS],
        "receiver": [{"from_utc": utc(s), "gga_quality": q, "station": station} for s, q, station in MODES],
        "outages": [{"source": o["what"], "start_utc": utc(o["from"]), "end_utc": utc(o["from"] + o["seconds"]),
                     "seconds": o["seconds"], "highest_age_s": o["age_before_s"] + o["seconds"]} for o in OUTAGES],
        "walking": [{"start_utc": utc(a), "end_utc": utc(b)} for a, b, p, q in LEGS if p != q],
    }


def main():
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parent
    (folder / f"{NAME}.nmea").write_bytes(log_text().encode("ascii"))
    (folder / f"{NAME}.truth.json").write_text(json.dumps(truth(), indent=1) + "\n", encoding="utf-8")
    with open(folder / f"{NAME}.visits.csv", "w", newline="", encoding="utf-8") as out:
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(["name", "start_utc", "end_utc", "code"])
        rows.writerows([n, utc(a), utc(b), MARKS[n][3]] for n, a, b in VISITS)


if __name__ == "__main__":
    main()
