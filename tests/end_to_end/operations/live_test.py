"""The demo season, live: six builds that each pass, a drift that the alert, every panel of every dashboard and the
plain page show.

    live_test.py BRAKEWARD
"""

import math
import sys

import dashboards
from live import Demo
from operations import DEADLINE_S, Checks, get, need, poll

BUILDS = [f"northmoor-{n}" for n in range(1, 7)]


def check_results(checks, demo):
    passed = {labels["build"] for labels, _ in demo.query('brakeward_verdict{verdict="pass"} == 1')}
    checks.expect("each of the six builds passes its own check", passed == set(BUILDS), passed)
    used = dict(
        (labels["build"], value) for labels, value in demo.query("max by (build) (brakeward_tolerance_used_ratio)")
    )
    checks.expect("each uses less than its tolerance", all(used[build] < 1 for build in BUILDS), used)
    drift = dict(
        (labels["build"], value) for labels, value in demo.query('brakeward_drift_ratio{measure="front_share"}')
    )
    grows = all(drift[a] < drift[b] for a, b in zip(BUILDS, BUILDS[1:]))
    checks.expect(
        "the drift grows from build to build, from nothing to beyond its tolerance",
        grows and drift[BUILDS[0]] == 0 and drift[BUILDS[3]] < 1 < drift[BUILDS[5]],
        drift,
    )


def check_alerts(checks, demo):
    def firing():
        return sorted(
            (labels["build"], labels["measure"])
            for labels, _ in demo.query('ALERTS{alertname="BrakewardDriftBeyondTolerance",alertstate="firing"}')
        )

    drifted = sorted((labels["build"], labels["measure"]) for labels, _ in demo.query("brakeward_drift_ratio > 1"))
    checks.expect("the last build has drifted", ("northmoor-6", "front_share") in drifted, drifted)
    poll(f"alert for each of {drifted} and for nothing else", lambda: firing() == drifted, DEADLINE_S)
    others = 'ALERTS{alertname!="BrakewardDriftBeyondTolerance"}'
    poll("end of what was pending before the builds were fed", lambda: not demo.query(others), DEADLINE_S)


def chosen(demo, board):
    """A value for every variable, as a reader opens the dashboard: the first, or all."""
    values = {}
    for name, variable in dashboards.variables(board).items():
        offered = demo.label_values(variable["definition"], values)
        if not offered:
            raise RuntimeError(f"nothing to choose for {name} in {board['title']}")
        values[name] = variable.get("allValue") or ("front_share" if name == "measure" else offered[0])
    return values


def check_dashboards(checks, demo):
    for name, board in dashboards.load().items():
        values = chosen(demo, board)
        for panel, target in dashboards.targets(board):
            expression = dashboards.filled(target["expr"], values, interval="30s", span="60s")
            at = f"{name}: {panel['title']}: {expression}"
            checks.expect(f"{at}: nothing is left to fill in", "$" not in expression)
            if target["range"]:
                series = [v for _, points in demo.query_range(expression) for v in points]
            else:
                series = [v for _, v in demo.query(expression)]
            checks.expect(f"{at}: has data", any(math.isfinite(v) for v in series), series[:3])


def check_page(checks, demo):
    page = get(f"{demo.prometheus}/consoles/brakeward.html")
    checks.expect("the page names every build", all(build in page for build in BUILDS), page)
    checks.expect(
        "the page shows the alert and the bars",
        "BrakewardDriftBeyondTolerance" in page and 'class="bar over"' in page,
        page,
    )
    checks.expect("the page shows the service", ">yes<" in page, page)
    for bad in ("ZgotmplZ", "%!", "error executing"):
        checks.expect(f"the page is free of {bad}", bad not in page, page)


def main():
    (program,) = sys.argv[1:]
    need("prometheus")
    checks = Checks()
    with Demo(program) as demo:
        nothing = get(f"{demo.prometheus}/consoles/brakeward.html")
        checks.expect("before the first build the page says so", "None yet." in nothing, nothing)
        status, said = demo.feed()
        checks.expect("the script ends with 0", status == 0, said)
        poll(
            "last build on the page of Prometheus",
            lambda: demo.query('brakeward_verdict{build="northmoor-6"}'),
            DEADLINE_S,
        )
        poll(
            "second scrape after it",
            lambda: demo.query('sum(increase(brakeward_runs_finished_total{verdict="pass"}[60s])) > 4'),
            DEADLINE_S,
        )
        check_results(checks, demo)
        check_alerts(checks, demo)
        check_dashboards(checks, demo)
        check_page(checks, demo)
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
