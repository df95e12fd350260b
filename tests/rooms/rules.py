"""The rules of the house, one function each; each takes the root of a tree and returns a list of findings."""

import re

from tree import CODE_SUFFIXES, FLOORS, HIDDEN_FROM, PROTOBUF_ROOMS, TOP_FILES, TOP_FOLDERS
from tree import Finding, files_under, line_of, read, room_of, top_level, without_comments

LONGEST_FILE = 600
LONG_FILE = 400

# Headers of one library -> the only rooms that may see them.
ONLY_IN = [
    (re.compile(r"^google/protobuf/|\.pb\.h$"), PROTOBUF_ROOMS, "protobuf"),
    (re.compile(r"^grpc(pp)?/|^grpc"), {"rpc"}, "gRPC"),
    (re.compile(r"^prometheus/"), {"metrics"}, "Prometheus"),
    (re.compile(r"^sqlite3"), {"store"}, "SQL"),
    (re.compile(r"^hdf5|^H5"), {"report"}, "HDF5"),
]
ONLY_LINKED_IN = [
    (re.compile(r"^protobuf::|^brakeward_proto$"), PROTOBUF_ROOMS, "protobuf"),
    (re.compile(r"^gRPC::|^brakeward_rpc_proto$"), {"rpc"}, "gRPC"),
    (re.compile(r"^prometheus"), {"metrics"}, "Prometheus"),
    (re.compile(r"^SQLite::"), {"store"}, "SQL"),
    (re.compile(r"^hdf5|^\$\{HDF5_"), {"report"}, "HDF5"),
]

_INCLUDE = re.compile(r'^[ \t]*#[ \t]*include[ \t]*["<]([^">\n]+)[">]', re.MULTILINE)

# Functions whose last bit is not fixed by IEEE 754 and differs between maths libraries.
_MATHS = (
    "exp exp2 exp10 expm1 pow sin cos tan sincos asin acos atan atan2 sinh cosh tanh asinh acosh atanh "
    "log log2 log10 log1p cbrt hypot erf erfc tgamma lgamma"
).split()
_NAMES = "|".join(_MATHS)
# std:: and :: by name; unqualified calls too, but not members and qualified names.
_STD_MATHS = re.compile(rf"(?:\bstd\s*::\s*|(?<![\w>])::\s*|__builtin_)(?:{_NAMES})[fl]?\b")
_BARE_MATHS = re.compile(rf"(?<![\w.:>~])(?:{_NAMES})[fl]?\s*\(")
# Where math's own functions are in scope they hide the C library's of the same names.
_MATH_IN_SCOPE = re.compile(r"\busing\s+namespace\s+(?:brakeward::)?math\s*;")
_CHANCE = re.compile(
    r"\bstd\s*::\s*\w+_distribution\b|\bstd\s*::\s*(?:random_device|default_random_engine|shuffle|sample|"
    r"random_shuffle)\b|(?<![\w.:>])(?:std\s*::\s*)?s?rand\s*\("
)
_UNORDERED = re.compile(r"\bstd\s*::\s*(?:reduce|transform_reduce|execution\s*::)")
_LOOSE_FLAGS = re.compile(
    r"-ffast-math|-Ofast|-funsafe-math-optimizations|-fassociative-math|-ffinite-math-only|-mrecip|"
    r"-ffp-contract=(?:fast|on)"
)

# (path, rule) pairs that may break the determinism rules, each with its reason. Keep it short.
ALLOWED_MATHS = {}


def code_files(root, folder="service"):
    return [path for path in files_under(root, folder) if path.endswith((".cc", ".h"))]


def includes(root, path):
    """(line, header) of every #include of a file."""
    text = without_comments(read(root, path))
    return [(line_of(text, m.start(1)), m.group(1)) for m in _INCLUDE.finditer(text)]


def sees(room, other):
    """Why the room may not see the other, or None."""
    if other == room:
        return None
    if FLOORS[other] >= FLOORS[room]:
        return f"{room} (floor {FLOORS[room]}) must not see {other} (floor {FLOORS[other]})"
    if other in HIDDEN_FROM.get(room, ()):
        return f"{room} must not see {other}"
    return None


def floors_of_includes(root):
    """Includes go down the floors only; libraries stay in their rooms; every file belongs to a room."""
    found = []
    for path in code_files(root):
        room = room_of(path[len("service/") :])
        if room is None:
            found.append(Finding(path, 0, "belongs to no known room"))
            continue
        for line, header in includes(root, path):
            if header.startswith(".."):
                found.append(Finding(path, line, f'"{header}": include from service/, not by a relative path'))
            for pattern, rooms, name in ONLY_IN:
                if pattern.search(header) and room not in rooms:
                    found.append(Finding(path, line, f"{room} must not see {name} ({header})"))
            other = room_of(header)
            why = sees(room, other) if other else None
            if why:
                found.append(Finding(path, line, f"{why} ({header})"))
    return found


def may_include_kernel(path, kernel_room):
    """Whether the file may include an *.inl.h of the room."""
    if path.endswith(".inl.h") or re.match(r"service/replay/engine_\w+\.cc$", path) or path.startswith("tests/"):
        return True
    return kernel_room == "math" and re.match(r"service/math/[\w/]+\.cc$", path) is not None


