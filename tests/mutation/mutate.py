#!/usr/bin/env python3
"""Makes small random changes to the rooms of lib/ and to daemon/, one at a time, and tells which the tests notice.

    mutate.py [--seed N] [--rooms nmea,epoch] [--draws N] [--own] [--work FOLDER] [--quick SECONDS] [--jobs N]

Everything happens in a copy of the tree; the source folder is only read. MUTATION.md says how to read the table.
"""
import argparse
import contextlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

from changes import changes_of

SOURCE = Path(__file__).resolve().parents[2]
# The daemon is met by its parts' test, then by the processes' tests, four at a time; a test that fails once of two times,
# as one may on a busy machine, has noticed nothing.
PROCESS = "process"
PROCESS_COMMAND = ["ctest", "-j4", "--stop-on-failure", "--repeat", "until-pass:2", "-R", "^process_"]
PROCESS_TARGETS = ["stillpointd", "stillpoint", "stillpoint-reduce", "stillpoint-report", "stillpoint-rehearse",
                   "stillpoint-simulate", "stillpoint-office"]
NOT_COPIED = shutil.ignore_patterns(".git", "build", "build-*", "__pycache__", ".cache")


@dataclass
class Tally:
    drawn: int = 0
    noticed: int = 0
    uncompiled: int = 0
    equal: int = 0
    unnoticed: list = field(default_factory=list)


def copy_tree(source, work):
    """The copy of `source` in `work`, which must lie outside it."""
    source, work = Path(source).resolve(), Path(work).resolve()
    if work == source or source in work.parents:
        raise SystemExit(f"mutate: {work} is inside the source folder; name a folder outside it")
    tree = work / "tree"
    shutil.copytree(source, tree, ignore=NOT_COPIED, symlinks=True, dirs_exist_ok=True)
    return tree


def needs_of(arrows):
    """For each room, the rooms that it may include."""
    lines = (line[5:].split(":") for line in arrows.read_text().splitlines() if line.startswith("room "))
    return {name: after.split() for name, after in lines}


@contextlib.contextmanager
def changed(path, change):
    """The file with the change, and as it was on every way out."""
    before = path.read_bytes()
    try:
        path.write_text(change.apply(before.decode()))
        yield
    finally:
        path.write_bytes(before)


class Tree:
    """A copy of the project, its own build folder in it, and what its tests say."""

    def __init__(self, tree, jobs, quick_s, own=False):
        self.tree, self.jobs, self.quick_s, self.own = Path(tree), jobs, quick_s, own
        self.build = self.tree / "build" / "dev"
        self.needs = needs_of(self.tree / "tests" / "arrows" / "arrows.txt")
        self.took_s = {}
        # With paths relative to the copy and the flags of the usual build, ccache finds what another checkout compiled.
        temporary = self.tree.parent / "tmp"
        temporary.mkdir(exist_ok=True)
        self.environment = {**os.environ, "CCACHE_BASEDIR": str(self.tree), "TMPDIR": str(temporary)}

    def configure(self):
        command = ["cmake", "-S", str(self.tree), "-B", str(self.build), "-G", "Ninja", "-DCMAKE_BUILD_TYPE=None",
                   "-DCMAKE_CXX_FLAGS=-O0", "-DSTILLPOINT_WERROR=ON", "-DCMAKE_EXPORT_COMPILE_COMMANDS=ON"]
        if shutil.which("ccache"):
            command.append("-DCMAKE_CXX_COMPILER_LAUNCHER=ccache")
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=self.environment)
        commands = json.loads((self.build / "compile_commands.json").read_text())
        self.objects = {}
        for one in commands:
            words = one["command"].split()
            self.objects.setdefault(str(Path(one["file"]).resolve()), words[words.index("-o") + 1])

    def make(self, *targets):
        done = subprocess.run(["ninja", "-C", str(self.build), f"-j{self.jobs}", *targets], stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, text=True, env=self.environment)
        return done.returncode == 0, done.stdout

    def tests_of(self, room):
        """The room's own test, where it has one, then those of the rooms that include it."""
        if room == "daemon":
            return ["daemon_test", PROCESS]
        rooms = [room] + [other for other, needs in self.needs.items() if room in needs]
        tests = [f"{name}_test" for name in rooms if (self.tree / "tests" / name / "CMakeLists.txt").exists()
                 and (self.tree / "lib" / name).is_dir()]
        return tests[:1] if self.own and f"{room}_test" in tests else tests

    def targets(self, test):
        return PROCESS_TARGETS if test == PROCESS else [test]

    def command(self, test):
        folder = {"daemon_test": "process"}.get(test, test.removesuffix("_test"))
        return PROCESS_COMMAND if test == PROCESS else [self.build / "tests" / folder / test]

    def passes(self, test):
        """Whether the test ends well in ten times the time that it took unchanged."""
        command = self.command(test)
        folder = self.build if test == PROCESS else command[0].parent
        with subprocess.Popen(command, cwd=folder, env=self.environment, stdout=subprocess.DEVNULL,
                              stderr=subprocess.DEVNULL, start_new_session=True) as running:
            try:
                return running.wait(timeout=10 * self.took_s.get(test, 60) + 20) == 0
            except subprocess.TimeoutExpired:
                os.killpg(running.pid, signal.SIGKILL)
                return False

    def measure(self, rooms):
        """Builds and runs the tests unchanged; what fails then, or is slow, tells nothing about a change."""
        wanted = list(dict.fromkeys(test for room in rooms for test in self.tests_of(room)))
        built, said = self.make(*[target for test in wanted for target in self.targets(test)])
        if not built:
            raise SystemExit(f"mutate: the tree does not build as it is\n{said}")
        for test in wanted:
            began = time.monotonic()
            if not self.passes(test):
                raise SystemExit(f"mutate: {test} fails without any change")
            self.took_s[test] = time.monotonic() - began

    def outcome(self, room, path, change):
        """noticed, unnoticed, uncompiled, or equal (the same object code)."""
        compiled = self.objects[str(path.resolve())]
        if not self.make(compiled)[0]:
            raise SystemExit(f"mutate: {path} does not compile as it is")
        before = (self.build / compiled).read_bytes()
        with changed(path, change):
            if not self.make(compiled)[0]:
                return "uncompiled"
            if (self.build / compiled).read_bytes() == before:
                return "equal"
            tests = self.tests_of(room)
            own = f"{room}_test"
            for test in tests:
                # A room without a test of its own is tested by those of others, slow or not.
                if own in tests and test not in (own, PROCESS) and self.took_s[test] > self.quick_s:
                    continue
                # A change that compiles but does not link with a test is seen by everyone.
                if not self.make(*self.targets(test))[0] or not self.passes(test):
                    return "noticed"
        return "unnoticed"

    def folder(self, room):
        return self.tree / room if room == "daemon" else self.tree / "lib" / room

    def candidates(self, room):
        sources = sorted(self.folder(room).rglob("*.cpp"))
        return [path for path in sources if str(path.resolve()) in self.objects]


