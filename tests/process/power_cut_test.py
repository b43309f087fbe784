"""The power goes at any moment of a day: what was answered is there afterwards, once, and the record verifies and redoes.

  power_cut_test.py [CUTS] [SEED]

A layer below the daemon (file_layer.c) writes down each change of a file, each sync and each answer. Afterwards the folder
is made as a cut at some moment would have left it: what was not synced is lost, wholly or in part, names too, whether
made, changed or removed, when their folder was not synced. Then the daemon is started there.
"""

import contextlib
import json
import os
import random
import shutil
import sys
import time
import unittest

from attacked_day import AttackedDay, Work

LAYER = os.environ.get("STILLPOINT_FILE_LAYER")


def read_trace(path):
    """Lists of words, each with the bytes that follow it."""
    data, at, out = path.read_bytes(), 0, []
    while at < len(data):
        end = data.index(b"\n", at)
        size, _, words = data[at:end].partition(b" ")
        out.append((words.decode().split(" ", 3), data[end + 1 : end + 1 + int(size)]))
        at = end + 1 + int(size)
    return out


class Node:
    """A file: what the disk has for certain, and what was done to it since."""

    def __init__(self):
        self.safe = bytearray()
        self.since = []  # (number of the operation, where, bytes) or (number, length, None)

    @staticmethod
    def do(content, at, data):
        if data is None:
            del content[at:]
            content.extend(bytes(at - len(content)))
            return
        content.extend(bytes(max(0, at - len(content))))
        content[at : at + len(data)] = data

    def sync(self, number):
        for done, at, data in self.since:
            if done <= number:
                self.do(self.safe, at, data)
        self.since = [change for change in self.since if change[0] > number]

    def after_cut(self, loss, dice):
        content = bytearray(self.safe)
        if loss == "all":
            return content
        kept = self.since
        if loss == "some":
            whole = kept[: dice.randint(0, len(kept))]
            kept = whole if dice.random() < 0.5 else [change for change in kept if dice.random() < 0.5]
        for _, at, data in kept:
            self.do(content, at, data)
        return content


class Disk:
    """What a run of the daemon did to its files, up to some operation."""

    FOLDER = object()

    def __init__(self, root):
        self.root = str(root)
        self.names = {self.root: self.FOLDER}
        self.safe_names = {self.root: self.FOLDER}
        self.names_since = []  # (number, folder, {path: node or None})
        self.open, self.paths, self.syncs = {}, {}, {}

    def rename(self, number, changes):
        self.names_since.append((number, os.path.dirname(next(iter(changes))), changes))
        self.apply_names(self.names, changes)

    @staticmethod
    def apply_names(names, changes):
        for path, node in changes.items():
            if node is None:
                names.pop(path, None)
            else:
                names[path] = node

    def do(self, number, words, data):
        what = words[0]
        if what == "open":
            self.do_open(number, words[3].split(" ", 1), int(words[1]), words[2] == "1")
        elif what in ("write", "truncate"):
            node = self.open.get(int(words[1]))
            if isinstance(node, Node):
                node.since.append((number, int(words[2]), data if what == "write" else None))
        elif what == "close":
            self.open.pop(int(words[1]), None)
        elif what == "sync":
            self.syncs[words[2]] = (number, self.open.get(int(words[1])), self.paths.get(int(words[1])))
        elif what == "synced":
            self.do_synced(*self.syncs.pop(words[1]))
        elif what == "mkdir":
            self.rename(number, {" ".join(words[1:]): self.FOLDER})
        elif what == "unlink":
            self.rename(number, {" ".join(words[1:]): None})
        elif what == "rename":
            path = " ".join(words[1:])
            self.rename(number, {data.decode(): self.names[path], path: None})
        elif what == "link":
            self.rename(number, {data.decode(): self.names[" ".join(words[1:])]})

    def do_open(self, number, rest, fd, created):
        truncated, path = rest[0] == "1", rest[1]
        self.paths[fd] = path
        if created:
            self.rename(number, {path: Node()})
        self.open[fd] = self.names.get(path)
        if truncated and isinstance(self.open[fd], Node):
            self.open[fd].since.append((number, 0, None))

    def do_synced(self, number, node, path):
        if isinstance(node, Node):
            node.sync(number)
        elif node is self.FOLDER:
            for done, folder, changes in self.names_since:
                if folder == path and done <= number:
                    self.apply_names(self.safe_names, changes)
            self.names_since = [c for c in self.names_since if c[1] != path or c[0] > number]

    def put_back(self, loss, dice):
        """Makes the folder as it is found when the power is back."""
        names = dict(self.safe_names)
        for _, _, changes in self.names_since if loss != "all" else ():
            if loss == "nothing" or dice.random() < 0.5:
                self.apply_names(names, changes)
        shutil.rmtree(self.root, ignore_errors=True)
        os.mkdir(self.root, 0o750)
        for path, node in sorted(names.items()):
            if not os.path.isdir(os.path.dirname(path)):
                continue  # its folder is gone
            if node is self.FOLDER:
                os.makedirs(path, 0o750, exist_ok=True)
            else:
                with open(path, "wb") as file:
                    file.write(node.after_cut(loss, dice))
                os.chmod(path, 0o640)


