#!/usr/bin/python3
"""Submits a variant of the released calibration to `brakeward serve`, and draws one scenario before and after.

    deploy/clients/python/submit_variant.py --server 127.0.0.1:8640 --library sorrel --plot variant.png

An example to copy: put your own changes into CHANGES, or give them as --set ADDRESS=VALUE. The story is told in main();
brakeward_client.py beside this file holds what every tool needs, trace_plot.py draws.

Exit codes as those of `brakeward check`: 0 pass, 1 fail, 2 inconclusive, 3 error in a scenario, 64 usage, 65 bad data,
69 unavailable, 70 internal, 75 try again, 77 not allowed.
"""

import argparse
import sys

import brakeward_client as client  # first: makes the stubs that the next line imports
import trace_plot
from brakeward.v1 import check_service_pb2, check_service_pb2_grpc, common_pb2, library_service_pb2
from brakeward.v1 import library_service_pb2_grpc
import grpc

# What this variant changes: address of the value, new value. `brakeward describe Calibration` lists addresses, units
# and ranges.
CHANGES = {
    "hand_control.low_pass_hz": 20,
    "pressure_control.prefill_bar": 8,
    'balance.steps["+2"].front_percent': 61.5,
}

WORST = 3  # measures shown at the end


def fetch_released(libraries, library, name):
    """The library's entry, and a copy of the calibration that is on the car now."""
    entry = client.with_retries(
        lambda: libraries.GetLibrary(library_service_pb2.GetLibraryRequest(name=f"libraries/{library}"))
    ).library
    released = client.with_retries(
        lambda: libraries.GetCalibration(
            library_service_pb2.GetCalibrationRequest(name=f"libraries/{library}/calibrations/{name}")
        )
    ).calibration
    return entry, released


def apply_changes(calibration, changes):
    """Sets every value; one that has no such address is told together with all others that have none."""
    faults = []
    for address, value in changes.items():
        try:
            before = client.set_value(calibration, address, value)
            print(f"  {address}: {before} -> {value}")
        except client.Refused as fault:
            faults += fault.lines
    if faults:
        raise client.Refused(faults, client.BAD_DATA)


def word(verdict):
    """VERDICT_PASS as "pass"."""
    return common_pb2.Verdict.Name(verdict).removeprefix("VERDICT_").lower()


def check(checks, request):
    """Submits the variant and prints what comes in; returns the CheckCompleted at the end of the stream."""

    # Until the first event nothing has been taken on, and a refusal may be tried again. Later errors are final.
    def start():
        stream = checks.Check(request)
        return stream, next(stream)

    stream, event = client.with_retries(start)
    try:
        while event is not None:
            kind = event.WhichOneof("event")
            if kind == "accepted":
                print(f"run {event.accepted.run_id}: {event.accepted.replays} replays, "
                      f"{event.accepted.runs_ahead} runs ahead")  # fmt: skip
            elif kind == "progress":
                print(f"  {event.progress.replays_done} of {event.progress.replays} replays done")
            elif kind == "scenario":
                print(f"  {word(event.scenario.verdict):<13} {event.scenario.scenario}")
            elif kind == "completed":
                return event.completed
            event = next(stream, None)
    except grpc.RpcError as error:
        raise client.refused(error) from error
    raise client.Refused(["the stream ended without a run"], client.INTERNAL)


def print_run(completed):
    """Verdict, the measures that come off worst, and what a pass does not mean."""
    run = completed.run
    passed = sum(s.verdict == common_pb2.VERDICT_PASS for s in run.scenarios)
    print(f"{run.calibration_name} against {run.baseline_event_build or 'no baseline'}: {word(run.verdict)}, "
          f"{passed} of {len(run.scenarios)} scenarios pass")  # fmt: skip
    measures = [(s.scenario, m) for s in run.scenarios for m in s.measures]
    measures.sort(key=lambda sm: (sm[1].verdict, sm[1].tolerance_used), reverse=True)
    for scenario, m in measures[:WORST]:
        # The service's own sentence says why; one that has none passes, and tells what it used up.
        name = m.measure.replace("_", " ")
        text = m.reason or f"{name} {m.value:.5g} {m.unit} uses {100 * m.tolerance_used:.0f} % of its tolerance"
        print(f"  worst in {scenario}: {word(m.verdict)}, {text}")
    for s in run.scenarios:
        if s.reason and s.verdict != common_pb2.VERDICT_PASS:
            print(f"  {s.scenario}: {word(s.verdict)}, {s.reason}")
    if completed.notice:
        print(f"  not kept by the service: {completed.notice}")
    print(run.caution)


