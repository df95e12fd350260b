"""The HTML report in Debian's Chromium: drawn, linked, filtered, quiet, readable for all.

    browser_test.py BRAKEWARD SOURCE

browser.mjs looks at the pages; the program's JSON of the same run says what it must find there.
BRAKEWARD_SCREENSHOTS=FOLDER keeps pictures of both schemes.
"""

import json
import os
import shutil
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))
from checks import Checks, need, run, skip

DEADLINE_S = 120
HOSTILE = '<img src=x onerror=window.hit=1></script><script>window.hit=2</script>\\" onclick=\\"window.hit=3'


def replaced(file, old, new):
    text = file.read_text(encoding="utf-8")
    assert old in text, f"{file}: no {old!r}"
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def hostile_library(source, folder):
    """A copy of the demo library whose candidate and event build have names that would be script."""
    library = folder / "sorrel"
    shutil.copytree(source / "scenarios/sorrel", library)
    candidate = library / "calibrations/candidate_bad_rise_rate.textproto"
    replaced(candidate, 'name: "bad-rise-rate"', f'name: "{HOSTILE}"')
    for baseline in (library / "baselines").glob("*.textproto"):
        replaced(baseline, 'event_build: "', f'event_build: "{HOSTILE}')
        replaced(baseline, 'content_sha256: "', 'content_sha256: ""  # "')
    return library, candidate


def main():
    program, source = sys.argv[1], Path(sys.argv[2])
    need("npm", "node", "chromium")
    _, version = run(["node", "--version"], DEADLINE_S)
    if int(version.lstrip("v").split(".")[0]) < 20:
        skip(f"what drives the browser needs node 20, this is {version.strip()}")
    checks = Checks(DEADLINE_S)
    with tempfile.TemporaryDirectory(prefix="brakeward_") as name:
        folder = Path(name)
        for file in ("package.json", "package-lock.json", "browser.mjs"):
            shutil.copy(HERE / file, folder)
        status, said = run(["npm", "ci", "--silent", "--no-audit", "--no-fund", "--ignore-scripts"], 300, cwd=folder)
        if status != 0:
            skip(f"npm could not install what drives the browser\n{said}")
        page, numbers, hostile = folder / "run.html", folder / "run.json", folder / "hostile.html"
        candidate = source / "scenarios/sorrel/calibrations/candidate_bad_rise_rate.textproto"
        common = [program, "check", "--brief", "--library"]
        outputs = ["--tier", "all", "--html", page, "--json", numbers]
        checks.expect_run(
            "the check fails", [*common, source / "scenarios/sorrel", "--calibration", candidate, *outputs], 1
        )
        library, wild = hostile_library(source, folder)
        checks.expect_run("so does the hostile one", [*common, library, "--calibration", wild, "--html", hostile], 1)
        season, drift, history = folder / "season.html", folder / "drift.json", source / "scenarios/sorrel/history"
        named = ["--library", history, "--season", history / "season.textproto"]
        checks.expect_run("the season drifts", [program, "drift", *named, "--html", season, "--json", drift], 1)
        status, said = run(
            ["node", "browser.mjs", page, numbers, hostile, season, drift, shutil.which("chromium")],
            DEADLINE_S,
            {"HOME": str(folder), "SCREENSHOTS": os.environ.get("BRAKEWARD_SCREENSHOTS", "")},
            cwd=folder,
        )
        checks.expect("the browser ran", status == 0, said)
        for line in said.splitlines():
            if line.startswith("{"):
                found = json.loads(line)
                checks.expect(found["what"], found["holds"], found["seen"])
            else:
                print(line)
    checks.expect("everything was looked at", checks.count > 90, checks.count)
    checks.end()


if __name__ == "__main__":
    main()
