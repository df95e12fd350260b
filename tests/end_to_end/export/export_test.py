"""Exports of a run and of a trace, read by Python's csv and by h5py, against the run's JSON and each other.

    export_test.py BRAKEWARD
"""

import csv
import json
import math
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from checks import Checks, skip

try:
    import h5py
except ImportError:
    skip("python3-h5py not found; install the packages under [test] in deploy/packages.txt")

CALIBRATION = "scenarios/sorrel/calibrations/candidate_bad_rise_rate.textproto"
CAUTION = "no release for road or track"


def read_csv(file):
    """Column names, and rows as dictionaries."""
    with open(file, encoding="utf-8", newline="") as text:
        reader = csv.DictReader(text, strict=True)
        rows = list(reader)
    return reader.fieldnames, rows


def number(cell):
    return float(cell) if cell else math.nan


def same(a, b):
    return a == b or (math.isnan(a) and math.isnan(b))


def same_columns(checks, what, names, rows, file):
    """Every column of the CSV is a dataset of the HDF5 file with the same cells, to the bit, and nothing else is."""
    plain = {name.split(" (")[0]: name for name in names}
    checks.expect(f"{what}: a dataset a column", set(file) == set(plain), sorted(file))
    for name, title in plain.items():
        dataset = file[name]
        text = h5py.check_string_dtype(dataset.dtype) is not None
        wanted = [row[title] if text else number(row[title]) for row in rows]
        found = list(dataset.asstr() if text else dataset)
        alike = len(found) == len(wanted) and all(
            f == w or w == "'" + f if text else same(f, w) for f, w in zip(found, wanted)
        )
        checks.expect(f"{what}: {name} is the same in both", alike, (found[:3], wanted[:3]))
        checks.expect(f"{what}: {name} says what it is", dataset.attrs["meaning"])
        unit = dataset.attrs.get("unit")
        checks.expect(f"{what}: {name} has its unit", title == (f"{name} ({unit})" if unit else name), unit)


def check_measures(checks, program, folder):
    run_file, files = folder / "run.json", ["--csv", folder / "run.csv", "--hdf5", folder / "run.h5"]
    checks.expect_run(
        "a check that fails", [program, "check", "--brief", "--calibration", CALIBRATION, "--json", run_file], 1
    )
    said = checks.expect_run("measures", [program, "export", "measures", "--run", run_file, *files])
    checks.expect("measures: nothing to say", said == "", said)
    run = json.loads(run_file.read_text(encoding="utf-8"))
    names, rows = read_csv(folder / "run.csv")
    wanted = [(s, m) for s in run["scenarios"] for m in s["measures"]]
    checks.expect("measures: a row a scenario and measure", len(rows) == len(wanted) > 100, (len(rows), len(wanted)))
    for row, (scenario, measure) in zip(rows, wanted):
        at = f"{scenario['scenario']}, {measure['measure']}"
        for field in ("measure", "unit", "reason"):
            checks.expect(f"{at}: {field}", row[field] == measure.get(field, ""), row)
        for field in ("value", "baseline", "allowed_change"):
            checks.expect(f"{at}: {field}", same(number(row[field]), measure.get(field, math.nan)), row)
        checks.expect(
            f"{at}: tolerance_used",
            same(number(row["tolerance_used (1)"]), measure.get("tolerance_used", math.nan)),
            row,
        )
        checks.expect(f"{at}: verdict", f"VERDICT_{row['verdict'].upper()}" == measure["verdict"], row)
        checks.expect(f"{at}: scenario", row["scenario"] == scenario["scenario"], row)
    with h5py.File(folder / "run.h5", "r") as file:
        same_columns(checks, "measures", names, rows, file)
        for field in ("calibration_name", "calibration_sha256", "vehicle_sha256", "result_sha256"):
            checks.expect(f"measures: {field} of the run", file.attrs[field] == run[field], dict(file.attrs))
        checks.expect("measures: the caution", CAUTION in file.attrs["caution"], dict(file.attrs))
        checks.expect("measures: the verdict", file.attrs["verdict"] == "fail", dict(file.attrs))


def check_trace(checks, program, folder):
    def export(scenario, name):
        files = ["--csv", folder / f"{name}.csv", "--hdf5", folder / f"{name}.h5"]
        checks.expect_run(
            f"trace of {scenario}", [program, "export", "trace", scenario, "--calibration", CALIBRATION, *files]
        )

    for scenario in ("step_hand", "saltmarsh_dry_100"):
        export(scenario, scenario)
        names, rows = read_csv(folder / f"{scenario}.csv")
        with h5py.File(folder / f"{scenario}.h5", "r") as file:
            same_columns(checks, scenario, names, rows, file)
            checks.expect(f"{scenario}: units", file["pressure_front"].attrs["unit"] == "bar")
            checks.expect(f"{scenario}: its name", file.attrs["scenario"] == scenario, dict(file.attrs))
            checks.expect(f"{scenario}: the caution", CAUTION in file.attrs["caution"], dict(file.attrs))
            checks.expect(f"{scenario}: slows down", file["speed"][0] > file["speed"][-1] + 5)
    with h5py.File(folder / "step_hand.h5", "r") as file:
        checks.expect("no recording is no number", all(math.isnan(x) for x in file["recorded_deceleration"]))
    export("step_hand", "again")
    for suffix in ("csv", "h5"):
        first, second = ((folder / f"{name}.{suffix}").read_bytes() for name in ("step_hand", "again"))
        checks.expect(f"the same bytes twice as {suffix}", first == second)


def check_refusals(checks, program, folder):
    csv_file, run_file = folder / "none.csv", folder / "run.json"
    measures = [program, "export", "measures"]
    checks.expect_run("no run", [*measures, "--csv", csv_file], 64, "name one run")
    checks.expect_run("nothing to write", [*measures, "--run", run_file], 64, "say what to write")
    checks.expect_run("a store without a run", [*measures, "--store", folder / "x.db", "--csv", csv_file], 64)
    checks.expect_run("no such file", [*measures, "--run", csv_file, "--csv", csv_file], 65, "there is no such file")
    text = run_file.read_text(encoding="utf-8")
    spoiled = folder / "spoiled.json"
    spoiled.write_text(text.replace('"value": ', '"value": 1', 1), encoding="utf-8")
    checks.expect_run(
        "a run that was changed", [*measures, "--run", spoiled, "--csv", csv_file], 65, "spoiled.json: result_sha256"
    )
    spoiled.write_text(text.replace('"value"', '"valu"', 1), encoding="utf-8")
    checks.expect_run("a misspelt field", [*measures, "--run", spoiled, "--csv", csv_file], 65, "valu")
    trace = [program, "export", "trace", "step_hand", "--calibration", CALIBRATION]
    checks.expect_run("a trace to nowhere", trace, 64, "say what to write")
    checks.expect_run("a folder that is not there", [*trace, "--hdf5", folder / "no" / "t.h5"], 65, "no/t.h5")
    checks.expect("nothing was written", not csv_file.exists())
    checks.expect_run("neither", [program, "export"], 64)


def main():
    (program,) = sys.argv[1:]
    checks = Checks(60)
    with tempfile.TemporaryDirectory(prefix="brakeward_") as scratch:
        folder = Path(scratch)
        check_measures(checks, program, folder)
        check_trace(checks, program, folder)
        check_refusals(checks, program, folder)
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
