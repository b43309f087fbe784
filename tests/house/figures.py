#!/usr/bin/python3
"""Prints how the house stands: the widest classes, the lengths of functions, and the sizes of files.

    figures.py REPOSITORY [--rooms lib,daemon,tools]
    figures.py --self-test

A function's length is its lines from the one with its opening bracket to the one with its closing bracket; lambdas
belong to the function around them.
"""
import argparse
import re
import statistics
import sys
from pathlib import Path

import class_sizes

FAMILY = re.compile(r"\b(namespace|class|struct|union|extern)\b[^;(){}]*$")


def functions(text):
    """(name, lines) of every function that has a body, in order."""
    code = class_sizes.code_only(text)
    found, at, began = [], 0, 0
    while at < len(code):
        c = code[at]
        if c in ";}":
            began = at + 1
        elif c == "{":
            head = code[began:at]
            if FAMILY.search(re.sub(r"\[\[.*?\]\]", "", head)) or not head.strip():
                began = at + 1
            else:
                end = class_sizes.closing(code, at)
                behind = re.match(r"\s*([,{])?", code[end + 1:]).group(1)
                if re.search(r"\)[^()]*:(?!:)[^;]*$", head) and behind:  # an initializer with braces
                    code = code[:at] + " " * (end + 1 - at) + code[end + 1:]
                elif name := name_of(head):
                    found.append((name, text.count("\n", at, end) + 1))
                    began = end + 1
                at = end
        at += 1
    return found


def name_of(head):
    """Of a function; None for an array, an enumeration or a value with braces."""
    plain = class_sizes.without_templates(head)
    plain = re.sub(r"\b(public|protected|private)\s*:(?!:)", "", plain)
    if "=" in re.sub(r"operator\s*\S+|[(][^()]*[)]", "", plain).split(")")[0] or re.search(r"\benum\b", plain):
        return None
    named = re.search(r"(operator\s*(?:\(\)|\[\]|[^\s(]+)|~?\w+)\s*\(", plain)
    return re.sub(r"\s", "", named.group(1)) if named else None


def sources(root, rooms):
    return [path for room in rooms for path in sorted((root / room).rglob("*.[ch]pp"))]


def report(root, rooms):
    wide = sorted(class_sizes.classes(root, rooms), key=lambda s: -len(s.members) - len(s.methods))
    paths = sources(root, rooms)
    long = sorted(((lines, name, path.relative_to(root)) for path in paths for name, lines in functions(path.read_text())),
                  key=lambda each: -each[0])
    lengths = sorted(each[0] for each in long)
    files = sorted(((path.read_text().count("\n"), path.relative_to(root)) for path in paths), reverse=True)
    quantile = lambda share: lengths[int(share * (len(lengths) - 1))]
    lines = [class_sizes.table(wide[:5]), "",
             f"{len(lengths)} functions: median {statistics.median(lengths):g} lines, 90 % at most {quantile(0.9)}, "
             f"99 % at most {quantile(0.99)}, longest:"]
    lines += [f"  {length:4} {name} in {path}" for length, name, path in long[:5]]
    lines += ["", f"{len(files)} files, {sum(size for size, _ in files)} lines, longest:"]
    lines += [f"  {size:4} {path}" for size, path in files[:5]]
    return "\n".join(lines)


SAMPLE = '''namespace n {
constexpr std::array<int, 2> kTwo{1, 2};
enum class Kind : int { one, two };
struct Point {
  Point(int a) : a_(a), b_{2} {
    go();
  }
  int in_line() const { return a_; }
  bool operator==(const Point&) const = default;
  bool operator<(const Point& other) const {
    return a_ < other.a_;
  }
  int a_ = 0, b_{2};
};
template <class T>
T sum(const std::vector<T>& all = {}) {
  if (all.empty()) {
    return {};
  }
  const auto add = [](T a, T b) {
    return a + b;
  };
  return add(all[0], T{});
}
int Point::far(
    int a) noexcept
{
  return a;
}
}
'''
EXPECTED = [("Point", 3), ("in_line", 1), ("operator<", 3), ("sum", 9), ("far", 3)]


def self_test():
    found = functions(SAMPLE)
    print("self-test passed" if found == EXPECTED else f"found {found}, expected {EXPECTED}")
    return found != EXPECTED


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("repository", nargs="?", type=Path)
    parser.add_argument("--rooms", default="lib,daemon,tools")
    parser.add_argument("--self-test", action="store_true")
    asked = parser.parse_args()
    if asked.self_test:
        return self_test()
    if asked.repository is None:
        parser.error("name the repository")
    print(report(asked.repository, asked.rooms.split(",")))
    return 0


if __name__ == "__main__":
    sys.exit(main())
