#!/usr/bin/python3
"""A pointbook is held against the rules of the standard (rules.py), and each rule notices what breaks it.

    rules_test.py REDUCE NEIGHBOUR REPLAY_LOGS
"""

import contextlib
import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import rules

REDUCE, NEIGHBOUR, LOGS = (Path(a).resolve() for a in sys.argv[1:4])
DATA = Path(__file__).resolve().parent / "data"
GDAL = shutil.which("ogrinfo") and shutil.which("gdalsrsinfo") and shutil.which("ogr2ogr")

GMD = {"gmd": "http://www.isotc211.org/2005/gmd", "gco": "http://www.isotc211.org/2005/gco"}
# Mandatory core metadata and what is conditional for a dataset: ISO 19115:2003, table 3; paths as in ISO/TS 19139:2007.
# From memory.
REQUIRED = ["gmd:fileIdentifier", "gmd:language", "gmd:characterSet", "gmd:hierarchyLevel", "gmd:contact", "gmd:dateStamp",
            "gmd:metadataStandardName", "gmd:metadataStandardVersion",
            "gmd:referenceSystemInfo/gmd:MD_ReferenceSystem/gmd:referenceSystemIdentifier/gmd:RS_Identifier/gmd:code/gco:CharacterString",
            *(f"gmd:identificationInfo/gmd:MD_DataIdentification/gmd:{name}" for name in (
                "citation/gmd:CI_Citation/gmd:title/gco:CharacterString", "citation/gmd:CI_Citation/gmd:date/gmd:CI_Date/gmd:date/gco:Date",
                "citation/gmd:CI_Citation/gmd:date/gmd:CI_Date/gmd:dateType/gmd:CI_DateTypeCode", "abstract/gco:CharacterString", "language",
                "characterSet", "topicCategory", "spatialRepresentationType", "pointOfContact",
                "resourceConstraints/gmd:MD_Constraints/gmd:useLimitation/gco:CharacterString",
                "extent/gmd:EX_Extent/gmd:geographicElement/gmd:EX_GeographicBoundingBox/gmd:westBoundLongitude/gco:Decimal",
                "extent/gmd:EX_Extent/gmd:temporalElement")),
            "gmd:dataQualityInfo/gmd:DQ_DataQuality/gmd:scope/gmd:DQ_Scope/gmd:level",
            "gmd:dataQualityInfo/gmd:DQ_DataQuality/gmd:report/gmd:DQ_AbsoluteExternalPositionalAccuracy/gmd:result/gmd:DQ_QuantitativeResult/gmd:value",
            "gmd:dataQualityInfo/gmd:DQ_DataQuality/gmd:lineage/gmd:LI_Lineage/gmd:statement/gco:CharacterString"]

