#!/usr/bin/python3
"""What cannot be read as a log is called what it is, with exit status 4, by the recomputation and the outage study.

    unreadable_test.py REDUCE REPLAY_LOGS OFFICE
"""
import bz2
import gzip
import lzma
import subprocess
import sys
import tempfile
from pathlib import Path

REDUCE, LOGS, OFFICE = Path(sys.argv[1]), Path(sys.argv[2]), Path(sys.argv[3])


def without_checksums(log):
    return b"".join(line.split(b"*")[0] + b"\r\n" for line in log.splitlines())


def main():
    demo = (LOGS / "harrowfen-culverts.nmea").read_bytes()[:20000]
    demo = demo[:demo.rindex(b"\n") + 1]
    cases = [
        ("gzip", gzip.compress(demo), "is compressed (gzip); unpack it first"),
        ("bzip2", bz2.compress(demo), "is compressed (bzip2); unpack it first"),
        ("xz", lzma.compress(demo), "is compressed (xz); unpack it first"),
        ("UTF-16", demo.decode("ascii").encode("utf-16"), "is text in UTF-16"),
        ("UTF-16 without a mark", demo.decode("ascii").encode("utf-16-le"), "is text in UTF-16"),
        ("no checksums", without_checksums(demo), f"{demo.count(b'$')} sentences without a checksum and none with one"),
        ("a letter", b"Dear friend,\r\n", "bytes of something else than NMEA sentences"),
        ("nothing", b"", "it is empty"),
    ]
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "day.nmea"
        for name, content, words in cases:
            log.write_bytes(content)
            for how in ([REDUCE, "--config", LOGS / "harrowfen.toml"], [OFFICE, "outage-study"]):
                done = subprocess.run([*how, "--log", log], capture_output=True, text=True, timeout=60, check=False)
                if done.returncode != 4 or words not in done.stderr:
                    wrong.append(f"{name}, {how[0].name}: exit {done.returncode}, {done.stderr!r}")
        log.write_bytes(demo)
        log.with_suffix(".journal").symlink_to(log.with_suffix(".journal"))
        done = subprocess.run([REDUCE, "--config", LOGS / "harrowfen.toml", "--log", log], capture_output=True, text=True, timeout=60, check=False)
        if done.returncode != 4 or "the journal" not in done.stderr:
            wrong.append(f"a journal that is a link to itself: exit {done.returncode}, {done.stderr!r}")
    print("\n".join(wrong) or "every file that is no log is called what it is")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
