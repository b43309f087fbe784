#!/usr/bin/env python3
"""The packages in a bare Debian 12: installed, set up, a day, upgraded with a point open, removed, purged.

    packages.py --build FOLDER [--debs FOLDER] [--base FILE] [--before-tree FOLDER --before-build FOLDER]

FOLDER of --build is a build with optimization or without: what is packed is tried, not compiled. --debs takes packages that
are there already, --base the archive of a bare system. --before-… is the tree and build of an earlier version, packed by today's tool; without them this build
is packed as 0.1.0, which tries the packages, and not what an older program wrote. Needs root, mmdebstrap and a mirror of
Debian, and says so where one is missing: skipped, exit status 0. All happens in folders of its own and a mount namespace.
"""
import argparse
import contextlib
import fcntl
import hashlib
import json
import os
import pty
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import termios
import threading
import time
import tty
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests" / "process"))
os.environ.setdefault("STILLPOINTD", "/usr/bin/stillpointd")  # the harness wants one; the daemons here are installed
from bare_system import CLEAN, DIALOUT, System, make_base, own_mounts  # noqa: E402
from harness import log_of  # noqa: E402

CONFIG = "/etc/stillpoint/stillpoint.toml"
BOOK = "/var/lib/stillpoint/points.gpkg"
PROGRAMS = {"stillpoint": ("stillpointd", "stillpoint", "stillpoint-frames"), "stillpoint-office": ("stillpoint-reduce", "stillpoint-office", "stillpoint-report"),
            "stillpoint-training": ("stillpoint-simulate", "stillpoint-rehearse")}
# Name, crew, corrections, wanted errors, frame, heights, the network's frame, epoch and proof, marks, the pole, zone and unit.
ANSWERS = ["Harrowfen", "A", "network", "0.05 m", "", "", "1", "2010.0", "operator's page, read 2026-05-02", "none", "1.800 m", "71 mm", ""]
DEADLINE_S = 120


def wanted(holds, what):
    if not holds:
        raise AssertionError(what)
    print(f"  {what}", flush=True)


def until(look, what):
    end = time.monotonic() + DEADLINE_S
    while time.monotonic() < end:
        if (seen := look()) is not None:
            return seen
        time.sleep(0.2)
    raise AssertionError(f"not in {DEADLINE_S} s: {what}")


class Receiver:
    """Sends a second four times a second to a pseudo-terminal that belongs to dialout, as udev leaves a serial port."""
    last = None

    def __init__(self):
        self.ours, self.theirs = pty.openpty()
        tty.setraw(self.theirs)
        os.set_blocking(self.ours, False)
        self.path = os.ttyname(self.theirs)
        os.chown(self.path, 0, DIALOUT)
        os.chmod(self.path, 0o660)
        self.stop = threading.Event()
        Receiver.last = self
        self.sending = threading.Thread(target=self.send, daemon=True)
        self.sending.start()

    def send(self):
        for i in range(100_000):
            with contextlib.suppress(OSError):
                os.write(self.ours, log_of(1, first=i))
            if self.stop.wait(0.25):
                return

    def free(self):
        """A daemon takes its port for itself alone until the last one closes it, which here is this process."""
        fcntl.ioctl(self.theirs, termios.TIOCNXCL)

    def close(self):
        self.stop.set()
        self.sending.join()
        os.close(self.ours)
        os.close(self.theirs)


class Daemon:
    """As the unit starts it: its own user, the group of the ports, the folder for its socket."""
    all = []

    def __init__(self, system):
        system.run("install", "-d", "-o", "stillpoint", "-g", "stillpoint", "-m", "0750", "/run/stillpoint")
        Receiver.last.free()
        began = time.monotonic()
        self.process = subprocess.Popen(system.words("/usr/bin/stillpointd", "--config", CONFIG, user="stillpoint"), env=CLEAN, stdout=subprocess.PIPE,
                                        stderr=open(system.folder / "daemon.log", "a"), text=True)
        Daemon.all.append(self)
        line = self.process.stdout.readline()
        self.start_s = time.monotonic() - began
        if not line.startswith("ready"):
            raise AssertionError(f"not ready: {line}{(system.folder / 'daemon.log').read_text()[-2000:]}")

    def end(self, how=signal.SIGTERM):
        self.process.send_signal(how)
        return self.process.wait(DEADLINE_S)


