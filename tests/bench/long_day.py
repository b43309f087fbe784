#!/usr/bin/python3
"""The material of a long day at 10 Hz: a scenario for stillpoint-simulate, a configuration and a visits file.

    long_day.py FOLDER [HOURS]

One place an hour's twelfth and a half: the pole stands on it for 210 of 288 seconds, so 24 hours have 300 visits. All
names and places are invented; the coordinates lie in open lake water.
"""
import sys
from datetime import datetime, timedelta
from pathlib import Path

START = datetime(2026, 6, 3)
EVERY_S, FROM_S, TO_S = 288, 40, 250

SCENARIO = """name      = "A long day"
about     = "Every hour of a day at 10 Hz, one point after the other."
start_utc = "2026-06-03T00:00:00Z"
seconds   = {seconds}
seed      = 20260603
frame     = "EPSG:6319"

[receiver]
rate_hz   = 10
sentences = ["GGA", "GSA", "GSV", "RMC", "GST"]
every     = {{ RMC = 10, GSV = 20 }}

[[source]]
name            = "county network"
quality         = "rtk-fixed"
station         = "0417"
frame           = "EPSG:6319"
drift_m_per_min = 0.03
white_m         = {{ east = 0.004, north = 0.004, up = 0.008 }}
markov_m        = {{ east = 0.006, north = 0.006, up = 0.010 }}
tau_s           = {{ east = 60, north = 60, up = 90 }}

[[use]]
at_s   = 0
source = "county network"
"""

PLACE = """
[[mark]]
name               = "P-{n:03d}"
latitude_deg       = {latitude:.7f}
longitude_deg      = {longitude:.7f}
ellipsoid_height_m = 148.300

[[stand]]
mark             = "P-{n:03d}"
from_s           = {from_s}
to_s             = {to_s}
antenna_height_m = 1.871
"""

SETTINGS = """[project]
name             = "A long day"
crew             = "A"
frame            = "EPSG:6319"
coordinate_epoch = "observation"
height           = "ellipsoid"
pointbook        = "day.gpkg"
record           = "record"

[[feed]]
kind = "tcp"
host = "127.0.0.1"
port = 28110

[antenna]
vertical_parts_m = { pole = 1.800, adapter_to_phase_centre = 0.071 }

[[source]]
name             = "county network"
match            = { station = ["417"] }
frame            = "EPSG:6319"
coordinate_epoch = 2010.0
evidence         = "invented"
error_scale      = 1.0
error_floor_m    = { horizontal = 0.008, vertical = 0.012 }
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
settle_s                 = 5.0
min_minute_decimals      = 6

[occupation]
min_epochs     = 30
min_duration_s = 30
max_duration_s = 600

[control]
socket = "control"
"""


def write_day(folder, hours):
    seconds = int(hours * 3600)
    scenario, visits = SCENARIO.format(seconds=seconds), "name,start_utc,end_utc,code\n"
    for n in range(seconds // EVERY_S):
        begin = n * EVERY_S
        scenario += PLACE.format(n=n + 1, latitude=47.6 + n % 20 * 0.0009, longitude=-87.4 + n // 20 * 0.0012,
                                 from_s=begin + FROM_S, to_s=begin + TO_S)
        at = [(START + timedelta(seconds=begin + s)).strftime("%Y-%m-%dT%H:%M:%SZ") for s in (FROM_S + 5, TO_S - 5)]
        visits += f"P-{n + 1:03d},{at[0]},{at[1]},\n"
    (folder / "day.toml").write_text(scenario)
    (folder / "day.visits.csv").write_text(visits)
    (folder / "settings.toml").write_text(SETTINGS)


if __name__ == "__main__":
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    target = Path(sys.argv[1])
    target.mkdir(parents=True, exist_ok=True)
    write_day(target, float(sys.argv[2]) if len(sys.argv) == 3 else 24)
