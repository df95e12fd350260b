"""The unit's restrictions against what the program does: serving, checking and stopping under strace, it makes no call
that the unit's filter refuses, maps no memory writable and executable, and opens no kind of socket that is not granted.

    system_calls_test.py BRAKEWARD
"""

import os
import re
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

from operations import DEADLINE_S, SOURCE, Checks, free_ports, need, poll, run, skip
from systemd_test import setting


def allowed_calls(checks):
    """System calls that the unit's filter lets through."""
    allowed = set()
    for line in setting("SystemCallFilter"):
        take = not line.startswith("~")
        for word in line.lstrip("~").split():
            found = calls_of(checks, word) if word.startswith("@") else {word}
            allowed = allowed | found if take else allowed - found
    return allowed


def calls_of(checks, group):
    listed = checks.expect_run(f"systemd lists {group}", ["systemd-analyze", "syscall-filter", "--no-pager", group])
    calls = set()
    for word in (line.strip() for line in listed.splitlines() if line.startswith("    ")):
        if word.startswith("@"):
            calls |= calls_of(checks, word)
        elif not word.startswith("#"):
            calls.add(word)
    return calls


def traced(folder, program):
    """The lines of strace over serving, one check and a clean stop."""
    rpc, metrics = free_ports(2)
    config = folder / "service.textproto"
    example = (SOURCE / "deploy/systemd/service.textproto").read_text(encoding="utf-8")
    for old, new in [
        ("127.0.0.1:8640", f"127.0.0.1:{rpc}"),
        ("127.0.0.1:8641", f"127.0.0.1:{metrics}"),
        ("/usr/share/brakeward", str(SOURCE)),
        ("/var/lib/brakeward", str(folder)),
    ]:
        example = example.replace(old, new)
    config.write_text(example, encoding="utf-8")
    out, trace = folder / "out", folder / "trace"
    with open(out, "w", encoding="utf-8") as file:
        service = subprocess.Popen(
            ["strace", "-f", "-qq", "-e", "signal=none", "-o", trace, program, "serve", "--config", config],
            stdin=subprocess.DEVNULL,
            stdout=file,
            stderr=file,
        )
    try:
        poll("ready service", lambda: service.poll() is not None or "ready: " in out.read_text(), DEADLINE_S)
        candidate = SOURCE / "scenarios/sorrel/calibrations/candidate_better.textproto"
        check = [program, "check", "--brief", "--server", f"127.0.0.1:{rpc}", "--library", "sorrel"]
        checked = run([*check, "--event-build", "t", "--calibration", candidate], DEADLINE_S)
        # strace hands the signal to nobody; the program is its child.
        children = Path(f"/proc/{service.pid}/task/{service.pid}/children").read_text().split()
        for child in children:
            os.kill(int(child), signal.SIGTERM)
        status = service.wait(60)
    finally:
        if service.poll() is None:
            service.kill()
            service.wait()
    return checked, status, trace.read_text(encoding="utf-8", errors="replace").splitlines(), out.read_text()


def check_filter(checks, folder, program):
    checked, status, lines, said = traced(folder, program)
    if any("PTRACE" in line for line in said.splitlines()):
        skip("strace may not trace here")
    checks.expect("the traced service checks a candidate", checked[0] == 0, checked[1] + said)
    checks.expect("and stops cleanly", status == 0, said)
    used = set(re.findall(r"^\d+ +(?:<\.\.\. )?(\w+)[( ]", "\n".join(lines), re.MULTILINE))
    # strace starts the program itself; SQLite gives its files the owner of the database only when it runs as root.
    refused = used - allowed_calls(checks) - {"execve"} - ({"fchown"} if os.geteuid() == 0 else set())
    checks.expect("every call it makes is let through", len(used) > 30 and not refused, refused or used)
    both = [line for line in lines if re.search(r"(mmap|mprotect)\(.*PROT_WRITE\|PROT_EXEC", line)]
    checks.expect("no memory is writable and executable", not both, both[:3])
    families = set(re.findall(r"socket\((AF_\w+)", "\n".join(lines)))
    granted = set(" ".join(setting("RestrictAddressFamilies")).split())
    checks.expect("every kind of socket is granted", families <= granted | {"AF_NETLINK"} and families, families)
    print(f"{len(used)} kinds of calls, sockets {sorted(families)}")


def main():
    program = os.path.abspath(sys.argv[1])
    need("systemd-analyze", "strace")
    checks = Checks()
    with tempfile.TemporaryDirectory(prefix="brakeward_") as folder:
        check_filter(checks, Path(folder), program)
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