def draw(texts, random_source, seen):
    """One change that was not drawn before: first its kind, so that constants do not crowd out the rest."""
    kinds = {}
    for path, text in texts.items():
        for kind, changes in changes_of(text).items():
            kinds.setdefault(kind, []).extend((path, change) for change in changes)
    left = {kind: [one for one in all_of if one not in seen] for kind, all_of in sorted(kinds.items())}
    left = {kind: all_of for kind, all_of in left.items() if all_of}
    if not left:
        return None
    chosen = random_source.choice(left[random_source.choice(list(left))])
    seen.add(chosen)
    return chosen


def try_room(tree, room, draws, seed):
    texts = {path: path.read_text() for path in tree.candidates(room)}
    random_source, seen, tally = random.Random(f"{seed} {room}"), set(), Tally()
    while tally.drawn < draws and (chosen := draw(texts, random_source, seen)):
        path, change = chosen
        outcome = tree.outcome(room, path, change)
        place = f"{room}/{path.name}:{change.line(texts[path])}"
        print(f"{outcome:10} {place}: {change.words(texts[path])}", flush=True)
        if outcome in ("uncompiled", "equal"):
            setattr(tally, outcome, getattr(tally, outcome) + 1)
            continue
        tally.drawn += 1
        if outcome == "noticed":
            tally.noticed += 1
        else:
            tally.unnoticed.append((place, change.words(texts[path])))
    return tally


def report(tallies):
    lines = ["| room | drawn | noticed | share | equal code | did not compile |", "|---|---|---|---|---|---|"]
    for room, t in tallies.items():
        share = f"{100 * t.noticed / t.drawn:.0f} %" if t.drawn else "-"
        lines.append(f"| {room} | {t.drawn} | {t.noticed} | {share} | {t.equal} | {t.uncompiled} |")
    lines += [""] + [f"unnoticed {place}: {words}" for t in tallies.values() for place, words in t.unnoticed]
    return "\n".join(lines)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6), help="default: a new one")
    parser.add_argument("--rooms", help="names with commas; default: every room with a test")
    parser.add_argument("--draws", type=int, default=10, help="changes by room that compile to other code")
    parser.add_argument("--own", action="store_true", help="only the room's own test, where it has one: quicker, stricter")
    parser.add_argument("--work", help="where the copy goes; default: a temporary folder, removed afterwards")
    parser.add_argument("--quick", type=float, default=3.0, help="seconds a test of another room may take")
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    asked = parser.parse_args()
    with contextlib.ExitStack() as stack:
        work = asked.work or stack.enter_context(tempfile.TemporaryDirectory(prefix="stillpoint-mutation-"))
        tree = Tree(copy_tree(SOURCE, work), asked.jobs, asked.quick, asked.own)
        known = [room for room in tree.needs if tree.folder(room).is_dir() and tree.tests_of(room)]
        rooms = asked.rooms.split(",") if asked.rooms else known
        if unknown := [room for room in rooms if room not in known]:
            parser.error(f"no room that a test of a room sees: {', '.join(unknown)}")
        tree.configure()
        tree.measure(rooms)
        print(f"seed {asked.seed}", flush=True)
        tallies = {}
        for room in rooms:
            tallies[room] = try_room(tree, room, asked.draws, asked.seed)
        print("\n" + report(tallies))


if __name__ == "__main__":
    sys.exit(main())
