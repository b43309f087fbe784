#!/usr/bin/python3
"""The functions that run with every burst of a stream, for the linker to lay side by side.

    burst_functions.py STILLPOINTD STATUS_LATENCY LIST

Runs the daemon on a full stream at 20 Hz, with an open stay and a client that follows, under callgrind, and writes to
LIST (daemon/burst_functions.txt) every function of the program that is called at least once a second, or never returns.
To be run again when a room has changed much; a name that no longer exists does no harm. `tests/bench/table` says how many
of them lie where they should.
"""
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import daemon_times

SETTLE_S = 10
LISTEN_S = 20
LEAST_A_SECOND = 1
# A name that ends in these is a part or a variant of a function that the compiler made; the list names the whole.
VARIANT = re.compile(r"\.(isra|constprop|part|cold|lto_priv)\.?\d*.*$|'\d+$")


def whole_name(name):
    return VARIANT.sub("", name)


def output_of(*command):
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def symbols_of(program):
    """Address and name of the program's own functions. A constructor has several names, and one of them its section's."""
    fields = (line.split() for line in output_of("nm", "--defined-only", program).splitlines())
    return [(int(address, 16), whole_name(name)) for address, kind, name in fields if kind in "tTwWu"]


def placed(program):
    """Names of the functions that lie side by side."""
    section = re.search(r"\.text\.burst_functions\s+PROGBITS\s+(\w+)\s+\w+\s+(\w+)", output_of("readelf", "-SW", program))
    if not section:
        return set()
    begin, size = (int(number, 16) for number in section.groups())
    return {name for address, name in symbols_of(program) if begin <= address < begin + size}


def listed(path):
    return [line for line in Path(path).read_text().splitlines() if line and not line.startswith("#")]


def calls_of(lines):
    """How often each function was called; a name is written once, as "(3) name", and then "(3)". 0: it never returned."""
    known, calls, called = {}, Counter(), None
    for line in lines:
        kind, _, rest = line.partition("=")
        if kind in ("fn", "cfn"):
            number, _, name = rest.strip().partition(" ")
            known.setdefault(number, name)
            called = whole_name(known[number])
            calls[called] += 0
        elif kind == "calls":
            calls[called] += int(rest.split()[0])
    return calls


def control(*arguments):
    subprocess.run(["callgrind_control", *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)


def traced(program, latency_program, folder):
    """Callgrind's account of LISTEN_S seconds of the stream."""
    account = folder / "account"
    wrapper = folder / "traced"
    wrapper.write_text("#!/bin/sh\nexec valgrind --tool=callgrind --demangle=no --instr-atstart=no "
                       f"--callgrind-out-file='{account}' '{Path(program).resolve()}' \"$@\"\n")
    wrapper.chmod(0o755)
    port = daemon_times.free_port()
    probe = subprocess.Popen([latency_program, str(port), folder / "control", str(SETTLE_S + LISTEN_S)],
                             stdout=subprocess.DEVNULL)
    daemon = None
    try:
        daemon = daemon_times.Daemon(wrapper, folder, port)
        time.sleep(SETTLE_S / 2)
        daemon_times.Client(daemon.control).call("occupy", name="A")
        time.sleep(SETTLE_S / 2)
        control("-i", "on", str(daemon.process.pid))
        time.sleep(LISTEN_S)
        control("-i", "off", str(daemon.process.pid))
        if probe.poll():
            raise RuntimeError("status_latency gave up")
    finally:
        probe.kill()
        probe.wait()
        if daemon:
            daemon.stop()
    return account.read_text().splitlines()


def main():
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    program, latency_program, path = sys.argv[1:]
    with tempfile.TemporaryDirectory(prefix="stillpoint-bench-") as folder:
        calls = calls_of(traced(program, latency_program, Path(folder)))
    often = {name for name, times in calls.items() if times == 0 or times >= LEAST_A_SECOND * LISTEN_S}
    symbols = symbols_of(program)
    addresses = {address for address, name in symbols if name in often}
    names = sorted({name for address, name in symbols if address in addresses})
    head = "# Written by tests/bench/burst_functions.py: what runs at least once a second in a stream at 20 Hz."
    Path(path).write_text("\n".join([head, *names]) + "\n")


if __name__ == "__main__":
    main()
