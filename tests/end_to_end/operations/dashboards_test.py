"""The dashboards are sound documents: their schema, names that are unique, panels that do not overlap, queries that ask
for metrics there are, variables that are defined.

    dashboards_test.py
"""

import itertools
import json
import re
import sys

import dashboards
from operations import SOURCE, Checks, skip
from rules_test import declared_metrics, metrics_in, rules

try:
    import jsonschema
except ImportError:
    skip("python3-jsonschema not found; deploy/packages.txt names the packages")


def recorded():
    return {rule["record"] for rule in rules() if "record" in rule}


def look_at(checks, name, board):
    schema = json.loads(dashboards.SCHEMA.read_text(encoding="utf-8"))
    for fault in jsonschema.Draft202012Validator(schema).iter_errors(board):
        checks.expect(f"{name}: {fault.json_path}", False, fault.message)
    for key in ("id", "title"):
        values = [panel[key] for panel in board["panels"]]
        checks.expect(f"{name}: {key} of the panels is unique", len(set(values)) == len(values), values)
    for a, b in itertools.combinations(board["panels"], 2):
        checks.expect(f"{name}: {a['title']} and {b['title']} do not overlap", not dashboards.overlaps(a, b))
    defined = {v["name"] for v in board["templating"]["list"]} | {"__rate_interval", "__range"}
    for panel, target in dashboards.targets(board):
        at = f"{name}: {panel['title']}"
        grid = panel["gridPos"]
        checks.expect(f"{at}: stays within the 24 columns", grid["x"] + grid["w"] <= 24, grid)
        unknown = set(re.findall(r"\$(\w+)", target["expr"])) - defined
        checks.expect(f"{at}: variables are defined", not unknown, unknown)
        plain = re.sub(r"brakeward:\w+(:\w+)*", "", target["expr"])
        checks.expect(f"{at}: metrics are declared", metrics_in(plain) <= declared_metrics(), target["expr"])
        series = set(re.findall(r"brakeward:[\w:]+", target["expr"]))
        checks.expect(f"{at}: recording rules exist", series <= recorded(), series)
        levels = [step["value"] for step in panel["fieldConfig"]["defaults"]["thresholds"]["steps"]]
        checks.expect(
            f"{at}: thresholds rise from none", levels[0] is None and levels[1:] == sorted(levels[1:]), levels
        )


def main():
    checks = Checks()
    boards = dashboards.load()
    checks.expect("there are three dashboards", len(boards) == 3, list(boards))
    for key in ("uid", "title"):
        values = [board[key] for board in boards.values()]
        checks.expect(f"{key} is unique", len(set(values)) == len(values), values)
    for name, board in boards.items():
        look_at(checks, name, board)
    # The net must catch fish.
    for what, spoil in {
        "a panel without a unit": lambda b: b["panels"][0]["fieldConfig"]["defaults"].pop("unit"),
        "an unknown key": lambda b: b["panels"][0].update(descripton="x"),
        "two panels with one id": lambda b: b["panels"][0].update(id=b["panels"][1]["id"]),
        "a metric that is not declared": lambda b: b["panels"][0]["targets"][0].update(expr="brakeward_drift"),
        "a variable that is not defined": lambda b: b["panels"][0]["targets"][0].update(expr='up{job="$car"}'),
        "panels one over the other": lambda b: b["panels"][1].update(gridPos=b["panels"][0]["gridPos"]),
    }.items():
        spoiled, net = json.loads(json.dumps(boards["drift.json"])), Checks()
        spoil(spoiled)
        look_at(net, "spoiled", spoiled)
        checks.expect(f"{what} is found", net.wrong)
    checks.expect(
        "provisioning finds the folder",
        "/var/lib/grafana/dashboards" in (SOURCE / "deploy/grafana/provisioning/dashboards/brakeward.yml").read_text(),
    )
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
