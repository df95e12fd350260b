"""A Prometheus of its own that scrapes one address, and what it answers.

    prometheus.py TARGET QUERY...

prints, for each query, one line of JSON a series: the labels and the value, sorted. TARGET is host:port of a metrics
page. A query that has no answer after a minute is an error. Exit codes: 0 answered, 1 not, 77 no Prometheus here.
"""

import json
import sys
import urllib.parse

from started import DEADLINE_S, Started, get, need, poll


class Prometheus(Started):
    """Scrapes `target` every second. `rules`: text of a rule file, or None."""

    def __init__(self, target, rules=None):
        config = {
            "global": {"scrape_interval": "1s", "evaluation_interval": "1s"},
            # The build that a series belongs to is on the page; a pushed page names its own job.
            "scrape_configs": [
                {"job_name": "brakeward", "honor_labels": True, "static_configs": [{"targets": [target]}]}
            ],
        }
        files = {"rules.yml": rules} if rules else {}
        if rules:
            config["rule_files"] = ["rules.yml"]
        files["prometheus.yml"] = json.dumps(config)  # JSON is YAML
        super().__init__(
            "prometheus",
            [
                "--config.file={folder}/prometheus.yml",
                "--storage.tsdb.path={folder}/data",
                "--web.listen-address=127.0.0.1:0",
                "--log.level=info",
            ],
            files,
        )

    def query(self, expression):
        """[(labels, value)] of an instant query, sorted; None while there is no series."""
        url = f"http://{self.address}/api/v1/query?" + urllib.parse.urlencode({"query": expression})
        answer = json.loads(get(url))
        if answer["status"] != "success":
            raise RuntimeError(f"{expression}: {answer}")
        series = [(r["metric"], float(r["value"][1])) for r in answer["data"]["result"]]
        return sorted(series, key=lambda s: json.dumps(s[0], sort_keys=True)) or None

    def wait_for(self, expression):
        """The first answer to the query that has a series."""
        return poll(f"answer to {expression}", lambda: self.query(expression), DEADLINE_S)

    def value(self, expression):
        """Value of a query that must have exactly one series."""
        series = self.wait_for(expression)
        if len(series) != 1:
            raise RuntimeError(f"{expression}: {len(series)} series, expected one: {series}")
        return series[0][1]


def main():
    if len(sys.argv) < 3:
        print(__doc__)
        return 64
    need("prometheus")
    with Prometheus(sys.argv[1]) as prometheus:
        for expression in sys.argv[2:]:
            for labels, value in prometheus.wait_for(expression):
                print(json.dumps([labels, value], sort_keys=True))
    return 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except (TimeoutError, RuntimeError) as error:
        print(error)
        sys.exit(1)
