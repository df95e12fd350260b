"""Looks through the disassembly of a program for vector code outside the engine.

    vector_code.py PROGRAM

Code for AVX and above may stand only in functions of the engine's own translation units; anywhere else a machine
without it would die of SIGILL before it could refuse. Exits 0 when clean, 1 with the names of the functions when
not, 77 (skipped) when there is no program.
"""

import os
import re
import subprocess
import sys

SKIPPED = 77

# The kernels' inline namespaces, and the functions that start an engine.
ENGINE = re.compile(r"\bisa_(?:v3|v4|double|counting)\b|\breplay::run_(?:double|v3|v4|counting)\b")

_FUNCTION = re.compile(r"^[0-9a-f]+ <(.+)>:$")
# ymm, zmm and mask registers, and the encodings of AVX on xmm: their mnemonics start with v, which no older
# instruction on xmm does. verr, verw and the like name no such register.
_VECTOR = re.compile(r"%[yz]mm\d|%k[0-7]\b|\tv\w+\s[^#]*%xmm|\tvzero(?:upper|all)\b")


def functions_with_vector_code(lines):
    """{function: first such instruction} from the lines of `objdump -d -C`."""
    found, function = {}, "(before any symbol)"
    for line in lines:
        start = _FUNCTION.match(line)
        if start:
            function = start.group(1)
        elif _VECTOR.search(line):
            found.setdefault(function, line.split("\t")[-1].strip())
    return found


def disassembly(program):
    command = ["objdump", "-d", "-C", "--no-show-raw-insn", program]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, errors="replace") as objdump:
        yield from objdump.stdout
    if objdump.returncode != 0:
        raise RuntimeError(f"{' '.join(command)} ended with {objdump.returncode}")


def main():
    program = sys.argv[1]
    if not os.path.exists(program):
        print(f"skipped: there is no {program}")
        return SKIPPED
    found = functions_with_vector_code(disassembly(program))
    outside = {name: code for name, code in found.items() if not ENGINE.search(name)}
    for name, code in sorted(outside.items()):
        print(f"vector code outside the engine: {name}: {code}")
    print(f"{len(found)} functions hold vector code, {len(outside)} of them outside the engine")
    return 1 if outside else 0


if __name__ == "__main__":
    sys.exit(main())
