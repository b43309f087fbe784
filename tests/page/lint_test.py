"""Runs ESLint with the rules of this folder over the page's script, where Node and the package are at hand; else says loudly
that it is skipped.

    lint_test.py MODULES_FOLDER PAGE_FOLDER     exit 77: skipped
"""
import shutil
import subprocess
import sys
from pathlib import Path

rules = Path(__file__).resolve().parent / "eslint.config.mjs"
modules, page = (Path(each).resolve() for each in sys.argv[1:])
lint = modules / "node_modules" / "eslint" / "bin" / "eslint.js"
if not shutil.which("node") or not lint.is_file():
    print(f"{'*' * 78}\nSKIPPED: the page's script was NOT linted; Node 18 or newer and the target page_modules are needed\n{'*' * 78}")
    sys.exit(77)
# The base folder is the page's, so that the rules beside this file hold for files elsewhere.
sys.exit(subprocess.run(["node", str(lint), "--no-warn-ignored", "-c", str(rules), "."], cwd=page).returncode)
