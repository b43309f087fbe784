#!/usr/bin/python3
"""Reads every include of lib/, daemon/ and tools/ and fails on one that arrows.txt does not allow,
and on an arrow that no include follows.

    check_arrows.py REPOSITORY        exit 0 clean, 1 with one line for each violation
    check_arrows.py --self-test       plants violations in a temporary tree and checks that each one is found
"""
import re
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
SOURCES = {".hpp", ".cpp", ".h", ".cc", ".ipp"}


class Table:
    def __init__(self, text):
        self.rooms, self.only, self.words, self.lines = {}, {}, [], []
        for line in text.splitlines():
            kind, _, rest = line.partition(" ")
            if not line.strip() or kind.startswith("#"):
                continue
            left, _, right = rest.rpartition(":")
            if kind == "room":
                self.rooms[left] = set(right.split())
            elif kind == "only":
                self.only.update({header: set(right.split()) for header in left.split()})
                self.lines.append((left.split(), right.split()))
            elif kind == "word":
                self.words.append((re.compile(left), set(right.split())))
            else:
                raise SystemExit(f"arrows.txt: cannot read the line: {line}")

    def circles(self):
        """Rooms that reach themselves."""
        def reach(room, seen):
            for other in self.rooms[room] - seen:
                seen |= {other} | reach(other, seen | {other})
            return seen
        return [room for room in self.rooms if room in reach(room, set())]

    def limit_of(self, header):
        for name, places in self.only.items():
            if header == name or (name.endswith("/") and header.startswith(name)):
                return places
        return None


def room_of(path, root):
    """The folder in lib/ or daemon/; what lies in daemon/ itself joins the rooms and is one of its own."""
    parts = path.relative_to(root).parts
    return parts[1] if parts[0] == "lib" or (parts[0] == "daemon" and len(parts) > 2) else parts[0]


def allowed_in(places, room, path):
    return room in places or f"{room}/{path.stem}" in places


def without_comments(text):
    blank = lambda match: "\n" * match.group().count("\n")
    return re.sub(r"//[^\n]*|/\*.*?\*/", blank, text, flags=re.S)


# The line to the daemon, which every program that talks to it shares, and the words people read for a code.
SHARED_BY_TOOLS = {"client/link.hpp", "client/fields.hpp", "client/wire_names.hpp", "frames/table_link.hpp"}
# What the office does begins with recomputing a day; what it hands out says what the report says of the day.
USES = {"office": {"reduce", "report"}}


def is_own_header(path, room, header):
    """A program's parts include each other, by bare name or by their folder's; never another program's."""
    if room == "tools" and header in SHARED_BY_TOOLS:
        return True
    if room == "tools" and "/" in header and header.split("/")[0] in USES.get(path.parent.name, ()):
        return True
    beside = (path.parent / header).is_file() and "/" not in header
    return room in ("daemon", "tools") and (beside or (
        header.startswith(path.parent.name + "/") and (path.parent.parent / header).is_file()))


def judge_include(table, room, path, form, header):
    """Why this include is not allowed, or None."""
    first = header.split("/")[0]
    if form == '"' and "/" in header and first in table.rooms:
        if first in (room, *table.rooms[room]):
            return None
        return f"the room {room} may not include {first} ({header})"
    if form == '"':
        return None if is_own_header(path, room, header) else f'"{header}" names no room: write "room/file.hpp"'
    places = table.limit_of(header)
    if places is None:
        return f"<{header}> is not a standard header and arrows.txt does not list it" if "/" in header or "." in header \
            else None
    return None if allowed_in(places, room, path) else f"<{header}> may not be included in {room}/{path.stem}"


def violations(table, root):
    found = [f"arrows.txt: the room {room} reaches itself" for room in table.circles()]
    files = [p for top in ("lib", "daemon", "tools") for p in sorted((root / top).rglob("*")) if p.suffix in SOURCES]
    for path in files:
        room = room_of(path, root)
        if room not in table.rooms:
            found.append(f"{path.relative_to(root)}: the room {room} is not in arrows.txt")
            continue
        for number, line in enumerate(without_comments(path.read_text(encoding="utf-8")).split("\n"), 1):
            where = f"{path.relative_to(root)}:{number}: "
            include = re.match(r'\s*#\s*include\s*(["<])([^">]+)[">]', line)
            if include and (why := judge_include(table, room, path, *include.groups())):
                found.append(where + why)
            if path.relative_to(root).parts[0] == "lib":
                found += [f"{where}{match.group()} is not for lib/" for pattern, places in table.words
                          if (match := pattern.search(line)) and not allowed_in(places, room, path)]
    if not files:
        found.append(f"no sources under {root}")
    return found


