"""`brakeward serve` for a test: on a free loopback port, in a folder of its own, stopped by its process id."""

import os
import selectors
import signal
import subprocess
import sys
import tempfile
import time

DEADLINE_S = 60
SOURCE = os.path.normpath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "../../.."))
CLIENTS = os.path.join(SOURCE, "deploy", "clients")
sys.path.insert(0, os.path.join(SOURCE, "tests", "end_to_end"))
import checks
from checks import find_buf, skip  # noqa: F401


class Serving:
    """The service with both demo libraries, ready. `address`: host:port. `stop()` gives its exit code."""

    def __init__(self, program):
        self.program = program

    def __enter__(self):
        self._home = tempfile.TemporaryDirectory(prefix="brakeward_")
        self.folder = self._home.name
        config = self.file("service.textproto")
        with open(config, "w", encoding="utf-8") as file:
            for car in ("sorrel", "bracken"):
                file.write(f'library_folders: "{SOURCE}/scenarios/{car}"\n')
            file.write('address: "127.0.0.1:0"\nmetrics_address: "off"\n')
        with open(self.file("log"), "w", encoding="utf-8") as log:
            self._process = subprocess.Popen(
                [self.program, "serve", "--config", config], stdout=subprocess.PIPE, stderr=log
            )
        try:
            line = self._first_line()
            if not line.startswith("ready: rpc "):
                raise RuntimeError(f"the service did not become ready; it said:\n{line}{self.log()}")
            self.address = line.removeprefix("ready: rpc ").split(",")[0].strip()
        except BaseException:
            self.__exit__(None, None, None)
            raise
        return self

    def _first_line(self):
        text, end, output = b"", time.monotonic() + DEADLINE_S, self._process.stdout
        with selectors.DefaultSelector() as selector:
            selector.register(output, selectors.EVENT_READ)
            while not text.endswith(b"\n") and time.monotonic() < end:
                if selector.select(end - time.monotonic()):
                    piece = os.read(output.fileno(), 1)
                    if not piece:
                        break
                    text += piece
        return text.decode("utf-8", "replace")

    def file(self, name):
        return os.path.join(self.folder, name)

    def log(self):
        with open(self.file("log"), encoding="utf-8", errors="replace") as log:
            return log.read()

    def stop(self):
        if self._process.poll() is None:
            self._process.send_signal(signal.SIGTERM)
            try:
                self._process.wait(DEADLINE_S)
            except subprocess.TimeoutExpired:
                self._process.kill()
        return self._process.wait()

    def __exit__(self, *_):
        self.stop()
        self._process.stdout.close()
        self._home.cleanup()


class Checks(checks.Checks):
    def __init__(self):
        super().__init__(DEADLINE_S)
