#!/usr/bin/python3
"""Fails on a sentence that stands outside the catalogues of the rooms that keep one.

    check_sentences.py REPOSITORY     exit 0 clean, 1 with one line for each sentence outside
    check_sentences.py --self-test    plants sentences in a temporary tree and checks that each one is found
A text of two or more words in a row is taken for one.
"""
import re
import sys
import tempfile
from pathlib import Path

# Folders and files whose sentences all stand in a catalogue.
KEPT = [f"lib/{room}" for room in ("base", "config", "control", "corrections", "epoch", "estimate", "gate", "geodesy", "ntrip",
                                   "occupation", "pointbook", "record", "session", "setup", "simulate", "wire")] + [
    f"tools/{tool}" for tool in ("client", "frames", "office", "reduce", "rehearse", "report", "simulate")] + [
    f"daemon/{part}" for part in ("clients", "common", "day", "feeds", "keeping", "preflight", "daemon.cpp", "log_sink.cpp",
                                  "main.cpp", "signals.cpp")]
# The catalogues, beside every file whose name ends in "sentences.hpp": tables in which words stand beside what they are
# said of, too.
CATALOGUES = {"lib/config/limits.hpp", "lib/config/defaults.cpp", "lib/gate/limits.hpp", "lib/gate/verdict.hpp",
              "lib/simulate/said.hpp", "tools/simulate/refusals.hpp", "lib/wire/words.cpp"}

# Words that are told to nobody who maps, or are no sentence: the log, what is guarded, one or many of something.
NO_SENTENCES = re.compile(r'\bspdlog::\w+\(.*|\bguarded\("[^"]*"|\bcounted\((?:[^()]|\((?:[^()]|\([^()]*\))*\))*\)')
WORDS = re.compile(r"[A-Za-z]{2,},? [a-z]{2,}")
# What a database or a format is told.
SQL = re.compile(r"\b(SELECT|PRAGMA|ALTER|CASE|VALUES|USING|TEXT|INSERT|UPDATE|CREATE|DROP|WHERE|AND|OR|JOIN|ORDER BY|UNIQUE|NOT NULL)\b")
OF_FORMATS = {"by clock", "by log", "ready control=", "stillpoint status --follow", "an array of actions { at_s, do, … }",
              "SQLite format 3", "geodetic latitude (Lat)", "geodetic longitude (Lon)", "gravity-related height (H)",
              ".global stillpoint_page_"}
# Words of the data set of frames, which are looked for in it.
OF_DATA_SET = {"North and central America", "Northern hemisphere", "Southern hemisphere", "Not specified", "north of",
               "south of", "east of", "west of", "onshore and offshore", "all onshore", "US survey foot"}
# The help of a command line stands where its options are declared.
HELP = re.compile(r"\b(add_option|add_flag|add_subcommand|footer)\w*(<[^>]*>)?\(|\bCLI::App \w+[{(]|\bk(Footer|Help)\w* =")
LITERAL = re.compile(r'"((?:[^"\\]|\\.)*)"')


def without_comments(text):
    blank = lambda match: "\n" * match.group().count("\n")
    return re.sub(r"//[^\n]*|/\*.*?\*/", blank, text, flags=re.S)


def without_help(text):
    """Its literals of help made empty; lines stay where they are."""
    pieces, at = [], 0
    for begins in HELP.finditer(text):
        if begins.start() < at:
            continue
        pieces.append(text[at:begins.end()])
        at, depth = begins.end(), 0 if begins.group().endswith("=") else 1
        while at < len(text) and not (text[at] == ";" and depth == 0):
            literal = LITERAL.match(text, at)
            pieces.append("\n" * literal.group().count("\n") + '""' if literal else text[at])
            depth += {"(": 1, "{": 1, ")": -1, "}": -1}.get(text[at], 0)
            at = literal.end() if literal else at + 1
            if depth == 0 and not begins.group().endswith("="):
                break
    return "".join(pieces) + text[at:]


# Elements, drawings and styles of a page.
MARKUP = re.compile(r"<[^<>]*>?|\{[^{}]*\}?|^[^<>]*/>")


def is_said(text):
    if SQL.search(text) or text.replace("\\n", "").strip() in OF_FORMATS | OF_DATA_SET or "sans-serif" in text:
        return False
    return WORDS.search(MARKUP.sub("", text))


def told_by(path):
    return without_help(without_comments(path.read_text(encoding="utf-8")))


def sentences_of(path):
    for number, line in enumerate(told_by(path).split("\n"), 1):
        if not line.lstrip().startswith(("#", "static_assert")):
            told = NO_SENTENCES.sub("", line)
            yield from ((number, m.group(1)) for m in LITERAL.finditer(told) if is_said(m.group(1)))


def outside(root):
    for kept in KEPT:
        place = root / kept
        for path in [place] if place.is_file() else sorted(place.rglob("*.[ch]pp")):
            name = str(path.relative_to(root))
            if name not in CATALOGUES and not path.name.endswith("sentences.hpp"):
                yield from (f"{name}:{number}: not in a catalogue: {text}" for number, text in sentences_of(path))


PLANTED = [
    ("lib/gate/a.cpp", 'return "the pole leans";', True),
    ("lib/gate/a.cpp", 'return x + " is too old, limit ";', True),
    ("lib/gate/a.cpp", '// say "the pole leans"', False),
    ("lib/gate/a.cpp", 'return "no-position";', False),
    ("lib/pointbook/a.cpp", '"SELECT count(*) FROM points in which nobody reads"', False),
    ("lib/pointbook/a.cpp", 'return "select the pole, and lean it";', True),
    ("tools/client/a.cpp", 'app.add_flag("--lean", lean, "the pole (if any) leans"); f("so it is");', True),
    ("tools/client/a.cpp", 'app.add_flag("--lean", lean, "the pole (if any) leans");', False),
    ("tools/client/a.cpp", 'constexpr const char* kFooter = "the pole; " "it leans";', False),
    ("tools/report/a.cpp", 'out += "<p class=\\"yn\\">the pole leans</p>";', True),
    ("tools/report/a.cpp", 'out += "<path class=\\"yn lean\\" d=\\"";', False),
    ("lib/gate/sentences.hpp", 'Sentence<0> leans{"the pole leans"};', False),
    ("lib/nmea/a.cpp", 'return "the pole leans";', False),
    ("daemon/day/day.cpp", 'spdlog::warn("the pole leans");', False),
    ("daemon/day/day.cpp", 'return counted(poles.size(), "pole leans", "poles lean") + " too far to count";', True),
    ("daemon/day/day.cpp", 'return kSay.lean(counted(poles.size(), "pole leans", "poles lean"));', False),
]


def self_test():
    for file, line, must_be_found in PLANTED:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / file
            path.parent.mkdir(parents=True)
            path.write_text(line + "\n", encoding="utf-8")
            if bool(list(outside(Path(folder)))) != must_be_found:
                yield f"{file}: {line}: {'not found' if must_be_found else 'taken for a sentence outside'}"


def main():
    found = list(self_test() if sys.argv[1] == "--self-test" else outside(Path(sys.argv[1])))
    print("\n".join(found) or "every sentence stands in its catalogue")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
