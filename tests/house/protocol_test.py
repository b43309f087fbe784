#!/usr/bin/python3
"""The page of the protocol names every method, status member, code, flag, alert and exit status of the programs, and no other.

    protocol_test.py REPOSITORY      each difference on a line of its own; exit 1 where there is one
    protocol_test.py --self-test
"""
import re
import sys
from pathlib import Path

PAGE = "lib/wire/PROTOCOL.md"
VALUE = r"(?:text|texts|number|count|integer|flag|time|null|object|array|raw)"
EXITS = {"stillpointd": "daemon/common/exit.hpp", "stillpoint": "tools/client/link.hpp", "stillpoint-reduce": "tools/reduce/options.cpp",
         "stillpoint-office": "tools/office/main.cpp", "stillpoint-report": "tools/report/main.cpp",
         "stillpoint-simulate": "tools/simulate/main.cpp", "stillpoint-rehearse": "tools/rehearse/options.cpp",
         "stillpoint-frames": "tools/frames/options.cpp"}


class Code:
    """The sources, by their names from the top; whoever moves a file within the daemon changes nothing here."""

    def __init__(self, files):
        self.files = files

    @classmethod
    def under(cls, root):
        return cls({str(path.relative_to(root)): path.read_text(encoding="utf-8")
                    for room in ("lib", "daemon", "tools") for path in sorted((root / room).rglob("*.?pp"))})

    def of(self, room):
        return "\n".join(text for name, text in self.files.items() if name.startswith(room))

    def named(self, ending):
        return "\n".join(text for name, text in self.files.items() if name.endswith("/" + ending))


def body(text, head):
    """From the head of a function, or of a list, to the line that ends it."""
    at = text.find(head)
    return text[at:re.compile(r"^\}|;\n(?=\n|[^ ])", re.M).search(text, at).start()] if at >= 0 else ""


def words_of(text, pattern):
    return set(re.findall(pattern, text))


def methods(code):
    return words_of(body(code.named("methods.cpp"), "void Methods::handle"), r'\{"(\w+)", &Methods::')


def parameters(code):
    """The parameters that a method allows, for each method."""
    text = code.named("methods.cpp")
    found = {name: words_of("".join(re.findall(r"allow\(\{([^}]*)\}", body(text, f"void Methods::{name}("))), r'"(\w+)"')
             for name in methods(code)}
    of_the_open_stay = words_of("".join(re.findall(r"allow\(\{([^}]*)\}", body(text, "bool Methods::means_another("))), r'"(\w+)"')
    for name in ("keep", "discard"):
        if "means_another" in body(text, f"void Methods::{name}("):
            found[name] |= of_the_open_stay
    return {f"{name} {each}" for name, all_of in found.items() for each in all_of}


def errors(code):
    numbers = words_of(code.of("lib/wire") + code.of("daemon"), r"constexpr int k(?:ParseError|Invalid\w+|Internal\w*|Unknown\w+|Bad\w+|Refused) = (-?\d+);")
    return numbers


def questions(code):
    return words_of(code.of("lib/session") + code.of("daemon"), r'(?:Question\{|"question", )"([a-z-]+)"')


def status(code):
    text = code.named("json.cpp")
    found = set()
    prefixes = {"add_epoch": "epoch.", "add_correction": "correction.", "add_verdict": "verdict.", "add_occupation": "occupation.",
                "add_check": "check.", "add_base": "base.", "add_delivery": "delivery.", "add_store": "store.", "add_alert": "alerts.", "add_status": ""}
    inner = {"feed": "feed.", "reason": "verdict.reasons.", "proof": "base.frame_proof."}
    for function, prefix in prefixes.items():
        for who, key in re.findall(rf'\b(\w+)\.{VALUE}\("(\w+)"', body(text, f"void {function}(")):
            found.add((prefix if who == "out" else inner.get(who, who + "?.")) + key)
        found |= set(re.findall(r'add_or_null\(out, "(\w+)"', body(text, f"void {function}(")))
    # An object that is always there is told by its members.
    return found - {"feed", "correction", "verdict", "check", "store", "base.frame_proof"}


def refusals(code):
    return words_of(code.named("verdict.hpp"), r'ReasonWords\{Reason::\w+,\s*"([a-z-]+)"')


def holds(code):
    return words_of(body(code.files.get("lib/occupation/point.cpp", ""), "kHold{"), r'"([a-z-]+)"')


def constants(code):
    return dict(re.findall(r'constexpr (?:const char\*|std::string_view|auto) (k\w+) = "([a-z-]+)"', code.of("lib") + code.of("daemon")))


def flags(code):
    named = constants(code)
    text = code.of("lib") + code.of("daemon")
    # Every flag is put on by one of these: `flag(so, "word")` where a point ends, or an emplace of a word or a constant.
    found = words_of(code.files.get("lib/occupation/occupation.cpp", ""), r'\bflag\([^;]*?"([a-z-]+)"\);')
    found |= words_of(text, r'flags\.(?:emplace|push)_back\("([a-z-]+)"\)')
    return found | {named[name] for name in re.findall(r"flags\.(?:emplace|push)_back\((?:\w+::)*(k[A-Z]\w+)\)", text)}


