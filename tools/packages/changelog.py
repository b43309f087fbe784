#!/usr/bin/env python3
"""The page of changes as Debian's changelog: changelog.py CHANGELOG.md VERSION. Versions after VERSION are left out."""
import email.utils
import re
import sys
from datetime import datetime, timezone
from pathlib import Path

AUTHORS = "The Stillpoint authors <maintainers@stillpoint.invalid>"


def entries_of(page):
    """(version, date, [point]) from newest to oldest."""
    for version, date, body in re.findall(r"(?ms)^## (\S+) - (\d{4}-\d\d-\d\d)\n(.*?)(?=^## |\Z)", page):
        yield version, date, [" ".join(point.split()) for point in re.findall(r"(?ms)^- (.*?)(?=^- |\Z)", body)]


def wrapped(point):
    lines, line = [], "  *"
    for word in point.replace("`", "").split():
        if len(line) + 1 + len(word) > 78:
            lines.append(line)
            line = "   "
        line += " " + word
    return lines + [line]


def changelog(page, version):
    key = lambda text: [int(part) for part in text.split(".")]
    for name, date, points in entries_of(page):
        if key(name) > key(version):
            continue
        noon = datetime.strptime(date, "%Y-%m-%d").replace(hour=12, tzinfo=timezone.utc)
        text = "\n".join(line for point in points for line in wrapped(point))
        yield f"stillpoint ({name}) bookworm; urgency=medium\n\n{text}\n\n -- {AUTHORS}  {email.utils.format_datetime(noon)}\n"


def main():
    page, version = Path(sys.argv[1]).read_text(encoding="utf-8"), sys.argv[2]
    entries = list(changelog(page, version))
    if not entries or not entries[0].startswith(f"stillpoint ({version})"):
        sys.exit(f"{sys.argv[1]} has no entry for version {version}")
    print("\n".join(entries), end="")


if __name__ == "__main__":
    main()
