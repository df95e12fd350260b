"""The manual page and the completion for bash have every command and option of --help; man finds nothing to warn of;
a bash at a terminal completes.

    shell_test.py BRAKEWARD
"""

import os
import pty
import re
import select
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from checks import Checks, need

DEADLINE_S = 30


def help_of(program, path=()):
    """{command path: options}, of the command and all below it, as --help prints them."""
    said = subprocess.run([program, *path, "--help"], stdout=subprocess.PIPE, text=True, check=True).stdout
    options = re.findall(r"^  ((?:-[-\w]+,?)+)", said, re.MULTILINE)
    found = {path: sorted(name for names in options for name in names.split(","))}
    below = said.partition("\nSubcommands:\n")[2].partition("\n\n")[0]
    for command in re.findall(r"^  (\w+)", below, re.MULTILINE):
        found.update(help_of(program, (*path, command)))
    return found


def check_manual(checks, folder, commands):
    page = folder / "brakeward.1"
    warned = subprocess.run(
        ["man", "--warnings", "-E", "UTF-8", "-l", "-Tutf8", "-Z", page],
        env={**os.environ, "LC_ALL": "C.UTF-8", "MANROFFSEQ": "", "MANWIDTH": "80"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    checks.expect("man has nothing to warn of", (warned.returncode, warned.stderr) == (0, ""), warned.stderr)
    text = subprocess.run(
        ["man", "-E", "UTF-8", "-P", "cat", "-l", page],
        env={**os.environ, "LC_ALL": "C.UTF-8", "MANWIDTH": "200"},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    ).stdout
    sections = {(): text.partition("\nOPTIONS\n")[2].partition("\nCOMMANDS\n")[0]}
    for section in re.split(r"^   (?=brakeward )", text, flags=re.MULTILINE)[1:]:
        title, _, body = section.partition("\n")
        sections[tuple(title.split()[1:])] = body
    checks.expect("the manual has every command", set(sections) == set(commands), sorted(sections))
    for path, options in commands.items():
        for option in options:
            at = re.search(rf"^ +(?:\S+, )?{re.escape(option)}\b", sections.get(path, ""), re.MULTILINE)
            checks.expect(f"the manual has {' '.join(path)} {option}", at)
    for part in ("Exit codes: 0 pass", "no release for road or track", "BRAKEWARD_RECORDINGS", "(required)"):
        checks.expect(f"the manual says {part!r}", part in " ".join(text.split()))


def completions(folder, words):
    """What the function offers for the last of the words."""
    script = 'source "$1"; shift; COMP_WORDS=("$@") COMP_CWORD=$(($# - 1)); _brakeward; printf "%s\\n" "${COMPREPLY[@]}"'
    command = ["bash", "--norc", "-c", script, "bash", folder / "completion", "brakeward", *words]
    said = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=True).stdout
    return sorted(said.split())


def check_completion(checks, folder, commands):
    for path, options in commands.items():
        found = completions(folder, [*path, "-"])
        checks.expect(f"the options of {' '.join(path) or 'the program'} are offered", found == options, found)
        below = sorted(other[-1] for other in commands if other[:-1] == path and other)
        found = completions(folder, [*path, ""])
        checks.expect(f"the commands of {' '.join(path) or 'the program'} are offered", found == below, found)
    found = completions(folder, ["check", "--calibration", "export", "--json", "x", "--mark"])
    checks.expect("the value of an option is no command", found == ["--markdown"], found)


class Terminal:
    """A bash at a terminal, without anybody's settings."""

    def __enter__(self):
        self.read = self.unread = ""
        self.process, self.terminal = pty.fork()
        if self.process == 0:
            os.environ.update(PS1="ready> ", TERM="dumb", HISTFILE="", INPUTRC="/dev/null", LC_ALL="C.UTF-8")
            os.execvp("bash", ["bash", "--norc", "--noprofile", "-i"])
        return self

    def say(self, keys):
        os.write(self.terminal, keys.encode())

    def read_until(self, text):
        """Reads what is printed up to the text and with it."""
        end = time.monotonic() + DEADLINE_S
        while text not in self.unread:
            if not select.select([self.terminal], [], [], max(0, end - time.monotonic()))[0]:
                raise TimeoutError(f"no {text!r} within {DEADLINE_S} s; seen: {self.unread!r}")
            self.unread += os.read(self.terminal, 4096).decode("utf-8", "replace")
        self.read, _, self.unread = self.unread.partition(text)

    def __exit__(self, *_):
        os.close(self.terminal)  # hangs it up
        os.waitpid(self.process, 0)


def check_bash(checks, folder):
    with Terminal() as bash:
        bash.read_until("ready> ")
        bash.say(f"cd {folder} && source ./completion && touch candidate_a.textproto\n")
        bash.read_until("ready> ")
        for typed, wanted in [
            ("brakeward sel\t", "brakeward selfcheck"),
            ("brakeward exp\ttr\t--hd\t", "brakeward export trace --hdf5"),
            ("brakeward check --cal\tcandi\t", "brakeward check --calibration candidate_a.textproto"),
        ]:
            # What stands on the line is told, not run.
            bash.say(f"{typed}\x01echo told: \n")
            bash.read_until("\ntold: ")
            bash.read_until("\r\n")
            checks.expect(f"{typed!r} becomes {wanted!r}", bash.read == wanted, bash.read)
            bash.read_until("ready> ")


def main():
    (program,) = sys.argv[1:]
    need("man", "bash")
    checks = Checks(DEADLINE_S)
    commands = help_of(program)
    checks.expect("--help lists commands within commands", ("export", "trace") in commands, commands)
    with tempfile.TemporaryDirectory(prefix="brakeward_") as scratch:
        folder = Path(scratch)
        for text, name in (("manual", "brakeward.1"), ("completion", "completion")):
            (folder / name).write_text(checks.expect_run(text, [program, text]), encoding="utf-8")
        check_manual(checks, folder, commands)
        check_completion(checks, folder, commands)
        check_bash(checks, folder)
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
