"""Seeded faults of frames, dates and heights: each is told in its own sentence by `--check`, or as an epoch's reason."""

import json
import math
import os
import subprocess
import unittest

from harness import DEADLINE_S, ProcessTest, log_of, sentence

REDUCE = os.environ.get("STILLPOINT_REDUCE")
SOURCE_FRAME = 'frame            = "EPSG:6319"\ncoordinate_epoch = 2010.0'
PROJECT_FRAME = 'frame            = "EPSG:6319"\ncoordinate_epoch = "observation"'
PARTS = "vertical_parts_m = { pole = 1.800, adapter_to_phase_centre = 0.071 }"
HEIGHT = 'height           = "ellipsoid"'
LAKE = ("--at", "47.6", "-87.4")


def source_frame(frame, epoch="2010.0"):
    return (SOURCE_FRAME, f'frame            = "{frame}"\ncoordinate_epoch = {epoch}')


def with_checksums(log):
    """The log with every sentence's checksum made right again."""
    return "".join(sentence(line[1:].split("*")[0]) for line in log.decode("ascii").splitlines()).encode("ascii")


def project_frame(frame):
    return (PROJECT_FRAME, f'frame            = "{frame}"\ncoordinate_epoch = "observation"')


# name, changes of the configuration, further arguments, what the sentence says
REFUSED = [
    ("a source called WGS 84", [source_frame("WGS 84")], (), ['source "county network"', '"WGS 84" does not say which realization']),
    ("a 2D code", [source_frame("EPSG:6318")], (), ["EPSG:6318 NAD83(2011) has no height", "EPSG:6319"]),
    ("a 2D code as target", [project_frame("EPSG:6318")], (), ["project frame", "EPSG:6318 NAD83(2011) has no height"]),
    ("a place on the wrong continent", [source_frame("ITRF2014")], ("--at", "48.8566", "2.3522"),
     ['source "county network"', "48.856600 N 2.352200 E is outside the area of use"]),
    ("a place outside the projection's zone", [project_frame("EPSG:6345")], ("--at", "38.2", "-77.4"),
     ["38.200000 N 77.400000 W is outside EPSG:6345 NAD83(2011) / UTM zone 16N"]),
    ("a source epoch of zero", [source_frame("EPSG:6319", "0.0")], (), ["coordinate_epoch"]),
    ("a day of zeros", [], (*LAKE, "--date", "0000-00-00"), ['got "0000-00-00"']),
    ("a day that is empty", [], (*LAKE, "--date", ""), ['got ""']),
    ("a day before the satellites", [], (*LAKE, "--date", "1970-01-01"), ["the date 1970-01-01 is not between 1980 and 2100"]),
    ("a latitude past the pole", [], ("--at", "91", "0"), ["the latitude 91 is not between -90 and 90"]),
    ("a longitude past the date line", [], ("--at", "0", "187.4"), ["the longitude 187.4 is not between -180 and 180"]),
    ("a place in words", [], ("--at", "here", "there"), ['decimal degrees', 'got "here there"']),
    ("an ensemble as target", [project_frame("EPSG:4937")], (), ["project frame", "EPSG:4937 ETRS89 rests on an ensemble"]),
    ("an operation whose grid is not here", [source_frame("EPSG:4977"), project_frame("EPSG:7912")], (),
     ["needs the grid eur_nkg_nkgrf17vel.tif, which is not installed"]),
    ("a geoid grid that is not here",
     [(HEIGHT, 'height           = "orthometric"'),
      ("[antenna]", '[project.geoid]\ngrid = "county-geoid.tif"\nname = "County geoid"\nframe = "EPSG:6319"\n[antenna]')], (),
     ["county-geoid.tif"]),
    ("feet typed as metres", [(PARTS, "vertical_parts_m = { pole = 6.138 }\nalso_measured_ft = 6.138")], (),
     ["6.138 ft is 1.8709 m, but the first gives 6.1380 m"]),
    ("metres typed as feet", [(PARTS, PARTS + "\nalso_measured_ft = 1.871")], (), ["1.871 ft is 0.5703 m, but the first gives 1.8710 m"]),
    ("a slant shorter than its radius", [(PARTS, "slant_m = { length = 0.185, radius = 0.190 }")], (), ["antenna.slant_m.radius is not below the length"]),
    # 6.1516 ft is 1.875 m by the international foot of 0.3048 m (NIST), 4 mm over the parts.
    ("a second reading off by 4 mm", [(PARTS, PARTS + "\nalso_measured_ft = 6.1516")], (), ["differ by 4.0 mm, limit 3 mm"]),
]


