#!/usr/bin/env python3
"""Manual pages and completions say what the programs say, all of it and nothing else.

    pages_test.py REPOSITORY PROGRAM…           each fault on a line of its own; exit 1 where there is one
    pages_test.py --self-test REPOSITORY

The pages are made anew from the programs, then read back by a reader of its own: every piece of the help is taken out of the
page's text once, and nothing but the page's fixed words may be left. Bash itself completes, and proposes what a search
through the help finds. Where there is `man`, it must have no warning about a page.
"""
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

HEADINGS = {"NAME", "SYNOPSIS", "DESCRIPTION", "OPTIONS", "POSITIONALS", "COMMANDS", "NOTES"}
HEADING = "\0"
ESCAPES = ((r"\fB", ""), (r"\fR", ""), (r"\&", ""), (r"\-", "-"), (r"\(aq", "'"), (r"\(ga", "`"), (r"\(ha", "^"), (r"\(ti", "~"), (r"\e", "\\"))


def run(*words):
    return subprocess.run([*map(str, words)], check=True, capture_output=True, text=True).stdout


def said_by(program, *words):
    """The program called by its bare name, which it repeats."""
    return subprocess.run([Path(program).name, *words], executable=program, check=True, capture_output=True, text=True).stdout


def as_read(roff):
    """The lines that a reader of the page sees; large headings behind a mark."""
    for line in roff.splitlines():
        for escape, letter in ESCAPES:
            line = line.replace(escape, letter)
        if line.startswith((".SH ", ".SS ")):
            yield (HEADING if line[2] == "H" else "") + line[4:]
        elif not re.match(r"\.[A-Za-z]", line):
            yield line


def flat(words):
    return " ".join(words.split())


def notes_of(help_text):
    """The lines behind the last part."""
    return set(map(flat, re.split(r"(?m)^ .*$", help_text)[-1].splitlines()))


def pieces_of(help_text, verb=False, notes=frozenset()):
    """What must be read in the page: one line each. A verb's first lines stand in the list of verbs already, and the program's
    own notes once, at the end.
    """
    lines = help_text.splitlines()
    usage = next(at for at, line in enumerate(lines) if line.startswith("Usage:"))
    about = [] if verb else lines[:usage]
    yield from filter(None, map(flat, about))
    yield flat(lines[usage].removeprefix("Usage:"))
    for line in lines[usage + 1:]:
        if re.fullmatch(r"[A-Z][\w ]*:", line) or not line.strip() or (verb and (line.strip().startswith("-h,--help") or flat(line) in notes)):
            continue
        yield flat(line)


def verbs_of(help_text):
    part = re.search(r"(?ms)^Subcommands:\n(.*?)(?=^\S|\Z)", help_text)
    return re.findall(r"(?m)^  (\S+)", part.group(1)) if part else []


def faults_of_page(name, roff, helps):
    """`helps`: of the program under "", then of each verb."""
    body = list(as_read(roff))
    end = body.index(HEADING + "SEE ALSO")
    text = " " + flat(" ".join("" if line.startswith(HEADING) else line for line in body[:end])) + " "
    summary = flat(helps[""].splitlines()[0]).rstrip(".")
    pieces = [f"{name} - {summary}"] + [piece for verb, help_text in helps.items() for piece in pieces_of(help_text, verb != "", notes_of(helps[""]))]
    found = []
    # The longest first: a short one may be a part of it.
    for piece in sorted(pieces, key=len, reverse=True):
        if f" {piece} " in text:
            text = text.replace(f" {piece} ", " \n ", 1)
        else:
            found.append(f"{name}(1) does not say: {piece}")
    if left := flat(text):
        found.append(f"{name}(1) says what {name} --help does not: {left}")
    headings = {line[1:] for line in body[:end] if line.startswith(HEADING)}
    return found + [f"{name}(1) has a heading of its own: {heading}" for heading in sorted(headings - HEADINGS)]


def faults_of_configuration(roff, defaults):
    body = list(as_read(roff))
    shown = body[body.index(HEADING + "DESCRIPTION") + 1:body.index(HEADING + "SEE ALSO")]
    wanted = [line for line in defaults.splitlines() if line]
    return [] if shown == wanted else [f"stillpoint.toml(5) is not --print-defaults: {sorted(set(shown) ^ set(wanted))[:3]}"]


