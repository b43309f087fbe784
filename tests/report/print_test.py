#!/usr/bin/python3
"""The report of invented days, printed by Chromium and examined page by page, as paper shows it.

    print_test.py REPORT REPORT_BOOK [--long]     exit 77: Chromium or poppler's tools are not at hand

Days of 24 points on A4 and Letter and of 100 on A4; with --long 100 on Letter too, and 500 on both, whose report must
take less than 2 s of CPU.
"""

import collections
import contextlib
import os
import re
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import unittest
from html import unescape
from pathlib import Path

REPORT, BOOK = (Path(x).resolve() for x in sys.argv[1:3])
LONG = "--long" in sys.argv
MM = 72 / 25.4
PARTS = ("1 Points", "2 Checks on known marks", "4 Decisions wanted", "A How the points were made", "F Map sheets")
HEADINGS = PARTS + ("3 Corrections through the day", "B Coordinates as delivered", "C Files and checksums", "D Events",
                    "E Limits of use", "How accurate are they?")
CONFIG = """
[project]
name = "Harrowfen culvert inventory"
frame = "EPSG:6319"
coordinate_epoch = "observation"
local_time = "America/Detroit"
wanted_error95_m = { horizontal = 0.010, vertical = 0.020 }
[[feed]]
kind = "tcp"
host = "127.0.0.1"
port = 9001
[antenna]
vertical_parts_m = { pole = 1.800, adapter = 0.071 }
[[source]]
name = "county network"
match = { station = ["417"] }
frame = "EPSG:6319"
coordinate_epoch = 2010.0
evidence = "invented"
[source.gate]
quality = ["rtk-fixed"]
fresh_age_s = 10.0
max_age_s = 60.0
"""


def missing():
    needed = [os.environ.get("STILLPOINT_CHROMIUM", "chromium"), "pdftotext", "pdftoppm"]
    return [name for name in needed if not shutil.which(name)]


Word = collections.namedtuple("Word", "left top right bottom text")


class Line(list):
    """Words on one baseline, from the left."""

    @property
    def text(self):
        return " ".join(word.text for word in self)


class Page:
    def __init__(self, width, height, words):
        self.width, self.height = width, height
        # A text with a halo is drawn twice.
        self.words = sorted(set(words), key=lambda w: (w.bottom, w.left))

    def body(self):
        """Without what stands in the margins."""
        return [w for w in self.words if 17 * MM < w.top and w.bottom < self.height - 16 * MM]

    def lines(self):
        lines = []
        for word in self.body():
            if not lines or abs(lines[-1][-1].bottom - word.bottom) > 0.6:
                lines.append(Line())
            lines[-1].append(word)
        for line in lines:
            line.sort(key=lambda w: w.left)
        return lines


def pages_of(pdf):
    text = subprocess.run(["pdftotext", "-bbox", pdf, "-"], capture_output=True, text=True, check=True).stdout
    for page in re.split(r"<page ", text)[1:]:
        width, height = map(float, re.match(r'width="([\d.]+)" height="([\d.]+)"', page).groups())
        found = re.findall(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)</word>', page)
        yield Page(width, height, [Word(*(round(float(v), 1) for v in w[:4]), unescape(w[4])) for w in found])


def filled(pdf, folder):
    """Of each page how far down its ink reaches, as a share of what is between the margins."""
    subprocess.run(["pdftoppm", "-r", "30", "-gray", pdf, folder / "page"], check=True)
    for path in sorted(folder.glob("page-*.pgm")):
        _, size, _, pixels = path.read_bytes().split(b"\n", 3)
        width, height = map(int, size.split())
        top, bottom = round(19 / 25.4 * 30), height - round(19 / 25.4 * 30)
        inked = [y for y in range(top, bottom) if min(pixels[y * width:(y + 1) * width]) < 128]
        yield (max(inked, default=top) - top) / (bottom - top)
        path.unlink()


def begins_part(page):
    return any(line.text in PARTS for line in page.lines())


def number(value, decimals):
    return f"{value:.{decimals}f}".replace("-", "\u2212")