class SeededFaults(ProcessTest):
    def change(self, changes):
        path = self.folder / "config.toml"
        text = path.read_text()
        for old, new in changes:
            self.assertEqual(text.count(old), 1, old)
            text = text.replace(old, new)
        path.write_text(text)

    def test_each_ends_the_check_with_its_own_sentence(self):
        sentences = set()
        for name, changes, arguments, words in REFUSED:
            with self.subTest(name):
                self.configure_replay(log_of(2))
                self.change(changes)
                done = self.run_config("--check", *arguments)
                self.assertEqual((done.returncode, done.stdout), (2, ""), done.stderr)
                self.assertEqual(done.stderr.count("\n"), 1, done.stderr)
                for part in words:
                    self.assertIn(part, done.stderr)
                sentences.add(done.stderr.replace(str(self.folder), ""))
        self.assertEqual(len(sentences), len(REFUSED), sentences)

    def test_a_second_reading_within_3_mm_passes(self):
        self.configure_replay(log_of(2))
        self.change([(PARTS, PARTS + "\nalso_measured_ft = 6.1480")])  # 1.8739 m, 2.9 mm over
        done = self.run_config("--check", *LAKE)
        self.assertEqual(done.returncode, 0, done.stderr)

    def test_place_and_day_without_check_are_refused(self):
        self.configure_replay(log_of(2))
        for arguments in (LAKE, ("--date", "2026-06-03")):
            with self.subTest(arguments):
                done = self.run_config(*arguments)
                self.assertEqual((done.returncode, done.stdout), (2, ""))
                self.assertIn("belong to --check", done.stderr)

    def test_readings_that_disagree_stop_the_start_and_the_recomputation_too(self):
        self.configure_replay(log_of(8))
        self.change([(PARTS, PARTS + "\nalso_measured_ft = 6.1516")])
        started = self.run_config()
        self.assertEqual((started.returncode, started.stdout), (2, ""), started.stderr)
        self.assertIn("differ by 4.0 mm, limit 3 mm", started.stderr)
        if REDUCE:
            done = self.reduce()
            self.assertEqual((done.returncode, done.stdout), (2, ""), done.stderr)
            self.assertIn("differ by 4.0 mm, limit 3 mm", done.stderr)

    def reduce(self, *arguments):
        return subprocess.run([REDUCE, "--config", self.folder / "config.toml", "--log", self.folder / "day.nmea", *arguments],
                              capture_output=True, text=True, timeout=DEADLINE_S)

    @unittest.skipUnless(REDUCE, "stillpoint-reduce was not built")
    def test_what_only_an_epoch_can_show_is_its_reason(self):
        zero_date = log_of(8, rmc=False).replace(b"$GNGST", sentence("GNRMC,140000.00,A,4736.0,N,08724.0,W,0.0,,000000,,,R,V").encode() + b"$GNGST")
        paris = log_of(8).replace(b",N,08724.0000000,W,", b",N,00224.0000000,E,")
        rows = [
            ("no date", log_of(8, rmc=False), "no-date"),
            ("a date of zeros", zero_date, "no-date"),
            ("another continent", with_checksums(paris), "frame"),
        ]
        for name, log, reason in rows:
            with self.subTest(name):
                self.configure_replay(log)
                self.change([source_frame("ITRF2014", '"observation"')])
                done = self.reduce("--epochs")
                epochs = [line for line in map(json.loads, done.stdout.splitlines()) if "verdict" in line]
                self.assertGreaterEqual(len(epochs), 7, done.stderr)
                for epoch in epochs:
                    self.assertEqual(epoch["verdict"], "refused")
                    self.assertIn(reason, epoch["reasons"])