def sha(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def pack(out, build, tree=ROOT, environment=None, umask=-1):
    subprocess.run([ROOT / "tools/package", "--out", out, "--built", build, "--tree", tree], check=True, stdout=subprocess.DEVNULL, env={**os.environ, **(environment or {})}, umask=umask)
    return sorted(out.glob("*.deb"))


def packed_twice_alike(debs, folder, build):
    """Elsewhere, with other rights, zone and language."""
    (folder / "elsewhere").mkdir()
    again = pack(folder / "again", build, environment={"TMPDIR": str(folder / "elsewhere"), "TZ": "Pacific/Auckland", "LANG": "C"}, umask=0o077)
    wanted([(deb.name, sha(deb)) for deb in debs] == [(deb.name, sha(deb)) for deb in again], "packed again, elsewhere and otherwise, the packages have the same bytes")


def looked_at(debs, suppressed):
    if not shutil.which("lintian"):
        print("  skipped: without lintian nobody looks at the packages")
        return
    done = subprocess.run(["lintian", "--display-info", "--pedantic", "--allow-root", "--fail-on", "error,warning,info,pedantic", *suppressed, *debs], capture_output=True, text=True)
    wanted(done.returncode == 0, f"lintian has nothing to say but what is overridden with a reason {done.stdout}{done.stderr}".rstrip())


def earlier_tree(folder):
    """This tree as 0.1.0."""
    tree = folder / "earlier"
    shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns("build*", ".git", "out", "__pycache__"))
    page = tree / "CMakeLists.txt"
    page.write_text(re.sub(r"(stillpoint VERSION )[\d.]+", r"\g<1>0.1.0", page.read_text()))
    return tree


def set_up(system, receiver):
    """On a pseudo-terminal that is fed; an earlier version's configuration is then given the service's folders by hand."""
    done = system.run("stillpoint", "setup", "--write", CONFIG, "--listen", "2", "--receiver", receiver.path, input="\n".join(ANSWERS) + "\n")
    path = system.file(CONFIG)
    text = path.read_text()
    if "/run/stillpoint/control" not in text:
        text = text.replace('"points.gpkg"', f'"{BOOK}"').replace('"record"', '"/var/lib/stillpoint/record"') + '\n[control]\nsocket = "/run/stillpoint/control"\n'
    # Other tests of this machine listen at the page's usual address.
    path.write_text(text.replace("127.0.0.1:28100", "127.0.0.1:28193"))
    return done


def looks_installed(system):
    for package, programs in PROGRAMS.items():
        for program in programs:
            said = system.run(program, "--version").stdout.split()
            holds = said[0] == program and system.file(f"/usr/share/man/man1/{program}.1.gz").exists() and system.file(f"/usr/share/bash-completion/completions/{program}").exists()
            wanted(holds, f"{package}: {' '.join(said)}, with its manual page and completion")
    wanted(system.file("/usr/share/man/man5/stillpoint.toml.5.gz").exists(), "stillpoint.toml has its page")
    for path, mode in (("/etc/stillpoint", "750 stillpoint stillpoint"), ("/var/lib/stillpoint", "750 stillpoint stillpoint")):
        wanted(system.run("stat", "-c", "%a %U %G", path).stdout.strip() == mode, f"{path} is {mode}")
    enabled = system.file("/etc/systemd/system/multi-user.target.wants/stillpointd.service")
    wanted(os.path.lexists(enabled), "the service is enabled, and asks for a configuration on its page where there is none")


