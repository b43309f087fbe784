#!/usr/bin/env python3
"""Manual pages and completions for bash, from what the programs themselves print.

    help_pages.py --out FOLDER --date YYYY-MM-DD PROGRAM…

PROGRAM is the path of a built program; its --help, its verbs' --help and its --version are read, of stillpointd also
--print-defaults. Written are FOLDER/man/NAME.1, FOLDER/man/stillpoint.toml.5 and FOLDER/completions/NAME. No word of them
stands in this file but the headings, so that page and program cannot differ; tests/packages holds them against each other.
"""
import argparse
import re
import subprocess
from dataclasses import dataclass, field
from pathlib import Path

VERBS = "Subcommands"


@dataclass
class Help:
    """What one --help says."""
    about: list = field(default_factory=list)   # lines
    usage: str = ""
    parts: dict = field(default_factory=dict)   # title: [(term, text)]
    notes: list = field(default_factory=list)   # lines after the last part

    @property
    def verbs(self):
        return self.parts.get(VERBS, [])


def printed_by(program, *words):
    """Called by its bare name, as it will be when it is installed: it repeats that name."""
    return subprocess.run([Path(program).name, *words], executable=program, check=True, capture_output=True, text=True).stdout


def read_entry(entries, line):
    """`  TERM   text`, or more text of the entry before."""
    if re.match(r"  \S", line):
        term, _, text = line.strip().partition("  ")
        entries.append((term, text.strip()))
    else:
        term, text = entries[-1]
        entries[-1] = (term, f"{text} {line.strip()}".strip())


def parse_help(text):
    help_ = Help()
    part = None
    for line in text.splitlines():
        if line.startswith("Usage:"):
            help_.usage = line.removeprefix("Usage:").strip()
        elif not help_.usage:
            help_.about += [line] if line.strip() else []
        elif help_.notes:  # they go on to the end, examples among them
            help_.notes += [line] if line.strip() else []
        elif re.fullmatch(r"[A-Z][\w ]*:", line):
            part = help_.parts.setdefault(line[:-1], [])
        elif line.startswith(" ") and part is not None:
            read_entry(part, line)
        elif line.strip():
            help_.notes.append(line)
    return help_


@dataclass
class Program:
    name: str
    version: str
    help: Help
    verbs: dict  # name: Help


def look_at(path):
    help_ = parse_help(printed_by(path, "--help"))
    verbs = {verb: parse_help(printed_by(path, verb, "--help")) for verb, _ in help_.verbs}
    name, version = printed_by(path, "--version").split()
    return Program(name, version, help_, verbs)


def roff(text):
    text = text.replace("\\", r"\e").replace("-", r"\-").replace("'", r"\(aq").replace("`", r"\(ga").replace("^", r"\(ha").replace("~", r"\(ti")
    return r"\&" + text if text.startswith(".") else text


def entries_in_roff(entries):
    for term, text in entries:
        yield from (".TP", r"\fB" + roff(term) + r"\fR", roff(text))


def lines_in_roff(lines):
    """A line that was only wrapped goes on; what begins anew, or is an example, does so here."""
    before = ""
    for line in lines:
        wrapped = before and before[-1] not in ".:" and not line.startswith(" ") and not before.startswith(" ")
        yield from ([".br"] if before and not wrapped else [])
        yield roff(line)
        before = line


def verb_in_roff(verb, text, help_, notes):
    """`notes`: of the whole program, which stand at the page's end."""
    yield from (f".SS {roff(verb)}", roff(text), ".PP", r"\fB" + roff(help_.usage) + r"\fR")
    for entries in help_.parts.values():
        yield from entries_in_roff(entry for entry in entries if not entry[0].startswith("-h,"))
    if help_.notes and help_.notes != notes:
        yield from (".PP", *lines_in_roff(help_.notes))


def head_in_roff(name, section, version, date, summary):
    title = roff(name).upper().replace(r"\E", r"\e")
    yield from (f'.TH {title} {section} "{date}" "Stillpoint {version}" "Stillpoint"', ".SH NAME", f"{roff(name)} \\- {roff(summary.rstrip('.'))}")


