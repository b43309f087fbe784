"""A bare Debian 12 in a folder, for what must work where nothing of ours is. Needs root, mmdebstrap and a mirror.

Everything happens in a mount namespace of its own: what is mounted there ends with the process.
"""
import json
import os
import shutil
import subprocess
import sys
import time

DIALOUT = 20  # in every Debian
CLEAN = {"PATH": "/usr/sbin:/usr/bin:/sbin:/bin", "LC_ALL": "C.UTF-8", "DEBIAN_FRONTEND": "noninteractive", "HOME": "/root"}


def own_mounts(*tools):
    """Goes on in a mount namespace of its own; False, with a word, where that or one of the tools is not to be had."""
    missing = [name for name in ("mmdebstrap", "unshare", *tools) if not shutil.which(name)]
    if os.geteuid() != 0 or missing:
        print(f"skipped: {'there is no ' + ', '.join(missing) if missing else 'this needs root'}")
        return False
    if "STILLPOINT_OWN_MOUNTS" not in os.environ:
        sys.stdout.flush()
        os.execvpe("unshare", ["unshare", "--mount", "--propagation", "private", sys.executable, *sys.argv], {**os.environ, "STILLPOINT_OWN_MOUNTS": "1"})
    return True


def make_base(path):
    """The bare system as one file; False, with a word, where there is no mirror."""
    made = subprocess.run(["mmdebstrap", "--quiet", "--variant=minbase", "--mode=root", "bookworm", path], capture_output=True, text=True)
    if made.returncode != 0:
        print(f"skipped: no bare system can be made here: {(made.stderr.strip().splitlines() or [''])[-1]}")
    return made.returncode == 0


class System:
    all = []

    def __init__(self, base, folder):
        self.folder, self.groups = folder, {"nobody": "", "stillpoint": DIALOUT}
        folder.mkdir()
        System.all.append(self)
        subprocess.run(["tar", "-x", "-C", folder, "-f", base], check=True)
        shutil.copy("/etc/resolv.conf", folder / "etc/resolv.conf")
        subprocess.run(["mount", "-t", "proc", "proc", folder / "proc"], check=True)
        (folder / "dev/pts").mkdir(exist_ok=True)
        subprocess.run(["mount", "--bind", "/dev/pts", folder / "dev/pts"], check=True)

    def close(self):
        """So that the folder can be deleted."""
        for point in ("dev/pts", "proc"):
            subprocess.run(["umount", "--lazy", self.folder / point], stderr=subprocess.DEVNULL)

    def words(self, *words, user=None):
        """chroot gives a user the groups that it is told, not those of the file."""
        who = [f"--userspec={user}:{'nogroup' if user == 'nobody' else user}", f"--groups={self.groups[user]}"] if user else []
        return ["chroot", *who, str(self.folder), *map(str, words)]

    def run(self, *words, user=None, check=True, **options):
        done = subprocess.run(self.words(*words, user=user), capture_output=True, text=True, env=CLEAN, **options)
        if check and done.returncode != 0:
            raise AssertionError(f"{' '.join(map(str, words))}: exit status {done.returncode}\n{done.stdout[-2000:]}{done.stderr[-2000:]}")
        return done

    def file(self, path):
        return self.folder / path.removeprefix("/")

    def apt(self, verb, *names):
        began = time.monotonic()
        done = self.run("apt-get", verb, "-y", "-q", "--no-install-recommends", "-o", "Dpkg::Use-Pty=0", *names)
        return done.stdout + done.stderr, time.monotonic() - began

    def install(self, debs):
        (self.folder / "debs").mkdir(exist_ok=True)
        for deb in debs:
            shutil.copy(deb, self.folder / "debs")
        return self.apt("install", "--allow-downgrades", *[f"/debs/{deb.name}" for deb in debs])

    def client(self, *words, check=True):
        return self.run("stillpoint", *words, user="crew", check=check)

    def status(self):
        return json.loads(self.client("status", "--json").stdout)

    def points(self):
        return json.loads(self.client("points", "--json").stdout)["points"]
