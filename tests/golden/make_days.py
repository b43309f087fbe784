#!/usr/bin/python3
"""Makes the recorded days of this folder with the programs of one installation, once and for all.

    make_days.py BIN REPLAY_LOGS OUT

The days here were made by version 0.1.0 as it was before the rules, the estimator and the pointbook had editions. They
are never made anew: what later programs must still read is what those programs wrote.
"""

import gzip
import os
import shutil
import sqlite3
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

BIN, LOGS, OUT = (Path(a).resolve() for a in sys.argv[1:4])
os.environ["STILLPOINTD"] = str(BIN / "stillpointd")
sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "process"))
import harness  # noqa: E402  (it reads the environment)

REHEARSED = [(s, c) for s in ("two-skies", "everything-else", "moved-mark") for c in ("careful", "careless")]


def pack(folder, name):
    """The day's files as one archive without times and owners."""
    keep = [p for p in sorted(folder.rglob("*")) if p.is_file() and p.suffix not in (".lock", ".log") and "control" not in p.name]
    with open(OUT / f"{name}.tar.gz", "wb") as raw, gzip.GzipFile(fileobj=raw, mode="wb", mtime=0) as packed:
        with tarfile.open(fileobj=packed, mode="w") as tar:
            for path in keep:
                if path.stat().st_size == 0:
                    continue
                info = tar.gettarinfo(path, str(path.relative_to(folder)))
                info.mtime, info.uid, info.gid, info.uname, info.gname = 0, 0, 0, "", ""
                with open(path, "rb") as file:
                    tar.addfile(info, file)


def rehearse(scenario, crew):
    with tempfile.TemporaryDirectory(prefix="stillpoint-") as temporary:
        work = Path(temporary) / "work"
        subprocess.run([BIN / "stillpoint-rehearse", "--scenario", LOGS / f"{scenario}.toml", "--with-daemon", "--pace", "max",
                        "--crew", crew, "--folder", work], check=False, capture_output=True, timeout=120)
        config = work / "config.toml"
        text = config.read_text()
        if str(LOGS) in text:  # the day must not name a folder of the machine that made it
            shutil.copy(LOGS / "checked-marks.csv", work)
            config.write_text(text.replace(f"{LOGS}/", ""))
        pack(work, f"{scenario}.{crew}")


class LeftDay(harness.ProcessTest):
    """A day that ended without a word: points and a check wait in the spool, and a stay is open."""

    def runTest(self):
        receiver = harness.Receiver()
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        (self.folder / "marks.csv").write_text(
            "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m\n"
            "VM-11,EPSG:6319,2010.0,47.6000000,-87.4000000,146.429,ellipsoid,0.005,0.008\n")
        with (self.folder / "config.toml").open("a") as config:
            config.write('\n[checks]\nmarks = "marks.csv"\n')
        daemon = self.start()
        connection = receiver.accept()
        self.cleanup.callback(connection.close)
        client = self.client()
        sent = 0

        def send(seconds):
            nonlocal sent
            for _ in range(seconds):
                connection.sendall(harness.second(sent).encode())
                client.until(f"second {sent}", lambda s, n=sent: s["counters"].get("epochs", 0) >= n)
                sent += 1

        def stay(name, mark=False):
            client.call("check", mark=name) if mark else client.call("begin", name=name, code="CUL-U", note="upstream, left")
            send(9)
            client.call("keep")

        send(8)
        stay("VM-11", mark=True)
        stay("LF-1")
        client.until("stored", lambda s: s["store"]["waiting"] == 0)
        reader = sqlite3.connect(self.folder / "trial.gpkg")
        reader.execute("BEGIN IMMEDIATE")
        stay("LF-2")
        stay("VM-11", mark=True)
        client.call("begin", name="LF-3")
        send(12)
        self.look_until("the open stay on the disk", lambda: (self.folder / "trial.gpkg.open").exists())
        daemon.process.kill()
        daemon.process.wait()
        reader.rollback()
        reader.close()
        pack(self.folder, "left-open")


if __name__ == "__main__":
    OUT.mkdir(parents=True, exist_ok=True)
    for scenario, crew in REHEARSED:
        rehearse(scenario, crew)
    result = LeftDay().run()
    for problem in result.failures + result.errors:
        print(problem[1], file=sys.stderr)
    sys.exit(0 if result.wasSuccessful() else 1)
