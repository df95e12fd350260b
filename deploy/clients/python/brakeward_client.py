"""What a tool needs to talk to `brakeward serve`: the stubs, values by address, errors with their details, retries.

Import this module first; after it `from brakeward.v1 import ...` works. The stubs are made anew from proto/ at every
start, in a folder that is gone afterwards: it takes a twentieth of a second, and they are never older than the schema.
A tool that lives outside this repository makes them once, with a copy of proto/:

    protoc --proto_path=proto --python_out=stubs --grpc_out=stubs \\
        --plugin=protoc-gen-grpc="$(command -v grpc_python_plugin)" \\
        proto/brakeward/v1/*.proto proto/google/rpc/*.proto

Debian packages: python3-grpcio, protobuf-compiler, protobuf-compiler-grpc.
"""

import glob
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time

import grpc
from google.protobuf.descriptor import FieldDescriptor

PROTO = os.path.normpath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "../../../proto"))

# Exit codes, the same as those of `brakeward check`.
PASS, FAIL, INCONCLUSIVE, SCENARIO_ERROR = 0, 1, 2, 3
USAGE, BAD_DATA, UNAVAILABLE, INTERNAL, TRY_AGAIN, NOT_ALLOWED = 64, 65, 69, 70, 75, 77

_EXIT_CODES = {
    grpc.StatusCode.INVALID_ARGUMENT: BAD_DATA,
    grpc.StatusCode.FAILED_PRECONDITION: BAD_DATA,
    grpc.StatusCode.NOT_FOUND: BAD_DATA,
    grpc.StatusCode.OUT_OF_RANGE: BAD_DATA,
    grpc.StatusCode.UNAVAILABLE: UNAVAILABLE,
    grpc.StatusCode.RESOURCE_EXHAUSTED: TRY_AGAIN,
    grpc.StatusCode.DEADLINE_EXCEEDED: TRY_AGAIN,
    grpc.StatusCode.CANCELLED: TRY_AGAIN,
    grpc.StatusCode.UNAUTHENTICATED: NOT_ALLOWED,
    grpc.StatusCode.PERMISSION_DENIED: NOT_ALLOWED,
}


def _make_stubs():
    plugin = shutil.which("grpc_python_plugin")
    if not plugin or not shutil.which("protoc"):
        sys.exit("protoc or grpc_python_plugin is missing; apt-get install protobuf-compiler protobuf-compiler-grpc")
    with tempfile.TemporaryDirectory() as stubs:
        files = glob.glob(f"{PROTO}/brakeward/v1/*.proto") + glob.glob(f"{PROTO}/google/rpc/*.proto")
        subprocess.run(
            ["protoc", f"--proto_path={PROTO}", f"--python_out={stubs}", f"--grpc_out={stubs}",
             f"--plugin=protoc-gen-grpc={plugin}", *files], check=True)  # fmt: skip
        sys.path.insert(0, stubs)
        try:
            import brakeward.v1.check_service_pb2_grpc  # noqa: F401
            import brakeward.v1.library_service_pb2_grpc  # noqa: F401
            from google.rpc import error_details_pb2, status_pb2
        finally:
            sys.path.remove(stubs)
    return status_pb2, error_details_pb2


_status_pb2, _error_details_pb2 = _make_stubs()


class Refused(Exception):
    """The service, or this tool, said no. `lines`: what to tell the user; `exit_code`: what to end with."""

    def __init__(self, lines, exit_code):
        super().__init__("\n".join(lines))
        self.lines = lines
        self.exit_code = exit_code


def connect(server):
    """A plaintext channel to host:port or unix:<path>. No proxy of the environment comes between."""
    return grpc.insecure_channel(server, options=[("grpc.enable_http_proxy", 0)])


# ---- errors -----------------------------------------------------------------------------------------------------


def details_of(error):
    """(violations, retry_s) of a failed call.

    A violation is "address: what is wrong"; retry_s is how long the service asks to wait, None when it does not. Both
    come from the google.rpc.Status that travels in the trailer `grpc-status-details-bin`.
    """
    violations, retry_s = [], None
    status = _status_pb2.Status()
    for key, value in error.trailing_metadata() or ():
        if key == "grpc-status-details-bin":
            status.ParseFromString(value)
    for detail in status.details:
        bad, retry = _error_details_pb2.BadRequest(), _error_details_pb2.RetryInfo()
        if detail.Unpack(bad):
            violations += [f"{v.field}: {v.description}" if v.field else v.description for v in bad.field_violations]
        elif detail.Unpack(retry):
            retry_s = retry.retry_delay.seconds + retry.retry_delay.nanos / 1e9
    return violations, retry_s


