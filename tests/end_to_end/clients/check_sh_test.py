"""The shell example against the real service: candidates that pass, fail and cannot be checked.

    check_sh_test.py BRAKEWARD

Takes buf from BUF or the PATH, else by npm into a folder of its own; without either the test is skipped.
"""

import json
import os
import sys
import tempfile

from serving import CLIENTS, Checks, Serving, find_buf, skip

def run(program, buf):
    checks = Checks()
    with Serving(program) as service:
        script = os.path.join(CLIENTS, "check.sh")
        environment = {"BUF": buf, "BRAKEWARD_SERVER": service.address}

        def expect(what, arguments, exit_code, *wanted):
            return checks.expect_run(what, [script, *arguments], exit_code, *wanted, environment=environment)

        def candidate(**changes):
            """A file with the released calibration, changed as a shell script would do it."""
            calibration = json.loads(expect("the released calibration", ["calibration", "sorrel"], 0, '"released"'))
            calibration.pop("eventBuild")
            calibration["name"] = "variant"
            for block, values in changes.items():
                calibration[block].update(values)
            with open(service.file("variant.json"), "w", encoding="utf-8") as file:
                json.dump(calibration, file)
            return service.file("variant.json")

        expect("health", ["health"], 0, f"{service.address} takes calls")
        expect("libraries", ["libraries"], 0, "libraries/sorrel: car sorrel, 39 scenarios, baseline corrie-r1",
               "libraries/bracken: car bracken, ")  # fmt: skip
        file = candidate(handControl={"lowPassHz": 40})
        said = expect("a better candidate", ["check", "sorrel", file], 0, "variant against corrie-r1: pass, 42 of 42",
                      "qualified person")  # fmt: skip
        checks.expect("every scenario is told once", said.count("  pass          ") == 42, said)
        file = candidate(pressureControl={"riseLimitBarPerS": 360})
        expect("a candidate that is too slow", ["check", "sorrel", file], 1, "variant against corrie-r1: fail",
               "  fail          step_hand\n", "delay")  # fmt: skip
        file = candidate(handControl={"lowPassHz": 900}, supervision={"faultDebounceMs": 0})
        expect("values out of range", ["check", "sorrel", file], 65, "invalid_argument",
               "calibration.hand_control.low_pass_hz: ", "calibration.supervision.fault_debounce_ms: ")  # fmt: skip
        file = candidate(handControl={"lowPasHz": 20})
        expect("a field that is not there", ["check", "sorrel", file], 65, "lowPasHz")
        with open(file, "w", encoding="utf-8") as text:
            text.write('{"name": ')
        expect("a file that is no JSON", ["check", "sorrel", file], 65, "variant.json: is no JSON")
        expect("a file that is not there", ["check", "sorrel", service.file("none.json")], 65, "cannot be read")
        file = candidate()
        expect("a library that is not held", ["check", "chestnut", file], 65, "not_found", "libraries/sorrel")
        expect("wrong usage", ["check", "sorrel"], 64, "check LIBRARY FILE.json")
        checks.expect("the service stops cleanly", service.stop() == 0, service.log())
        expect("nobody there", ["health"], 69, "unavailable")
    checks.end()


def main():
    (program,) = sys.argv[1:]
    with tempfile.TemporaryDirectory(prefix="brakeward_buf_") as folder:
        run(program, find_buf(folder) or skip("buf is not here, and npm could not install it"))


if __name__ == "__main__":
    main()
