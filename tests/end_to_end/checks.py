"""What the end-to-end tests in Python share."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request

SKIPPED = 77
BUF_PACKAGE = "@bufbuild/buf@1.75.0"  # the version .ci/static.sh takes
# Loopback only: no proxy of the environment may come between.
_OPENER = urllib.request.build_opener(urllib.request.ProxyHandler({}))


def skip(why):
    """Ends the test as skipped, in plain sight."""
    print(f"skipped: {why}")
    sys.exit(SKIPPED)


def need(*programs):
    """Ends the test as skipped when a program is missing."""
    missing = [program for program in programs if shutil.which(program) is None]
    if missing:
        skip(f"{', '.join(missing)} not found; install the packages under [test] in deploy/packages.txt")


def free_ports(count):
    listeners = [socket.create_server(("127.0.0.1", 0)) for _ in range(count)]
    ports = [listener.getsockname()[1] for listener in listeners]
    for listener in listeners:
        listener.close()
    return ports


def poll(what, attempt, deadline_s):
    """The first answer of attempt() that is true, where an OSError is none yet; after the deadline an error that names
    what was waited for."""
    end = time.monotonic() + deadline_s
    while True:
        try:
            answer = attempt()
        except OSError:
            answer = None
        if answer:
            return answer
        if time.monotonic() > end:
            raise TimeoutError(f"no {what} within {deadline_s} s")
        time.sleep(0.05)


def get(url):
    """Text of a page. An OSError while nothing answers or the answer is that it is not ready yet."""
    try:
        with _OPENER.open(url, timeout=30) as answer:
            return answer.read().decode("utf-8")
    except urllib.error.HTTPError as error:
        if error.code == 503:
            raise
        raise RuntimeError(f"{url}: {error.code}: {error.read().decode('utf-8', 'replace')}") from error


def run(command, deadline_s, environment=None, **more):
    """Runs a command that reads nothing. Its exit code and what it said, both streams joined."""
    outcome = subprocess.run(
        [str(word) for word in command],
        env={**os.environ, **(environment or {})},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=deadline_s,
        check=False,
        **more,
    )
    return outcome.returncode, outcome.stdout


def find_buf(folder):
    """The program buf: from BUF or the PATH, else by npm into the folder; None where it cannot be had."""
    found = shutil.which(os.environ.get("BUF", "buf"))
    if found or not shutil.which("npm"):
        return found
    install = ["npm", "install", "--prefix", str(folder), "--no-audit", "--no-fund", "--silent", BUF_PACKAGE]
    status, _ = run(install, 300)
    return os.path.join(folder, "node_modules", ".bin", "buf") if status == 0 else None


class Checks:
    """Collects what is wrong, so that one run of a test tells everything."""

    def __init__(self, deadline_s):
        self.deadline_s = deadline_s  # of one command
        self.count = 0
        self.wrong = []

    def expect(self, what, holds, seen=""):
        self.count += 1
        if not holds:
            self.wrong.append(f"{what}; seen: {seen}")

    def expect_run(self, what, command, exit_code=0, *wanted, environment=None, cwd=None):
        """Runs a command; its exit code, and texts that it must say. Gives what it said."""
        status, said = run(command, self.deadline_s, environment, cwd=cwd)
        self.expect(f"{what}: exit code {exit_code}", status == exit_code, f"{status}\n{said}")
        for text in wanted:
            self.expect(f"{what}: says {text!r}", text in said, said)
        return said

    def end(self):
        print("\n".join(self.wrong) or f"{self.count} checks hold")
        sys.exit(1 if self.wrong else 0)
