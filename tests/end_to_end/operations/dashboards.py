"""The dashboards as documents, and their queries as a reader of them would send them."""

import json
import re
from pathlib import Path

from operations import SOURCE

FOLDER = SOURCE / "deploy/grafana/dashboards"
SCHEMA = Path(__file__).with_name("dashboard.schema.json")


def load():
    """{file name: dashboard}"""
    return {file.name: json.loads(file.read_text(encoding="utf-8")) for file in sorted(FOLDER.glob("*.json"))}


def targets(dashboard):
    """(panel, target) of every query."""
    return [(panel, target) for panel in dashboard["panels"] for target in panel["targets"]]


def variables(dashboard):
    """{name: variable} of those that a query fills."""
    return {v["name"]: v for v in dashboard["templating"]["list"] if v["type"] == "query"}


def filled(expression, values, interval="30s", span="1h"):
    """A query with its variables replaced; what is left with a `$` was not known."""
    known = {"__rate_interval": interval, "__range": span, **values}
    return re.sub(r"\$(\w+)", lambda found: known.get(found.group(1), found.group(0)), expression)


def overlaps(a, b):
    a, b = a["gridPos"], b["gridPos"]
    return (
        a["x"] < b["x"] + b["w"] and b["x"] < a["x"] + a["w"] and a["y"] < b["y"] + b["h"] and b["y"] < a["y"] + a["h"]
    )