def see_also(own, others):
    pages = sorted(others) + (["stillpoint.toml(5)"] if own != "stillpoint.toml" else [])
    yield ".SH SEE ALSO"
    yield ",\n".join(f"\\fB{roff(name)}\\fR({section})" for name, section in (page.rstrip(")").split("(") for page in pages if page != f"{own}(1)"))


def manual(program, date, others):
    help_ = program.help
    yield from head_in_roff(program.name, 1, program.version, date, help_.about[0])
    yield from (".SH SYNOPSIS", r"\fB" + roff(help_.usage) + r"\fR", ".SH DESCRIPTION", *lines_in_roff(help_.about))
    for title, entries in help_.parts.items():
        if title != VERBS:
            yield from (f".SH {title.upper()}", *entries_in_roff(entries))
    if program.verbs:
        yield ".SH COMMANDS"
        for verb, text in help_.verbs:
            yield from verb_in_roff(verb, text, program.verbs[verb], help_.notes)
    if help_.notes:
        yield from (".SH NOTES", *lines_in_roff(help_.notes))
    yield from see_also(program.name, others)


def manual_of_configuration(defaults, version, date, others):
    yield from head_in_roff("stillpoint.toml", 5, version, date, "configuration of stillpointd")
    yield from (".SH DESCRIPTION", ".nf")
    yield from (roff(line) if line else ".sp" for line in defaults.splitlines())
    yield ".fi"
    yield from see_also("stillpoint.toml", others)


def words_of(entries):
    """The options, each as it is typed; and those of them that take a value."""
    options, with_value = [], []
    for term, _ in entries:
        names = re.findall(r"(?:^|,)(--?[A-Za-z][\w-]*)", term.split()[0])
        options += [name for name in names if name.startswith("--")]
        with_value += names if len(term.split()) > 1 and term.split()[1] != "Excludes:" and term.split()[1] != "Needs:" else []
    return options, with_value


def completion_of(help_):
    entries = [entry for title, part in help_.parts.items() if title != VERBS for entry in part if entry[0].startswith("-")]
    options, with_value = words_of(entries)
    return " ".join(options + [verb for verb, _ in help_.verbs]), with_value


def completion(program):
    function = "_" + program.name.replace("-", "_")
    own, with_value = completion_of(program.help)
    cases = []
    for verb, help_ in program.verbs.items():
        words, more = completion_of(help_)
        cases.append(f'    {verb}) words="{words}" ;;')
        with_value = with_value + [name for name in more if name not in with_value]
    verbs = "|".join(program.verbs) or "''"
    return f"""# Completion of {program.name} for bash, made from its --help.
{function}() {{
  local word=${{COMP_WORDS[COMP_CWORD]}} before=${{COMP_WORDS[COMP_CWORD - 1]}} verb="" words at
  for ((at = 1; at < COMP_CWORD; at++)); do
    case ${{COMP_WORDS[at]}} in {verbs}) verb=${{COMP_WORDS[at]}}; break ;; esac
  done
  COMPREPLY=()
  # What follows such an option is a name, a number or a file: bash proposes files.
  case $before in {"|".join(with_value) or "''"}) return ;; esac
  case $verb in
{chr(10).join(cases + [f'    *) words="{own}" ;;'])}
  esac
  [[ $word == -* || -z $verb ]] && mapfile -t COMPREPLY < <(compgen -W "$words" -- "$word")
}}
complete -o default -F {function} {program.name}
"""


def write(path, lines):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--date", required=True)
    parser.add_argument("programs", nargs="+")
    given = parser.parse_args()
    programs = {path: look_at(path) for path in given.programs}
    others = [f"{program.name}(1)" for program in programs.values()]
    for path, program in programs.items():
        write(given.out / "man" / f"{program.name}.1", manual(program, given.date, others))
        write(given.out / "completions" / program.name, completion(program).splitlines())
        if program.name == "stillpointd":
            defaults = printed_by(path, "--print-defaults")
            write(given.out / "man" / "stillpoint.toml.5", manual_of_configuration(defaults, program.version, given.date, others))


if __name__ == "__main__":
    main()
