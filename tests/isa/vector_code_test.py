"""Compiles a program with vector code in and outside the engine's names; only the latter must be reported.

vector_code_test.py COMPILER SCRATCH
"""

import os
import subprocess
import sys

import vector_code

SOURCE = """
#define WIDE(isa) __attribute__((noinline, target(isa)))
typedef double Four __attribute__((vector_size(32)));
typedef double Eight __attribute__((vector_size(64)));
namespace brakeward::plant { inline namespace isa_v3 {
WIDE("avx2") void kernel(Four* a) { *a = *a * *a; }
} }
namespace brakeward::replay {
WIDE("avx512f") void run_v4(Eight* a) { *a = *a * *a; }
WIDE("avx2") void plan_wide(Four* a) { *a = *a * *a; }
}
namespace brakeward::report {
WIDE("avx512f") void table_wide(Eight* a) { *a = *a * *a; }
WIDE("avx") void table_scalar(double* a) { *a = *a * *a; }
__attribute__((noinline)) void table_plain(double* a) { a[0] = a[0] * a[1]; a[2] = __builtin_sqrt(a[3]); }
}
int main(int argc, char**) {
  alignas(64) double x[8] = {};
  if (argc < 9) return 0;
  brakeward::plant::kernel((Four*)x);
  brakeward::replay::run_v4((Eight*)x);
  brakeward::replay::plan_wide((Four*)x);
  brakeward::report::table_wide((Eight*)x);
  brakeward::report::table_scalar(x);
  brakeward::report::table_plain(x);
}
"""
IN_ENGINE = ["brakeward::plant::isa_v3::kernel", "brakeward::replay::run_v4"]
OUTSIDE = ["brakeward::replay::plan_wide", "brakeward::report::table_scalar", "brakeward::report::table_wide"]


def main():
    compiler, scratch = sys.argv[1:]
    source, program = os.path.join(scratch, "planted.cc"), os.path.join(scratch, "planted")
    with open(source, "w", encoding="utf-8") as file:
        file.write(SOURCE)
    subprocess.run([compiler, "-O2", "-w", "-o", program, source], check=True)

    functions = vector_code.functions_with_vector_code(vector_code.disassembly(program))
    found = sorted(name.split("(")[0] for name in functions)
    print(f"found {found}")
    report = subprocess.run([sys.executable, "-B", vector_code.__file__, program], capture_output=True, text=True)
    reported = sorted(line.split(": ")[1].split("(")[0] for line in report.stdout.splitlines()[:-1])
    print(f"reported {reported}")
    absent = subprocess.run([sys.executable, "-B", vector_code.__file__, program + ".absent"], capture_output=True)
    right = (
        found == sorted(IN_ENGINE + OUTSIDE)
        and report.returncode == 1
        and reported == OUTSIDE
        and absent.returncode == vector_code.SKIPPED
    )
    return 0 if right else 1


if __name__ == "__main__":
    sys.exit(main())
