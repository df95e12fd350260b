"""A real Prometheus scrapes a page with two event builds and answers for both.

    prometheus_test.py METRICS_PEER
"""

import subprocess
import sys

from prometheus import Prometheus
from started import get, need

DISTANCE = 'brakeward_distance_meters{library="juniper",scenario="dry_stop_120",measure="stopping_distance"}'

# (query, value): the builds of the peer, b2 half a metre longer than b1.
EXPECTED = [
    (DISTANCE.replace("{", '{build="b1",'), 61.5),
    (DISTANCE.replace("{", '{build="b2",'), 62.0),
    (DISTANCE.replace("{", '{build="b2",') + " - ignoring(build) " + DISTANCE.replace("{", '{build="b1",'), 0.5),
    ('brakeward_distance_meters_baseline{build="b2"}', 61.0),
    ('brakeward_drift_ratio{build="b2",measure="stopping_distance"}', 0.25),
    ('brakeward_drift_ratio{build="b1",measure="stopping_distance"}', 0.0),
    ('brakeward_verdict{build="b2",verdict="pass"}', 1.0),
    ('brakeward_verdict{build="b2",verdict="fail"}', 0.0),
    ("sum(brakeward_result_series_cut)", 0.0),
    ("brakeward_drift_builds_not_compared", 0.0),
    ('brakeward_rpc_requests_total{method="CheckService/Check",code="OK"}', 1.0),
    ("histogram_quantile(1, sum by (le) (brakeward_run_duration_seconds_bucket))", 3.0),
    ("brakeward_replayed_seconds_total", 410.0),
    ('count(count by (code) (brakeward_rpc_requests_total))', 17.0),
    ("up", 1.0),
]


def main():
    (peer,) = sys.argv[1:]
    need("prometheus")
    wrong = []
    served = subprocess.Popen([peer, "serve"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    try:
        address = f"127.0.0.1:{int(served.stdout.readline())}"
        page = get(f"http://{address}/metrics")
        if not page or "exposer_scrapes_total" not in page:
            wrong.append("the page cannot be read without Prometheus")
        with Prometheus(address) as prometheus:
            prometheus.wait_for("up == 1")
            for expression, expected in EXPECTED:
                found = prometheus.value(expression)
                if found != expected:
                    wrong.append(f"{expression}: {found}, expected {expected}")
    finally:
        served.communicate("")
    if served.returncode != 0:
        wrong.append(f"the peer ended with exit code {served.returncode}")
    print("\n".join(wrong) or f"{len(EXPECTED)} queries answered")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
