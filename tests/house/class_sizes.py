#!/usr/bin/python3
"""Counts the members and methods of each class, and fails where a room has one that is too wide.

    class_sizes.py REPOSITORY [--rooms lib/session,…] [--widest N]
                               one line for each class over the limit; --widest prints the N widest as a table instead
    class_sizes.py --self-test

Members: data of an object, inherited ones not. Methods: every function of a class, whatever its access, and static ones
too; not constructors, destructors, and what is defaulted, deleted or a friend. Constants and types are neither.
A structure without methods is a list of values, such as a status: it may have as many as its contract names.
A declaration is read as text: this knows the style of this house, no macros and no member that is a bare array type.
"""
import argparse
import re
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

MOST_MEMBERS, MOST_METHODS = 15, 25
ROOMS = ["lib/session", "daemon"]
HEAD = re.compile(r"(?<!enum )\b(?:class|struct)\s+(?:\[\[\w+\]\]\s*)?([A-Za-z_][\w:]*)\s*(?:final\s*)?(?::(?!:)[^;{()]*)?$")


@dataclass
class Size:
    name: str
    path: Path
    line: int
    members: list = field(default_factory=list)
    methods: list = field(default_factory=list)

    def is_over(self):
        wide = len(self.members) > MOST_MEMBERS and self.methods
        return bool(wide) or len(self.methods) > MOST_METHODS


def code_only(text):
    """Comments, literals and preprocessor lines blanked, every other character at its place."""
    pattern = re.compile(r'//[^\n]*|/\*.*?\*/|R"\((?:.|\n)*?\)"|"(?:\\.|[^"\\\n])*"|'
                         r"(?<!\w)'(?:\\.|[^'\\\n])+'|^[ \t]*#(?:[^\n]*\\\n)*[^\n]*", re.S | re.M)
    return pattern.sub(lambda found: re.sub(r"[^\n]", " ", found.group()), text)


def closing(code, opened):
    """The place of the bracket that closes the one at `opened`."""
    depth = 0
    for at in range(opened, len(code)):
        depth += {"{": 1, "}": -1}.get(code[at], 0)
        if depth == 0:
            return at
    raise ValueError("a bracket is never closed")


def declarations(body):
    """(offset, text, what stands in the brackets behind it) of each declaration of a class's body, in order."""
    at = began = 0
    round_open = 0
    while at < len(body):
        c = body[at]
        round_open += {"(": 1, ")": -1}.get(c, 0)
        if c == ";" and round_open == 0:
            yield began, body[began:at], None
            began = at + 1
        elif c == "{":
            end = closing(body, at)
            head = body[began:at]
            rest = re.match(r"\s*([;,=]|[A-Za-z_])?", body[end + 1:]).group(1)
            # `int a{1};` and `a{1}, b` go on to their semicolon, as do `{…} name;` of a nested type and `m({…})`.
            if round_open or (rest in (";", ",") and not is_type(head) and not takes_arguments(head)):
                body = body[:at] + " " * (end + 1 - at) + body[end + 1:]
            elif is_type(head):
                end = body.index(";", end)
                yield began, head, body[at + 1:end]
                at, began = end, end + 1
            elif re.search(r"\)[^()]*:(?!:)[^;]*$", head) and rest == ",":
                body = body[:at] + " " * (end + 1 - at) + body[end + 1:]  # an initializer with braces
            elif re.search(r"\)[^()]*:(?!:)[^;]*$", head) and re.match(r"\s*\{", body[end + 1:]):
                body = body[:at] + " " * (end + 1 - at) + body[end + 1:]
            else:
                yield began, head, body[at + 1:end]
                began = end + 1
                at = end
                semicolon = re.match(r"\s*;", body[began:])
                if semicolon:
                    began += semicolon.end()
                    at = began - 1
        at += 1


def is_type(head):
    return bool(re.search(r"\b(class|struct|enum|union)\b", head)) and "(" not in head


def without_templates(text):
    """What stands between < and > blanked, innermost first; comparisons in defaults do not matter here."""
    while (less := re.sub(r"<[^<>]*>", lambda found: " " * len(found.group()), text)) != text:
        text = less
    return text


def takes_arguments(head):
    """Whether a declaration is a function: its name is followed by a bracket before any `=`."""
    plain = without_templates(re.sub(r"\[\[.*?\]\]", "", re.sub(r"\b(?:decltype|noexcept|alignas)\s*\([^()]*\)", "", head)))
    before = plain.split("=", 1)[0] if "operator" not in plain else plain
    return "(" in before


def name_of(head):
    plain = without_templates(head)
    if found := re.search(r"(operator\s*(?:\(\)|\[\]|[^\s(]+))\s*\(", plain):
        return re.sub(r"\s", "", found.group(1))
    return re.search(r"(~?[\w]+)\s*\(", plain).group(1)


def names_of(head):
    """`int a() const, b();` gives a and b."""
    apart = re.sub(r"\((?:[^()]|\([^()]*\))*\)", "()", without_templates(head))
    return [name_of(head)] + [name_of(part) for part in apart.split(",")[1:] if "(" in part]


def members_of(declaration):
    """`int a = 0, b{1}, *c` gives a, b and c."""
    plain = without_templates(declaration)
    plain = re.sub(r"\([^()]*\)|\{[^{}]*\}", "", plain)
    names = []
    for part in plain.split(","):
        words = re.findall(r"[A-Za-z_]\w*", re.sub(r"\[.*?\]", "", part.split("=", 1)[0]))
        if words:
            names.append(words[-1])
    return names