# What is done to a book, and the rule that must notice.
DAMAGES = [
    ("PRAGMA application_id = 7", "R2"),
    ("PRAGMA user_version = 10100", "R2"),
    ("ALTER TABLE events ADD COLUMN extra VARCHAR(20)", "R5"),
    ("PRAGMA foreign_keys = OFF; INSERT INTO gpkg_geometry_columns VALUES ('nothing', 'geom', 'POINT', 6319, 0, 0)", "R7"),
    ("ALTER TABLE gpkg_spatial_ref_sys RENAME COLUMN organization TO organisation", "R10"),
    ("DELETE FROM gpkg_spatial_ref_sys WHERE srs_id = -1", "R11"),
    ("UPDATE gpkg_spatial_ref_sys SET organization = 'NONE' WHERE srs_id = 4326", "R11"),
    ("DELETE FROM gpkg_spatial_ref_sys WHERE srs_id = 6319", "R12"),
    ("DELETE FROM gpkg_extensions WHERE column_name = 'epoch'", "R115"),
    ("UPDATE gpkg_spatial_ref_sys SET definition = 'undefined', definition_12_063 = 'undefined' WHERE srs_id = 6319", "R116"),
    ("UPDATE gpkg_spatial_ref_sys SET epoch = 2026.4 WHERE srs_id = 6319", "an epoch is a decimal year of a dynamic frame"),
    ("ALTER TABLE gpkg_contents RENAME COLUMN min_x TO x_min", "R13"),
    ("INSERT INTO gpkg_contents (table_name, data_type, identifier) VALUES ('nothing', 'attributes', 'nothing')", "R14"),
    ("UPDATE gpkg_contents SET last_change = '3 June 2026' WHERE table_name = 'points'", "R15"),
    ("UPDATE gpkg_contents SET max_x = max_x - 0.001 WHERE table_name = 'points'", "the bounds of a layer hold every place"),
    ("UPDATE gpkg_contents SET data_type = 'pictures' WHERE table_name = 'events'", "R18"),
    ("UPDATE points SET geom = x'0000' || substr(geom, 3) WHERE id = 1", "R19"),
    ("UPDATE points SET geom = substr(geom, 1, 20) WHERE id = 1", "R19"),
    ("UPDATE gpkg_geometry_columns SET geometry_type_name = 'Point' WHERE table_name = 'points'", "R25"),
    ("UPDATE gpkg_geometry_columns SET column_name = 'shape' WHERE table_name = 'points'", "R22"),
    ("DELETE FROM gpkg_geometry_columns WHERE table_name = 'check_shots'", "R22"),
    ("UPDATE gpkg_geometry_columns SET z = 0 WHERE table_name = 'points'", "R27"),
    ("UPDATE points SET geom = substr(geom, 1, 4) || x'E6100000' || substr(geom, 9) WHERE id = 1", "R33"),
    ("ALTER TABLE gpkg_extensions RENAME COLUMN scope TO reach", "R58"),
    ("UPDATE gpkg_extensions SET table_name = 'nothing' WHERE table_name = 'gpkg_metadata'", "R60"),
    ("UPDATE gpkg_extensions SET extension_name = 'gpkg_own' WHERE table_name = 'gpkg_metadata'", "R62"),
    ("UPDATE gpkg_extensions SET scope = 'read' WHERE table_name = 'gpkg_metadata'", "R64"),
    ("DELETE FROM gpkg_extensions WHERE table_name = 'gpkg_data_columns'", "no table of the standard is there without its extension"),
    ("DELETE FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index'", "R75"),
    ("UPDATE gpkg_extensions SET scope = 'read-write' WHERE extension_name = 'gpkg_rtree_index'", "R75"),
    ("DROP TRIGGER rtree_points_geom_update3", "R76"),
    ("DROP TRIGGER rtree_points_geom_delete; CREATE TRIGGER rtree_points_geom_delete AFTER DELETE ON points BEGIN SELECT 1; END", "R76"),
    ("DROP TABLE rtree_check_shots_geom", "R77"),
    ("DELETE FROM rtree_points_geom WHERE id = 1", "every place that is not empty stands in the spatial index"),
    ("UPDATE rtree_points_geom SET minx = 10, maxx = 11 WHERE id = 1", "every place that is not empty stands in the spatial index"),
    ("ALTER TABLE gpkg_data_columns RENAME COLUMN title TO heading", "R103"),
    ("INSERT INTO gpkg_data_columns (table_name, column_name) VALUES ('points', 'nothing')", "R104"),
    ("UPDATE gpkg_data_columns SET constraint_name = 'nothing' WHERE column_name = 'status'", "R106"),
    ("DELETE FROM gpkg_data_columns WHERE column_name = 'status'", "every column of a layer has a title"),
    ("UPDATE gpkg_metadata SET md_scope = 'everything'", "R94"),
    ("UPDATE gpkg_metadata_reference SET reference_scope = 'table'", "R97"),
    ("UPDATE gpkg_metadata_reference SET timestamp = 'noon'", "R100"),
    ("UPDATE gpkg_metadata_reference SET md_file_id = 99", "R101"),
    ("UPDATE gpkg_metadata SET metadata = metadata || '<'", "a record of text/xml is well-formed"),
    ("UPDATE points SET started_utc = 'noon' WHERE id = 1", "dates of the layers are instants"),
]


