"""Compares our decoder, field by field, with pynmea2 (Debian package python3-nmea2) over a recording.

usage: compare_decoder.py NMEA_DUMP LOG

Both get the same sentences: everything between a '$' and the two digits behind '*' whose checksum agrees, found here
with a regular expression and not with our framer, whose list of sentences must be the same. A sentence that we call
malformed is counted and must be named in `MALFORMED`, by what is wrong with it.
"""

import datetime
import json
import re
import subprocess
import sys

try:
    import pynmea2
except ImportError:
    print("skipped: python3-nmea2 is not installed")
    sys.exit(77)

KNOT = 1852 / 3600
TALKERS = ("GP", "GN", "GL", "GA", "GB", "BD", "GQ", "QZ", "GI")


def sentences(data):
    for match in re.finditer(rb"\$([ -#%-)+-~]*)\*([0-9A-Fa-f]{2})", data):
        parity = 0
        for byte in match.group(1):
            parity ^= byte
        if parity == int(match.group(2), 16):
            yield match.start(), match.end(), match.group(0).decode("ascii")


def number(text):
    return float(text) if text not in (None, "") else None


def whole(text):
    return int(text) if text not in (None, "") else None


def milliseconds(time):
    if time in (None, ""):
        return None
    return ((time.hour * 60 + time.minute) * 60 + time.second) * 1000 + time.microsecond // 1000


def position(msg):
    printed = msg.lat != "" and msg.lon != ""
    digits = [len(t.partition(".")[2]) for t in (msg.lat, msg.lon)]
    return {
        "latitude_deg": msg.latitude if printed else None,
        "longitude_deg": msg.longitude if printed else None,
        "minute_decimals": min(digits) if printed else None,
    }


def gga(msg):
    quality = int(msg.gps_qual or 0)
    place = position(msg)
    if quality == 0:  # no fix: whatever is printed is no position
        place = dict.fromkeys(place)
    return place | {
        "time_of_day_ms": milliseconds(msg.timestamp),
        "quality": quality,
        "satellites": whole(msg.num_sats),
        "hdop": number(msg.horizontal_dil),
        "altitude_m": number(msg.altitude),
        "geoid_separation_m": number(msg.geo_sep),
        "age_s": number(msg.age_gps_data),
        "station": whole(msg.ref_station_id),
    }


def gns(msg):
    return position(msg) | {
        "time_of_day_ms": milliseconds(msg.timestamp),
        "modes": msg.mode_indicator,
        "satellites": whole(msg.num_sats),
        "hdop": number(msg.hdop),
        "altitude_m": number(msg.altitude),
        "geoid_separation_m": number(msg.geo_sep),
        "age_s": number(msg.age_gps_data),
        "station": whole(msg.diferential),  # as pynmea2 spells it
    }


def gst(msg):
    return {
        "time_of_day_ms": milliseconds(msg.timestamp),
        "range_rms_m": number(msg.rms),
        "semi_major_m": number(msg.std_dev_major),
        "semi_minor_m": number(msg.std_dev_minor),
        "orientation_deg": number(msg.orientation),
        "sigma_latitude_m": number(msg.std_dev_latitude),
        "sigma_longitude_m": number(msg.std_dev_longitude),
        "sigma_altitude_m": number(msg.std_dev_altitude),
    }


def gsa(msg):
    ids = [getattr(msg, f"sv_id{i:02}") for i in range(1, 13)]
    return {
        "mode": msg.mode,
        "fix": int(msg.mode_fix_type),
        "satellites": sum(1 for i in ids if i),
        "pdop": number(msg.pdop),
        "hdop": number(msg.hdop),
        "vdop": number(msg.vdop),
    }


def gsv(msg):
    return {"parts": int(msg.num_messages), "part": int(msg.msg_num), "in_view": whole(msg.num_sv_in_view)}


def rmc(msg):
    date = msg.datestamp if isinstance(msg.datestamp, datetime.date) else None
    return position(msg) | {
        "time_of_day_ms": milliseconds(msg.timestamp),
        "valid": msg.status == "A",
        "speed_mps": None if number(msg.spd_over_grnd) is None else number(msg.spd_over_grnd) * KNOT,
        "course_deg": number(msg.true_course),
        "day": date and date.day,
        "month": date and date.month,
        "year_two_digits": date and date.year % 100,
    }


def zda(msg):
    return {
        "time_of_day_ms": milliseconds(msg.timestamp),
        "day": whole(msg.day),
        "month": whole(msg.month),
        "year": whole(msg.year),
    }


def vtg(msg):
    kmh, knots = number(msg.spd_over_grnd_kmph), number(msg.spd_over_grnd_kts)
    speed = kmh / 3.6 if kmh is not None else None if knots is None else knots * KNOT
    return {"speed_mps": speed, "mode": msg.faa_mode or ""}


def dtm(msg):
    signed = lambda text, side: None if text == "" else -float(text) if side in ("S", "W") else float(text)
    return {
        "local": msg.datum,
        "reference": msg.datum_code,
        "latitude_offset_min": signed(msg.lat, msg.lat_dir),
        "longitude_offset_min": signed(msg.lon, msg.lon_dir),
        "altitude_offset_m": number(msg.altitude),
    }


READERS = {"GGA": gga, "GST": gst, "GSA": gsa, "GSV": gsv, "RMC": rmc, "ZDA": zda, "GNS": gns, "VTG": vtg, "DTM": dtm}

# Sentences that pynmea2 takes as they come and that we refuse, by a part of their text.
MALFORMED = ("-0214.4,W", ",XXXXX,")


def same(ours, theirs):
    if isinstance(ours, float) or isinstance(theirs, float):
        if ours is None or theirs is None:
            return False
        return abs(ours - theirs) <= 4e-14 * max(1.0, abs(ours), abs(theirs))  # two roundings apart
    return ours == theirs


def difference(text, ours):
    kind = text[3:6] if text[1:3] in TALKERS else ""
    if kind not in READERS:
        return None if ours["kind"] == "other" else "not ours, but read"
    if ours["kind"] == "malformed":
        return None if any(part in text for part in MALFORMED) else "called malformed"
    if ours["kind"] != kind:
        return f"read as {ours['kind']}"
    for key, value in READERS[kind](pynmea2.parse(text, check=True)).items():
        if not same(ours[key], value):
            return f"{key} is {ours[key]!r} here and {value!r} in pynmea2"
    return None


def main():
    program, log = sys.argv[1:3]
    with open(log, "rb") as file:
        theirs = list(sentences(file.read()))
    out = subprocess.run([program, log], capture_output=True, check=True, text=True).stdout
    ours = [json.loads(line) for line in out.splitlines()]
    failures = 0
    if [(o["begin"], o["end"]) for o in ours] != [t[:2] for t in theirs]:
        print(f"{log}: {len(ours)} sentences here, {len(theirs)} by the regular expression, or at other places")
        failures += 1
    kinds = {}
    for mine, (begin, _, text) in zip(ours, theirs):
        kinds[mine["kind"]] = kinds.get(mine["kind"], 0) + 1
        what = difference(text, mine)
        if what:
            failures += 1
            if failures <= 20:
                print(f"{log}, byte {begin}: {text}: {what}")
    print(f"{log}: {len(ours)} sentences compared with pynmea2 {pynmea2.__version__}, {failures} differences; {kinds}")
    return 1 if failures or not ours else 0


sys.exit(main())
