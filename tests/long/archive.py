#!/usr/bin/env python3
"""The two commands of the README in a bare Debian 12, from a source archive without git: archive.py

Needs root, mmdebstrap and a mirror; skipped with a word, exit status 0, where one is missing. It builds everything twice.
"""
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
from bare_system import CLEAN, System, make_base, own_mounts  # noqa: E402

ROOT = Path(__file__).resolve().parents[2]


def lay_out(system):
    """What a source archive holds: the tree without git and without builds."""
    (system.folder / "source").mkdir()
    packed = subprocess.Popen(["tar", "-c", "-C", ROOT, "--exclude=./build*", "--exclude=./.git", "--exclude=./out", "--exclude=__pycache__", "."], stdout=subprocess.PIPE)
    subprocess.run(["tar", "-x", "-C", system.folder / "source"], stdin=packed.stdout, check=True)
    return packed.wait() == 0


def main():
    if not own_mounts():
        return 0
    with tempfile.TemporaryDirectory(prefix="archive-") as folder:
        base = Path(folder) / "base.tar"
        if not make_base(base):
            return 0
        system = System(base, Path(folder) / "system")
        try:
            lay_out(system)
            for command in ("tools/demo", "tools/check"):
                done = subprocess.run(system.words("sh", "-c", f"cd /source && ./{command}"), env=CLEAN)
                print(f"{command}: exit status {done.returncode}", flush=True)
                if done.returncode != 0:
                    return 1
        finally:
            system.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
