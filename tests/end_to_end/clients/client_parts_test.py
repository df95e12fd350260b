"""What tools copy from brakeward_client.py: values by address, errors with details, retries.

    client_parts_test.py BRAKEWARD

Addresses are held against the service, which tells in every run what the candidate changes and where. Refusals come
from a gRPC server of this test, which sends the trailers as AIP-193 describes them.
"""

import concurrent.futures
import math
import os
import shutil
import sys

from serving import CLIENTS, Checks, Serving, skip

CHANGES = {
    "hand_control.low_pass_hz": 26,
    'hand_control.effort_grades["light"].feel.points[5].y': 99,
    "hand_control.effort_grades[0].feel.points[1].y": 7.5,
    'balance.steps["+2"].front_percent': 61.75,
    "supervision.track_difference_mm": 2.25,
}
# (address, value, what the refusal must say)
FAULTS = [
    ("hand_control.nothing", 1, "HandControl has no field nothing; it has track_a"),
    ('balance.steps["+7"].front_percent', 1, 'no item "+7"; it has "-2"'),
    ("balance.steps[5].front_percent", 1, "no item 5"),
    ("balance.steps.front_percent", 1, "steps is a list"),
    ("pedal[0].low_pass_hz", 1, "pedal is no list"),
    ("pedal", 1, "pedal is a block"),
    ("balance.steps[0]", 1, "steps is a block"),
    ("pedal.low_pass_hz.x", 1, "single value"),
    ("pedal.low_pass_hz", "fast", "'fast' does not fit"),
    ("hand_control.effort_grade", 3, "3 does not fit"),
    ("", 1, "is no address"),
    ("pedal.", 1, "is no address"),
    ("pedal..low_pass_hz", 1, "is no address"),
    ('balance.steps["+2].front_percent', 1, "is no address"),
]


def check_addresses(checks, client, service):
    from brakeward.v1 import check_service_pb2, check_service_pb2_grpc, library_service_pb2, library_service_pb2_grpc

    with client.connect(service.address) as channel:
        name = "libraries/sorrel/calibrations/released"
        released = library_service_pb2_grpc.LibraryServiceStub(channel).GetCalibration(
            library_service_pb2.GetCalibrationRequest(name=name)
        ).calibration.calibration  # fmt: skip
        untouched = released.SerializeToString(deterministic=True)
        for address, value, wanted in FAULTS:
            try:
                client.set_value(released, address, value)
                checks.expect(f"{address} is refused", False, "it was taken")
            except client.Refused as fault:
                said = str(fault)
                checks.expect(f"{address}: {wanted}", wanted in said and fault.exit_code == 65, said)
        checks.expect("a refused change changes nothing", released.SerializeToString(deterministic=True) == untouched)
        for address, value in CHANGES.items():
            client.set_value(released, address, value)
        request = check_service_pb2.CheckRequest(library="libraries/sorrel", calibration=released)
        events = list(check_service_pb2_grpc.CheckServiceStub(channel).Check(request))
        changes = [c.address for c in events[-1].completed.run.calibration_changes]
        # The service names items that have a name.
        wanted = {a.replace("effort_grades[0]", 'effort_grades["standard"]') for a in CHANGES}
        checks.expect("the service sees these changes and no others", {*changes} == wanted, changes)


def check_gaps(checks, client, service):
    """A signal has no value at ticks where nothing was recorded: NaN, as the schema says."""
    from brakeward.v1 import check_service_pb2, check_service_pb2_grpc, library_service_pb2, library_service_pb2_grpc

    signals = ["time", "recorded_deceleration", "recorded_pressure"]
    with client.connect(service.address) as channel:
        name = "libraries/sorrel/calibrations/released"
        released = library_service_pb2_grpc.LibraryServiceStub(channel).GetCalibration(
            library_service_pb2.GetCalibrationRequest(name=name)
        ).calibration.calibration  # fmt: skip
        for scenario, is_recorded in (("step_hand", False), ("saltmarsh_dry_100", True)):
            request = check_service_pb2.ReplayRequest(
                library="libraries/sorrel", calibration=released, scenario=scenario, signals=signals
            )
            values = []
            for piece in check_service_pb2_grpc.CheckServiceStub(channel).Replay(request):
                values += piece.rows.values
            for i, signal in enumerate(signals):
                there = [v for v in values[i :: len(signals)] if not math.isnan(v)]
                wanted = signal == "time" or is_recorded
                checks.expect(f"{scenario}: {signal} has values: {wanted}", bool(there) == wanted, there[:3])
                plausible = all(abs(v) < 1000 for v in there)
                checks.expect(f"{scenario}: {signal} is plausible", plausible, min(there, default=0))


