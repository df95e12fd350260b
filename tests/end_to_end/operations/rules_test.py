"""The rules are sound, and each alert fires and is silent when it should.

    rules_test.py

promtool checks rules and scrape configuration and runs alerts_test.yml; this looks that no alert is left out there and
that each has what a reader of it needs.
"""

import re
import subprocess
import sys
from pathlib import Path

import yaml

from operations import SOURCE, Checks, need

RULES = sorted((SOURCE / "deploy/prometheus/rules").glob("*.yml"))
TESTS = Path(__file__).with_name("alerts_test.yml")


def rules():
    return [rule for file in RULES for group in yaml.safe_load(file.read_text())["groups"] for rule in group["rules"]]


def alert_tests():
    return [alert for test in yaml.safe_load(TESTS.read_text())["tests"] for alert in test["alert_rule_test"]]


def declared_metrics():
    text = (SOURCE / "service/metrics/declarations.cc").read_text()
    return set(re.findall(r'"(brakeward_\w+)"', text))


def metrics_in(expression):
    """Names of metrics of the service, a histogram's series counted to it."""
    return {re.sub(r"_(bucket|sum|count)$", "", name) for name in re.findall(r"\bbrakeward_\w+", expression)}


def main():
    need("promtool")
    checks = Checks()
    checks.expect_run("the rules are sound", ["promtool", "check", "rules", "--lint=all", "--lint-fatal", *RULES])
    checks.expect_run(
        "the scrape configuration is sound",
        ["promtool", "check", "config", SOURCE / "deploy/prometheus/prometheus.yml"],
    )
    checks.expect_run("the alerts do as their tests say", ["promtool", "test", "rules", TESTS])
    for rule in rules():
        name = rule.get("alert") or rule["record"]
        unknown = metrics_in(rule["expr"]) - declared_metrics()
        checks.expect(f"{name}: asks for metrics that are declared", not unknown, unknown)
        if "alert" not in rule:
            continue
        tested = [test.get("exp_alerts") or [] for test in alert_tests() if test["alertname"] == name]
        checks.expect(f"{name}: a test shows it firing", any(tested), tested)
        checks.expect(f"{name}: a test shows it silent", [] in tested, tested)
        checks.expect(f"{name}: severity", rule["labels"]["severity"] in ("stop", "look"), rule["labels"])
        checks.expect(f"{name}: summary and description", {"summary", "description"} <= set(rule["annotations"]))
    # The net must catch fish.
    broken = subprocess.run(
        ["promtool", "test", "rules", "/dev/stdin"],
        input=TESTS.read_text().replace("../../../", f"{SOURCE}/").replace("1.26x5", "0.9x5"),
        capture_output=True,
        text=True,
        check=False,
    )
    checks.expect(
        "a drift within its tolerance fails the test",
        broken.returncode != 0 and "FAILED" in broken.stdout + broken.stderr,
        broken,
    )
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
