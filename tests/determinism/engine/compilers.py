"""Builds the replay engines with one compiler at -O0 and -O3 and compares their digests with the program's own.

    compilers.py COMPILER PROGRAM BUILD_FOLDER

`PROGRAM selfcheck` prints the digests of the build under test. Exits 0 when all agree, 1 when not, 77 (skipped) when
the compiler or the program is missing.
"""

import os
import shutil
import subprocess
import sys

SKIPPED = 77
# An object made before from the same text need not be made again.
CACHE = ["ccache"] if shutil.which("ccache") else []
HERE = os.path.dirname(os.path.abspath(__file__))
SERVICE = os.path.join(HERE, "..", "..", "..", "service")
FLAGS = "-std=c++20 -Wno-psabi -ffp-contract=off -fno-math-errno -fno-trapping-math -I".split() + [SERVICE]
PLAIN = ["replay/self_check.cc", "replay/replay.cc", "replay/workers.cc", "math/curve.cc"]
ENGINES = {"double": "x86-64-v3", "v3": "x86-64-v3", "v4": "x86-64-v4"}
LIBRARIES = "-labsl_status -labsl_statusor -labsl_strings -labsl_cord -lpthread".split()


def digests(text):
    return {line.split()[-1] for line in text.splitlines() if len(line.split()[-1]) == 16}


def build(compiler, level, folder):
    objects = []
    units = [(source, []) for source in PLAIN] + [
        (f"replay/engine_{name}.cc", [f"-march={isa}"]) for name, isa in ENGINES.items()
    ]
    for source, flags in units + [(os.path.join(HERE, "engine_digest.cc"), [])]:
        target = os.path.join(folder, os.path.basename(source) + level + ".o")
        path = source if os.path.isabs(source) else os.path.join(SERVICE, source)
        subprocess.run([*CACHE, compiler, *FLAGS, *flags, level, "-c", path, "-o", target], check=True)
        objects.append(target)
    program = os.path.join(folder, f"engine_digest{level}")
    subprocess.run([compiler, *objects, "-o", program, *LIBRARIES], check=True)
    return program


def main():
    compiler, program, folder = shutil.which(sys.argv[1]), sys.argv[2], sys.argv[3]
    if compiler is None or not os.path.exists(program):
        print(f"skipped: there is no {sys.argv[1] if compiler is None else program}")
        return SKIPPED
    folder = os.path.join(folder, os.path.basename(compiler))  # several compilers may be at work at once
    os.makedirs(folder, exist_ok=True)
    own = subprocess.run([program, "selfcheck"], check=True, stdout=subprocess.PIPE, text=True).stdout
    wanted = {line.split()[-1] for line in own.splitlines() if line.startswith(("scalar", "x86-64"))} - {"level"}
    print(f"{program}: {' '.join(sorted(wanted))}")
    wrong = len(wanted) != 1
    for level in ["-O0", "-O3"]:
        made = build(compiler, level, folder)
        found = digests(subprocess.run([made], check=True, stdout=subprocess.PIPE, text=True).stdout)
        wrong = wrong or found != wanted
        print(f"{os.path.basename(compiler)} {level}: {' '.join(sorted(found))}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
