"""The unit and its companions before systemd's own tools. No system manager is needed, so the unit is not started.

    systemd_test.py BRAKEWARD
"""

import os
import re
import sys
import tempfile
from pathlib import Path

from operations import SOURCE, Checks, need

UNIT = SOURCE / "deploy/systemd/brakeward.service"
# systemd's scale: 0 is locked in, 10 is open; it calls up to 2 "OK".
MOST_EXPOSED = 0.9


def setting(key):
    """Every value of a key of the unit, in order."""
    return re.findall(rf"^{key}=(.*)$", UNIT.read_text(encoding="utf-8"), re.MULTILINE)


def as_unit(folder, program, extra=""):
    """The unit with a program that is there, since the tools look for it."""
    file = folder / "brakeward.service"
    file.write_text(UNIT.read_text(encoding="utf-8").replace("/usr/bin/brakeward", program) + extra, encoding="utf-8")
    return file


def check_unit(checks, folder, program):
    # systemd-analyze ends with 0 on unknown keys and bad values; it says so all the same.
    said = checks.expect_run("systemd-analyze knows the unit", ["systemd-analyze", "verify", as_unit(folder, program)])
    checks.expect("and has nothing to say about it", said == "", said)
    spoiled = checks.expect_run(
        "with a misspelt key", ["systemd-analyze", "verify", as_unit(folder, program, "[Service]\nProtectSystm=1\n")]
    )
    checks.expect("it has", "ProtectSystm" in spoiled, spoiled)
    rated = checks.expect_run(
        "systemd-analyze rates the unit",
        ["systemd-analyze", "security", "--offline=true", "--no-pager", as_unit(folder, program)],
    )
    found = re.search(r"Overall exposure level for brakeward.service: ([0-9.]+)", rated)
    checks.expect(f"an exposure of {MOST_EXPOSED} at most", found and float(found.group(1)) <= MOST_EXPOSED, rated)
    print(f"exposure {found.group(1) if found else 'unknown'}")


def check_companions(checks, folder):
    root = folder / "root"
    (root / "etc").mkdir(parents=True)
    checks.expect_run(
        "the user can be made", ["systemd-sysusers", f"--root={root}", SOURCE / "deploy/systemd/brakeward.sysusers"]
    )
    user = (root / "etc/passwd").read_text().strip().split(":")
    checks.expect(
        "it is the unit's, and may not log in", [user[0]] == setting("User") and user[6] == "/usr/sbin/nologin", user
    )
    checks.expect_run(
        "the folder can be made",
        ["systemd-tmpfiles", f"--root={root}", "--create", SOURCE / "deploy/systemd/brakeward.tmpfiles"],
    )
    state = root / "var/lib/brakeward"
    checks.expect("it is closed to others", state.is_dir() and oct(state.stat().st_mode)[-4:] == "0750", state)
    if os.geteuid() == 0:
        checks.expect("it belongs to the user", state.stat().st_uid == int(user[2]), state.stat())


def main():
    program = os.path.abspath(sys.argv[1])
    need("systemd-analyze", "systemd-sysusers", "systemd-tmpfiles")
    checks = Checks()
    with tempfile.TemporaryDirectory(prefix="brakeward_") as scratch:
        folder = Path(scratch)
        check_unit(checks, folder, program)
        check_companions(checks, folder)
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
