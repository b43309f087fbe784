#!/usr/bin/env python3
"""What the package allows, and nothing beyond it.

    rights_test.py REPOSITORY     exit 1 on a fault; 77 where neither systemd-analyze nor node is there

systemd's own score of the units, and the answers of the polkit rule, which runs in node as it does in polkit: an ECMAScript
function that is given the action and who asks.
"""
import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

# Unit, drop-in, and the most that systemd-analyze security may say, in tenths.
MOST = (("stillpointd.service", None, 17), ("stillpointd.service", "internet.conf", 20), ("stillpoint-bluetooth@.service", None, 20))
MANAGE = "org.freedesktop.systemd1.manage-units"
RECEIVER = "stillpoint-bluetooth@00:11:22:aA:bB:cC.service"
ASKED = (  # what, action, unit, verb, groups, allowed
    ("a member starts the daemon", MANAGE, "stillpointd.service", "start", ["stillpoint"], True),
    ("a member restarts it", MANAGE, "stillpointd.service", "restart", ["stillpoint"], True),
    ("a member binds a receiver", MANAGE, RECEIVER, "start", ["stillpoint"], True),
    ("a member releases it", MANAGE, RECEIVER, "stop", ["stillpoint"], True),
    ("somebody else", MANAGE, "stillpointd.service", "start", ["dialout", "users"], False),
    ("another unit", MANAGE, "ssh.service", "restart", ["stillpoint"], False),
    ("a unit that ends like ours", MANAGE, "not-stillpointd.service", "start", ["stillpoint"], False),
    ("an address that is none", MANAGE, "stillpoint-bluetooth@x;y.service", "start", ["stillpoint"], False),
    ("a longer address", MANAGE, "stillpoint-bluetooth@00:11:22:33:44:55:66.service", "start", ["stillpoint"], False),
    ("another verb", MANAGE, "stillpointd.service", "set-property", ["stillpoint"], False),
    ("another action", "org.freedesktop.systemd1.manage-unit-files", "stillpointd.service", "start", ["stillpoint"], False),
    ("no unit is named", MANAGE, None, "start", ["stillpoint"], False),
)
POLKIT = """
const asked = JSON.parse(process.argv[1]);
let rule;
const polkit = {Result: {YES: "yes"}, addRule: (given) => { rule = given; }};
new Function("polkit", process.argv[2])(polkit);
console.log(JSON.stringify(asked.map(([, id, unit, verb, groups]) =>
  rule({id, lookup: (key) => ({unit, verb})[key] ?? undefined}, {isInGroup: (group) => groups.includes(group)}) ?? "no")));
"""


def faults_of_units(service):
    if not shutil.which("systemd-analyze"):
        print("skipped: without systemd-analyze the units have no score")
        return []
    found = []
    for unit, drop_in, most in MOST:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / unit.replace("@", "@00-11")
            # The programs need not be installed for this.
            text = (service / unit).read_text().replace("@STILLPOINT_BIN@/stillpointd", "/bin/true").replace("/usr/bin/rfcomm", "/bin/true")
            # Joined by hand, since the score of a file leaves its drop-ins out.
            path.write_text(text + ("\n" + (service / drop_in).read_text() if drop_in else ""))
            done = subprocess.run(["systemd-analyze", "security", "--offline=yes", f"--threshold={most}", "--no-pager", str(path)], capture_output=True, text=True)
        said = next((line for line in done.stdout.splitlines() if "exposure level" in line), done.stderr.strip())
        print(f"{unit}{' with ' + drop_in if drop_in else ''}: {said}")
        if done.returncode != 0 or "exposure level" not in said:
            found.append(f"{unit}: more than {most / 10}")
    return found


def faults_of_rule(service):
    if not shutil.which("node"):
        print("skipped: without node the polkit rule is not asked")
        return []
    rule = (service / "60-stillpoint.polkit").read_text()
    answers = json.loads(subprocess.run(["node", "-e", POLKIT, json.dumps(ASKED), rule], check=True, capture_output=True, text=True).stdout)
    return [f"{name}: the rule answers {answer}" for (name, *_, allowed), answer in zip(ASKED, answers, strict=True) if (answer == "yes") != allowed]


def main():
    service = Path(sys.argv[1]) / "daemon/service"
    found = faults_of_units(service) + faults_of_rule(service)
    print("\n".join(found) or "nothing beyond what is meant is allowed")
    neither = not shutil.which("systemd-analyze") and not shutil.which("node")
    return 1 if found else 77 if neither else 0


if __name__ == "__main__":
    sys.exit(main())
