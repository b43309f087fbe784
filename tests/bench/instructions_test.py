#!/usr/bin/python3
"""Instructions an epoch for the whole session, counted by valgrind's callgrind; fails when they grew by over 10 %.

    instructions_test.py PROGRAM COMPILER BUILD_TYPE

The recorded figure is that of GCC 12 at the shipped flags on Debian 12 amd64; elsewhere the test is skipped, loudly.
"""
import platform
import re
import shutil
import subprocess
import sys
from pathlib import Path

SKIPPED = 77
RECORDED = Path(__file__).resolve().parent / "instructions.txt"


def why_not(compiler, build_type):
    release = Path("/etc/os-release").read_text() if Path("/etc/os-release").exists() else ""
    if not compiler.startswith("GNU 12."):
        return f"the compiler is {compiler}"
    if build_type != "Release":
        return f"the build type is {build_type or 'none'}"
    if platform.machine() != "x86_64" or 'VERSION_ID="12"' not in release or "ID=debian" not in release:
        return "this is not Debian 12 on amd64"
    return None if shutil.which("valgrind") else "there is no valgrind"


def main():
    program, compiler, build_type = sys.argv[1:]
    if why := why_not(compiler, build_type):
        print(f"SKIPPED: {why}")
        return SKIPPED
    done = subprocess.run(["valgrind", "--tool=callgrind", "--callgrind-out-file=/dev/null",
                           "--toggle-collect=stillpoint_measured_day", program], capture_output=True, text=True)
    if done.returncode:
        print(done.stdout, done.stderr)
        return 1
    count = int(re.search(r"Collected : (\d+)", done.stderr).group(1))
    epochs = int(re.search(r"epochs (\d+)", done.stdout).group(1))
    each = count / epochs
    limit = int(RECORDED.read_text().split()[0]) * 1.1
    print(f"{each:.0f} instructions an epoch ({epochs} epochs); limit {limit:.0f}")
    return 0 if each <= limit else 1


if __name__ == "__main__":
    sys.exit(main())
