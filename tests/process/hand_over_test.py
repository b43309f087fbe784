"""A day as one archive: what is in it and what never is, that it comes back whole, and that no hostile one gets through.

Archives of attackers are made by Python's tarfile, which knows nothing of ours.
"""

import contextlib
import hashlib
import io
import os
import random
import shutil
import sqlite3
import subprocess
import tarfile
import unittest

from checks_test import Crew
from harness import DEADLINE_S, OFFICE

TOKEN = "a-secret-of-the-relay"


def office(*words, **process):
    return subprocess.run([OFFICE, *map(str, words)], capture_output=True, text=True, timeout=DEADLINE_S, **process)


def manifest(files, magic="stillpoint-day 1"):
    lines = "".join(f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in files)
    return f"{magic}\n\n{lines}".encode()


def entry(name, data=b"", kind=tarfile.REGTYPE, **members):
    info = tarfile.TarInfo(name)
    info.type, info.size = kind, len(data)
    for member, value in members.items():
        setattr(info, member, value)
    return info, data


class HandOver(Crew):
    def setUp(self):
        super().setUp()
        self.archive = self.folder / "away" / "day.tar"

    def day(self, closed=True, stop=True):
        """A day with a point and checks, recorded by a daemon."""
        self.begin()
        self.point("CUL-01")
        if closed:
            self.assertEqual(self.check("VM-11", "--closing").returncode, 0)
            self.assertEqual(self.stillpoint("close-day").returncode, 0)
        if stop:
            self.daemon.stop()

    def hand_over(self, *more, out=None, status=0):
        done = office("hand-over", "--config", self.folder / "config.toml", "--out", out or self.archive, *more)
        self.assertEqual(done.returncode, status, done.stdout + done.stderr)
        return done

    def add_secrets(self):
        config = self.folder / "config.toml"
        config.write_text(config.read_text() + f'\n[relay]\nterminal = "receiver"\ntoken = "{TOKEN}"\n')
        (self.folder / "login").write_text("somebody\npassword\n")

    def test_a_day_goes_over_and_comes_back_as_it_was(self):
        self.add_secrets()
        self.day()
        log = sorted((self.folder / "record").glob("*.nmea"))[0]
        log.with_suffix(".rtcm").write_bytes(b"corrections that came")
        told = self.hand_over()
        self.assertIn("not in it: the token of [relay], which is a secret", told.stdout)
        with tarfile.open(self.archive) as archive:
            names = archive.getnames()
            everything = self.archive.read_bytes()
        self.assertEqual(names[0], "day/manifest.txt")
        parts = {name.split("/")[1] for name in names[1:]}
        self.assertEqual(parts, {"pointbook", "configuration", "record", "marks"})
        self.assertEqual({name.rsplit(".")[-1] for name in names if "/record/" in name}, {"nmea", "journal", "rtcm", "sha256", "txt"})
        self.assertNotIn(TOKEN.encode(), everything)
        self.assertNotIn(b"password", everything)
        self.assertEqual(office("receive", self.archive).returncode, 0)

        kept = self.folder / "office"
        received = office("receive", self.archive, "--out", kept)
        self.assertEqual(received.returncode, 0, received.stdout + received.stderr)
        for words in ("each as it was when it was handed over", "points: 1 accepted, 0 held, 0 rejected", "every point comes out of the record",
                      "files of the record are as they were when the day was closed", f"kept in {kept}/day"):
            self.assertIn(words, received.stdout)
        self.assertIn("\npointbook/trial.gpkg: every point comes out of the record", received.stdout)
        self.assertLessEqual(len(received.stdout.splitlines()), 60)  # a page
        for path in sorted((self.folder / "record").iterdir()):
            if path.name != ".lock":
                self.assertEqual((kept / "day" / "record" / path.name).read_bytes(), path.read_bytes(), path.name)
        with contextlib.closing(sqlite3.connect(kept / "day" / "pointbook" / "trial.gpkg")) as copy, contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg")) as own:
            for table in ("points", "epochs", "events", "check_shots"):
                rows = [sorted(map(str, one.execute(f"SELECT * FROM {table}"))) for one in (copy, own)]
                self.assertEqual(*rows)
        sums = subprocess.run("grep '  ' manifest.txt | sha256sum -c --quiet", shell=True, cwd=kept / "day", capture_output=True, text=True)
        self.assertEqual(sums.returncode, 0, sums.stderr)
        self.assertFalse([p for p in kept.iterdir() if p.name.startswith(".")])

        again = self.folder / "again" / "day.tar"
        self.hand_over(out=again)
        self.assertEqual(again.read_bytes(), self.archive.read_bytes())
        self.assertIn("is there already", self.hand_over(out=again, status=3).stderr)
        refused = office("receive", self.archive, "--out", kept)
        self.assertEqual(refused.returncode, 3)
        self.assertIn("is there already", refused.stderr)

    def test_a_day_that_goes_on_is_handed_over_when_it_is_closed(self):
        self.day(closed=False, stop=False)
        self.assertIn("is still being recorded; close the day, or stop the daemon", self.hand_over(status=1).stderr)
        self.assertFalse(self.archive.exists())
        self.assertEqual(self.check("VM-11", "--closing").returncode, 0)
        self.assertEqual(self.stillpoint("close-day").returncode, 0)
        done = self.hand_over()
        received = office("receive", self.archive)
        self.assertEqual(received.returncode, 0, done.stdout + received.stdout + received.stderr)
        self.daemon.stop()

    def test_a_day_whose_record_was_changed_before_it_went_over_is_received_and_told(self):
        self.day()
        log = sorted((self.folder / "record").glob("*.nmea"))[0]
        log.write_bytes(log.read_bytes() + b"$GNXXX,1*00\r\n")
        self.hand_over()
        received = office("receive", self.archive)
        self.assertEqual(received.returncode, 1, received.stdout)
        self.assertIn("CHANGED since the day was closed", received.stdout)

    def test_an_archive_that_was_changed_on_its_way_is_refused(self):
        self.day()
        self.hand_over()
        good = self.archive.read_bytes()
        with tarfile.open(self.archive) as archive:
            places = {m.name: m.offset_data for m in archive.getmembers() if m.size}
        for number, (name, at) in enumerate(sorted(places.items())):
            with self.subTest(changed=name):
                bad = bytearray(good)
                bad[at] ^= 1
                self.refused(bytes(bad))
        for size in (0, 1, 511, 512, 700, len(good) // 2, good.rindex(b"pairs.txt")):
            with self.subTest(size=size):
                self.refused(good[:size])

    def test_whatever_single_byte_is_changed_no_other_file_comes_of_it(self):
        book = ("pointbook/a.gpkg", b"bytes" * 300)
        good = self.tar(entry("day/manifest.txt", manifest([book])), entry("day/pointbook/a.gpkg", book[1]))
        dice = random.Random(20260603)
        for number in range(40):
            bad = bytearray(good)
            bad[dice.randrange(4 * 512 + len(book[1]))] = dice.randrange(256)
            done = office("receive", self.write("changed.tar", bytes(bad)), "--out", self.folder / "kept")
            # The book in it is none, so even what is not noticed (a time, a byte of padding) ends with 4.
            self.assertEqual(done.returncode, 4, (number, done.stdout, done.stderr))
            for path in (self.folder / "kept").rglob("*") if (self.folder / "kept").exists() else ():
                self.assertTrue(path.is_dir() or path.name in ("manifest.txt", "a.gpkg"), path)
            shutil.rmtree(self.folder / "kept", ignore_errors=True)
            self.assertFalse((self.folder / "outside").exists())

    def refused(self, data, said=""):
        path, out = self.folder / "hostile.tar", self.folder / "kept"
        path.write_bytes(data)
        done = office("receive", path, "--out", out)
        self.assertEqual(done.returncode, 4, done.stdout + done.stderr)
        self.assertEqual(done.stderr.count("\n"), 1, done.stderr)
        self.assertIn("is no whole archive of a day, and nothing of it is kept", done.stderr)
        self.assertIn(said, done.stderr)
        self.assertFalse(out.exists(), list(out.iterdir()) if out.exists() else "")
        self.assertFalse((self.folder / "outside").exists())

    def tar(self, *entries, form=tarfile.PAX_FORMAT):
        out = io.BytesIO()
        with tarfile.open(fileobj=out, mode="w", format=form) as archive:
            for info, data in entries:
                archive.addfile(info, io.BytesIO(data))
        return out.getvalue()

    def test_hostile_archives_are_refused_and_leave_nothing(self):
        book = ("pointbook/a.gpkg", b"bytes")
        first = entry("day/manifest.txt", manifest([book]))
        whole = entry("day/pointbook/a.gpkg", b"bytes")
        self.assertEqual(office("receive", self.write("none.tar", self.tar(first, whole))).returncode, 4)
        rows = [
            ("an absolute path", self.tar(first, entry(str(self.folder / "outside"), b"bytes")), "is none that such an archive has"),
            ("a way up", self.tar(first, entry("day/record/../../outside", b"bytes")), "is none that"),
            ("a way up at the top", self.tar(first, entry("../outside", b"bytes")), "is none that"),
            ("another top", self.tar(first, entry("other/pointbook/a.gpkg", b"bytes")), "is none that"),
            ("a part of its own", self.tar(first, entry("day/etc/a.gpkg", b"bytes")), "is none that"),
            ("a deeper folder", self.tar(first, entry("day/record/a/b", b"bytes")), "is none that"),
            ("a hidden name", self.tar(first, entry("day/record/.profile", b"bytes")), "is none that"),
            ("an option", self.tar(first, entry("day/record/-rf", b"bytes")), "is none that"),
            ("a line in a name", self.tar(first, entry("day/record/a\nb", b"bytes")), "is none that"),
            ("a name of 5000 letters", self.tar(first, entry("day/record/" + "a" * 5000, b"bytes")), "is none that"),
            ("a symbolic link", self.tar(first, entry("day/pointbook/a.gpkg", kind=tarfile.SYMTYPE, linkname="/etc/passwd")), "is a link, a folder or a device"),
            ("a hard link", self.tar(first, entry("day/pointbook/a.gpkg", kind=tarfile.LNKTYPE, linkname="/etc/passwd")), "is a link"),
            ("a device", self.tar(first, entry("day/pointbook/a.gpkg", kind=tarfile.CHRTYPE, devmajor=1, devminor=5)), "is a link, a folder or a device"),
            ("a pipe", self.tar(first, entry("day/pointbook/a.gpkg", kind=tarfile.FIFOTYPE)), "is a link, a folder or a device"),
            ("a folder", self.tar(first, entry("day/pointbook/a.gpkg", kind=tarfile.DIRTYPE)), ""),
            ("a file twice", self.tar(first, whole, whole), "is in it twice"),
            ("the manifest twice", self.tar(first, first, whole), "is in it twice"),
            ("no manifest", self.tar(whole), "its first entry is not its manifest"),
            ("nothing in it", self.tar(), ""),
            ("a file too many", self.tar(first, whole, entry("day/record/b", b"x")), "is not in its manifest"),
            ("a file too few", self.tar(first), "is missing"),
            ("other bytes", self.tar(first, entry("day/pointbook/a.gpkg", b"other")), "has another SHA-256"),
            ("another manifest", self.tar(entry("day/manifest.txt", manifest([book], "stillpoint-day 2")), whole), "does not begin as one"),
            ("a manifest that names a place outside", self.tar(entry("day/manifest.txt", manifest([("record/../../outside", b"x")]))), "its manifest has the line"),
            ("a manifest with a file twice", self.tar(entry("day/manifest.txt", manifest([book, book])), whole), "twice"),
            ("a huge manifest", self.tar(entry("day/manifest.txt", b"a" * (5 << 20))), "its manifest is too large"),
            ("many lines", self.tar(entry("day/manifest.txt", manifest([(f"record/{i}", b"") for i in range(20_001)]))), "its manifest is too large"),
            ("bytes that are no text", self.tar(entry("day/manifest.txt", b"\xff\x00\x1b[31m" * 100)), ""),
            ("no archive", b"this is no archive, however long it is looked at " * 40, ""),
            ("compressed", self.compressed(first, whole), ""),
            ("a hole of 8 TiB", self.sparse(8 << 40), ""),
            ("a size of 8 GiB", self.lying(first), ""),
        ]
        for name, data, said in rows:
            with self.subTest(name=name):
                self.refused(data, said)

    def write(self, name, data):
        path = self.folder / name
        path.write_bytes(data)
        return path

    def compressed(self, *entries):
        import gzip
        return gzip.compress(self.tar(*entries))

    def lying(self, first):
        """Its header says that more follows than there is."""
        info, _ = entry("day/pointbook/a.gpkg")
        info.size = 8 << 30
        return self.tar(first)[:-10240] + self.tar(first)[: 1024 + 512] + info.tobuf(tarfile.GNU_FORMAT) + b"bytes" + b"\0" * 1019

    def sparse(self, size):
        """By GNU tar, which stores a hole as a few bytes."""
        folder = self.folder / "sparse" / "day" / "pointbook"
        folder.mkdir(parents=True)
        (folder.parent / "manifest.txt").write_bytes(manifest([("pointbook/a.gpkg", b"bytes")]))
        with (folder / "a.gpkg").open("wb") as hole:
            hole.truncate(min(size, 1 << 40))
        path = self.folder / "sparse.tar"
        subprocess.run(["tar", "-S", "-cf", path, "-C", folder.parents[1], "day/manifest.txt", "day/pointbook/a.gpkg"], check=True)
        self.assertLess(path.stat().st_size, 1 << 20)
        return path.read_bytes()

    def test_what_is_no_file_or_cannot_be_written_is_said(self):
        pipe = self.folder / "pipe.tar"
        os.mkfifo(pipe)
        for path in (self.folder / "nothing.tar", pipe, self.folder):
            done = office("receive", path)
            self.assertEqual((done.returncode, done.stderr.count("\n")), (4, 1), done.stderr)
        (self.folder / "file").write_text("x")
        done = office("receive", self.write("a.tar", self.tar()), "--out", self.folder / "file")
        self.assertEqual((done.returncode, (self.folder / "file").read_text()), (3, "x"), done.stderr)
        done = office("hand-over", "--config", self.folder / "none.toml", "--out", self.archive)
        self.assertEqual(done.returncode, 2)


if __name__ == "__main__":
    unittest.main()
