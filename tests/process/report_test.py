"""The report as the office meets it: what it writes, what it says when it cannot, and what it never leaves out."""

import contextlib
import json
import os
import shutil
import sqlite3
import subprocess
import unittest
from pathlib import Path

from harness import DEADLINE_S, ProcessTest

REPORT = os.environ["STILLPOINT_REPORT"]
REHEARSE = os.environ["STILLPOINT_REHEARSE"]
LOGS = Path(os.environ["STILLPOINT_REPLAY_LOGS"])


def report(*arguments, **process):
    return subprocess.run([REPORT, *map(str, arguments)], capture_output=True, text=True, timeout=DEADLINE_S, **process)


class Report(ProcessTest):
    def book(self):
        command = [REHEARSE, "--scenario", LOGS / "clean-day.toml", "--with-daemon", "--pace", "max", "--crew", "careless", "--folder", self.folder / "day"]
        done = subprocess.run(list(map(str, command)), capture_output=True, text=True, timeout=120)
        self.assertIn(done.returncode, (0, 1), done.stderr)
        return self.folder / "day" / "training.gpkg"

    def refuses_a_folder_it_may_not_write(self, book):
        locked = self.folder / "locked"
        locked.mkdir(mode=0o555)
        somebody = {}
        if os.geteuid() == 0:  # who may write everywhere: then as nobody
            somebody = {"user": 65534, "group": 65534, "extra_groups": []}
            for folder in (self.folder, locked):
                folder.chmod(0o755)
            book.chmod(0o644)  # nobody is of no group
        try:
            done = report("--pointbook", book, "--out", locked, **somebody)
        except PermissionError:
            print("not tried: nobody may not run a program that lies here")
            return
        self.assertEqual(done.returncode, 3, done.stderr)
        self.assertIn("locked", done.stderr)
        self.assertEqual(list(locked.iterdir()), [])

    def test_a_training_day_that_is_not_closed_is_written_and_stamped_everywhere(self):
        book, out = self.book(), self.folder / "new" / "report"
        before = book.read_bytes()
        done = report("--pointbook", book, "--out", out)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual(done.stderr, "")
        self.assertIn(f"report: {out}/report.html", done.stdout)
        self.assertRegex(done.stdout, r"left to decide: [1-9]")
        self.assertEqual(sorted(p.name for p in out.iterdir()), ["points.csv", "points.geojson", "report.html"])
        self.assertEqual(book.read_bytes(), before)
        html = (out / "report.html").read_text()
        self.assertIn('@top-right{content:"TRAINING, NO REAL POINTS / DAY NOT CLOSED"', html)
        self.assertIn("became version 2", html)
        self.assertIn("The day was not closed", html)
        shapes = json.loads((out / "points.geojson").read_text())
        self.assertNotIn("crs", shapes)  # RFC 7946, 4: that member is gone; the frame is a foreign one
        self.assertEqual(shapes["frame"], "EPSG:6319")
        self.assertIn("Not WGS 84", shapes["note"])
        with contextlib.closing(sqlite3.connect(book)) as database:
            stored = dict(((n, v), (x, y)) for n, v, x, y in database.execute("SELECT name, visit, longitude_deg, latitude_deg FROM current_points"))
        self.assertEqual(len(shapes["features"]), len(stored))
        for shape in shapes["features"]:
            x, y, _ = shape["geometry"]["coordinates"]
            for found, expected in zip((x, y), stored[shape["properties"]["point"], shape["properties"]["visit"]]):
                self.assertAlmostEqual(found, expected, places=10)
        self.assertTrue(all("TRAINING" in line for line in (out / "points.csv").read_text().splitlines()[1:]))

        # Once more into the same folder: replaced, and what is not ours stays.
        (out / "letter.txt").write_text("mine")
        (out / "report.html").write_text("old")
        self.assertEqual(report("--pointbook", book, "--out", out).returncode, 0)
        self.assertIn("<!DOCTYPE html>", (out / "report.html").read_text())
        self.assertEqual((out / "letter.txt").read_text(), "mine")

        self.refuses_a_folder_it_may_not_write(book)
        (self.folder / "file").write_text("x")
        done = report("--pointbook", book, "--out", self.folder / "file")
        self.assertEqual((done.returncode, (self.folder / "file").read_text()), (3, "x"))
        self.assertIn("cannot make the folder", done.stderr)
        self.assertEqual(report("--pointbook", book, "--out", "/proc/none").returncode, 3)
        (out / "report.html").unlink()
        (out / "report.html").mkdir()
        done = report("--pointbook", book, "--out", out)
        self.assertEqual(done.returncode, 3)
        self.assertIn("report.html", done.stderr)

        changed = self.folder / "changed.gpkg"
        shutil.copy(book, changed)
        with contextlib.closing(sqlite3.connect(changed)) as database:
            for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
                database.execute(f"DROP TRIGGER {name}")
            database.execute("UPDATE points SET latitude_deg = latitude_deg + 1e-9 WHERE name = 'CUL-51'")
            database.commit()
        self.assertEqual(report("--pointbook", changed, "--out", self.folder / "third").returncode, 0)
        self.assertIn("the content no longer matches its SHA-256", (self.folder / "third" / "report.html").read_text())

    def test_what_cannot_be_read_is_said_and_nothing_is_written(self):
        out = self.folder / "out"
        (self.folder / "text.gpkg").write_text("this is no database, but it is long enough to be looked at" * 40)
        (self.folder / "empty.gpkg").write_bytes(b"")
        with contextlib.closing(sqlite3.connect(self.folder / "other.gpkg")) as other:
            other.execute("CREATE TABLE points (x)")
            other.commit()
        rows = [
            (("--pointbook", self.folder / "none.gpkg", "--out", out), 4, "there is no pointbook at"),
            (("--pointbook", self.folder, "--out", out), 4, "there is no pointbook at"),
            (("--pointbook", self.folder / "text.gpkg", "--out", out), 4, "is no Stillpoint pointbook"),
            (("--pointbook", self.folder / "empty.gpkg", "--out", out), 4, "is no Stillpoint pointbook"),
            (("--pointbook", self.folder / "other.gpkg", "--out", out), 4, "is no Stillpoint pointbook"),
            (("--pointbook", self.folder / "none.gpkg"), 2, "--out"),
            ((), 2, "--pointbook"),
            (("--pointbook", "x", "--out", out, "--local-time", "Nowhere/Land"), 2, "no time zone \"Nowhere/Land\""),
            (("--pointbook", "x", "--out", out, "--local-time", "../../etc/passwd"), 2, "knows no time zone"),
            (("--pointbook", "x", "--out", out, "--config", self.folder / "none.toml"), 2, "none.toml"),
            (("--pointbook", "x", "--out", out, "--paper", "a3"), 2, "--paper"),
            (("--pointbook", "x", "--out", out, "--units", "yd"), 2, "--units"),
            (("--pointbok", "x"), 2, "see stillpoint-report --help"),
        ]
        for arguments, status, said in rows:
            with self.subTest(said=said, arguments=arguments):
                done = report(*arguments)
                self.assertEqual(done.returncode, status, done.stderr)
                self.assertIn(said, done.stderr)
                self.assertEqual(len(done.stderr.splitlines()), 1)
                self.assertFalse(out.exists())


if __name__ == "__main__":
    unittest.main()
