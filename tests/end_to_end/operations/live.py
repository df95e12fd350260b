"""The demo as a reader sets it up, on free ports: the service, a Prometheus with the rules and the page that scrapes
it, the six event builds fed by the script."""

import json
import os
import re
import shutil
import signal
import subprocess
import tempfile
import time
import urllib.parse
from pathlib import Path

from operations import DEADLINE_S, SOURCE, free_ports, get, poll, run


class Demo:
    """`address` takes calls, `metrics` and `prometheus` are http://host:port. All ends with the context."""

    def __init__(self, program):
        self.program = os.path.abspath(program)
        self.processes = []

    def __enter__(self):
        self.folder = Path(tempfile.mkdtemp(prefix="brakeward_"))
        try:
            self._start()
        except BaseException:
            self.__exit__()
            raise
        return self

    def _start(self):
        rpc, metrics, web = free_ports(3)
        self.address, self.metrics, self.prometheus = (
            f"127.0.0.1:{rpc}",
            f"http://127.0.0.1:{metrics}",
            f"http://127.0.0.1:{web}",
        )
        shutil.copytree(SOURCE / "deploy/prometheus", self.folder / "deploy/prometheus")
        (self.folder / "scenarios").symlink_to(SOURCE / "scenarios")
        (self.folder / "out").mkdir()
        for name, old, new in [
            ("demo_service.textproto", "127.0.0.1:8640", self.address),
            ("demo_service.textproto", "127.0.0.1:8641", f"127.0.0.1:{metrics}"),
            ("prometheus.yml", "127.0.0.1:8641", f"127.0.0.1:{metrics}"),
            ("prometheus.yml", "_interval: 5s", "_interval: 1s"),
        ]:
            file = self.folder / "deploy/prometheus" / name
            text = file.read_text(encoding="utf-8")
            if old not in text:
                raise RuntimeError(f"{old} is not in {name}")
            file.write_text(text.replace(old, new), encoding="utf-8")
        self._run("service", self.program, "serve", "--config", "deploy/prometheus/demo_service.textproto")
        poll("ready service", lambda: self._alive() and "ready: " in self.log("service"), DEADLINE_S)
        self._run(
            "prometheus",
            "prometheus",
            "--config.file=deploy/prometheus/prometheus.yml",
            "--web.console.templates=deploy/prometheus/consoles",
            "--storage.tsdb.path=out/prometheus",
            f"--web.listen-address=127.0.0.1:{web}",
        )
        poll("first scrape", lambda: self._alive() and self.query('up{job="brakeward"} == 1'), DEADLINE_S)

    def _run(self, name, *command):
        with open(self.folder / f"{name}.log", "w", encoding="utf-8") as log:
            self.processes.append(
                subprocess.Popen(command, cwd=self.folder, stdout=log, stderr=log, stdin=subprocess.DEVNULL)
            )

    def _alive(self):
        for process in self.processes:
            if process.poll() is not None:
                raise RuntimeError(
                    f"{process.args} ended with {process.returncode}:\n" + self.log("service") + self.log("prometheus")
                )
        return True

    def log(self, name):
        file = self.folder / f"{name}.log"
        return file.read_text(encoding="utf-8", errors="replace") if file.exists() else ""

    def feed(self):
        """Runs the script; its exit code and what it said."""
        script = ["bash", "deploy/prometheus/demo_history.sh", self.address]
        return run(script, DEADLINE_S, {"BRAKEWARD": self.program}, cwd=self.folder)

    def query(self, expression):
        """[(labels, value)] of an instant query."""
        return [(r["metric"], float(r["value"][1])) for r in self._ask("query", query=expression)]

    def query_range(self, expression, seconds=60, step=1):
        """[(labels, values)] over the last seconds."""
        now = time.time()
        answer = self._ask("query_range", query=expression, start=now - seconds, end=now, step=step)
        return [(r["metric"], [float(v) for _, v in r["values"]]) for r in answer]

    def _ask(self, kind, **parameters):
        return json.loads(get(f"{self.prometheus}/api/v1/{kind}?" + urllib.parse.urlencode(parameters)))["data"]["result"]

    def label_values(self, variable_query, values):
        """What a reader of the dashboards offers for a variable of the form label_values(series, label)."""
        text = re.sub(r"\$(\w+)", lambda found: values[found.group(1)], variable_query)
        series, label = re.fullmatch(r"label_values\((.*), (\w+)\)", text).groups()
        return sorted({labels[label] for labels, _ in self.query(series) if label in labels})

    def __exit__(self, *_):
        for process in reversed(self.processes):
            process.send_signal(signal.SIGTERM)
            try:
                process.wait(DEADLINE_S)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
        shutil.rmtree(self.folder, ignore_errors=True)
