#!/usr/bin/python3
"""Golden replays: what stillpoint-reduce prints for a log, kept in golden/, failing cases included.

    golden_test.py REDUCE REPLAY_LOGS [--update]

These files guard against change; whether the numbers are right is asked elsewhere (replay_test.py truth and verdicts).
Texts must be equal; numbers may differ by one in the last printed digit, which is what a C library may round otherwise.
--update writes the files anew: read the difference before committing it.
"""
import json
import subprocess
import sys
import tempfile
from decimal import Decimal
from pathlib import Path

GOLDEN = Path(__file__).resolve().parent / "golden"


def cases(logs):
    """Name, the log's bytes, visits file or None, whether epochs are printed."""
    demo = (logs / "harrowfen-culverts.nmea").read_bytes()
    visits = (logs / "harrowfen-culverts.visits.csv").read_text(encoding="utf-8")
    middle = demo.index(b"$GNGGA,141410")
    return [
        ("demo-day", demo, visits, False),
        ("cut-mid-sentence", demo[:demo.index(b"$GNGGA,140712") + 40], visits, False),
        ("outage-second-by-second", demo[middle:demo.index(b"$GNGGA,141500")], None, True),
        ("bytes-of-no-meaning", bytes(i * 7919 % 251 for i in range(5000)), None, False),
        ("empty", b"", None, False),
    ]


def run(program, logs, data, visits, epochs):
    """Everything a user sees: exit status, error output, output lines."""
    with tempfile.TemporaryDirectory() as folder:
        log, csv = Path(folder) / "day.nmea", Path(folder) / "visits.csv"
        log.write_bytes(data)
        command = [program, "--config", logs / "harrowfen.toml", "--log", log] + (["--epochs"] if epochs else [])
        if visits:
            csv.write_text(visits, encoding="utf-8")
            command += ["--visits", csv]
        done = subprocess.run([str(x) for x in command], capture_output=True, text=True, timeout=120, check=False)
        said = [{"stderr": line.replace(folder, "FOLDER")} for line in done.stderr.splitlines()]
        return "\n".join([json.dumps(x) for x in [{"exit": done.returncode}] + said] + done.stdout.splitlines()) + "\n"


def same(a, b):
    if isinstance(a, Decimal) and isinstance(b, Decimal):
        unit = Decimal(1).scaleb(max(a.as_tuple().exponent, b.as_tuple().exponent))
        return abs(a - b) <= unit
    if isinstance(a, dict) and isinstance(b, dict):
        return list(a) == list(b) and all(same(a[k], b[k]) for k in a)
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(map(same, a, b))
    return a == b


def differences(name, want, got):
    rows = [[json.loads(line, parse_float=Decimal) for line in text.splitlines()] for text in (want, got)]
    wrong = [f"{name}, line {n}:\n  kept    {json.dumps(a, default=str)}\n  printed {json.dumps(b, default=str)}"
             for n, (a, b) in enumerate(zip(*rows), 1) if not same(a, b)]
    if len(rows[0]) != len(rows[1]):
        wrong.append(f"{name}: {len(rows[0])} lines are kept, {len(rows[1])} were printed")
    return wrong


def main():
    program, logs = Path(sys.argv[1]), Path(sys.argv[2])
    wrong = []
    for name, *case in cases(logs):
        got, kept = run(program, logs, *case), GOLDEN / f"{name}.jsonl"
        if "--update" in sys.argv:
            GOLDEN.mkdir(exist_ok=True)
            kept.write_text(got, encoding="utf-8")
        wrong += differences(name, kept.read_text(encoding="utf-8"), got)
    print("\n".join(wrong[:20]) or "every golden replay is as kept")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
