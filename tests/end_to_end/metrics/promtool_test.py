"""promtool finds nothing to say about the pages: neither a fault of the format nor bad style (lint).

    promtool_test.py METRICS_PEER GOLDEN_FOLDER
"""

import collections
import os
import subprocess
import sys

from started import need


def complaints(page):
    """What promtool says about a page; empty when it is clean."""
    checked = subprocess.run(["promtool", "check", "metrics"], input=page, capture_output=True)
    text = (checked.stdout + checked.stderr).decode("utf-8", "replace")
    return text or (f"exit code {checked.returncode}" if checked.returncode != 0 else "")


def twice(page):
    """Series that are on the page more than once; promtool does not look for them, and Prometheus drops them."""
    series = [line.rsplit(b" ", 1)[0] for line in page.splitlines() if not line.startswith(b"#")]
    return [one for one, count in collections.Counter(series).items() if count > 1]


def main():
    peer, golden = sys.argv[1:]
    need("promtool")
    pages = {}
    for words in (["page"], ["text", "b1"]):
        pages[" ".join(words)] = subprocess.run([peer] + words, capture_output=True, check=True).stdout
    for name in sorted(os.listdir(golden)):
        with open(os.path.join(golden, name), "rb") as file:
            pages[name] = file.read()
    wrong = [f"{name}: {said}" for name, page in pages.items() if (said := complaints(page))]
    wrong += [f"{name}: {series} stands there twice" for name, page in pages.items() for series in twice(page)]
    wrong += [f"{name}: no series" for name, page in pages.items() if b"\nbrakeward_" not in page]
    # The net must catch fish: a counter without _total, a unit that is none of the base units, a broken line.
    bad = {
        "a counter without _total": b"# HELP a x\n# TYPE a counter\na 1\n",
        "milliseconds": b"# HELP a_milliseconds x\n# TYPE a_milliseconds gauge\na_milliseconds 1\n",
        "an unescaped quote": b'# HELP a x\n# TYPE a gauge\na{b="c"d"} 1\n',
    }
    wrong += [f"promtool lets {name} pass" for name, page in bad.items() if not complaints(page)]
    print("\n".join(wrong) or f"{len(pages)} pages clean, {len(bad)} planted faults found")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