def add_declaration(size, text):
    """Enters a declaration where it belongs."""
    head = re.sub(r"\b(?:public|protected|private)\s*:(?!:)", "", text).strip()
    head = re.sub(r"^template\s*(<(?:[^<>]|<(?:[^<>]|<[^<>]*>)*>)*>)(\s*requires\s+[^;{]*?(?=\b(?:auto|void|bool|int|[A-Z])))?", "", head).strip()
    if not head or re.match(r"(using|typedef|friend|static_assert|enum|concept)\b", head) or is_type(head):
        return
    if takes_arguments(head):
        if re.search(r"=\s*(default|delete)\s*$", head):
            return
        own = size.name.rpartition("::")[2]
        if name_of(head) not in (own, "~" + own):
            size.methods += names_of(head)
    elif not re.search(r"\b(constexpr|static)\b", head):
        size.members += members_of(head)


def sizes_of(text, path=Path()):
    """The classes of a file, nested ones as their own."""
    found = []

    def read(code, offset, prefix):
        for opened in re.finditer(r"\{", code):
            start = max(code.rfind(c, 0, opened.start()) for c in ";{}")
            head = HEAD.search(re.sub(r"\b(public|protected|private)\s*:(?!:)", " ", code[start + 1:opened.start()]).rstrip())
            if not head:
                continue
            body = code[opened.end():closing(code, opened.start())]
            size = Size(head.group(1), path, text.count("\n", 0, offset + opened.start()) + 1)
            for _, declaration, _ in declarations(body):
                add_declaration(size, declaration)
            found.append(size)

    read(code_only(text), 0, "")
    return found


def classes(root, rooms):
    for room in rooms:
        for path in sorted((root / room).rglob("*.[ch]pp")):
            for size in sizes_of(path.read_text(), path.relative_to(root)):
                yield size


def table(sizes):
    lines = ["| class | members | methods | file |", "|---|---|---|---|"]
    lines += [f"| {s.name} | {len(s.members)} | {len(s.methods)} | {s.path} |" for s in sizes]
    return "\n".join(lines)


SAMPLE = '''
namespace n { struct Forward; enum class Kind : int { one, two };
/// A class with { in its comment.
class Wide final : public Base<int>, private Other {
 public:
  explicit Wide(int a) : a_(a), list_{1, 2}, b_{3} {}
  Wide(const Wide&) = delete;
  ~Wide();
  void plain();
  int two() const, three(int a, int b = f(1, 2));
  static Wide open(const std::string& path, Options options = {});
  int in_line() const noexcept { return a_ > 0 ? a_ : call("}"); }
  bool operator==(const Wide&) const = default;
  bool operator<(const Wide& other) const { return a_ < other.a_; }
  template <class T, class U = std::vector<T>>
  void any(T value, U other = {}) { use(value); }
  [[nodiscard]] std::function<void(int)> hook() const;
  friend int look(const Wide&);
  using Call = std::function<void(int)>;
  struct Inner {
    int x = 0, y = 0;
    double z[3];
    int sum() const { return x + y; }
  };

 private:
  static constexpr int kMost = 3;
  static int shared_;
  int a_, b_{2};
  std::map<std::string, std::pair<int, int>> by_name_;
  std::function<void(int, int)> told_ = [](int, int) {};
  std::vector<int> list_{1, 2};
  mutable std::optional<int> seen_ = std::nullopt;
  const char* text_ = "a; b";
  struct { int u; } unnamed_;
  Writer<tcp::socket> writer_{socket_};
};
struct Wide::State {
  State(const Given& given)
      : first(given.first),
        second{given.second} {}
  int first = sum(1, 2);
  double second = -1.5;
  void run();
};
template <class T> struct Pair { T left; T right{}; };
int function() { struct Local { int only; }; return 0; }
}
'''
EXPECTED = {
    "Wide": (["a_", "b_", "by_name_", "told_", "list_", "seen_", "text_", "writer_"],
             ["plain", "two", "three", "open", "in_line", "operator<", "any", "hook"]),
    "Inner": (["x", "y", "z"], ["sum"]),
    "Wide::State": (["first", "second"], ["run"]),
    "Pair": (["left", "right"], []),
    "Local": (["only"], []),
}


def self_test():
    found = {s.name: (s.members, s.methods) for s in sizes_of(SAMPLE)}
    wrong = [f"{name}: found {found.get(name)}, expected {expected}" for name, expected in EXPECTED.items()
             if found.get(name) != expected]
    wrong += [f"{name}: no such class" for name in found if name not in EXPECTED]
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder) / "lib" / "session"
        room.mkdir(parents=True)
        for members, methods, over in ((15, 25, False), (16, 1, True), (16, 0, False), (0, 26, True)):
            body = "".join(f"int m{i};" for i in range(members)) + "".join(f"void f{i}();" for i in range(methods))
            (room / "a.hpp").write_text(f"struct A {{{body}}};")
            if any(s.is_over() for s in classes(Path(folder), ROOMS)) != over:
                wrong.append(f"{members} members and {methods} methods: over should be {over}")
    print("\n".join(wrong) or "self-test passed")
    return 1 if wrong else 0


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("repository", nargs="?", type=Path)
    parser.add_argument("--rooms", default=",".join(ROOMS))
    parser.add_argument("--widest", type=int)
    parser.add_argument("--self-test", action="store_true")
    asked = parser.parse_args()
    if asked.self_test:
        return self_test()
    if asked.repository is None:
        parser.error("name the repository")
    found = sorted(classes(asked.repository, asked.rooms.split(",")), key=lambda s: -len(s.members) - len(s.methods))
    if asked.widest:
        print(table(found[:asked.widest]))
        return 0
    over = [s for s in found if s.is_over()]
    for s in over:
        print(f"{s.path}:{s.line}: {s.name} has {len(s.members)} members and {len(s.methods)} methods, "
              f"{MOST_MEMBERS} and {MOST_METHODS} are the most")
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main())
