#!/usr/bin/env python3
"""The packages' lists are complete, and their numbers are those of the code.

    lists_test.py REPOSITORY BUILD      each fault on a line of its own; exit 1 where there is one
    lists_test.py --self-test

BUILD is installed into a folder, as packing does. Each installed file is in the list of one package; each program has its
manual page and its completion in the same package; what a list takes from the tree is there. The newest entry of the page of
changes is the version in CMakeLists.txt, and the table of versions is what the code says.
"""
import os
import re
import subprocess
import sys
import tempfile
from fnmatch import fnmatch
from pathlib import Path

# What each row of tools/packages/VERSIONS.md is called, and the line of code that it repeats.
ROWS = {
    "program": ("CMakeLists.txt", r"project\(stillpoint VERSION ([\d.]+)"),
    "schema of the pointbook": ("lib/pointbook/schema.hpp", r"kSchemaVersion = (\d+)"),
    "fields of a row, and of the spool": ("lib/pointbook/fields.hpp", r"kNewestFields = (\d+)"),
    "journal of the record": ("lib/record/journal.cpp", r'kMagic = "stillpoint-journal (\d+) '),
    "rules": ("lib/occupation/point.hpp", r"kRules = (\d+)"),
    "estimator": ("lib/occupation/point.hpp", r"kEstimator = (\d+)"),
}


def lists_of(folder, ending):
    """{package: [first word of each line]}"""
    return {path.name.removesuffix(ending): [line.split()[0] for line in path.read_text().splitlines() if line.strip()]
            for path in sorted(folder.glob(f"*{ending}"))}


def installed(build):
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["cmake", "--install", str(build), "--prefix", "/usr"], check=True, stdout=subprocess.DEVNULL, env={**os.environ, "DESTDIR": folder})
        return [str(path.relative_to(folder)) for path in sorted(Path(folder).rglob("*")) if path.is_file()]


def as_packed(name):
    """tools/packages/debian/rules moves these."""
    return re.sub(r"^usr/lib/(systemd|udev)/", r"lib/\1/", name)


def takes(pattern, name):
    return fnmatch(name, pattern) or name.startswith(pattern + "/")


def faults_of_files(files, lists):
    found = []
    for name in map(as_packed, files):
        owners = [package for package, patterns in lists.items() if any(takes(pattern, name) for pattern in patterns)]
        if len(owners) != 1:
            found.append(f"{name} is in {len(owners)} packages: {', '.join(owners) or 'no list takes it'}")
    return found


def faults_of_programs(files, lists, pages):
    found = []
    for program in (name for name in files if name.startswith("usr/bin/")):
        package = next((package for package, patterns in lists.items() if program in patterns), None)
        name = program.removeprefix("usr/bin/")
        for wanted, there in ((f"debian/pages/man/{name}.1", pages), (f"debian/pages/completions/{name}", lists)):
            if package and wanted not in there.get(package, []):
                found.append(f"{package} holds {name}, and not {wanted}")
    return found


def faults_of_tree(root, lists):
    return [f"{package}.install: there is no {pattern}" for package, patterns in lists.items() for pattern in patterns
            if pattern.startswith(("tools/", "replay_logs/")) and not any(root.glob(pattern))]


def faults_of_versions(root):
    found = []
    table = dict(re.findall(r"(?m)^\| ([^|]+?) \| ([\d.]+) \|", (root / "tools/packages/VERSIONS.md").read_text()))
    for row, (path, pattern) in ROWS.items():
        code = re.search(pattern, (root / path).read_text())
        if not code or table.get(row) != code.group(1):
            found.append(f"VERSIONS.md says {table.get(row)} for \"{row}\", {path} says {code and code.group(1)}")
    newest = re.search(r"(?m)^## (\S+) - \d{4}-\d\d-\d\d$", (root / "tools/packages/CHANGELOG.md").read_text())
    version = re.search(ROWS["program"][1], (root / "CMakeLists.txt").read_text()).group(1)
    if not newest or newest.group(1) != version:
        found.append(f"CHANGELOG.md begins with {newest and newest.group(1)}, CMakeLists.txt says {version}")
    if not re.fullmatch(r"\d+\.\d+\.\d+", version):
        found.append(f"{version} has not three numbers")
    return found


def self_test():
    lists = {"a": ["usr/bin/x", "lib/systemd"], "b": ["usr/bin/y", "usr/share/*.toml", "debian/pages/completions/y"]}
    pages = {"a": ["debian/pages/man/x.1"], "b": ["debian/pages/man/y.1"]}
    cases = (
        (faults_of_files(["usr/bin/x", "usr/lib/systemd/system/x.service", "usr/share/a.toml"], lists), []),
        (faults_of_files(["usr/bin/z"], lists), ["usr/bin/z is in 0 packages: no list takes it"]),
        (faults_of_files(["usr/bin/x"], {**lists, "c": ["usr/bin"]}), ["usr/bin/x is in 2 packages: a, c"]),
        (faults_of_programs(["usr/bin/x", "usr/bin/y"], lists, pages), ["a holds x, and not debian/pages/completions/x"]),
    )
    wrong = [f"{found} instead of {expected}" for found, expected in cases if found != expected]
    print("\n".join(wrong) or "self-test passed")
    return 1 if wrong else 0


def main():
    if sys.argv[1:] == ["--self-test"]:
        return self_test()
    root, build = Path(sys.argv[1]), Path(sys.argv[2])
    debian = root / "tools/packages/debian"
    lists, pages = lists_of(debian, ".install"), lists_of(debian, ".manpages")
    files = installed(build)
    found = faults_of_files(files, lists) + faults_of_programs(files, lists, pages) + faults_of_tree(root, lists) + faults_of_versions(root)
    print("\n".join(found) or f"{len(files)} installed files are in the list of one package each")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