def refusing_server(code, status, refusals):
    """A server that answers Check with `status` the first times, then with one event. Returns it, its port, a count."""
    import grpc
    from brakeward.v1 import check_service_pb2, check_service_pb2_grpc

    class Service(check_service_pb2_grpc.CheckServiceServicer):
        calls = 0

        def Check(self, request, context):
            Service.calls += 1
            if Service.calls <= refusals:
                context.set_trailing_metadata((("grpc-status-details-bin", status.SerializeToString()),))
                context.abort(code, status.message)
            yield check_service_pb2.CheckResponse(accepted=check_service_pb2.CheckAccepted(run_id="r"))

    server = grpc.server(concurrent.futures.ThreadPoolExecutor(2))
    check_service_pb2_grpc.add_CheckServiceServicer_to_server(Service(), server)
    port = server.add_insecure_port("127.0.0.1:0")
    server.start()
    return server, port, Service


def check_refusal(checks, client, details, refusals, exit_code, calls, wanted):
    import grpc
    from brakeward.v1 import check_service_pb2, check_service_pb2_grpc
    from google.rpc import status_pb2

    status = status_pb2.Status(message="the sentence")
    for detail in details:
        status.details.add().Pack(detail)
    code = grpc.StatusCode.INVALID_ARGUMENT if exit_code == 65 else grpc.StatusCode.RESOURCE_EXHAUSTED
    server, port, service = refusing_server(code, status, refusals)
    said = []
    try:
        with client.connect(f"127.0.0.1:{port}") as channel:
            stub = check_service_pb2_grpc.CheckServiceStub(channel)
            try:
                event = client.with_retries(
                    lambda: next(stub.Check(check_service_pb2.CheckRequest())), tries=3, say=said.append
                )
                found = 0 if event.accepted.run_id == "r" else None
            except client.Refused as refused:
                found = refused.exit_code
                said += refused.lines
    finally:
        server.stop(None)
    checks.expect(f"exit code {exit_code} after {refusals} refusals", found == exit_code, (found, said))
    checks.expect(f"{calls} calls for {refusals} refusals", service.calls == calls, service.calls)
    for text in wanted:
        checks.expect(f"says {text!r}", text in "\n".join(said), said)


def check_refusals(checks, client):
    from google.rpc import error_details_pb2

    retry = error_details_pb2.RetryInfo()
    retry.retry_delay.FromMilliseconds(20)
    bad = error_details_pb2.BadRequest()
    bad.field_violations.add(field="calibration.pedal.low_pass_hz", description="too fast")
    bad.field_violations.add(description="and more")
    info = error_details_pb2.ErrorInfo(reason="QUEUE_FULL", domain="brakeward")
    check_refusal(checks, client, [info, retry], 2, 0, 3,
                  ["the sentence; try 1 of 3, next one in 0.02 s", "try 2 of 3"])  # fmt: skip
    check_refusal(checks, client, [info, retry], 9, 75, 3, ["RESOURCE_EXHAUSTED: the sentence"])
    check_refusal(checks, client, [info], 9, 75, 1, ["RESOURCE_EXHAUSTED: the sentence"])
    wanted = ["INVALID_ARGUMENT: the sentence", "  calibration.pedal.low_pass_hz: too fast", "  and more"]
    check_refusal(checks, client, [info, bad], 9, 65, 1, wanted)


def main():
    (program,) = sys.argv[1:]
    if not shutil.which("protoc") or not shutil.which("grpc_python_plugin"):
        skip("protoc or grpc_python_plugin not found")
    try:
        import grpc  # noqa: F401
    except ImportError as error:
        skip(f"{error}; install the packages under [test] in deploy/packages.txt")
    sys.path.insert(0, os.path.join(CLIENTS, "python"))
    import brakeward_client as client

    checks = Checks()
    check_refusals(checks, client)
    with Serving(program) as service:
        check_addresses(checks, client, service)
        check_gaps(checks, client, service)
    checks.end()


if __name__ == "__main__":
    main()