# ITRF2014 to NAD83(2011), EPSG:8970, as a coordinate frame rotation at 2010.0: metres, milliarcseconds, parts in 10^9,
# each with its rate a year. PROJ 9.1 has them rounded, hence 2 mm.
SHIFT_M, SHIFT_RATE_M = (1.0053, -1.90921, -0.54157), (0.00079, -0.0006, -0.00144)
TURN_MAS, TURN_RATE_MAS = (26.78138, -0.42027, 10.93206), (0.06667, -0.75744, -0.05133)
SCALE_PPB, SCALE_RATE_PPB = 0.36891, -0.07201


def shift_by_formula(latitude_deg, longitude_deg, year):
    """East, north and up of the place's move, by the 14 parameters alone; the ellipsoid is GRS 80."""
    latitude, longitude = math.radians(latitude_deg), math.radians(longitude_deg)
    e2 = (2 - 1 / 298.257222101) / 298.257222101
    normal = 6378137.0 / math.sqrt(1 - e2 * math.sin(latitude) ** 2)
    x, y, z = (normal * math.cos(latitude) * math.cos(longitude), normal * math.cos(latitude) * math.sin(longitude),
               normal * (1 - e2) * math.sin(latitude))
    years = year - 2010.0
    tx, ty, tz = (t + rate * years for t, rate in zip(SHIFT_M, SHIFT_RATE_M))
    rx, ry, rz = (math.radians((r + rate * years) / 3.6e6) for r, rate in zip(TURN_MAS, TURN_RATE_MAS))
    scale = (SCALE_PPB + SCALE_RATE_PPB * years) * 1e-9
    dx, dy, dz = tx + scale * x + rz * y - ry * z, ty + scale * y - rz * x + rx * z, tz + scale * z + ry * x - rx * y
    across = math.cos(longitude) * dx + math.sin(longitude) * dy
    return (math.cos(longitude) * dy - math.sin(longitude) * dx, math.cos(latitude) * dz - math.sin(latitude) * across,
            math.cos(latitude) * across + math.sin(latitude) * dz)


class Shift(ProcessTest):
    def shift_lines(self, *arguments):
        done = self.run_config("--check", *arguments)
        self.assertEqual(done.returncode, 0, done.stderr)
        lines = done.stdout.splitlines()
        at = next(i for i, line in enumerate(lines) if line.startswith("  shift:"))
        return lines[at].split(), lines[at + 1].strip()

    def moved(self, frame, epoch, *arguments):
        self.configure_replay(log_of(2))
        path = self.folder / "config.toml"
        text = path.read_text()
        old, new = source_frame(frame, epoch)
        path.write_text(text.replace(old, new))
        words, where = self.shift_lines(*arguments)
        return [float(words[i]) for i in (2, 5, 8)], where

    def test_the_shift_is_told_at_the_place_and_on_the_day(self):
        # A year later the plate has gone 1 to 3 cm further; a network's own epoch holds whatever the day.
        first, where = self.moved("ITRF2014", '"observation"', *LAKE, "--date", "2026-06-03")
        self.assertEqual(where, "at 47.600000 N 87.400000 W on 2026-06-03")
        later, _ = self.moved("ITRF2014", '"observation"', *LAKE, "--date", "2027-06-03")
        apart = sum((a - b) ** 2 for a, b in zip(first, later)) ** 0.5
        self.assertTrue(0.010 < apart < 0.030, (first, later))
        for got, want in zip(first, shift_by_formula(47.6, -87.4, 2026 + 153.5 / 365)):
            self.assertAlmostEqual(got, want, delta=0.002)
        fixed, where = self.moved("ITRF2014", "2010.0", *LAKE, "--date", "2026-06-03")
        self.assertEqual(where, "at 47.600000 N 87.400000 W on 2026-06-03, taken at 2010")
        self.assertEqual(fixed, self.moved("ITRF2014", "2010.0", *LAKE, "--date", "2027-06-03")[0])
        self.assertNotEqual(fixed, first)

    def test_without_a_place_one_in_the_area_is_tried(self):
        shift, where = self.moved("ITRF2014", '"observation"')
        self.assertTrue(where.startswith("at ") and "(a place in its area) on 2" in where, where)
        self.assertGreater(max(map(abs, shift)), 0.5)


if __name__ == "__main__":
    unittest.main()
