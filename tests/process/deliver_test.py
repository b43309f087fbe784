"""Deliveries as they leave the house: read back by GDAL's programs and by Python, and held against the pointbook.

Coordinates agree within the last digit that the format writes; names, codes, times, frames and counts are equal.
"""

import collections
import contextlib
import csv
import hashlib
import io
import json
import os
import re
import shutil
import sqlite3
import struct
import subprocess
import unittest
from pathlib import Path

import zones
from harness import DEADLINE_S, OFFICE, ProcessTest, log_of

BOOK = os.environ["STILLPOINT_DELIVERY_BOOK"]
REPORT = os.environ["STILLPOINT_REPORT"]
GDAL = all(map(shutil.which, ("ogr2ogr", "ogrinfo", "gdalsrsinfo")))
LAKE = (47.6, -87.4)
FORMATS = ("gpkg", "csv", "geojson", "shp", "dxf")
UTM = ("--frame", "NAD83(2011) / UTM zone 16N")
# A field of dBASE has 254 bytes.
NARROW = 254
Read = collections.namedtuple("Read", "x y z values")


def run(*words, **process):
    return subprocess.run(list(map(str, words)), capture_output=True, text=True, timeout=DEADLINE_S, **process)


def cut(text, most=NARROW):
    return text.encode()[:most].decode(errors="ignore")


def by_gdal(path):
    """The features of any file, by ogr2ogr into a CSV."""
    done = run("ogr2ogr", "-f", "CSV", "/vsistdout/", path, "-lco", "GEOMETRY=AS_WKT")
    assert done.returncode == 0, done.stderr
    for row in csv.DictReader(io.StringIO(done.stdout, newline="")):
        numbers = list(map(float, re.findall(r"-?\d+(?:\.\d+)?(?:e[+-]\d+)?", row.pop("WKT"))))
        yield Read(numbers[0], numbers[1], numbers[2] if len(numbers) > 2 else None, row)


def rows_of(path):
    return list(csv.DictReader(io.StringIO(path.read_bytes().decode(), newline="")))


def texts_of_drawing(path):
    """Points and names of a DXF file by its group codes: 8 layer, 1 text, 10 20 30 coordinates."""
    lines = path.read_bytes().decode("cp1252").splitlines()
    pairs = list(zip((int(code) for code in lines[::2]), lines[1::2]))
    entities, inside = [], False
    for code, value in pairs:
        if (code, value) == (2, "ENTITIES"):
            inside = True
        elif inside and code == 0:
            entities.append({"kind": value})
        elif inside and entities:
            entities[-1].setdefault(code, value)
    # In MTEXT a blank that does not break the line is a backslash and a tilde (DXF reference, from memory).
    plain = lambda text: re.sub(r"\\U\+([0-9A-Fa-f]{4})", lambda m: chr(int(m.group(1), 16)), text.replace("\\~", " "))
    return [{"kind": e["kind"], "layer": e.get(8), "text": plain(e.get(1, "")), "at": tuple(float(e[c]) for c in (10, 20, 30) if c in e)}
            for e in entities if e["kind"] in ("POINT", "MTEXT", "TEXT")]


def units_of_drawing(path):
    lines = path.read_bytes().decode("cp1252").splitlines()
    return int(lines[lines.index("$INSUNITS") + 2])