class Printed(unittest.TestCase):
    def setUp(self):
        self.cleanup = contextlib.ExitStack()
        self.addCleanup(self.cleanup.close)
        self.folder = Path(self.cleanup.enter_context(tempfile.TemporaryDirectory(prefix="stillpoint-")))
        (self.folder / "day.toml").write_text(CONFIG)

    def printed(self, points, paper):
        book = self.folder / f"{points}.gpkg"
        if not book.exists():
            subprocess.run([BOOK, str(points), "66", book], check=True)
        out = self.folder / f"{points}-{paper}"
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([REPORT, "--pointbook", book, "--out", out, "--config", self.folder / "day.toml", "--paper", paper],
                       check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        pdf = out / "report.pdf"
        subprocess.run([os.environ.get("STILLPOINT_CHROMIUM", "chromium"), "--headless", "--no-sandbox", "--disable-gpu",
                        f"--user-data-dir={self.folder / 'browser'}", "--no-pdf-header-footer", f"--print-to-pdf={pdf}",
                        (out / "report.html").as_uri()], check=True, capture_output=True, timeout=240)
        pages = list(pages_of(pdf))
        print(f"{points} points on {paper}: {len(pages)} pages, {cpu_s:.2f} s of CPU")
        return book, pdf, pages, cpu_s

    def is_true_to_size(self, pages, paper):
        """Whatever is wider than the paper makes the browser shrink all of it."""
        left, right = {"a4": (20, 194), "letter": (22, 196)}[paper]
        for page in pages[1:]:
            edge = min(w.left for w in page.body())
            self.assertAlmostEqual(edge / MM, left, delta=0.6)
            self.assertLess(max(w.right for w in page.body()) / MM, right + 0.6)

    def has_no_empty_pages(self, pdf, pages):
        shares = list(filled(pdf, self.folder))
        self.assertEqual(len(shares), len(pages))
        for i, share in enumerate(shares):
            last_of_part = i + 1 == len(pages) or begins_part(pages[i + 1])
            self.assertTrue(share > 1 / 3 or last_of_part, f"page {i + 1} is filled to {share:.0%}")

    def has_its_summary_on_one_page(self, pages):
        self.assertTrue(begins_part(pages[1]), "the summary goes on on a second page")

    def splits_nothing(self, pages, points):
        wanted = {f"{h}": 0 for h in HEADINGS if h != "F Map sheets" or points > 60}
        for page in pages:
            lines = page.lines()
            for i, line in enumerate(lines):
                if line.text in wanted:
                    wanted[line.text] += 1
                    self.assertGreater(len(lines), i + 2, f"{line.text} stands alone at the end of its page")
        self.assertEqual({h: n for h, n in wanted.items() if n != 1}, {})
        for page in pages:
            texts = [line.text for line in page.lines()]
            whole = " ".join(texts)
            # Of a decision: its question, its boxes, its line for the reason, its drawing.
            questions = sum(1 for t in texts if re.match(r"^\d+ CUL-\d+: ", t))
            whys = sum(1 for line in page.lines() for w in line if w.text == "why" and len(line) <= 6)
            self.assertEqual(questions, whys)
            self.assertEqual(questions, whole.count("measure again"))
            self.assertEqual(questions, len(re.findall(r"average \d", whole)))
            # Of a map: the strip above it and the scale at its foot.
            self.assertEqual(len(re.findall(r"accepted, \d", whole)), sum(1 for w in page.body() if w.text == "N"))
            # Of the day's strip: its zones above, its rows below.
            zone = {"old:", "does", "count"} <= {w.text for w in page.body()}
            rows = {w.text for w in page.body() if w.right < 34.5 * MM} >= {"points", "checks"}
            self.assertEqual(zone, rows, whole)

    def names_stand_apart(self, pages):
        """No word of a map lies on another, by the letters' own height."""
        maps = 0
        for page in pages:
            tops = [w.bottom for line in page.lines() for w in line if w.text.startswith("accepted,")]
            if not tops:
                continue
            maps += 1
            foot = next(w.top for w in page.body() if w.text in ("Names", "Frames:", "Sheet") and w.top > tops[0])
            words = [w for w in page.body() if tops[0] < w.top and w.bottom < foot + 1]
            boxes = [(w.left, w.top + 0.22 * (w.bottom - w.top), w.right, w.bottom - 0.12 * (w.bottom - w.top), w.text)
                     for w in words]
            for i, a in enumerate(boxes):
                for b in boxes[:i]:
                    apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                    self.assertTrue(apart, f"{a[4]} lies on {b[4]}")
        self.assertGreater(maps, 0)
        return maps

    def says_what_the_book_says(self, book, pages):
        text = "\n".join(line.text for page in pages for line in page.lines())
        with contextlib.closing(sqlite3.connect(book)) as database:
            rows = database.execute(
                "SELECT name, ellipsoid_height_m, error95_horizontal_m, error95_vertical_m, epochs_used, epochs_refused,"
                " latitude_deg, longitude_deg FROM current_points").fetchall()
        used = refused = 0
        for name, height, plan, up, counted, not_counted, latitude, longitude in rows:
            used, refused = used + counted, refused + not_counted
            errors = f"{number(height, 3)} {number(plan * 1000, 0)} {number(up * 1000, 0)} {counted} "
            self.assertRegex(text, rf"(?m)^{name} (accepted|held) .* {errors}")
            self.assertIn(f"{name} {number(latitude, 8)} {number(longitude, 8)} {number(height, 3)} 1.871 {counted} {not_counted} ", text)
        spaced = lambda n: f"{n:,}".replace(",", " ")  # poppler tells every kind of space as this one
        self.assertIn(f"{spaced(used)} counted, {spaced(refused)} did not", text)
        accepted = sum(1 for t in re.findall(r"(?m)^CUL-\d+ accepted ", text))
        self.assertIn(f"{accepted} of {len(rows)}: yes.", text)

    def look_at(self, points, paper):
        book, pdf, pages, cpu_s = self.printed(points, paper)
        with self.subTest(points=points, paper=paper):
            self.is_true_to_size(pages, paper)
            self.has_no_empty_pages(pdf, pages)
            self.has_its_summary_on_one_page(pages)
            self.splits_nothing(pages, points)
            maps = self.names_stand_apart(pages)
            self.assertEqual(maps > 1, points > 60)
            self.says_what_the_book_says(book, pages)
            self.assertIn("Signature", " ".join(w.text for w in pages[0].words))  # page 1 holds all that a client signs
        return cpu_s

    def test_a_day_of_24_points(self):
        for paper in ("a4", "letter"):
            self.look_at(24, paper)

    def test_a_day_of_100_points(self):
        for paper in ("a4", "letter") if LONG else ("a4",):
            self.look_at(100, paper)

    @unittest.skipUnless(LONG, "only with --long")
    def test_a_day_of_500_points_takes_less_than_two_seconds_of_cpu(self):
        for paper in ("a4", "letter"):
            self.assertLess(self.look_at(500, paper), 2)


if __name__ == "__main__":
    if absent := missing():
        print(f"{'*' * 78}\nSKIPPED: no report was printed; not at hand: {', '.join(absent)}\n{'*' * 78}")
        sys.exit(77)
    unittest.main(argv=sys.argv[:1])
