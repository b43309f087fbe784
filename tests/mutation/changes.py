"""Small changes to C++ code: where they can be made, and what they are. Text in, text out; no files."""
import re
from dataclasses import dataclass

NEIGHBOUR = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "!=", "!=": "=="}
SIGN = {"+": "-", "-": "+", "*": "/", "/": "*", "+=": "-=", "-=": "+="}
JUNCTION = {"&&": "||", "||": "&&"}
TRUTH = {"true": "false", "false": "true"}
# What begins a line that must stay for the rest to compile, or that no test can miss.
STAYS = re.compile(r"(return|case|default|using|const|constexpr|static|auto|else|break|continue|goto|throw|namespace|"
                   r"typedef)\b")


@dataclass(frozen=True)
class Change:
    kind: str
    start: int  # offsets into the file's text
    end: int
    new: str

    def apply(self, text):
        return text[:self.start] + self.new + text[self.end:]

    def line(self, text):
        return text.count("\n", 0, self.start) + 1

    def words(self, text):
        """The changed place, before and after, on one line."""
        shown = [" ".join(part.split()) for part in (text[self.start:self.end], self.new)]
        whole = " ".join(text[text.rfind("\n", 0, self.start) + 1:].split("\n", 1)[0].split())
        return f"{shown[0]} -> {shown[1] or 'nothing'} in: {whole}"


def code_only(text):
    """The text with comments, literals and preprocessor lines blanked, every other character at its place."""
    pattern = re.compile(r'//[^\n]*|/\*.*?\*/|R"\((?:.|\n)*?\)"|"(?:\\.|[^"\\\n])*"|'
                         r"(?<!\d)'(?:\\.|[^'\\\n])+'|^[ \t]*#[^\n]*", re.S | re.M)
    return pattern.sub(lambda found: re.sub(r"[^\n]", " ", found.group()), text)


def closing(code, opened):
    """The offset of the bracket that closes the one at `opened`, or None."""
    depth = 0
    for at in range(opened, len(code)):
        depth += {"(": 1, ")": -1}.get(code[at], 0)
        if depth == 0:
            return at
    return None


def swaps(kind, code, table, around=r"\s"):
    words = "|".join(re.escape(word) for word in sorted(table, key=len, reverse=True))
    for found in re.finditer(rf"(?<={around})({words})(?={around})", code):
        yield Change(kind, found.start(), found.end(), table[found.group()])


def truths(code):
    for found in re.finditer(r"\b(true|false)\b", code):
        yield Change("boolean", found.start(), found.end(), TRUTH[found.group()])


def integers(code):
    for found in re.finditer(r"(?<![\w.'])(\d[\d']*)(?![\w.'])", code):
        value = int(found.group().replace("'", ""))
        for new in {value + 1, max(value - 1, 0)} - {value}:
            yield Change("constant", found.start(), found.end(), str(new))


def fractions(code):
    for found in re.finditer(r"(?<![\w.'])(\d[\d']*\.\d+(?:e[-+]?\d+)?|\d+e[-+]?\d+)(?![\w.'])", code):
        value = float(found.group().replace("'", ""))
        for new in ([value * 1.01, value * 0.99] if value else [1.0]):
            digits = f"{new:.12g}"
            yield Change("constant", found.start(), found.end(), digits if re.search("[.e]", digits) else digits + ".0")


def conditions(code):
    for found in re.finditer(r"\bif (?:constexpr )?\(", code):
        end = closing(code, found.end() - 1)
        inside = code[found.end():end] if end else ""
        declares = re.match(r"\s*(const\b|auto\b)", inside) or ";" in inside
        if end and "constexpr" not in found.group() and not declares:
            yield Change("negated", found.end(), end, None)


def statements(code):
    for found in re.finditer(r"(?:^[ \t]+|(?<=\) ))([A-Za-z_+*(-][^\n{};]*;)(?=[ \t]*$)", code, re.M):
        statement = found.group(1)
        before = code[:found.start(1)].rstrip()
        begins = before.endswith((";", "{", "}", ":")) or (before.endswith(")") and found.group()[0] not in " \t")
        called_or_set = re.match(r"[\w.:>\[\]*()+-]+(\(|\.| [-+*/|&]?= |;)", statement)
        if begins and called_or_set and not STAYS.match(statement):
            yield Change("dropped", found.start(1), found.end(1), "{}")


def changes_of(text):
    """Every change that this script knows, by kind; each gives another text."""
    code = code_only(text)
    every = [*swaps("relation", code, NEIGHBOUR), *swaps("sign", code, SIGN), *swaps("boolean", code, JUNCTION),
             *truths(code), *integers(code), *fractions(code), *statements(code)]
    every += [Change(c.kind, c.start, c.end, f"!({text[c.start:c.end]})") for c in conditions(code)]
    kinds = {}
    for change in every:
        if change.apply(text) != text:
            kinds.setdefault(change.kind, []).append(change)
    return kinds
