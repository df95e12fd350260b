"""Programs started for a test: on a free loopback port, with a folder of their own, stopped by their process id."""

import os
import re
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from checks import get, need, poll  # noqa: F401

DEADLINE_S = 60


class Started:
    """A program that logs 'Listening on' with its address, started in a temporary folder.

    `arguments` may hold {folder}. `address` is host:port. Leaving the context stops the program and removes the folder.
    """

    def __init__(self, program, arguments, files=None):
        self.program = program
        self.arguments = arguments
        self.files = files or {}

    def __enter__(self):
        self.folder = tempfile.mkdtemp(prefix="brakeward_")
        for name, text in self.files.items():
            with open(os.path.join(self.folder, name), "w", encoding="utf-8") as file:
                file.write(text)
        self.log = os.path.join(self.folder, "log")
        command = [self.program] + [a.format(folder=self.folder) for a in self.arguments]
        with open(self.log, "w", encoding="utf-8") as log:
            self.process = subprocess.Popen(command, stdout=log, stderr=log, cwd=self.folder)
        try:
            self.address = poll(f"address of {self.program}", self._address, DEADLINE_S)
        except BaseException:
            self.__exit__(None, None, None)
            raise
        return self

    def _address(self):
        text = self.log_text()
        if self.process.poll() is not None:
            raise RuntimeError(f"{self.program} ended at once:\n{text}")
        found = re.search(r'"Listening on" address=(127\.0\.0\.1:\d+)', text)
        return found.group(1) if found else None

    def log_text(self):
        with open(self.log, encoding="utf-8", errors="replace") as log:
            return log.read()

    def __exit__(self, *_):
        self.process.terminate()
        try:
            self.process.wait(DEADLINE_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        shutil.rmtree(self.folder, ignore_errors=True)
