"""stillpoint-office error-scale on an invented log whose receiver claims too little by a known factor.

The truth of the factor is the generator's: noise is drawn with TRUE_SCALE times the claimed sigma. Half of the variance
lasts through a visit, so that neither the scatter nor the means alone would show it.
"""

import json
import math
import random
import subprocess
import sys
import tempfile
from pathlib import Path

REDUCE, LOGS, OFFICE = sys.argv[1], Path(sys.argv[2]), sys.argv[3]
TRUE_SCALE, SIGMA_M, UP_SIGMA_M = 1.5, 0.010, 0.015
VISITS, SECONDS = 12, 40
LAT, LON, ALT, SEPARATION, POLE = 47.6, -87.4, 184.5, -36.2, 1.871
M_LAT, M_LON = 111178.0, 75188.0  # metres a degree at 47.6 N; from the ellipsoid's radii, to 1e-4

CONFIG = """
[project]
name = "Invented marks"
frame = "EPSG:6319"
pointbook = "x.gpkg"
record = "record"
[[feed]]
kind = "replay"
file = "x.nmea"
[antenna]
vertical_parts_m = { pole = 1.871 }
[[source]]
name = "county network"
match = { station = ["417"] }
frame = "EPSG:6319"
coordinate_epoch = 2010.0
evidence = "invented"
error_floor_m = { horizontal = 0.008, vertical = 0.012 }
[source.gate]
quality = ["rtk-fixed"]
fresh_age_s = 3.0
max_age_s = 10.0
[occupation]
min_epochs = 30
min_duration_s = 30
"""
HEADER = "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m\n"
MARK = f"VM-12,EPSG:6319,2010.0,{LAT},{LON},{ALT + SEPARATION - POLE:.4f},ellipsoid,0.001,0.001\n"


def sentence(body):
    total = 0
    for c in body:
        total ^= ord(c)
    return f"${body}*{total:02X}\r\n"


def angle(value, degrees):
    value = abs(value)
    return f"{int(value):0{degrees}d}{(value - int(value)) * 60:011.8f}"


def log_and_visits(path):
    draw = random.Random(20260603)
    rows = []
    with open(path / "x.nmea", "w", newline="") as out:
        for visit in range(VISITS):
            lasting = [draw.gauss(0, math.sqrt(0.5)) for _ in range(3)]
            hour = visit + 1
            for t in range(SECONDS + 10):  # the stream goes on after a visit
                e, n, u = (TRUE_SCALE * (a + draw.gauss(0, math.sqrt(0.5))) for a in lasting)
                lat, lon = LAT + n * SIGMA_M / M_LAT, LON + e * SIGMA_M / M_LON
                clock = f"{hour:02d}00{t:02d}.00"
                where = f"{angle(lat, 2)},N,{angle(lon, 3)},W"
                out.write(sentence(f"GNGGA,{clock},{where},4,14,0.7,{ALT + u * UP_SIGMA_M:.4f},M,{SEPARATION:.3f},M,1.0,0417"))
                out.write(sentence(f"GNGST,{clock},0.5,,,,{SIGMA_M:.4f},{SIGMA_M:.4f},{UP_SIGMA_M:.4f}"))
                out.write(sentence(f"GNRMC,{clock},A,{where},0.010,,030626,,,R,V"))
            rows.append(f"{{}},2026-06-03T{hour:02d}:00:00Z,2026-06-03T{hour:02d}:00:{SECONDS}Z,")
    return rows


def run(folder, *options, program=(OFFICE, "error-scale")):
    command = [*program, "--config", str(folder / "c.toml"), "--log", str(folder / "x.nmea"), *map(str, options)]
    return subprocess.run(command, capture_output=True, text=True, timeout=120)


def visits_file(folder, rows, name):
    path = folder / "visits.csv"
    path.write_text("name,start_utc,end_utc,code\n" + "".join(row.format(name) + "\n" for row in rows))
    return path


def check(truth, what):
    if not truth:
        raise AssertionError(what)


def calibration_in(done):
    return [v for v in map(json.loads, done.stdout.splitlines()) if "calibration" in v]


def check_scale(folder, done, against, counted):
    check(done.returncode == 0, done)
    (found,) = calibration_in(done)
    check(found["calibration"] == "county network" and found["against"] == against, found)
    for axis in ("horizontal", "vertical"):
        check(found[axis]["low95"] < TRUE_SCALE < found[axis]["high95"], found)
        check(1.1 < found[axis]["scale"] < 2.0, found)
    check(found["toml"].startswith("error_scale = "), found)
    for line in found["toml"].splitlines():
        check("    " + line in done.stderr.splitlines(), done.stderr)
    check(found["counted"] == counted, found)
    check(f"error_scale_evidence = {{ visits = {counted}, until = 2026-06-03 }}" in found["toml"], found)
    # The line can be pasted, and the flag goes.
    pasted = CONFIG.replace('evidence = "invented"\n', 'evidence = "invented"\n' + found["toml"] + "\n")
    (folder / "c.toml").write_text(pasted)
    again = run(folder, "--visits", folder / "visits.csv", program=(REDUCE,))
    points = [v for v in map(json.loads, again.stdout.splitlines()) if "point" in v]
    (folder / "c.toml").write_text(CONFIG)
    check(all("error-scale-not-verified" not in p["flags"] for p in points), points[0])
    check(abs(points[0]["error_scale"] - found["error_scale"]) < 0.006, points[0])
    return found


def book_of(folder, rows, name, path, scale=1.0):
    """A day's points as a pointbook, averaged with another scale than the one that is right."""
    (folder / "c.toml").write_text(CONFIG.replace('evidence = "invented"\n', f'evidence = "invented"\nerror_scale = {scale}\n'))
    done = run(folder, "--visits", visits_file(folder, rows, name), "--pointbook", path, program=(REDUCE,))
    check(done.returncode == 0, done)
    (folder / "c.toml").write_text(CONFIG)
    return path