def refused(error):
    """The failed call as a Refused."""
    violations, _ = details_of(error)
    # The first line is the sentence; where there are violations the service repeats them below it.
    text = (error.details() or "no reason given").splitlines()
    lines = [f"{error.code().name}: {text[0]}"] + ([f"  {v}" for v in violations] or text[1:])
    return Refused(lines, _EXIT_CODES.get(error.code(), INTERNAL))


def with_retries(call, tries=5, longest_wait_s=30, say=print):
    """call(), again when the service asks for it by RetryInfo: a full queue, or a service that is about to stop.

    `call` must be safe to repeat: it raises grpc.RpcError only while the service has taken nothing on.
    """
    for attempt in range(1, tries + 1):
        try:
            return call()
        except grpc.RpcError as error:
            _, retry_s = details_of(error)
            if retry_s is None or attempt == tries:
                raise refused(error) from error
            wait_s = min(retry_s, longest_wait_s)
            say(f"{error.code().name}: {error.details()}; try {attempt} of {tries}, next one in {wait_s:g} s")
            time.sleep(wait_s)
    raise AssertionError("tries must be 1 or more")


# ---- values by address ------------------------------------------------------------------------------------------

_STEP = re.compile(r'(\w+)(?:\[(?:(\d+)|("(?:[^"\\]|\\.)*"))\])?(?:\.|$)')


def _steps(address):
    """[(field, position or item name or None)] of an address such as balance.steps["+2"].front_percent."""
    steps, at = [], 0
    while at < len(address):
        found = _STEP.match(address, at)
        if not found:
            break
        field, position, name = found.groups()
        steps.append((field, int(position) if position else json.loads(name) if name else None))
        at = found.end()
    if not steps or at < len(address) or address.endswith("."):
        raise Refused([f'{address!r} is no address; one reads like balance.steps["+2"].front_percent'], BAD_DATA)
    return steps


def _item(items, label, address):
    """The item of a list by position from 0 or by its name."""
    names = [getattr(item, "name", None) for item in items]
    if label in names:
        return items[names.index(label)]
    if isinstance(label, int) and label < len(items):
        return items[label]
    known = ", ".join(json.dumps(name) for name in names if name) or f"positions below {len(items)}"
    raise Refused([f"{address}: the list has no item {json.dumps(label)}; it has {known}"], BAD_DATA)


def set_value(message, address, value):
    """Sets the number or text at an address and returns what stood there, None when it was unset.

    An address that leads nowhere, or a value of another kind, is Refused with what would do. Ranges are left to the
    service, which knows them from the schema and tells every value that is outside at once.
    """
    holder, steps = message, _steps(address)
    for depth, (name, label) in enumerate(steps):
        field = holder.DESCRIPTOR.fields_by_name.get(name)
        if field is None:
            known = ", ".join(holder.DESCRIPTOR.fields_by_name)
            raise Refused([f"{address}: {holder.DESCRIPTOR.name} has no field {name}; it has {known}"], BAD_DATA)
        is_list = field.label == FieldDescriptor.LABEL_REPEATED
        if is_list != (label is not None):
            wanted = 'is a list; say which item, as in [0] or ["name"]' if is_list else "is no list"
            raise Refused([f"{address}: {name} {wanted}"], BAD_DATA)
        if depth + 1 == len(steps):
            break
        if field.message_type is None:
            raise Refused([f"{address}: {name} is a single value; nothing lies below it"], BAD_DATA)
        holder = _item(getattr(holder, name), label, address) if is_list else getattr(holder, name)
    if is_list or field.message_type is not None:
        raise Refused([f"{address}: {name} is a block; name one value in it"], BAD_DATA)
    before = getattr(holder, name) if not field.has_presence or holder.HasField(name) else None
    try:
        setattr(holder, name, value)
    except (TypeError, ValueError) as error:
        raise Refused([f"{address}: {value!r} does not fit the field: {error}"], BAD_DATA) from error
    return before
