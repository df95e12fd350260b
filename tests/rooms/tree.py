"""What the rules look at: the files of a tree, the floors, and C++ text without its comments and strings.

Only modules of Debian's python3-minimal are used here and in the other files of this folder.
"""

import os
import re
import subprocess

# Room -> floor. A room may include and link only rooms on a lower floor; the four model rooms do not see each other.
FLOORS = {
    "app": 9,
    "rpc": 8,
    "gate": 7,
    "report": 6,
    "metrics": 6,
    "compile": 6,
    "replay": 5,
    "verdict": 5,
    "measure": 4,
    "scenario": 4,
    "model/plant": 3,
    "model/control": 3,
    "model/driver": 3,
    "model/fault": 3,
    "recording": 2,
    "signal": 1,
    "math": 0,
    "document": 0,
    "store": 0,
}
PROTOBUF_ROOMS = {"app", "rpc", "gate", "compile", "scenario", "document"}
# Lower rooms that a room must not see all the same.
HIDDEN_FROM = {"replay": {"document", "recording", "scenario"}}

TOP_FILES = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "LICENSE"}
TOP_FOLDERS = {"proto", "service", "scenarios", "tests", "deploy"}

CODE_SUFFIXES = (".cc", ".h", ".py", ".sh", ".cmake", "CMakeLists.txt")

_COMMENT_OR_STRING = re.compile(
    r'//[^\n]*|/\*.*?\*/|R"([^ ()\\\n]{0,16})\(.*?\)\1"|"(?:\\.|[^"\\\n])*"|(?<![0-9a-fA-F])\'(?:\\.|[^\'\\\n])+\'',
    re.DOTALL,
)


class Finding:
    """A broken rule: where and what."""

    def __init__(self, path, line, text):
        self.path, self.line, self.text = path, line, text

    def __str__(self):
        return f"{self.path}:{self.line}: {self.text}" if self.line else f"{self.path}: {self.text}"


def files_under(root, folder):
    """Paths relative to root of all files under root/folder, sorted."""
    found = []
    for here, _, names in os.walk(os.path.join(root, folder)):
        if "__pycache__" not in here:
            found += [os.path.relpath(os.path.join(here, name), root) for name in names]
    return sorted(found)


def top_level(root):
    """Names at the top that belong to the project: what git tracks, or all but build output without git."""
    if os.path.exists(os.path.join(root, ".git")):
        asked = subprocess.run(["git", "-C", root, "ls-files", "-z"], capture_output=True, text=True)
        if asked.returncode == 0:
            return sorted({path.split("/")[0] for path in asked.stdout.split("\0") if path})
    return sorted(n for n in os.listdir(root) if not n.startswith("build") and n != "out")


def read(root, path):
    with open(os.path.join(root, path), encoding="utf-8", errors="replace") as file:
        return file.read()


def room_of(path):
    """Room of a path relative to service/, or None."""
    parts = path.split("/")
    for length in (2, 1):
        if len(parts) > length and "/".join(parts[:length]) in FLOORS:
            return "/".join(parts[:length])
    return None


def without_comments(text, strings_too=False):
    """The text with comments, and strings when asked, blanked; line numbers stay."""

    def blank(match):
        whole = match.group(0)
        if whole.startswith("/") or strings_too:
            return " " + "\n" * whole.count("\n")
        return whole

    return _COMMENT_OR_STRING.sub(blank, text)


def line_of(text, offset):
    return text.count("\n", 0, offset) + 1