def new_crew(system):
    system.run("useradd", "--create-home", "crew")
    system.run("usermod", "-aG", "stillpoint", "crew")
    system.groups["crew"] = system.run("getent", "group", "stillpoint").stdout.split(":")[2]


def count_of(system):
    """Seconds that the open point has, or None where none is open."""
    stay = system.status()["occupation"]
    return stay and stay["accepted"]


def reaches(system, count):
    return until(lambda: (now := count_of(system)) is not None and now >= count or None, f"{count} seconds of the open point")


def a_day(system, receiver):
    said = set_up(system, receiver).stdout
    wanted("systemctl restart stillpointd" in said, "the set-up on a pseudo-terminal writes the service's configuration and says what is next")
    daemon = Daemon(system)
    wanted(daemon.start_s < 5, f"the daemon is ready after {daemon.start_s:.2f} s")
    other = system.run("stillpoint", "status", user="nobody", check=False)
    wanted(other.returncode != 0, f"who is not in the group gets no further: {other.stderr.strip()}")
    key = system.run("cat", "/run/stillpoint/control.page-key", user="crew").stdout.strip()
    wanted(len(key) >= 16, "a member reads the page's key")
    system.client("begin", "CUL-14", "--code", "CUL-U")
    until(lambda: system.status()["occupation"]["enough"] or None, "enough for a point")
    system.client("keep")
    point = system.points()[0]
    wanted(point["status"] == "accepted", f"a point is kept: {point['status']}, {point['epochs_used']} seconds")
    system.client("begin", "CUL-15")
    reaches(system, 5)
    system.client("keep", check=False)
    wanted([point["status"] for point in system.points()] == ["accepted", "held"], "one that is kept too early is held")
    system.client("resolve", "CUL-15", "--reject", "--reason", "too short")
    wanted(daemon.end() == 0, "the daemon stops cleanly")


def without_points(system):
    system.run("find", "/var/lib/stillpoint", "-mindepth", "1", "-delete")


def removed_and_purged(system, debs):
    before = sha(system.file(BOOK))
    names = [*PROGRAMS, "stillpoint-doc"]
    system.apt("remove", *names)
    wanted(not system.file("/usr/bin/stillpointd").exists() and system.file(CONFIG).exists() and sha(system.file(BOOK)) == before, "removing takes the programs, and leaves points and configuration")
    said, _ = system.apt("purge", *names)
    wanted("are never removed" in said and "/var/lib/stillpoint" in said, "purging says where points and records lie")
    records = list(system.file("/var/lib/stillpoint/record").glob("*.nmea"))
    wanted(sha(system.file(BOOK)) == before and records and system.file(CONFIG).exists(), f"they are there, byte for byte, with {len(records)} files of the record and the configuration")
    system.install(debs)
    daemon = Daemon(system)
    wanted(len(system.points()) >= 1, "installed again, the daemon lists them")
    daemon.end()
    without_points(system)
    said, _ = system.apt("purge", *names)
    gone = [path for path in ("/etc/stillpoint", "/var/lib/stillpoint") if system.file(path).exists()]
    wanted("never removed" not in said and not gone, "without points, purging leaves no folder")


def upgraded_while_open(system, old, new, then):
    """A point open under the old version while the new one is installed; `then` goes on from there."""
    system.install(old)
    without_points(system)
    daemon = Daemon(system)
    system.client("begin", "CUL-20")
    reaches(system, 8)
    since = system.status()["occupation"]["since_utc"]
    _, took_s = system.install(new)
    count = count_of(system)
    same = daemon.process.poll() is None and system.status()["occupation"]["since_utc"] == since
    wanted(same and count >= 8, f"after an upgrade of {took_s:.0f} s the same daemon runs, with the same point open and {count} seconds")
    reaches(system, count + 4)
    then(system, daemon)