def unused(table, root):
    """Arrows of the table that no include follows any more."""
    rooms, places = set(), set()
    for path in (p for top in ("lib", "daemon", "tools") for p in (root / top).rglob("*") if p.suffix in SOURCES):
        room = room_of(path, root)
        for header in re.findall(r'^\s*#\s*include\s*["<]([^">]+)[">]', without_comments(path.read_text()), re.M):
            rooms.add((room, header.split("/")[0]))
            places |= {(line, place) for line, (headers, _) in enumerate(table.lines) for place in (room, f"{room}/{path.stem}")
                       if any(header == one or (one.endswith("/") and header.startswith(one)) for one in headers)}
    out = [f"arrows.txt: nothing in {room} includes {other}" for room, others in table.rooms.items() for other in sorted(others)
           if (room, other) not in rooms]
    return out + [f"arrows.txt: {place} includes nothing of {' '.join(headers)}" for line, (headers, right) in enumerate(table.lines)
                  for place in right if (line, place) not in places]


# One planted line each: file, line, whether it must be found.
PLANTED = [
    ("lib/nmea/a.cpp", '#include "gate/verdict.hpp"', True),
    ("lib/nmea/a.cpp", '  #  include "config/settings.hpp"', True),
    ("lib/base/time.cpp", '#include "nmea/decode.hpp"', True),
    ("lib/estimate/a.cpp", '#include "epoch/epoch.hpp"', True),
    ("lib/gate/a.cpp", "#include <proj.h>", True),
    ("lib/session/a.cpp", "#include <boost/asio/io_context.hpp>", True),
    ("lib/session/a.cpp", "#include <thread>", True),
    ("lib/session/a.cpp", "auto t = std::chrono::steady_clock::now();", True),
    ("lib/config/sources.cpp", "#include <fstream>", True),
    ("lib/wire/a.cpp", "#include <sqlite3.h>", True),
    ("lib/gate/a.cpp", "#include <someother/thing.hpp>", True),
    ("lib/nmea/a.cpp", '#include "decode.hpp"', True),
    ("lib/cloud/a.cpp", "#include <string>", True),
    ("tools/a.cpp", '#include "feeds/feed.hpp"', True),
    ("lib/session/a.cpp", '#include "day/day.hpp"', True),
    ("daemon/feeds/a.cpp", '#include "day/day.hpp"', True),
    ("daemon/keeping/a.cpp", '#include "day/day.hpp"', True),
    ("daemon/day/a.cpp", '#include "clients/page.hpp"', True),
    ("daemon/clients/a.cpp", '#include "daemon.hpp"', True),
    ("daemon/clients/a.cpp", "#include <thread>", True),
    ("daemon/cloud/a.cpp", "#include <string>", True),
    ("daemon/clients/a.cpp", '#include "day/day.hpp"', False),
    ("daemon/keeping/a.cpp", "#include <thread>", False),
    ("daemon/daemon.cpp", '#include "clients/page.hpp"', False),
    ("tools/client/a.cpp", '#include "reduce/day.hpp"', True),
    ("tools/reduce/a.cpp", '#include "office/office.hpp"', True),
    ("tools/office/a.cpp", '#include "reduce/day.hpp"', False),
    ("tools/office/a.cpp", '#include "report/facts.hpp"', False),
    ("tools/report/a.cpp", '#include "office/office.hpp"', True),
    ("tools/office/a.cpp", "#include <archive.h>", False),
    ("lib/pointbook/a.cpp", "#include <archive.h>", True),
    ("lib/gate/a.cpp", '#include "epoch/epoch.hpp"', False),
    ("lib/gate/a.cpp", "#include <charconv>", False),
    ("lib/gate/a.cpp", '// #include "session/session.hpp"', False),
    ("lib/geodesy/a.cpp", "#include <proj.h>", False),
    ("lib/base/identity.cpp", "#include <fstream>", False),
    ("lib/pointbook/book.cpp", "#include <sqlite3.h>", False),
]


def self_test(table):
    wrong = []
    for file, line, must_be_found in PLANTED:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / file
            path.parent.mkdir(parents=True)
            path.write_text(line + "\n", encoding="utf-8")
            if bool(violations(table, Path(folder))) != must_be_found:
                wrong.append(f"{file}: {line}: {'not found' if must_be_found else 'refused without need'}")
    circle = Table("room a: b\nroom b: a\n")
    if sorted(circle.circles()) != ["a", "b"]:
        wrong.append("a circle of two rooms is not found")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lib" / "b" / "a.cpp"
        path.parent.mkdir(parents=True)
        path.write_text('#include "a/a.hpp"\n#include <two>\n// #include "c/c.hpp"\n', encoding="utf-8")
        idle = unused(Table("room a:\nroom c: a\nroom b: a c\nonly one two: b b/a b/c\nonly three: b\n"), Path(folder))
        if idle != ["arrows.txt: nothing in c includes a", "arrows.txt: nothing in b includes c",
                    "arrows.txt: b/c includes nothing of one two", "arrows.txt: b includes nothing of three"]:
            wrong.append(f"arrows that nothing uses: {idle}")
    return wrong


def main():
    table = Table((HERE / "arrows.txt").read_text(encoding="utf-8"))
    if sys.argv[1] == "--self-test":
        wrong = self_test(table)
    else:
        wrong = violations(table, Path(sys.argv[1])) + unused(table, Path(sys.argv[1]))
    print("\n".join(wrong) or "every include follows the arrows")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