@unittest.skipUnless(LAYER, "the layer below the files was not built")
class PowerCuts(AttackedDay):
    cuts, seed = 12, 93

    def day_written_down(self, dice, sync_ms):
        """A day of work under the layer; what it did, operation by operation."""
        home = self.folder / f"day-{sync_ms}"
        home.mkdir()
        self.begin_day(dice, home)
        trace = self.folder / f"trace-{sync_ms}"
        layer = dict(os.environ, LD_PRELOAD=LAYER, FILE_LAYER_ROOT=str(home), FILE_LAYER_TRACE=str(trace), FILE_LAYER_SYNC_MS=str(sync_ms))
        for _ in range(2):
            daemon, worker = self.start_work(env=layer)
            wanted = self.work.answers + 8
            while self.work.answers < wanted and worker.is_alive():
                time.sleep(0.01)
            daemon.process.kill()
            daemon.process.wait()
            worker.join()
            daemon.close()
        return read_trace(trace)

    @staticmethod
    def answered(operations):
        """What the crew was told until then."""
        work = Work(None)
        for words, data in operations:
            for line in data.splitlines() if words[0] == "answer" else ():
                with contextlib.suppress(ValueError):
                    work.hear(json.loads(line).get("result"))
        return work

    def cut(self, operations, count, loss, dice):
        disk = Disk(self.home)
        for number, (words, data) in enumerate(operations[:count]):
            disk.do(number, words, data)
        disk.put_back(loss, dice)
        self.work = self.answered(operations[:count])
        self.prove()

    def test_after_a_cut_at_any_operation_what_was_answered_is_there_once_and_the_record_verifies_and_redoes(self):
        dice = random.Random(self.seed)
        told = good = 0
        for sync_ms in (0, 60):
            operations = self.day_written_down(dice, sync_ms)
            answers = [i for i, (words, data) in enumerate(operations) if words[0] == "answer" and (b'"storage"' in data or b'"check":{"' in data)]
            self.assertGreater(len(answers), 2, "the crew did nothing")
            for number in range(self.cuts // 2):
                at_answer = number % 2 == 0
                count = dice.choice(answers) + 1 if at_answer else dice.randint(1, len(operations))
                loss = "all" if at_answer else dice.choice(("all", "nothing", "some", "some"))
                with self.subTest(sync_ms=sync_ms, operations=count, of=len(operations), loss=loss):
                    self.cut(operations, count, loss, random.Random(count))
                    good += 1
                told += len(self.work.points) + len(self.work.checks)
        print(f"{self.cuts} cuts: {told} points and checks answered for; wrong after {2 * (self.cuts // 2) - good} cuts")


if __name__ == "__main__":
    numbers = [int(a) for a in sys.argv[1:] if a.isdigit()]
    PowerCuts.cuts, PowerCuts.seed = (numbers + [PowerCuts.cuts, PowerCuts.seed][len(numbers):])[:2]
    unittest.main(argv=[a for a in sys.argv if not a.isdigit()])
