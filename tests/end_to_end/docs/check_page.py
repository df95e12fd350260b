"""Runs every command of a Markdown page, from top to bottom in one shell, and compares what it prints with the page. Links
to files must lead somewhere.

    check_page.py BRAKEWARD PAGE [--write]

With --write the lines that console blocks show are replaced by those printed, where they differ and nothing is left out
with `...`; look at what changed before you keep it.

The shell runs in a copy of what a reader has after building: program, documents and scripts, on ports of its own.
blocks.py says how a page is written. Exit codes: 0 all as the page says, 1 not, 77 a program is missing for some block.
"""

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
import blocks
from checks import SKIPPED, find_buf, free_ports

SOURCE = os.path.normpath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "../../.."))
DEADLINE_S = 120
PORTS = re.compile(r"\b127\.0\.0\.1:(864\d)\b")  # those the pages and the shipped examples use
MARK = "--- piece {} of the page ---"


class Tree:
    """A folder with what the commands touch. The examples' ports are replaced by free ones, `here` and `there` tell."""

    def __init__(self, program):
        self._home = tempfile.TemporaryDirectory(prefix="brakeward_", ignore_cleanup_errors=True)
        self.folder = self._home.name
        self._ports = dict(zip((f"864{k}" for k in range(10)), free_ports(10)))
        os.mkdir(self._path("build"))
        os.symlink(os.path.abspath(program), self._path("build/brakeward"))
        os.symlink(os.path.join(os.path.dirname(os.path.abspath(program)), "tests"), self._path("build/tests"))
        os.symlink(os.path.join(SOURCE, "proto"), self._path("proto"))
        for name in ("scenarios", "deploy"):
            shutil.copytree(os.path.join(SOURCE, name), self._path(name))
        for folder, _, files in os.walk(self._path("deploy")):
            for name in files:
                self._replace(os.path.join(folder, name))

    def _path(self, name):
        return os.path.join(self.folder, name)

    def _replace(self, file):
        with open(file, encoding="utf-8") as source:
            text = source.read()
        if PORTS.search(text):
            with open(file, "w", encoding="utf-8") as target:
                target.write(self.here(text))

    def has(self, name):
        """Whether the shell finds a program; buf may come from npm."""
        if name == "buf":
            found = find_buf(self._path("tools"))
            if found:
                os.makedirs(self._path("bin"), exist_ok=True)
                os.symlink(found, self._path("bin/buf"))
            return bool(found)
        return shutil.which(name) is not None

    def here(self, text):
        return PORTS.sub(lambda found: f"127.0.0.1:{self._ports[found.group(1)]}", text)

    def there(self, text):
        """What was printed here, as a reader sees it."""
        for port, free in self._ports.items():
            text = text.replace(f"127.0.0.1:{free}", f"127.0.0.1:{port}")
        return text.replace(self.folder, "/home/you/brakeward")

    def run(self, pieces):
        """Runs pieces of shell one after the other; what each printed, as lines, and whether they came to an end. Nothing
        that was started outlives it."""
        script = "exec 2>&1\n"
        for number, piece in enumerate(pieces):
            script += f"echo; echo '{MARK.format(number)}'\n{self.here(piece.shell)}\n"
        with open(self._path("page.sh"), "w", encoding="utf-8") as file:
            file.write(script)
        with open(self._path("page.txt"), "wb") as file:
            shell = subprocess.Popen(
                ["bash", self._path("page.sh")],
                cwd=self.folder,
                env={
                    **os.environ,
                    "PATH": self._path("bin") + os.pathsep + os.environ["PATH"],
                    "PYTHONDONTWRITEBYTECODE": "1",
                },
                stdin=subprocess.DEVNULL,
                stdout=file,
                start_new_session=True,
            )
        ended = True
        try:
            shell.wait(DEADLINE_S)
        except subprocess.TimeoutExpired:
            ended = False
        finally:
            try:
                os.killpg(shell.pid, signal.SIGKILL)
            except ProcessLookupError:
                pass
            shell.wait()
        with open(self._path("page.txt"), encoding="utf-8", errors="replace") as file:
            printed = self.there(file.read())
        parts = re.split("^" + MARK.format(r"\d+") + "\n", printed, flags=re.MULTILINE)
        return [part.rstrip("\n").splitlines() for part in parts[1:]], ended

    def close(self):
        self._home.cleanup()


def faults(piece, block, printed):
    """What is not as the page says, as text."""
    shell, shown, _ = piece
    if printed is None:
        return f"never came to\n{shell}"
    if block.language == "console":
        wrong = not blocks.agrees(shown, printed)
        missing = "\n".join(shown)
    else:
        codes = [[line for line in lines if re.fullmatch(r"exit code \d+", line)] for lines in (shown, printed)]
        missing = blocks.appears(shown, printed)
        wrong = missing is not None or codes[0] != codes[1]
    return f"\n{shell}--- the page shows\n{missing}\n--- it prints\n" + "\n".join(printed) if wrong else ""


def dead_links(page, text):
    targets = re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", re.sub(r"^```.*?^```", "", text, flags=re.MULTILINE | re.DOTALL))
    files = [target for target in targets if "://" not in target]
    return [file for file in files if not os.path.exists(os.path.join(os.path.dirname(page), file))]


def write(page, text, pieces, printed):
    """Puts what was printed into the console blocks."""
    lines = text.splitlines()
    for piece, said in reversed(list(zip(pieces, printed))):
        if piece.line and not blocks.agrees(piece.shown, said) and "..." not in piece.shown:
            lines[piece.line - 1 : piece.line - 1 + len(piece.shown)] = said
    with open(page, "w", encoding="utf-8") as file:
        file.write("\n".join(lines) + "\n")


def main():
    program, page = sys.argv[1:3]
    with open(page, encoding="utf-8") as file:
        text = file.read()
    try:
        found = blocks.blocks_of(text)
    except blocks.Faulty as fault:
        print(f"{page}: {fault}")
        return 1
    tree = Tree(program)
    try:
        missing = {name for name in {name for block in found for name in block.needs} if not tree.has(name)}
        left_out = [block for block in found if block.not_run or missing.intersection(block.needs)]
        pieces = [(piece, block) for block in found if block not in left_out for piece in block.pieces()]
        printed, ended = tree.run([piece for piece, _ in pieces])
    finally:
        tree.close()
    if sys.argv[3:] == ["--write"]:
        write(page, text, [piece for piece, _ in pieces], printed)
    wrong = 0 if ended else 1
    for link in dead_links(page, text):
        wrong += 1
        print(f"{page}: the link {link} leads nowhere")
    if not ended:
        print(f"{page}: not through after {DEADLINE_S} s; the piece it stuck at:\n{pieces[len(printed) - 1][0].shell}")
    for k, (piece, block) in enumerate(pieces):
        fault = faults(piece, block, printed[k] if k < len(printed) else None)
        if fault:
            wrong += 1
            print(f"{page}:{block.line}: {fault}")
    for block in left_out:
        print(f"{page}:{block.line}: not run: {block.not_run or ', '.join(sorted(missing)) + ' not found'}")
    print(f"{page}: {len(pieces)} pieces run, {wrong} print something else, {len(left_out)} blocks not run")
    if wrong:
        return 1
    return SKIPPED if missing else 0


if __name__ == "__main__":
    sys.exit(main())
