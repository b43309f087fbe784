"""Runs a script of this folder in Node with Chromium, where both are at hand; else says loudly that it is skipped.

    browser_test.py MODULES_FOLDER SCRIPT [ARGUMENTS]     exit 77: skipped
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent


def missing(modules):
    chromium = os.environ.get("STILLPOINT_CHROMIUM") or shutil.which("chromium")
    if not chromium:
        return "there is no chromium: apt-get install chromium"
    os.environ["STILLPOINT_CHROMIUM"] = chromium
    if not shutil.which("node"):
        return "there is no node: install Node 18 or newer"
    version = subprocess.run(["node", "--version"], capture_output=True, text=True).stdout.strip()
    if int(version.lstrip("v").split(".")[0] or 0) < 18:
        return f"Node 18 or newer is needed, here is {version}"
    for package in ("playwright-core", "axe-core"):
        if not (modules / "node_modules" / package).is_dir():
            return f"{package} is not in {modules}: build the target page_modules (it asks the npm registry)"
    return None


modules = Path(sys.argv[1]).resolve()
if why := missing(modules):
    print(f"{'*' * 78}\nSKIPPED: the page was NOT tried in a browser; {why}\n{'*' * 78}")
    sys.exit(77)
os.environ["STILLPOINT_PAGE_MODULES"] = str(modules)
sys.exit(subprocess.run(["node", str(HERE / sys.argv[2]), *sys.argv[3:]]).returncode)