def kernels_stay_in_the_engine(root):
    """*.inl.h are compiled into the engine's own translation units only.

    An inline function that is also compiled elsewhere could become the program's only copy, with instructions the
    machine lacks. Tests may include kernels: a test is compiled for the base instruction set throughout.
    """
    found = []
    for path in code_files(root):
        for line, header in includes(root, path):
            if path.endswith(".inl.h") and header in ("cmath", "math.h"):
                found.append(Finding(path, line, f"a kernel must not see the C library's maths (<{header}>)"))
            if header.endswith(".inl.h") and not may_include_kernel(path, room_of(header)):
                found.append(Finding(path, line, f"only replay/engine_*.cc and other *.inl.h include {header}"))
    return found


def same_bits(root):
    """No maths or chance whose bits differ between libraries; no flag that lets a compiler change values."""
    found = []
    for path in code_files(root):
        if path in ALLOWED_MATHS:
            continue
        text = without_comments(read(root, path), strings_too=True)
        checks = [
            (_STD_MATHS, "use the math room"),
            (_CHANCE, "use the math room's generator"),
            (_UNORDERED, "add in order"),
        ]
        if not path.startswith("service/math/") and not _MATH_IN_SCOPE.search(text):
            checks.append((_BARE_MATHS, "use the math room, qualified"))
        for pattern, remedy in checks:
            for match in pattern.finditer(text):
                word = match.group(0).strip(" (")
                what = f"{word}: not the same bits everywhere; {remedy}"
                found.append(Finding(path, line_of(text, match.start()), what))
    for path in ["CMakeLists.txt"] + [p for f in ("service", "tests", "proto") for p in cmake_files(root, f)]:
        text = without_cmake_comments(read(root, path))
        for match in _LOOSE_FLAGS.finditer(text):
            found.append(Finding(path, line_of(text, match.start()), f"{match.group(0)}: values may change"))
        march = text.find("-march")
        if march >= 0 and path.startswith("service/") and path != "service/replay/CMakeLists.txt":
            what = "-march: only replay/engine_*.cc are built for more than x86-64"
            found.append(Finding(path, line_of(text, march), what))
    return found


def cmake_files(root, folder):
    return [p for p in files_under(root, folder) if p.endswith(("CMakeLists.txt", ".cmake"))]


def without_cmake_comments(text):
    return re.sub(r"#[^\n]*", "", text)


def room_of_target(target):
    """Room of a CMake target: brakeward_replay and brakeward_replay_x are replay's; None when it names no room."""
    if target == "brakeward":
        return "app"
    if target == "brakeward_model":  # all four, headers only: each may link what any of them may
        return "model/plant"
    name = target[len("brakeward_") :]
    for room in sorted(FLOORS, key=len, reverse=True):
        for spelling in (room.replace("/", "_"), room.split("/")[-1]):
            if name == spelling or name.startswith(spelling + "_"):
                return room
    return None


def floors_of_links(root):
    """Link lines go down the floors only."""
    found = []
    command = re.compile(r"\b(brakeward_room|target_link_libraries)\s*\(([^)]*)\)")
    for path in cmake_files(root, "service"):
        text = without_cmake_comments(read(root, path))
        for match in command.finditer(text):
            words = match.group(2).replace('"', "").split()
            if not words or "$" in words[0]:
                continue
            if match.group(1) == "brakeward_room":
                words = [f"brakeward_{words[0]}"] + (words[words.index("LINKS") + 1 :] if "LINKS" in words else [])
            line = line_of(text, match.start())
            found += [Finding(path, line, why) for why in wrong_links(words[0], words[1:])]
    return found


def wrong_links(target, links):
    """Sentences about the links that the target must not have."""
    room = room_of_target(target)
    if room is None:
        return [f"{target} belongs to no known room"]
    wrong = []
    for link in links:
        for pattern, rooms, name in ONLY_LINKED_IN:
            if pattern.search(link) and room not in rooms:
                wrong.append(f"{room} must not link {name} ({link})")
        if link.startswith("brakeward_") and link != "brakeward_proto":
            other = room_of_target(link)
            why = sees(room, other) if other else f"{link} belongs to no known room"
            if why:
                wrong.append(f"{why} ({target} links {link})")
    return wrong


def short_files(root):
    """No file of code over the longest length."""
    return [
        Finding(path, 0, f"{lines} lines; {LONGEST_FILE} is the most, it probably holds two ideas")
        for path, lines in lengths(root)
        if lines > LONGEST_FILE
    ]


def lengths(root):
    """(path, lines) of all code under service/ and tests/."""
    paths = [p for folder in ("service", "tests") for p in files_under(root, folder) if p.endswith(CODE_SUFFIXES)]
    return [(path, read(root, path).count("\n")) for path in paths]


def fixed_top(root):
    """Nothing at the top but what is meant to be there."""
    allowed = TOP_FILES | TOP_FOLDERS
    return [
        Finding(name, 0, "does not belong at the top level, which is fixed")
        for name in top_level(root)
        if name not in allowed and not name.startswith(".")
    ]


RULES = [floors_of_includes, kernels_stay_in_the_engine, same_bits, floors_of_links, short_files, fixed_top]
