#!/usr/bin/python3
"""The verdict each second of a log must get, worked out from the log's own fields and the written rules alone.

    expected_verdicts.py CONFIG LOG VISITS    prints CSV: utc,verdict,reasons (reasons sorted, joined by a blank)
Knows nothing of the programs under test, and no rule that the demo day does not need (blank stations and ages,
midnight, outliers). The 95 % factor is a cubic good to 0.0042.
"""
import csv
import sys
import tomllib
from datetime import datetime

WORDS = "none autonomous differential pps rtk-fixed rtk-float estimated manual simulated sbas".split()
RANK = {"rtk-fixed": 5, "rtk-float": 4, "differential": 3, "sbas": 3, "pps": 2}  # those that rest on corrections

def epochs_of(log):
    """One dict a second, in order; a field that was not printed is None."""
    epochs = {}
    for f in (line.strip()[1:].split("*")[0].split(",") for line in open(log, encoding="ascii")):
        number = lambda i: float(f[i]) if f[i] else None
        kind = f[0][2:]
        if kind in ("GGA", "RMC", "GST"):
            now = epochs.setdefault(f[1], {"pdop": None, "vdop": None, "gst": None})
        if kind == "GGA":
            now |= {"quality": WORDS[int(f[6])], "station": number(14), "age": number(13), "hdop": number(8),
                    "satellites": number(7), "decimals": min(len(f[i].partition(".")[2]) for i in (2, 4)),
                    "height_decimals": min(len(f[i].partition(".")[2]) for i in (9, 11))}
        elif kind == "GSA":
            now["pdop"], now["vdop"] = max(float(f[15]), now["pdop"] or 0), max(float(f[17]), now["vdop"] or 0)
        elif kind == "RMC":
            now["moving"] = float(f[7]) * 1852 / 3600 if f[7] else None
            now["utc"] = datetime.strptime(f[9] + f[1] + "+0000", "%d%m%y%H%M%S.%f%z")
        elif kind == "GST":
            now["gst"] = [float(x) for x in (f[3], f[4], f[8])]
    return list(epochs.values())

def source_of(config, e):
    def matches(quality=RANK, station=("0-9999",)):
        ranges = [[int(x) for x in word.split("-")] for word in station if word != "blank"]
        return e["quality"] in quality and any(r[0] <= e["station"] <= r[-1] for r in ranges)
    return next((s for s in config["source"] if matches(**s["match"])), None)

def over_limits(e, source, growth):
    gate, found = source["gate"], set()
    def check(is_over, reason):
        found.update({reason} if is_over else ())
    for limit, reason in (("max_hdop", "hdop"), ("max_pdop", "pdop"), ("max_vdop", "vdop"), ("max_speed_mps", "moving")):
        check(limit in gate and (e[reason] is None or e[reason] > gate[limit]), reason)
    check(e["satellites"] < gate.get("min_satellites", 0), "satellites")
    check(e["decimals"] < gate.get("min_minute_decimals", 0), "coarse-coordinates")
    check(e["height_decimals"] < gate.get("min_altitude_decimals", 0), "coarse-altitude")
    if e["gst"] is None:
        return found | {"error-missing"}
    major, minor, up = (source["error_scale"] * x + growth for x in e["gst"])
    c = minor / major
    k95 = 1.960790 + 0.004071 * c + 0.114276 * c**2 + 0.371625 * c**3
    check(k95 * major > gate["max_error95_horizontal_m"], "horizontal-error")
    check(1.95996 * up > gate["max_error95_vertical_m"], "vertical-error")
    return found

def judge(config, epochs):
    """Adds `reasons`, and `class`: what must stay the same within one mean."""
    good_since = last_key = last_utc = None
    for e in epochs:
        source = source_of(config, e)
        key = e["class"] = (source["name"], e["station"], e["quality"]) if source else None
        e["reasons"] = set() if source else {"unknown-source" if e["quality"] in RANK else "quality"}
        gap = last_utc and (e["utc"] - last_utc).total_seconds() > config["feed"][0]["silence_s"]
        stale = source and e["age"] > source["gate"]["max_age_s"]
        keep_on = good_since and key == last_key and not gap
        good_since = None if not source or stale else good_since if keep_on else e["utc"]
        last_key, last_utc = key, e["utc"]
        if source:
            settling = good_since and (e["utc"] - good_since).total_seconds() < source["gate"].get("settle_s", 0)
            late = 0 if stale else max(0, e["age"] - source["gate"]["fresh_age_s"])
            e["reasons"] = over_limits(e, source, source["gate"].get("coast_growth_m_per_min", 0) * late / 60) | {
                reason for reason, holds in (("correction-age", stale), ("settling", settling),
                                             ("quality", e["quality"] not in source["gate"]["quality"])) if holds}

def keep_best_class(rule, stay):
    spans = {}
    for e in (e for e in stay if not e["reasons"]):
        spans.setdefault(e["class"], []).append(e["utc"])
    complete = lambda t: len(t) >= rule["min_epochs"] and (t[-1] - t[0]).total_seconds() + 1 >= rule["min_duration_s"]
    best = max(spans, key=lambda k: (complete(spans[k]), RANK[k[2]], len(spans[k])), default=None)
    for e in (e for e in stay if not e["reasons"] and e["class"] != best):
        e["reasons"].add("other-segment")

def verdicts(config, log, visits):
    judge(config, epochs := epochs_of(log))
    for row in csv.DictReader(open(visits, encoding="utf-8")):
        start, end = (datetime.fromisoformat(row[k].replace("Z", "+00:00")) for k in ("start_utc", "end_utc"))
        stay = [e | {"reasons": set(e["reasons"])} for e in epochs if start <= e["utc"] < end]
        keep_best_class(config["occupation"], stay)
        yield from ((e["utc"].strftime("%Y-%m-%dT%H:%M:%S"), "refused" if e["reasons"] else "accepted",
                     " ".join(sorted(e["reasons"]))) for e in stay)

if __name__ == "__main__":
    print("utc,verdict,reasons")
    print("\n".join(map(",".join, verdicts(tomllib.load(open(sys.argv[1], "rb")), *sys.argv[2:4]))))
