"""Plants one violation of each rule in a small clean tree; each must be found, and nothing else.

check_test.py SCRATCH: the trees are laid out in the folder SCRATCH, which is emptied first.
"""

import os
import sys

import rules

CLEAN = {
    "CMakeLists.txt": "add_compile_options(-ffp-contract=off)\n",
    "LICENSE": "",
    ".gitignore": "",
    "service/math/elementary.inl.h": "double exp(double x);  // not std::exp(x)\n",
    "service/math/rng.cc": '#include "math/elementary.inl.h"\n#include <cmath>\n',
    "service/math/CMakeLists.txt": "brakeward_room(math SOURCES rng.cc)\n",
    "service/model/plant/plant.inl.h": '#include "math/elementary.inl.h"\n#include "signal/signal.h"\n'
    "using namespace math;\ndouble a = exp(1.0);\n",
    "service/model/plant/CMakeLists.txt": "brakeward_room(model_plant SOURCES a.cc LINKS brakeward_signal)\n",
    "service/signal/signal.h": 'const char* k = "std::sin(x)";\nconst char* r = R"(rand())";\nconst char c = \'"\';\n',
    "service/replay/engine_double.cc": '#include "model/plant/plant.inl.h"\n',
    "service/model/CMakeLists.txt": "target_link_libraries(brakeward_model INTERFACE brakeward_math)\n",
    "service/replay/CMakeLists.txt": "set_source_files_properties(engine_v3.cc PROPERTIES COMPILE_OPTIONS -march=x86-64-v3)\n",
    "service/compile/plan.cc": '#include "brakeward/v1/vehicle.pb.h"\n#include "replay/plan.h"\n'
    "double a = math::exp(1) + std::sqrt(2.0);\n",
    "service/compile/CMakeLists.txt": "brakeward_room(compile SOURCES a.cc\n  LINKS brakeward_replay brakeward_proto)\n",
    "service/app/CMakeLists.txt": "add_executable(brakeward a.cc)\n"
    "target_link_libraries(brakeward PRIVATE brakeward_gate)\n",
    "tests/unit/plant_test.cc": '#include "model/plant/plant.inl.h"\n',
}

# (file, its text, words the one finding must hold)
PLANTS = [
    ("service/signal/up.h", '#include "model/plant/plant.h"\n', "signal (floor 1) must not see model/plant"),
    ("service/model/plant/side.h", '#include "model/control/control.h"\n', "must not see model/control"),
    ("service/verdict/side.h", '#include "replay/plan.h"\n', "must not see replay (floor 5)"),
    ("service/replay/hidden.cc", "#include <scenario/library.h>\n", "replay must not see scenario"),
    ("service/math/relative.h", '#include "../signal/signal.h"\n', "not by a relative path"),
    ("service/report/json.cc", '#  include "brakeward/v1/run.pb.h"\n', "report must not see protobuf"),
    ("service/measure/fold.cc", "#include <google/protobuf/message.h>\n", "measure must not see protobuf"),
    ("service/gate/call.cc", "#include <grpcpp/grpcpp.h>\n", "gate must not see gRPC"),
    ("service/gate/count.cc", "#include <prometheus/counter.h>\n", "gate must not see Prometheus"),
    ("service/rpc/rows.cc", "#include <sqlite3.h>\n", "rpc must not see SQL"),
    ("service/physics/new.cc", "int a;\n", "belongs to no known room"),
    ("service/model/common.h", "int a;\n", "belongs to no known room"),
    ("service/replay/plan.cc", '#include "model/plant/plant.inl.h"\n', "only replay/engine_*.cc"),
    ("service/replay/filter.cc", '#include "math/elementary.inl.h"\n', "only replay/engine_*.cc"),
    ("service/model/fault/b.inl.h", "#include <cmath>\n", "must not see the C library's maths"),
    ("service/replay/a.cc", "double a = std::exp(1.0);\n", "std::exp: not the same bits"),
    ("service/math/a.cc", "double a = std :: atan2f(1, 2);\n", "not the same bits"),
    ("service/math/b.cc", "double a = ::log1p(1);\n", "not the same bits"),
    ("service/measure/a.cc", "using std::pow;\n", "std::pow: not the same bits"),
    ("service/measure/b.cc", "double a = 2 * sin(1.0);\n", "sin: not the same bits"),
    ("service/measure/c.cc", "double a = __builtin_cos(1.0);\n", "not the same bits"),
    ("service/measure/d.cc", "/* x */ double a = hypot (1, 2); // y\n", "hypot: not the same bits"),
    ("service/model/driver/a.cc", "std::normal_distribution<double> d;\n", "std::normal_distribution"),
    ("service/model/driver/b.cc", "int a = rand();\n", "rand: not the same bits"),
    ("service/model/driver/c.cc", "std::random_device d;\n", "std::random_device"),
    ("service/verdict/a.cc", "double a = std::reduce(x, y);\n", "std::reduce"),
    ("service/replay/fast.cmake", "add_compile_options(-ffast-math)\n", "-ffast-math: values may change"),
    ("tests/unit/CMakeLists.txt", "add_compile_options(-ffp-contract=fast)\n", "values may change"),
    ("service/measure/CMakeLists.txt", "add_compile_options(-march=native)\n", "only replay/engine_*.cc are built"),
    (
        "service/signal/CMakeLists.txt",
        "brakeward_room(signal SOURCES a.cc LINKS\n  brakeward_recording)\n",
        "must not see recording",
    ),
    (
        "service/model/CMakeLists.txt",
        "target_link_libraries(brakeward_model INTERFACE brakeward_replay)\n",
        "must not see replay",
    ),
    (
        "service/report/CMakeLists.txt",
        "target_link_libraries(brakeward_report PUBLIC brakeward_proto)\n",
        "report must not link protobuf",
    ),
    (
        "service/verdict/CMakeLists.txt",
        "target_link_libraries(brakeward_verdict PUBLIC gRPC::grpc++)\n",
        "must not link gRPC",
    ),
    ("service/store/CMakeLists.txt", "brakeward_room(stores LINKS x)\n", "brakeward_stores belongs to no known room"),
    ("service/gate/long.cc", "int a;\n" * 601, "601 lines"),
    ("tests/unit/long.py", "a = 1\n" * 601, "601 lines"),
    ("notes.txt", "", "does not belong at the top level"),
    ("tools/a.sh", "", "does not belong at the top level"),
]


def write(root, path, text):
    full = os.path.join(root, path)
    os.makedirs(os.path.dirname(full), exist_ok=True)
    with open(full, "w", encoding="utf-8") as file:
        file.write(text)


def remove(root):
    for here, folders, files in os.walk(root, topdown=False):
        for name in files:
            os.remove(os.path.join(here, name))
        for name in folders:
            os.rmdir(os.path.join(here, name))


def findings_of(root, files):
    remove(root)
    for path, text in files.items():
        write(root, path, text)
    return [str(finding) for rule in rules.RULES for finding in rule(root)]


def main():
    scratch = os.path.join(sys.argv[1], "planted_tree")
    wrong = []
    found = findings_of(scratch, CLEAN)
    if found:
        wrong.append(f"the clean tree is said to break: {found}")
    for path, text, words in PLANTS:
        found = findings_of(scratch, {**CLEAN, path: text})
        if len(found) != 1 or words not in found[0]:
            wrong.append(f"planted in {path}: expected one finding with '{words}', got {found}")
    print("\n".join(wrong))
    print(f"{len(PLANTS) + 1 - len(wrong)} of {len(PLANTS) + 1} trees judged rightly")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