def proposed(completion, name, *words):
    script = ('source "$1"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); '
              f'_{name.replace("-", "_")}; printf "%s\\n" "${{COMPREPLY[@]}}"')
    return set(run("bash", "-c", script, "bash", completion, name, *words).split())


def faults_of_completion(completion, name, helps):
    found = []
    for verb, help_text in helps.items():
        wanted = set(re.findall(r"(?m)^  (?:-\w,)?(--[\w-]+)", help_text))
        got = proposed(completion, name, *([verb] if verb else []), "--")
        if got != wanted:
            found.append(f"{name} {verb}: bash proposes otherwise than --help: {sorted(got ^ wanted)}")
    if (got := proposed(completion, name, "") - {option for option in proposed(completion, name, "--")}) != set(helps) - {""}:
        found.append(f"{name}: the verbs proposed are {sorted(got)}")
    return found


def faults_of_look(page):
    if not shutil.which("man"):
        return []
    done = subprocess.run(["man", "--warnings", "--local-file", "-E", "UTF-8", str(page)], capture_output=True, text=True, env={"LC_ALL": "C.UTF-8", "PATH": "/usr/bin:/bin", "MANWIDTH": "80"})
    return [f"{page.name}: {line}" for line in done.stderr.splitlines()]


def faults(root, programs, spoil=lambda folder: None):
    found = []
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        run(sys.executable, root / "tools/packages/help_pages.py", "--out", folder, "--date", "2026-06-03", *programs)
        spoil(folder)
        for program in programs:
            name = Path(program).name
            helps = {"": said_by(program, "--help")}
            helps.update((verb, said_by(program, verb, "--help")) for verb in verbs_of(helps[""]))
            page = folder / "man" / f"{name}.1"
            found += faults_of_page(name, page.read_text(), helps) + faults_of_look(page)
            found += faults_of_completion(folder / "completions" / name, name, helps)
            if name == "stillpointd":
                page = folder / "man" / "stillpoint.toml.5"
                found += faults_of_configuration(page.read_text(), said_by(program, "--print-defaults")) + faults_of_look(page)
    return found


INVENTED = """#!/bin/bash
case "$*" in
--version) echo "stillpointd 1.2.3" ;;
--print-defaults) printf '[a]\\nb = "?"   # it'"'"'s -1\\n\\n.5\\n' ;;
--help) printf 'Does it.\\nUsage: stillpointd [OPTIONS] SUBCOMMAND\\n\\nOptions:\\n  -h,--help                   Print this\\n  --file FILE REQUIRED        A \\\\ file\\n\\nSubcommands:\\n  go                          Goes on\\n\\nA note.\\n' ;;
"go --help") printf 'Goes on\\nUsage: stillpointd go [OPTIONS]\\n\\nOptions:\\n  -h,--help                   Print this\\n  --a-name-that-is-far-too-long TEXT\\n                              Long\\n' ;;
esac
"""


def self_test(root):
    def without(name, words):
        def spoil(folder):
            path = folder / name
            path.write_text(path.read_text().replace(words, ""))
        return spoil
    cases = (
        ("nothing spoilt", lambda folder: None, None),
        ("a text is missing", without("man/stillpointd.1", "Goes on"), "does not say: go Goes on"),
        ("a text is another", lambda folder: (folder / "man/stillpointd.1").write_text((folder / "man/stillpointd.1").read_text().replace("A note.", "A note. More.")), "--help does not: More."),
        ("a default is missing", without("man/stillpoint.toml.5", "[a]"), "is not --print-defaults"),
        ("an option is not proposed", without("completions/stillpointd", " --file"), "proposes otherwise"),
    )
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        program = Path(folder) / "stillpointd"
        program.write_text(INVENTED)
        program.chmod(0o755)
        for name, spoil, expected in cases:
            found = faults(root, [program], spoil)
            if bool(found) != bool(expected) or (expected and not any(expected in fault for fault in found)):
                wrong.append(f"{name}: {found}")
    print("\n".join(wrong) or "self-test passed")
    return 1 if wrong else 0


def main():
    if sys.argv[1] == "--self-test":
        return self_test(Path(sys.argv[2]))
    found = faults(Path(sys.argv[1]), sys.argv[2:])
    print("\n".join(found) or f"the pages and completions of {len(sys.argv) - 2} programs say what the programs say")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