def kept_afterwards(system, daemon):
    reaches(system, 32)
    system.client("keep", check=False)
    kept = system.points()[0]
    wanted(kept["status"] in ("accepted", "held") and kept["epochs_used"] >= 32, f"the new client keeps it with the old daemon: {kept['status']}, {kept['epochs_used']} seconds")
    wanted(daemon.end() == 0, "the old daemon stops cleanly")
    again = Daemon(system)
    now = system.points()[0]
    wanted(all(now[key] == kept[key] for key in ("uuid", "status", "epochs_used", "latitude_deg", "longitude_deg")), "the new daemon reads the same point")
    system.client("begin", "CUL-21")
    reaches(system, 5)
    again.end()


def stopped_afterwards(system, daemon):
    daemon.end()
    again = Daemon(system)
    point = system.points()[0]
    wanted(point["status"] == "held" and point["epochs_used"] >= 8, f"stopped while it is open, and the new one started: {point['status']}, {point['epochs_used']} seconds")
    again.end()


def killed_afterwards(system, daemon):
    count = count_of(system)
    daemon.end(signal.SIGKILL)
    again = Daemon(system)
    point = system.points()[0]
    lost = count - point["epochs_used"]
    wanted(point["status"] == "held" and lost <= 4 * 5 + 4, f"killed while it is open, and the new one started: {point['status']}, {point['epochs_used']} of {count} seconds")
    again.end()


def told(debs, system):
    print("package, bytes, installed kB, depends on")
    for deb in debs:
        size, depends = (subprocess.run(["dpkg-deb", "-f", deb, field], check=True, capture_output=True, text=True).stdout.strip() for field in ("Installed-Size", "Depends"))
        print(f"  {deb.name}: {deb.stat().st_size}, {size}, {depends}")


def trial(given, folder):
    new = sorted(given.debs.glob("*.deb")) if given.debs else pack(folder / "new", given.build)
    if not given.before_tree:
        print("without --before-tree the earlier version is this code, called 0.1.0")
    old = pack(folder / "old", given.before_build or given.build, given.before_tree or earlier_tree(folder))
    print(f"from {old[0].name} to {new[0].name}")
    if not given.debs:
        packed_twice_alike(new, folder, given.build)
    # A build for tests is not made with the flags of the packages.
    looked_at(new, [] if given.debs else ["--suppress-tags", "hardening-no-bindnow,hardening-no-fortify-functions"])
    base = given.base or folder / "base.tar"
    if not given.base and not make_base(base):
        return
    receiver = Receiver()
    with contextlib.closing(receiver):
        print("installed in a bare system", flush=True)
        system = System(base, folder / "first")
        system.run("apt-get", "update", "-q")
        _, took_s = system.install(new)
        told(new, system)
        print(f"  with all that they need, installed in {took_s:.0f} s")
        looks_installed(system)
        new_crew(system)
        a_day(system, receiver)
        print("removed and purged", flush=True)
        removed_and_purged(system, new)
        upgrades(base, folder, old, new, receiver)


def upgrades(base, folder, old, new, receiver):
    second = System(base, folder / "second")
    second.run("apt-get", "update", "-q")
    second.install(old)
    new_crew(second)
    set_up(second, receiver)
    for then in (kept_afterwards, stopped_afterwards, killed_afterwards):
        print(f"upgraded with a point open, {then.__name__.replace('_', ' ')}", flush=True)
        upgraded_while_open(second, old, new, then)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name in ("build", "debs", "base", "before-tree", "before-build"):
        parser.add_argument(f"--{name}", type=lambda text: Path(text).resolve())
    given = parser.parse_args()
    if not own_mounts("dh"):
        return 0
    with tempfile.TemporaryDirectory(prefix="packages-") as folder:
        try:
            trial(given, Path(folder))
        except AssertionError as wrong:
            print(f"FAILED: {wrong}")
            return 1
        finally:
            for daemon in Daemon.all:
                if daemon.process.poll() is None:
                    daemon.end(signal.SIGKILL)
            for system in System.all:
                system.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
