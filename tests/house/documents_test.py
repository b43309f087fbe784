#!/usr/bin/python3
"""The documents stay short and name only what is there.

    documents_test.py REPOSITORY [STILLPOINTD]     each fault on a line of its own; exit 1 where there is one
    documents_test.py --self-test

Every file that a document names between backquotes is there: from the top of the repository, from lib/, from the document's
own folder, or as the beginning of such a name. Links lead somewhere. The configuration in the README is the one that is
installed as an example; with the daemon, it must pass its --check.
"""
import re
import subprocess
import sys
import tempfile
from pathlib import Path

LONGEST = {"README.md": 120, "DEVELOPERS.md": 150}
TOPS = ("lib", "daemon", "tools", "tests", "replay_logs")
NAME = re.compile(r"(?:\./)?[A-Za-z_.]+(?:/[\w.*-]+)+")
KINDS = (".cpp", ".hpp", ".py", ".md", ".txt", ".toml", ".js", ".mjs", ".css", ".html", ".png", ".src", ".inc", ".nmea")


def documents(root):
    return [path for path in sorted(root.rglob("*.md"))
            if not any(part.startswith(".") or part in ("build", "node_modules", "out") for part in path.relative_to(root).parts)]


def is_there(name, root, folder):
    name = name.removeprefix("./")
    for base in (root, root / "lib", root / "tests", folder):
        if (base / name).exists() or any(base.glob(name + ".*")) or ("*" in name and any(base.glob(name))):
            return True
    return False


def names_in(text):
    """Names of files and folders between backquotes, of ours by their first part or their ending."""
    for quoted in re.findall(r"`([^`\n]+)`", text):
        for word in quoted.split():
            ours = word.removeprefix("./").split("/")[0] in TOPS or (word.endswith(KINDS) and "*" not in word)
            if NAME.fullmatch(word) and ours and "NAME" not in word:
                yield word


def faults_of(path, root):
    text = path.read_text(encoding="utf-8")
    where = path.relative_to(root)
    prose = re.sub(r"(?ms)^```.*?^```", "", text)
    found = [f"{where}: there is no {name}" for name in names_in(prose) if not is_there(name, root, path.parent)]
    found += [f"{where}: the link {link} leads nowhere" for link in re.findall(r"\]\(([^)#:]+)\)", prose)
              if not (path.parent / link).exists()]
    most = LONGEST.get(str(where))
    lines = text.count("\n")
    return found + ([f"{where}: {lines} lines, {most} are the most"] if most and lines > most else [])


def configurations(root):
    return re.findall(r"(?ms)^```toml\n(.*?)^```", (root / "README.md").read_text(encoding="utf-8"))


def faults_of_example(root):
    same = configurations(root) == [(root / "daemon/service/day.toml").read_text(encoding="utf-8")]
    return [] if same else ["README.md: its one configuration is not that of daemon/service/day.toml"]


def faults_of_configuration(root, daemon):
    blocks = configurations(root)
    if len(blocks) != 1:
        return [f"README.md: {len(blocks)} configurations, 1 is expected"]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "day.toml"
        path.write_text(blocks[0], encoding="utf-8")
        done = subprocess.run([daemon, "--config", path, "--check"], capture_output=True, text=True, timeout=60)
        return [] if done.returncode == 0 else [f"README.md: its configuration fails: {done.stderr.strip()}"]


def self_test():
    wrong = []
    cases = [
        ("a file that is not there", "see `lib/none.cpp`", "there is no lib/none.cpp"),
        ("a file of a room", "see `base/here.hpp`", None),
        ("a name without its ending", "see `lib/base/here`", None),
        ("a link", "[x](none.md)", "leads nowhere"),
        ("no file", "a `yes/no` answer of 3/4", None),
        ("a command in a block", "```\ncat lib/none.cpp\n```\n", None),
        ("too long", "x\n" * 121, "121 lines"),
    ]
    for name, text, expected in cases:
        with tempfile.TemporaryDirectory() as folder:
            root = Path(folder)
            (root / "lib" / "base").mkdir(parents=True)
            (root / "lib" / "base" / "here.hpp").write_text("")
            (root / "README.md").write_text(text)
            found = faults_of(root / "README.md", root)
            if bool(found) != bool(expected) or (expected and expected not in found[0]):
                wrong.append(f"{name}: {found}")
    for example in ("a = 1\n", "a = 2\n"):
        with tempfile.TemporaryDirectory() as folder:
            root = Path(folder)
            (root / "daemon" / "service").mkdir(parents=True)
            (root / "daemon" / "service" / "day.toml").write_text(example)
            (root / "README.md").write_text("```toml\na = 1\n```\n")
            if bool(faults_of_example(root)) != (example != "a = 1\n"):
                wrong.append(f"the example {example!r}: {faults_of_example(root)}")
    print("\n".join(wrong) or "self-test passed")
    return 1 if wrong else 0


def main():
    if sys.argv[1:] == ["--self-test"]:
        return self_test()
    root = Path(sys.argv[1]).resolve()
    found = [fault for path in documents(root) for fault in faults_of(path, root)] + faults_of_example(root)
    if len(sys.argv) > 2:
        found += faults_of_configuration(root, sys.argv[2])
    print("\n".join(found) or "every document names what is there")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
