#!/usr/bin/python3
"""The verdict each second of a log must get, worked out from the log's own fields and the written rules alone.

    expected_verdicts.py CONFIG LOG VISITS    prints CSV: utc,verdict,reasons (reasons sorted, joined by a blank)

Knows nothing of the programs under test. It leaves out rules that the demo logs do not need: blank stations and ages,
midnight, outliers. The 95 % factor is the cubic of the rules (good to 0.0042).
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
            now = epochs.setdefault(f[1], {"pdop": None, "gst": None})
        if kind == "GGA":
            now |= {"quality": WORDS[int(f[6])], "station": number(14), "age": number(13), "hdop": number(8),
                    "satellites": number(7), "decimals": min(len(f[i].partition(".")[2]) for i in (2, 4))}
        elif kind == "GSA":
            now["pdop"] = max(float(f[15]), now["pdop"] or 0)
        elif kind == "RMC":
            now["speed"] = float(f[7]) * 1852 / 3600 if f[7] else None
            now["utc"] = datetime.strptime(f[9] + f[1] + "+0000", "%d%m%y%H%M%S.%f%z")
        elif kind == "GST":
            now["gst"] = [float(x) for x in (f[3], f[4], f[8])]
    return list(epochs.values())

def source_of(config, e):
    if e["quality"] not in RANK:
        return None
    for source in config["source"]:
        ranges = [[int(x) for x in w.split("-")] for w in source["match"].get("station", ["0-9999"]) if w != "blank"]
        if e["quality"] in source["match"].get("quality", RANK) and any(r[0] <= e["station"] <= r[-1] for r in ranges):
            return source
    return None

def over_limits(e, source, growth):
    gate, found = source["gate"], set()
    for limit, field, reason in (("max_hdop", "hdop", "hdop"), ("max_pdop", "pdop", "pdop"),
                                 ("max_speed_mps", "speed", "moving")):
        if limit in gate and (e[field] is None or e[field] > gate[limit]):
            found.add(reason)
    if e["satellites"] < gate.get("min_satellites", 0):
        found.add("satellites")
    if e["decimals"] < gate.get("min_minute_decimals", 0):
        found.add("coarse-coordinates")
    if e["gst"] is None:
        return found | {"error-missing"}
    major, minor, up = (source["error_scale"] * x + growth for x in e["gst"])
    c = minor / major
    if (1.960790 + 0.004071 * c + 0.114276 * c**2 + 0.371625 * c**3) * major > gate["max_error95_horizontal_m"]:
        found.add("horizontal-error")
    return found | ({"vertical-error"} if 1.95996 * up > gate["max_error95_vertical_m"] else set())

def judge(config, epochs):
    """Adds `reasons`, and `class`: what must stay the same within one mean."""
    good_since = last_key = last_utc = None
    for e in epochs:
        source = source_of(config, e)
        key = e["class"] = (source["name"], e["station"], e["quality"]) if source else None
        e["reasons"] = set() if source else {"unknown-source" if e["quality"] in RANK else "quality"}
        gap = last_utc and (e["utc"] - last_utc).total_seconds() > config["feed"][0]["silence_s"]
        stale = source and e["age"] > source["gate"]["max_age_s"]
        if not source or stale:
            good_since = None
        elif good_since is None or key != last_key or gap:
            good_since = e["utc"]
        last_key, last_utc = key, e["utc"]
        if source:
            late = 0 if stale else max(0, e["age"] - source["gate"]["fresh_age_s"])
            e["reasons"] |= over_limits(e, source, source["gate"].get("coast_growth_m_per_min", 0) * late / 60)
            e["reasons"] |= {"correction-age"} if stale else set()
            e["reasons"] |= {"quality"} if e["quality"] not in source["gate"]["quality"] else set()
            settling = good_since and (e["utc"] - good_since).total_seconds() < source["gate"].get("settle_s", 0)
            e["reasons"] |= {"settling"} if settling else set()

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
        for e in stay:
            yield (e["utc"].strftime("%Y-%m-%dT%H:%M:%S"), "refused" if e["reasons"] else "accepted",
                   " ".join(sorted(e["reasons"])))

if __name__ == "__main__":
    print("utc,verdict,reasons")
    print("\n".join(map(",".join, verdicts(tomllib.load(open(sys.argv[1], "rb")), *sys.argv[2:4]))))
