"""What the tests of the operation share."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

SOURCE = Path(__file__).resolve().parents[3]
SKIPPED = 77
DEADLINE_S = 120


def skip(why):
    """Ends the test as skipped, in plain sight."""
    print(f"skipped: {why}")
    sys.exit(SKIPPED)


def need(*programs):
    missing = [program for program in programs if shutil.which(program) is None]
    if missing:
        skip(f"{', '.join(missing)} not found; deploy/packages.txt names the packages")


class Checks:
    """Collects what is wrong, so that one run of a test tells everything."""

    def __init__(self):
        self.count = 0
        self.wrong = []

    def expect(self, what, holds, seen=""):
        self.count += 1
        if not holds:
            self.wrong.append(f"{what}; seen: {seen}")

    def run(self, what, command, environment=None, deadline_s=DEADLINE_S, cwd=None):
        """Runs a command that must end with exit code 0. What it said, both streams joined."""
        outcome = subprocess.run(
            [str(word) for word in command],
            env={**os.environ, **(environment or {})},
            cwd=cwd,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            timeout=deadline_s,
            check=False,
        )
        self.expect(what, outcome.returncode == 0, f"exit code {outcome.returncode}\n{outcome.stdout}")
        return outcome.stdout

    def end(self):
        print("\n".join(self.wrong) or f"{self.count} checks hold")
        sys.exit(1 if self.wrong else 0)
