"""Pushes builds to a real Pushgateway and reads its own page back.

    pushgateway_test.py METRICS_PEER
"""

import re
import subprocess
import sys

from started import DEADLINE_S, Started, get, need, poll

HOSTILE = 'b 2/"x"\\?#%41\n\u00e9'


# As the label says it: a newline is a blank.
SHOWN = HOSTILE.replace("\n", " ")


def gateway():
    return Started(
        "prometheus-pushgateway",
        ["--web.listen-address=127.0.0.1:0", "--persistence.file={folder}/kept"],
    )


def push(peer, url, build, worse):
    return subprocess.run([peer, "push", url, build, str(worse)], capture_output=True, text=True)


def escaped(value):
    return value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")


def distances(page):
    """build -> stopping distance, as the gateway's page has them; labels are sorted there."""
    pattern = re.compile(
        r'^brakeward_distance_meters\{build="((?:\\.|[^"\\])*)",instance="",job="brakeward",library="juniper",'
        r'measure="stopping_distance",scenario="dry_stop_120"\} (\S+)$',
        re.MULTILINE,
    )
    return {build: float(value) for build, value in pattern.findall(page)}


def main():
    (peer,) = sys.argv[1:]
    need("prometheus-pushgateway")
    wrong = []

    def expect(what, found, expected):
        if found != expected:
            wrong.append(f"{what}: {found!r}, expected {expected!r}")

    with gateway() as started:
        url = f"http://{started.address}"
        poll("ready gateway", lambda: get(f"{url}/-/ready"), DEADLINE_S)
        for build, worse in (("b1", 0), (HOSTILE, 0.5)):
            done = push(peer, url + "/", build, worse)
            expect(f"push of {build}", (done.returncode, done.stdout, done.stderr), (0, "", ""))
        expect("two builds", distances(get(f"{url}/metrics")), {"b1": 61.5, escaped(SHOWN): 62.0})
        # A build pushed again stands in its own place.
        expect("second push", push(peer, url, "b1", 1).returncode, 0)
        page = get(f"{url}/metrics")
        expect("a build again", distances(page), {"b1": 62.5, escaped(SHOWN): 62.0})
        verdict = 'brakeward_verdict{build="b1",instance="",job="brakeward",library="juniper",verdict="pass"} 1\n'
        expect("verdict on the page", verdict in page, True)
        expect("failures", re.findall(r"^push_failure_time_seconds\{.*\} ([^0].*)$", page, re.MULTILINE), [])
    refused = push(peer, url, "b1", 0)
    expect("push to a gateway that is gone", (refused.returncode, refused.stdout), (1, ""))
    expect("its message names the address", f"cannot push results to {url}: no answer" in refused.stderr, True)
    print("\n".join(wrong) or "pushed, replaced and read back")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