def severities(code):
    """Each alert with its severity."""
    named = constants(code)
    found = re.findall(r'\{"([a-z-]+)", Severity::(\w+)', code.files.get("lib/session/alerts.hpp", ""))
    raised = re.findall(r'\b(?:raise|own_alert)\(\s*("[a-z-]+"|(?:\w+::)*k[A-Z]\w+),\s*(?:session::)?Severity::(\w+)', code.of("daemon"))
    found += [(key.strip('"') if key.startswith('"') else named[key.rsplit(":", 1)[-1]], severity) for key, severity in raised]
    return {f"{key} {severity.replace('_', '-')}" for key, severity in found}


def alerts(code):
    return {each.split(" ")[0] for each in severities(code)}


def journal(code):
    return words_of(code.files.get("lib/record/command.cpp", ""), r'\{"(?:command|event)", "(\w+)"\}')


def stops(code):
    return words_of(body(code.files.get("lib/corrections/delivery.cpp", ""), "kWords{{"), r'\{"([a-z-]+)", &')


def files(code):
    text = code.of("daemon") + code.of("lib")
    return {name for name in (".spool", ".open", ".damaged", ".lock", "pairs.txt", ".page-key", ".pole-", ".rtcm")
            if re.search(r'"[^"\n]*' + re.escape(name) + r'[^"\n]*"', text)}


def exits(code):
    found = set()
    for program, name in EXITS.items():
        text = code.files.get(name, "") or code.named(name.rsplit("/", 1)[-1])
        told = re.search(r"Exit status: (.*?)(?:\n\s*\"?[A-Z]|;$|\);)", text.replace('"\n', ""), re.S)
        # stillpoint and stillpointd say theirs as constants.
        numbers = re.findall(r"kExit\w+ = (\d)", text) or re.findall(r"(?:^|[ ,])(\d) ", told.group(1) if told else "")
        found |= {f"{program} {number}" for number in numbers}
    return found


SECTIONS = {"Methods": methods, "Errors": errors, "Questions": questions, "Status": status, "Why a second does not count": refusals,
            "Why a point is held": holds, "Flags of a point": flags, "Alerts": alerts, "Why corrections stop": stops, "Words of the journal": journal,
            "Files beside the pointbook, the record and the socket": files}


def rows(page, title):
    section = re.search(rf"(?ms)^## {re.escape(title)}\n(.*?)(?=^## |\Z)", page)
    return re.findall(r"(?m)^\| `([^`]+)` \|(.*)\|$", section.group(1)) if section else []


def faults_of(page, code):
    found = []

    def compare(title, there, here):
        if not there:
            found.append(f"{title}: nothing of the kind was found in the code; this test reads it no longer")
        found.extend(f"{title}: {each} is in the code and not on the page" for each in sorted(there - here))
        found.extend(f"{title}: {each} is on the page and not in the code" for each in sorted(here - there))

    for title, look in SECTIONS.items():
        here = [name for name, _ in rows(page, title)]
        found.extend(f"{title}: {each} stands there twice" for each in sorted({each for each in here if here.count(each) > 1}))
        compare(title, look(code), set(here))
    compare("Parameters", parameters(code), {f"{name} {each}" for name, rest in rows(page, "Methods")
                                             for each in re.findall(r"`(\w+)`", rest.split("|")[0])})
    compare("Severities", severities(code), {f"{key} {each}" for key, rest in rows(page, "Alerts")
                                             for each in re.findall(r"`([a-z-]+)`", rest.split("|")[0])})
    compare("Exit statuses", exits(code), {f"{program} {each}" for program, rest in rows(page, "Exit statuses")
                                           for each in re.findall(r"`(\d)`", rest)})
    return found


def self_test(root):
    page, code = (root / PAGE).read_text(encoding="utf-8"), Code.under(root)
    assert faults_of(page, code) == [], faults_of(page, code)
    # One word less, or one that nothing says, is a fault in every section.
    for title in [*SECTIONS, "Exit statuses"]:
        section = page.index(f"## {title}\n")
        first = page.index("\n| `", section)
        end = page.index("\n", first + 1)
        assert faults_of(page[:first] + page[end:], code), title
        assert faults_of(page[:first] + "\n| `of-no-program` | `9` x |" + page[first:], code), title
    assert faults_of(page, Code({name: text for name, text in code.files.items() if not name.endswith("verdict.hpp")}))


def main():
    if sys.argv[1:2] == ["--self-test"]:
        return self_test(Path(__file__).resolve().parents[2])
    root = Path(sys.argv[1])
    found = faults_of((root / PAGE).read_text(encoding="utf-8"), Code.under(root))
    for fault in found:
        print(fault)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