def fetch_trace(checks, library, calibration, scenario):
    """({signal: values}, {signal: unit}) of one scenario."""
    request = check_service_pb2.ReplayRequest(
        library=f"libraries/{library}", calibration=calibration, scenario=scenario, signals=trace_plot.SIGNALS
    )
    pieces = client.with_retries(lambda: list(checks.Replay(request)))
    signals, values = [], []
    for piece in pieces:
        kind = piece.WhichOneof("piece")
        if kind == "header":
            signals = piece.header.signals
        elif kind == "rows":
            values.extend(piece.rows.values)
    columns = {s.name: values[i :: len(signals)] for i, s in enumerate(signals)}
    return columns, {s.name: s.unit for s in signals}


def plot(checks, arguments, entry, released, variant):
    """Draws the scenario under both calibrations."""
    before, units = fetch_trace(checks, arguments.library, released, arguments.scenario)
    after, _ = fetch_trace(checks, arguments.library, variant, arguments.scenario)
    title = f"{entry.vehicle_name}, {arguments.scenario}: {released.name} and {variant.name}"
    if "invented" in entry.provenance.lower():
        title += "\n(invented demo data)"
    trace_plot.draw(arguments.plot, title, units, before, after, (released.name, variant.name))
    print(f"wrote {arguments.plot}")


def change(text):
    """ADDRESS=VALUE as a pair; a value that reads as a number is one. A name in the address may hold '='."""
    address, equals, value = text.rpartition("=")
    if not equals:
        raise argparse.ArgumentTypeError(f"{text!r}: write ADDRESS=VALUE")
    try:
        return address, float(value)
    except ValueError:
        return address, value


class Parser(argparse.ArgumentParser):
    """Ends with the contract's code for wrong usage; argparse's own, 2, would mean inconclusive."""

    def error(self, message):
        self.print_usage(sys.stderr)
        self.exit(client.USAGE, f"{self.prog}: {message}\n")


def parse_arguments():
    parser = Parser(description=__doc__.splitlines()[0])
    parser.add_argument("--server", default="127.0.0.1:8640", help="host:port or unix:<path> (default: %(default)s)")
    parser.add_argument("--library", default="sorrel", help="name of the car's library (default: %(default)s)")
    parser.add_argument("--released", default="released", help="calibration to start from (default: %(default)s)")
    parser.add_argument("--name", default="variant", help="name of the variant (default: %(default)s)")
    parser.add_argument("--set", action="append", type=change, metavar="ADDRESS=VALUE",
                        help="a change; given once or more often, these replace CHANGES in this file")  # fmt: skip
    parser.add_argument("--scenario", default="step_hand", help="scenario to draw (default: %(default)s)")
    parser.add_argument("--plot", metavar="FILE", help="PNG file to draw into; nothing is drawn without it")
    return parser.parse_args()


def main():
    arguments = parse_arguments()
    changes = dict(arguments.set) if arguments.set else CHANGES
    with client.connect(arguments.server) as channel:
        checks = check_service_pb2_grpc.CheckServiceStub(channel)
        libraries = library_service_pb2_grpc.LibraryServiceStub(channel)

        entry, released = fetch_released(libraries, arguments.library, arguments.released)
        print(f"{entry.name} at {arguments.server}: {entry.scenario_count} scenarios, "
              f"baseline {entry.baseline_event_build or 'none'}")  # fmt: skip

        variant = type(released.calibration)()
        variant.CopyFrom(released.calibration)
        variant.name = arguments.name
        variant.event_build = ""  # a variant is no event build: it never enters the dashboards
        variant.remark = "Variant of " + released.calibration.name
        apply_changes(variant, changes)

        completed = check(checks, check_service_pb2.CheckRequest(library=entry.name, calibration=variant))
        print_run(completed)
        if arguments.plot:
            plot(checks, arguments, entry, released.calibration, variant)
    return {
        common_pb2.VERDICT_PASS: client.PASS,
        common_pb2.VERDICT_FAIL: client.FAIL,
        common_pb2.VERDICT_ERROR: client.SCENARIO_ERROR,
    }.get(completed.run.verdict, client.INCONCLUSIVE)


if __name__ == "__main__":
    try:
        sys.exit(main())
    except client.Refused as refusal:
        for line in refusal.lines:
            print(f"submit_variant: {line}", file=sys.stderr)
        sys.exit(refusal.exit_code)
