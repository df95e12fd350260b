"""Builds digest.cc in many ways and compares what the programs print with digest.txt.

    compilers.py COMPILER BUILD_FOLDER

One compiler, at -O0 and -O3, for three x86-64 levels, over double and over Pack: twelve programs, one digest. A
thirteenth, built to contract a * b + c into one rounding, must print another, or the batch would notice nothing. Exits
0 when all is so, 1 when not, 77 (skipped) when there is no such compiler. Levels the processor lacks are named and left
out.
"""

import os
import shutil
import subprocess
import sys

SKIPPED = 77
# An object made before from the same text need not be made again.
CACHE = ["ccache"] if shutil.which("ccache") else []
HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
FLAGS = "-std=c++20 -Wall -Wextra -Werror -Wno-psabi -ffp-contract=off -fno-math-errno -fno-trapping-math".split()
# x86-64 level: what /proc/cpuinfo must list for it.
LEVELS = {
    "x86-64": [],
    "x86-64-v3": ["avx2", "fma", "bmi2"],
    "x86-64-v4": ["avx512f", "avx512bw", "avx512cd", "avx512dq", "avx512vl"],
}
OPTIMISATIONS = ["-O0", "-O3"]
SCALARS = {"double": "double", "Pack": "brakeward::math::Pack"}


def processor_flags():
    with open("/proc/cpuinfo", encoding="utf-8") as info:
        for line in info:
            if line.startswith("flags"):
                return set(line.split())
    return set()


def expected_digest():
    with open(os.path.join(HERE, "digest.txt"), encoding="utf-8") as file:
        return [line for line in file.read().splitlines() if not line.startswith("#")][0]


def digest_of(compiler, folder, level, optimisation, scalar, *more):
    name = "_".join(["digest", os.path.basename(compiler), level, optimisation, scalar, *more])
    program = os.path.join(folder, name)
    command = [*CACHE, compiler, *FLAGS, f"-march={level}", optimisation, f"-DTESTED_REAL={SCALARS[scalar]}", *more]
    command += ["-I", os.path.join(ROOT, "service"), "-I", os.path.join(ROOT, "tests")]
    subprocess.run([*command, "-c", os.path.join(HERE, "digest.cc"), "-o", f"{program}.o"], check=True)
    subprocess.run([compiler, f"{program}.o", "-o", program], check=True)
    return subprocess.run([program], check=True, stdout=subprocess.PIPE, text=True).stdout.strip()


def main():
    compiler, folder = shutil.which(sys.argv[1]), sys.argv[2]
    if compiler is None:
        print(f"skipped: there is no {sys.argv[1]}")
        return SKIPPED
    os.makedirs(folder, exist_ok=True)
    expected, have, wrong = expected_digest(), processor_flags(), 0
    for level, needs in LEVELS.items():
        missing = [flag for flag in needs if flag not in have]
        if missing:
            print(f"left out: {level}, this processor lacks {' '.join(missing)}")
            continue
        for optimisation in OPTIMISATIONS:
            for scalar in SCALARS:
                digest = digest_of(compiler, folder, level, optimisation, scalar)
                verdict = "as expected" if digest == expected else f"not {expected}"
                wrong += digest != expected
                print(f"{os.path.basename(compiler)} -march={level} {optimisation} {scalar}: {digest}, {verdict}")
    if not any(flag not in have for flag in LEVELS["x86-64-v3"]):
        contracted = digest_of(compiler, folder, "x86-64-v3", "-O3", "double", "-ffp-contract=fast")
        wrong += contracted == expected
        print(f"contracted: {contracted}, which must differ")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
