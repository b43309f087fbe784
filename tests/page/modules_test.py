#!/usr/bin/python3
"""What needs no browser and no linter: the page's modules fit together and stay readable.

    modules_test.py PAGE_FOLDER     each fault on a line of its own; exit 1 where there is one
    modules_test.py --self-test     finds each kind of fault in small wrong pages

Every import names a module that is there and a name that it exports; no module leads back to itself; every export is used;
no line is longer than 120 characters; every module begins with what it is for.
"""
import re
import sys
import tempfile
from pathlib import Path

LONGEST = 120
IMPORT = re.compile(r'^import \{([^}]*)\} from "\./([a-z_]+\.js)";$', re.M)
EXPORT = re.compile(r"^export (?:async )?(?:function|const|let|class) ([A-Za-z_$][\w$]*)", re.M)
ANY_IMPORT = re.compile(r"^import\b|\bimport\(", re.M)


def line_faults(path):
    return [f"{path.name}:{number}: {len(line)} characters, {LONGEST} are the most"
            for number, line in enumerate(path.read_text().splitlines(), 1) if len(line) > LONGEST]


def imports_of(text):
    return [(module, [name.strip() for name in names.split(",") if name.strip()])
            for names, module in IMPORT.findall(text)]


def import_faults(texts):
    exports = {name: EXPORT.findall(text) for name, text in texts.items()}
    used, faults = set(), []
    for name, text in texts.items():
        found = imports_of(text)
        if len(found) != len(ANY_IMPORT.findall(text)):
            faults.append(f"{name}: an import that is not written as: import {{ … }} from \"./module.js\";")
        for module, wanted in found:
            if module not in texts:
                faults.append(f"{name}: there is no {module}")
            faults += [f"{name}: {module} does not export {each}" for each in wanted
                       if each not in exports.get(module, [each])]
            used |= {(module, each) for each in wanted}
    return faults + [f"{name}: nobody imports {each}" for name in texts for each in exports[name]
                     if (name, each) not in used]


def circles(texts):
    leads_to = {name: [module for module, _ in imports_of(text)] for name, text in texts.items()}

    def reached(name):
        seen, open_ = set(), list(leads_to[name])
        while open_:
            each = open_.pop()
            if each not in seen:
                seen.add(each)
                open_ += leads_to.get(each, [])
        return seen
    return [f"{name}: its imports lead back to it" for name in texts if name in reached(name)]


def faults_of(folder):
    paths = sorted(folder.glob("*.js"))
    texts = {path.name: path.read_text() for path in paths}
    found = [] if paths else [f"{folder}: no modules"]
    found += [f"{path.name}: the first line does not say what it is for" for path in paths
              if not texts[path.name].startswith("// ")]
    found += import_faults(texts) + circles(texts)
    for path in [*paths, *sorted(folder.glob("*.css")), *sorted(folder.glob("*.html"))]:
        found += line_faults(path)
    return found


WRONG = {
    "no modules": {},
    "does not say what it is for": {"a.js": "const x = 1;\n"},
    "there is no b.js": {"a.js": '// A.\nimport { x } from "./b.js";\n'},
    "does not export y": {"a.js": '// A.\nimport { x, y } from "./b.js";\n', "b.js": "// B.\nexport const x = 1;\n"},
    "nobody imports x": {"a.js": "// A.\nexport const x = 1;\n"},
    "lead back to it": {"a.js": '// A.\nimport { x } from "./b.js";\nexport const y = x;\n',
                        "b.js": '// B.\nimport { y } from "./a.js";\nexport const x = y;\n'},
    "not written as": {"a.js": '// A.\nimport x from "./b.js";\n', "b.js": "// B.\n"},
    "121 characters": {"a.js": "// " + "x" * 118 + "\n"},
}


def self_test():
    for expected, files in WRONG.items():
        with tempfile.TemporaryDirectory() as folder:
            for name, text in files.items():
                (Path(folder) / name).write_text(text)
            found = faults_of(Path(folder))
            if not any(expected in each for each in found):
                print(f"not found: {expected}; but: {found}")
                return 1
    print("self-test passed")
    return 0


def main():
    if sys.argv[1:] == ["--self-test"]:
        return self_test()
    found = faults_of(Path(sys.argv[1]))
    print("\n".join(found) or "the modules fit together")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