@unittest.skipUnless(OFFICE, "stillpoint-office was not built")
class Deliveries(ProcessTest):
    def book(self, kind="plain", points=30, place=LAKE, name="day.gpkg"):
        path = self.folder / name
        done = run(BOOK, kind, points, *place, path)
        self.assertEqual(done.returncode, 0, done.stderr)
        return path

    def deliver(self, book, as_, *more, out=None, status=1):
        out = out or self.folder / f"out-{as_}"
        done = run(OFFICE, "deliver", "--pointbook", book, "--as", as_, "--out", out, *more)
        self.assertEqual(done.returncode, status, done.stderr or done.stdout)
        return out / f"{Path(book).stem}-points.{as_}"

    def stored(self, book, where="status = 'accepted'"):
        with contextlib.closing(sqlite3.connect(book)) as database:
            database.row_factory = sqlite3.Row
            return [dict(row) for row in database.execute(f"SELECT * FROM current_points WHERE {where} AND latitude_deg IS NOT NULL ORDER BY started_utc")]

    def sheet(self, file):
        return (file.parent / f"{file.stem}-{file.suffix[1:]}.txt").read_text()

    def assert_refused(self, done, status, said):
        self.assertEqual(done.returncode, status, done.stdout + done.stderr)
        self.assertIn(said, done.stderr)
        self.assertEqual(done.stderr.count("\n"), 1, done.stderr)
        self.assertEqual(done.stdout, "")

    # --- round trips ----------------------------------------------------------------------------------------------

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_500_points_come_back_from_every_format_as_they_are_in_the_book(self):
        for kind, points, held in (("plain", 500, 21), ("odd", 60, 3)):
            book = self.book(kind, points, name=f"{kind}.gpkg")
            stored = self.stored(book)
            self.assertEqual(len(stored), points - held - 1)
            for as_ in ("gpkg", "geojson", "shp"):
                with self.subTest(kind=kind, format=as_):
                    self.agrees(self.deliver(book, as_), stored, narrow=as_ == "shp", brief=as_ != "geojson")
            with self.subTest(kind=kind, format="csv"):
                self.csv_agrees(self.deliver(book, "csv"), stored)
            with self.subTest(kind=kind, format="dxf"):
                self.drawing_agrees(self.deliver(book, "dxf", *UTM), stored, plain=kind == "plain")

    def agrees(self, file, stored, narrow, brief):
        read = list(by_gdal(file))
        self.assertEqual(len(read), len(stored))
        name = (lambda long, short: short) if brief else (lambda long, short: long)
        fit = cut if narrow else lambda text: text
        for feature, row in zip(read, stored):
            self.assertAlmostEqual(feature.x, row["longitude_deg"], delta=6e-12)
            self.assertAlmostEqual(feature.y, row["latitude_deg"], delta=6e-12)
            no_height = "height-not-measured" in (row["flags"] or "")
            height = feature.values[name("ellipsoid_height_m", "ell_m")]
            if no_height:
                self.assertEqual(height, "")
                self.assertIn(feature.z, (None, 0.0) if narrow else (None,))
            else:
                self.assertAlmostEqual(feature.z, row["ellipsoid_height_m"], delta=6e-7)
                self.assertAlmostEqual(float(height), row["ellipsoid_height_m"], delta=6e-5)
            values = feature.values
            self.assertEqual(values["point"], fit(row["name"]))
            self.assertEqual(int(values["visit"]), row["visit"])
            self.assertEqual(values["code"], fit(row["code"] or ""))
            self.assertEqual(values["note"], fit(row["note"] or ""))
            self.assertEqual(values["status"], "accepted")
            self.assertEqual(values["uuid"], row["uuid"])
            self.assertEqual(values["frame"], "EPSG:6319 NAD83(2011)")
            self.assertAlmostEqual(float(values[name("coordinate_epoch", "coord_ep")]), row["coordinate_epoch"], delta=6e-5)
            for long, short in (("started_utc", "began_utc"), ("finished_utc", "ended_utc")):
                self.assertEqual(self.as_utc(values[name(long, short)]), self.as_utc(row[long]), long)
            self.assertAlmostEqual(float(values[name("error95_horizontal_m", "e95h_m")]), row["error95_horizontal_m"], delta=6e-5)

    def as_utc(self, text):
        """`2026/06/03 12:12:00.250+00` and `2026-06-03T12:12:00.250Z`."""
        found = re.fullmatch(r"(\d{4})[-/](\d\d)[-/](\d\d)[ T](\d\d):(\d\d):(\d\d(?:\.\d+)?)(?:Z|\+00)", text)
        self.assertTrue(found, text)
        return (*map(int, found.groups()[:5]), round(float(found.group(6)) * 1000))

    def csv_agrees(self, file, stored):
        text = file.read_bytes().decode()
        rows = list(csv.DictReader(io.StringIO(text, newline="")))
        self.assertEqual(len(rows), len(stored))
        self.assertEqual(text.count("\r\n"), len(stored) + 1)
        for values, row in zip(rows, stored):
            guard = "'" if row["name"][0] in "=+-@" else ""
            self.assertEqual(values["point"], guard + row["name"])
            self.assertEqual(values["longitude_deg"], f"{row['longitude_deg']:.11f}")
            self.assertEqual(values["latitude_deg"], f"{row['latitude_deg']:.11f}")
            self.assertEqual((values["code"], values["uuid"]), (row["code"] or "", row["uuid"]))
            self.assertEqual(self.as_utc(values["started_utc"]), self.as_utc(row["started_utc"]))
            self.assertEqual(values["frame"], "EPSG:6319 NAD83(2011)")

    def drawing_agrees(self, file, stored, plain):
        entities = texts_of_drawing(file)
        points = [e for e in entities if e["kind"] == "POINT"]
        names = [e for e in entities if e["kind"] == "MTEXT"]
        self.assertEqual((len(points), len(names)), (len(stored), len(stored)))
        self.assertEqual(units_of_drawing(file), 6)
        at = self.moved("EPSG:6318", "EPSG:6345", [(row["latitude_deg"], row["longitude_deg"]) for row in stored])
        for point, name, row, (east, north) in zip(points, names, stored, at):
            self.assertAlmostEqual(point["at"][0], east, delta=2e-6)
            self.assertAlmostEqual(point["at"][1], north, delta=2e-6)
            self.assertEqual(point["at"][:2], name["at"][:2])
            self.assertEqual(point["layer"], name["layer"])
            self.assertEqual(point["layer"].endswith("-NO-HEIGHT"), "height-not-measured" in (row["flags"] or ""))
            self.assertTrue(point["layer"].startswith("CUL-U" if row["code"] == "CUL-U" else "ditch___stlich" if row["code"] else "NO-CODE"), point)
            if plain:
                self.assertEqual(name["text"], row["name"] if row["visit"] == 1 else f"{row['name']}, visit {row['visit']}")
        info = run("ogrinfo", "-al", "-so", file)
        self.assertIn(f"Feature Count: {2 * len(stored)}", info.stdout)

    def moved(self, source, target, places):
        """By PROJ's own program, in the axis order of the frames."""
        lines = "".join(f"{a:.12f} {b:.12f}\n" for a, b in places)
        done = subprocess.run(["cs2cs", "-f", "%.7f", source, target], input=lines, capture_output=True, text=True, timeout=DEADLINE_S)
        return [tuple(map(float, line.split()[:2])) for line in done.stdout.splitlines()]

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_a_delivered_geopackage_is_one_by_the_rules_of_the_standard(self):
        """OGC 12-128r17: requirement numbers as in its version 1.3, from memory."""
        rows = ((("plain", ()), 6319), (("plain", UTM), 6345), (("moving", ()), 7912))
        for number, ((kind, more), code) in enumerate(rows):
            book = self.book(kind, 40, name=f"{kind}-{number}.gpkg")
            file = self.deliver(book, "gpkg", *more, out=self.folder / f"rules-{number}", status=0 if kind == "moving" else 1)
            with self.subTest(kind=kind, more=more), contextlib.closing(sqlite3.connect(file)) as database:
                one = lambda sql: database.execute(sql).fetchone()
                self.assertEqual(one("PRAGMA application_id")[0], 0x47504B47)  # R2: GPKG
                self.assertEqual(one("PRAGMA user_version")[0], 10300)  # R2
                self.assertEqual(one("PRAGMA integrity_check")[0], "ok")  # R6
                self.assertEqual(database.execute("PRAGMA foreign_key_check").fetchall(), [])  # R7
                self.assertLessEqual({(-1, "NONE"), (0, "NONE"), (4326, "EPSG")}, set(database.execute("SELECT srs_id, organization FROM gpkg_spatial_ref_sys")))  # R11
                table, kind_of, srs = one("SELECT table_name, data_type, srs_id FROM gpkg_contents")  # R13, R14
                self.assertEqual((table, kind_of), ("points", "features"))
                organization, found = one(f"SELECT organization, organization_coordsys_id FROM gpkg_spatial_ref_sys WHERE srs_id = {srs}")
                self.assertEqual((organization, found), ("EPSG", code))
                self.assertEqual(one("SELECT column_name, geometry_type_name, srs_id, m FROM gpkg_geometry_columns"), ("geom", "POINT", srs, 0))  # R21 to R28
                extensions = {name for (name,) in database.execute("SELECT extension_name FROM gpkg_extensions")}
                self.assertIn("gpkg_rtree_index", extensions)  # R75 and what follows
                if code != 6345:
                    self.assertTrue(any(name.startswith("gpkg_crs_wkt") for name in extensions), extensions)
                self.assertEqual(one("SELECT count(*) FROM rtree_points_geom"), one("SELECT count(*) FROM points"))
                triggers = {name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")}
                self.assertLessEqual({f"rtree_points_geom_{what}" for what in ("insert", "update1", "update2", "update3", "update4", "delete")}, triggers)  # R77
                for (blob,) in database.execute("SELECT geom FROM points"):
                    magic, version, flags, header_srs = struct.unpack("<2sBBi", blob[:8])  # R19
                    self.assertEqual((magic, version, flags & 1, header_srs), (b"GP", 0, 1, srs))
                columns = {name: kind_of for _, name, kind_of, *_ in database.execute("PRAGMA table_info(points)")}
                self.assertTrue(all(len(name) <= 10 for name in columns), columns)
                self.assertTrue(all(re.match("INTEGER|REAL|TEXT|DATETIME|POINT", kind_of) for kind_of in columns.values()), columns)  # R5
                for name in ("began_utc", "ended_utc"):
                    for (value,) in database.execute(f"SELECT {name} FROM points"):
                        self.assertRegex(value, r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$")  # R5, DATETIME

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_the_name_of_the_pointbook_reaches_no_other_program(self):
        for number, name in enumerate(("-overwrite.gpkg", "ERROR 1.gpkg", "a, b;$(touch x)'\"\u00e9.gpkg", "/".join(("GPKG:x", "day.gpkg")))):
            with self.subTest(name=name):
                (self.folder / name).parent.mkdir(exist_ok=True)
                book = self.book("moving", 3, name=name)
                file = self.deliver(book, "shp", out=self.folder / f"named-{number}", status=0)
                self.assertEqual(len(list(by_gdal(file))), 3)
                self.assertEqual({p.stem.split("-points")[0] for p in file.parent.iterdir()}, {Path(name).stem})

    # --- frames, units, heights -----------------------------------------------------------------------------------

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_every_file_says_which_frame_it_is_in_as_gdal_reads_it(self):
        book = self.book()
        rows = [("gpkg", (), "EPSG:6319"), ("geojson", (), "EPSG:6319"), ("shp", (), "EPSG:6318"), ("gpkg", UTM, "EPSG:6345"),
                ("shp", UTM, "EPSG:6345"), ("geojson", UTM, "EPSG:6345"), ("geojson", ("--frame", "WGS 84 (G2139)"), "EPSG:4979"),
                ("gpkg", ("--units", "ft"), "EPSG:6318"), ("gpkg", ("--frame", "EPSG:6495", "--units", "ft"), "EPSG:6496")]
        for number, (as_, more, code) in enumerate(rows):
            with self.subTest(format=as_, more=more):
                file = self.deliver(book, as_, *more, out=self.folder / f"frame-{number}")
                said = run("gdalsrsinfo", "-e", "-o", "epsg", file)
                self.assertIn(code, said.stdout, said.stdout + said.stderr)
                info = run("ogrinfo", "-al", "-so", file)
                self.assertEqual(info.returncode, 0)
                self.assertIn("Feature Count: 28", info.stdout)
        crs = json.loads((self.folder / "frame-1" / "day-points.geojson").read_text())["crs"]
        self.assertEqual(crs["properties"]["name"], "urn:ogc:def:crs:EPSG::6319")
        self.assertNotIn("crs", json.loads((self.folder / "frame-6" / "day-points.geojson").read_text()))
        self.assertIn("NOT WGS 84", (self.folder / "frame-1" / "day-points-geojson.txt").read_text())
        moved = (self.folder / "frame-6" / "day-points-geojson.txt").read_text()
        self.assertIn("operation: Inverse of ITRF2014 to NAD83(2011) (1)", moved)
        self.assertIn("its stated accuracy: 0.010 m", moved)

    def test_feet_of_four_zones_are_those_of_the_published_formulas(self):
        for name, code, units, unit_m, place, project in zones.ZONES:
            with self.subTest(zone=name):
                book = self.book("plain", 40, place, f"{units}-{code[5:]}.gpkg")
                for more in (("--frame", code), ("--frame", f"NAD83(2011) / {name}", "--units", units)):
                    out = self.folder / f"{code[5:]}-{len(more)}"
                    file = self.deliver(book, "csv", *more, "--columns", "P,N,E,Z,D,latitude_deg,longitude_deg,frame", out=out)
                    suffix = "ft" if units == "ft" else "ftus"
                    rows = rows_of(file)
                    self.assertEqual(list(rows[0])[:5], ["point", f"northing_{suffix}", f"easting_{suffix}", f"ellipsoid_height_{suffix}", "code"])
                    for row, stored in zip(rows, self.stored(book), strict=True):
                        east, north = project(stored["latitude_deg"], stored["longitude_deg"])
                        # The data set's false eastings in feet are rounded, to a ten-thousandth.
                        self.assertAlmostEqual(float(row[f"easting_{suffix}"]), east / unit_m, delta=6e-4)
                        self.assertAlmostEqual(float(row[f"northing_{suffix}"]), north / unit_m, delta=1.5e-4)
                        if row[f"ellipsoid_height_{suffix}"]:
                            self.assertAlmostEqual(float(row[f"ellipsoid_height_{suffix}"]), stored["ellipsoid_height_m"] / unit_m, delta=6e-5)
                        self.assertEqual(row["frame"], f"{code} NAD83(2011) / {name}")
                    self.assertIn("international feet" if units == "ft" else "US survey feet", self.sheet(file))

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_a_grid_that_has_no_code_in_the_wanted_unit_is_written_out_in_it(self):
        book = self.book()
        file = self.deliver(book, "gpkg", *UTM, "--units", "ft-us")
        layer = run("ogrinfo", "-al", "-so", file).stdout
        self.assertIn('LENGTHUNIT["US survey foot"', layer)
        grid = self.moved("EPSG:6318", "EPSG:6345", [(r["latitude_deg"], r["longitude_deg"]) for r in self.stored(book)])
        for feature, (east, north) in zip(by_gdal(file), grid, strict=True):
            self.assertAlmostEqual(feature.x * zones.SURVEY_FOOT, east, delta=2e-6)
            self.assertAlmostEqual(float(feature.values["north_ftus"]) * zones.SURVEY_FOOT, north, delta=2e-5)
        self.assertIn("for which EPSG:6345 NAD83(2011) / UTM zone 16N has no code", " ".join(self.sheet(file).split()))
        done = run(OFFICE, "deliver", "--pointbook", book, "--as", "geojson", "--out", self.folder / "no", *UTM, "--units", "ft")
        self.assert_refused(done, 2, "GeoJSON names a frame by its code")

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_ground_and_local_lengths_name_no_frame_and_say_what_they_are(self):
        book = self.book()
        grid = list(by_gdal(self.deliver(book, "gpkg", *UTM, out=self.folder / "grid")))
        ground_file = self.deliver(book, "gpkg", *UTM, "--combined-factor", "0.99987", out=self.folder / "ground")
        for one, other in zip(grid, by_gdal(ground_file), strict=True):
            self.assertAlmostEqual(one.x / 0.99987, other.x, delta=2e-6)
            self.assertAlmostEqual(one.y / 0.99987, other.y, delta=2e-6)
            self.assertEqual(other.values["frame"], "ground")
        self.assertIn("combined factor 0.99987", " ".join(self.sheet(ground_file).split()))
        layer = run("ogrinfo", "-al", "-so", ground_file).stdout
        self.assertIn('ENGCRS["Lengths on the ground, not those of EPSG:6345', layer)
        self.assertIn('LENGTHUNIT["metre",1', layer)
        self.assertNotIn("GEOGCRS", layer)
        shapes = self.deliver(book, "shp", *UTM, "--combined-factor", "0.99987", out=self.folder / "shapes")
        self.assertFalse(shapes.with_suffix(".prj").exists())
        local = self.deliver(book, "dxf", "--local", "HF-1", out=self.folder / "local")
        at = [e["at"] for e in texts_of_drawing(local) if e["kind"] == "POINT"]
        self.assertEqual(at[0][:2], (0, 0))
        # East and north of the invented way's second point, as it was laid out on the plane of the lake's place.
        self.assertAlmostEqual(at[1][0], 7.1234567, delta=2e-4)
        self.assertAlmostEqual(at[1][1], 3.7654321 - 0.004, delta=2e-4)
        self.assertIn("local: east and north", self.sheet(local))

    def test_heights_are_those_that_the_book_has_and_others_are_refused(self):
        book = self.book("orthometric", 30, name="geoid.gpkg")
        for more, column in (((), "orthometric_height_m"), (("--height", "ellipsoid"), "ellipsoid_height_m")):
            file = self.deliver(book, "csv", *more, out=self.folder / column)
            for row, stored in zip(rows_of(file), self.stored(book), strict=True):
                if "height-not-measured" in (stored["flags"] or ""):
                    self.assertEqual(row[column], "")
                else:
                    self.assertEqual(row[column], f"{stored[column]:.4f}")
        self.assertIn("heights are above the geoid EGM96", self.sheet(self.folder / "orthometric_height_m" / "geoid-points.csv"))
        done = run(OFFICE, "deliver", "--pointbook", self.book(), "--as", "csv", "--out", self.folder / "no", "--height", "orthometric")
        self.assert_refused(done, 2, "has no heights above a geoid")

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_the_epoch_of_a_moving_frame_stands_at_the_layer_where_there_is_a_place_and_always_in_the_sheet(self):
        book = self.book("moving", 30, name="moving.gpkg")
        for as_ in ("gpkg", "csv", "geojson", "shp"):
            with self.subTest(format=as_):
                file = self.deliver(book, as_, status=0)
                sheet = " ".join(self.sheet(file).split())
                self.assertIn("coordinate epoch: 2026.4200", sheet)
                self.assertIn("the frame is not fixed to a plate", sheet)
                self.assertIn("the layer says 2026.420" if as_ == "gpkg" else "the format has no place for a coordinate epoch", sheet)
        self.assertIn("Coordinate epoch: 2026.42", run("ogrinfo", "-al", "-so", self.folder / "out-gpkg" / "moving-points.gpkg").stdout)

    # --- what leaves and what does not ----------------------------------------------------------------------------

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_nothing_held_leaves_unless_it_is_asked_for_and_then_it_is_marked_in_every_format(self):
        book = self.book("plain", 60)
        held = {row["uuid"]: row["name"] for row in self.stored(book, "status = 'held'")}
        self.assertEqual(set(held.values()), {"HF-8", "HF-32", "HF-56"})
        for as_ in FORMATS:
            for more in ((), ("--with-held",)):
                with self.subTest(format=as_, more=more):
                    file = self.deliver(book, as_, *UTM, *more, out=self.folder / f"{as_}-{len(more)}")
                    marked = {}
                    if as_ == "dxf":
                        entities = texts_of_drawing(file)
                        marked = {e["text"].removeprefix("HELD "): e["layer"].startswith("HELD-") and e["text"].startswith("HELD ")
                                  for e in entities if e["kind"] == "MTEXT"}
                    elif as_ == "csv":
                        marked = {r["point"]: r["status"] == "held" for r in rows_of(file)}
                    else:
                        marked = {f.values["point"]: f.values["status"] == "held" for f in by_gdal(file)}
                    wanted = set(held.values()) if more else set()
                    self.assertEqual({name for name, is_held in marked.items() if is_held}, wanted)
                    self.assertEqual(len(marked), 60 - 1 - 1 - (0 if more else 3) + (1 if as_ == "dxf" else 0))
                    self.assertNotIn("HF-4", marked)  # rejected
                    everything = b"".join(p.read_bytes() for p in file.parent.iterdir())
                    self.assertNotIn(b"SUPERSEDED", everything)
                    self.assertIn(f"held back, because they are held: {0 if more else 3}", self.sheet(file))
        file = self.deliver(book, "csv", "--with-held", "--columns", "P,N,E,Z,D", "--no-header", *UTM, out=self.folder / "order")
        rows = list(csv.reader(io.StringIO(file.read_bytes().decode(), newline="")))
        self.assertEqual({row[0] for row in rows if row[5] == "held"}, set(held.values()))
        self.assertEqual(rows[0][0], "HF-1")

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_points_before_a_failed_check_are_in_doubt_wherever_they_are(self):
        book = self.book("doubted", 4, name="doubt.gpkg")
        for as_ in ("gpkg", "geojson", "shp"):
            file = self.deliver(book, as_)
            self.assertTrue(all("VM-11" in f.values["doubt"] for f in by_gdal(file)), as_)
            self.assertIn("in doubt after a failed check (column doubt): 4", self.sheet(file))
        rows = rows_of(self.deliver(book, "csv", *UTM, "--columns", "P,N,E,Z,D"))
        self.assertTrue(all("VM-11" in row["doubt"] for row in rows))
        layers = {e["layer"] for e in texts_of_drawing(self.deliver(book, "dxf", *UTM))}
        self.assertEqual(layers, {"DOUBT-CUL-U", "DOUBT-ditch___stlich", "DOUBT-NO-CODE"})

    def test_training_points_say_so_in_the_name_of_the_file_and_in_each_row(self):
        book = self.book("training", 5, name="tr.gpkg")
        self.deliver(book, "csv", status=0)
        file = self.folder / "out-csv" / "TRAINING-tr-points.csv"
        self.assertTrue(all(row["status"] == "training-accepted" for row in rows_of(file)))
        self.assertIn("THESE ARE NO REAL POINTS", (file.parent / "TRAINING-tr-points-csv.txt").read_text())

    def test_where_there_is_nothing_to_deliver_nothing_is_made(self):
        for kind, points, said in (("plain", 0, "has no accepted point;"), ("held", 4, "and 4 held; decide about them")):
            book = self.book(kind, points, name=f"{kind}-{points}.gpkg")
            out = self.folder / f"none-{kind}"
            self.assert_refused(run(OFFICE, "deliver", "--pointbook", book, "--as", "csv", "--out", out), 1, said)
            self.assertFalse(out.exists())

    def test_the_sheet_has_the_sums_of_the_files_and_of_the_book(self):
        book = self.book()
        for as_ in FORMATS if GDAL else ("csv",):
            file = self.deliver(book, as_, *UTM)
            sheet = " ".join(self.sheet(file).split())
            self.assertIn(hashlib.sha256(book.read_bytes()).hexdigest(), sheet)
            for path in file.parent.iterdir():
                if path.suffix != ".txt":
                    self.assertIn(f"{path.name} SHA-256 {hashlib.sha256(path.read_bytes()).hexdigest()}", sheet)
            for words in ("accepted: 28", "rejected by hand, never delivered: 1", "EPSG:6345 NAD83(2011) / UTM zone 16N", "rules 4", "95 % level",
                          "lengths are in metres", "not for property boundaries, navigation", "clearance for excavation", "operation:"):
                self.assertIn(words, sheet, as_)
            self.assertFalse([p for p in file.parent.iterdir() if p.name.startswith(".")])

    # --- the report and the files ---------------------------------------------------------------------------------

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_the_report_and_every_file_have_the_same_points_sums_and_digits(self):
        book = self.book("plain", 500)
        self.assertEqual(run(REPORT, "--pointbook", book, "--out", self.folder / "report").returncode, 0)
        with (self.folder / "report" / "points.csv").open(newline="") as file:
            report = {row["point"] + "/" + row["visit"]: row for row in csv.DictReader(file) if row["status"] == "accepted"}
        html = (self.folder / "report" / "report.html").read_text()
        self.assertIn("500", html)
        columns = (("ellipsoid_height_m", "ell_m"), ("error95_horizontal_m", "e95h_m"), ("error95_vertical_m", "e95v_m"))
        for as_ in ("gpkg", "csv", "geojson", "shp"):
            with self.subTest(format=as_):
                file = self.deliver(book, as_)
                rows = rows_of(file) if as_ == "csv" else [f.values for f in by_gdal(file)]
                self.assertEqual(len(rows), len(report))
                self.assertIn(f"accepted: {len(report)}", self.sheet(file))
                sums = collections.Counter()
                for row in rows:
                    told = report[row["point"] + "/" + row["visit"]]
                    for long, short in columns:
                        value = row.get(long, row.get(short))
                        self.assertEqual(f"{float(value):.4f}" if value else "", told[long], (row["point"], long))
                        sums[long] += round(float(value or 0) * 10000)
                    for long, short in (("latitude_deg", "lat_deg"), ("longitude_deg", "lon_deg")):
                        self.assertEqual(f"{float(row.get(long, row.get(short))):.11f}", told[long])
                for long, _ in columns:
                    self.assertEqual(sums[long], sum(round(float(row[long] or 0) * 10000) for row in report.values()))

    # --- bad input ------------------------------------------------------------------------------------------------

    def test_what_cannot_be_done_is_one_sentence_and_leaves_nothing(self):
        book, out = self.book(), self.folder / "none"
        rows = [
            (("--as", "dxf"), 2, "a drawing has lengths"),
            (("--as", "csv", "--frame", "NAD83"), 2, "which realization"),
            (("--as", "csv", "--frame", "EPSG:2157"), 2, ""),
            (("--as", "csv", "--frame", "NAD83(2011) / UTM zone 10N"), 2, "is outside"),
            (("--as", "csv", "--frame", "GDA2020"), 2, ""),
            (("--as", "csv", "--combined-factor", "0.9998"), 2, "is no grid"),
            (("--as", "csv", *UTM, "--combined-factor", "1.2"), 2, "between 0.99 and 1.01"),
            (("--as", "csv", *UTM, "--combined-factor", "nan"), 2, "between 0.99 and 1.01"),
            (("--as", "csv", *UTM, "--combined-factor", "0.9998", "--local", "HF-1"), 2, "leave --combined-factor or --local away"),
            (("--as", "geojson", "--local", "HF-1"), 2, "ground and local coordinates go into"),
            (("--as", "csv", "--local", "HF-8"), 2, "no point that is delivered is called HF-8"),
            (("--as", "csv", "--columns", "P,Q"), 2, 'no column "Q"'),
            (("--as", "gpkg", "--columns", "P,N"), 2, "are for --as csv"),
            (("--as", "kml"), 2, "--as"),
            (("--as", "csv", "--units", "yd"), 2, "--units"),
        ]
        for more, status, said in rows:
            with self.subTest(more=more):
                self.assert_refused(run(OFFICE, "deliver", "--pointbook", book, "--out", out, *more), status, said)
                self.assertFalse(out.exists())
        for path, said in ((self.folder / "nothing.gpkg", "there is no pointbook"), (Path(__file__), "is no Stillpoint pointbook")):
            self.assert_refused(run(OFFICE, "deliver", "--pointbook", path, "--as", "csv", "--out", out), 4, said)

    def test_a_row_that_was_changed_by_hand_stops_the_delivery(self):
        book = self.book()
        with contextlib.closing(sqlite3.connect(book)) as database:
            for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
                database.execute(f"DROP TRIGGER {name}")
            database.execute("UPDATE points SET latitude_deg = latitude_deg + 1e-9 WHERE name = 'HF-1'")
            database.commit()
        self.assert_refused(run(OFFICE, "deliver", "--pointbook", book, "--as", "csv", "--out", self.folder / "x"), 4, "no longer matches its SHA-256")

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_a_book_of_the_first_schema_is_delivered_and_not_changed(self):
        book = self.folder / "old.gpkg"
        with contextlib.closing(sqlite3.connect(book)) as database:
            database.executescript((Path(__file__).parents[1] / "pointbook/data/schema-1.sql").read_text())
            wanted = database.execute("SELECT count(*) FROM current_points WHERE status IN ('accepted', 'held') AND latitude_deg IS NOT NULL").fetchone()[0]
        before = book.read_bytes()
        for as_ in ("gpkg", "csv", "shp"):
            out = self.folder / as_
            done = run(OFFICE, "deliver", "--pointbook", book, "--as", as_, "--out", out, "--with-held")
            self.assertIn(done.returncode, (0, 1), done.stderr)
            file = out / f"old-points.{as_}"
            self.assertEqual(len(rows_of(file)) if as_ == "csv" else len(list(by_gdal(file))), wanted)
        self.assertGreater(wanted, 0)
        self.assertEqual(book.read_bytes(), before)

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_files_that_are_there_stay_as_they_are(self):
        book, out = self.book(), self.folder / "out"
        for name in ("day-points.shp", "day-points.dbf", "day-points-shp.txt"):
            with self.subTest(name=name):
                shutil.rmtree(out, ignore_errors=True)
                out.mkdir()
                (out / name).write_text("mine")
                self.assert_refused(run(OFFICE, "deliver", "--pointbook", book, "--as", "shp", "--out", out), 3, f"{name} is there already")
                self.assertEqual([(p.name, p.read_text()) for p in out.iterdir()], [(name, "mine")])
        (out / "day-points.dbf").unlink(missing_ok=True)
        (out / "day-points-shp.txt").unlink(missing_ok=True)
        (out / "day-points.prj").symlink_to("/nowhere")
        self.assert_refused(run(OFFICE, "deliver", "--pointbook", book, "--as", "shp", "--out", out), 3, "day-points.prj is there already")

    def test_a_folder_that_is_none_or_may_not_be_written_is_said(self):
        book = self.book()
        (self.folder / "file").write_text("x")
        self.assert_refused(run(OFFICE, "deliver", "--pointbook", book, "--as", "csv", "--out", self.folder / "file"), 3, "cannot make the folder")
        self.assertEqual((self.folder / "file").read_text(), "x")
        locked = self.folder / "locked"
        locked.mkdir(mode=0o555)
        somebody = {}
        if os.geteuid() == 0:
            somebody = {"user": 65534, "group": 65534, "extra_groups": []}
            for folder in (self.folder, locked):
                folder.chmod(0o755)
            book.chmod(0o644)
        try:
            done = run(OFFICE, "deliver", "--pointbook", book, "--as", "csv", "--out", locked, **somebody)
        except PermissionError:
            self.skipTest("nobody may not run a program that lies here")
        self.assert_refused(done, 3, "Permission denied")
        self.assertEqual(list(locked.iterdir()), [])

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_a_full_disk_leaves_no_file_that_looks_whole(self):
        small = self.folder / "small"
        small.mkdir()
        if run("mount", "-t", "tmpfs", "-o", "size=400k", "none", small).returncode != 0:
            self.skipTest("this user may not mount a file system")
        self.cleanup.callback(subprocess.run, ["umount", "-l", str(small)])
        book = self.book("plain", 500)
        for free_kib in (0, 40, 200):
            for as_ in FORMATS:
                with self.subTest(format=as_, free_kib=free_kib):
                    filler = small / "holiday-pictures"
                    info = os.statvfs(small)
                    filler.write_bytes(b"\0" * max(0, info.f_bavail * info.f_frsize - free_kib * 1024))
                    done = run(OFFICE, "deliver", "--pointbook", book, "--as", as_, "--out", small / "out", *UTM)
                    filler.unlink()
                    if done.returncode == 1:  # there was room: whole, then
                        self.assertIn("478 points", done.stdout)
                        self.assertTrue((small / "out" / f"day-points-{as_}.txt").exists())
                        shutil.rmtree(small / "out")
                        continue
                    self.assertEqual(done.returncode, 3, done.stdout + done.stderr)
                    self.assertEqual(done.stderr.count("\n"), 1, done.stderr)
                    self.assertFalse((small / "out").exists() and list((small / "out").iterdir()))

    def test_without_gdal_the_sentence_names_the_package_and_csv_works(self):
        book = self.book()
        empty = self.folder / "bin"
        empty.mkdir()
        environment = {**os.environ, "PATH": str(empty)}
        done = run(OFFICE, "deliver", "--pointbook", book, "--as", "gpkg", "--out", self.folder / "out", env=environment)
        self.assert_refused(done, 3, "ogr2ogr is not on this machine; install the package gdal-bin")
        self.assertFalse((self.folder / "out").exists())
        done = run(OFFICE, "deliver", "--pointbook", book, "--as", "csv", "--out", self.folder / "out", env=environment)
        self.assertEqual(done.returncode, 1, done.stderr)

    @unittest.skipUnless(GDAL, "GDAL's programs are not here")
    def test_a_gdal_that_fails_or_lies_leaves_nothing(self):
        book = self.book()
        tools = self.folder / "bin"
        tools.mkdir()
        for name, script, said in (("fails", "echo 'ERROR 1: no room' >&2; exit 1", "no room"),
                                   ("says an error and ends well", "echo 'ERROR 3: it broke' >&2; exit 0", "it broke"),
                                   ("writes nothing and ends well", "exit 0", "")):
            with self.subTest(name=name):
                (tools / "ogr2ogr").write_text(f"#!/bin/sh\n{script}\n")
                (tools / "ogr2ogr").chmod(0o755)
                done = run(OFFICE, "deliver", "--pointbook", book, "--as", "gpkg", "--out", self.folder / "out",
                           env={**os.environ, "PATH": f"{tools}:{os.environ['PATH']}"})
                self.assert_refused(done, 3, said)
                self.assertFalse((self.folder / "out").exists())

    def test_a_book_that_a_daemon_is_writing_to_is_delivered_as_it_is_at_one_moment(self):
        self.configure_replay(log_of(120), pace="20")
        self.start()
        client = self.client()
        client.until("a second", lambda s: s["epoch"] and s["epoch"].get("utc"))
        client.call("begin", name="HF-1")
        client.until("enough", lambda s: s["occupation"] and s["occupation"]["enough"])
        client.call("keep")
        client.until("stored", lambda s: s["store"]["stored"] >= 1 and s["store"]["waiting"] == 0)
        with contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg")) as database:
            (status,) = database.execute("SELECT status FROM current_points").fetchone()
        done = run(OFFICE, "deliver", "--pointbook", self.folder / "trial.gpkg", "--as", "csv", "--out", self.folder / "out", "--with-held")
        self.assertEqual(done.returncode, 0 if status == "accepted" else 1, done.stderr)
        rows = rows_of(self.folder / "out" / "trial-points.csv")
        self.assertEqual([(row["point"], row["status"]) for row in rows], [("HF-1", status)])
        self.assertIn("day-not-closed", rows[0]["flags"])
        self.assertIn("was not closed", " ".join((self.folder / "out" / "trial-points-csv.txt").read_text().split()))


if __name__ == "__main__":
    unittest.main()
