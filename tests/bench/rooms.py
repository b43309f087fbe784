#!/usr/bin/python3
"""Each room's share of the instructions of a program, from callgrind's output file.

    rooms.py CALLGRIND_OUT

A room has what its own functions ran, and what functions outside of Stillpoint (the C and C++ libraries) ran for them;
PROJ and SQLite have rows of their own. Inlined code counts for the function it was inlined into.
"""
import re
import sys
from collections import Counter

ROOM = re.compile(r"stillpoint::(?:\(anonymous namespace\)::)?([a-z]+)::")
LIBRARIES = {"libproj": "PROJ", "libsqlite3": "SQLite"}


class Names:
    """Callgrind writes a name once, as "(3) name", and then "(3)"."""

    def __init__(self):
        self.known = {}

    def of(self, text):
        number, _, name = text.partition(" ")
        if name:
            self.known[number] = name
        return self.known.get(number, number)


def room_of(function, program):
    for library, row in LIBRARIES.items():
        if library in program:
            return row
    found = ROOM.search(function)
    return found.group(1) if found else None


def rooms_of(lines):
    """Instructions by room; "start and end" is what ran outside of every room's calls."""
    functions, programs = Names(), Names()
    program = called_program = room = called = None
    after_call, shares, total = False, Counter(), 0
    for line in lines:
        key, equals, value = line.rstrip("\n").partition("=")
        if equals and key == "ob":
            program = called_program = programs.of(value)
        elif equals and key == "cob":
            called_program = programs.of(value)
        elif equals and key == "fn":
            room, called_program = room_of(functions.of(value), program), program
        elif equals and key == "cfn":
            called = room_of(functions.of(value), called_program)
        elif equals and key == "calls":
            after_call = True
        elif line[:1] in "+-*0123456789":
            cost = int(line.split()[1])
            if not after_call:
                total += cost
                shares[room] += cost if room else 0
            elif room and called is None:
                shares[room] += cost  # the library's work is its caller's, but see below
            after_call = False
            if not room:
                continue
            called_program = program
    del shares[None]
    shares["start and end"] = max(0, total - sum(shares.values()))
    return total, shares


def print_shares(total, shares, units=1, unit="run"):
    for room, count in shares.most_common():
        print(f"  {room:14} {count / total:6.1%} {count / units:10.0f} instructions per {unit}")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with open(sys.argv[1], encoding="utf-8", errors="replace") as out:
        print_shares(*rooms_of(out))
