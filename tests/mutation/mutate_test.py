"""The script that mutates the rooms draws only what differs, puts every file back, and sees a planted fault."""
import random
import shutil
import tempfile
import unittest
from pathlib import Path

import mutate
from changes import Change, changes_of, code_only

CODE = """#include "a.hpp"  // 1 < 2
int clamp(int value, int most) {
  if (value > most) value = most;
  return value < 0 ? 0 : value;  /* && true */
}
const char* name() { return "a == b + 1"; }
"""
# The test sees every value but the ones that `unseen` gives.
CHECK = """int clamp(int, int);
int main() { return clamp(5, 3) == 3 && clamp(2, 3) == 2 && clamp(-1, 3) == 0 ? 0 : 1; }
"""
UNSEEN = "\nint unseen(int value) { return value + 7; }\n"
CMAKE = """cmake_minimum_required(VERSION 3.25)
project(small LANGUAGES CXX)
add_library(small STATIC lib/small/small.cpp)
file(MAKE_DIRECTORY ${CMAKE_BINARY_DIR}/tests/small)
add_executable(small_test tests/small/check.cpp)
target_link_libraries(small_test small)
set_target_properties(small_test PROPERTIES RUNTIME_OUTPUT_DIRECTORY ${CMAKE_BINARY_DIR}/tests/small)
"""


def find(text, kind, old):
    return next(c for c in changes_of(text)[kind] if text[c.start:c.end] == old)


class Changes(unittest.TestCase):
    def test_every_change_gives_another_text(self):
        for room in sorted((mutate.SOURCE / "lib").iterdir()):
            for path in sorted(room.glob("*.cpp"))[:2]:
                text = path.read_text()
                for change in [c for kind in changes_of(text).values() for c in kind]:
                    self.assertNotEqual(change.apply(text), text, f"{path}: {change}")

    def test_each_kind_is_found_where_it_is(self):
        text = "void f(int a) {\n  if (a < 2 && b) {\n    g(a + 1.5);\n  }\n  done = true;\n}\n"
        applied = {c.apply(text).replace("\n", " ") for kind in changes_of(text).values() for c in kind}
        for expected in ["a <= 2", "a < 3", "a < 1", "2 || b", "a - 1.5", "1.515", "1.485", "if (!(a < 2 && b))",
                         "{     {}   }", "done = false", "  {} }"]:
            self.assertTrue(any(expected in one for one in applied), expected)

    def test_comments_texts_and_includes_are_left_alone(self):
        self.assertEqual(len(code_only(CODE)), len(CODE))
        for absent in ["1 < 2", "true", "==", "a.hpp"]:
            self.assertNotIn(absent, code_only(CODE))

    def test_one_seed_draws_the_same_and_nothing_twice(self):
        def drawn(seed):
            source, seen = random.Random(seed), set()
            return list(iter(lambda: mutate.draw({"small.cpp": CODE}, source, seen), None))
        self.assertEqual(drawn(1), drawn(1))
        self.assertNotEqual(drawn(1), drawn(2))
        self.assertEqual(len(drawn(1)), len(set(drawn(1))))
        self.assertEqual(len(drawn(1)), sum(map(len, changes_of(CODE).values())))


class Files(unittest.TestCase):
    def setUp(self):
        self.folder = Path(self.enterContext(tempfile.TemporaryDirectory()))

    def test_a_file_is_put_back_also_when_something_fails(self):
        path = self.folder / "a.cpp"
        path.write_bytes(CODE.encode())
        with self.assertRaises(KeyboardInterrupt), mutate.changed(path, find(CODE, "relation", ">")):
            self.assertIn("value >= most", path.read_text())
            raise KeyboardInterrupt
        self.assertEqual(path.read_bytes(), CODE.encode())

    def test_a_copy_inside_the_source_is_refused(self):
        with self.assertRaises(SystemExit):
            mutate.copy_tree(mutate.SOURCE, mutate.SOURCE / "copy")
        self.assertFalse((mutate.SOURCE / "copy").exists())


@unittest.skipUnless(shutil.which("ninja") and shutil.which("cmake"), "cmake and ninja build the copy")
class Outcomes(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(cls.folder.cleanup)
        source = Path(cls.folder.name) / "source"
        for name, text in {"lib/small/small.cpp": CODE.replace('#include "a.hpp"', "") + UNSEEN,
                           "CMakeLists.txt": CMAKE, "tests/small/check.cpp": CHECK, "tests/small/CMakeLists.txt": "",
                           "tests/arrows/arrows.txt": "room small:\n"}.items():
            (source / name).parent.mkdir(parents=True, exist_ok=True)
            (source / name).write_text(text)
        cls.source = source
        cls.tree = mutate.Tree(mutate.copy_tree(source, Path(cls.folder.name) / "work"), 2, 3)
        cls.tree.configure()
        cls.tree.measure(["small"])
        cls.path = cls.tree.candidates("small")[0]
        cls.text = cls.path.read_text()

    def outcome(self, change):
        outcome = self.tree.outcome("small", self.path, change)
        self.assertEqual(self.path.read_text(), self.text)
        self.assertEqual((self.source / "lib/small/small.cpp").read_text(), self.text)
        return outcome

    def test_a_planted_fault_is_noticed(self):
        negated = next(c for c in changes_of(self.text)["negated"])
        self.assertEqual(self.outcome(negated), "noticed")

    def test_what_no_test_looks_at_is_unnoticed(self):
        self.assertEqual(self.outcome(find(self.text, "constant", "7")), "unnoticed")

    def test_what_changes_no_code_or_does_not_compile_is_told_apart(self):
        at = self.text.index("7")
        self.assertEqual(self.outcome(Change("constant", at, at + 1, "(7)")), "equal")
        self.assertEqual(self.outcome(Change("constant", at, at + 1, "nowhere")), "uncompiled")

    def test_the_tree_is_sound_after_a_fault(self):
        self.outcome(next(c for c in changes_of(self.text)["negated"]))
        self.tree.make("small_test")
        self.assertTrue(self.tree.passes("small_test"))


if __name__ == "__main__":
    unittest.main()
