#!/usr/bin/python3
"""The decoder beside general-purpose parser libraries, on the same bytes, one core each, one after the other.

    compare_parsers.py NMEA_BENCH LOG SCRATCH [MEGABYTES]

Fetches the libraries (and a Go compiler) into SCRATCH with apt-get download and npm, installing nothing: Debian's
golang-github-adrianmo-go-nmea-dev and python3-nmea2, npm's nmea-simple, gps and extended-nmea. Each gets its lines
already cut, and only its parse function is called and timed, in processor time; ours cuts the bytes itself. Not part of
the check.
"""
import json
import os
import statistics
import subprocess
import sys
from pathlib import Path

DEBIAN = ["golang-1.19-go", "golang-1.19-src", "golang-github-adrianmo-go-nmea-dev", "python3-nmea2"]
NPM = ["nmea-simple", "gps", "extended-nmea"]

GO = """package main

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"syscall"

	"github.com/adrianmo/go-nmea"
)

func seconds() float64 {
	var used syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &used)
	return float64(used.Utime.Sec+used.Stime.Sec) + float64(used.Utime.Usec+used.Stime.Usec)/1e6
}

func main() {
	text, _ := os.ReadFile(os.Args[1])
	lines := strings.Split(string(bytes.TrimSpace(text)), "\\r\\n")
	read, refused := 0, 0
	begun := seconds()
	for _, line := range lines {
		if _, err := nmea.Parse(line); err == nil {
			read++
		} else {
			refused++
		}
	}
	fmt.Printf("{\\"seconds\\": %f, \\"read\\": %d, \\"refused\\": %d}\\n", seconds()-begun, read, refused)
}
"""

PYTHON = """
import json, sys, time
import pynmea2
lines = open(sys.argv[1], encoding="ascii").read().strip().split("\\n")
read = refused = 0
begun = time.process_time()
for line in lines:
    try:
        pynmea2.parse(line, check=True)
        read += 1
    except pynmea2.ParseError:
        refused += 1
print(json.dumps({"seconds": time.process_time() - begun, "read": read, "refused": refused}))
"""

NODE = """
const fs = require("fs");
const lines = fs.readFileSync(process.argv[3], "ascii").trim().split("\\r\\n");
const parsers = {
  "nmea-simple": () => require("nmea-simple").parseNmeaSentence,
  "gps": () => { const GPS = require("gps"); return GPS.Parse || GPS.default.Parse; },
  "extended-nmea": () => { const { Decoder } = require("extended-nmea"); return (line) => Decoder.decode(line + "\\r\\n"); },
};
const parse = parsers[process.argv[2]]();
let read = 0, refused = 0;
const begun = process.cpuUsage();
for (const line of lines) {
  try {
    const told = parse(line);
    if (told && told.valid !== false) ++read; else ++refused;
  } catch (error) {
    ++refused;
  }
}
const used = process.cpuUsage(begun);
console.log(JSON.stringify({ seconds: (used.user + used.system) / 1e6, read, refused }));
"""


def run(command, **options):
    return subprocess.run(command, check=True, capture_output=True, text=True, **options).stdout


def fetch(scratch):
    """Packages unpacked below SCRATCH; what is there already is not fetched again."""
    packages, root, npm = scratch / "packages", scratch / "root", scratch / "npm"
    for folder in (packages, root, npm):
        folder.mkdir(parents=True, exist_ok=True)
    for name in DEBIAN:
        if not list(packages.glob(f"{name}_*.deb")):
            run(["apt-get", "download", name], cwd=packages)
        run(["dpkg", "-x", next(packages.glob(f"{name}_*.deb")), root])
    if not all((npm / "node_modules" / name).is_dir() for name in NPM):
        run(["npm", "install", "--no-package-lock", "--no-save", "--no-audit", "--no-fund", "--prefix", npm, *NPM],
            cwd=npm)
    return root, npm


def build_go(scratch, root):
    (scratch / "go.go").write_text(GO)
    environment = {**os.environ, "GOROOT": str(root / "usr/lib/go-1.19"), "GOPATH": str(root / "usr/share/gocode"),
                   "GO111MODULE": "off", "GOCACHE": str(scratch / "go-cache"), "GOFLAGS": "", "CGO_ENABLED": "0"}
    run([root / "usr/lib/go-1.19/bin/go", "build", "-o", scratch / "go-parser", scratch / "go.go"], env=environment)
    return [scratch / "go-parser"]


def others(scratch):
    root, npm = fetch(scratch)
    (scratch / "parse.py").write_text(PYTHON)
    (npm / "parse.js").write_text(NODE)
    python = {**os.environ, "PYTHONPATH": str(root / "usr/lib/python3/dist-packages")}
    yield "go-nmea (Debian, Go)", build_go(scratch, root), {}
    yield "pynmea2 (Debian, Python)", ["/usr/bin/python3", scratch / "parse.py"], {"env": python}
    for name in NPM:
        yield f"{name} (npm)", ["node", npm / "parse.js", name], {"cwd": npm}


def ours(bench, log):
    out = run([bench, "--benchmark_filter=^framing_and_decoding$", "--benchmark_repetitions=9",
               "--benchmark_format=json"], env={**os.environ, "STILLPOINT_BENCH_LOG": str(log)})
    runs = [r for r in json.loads(out)["benchmarks"] if r["run_type"] == "iteration"]
    return statistics.median(r["bytes_per_second"] for r in runs) / 1e6, int(runs[0]["sentences"])


def compare(bench, log, scratch, megabytes=100):
    scratch.mkdir(parents=True, exist_ok=True)
    part = scratch / "part.nmea"
    with open(log, "rb") as whole:
        part.write_bytes(whole.read(megabytes * 1_000_000).rpartition(b"\n")[0] + b"\n")
    size = part.stat().st_size
    rate, sentences = ours(bench, part)
    rows = [("stillpoint", rate, sentences, 0)]
    for name, command, options in others(scratch):
        told = json.loads(run([*command, part], **options))
        rows.append((name, size / told["seconds"] / 1e6, told["read"], told["refused"]))
    return rows


def print_table(rows):
    print(f"{'parser':28} {'MB/s':>8} {'sentences read':>15} {'refused':>9}")
    for name, rate, read, refused in rows:
        print(f"{name:28} {rate:8.1f} {read:15} {refused:9}")
    rates = [rate for _, rate, _, _ in rows[1:]]
    print(f"{rows[0][1] / max(rates):.1f} times the fastest other, {rows[0][1] / statistics.median(rates):.1f} times the "
          "median")


if __name__ == "__main__":
    if len(sys.argv) not in (4, 5):
        sys.exit(__doc__)
    print_table(compare(Path(sys.argv[1]).resolve(), Path(sys.argv[2]), Path(sys.argv[3]).resolve(),
                        int(sys.argv[4]) if len(sys.argv) == 5 else 100))
