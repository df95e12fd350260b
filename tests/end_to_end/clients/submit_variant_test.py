"""The Python example against the real service: variants that pass, fail and cannot be checked, and its picture.

    submit_variant_test.py BRAKEWARD
"""

import os
import shutil
import sys

from serving import CLIENTS, Checks, Serving, skip

LEAST_BYTES = 20_000  # a picture with axes and no curve has about half of this
LEAST_COLOURS = 20


def check_picture(checks, file):
    """Size, and that the curves, not only paper and frame, are in it: pixels as matplotlib itself reads them."""
    import matplotlib.image
    import numpy

    checks.expect("the picture was written", os.path.exists(file))
    if not os.path.exists(file):
        return
    checks.expect("the picture has some weight", os.path.getsize(file) > LEAST_BYTES, os.path.getsize(file))
    pixels = matplotlib.image.imread(file)
    colours = numpy.unique((pixels[:, :, :3] * 255).round().astype(int).reshape(-1, 3), axis=0)
    checks.expect("the picture is large", pixels.shape[0] >= 600 and pixels.shape[1] >= 800, pixels.shape)
    checks.expect("the picture has more than paper and ink", len(colours) > LEAST_COLOURS, len(colours))
    # Grey, orange and blue: released, variant and what the driver did.
    red, green, blue = (pixels[:, :, i] for i in range(3))
    orange, bluish = (red > blue + 0.3) & (red > green + 0.2), (blue > red + 0.2)
    for name, mask in (("variant's curve", orange), ("driver's curve", bluish)):
        checks.expect(f"the {name} is drawn", mask.sum() > 500, mask.sum())


def main():
    (program,) = sys.argv[1:]
    try:
        import google.protobuf  # noqa: F401
        import grpc  # noqa: F401
        import matplotlib  # noqa: F401
    except ImportError as error:
        skip(f"{error}; install the packages under [test] in deploy/packages.txt")
    if not shutil.which("protoc") or not shutil.which("grpc_python_plugin"):
        skip("protoc or grpc_python_plugin not found")
    checks = Checks()
    with Serving(program) as service:
        script = [sys.executable, "-B", os.path.join(CLIENTS, "python", "submit_variant.py")]
        submit = script + ["--server", service.address]

        picture = service.file("variant.png")
        said = checks.expect_run(
            "a better variant", submit + ["--name", "quicker", "--set", "hand_control.low_pass_hz=40",
                                          "--set", "pressure_control.rise_limit_bar_per_s=550",
                                          "--plot", picture],
            0, "hand_control.low_pass_hz: 25.0 -> 40.0", "quicker against corrie-r1: pass, 42 of 42",
            "pass          step_hand", "worst in ", "qualified person", f"wrote {picture}")  # fmt: skip
        checks.expect("every scenario is told once", said.count("  pass          ") == 42, said)
        check_picture(checks, picture)

        checks.expect_run(
            "a variant that is too slow", submit + ["--set", "pressure_control.rise_limit_bar_per_s=360"],
            1, "variant against corrie-r1: fail", "fail          step_hand",
            "worst in step_hand: fail, delay")  # fmt: skip
        bracken = service.file("bracken.png")
        checks.expect_run(
            "the other car by the pedal", submit + ["--library", "bracken", "--set", "hand_control.low_pass_hz=30",
                                                    "--scenario", "step_pedal", "--plot", bracken],
            0, "variant against tarn-d1: pass", f"wrote {bracken}")  # fmt: skip
        check_picture(checks, bracken)
        checks.expect_run("the example's own changes", submit, 0, "hand_control.low_pass_hz: 25.0 -> 20",
                          "variant against corrie-r1: pass")  # fmt: skip

        checks.expect_run(
            "values out of range", submit + ["--set", "hand_control.low_pass_hz=900",
                                             "--set", "supervision.fault_debounce_ms=0"],
            65, "INVALID_ARGUMENT", "calibration.hand_control.low_pass_hz: ", "200 Hz",
            "calibration.supervision.fault_debounce_ms: ")  # fmt: skip
        checks.expect_run(
            "addresses that lead nowhere", submit + ["--set", "hand_control.low_pas_hz=20",
                                                     "--set", 'balance.steps["+9"].front_percent=60'],
            65, "hand_control.low_pas_hz: HandControl has no field low_pas_hz", "low_pass_hz",
            'the list has no item "+9"', '"+2"')  # fmt: skip
        checks.expect_run("a library that is not held", submit + ["--library", "chestnut"], 65, "NOT_FOUND",
                          "libraries/sorrel")  # fmt: skip
        checks.expect_run("a scenario that is not there", submit + ["--scenario", "step_foot", "--plot", picture],
                          65, "NOT_FOUND", "step_foot")  # fmt: skip
        checks.expect_run("wrong usage", submit + ["--set", "nothing"], 64, "ADDRESS=VALUE")

        checks.expect("the service stops cleanly", service.stop() == 0, service.log())
        checks.expect_run("nobody there", submit, 69, "UNAVAILABLE")
    checks.end()


if __name__ == "__main__":
    main()