def from_books(folder, *books, options=()):
    given = [word for book in books for word in ("--pointbook", str(book))]
    command = [OFFICE, "error-scale", "--config", str(folder / "c.toml"), *given, *map(str, options)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120)
    return done, [json.loads(line) for line in done.stdout.splitlines()]


def check_books(folder, rows, on_marks, repeated):
    """The same from what pointbooks hold, of all days together, whatever scale was in use on each."""
    whole = book_of(folder, rows, "VM-12", folder / "whole.gpkg")
    early = book_of(folder, rows[:6], "VM-12", folder / "early.gpkg", scale=1.3)
    late = book_of(folder, rows[6:], "VM-12", folder / "late.gpkg", scale=2.0)
    marks = ("--marks", folder / "marks.csv")
    # With another scale in use other seconds are outliers, which moves the figure a little; the scale itself does not.
    for books, within in (((whole,), 1e-3), ((early, late), 0.03), ((late, early), 0.03), ((early, late, whole), 0.03)):
        done, (found,) = from_books(folder, *books, options=marks)
        check(done.returncode == 0, done)
        check(found["against"] == "marks" and found["counted"] == 12, found)
        check(abs(found["error_scale"] - on_marks["error_scale"]) < within, (found, on_marks))
    done, (found,) = from_books(folder, whole)
    check(found["against"] == "repeats" and found["counted"] == 11, found)
    check(abs(found["error_scale"] - repeated["error_scale"]) < 1e-3, (found, repeated))
    # Equal names of two books are two places: each uses up one visit.
    done, (found,) = from_books(folder, early, late)
    check(done.returncode == 0 and found["counted"] == 10, found)
    done, (found,) = from_books(folder, early, options=marks)
    check(done.returncode == 1 and "6 of 10 visits, scale so far" in done.stderr, done)
    check("4 more checks on marks" in done.stderr and "error_scale_evidence" not in done.stderr, done)
    done, _ = from_books(folder, folder / "none.gpkg")
    check(done.returncode == 4 and "none.gpkg" in done.stderr, done)


def check_bad_input(folder, visits):
    rows = [
        ("no such file", None, 2, "cannot read the marks file"),
        ("another header", "a,b\nVM-12,1\n", 2, "name"),
        ("no mark", HEADER, 2, "no mark in it"),
        ("no frame", HEADER + MARK.replace("EPSG:6319", ""), 2, "line 2: the frame is missing"),
        ("no number", HEADER + MARK.replace("2010.0", "later"), 2, "line 2"),
        ("off the earth", HEADER + MARK.replace("47.6", "147.6"), 2, "line 2: latitude_deg 147.6 is outside"),
        ("no sigma", HEADER + MARK.replace("ellipsoid,0.001", "ellipsoid,"), 2, "sigma_horizontal_m"),
        ("an unknown frame", HEADER + MARK.replace("EPSG:6319", "EPSG:999999"), 2, "line 2: \"EPSG:999999\" is not a frame"),
        ("a disturbed mark", HEADER.replace("\n", ",status\n") + MARK.replace("\n", ",disturbed\n"), 1, "disturbed"),
    ]
    for name, text, status, part in rows:
        path = folder / "bad.csv"
        path.unlink(missing_ok=True)
        if text is not None:
            path.write_text(text)
        done = run(folder, "--visits", visits, "--marks", path)
        check(done.returncode == status, (name, done.returncode, done.stderr))
        check(part in done.stderr, (name, done.stderr))
    # One row that is no mark is told, and the others are used, as the daemon does.
    (folder / "bad.csv").write_text(HEADER + MARK + "VM-13,,2010.0,47.6,-87.4,146.4,ellipsoid,0.001,0.001\n")
    done = run(folder, "--visits", visits, "--marks", folder / "bad.csv")
    check(done.returncode == 0 and "line 3: the frame is missing" in done.stderr, done.stderr)
    check(run(folder, "--marks", folder / "bad.csv", "--repeats").returncode == 2, "both options")


def main():
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "c.toml").write_text(CONFIG)
        rows = log_and_visits(folder)
        (folder / "marks.csv").write_text(HEADER + MARK)
        visits = visits_file(folder, rows, "VM-12")
        on_marks = check_scale(folder, run(folder, "--visits", visits, "--marks", folder / "marks.csv"), "marks", 12)
        # Without truth one visit is used up for the place.
        repeated = check_scale(folder, run(folder, "--visits", visits, "--repeats"), "repeats", 11)
        check_books(folder, rows, on_marks, repeated)
        visits_file(folder, rows, "VM-12")
        check_bad_input(folder, visits)
        few = visits_file(folder, rows[:9], "OLD-3")
        done = run(folder, "--visits", few, "--repeats")
        check(done.returncode == 1 and "8 of 10 visits, scale so far" in done.stderr, done)
        check("2 more checks on marks" in done.stderr and "error_scale =" not in done.stderr, done)
        (combined,) = [v for v in map(json.loads, done.stdout.splitlines()) if "combined" in v]
        check(combined["combined"] == "OLD-3" and len(combined["counted"]) == 9, combined)
        check("summary" in json.loads(done.stdout.splitlines()[-1]), done.stdout[-300:])
        close = visits_file(folder, rows[:1] * 2, "OLD-4")
        done = run(folder, "--visits", close, "--repeats")
        check("is left out: it is within 45 min of OLD-4 visit 1" in done.stderr, done.stderr)
    print("calibration: all facts hold")


main()