class Rules(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.cleanup = contextlib.ExitStack()
        cls.folder = Path(cls.cleanup.enter_context(tempfile.TemporaryDirectory(prefix="stillpoint-")))
        cls.demo = cls.folder / "demo.gpkg"
        done = subprocess.run([REDUCE, "--config", LOGS / "harrowfen.toml", "--log", LOGS / "harrowfen-culverts.nmea", "--visits",
                               LOGS / "harrowfen-culverts.visits.csv", "--pointbook", cls.demo], capture_output=True, text=True, timeout=300)
        assert done.returncode in (0, 1), done.stderr
        cls.old = {}
        for schema in (1, 6):
            cls.old[schema] = cls.folder / f"schema-{schema}.gpkg"
            with contextlib.closing(sqlite3.connect(cls.old[schema])) as database:
                database.executescript((DATA / f"schema-{schema}.sql").read_text())
            said = subprocess.run([NEIGHBOUR, "keep", cls.old[schema]], capture_output=True, text=True, stdin=subprocess.DEVNULL, timeout=60)
            assert said.stdout == "open\n", said.stdout

    @classmethod
    def tearDownClass(cls):
        cls.cleanup.close()

    def books(self):
        return {"the demo day": self.demo, **{f"a book of schema {s}, brought up to date": p for s, p in self.old.items()}}

    def test_every_rule_holds_of_the_demo_day_and_of_old_books_brought_up_to_date(self):
        self.assertGreater(len(rules.RULES), 40)
        for name, book in self.books().items():
            with self.subTest(book=name):
                with contextlib.closing(sqlite3.connect(book)) as database:
                    self.assertGreater(database.execute("SELECT count(*) FROM points").fetchone()[0], 2)
                self.assertEqual(list(rules.complaints(book)), [])

    def test_each_damage_is_noticed_by_its_rule(self):
        for number, (damage, noticed) in enumerate(DAMAGES):
            with self.subTest(damage=damage):
                book = self.folder / f"damaged-{number}.gpkg"
                shutil.copy(self.old[6], book)
                with contextlib.closing(sqlite3.connect(book, isolation_level=None)) as database:
                    triggers = database.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'points%' OR name LIKE 'rtree_points%' AND type = 'trigger'").fetchall()
                    if "UPDATE points" in damage:
                        damage = "".join(f"DROP TRIGGER {name};" for name, _ in triggers) + damage + ";" + "".join(f"{sql};" for _, sql in triggers)
                    database.executescript(damage)
                said = list(rules.complaints(book))
                self.assertTrue(any(line.startswith(noticed + " ") or noticed in line for line in said), said)
                book.unlink()

    def test_a_name_and_a_head_that_are_no_geopackages_are_noticed(self):
        other = self.folder / "demo.sqlite"
        shutil.copy(self.demo, other)
        self.assertTrue(any(line.startswith("R3 ") for line in rules.complaints(other)))

    def test_the_record_has_what_iso_19115_demands_and_each_element_would_be_missed(self):
        for name, book in self.books().items():
            with contextlib.closing(sqlite3.connect(book)) as database:
                (text,) = database.execute("SELECT metadata FROM gpkg_metadata WHERE md_standard_uri = ?", (GMD["gmd"],)).fetchone()
            root = ElementTree.fromstring(text.encode())
            self.assertEqual(root.tag, "{%s}MD_Metadata" % GMD["gmd"])
            for path in REQUIRED:
                with self.subTest(book=name, element=path):
                    self.assertIsNotNone(root.find(path, GMD))
                    last = path.split("/")[-1].split(":")[1]
                    without = ElementTree.fromstring(text.replace(f":{last}", ":other").encode())
                    self.assertIsNone(without.find(path, GMD))

    def test_styles_are_well_formed_and_name_columns_that_are_there(self):
        for name, book in self.books().items():
            with self.subTest(book=name), contextlib.closing(sqlite3.connect(book)) as database:
                styles = database.execute("SELECT f_table_name, styleSLD FROM layer_styles").fetchall()
                self.assertEqual(sorted(t for t, _ in styles), ["check_shots", "current_points", "points"])
                for table, document in styles:
                    root = ElementTree.fromstring(document.encode())
                    columns = {c for _, c, *_rest in database.execute(f"PRAGMA table_info({table})")}
                    used = {e.text for e in root.iter("{http://www.opengis.net/ogc}PropertyName")}
                    self.assertTrue(used and used <= columns, used)

    @unittest.skipUnless(GDAL, "gdal-bin is not installed")
    def test_gdal_reads_every_layer_and_its_frame_without_a_word(self):
        for name, book in self.books().items():
            with self.subTest(book=name):
                every = subprocess.run(["ogrinfo", "-ro", "-al", "-so", book], capture_output=True, text=True, timeout=60)
                self.assertEqual((every.returncode, every.stderr), (0, ""))
                for layer in ("current_points", "points", "check_shots"):
                    self.assertIn(f"Layer name: {layer}\n", every.stdout)
                frame = subprocess.run(["gdalsrsinfo", "-o", "wkt2", book], capture_output=True, text=True, timeout=60)
                self.assertEqual((frame.returncode, frame.stderr), (0, ""))
                self.assertIn('GEOGCRS["NAD83(2011)"', frame.stdout)

    @unittest.skipUnless(GDAL, "gdal-bin is not installed")
    def test_the_triggers_of_the_spatial_index_are_those_that_gdal_makes(self):
        made = self.folder / "made.gpkg"
        subprocess.run(["ogr2ogr", "-f", "GPKG", made, self.demo, "points", "-nln", "points", "-lco", "FID=id", "-lco", "GEOMETRY_NAME=geom"],
                       check=True, capture_output=True, timeout=60)
        query = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'rtree_points%' ORDER BY name"
        found = []
        for book in (self.demo, made):
            with contextlib.closing(sqlite3.connect(book)) as database:
                found.append([(name, rules.squeezed(sql)) for name, sql in database.execute(query)])
        self.assertEqual(len(found[0]), 6)
        self.assertEqual(found[0], found[1])

    @unittest.skipUnless(GDAL, "gdal-bin is not installed")
    def test_gdal_finds_by_the_index_what_it_finds_without(self):
        """A box around half of the demo day, with and without the index of the table."""
        with contextlib.closing(sqlite3.connect(self.demo)) as database:
            west, east, south, north = database.execute("SELECT min(longitude_deg), avg(longitude_deg), min(latitude_deg), max(latitude_deg) FROM points").fetchone()
            inside = database.execute("SELECT count(*) FROM points WHERE longitude_deg <= ?", (east,)).fetchone()[0]
        plain = self.folder / "plain.gpkg"
        shutil.copy(self.demo, plain)
        with contextlib.closing(sqlite3.connect(plain)) as database:
            for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'rtree%'").fetchall():
                database.execute(f"DROP TRIGGER {name}")
            database.execute("DROP TABLE rtree_points_geom")
            database.execute("DELETE FROM gpkg_extensions WHERE table_name = 'points'")
            database.commit()
        for book in (self.demo, plain):
            found = subprocess.run(["ogrinfo", "-ro", "-so", "-spat", str(west), str(south), str(east), str(north), book, "points"],
                                   capture_output=True, text=True, timeout=60)
            self.assertIn(f"Feature Count: {inside}\n", found.stdout)

    def test_the_same_record_gives_the_same_bytes(self):
        """No clock is read: computed twice, the file is the same to the last byte."""
        again = self.folder / "again.gpkg"
        subprocess.run([REDUCE, "--config", LOGS / "harrowfen.toml", "--log", LOGS / "harrowfen-culverts.nmea", "--visits",
                        LOGS / "harrowfen-culverts.visits.csv", "--pointbook", again], capture_output=True, timeout=300, check=False)
        one, other = (hashlib.sha256(p.read_bytes()).hexdigest() for p in (self.demo, again))
        self.assertEqual(one, other)


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0], *(["-v"] if os.environ.get("VERBOSE") else [])])
