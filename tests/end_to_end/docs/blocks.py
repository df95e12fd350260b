"""The code blocks of a Markdown page, and the commands in them with what the page says they print.

Two kinds hold commands:

    ```console   each line that begins with `$ ` is a command (`> ` goes on with it), the lines below it its whole output;
                 a line `...` stands for any number of lines
    ```sh        a piece of shell, as a reader would paste it; a comment line is a line of its output, in this order

In ```sh blocks every command ends with exit code 0, or `# exit code N` stands there. After the first word of a fence
may follow `needs: PROGRAM, ...`, without which the block cannot be run here, or `not run: REASON`.
"""

import re
import typing

COMMANDS = ("console", "sh")
SHOWN = ("json", "text", "textproto", "yaml")
TELL_FAILURES = "trap 'echo \"exit code $?\"' ERR\n"
TELL_NONE = "trap - ERR\n"
HEREDOC = re.compile(r"<<-?\s*(['\"]?)(\w+)\1")


class Faulty(Exception):
    """A page that is not written as this module reads it."""


class Piece(typing.NamedTuple):
    shell: str
    shown: list  # lines
    line: int  # of the page, from 1, where those lines begin; 0 for a script's comments


class Block:
    def __init__(self, line, language, info, text):
        self.line = line  # of the fence, from 1
        self.language = language
        found = re.fullmatch(r"(?:(needs|not run): (.+))?", info)
        if found is None:
            raise Faulty(f"line {line}: `{info}` is neither `needs: PROGRAM` nor `not run: REASON`")
        self.needs = re.split(r",\s*", found.group(2)) if found.group(1) == "needs" else []
        self.not_run = found.group(2) if found.group(1) == "not run" else None
        self.text = text

    def pieces(self):
        if self.language == "sh":
            return [Piece(TELL_FAILURES + self.text, _comments(self.text), 0)]
        return list(_console(self.text, self.line))


def _comments(text):
    """Texts of the comment lines of a shell script; those of documents within it are no output."""
    comments, until = [], None
    for line in text.splitlines():
        if until is not None:
            until = None if line == until else until
        elif line.startswith("# "):
            comments.append(line[2:])
        elif HEREDOC.search(line):
            until = HEREDOC.search(line).group(2)
    return comments


def _console(text, at):
    command, output, begins = None, [], 0
    for number, line in enumerate(text.splitlines(), at + 1):
        if line.startswith("$ "):
            if command is not None:
                yield Piece(command, output, begins)
            command, output, begins = TELL_NONE + line[2:] + "\n", [], number + 1
        elif command is None:
            raise Faulty(f"line {at}: a console block begins with a command")
        elif line.startswith("> ") and not output:
            command += line[2:] + "\n"
            begins = number + 1
        else:
            output.append(line)
    if command is None:
        raise Faulty(f"line {at}: a console block without a command")
    yield Piece(command, output, begins)


def blocks_of(page):
    """Every code block of a page that holds commands."""
    found, start, language, info, body = [], None, "", "", []
    before = ""
    for number, line in enumerate(page.splitlines(), 1):
        if line.lstrip().startswith("```"):
            if start is None:
                start, body = number, []
                language, _, info = line.strip()[3:].strip().partition(" ")
                if language not in COMMANDS + SHOWN:
                    raise Faulty(f"line {number}: a block is one of {', '.join(COMMANDS + SHOWN)}, not `{language}`")
            else:
                if language in COMMANDS:
                    found.append(Block(start, language, info.strip(), "".join(body)))
                start = None
        elif start is not None:
            body.append(line + "\n")
        elif line.startswith("    ") and not before.strip():
            raise Faulty(f"line {number}: an indented block is not run; write ```sh, ```console or ```text")
        before = line
    if start is not None:
        raise Faulty(f"line {start}: the block does not end")
    return found


def agrees(shown, printed):
    """Whether the printed lines are the shown ones, where `...` stands for any number of lines."""
    if not shown:
        return not printed
    if shown[0] == "...":
        return any(agrees(shown[1:], printed[k:]) for k in range(len(printed) + 1))
    return bool(printed) and shown[0] == printed[0] and agrees(shown[1:], printed[1:])


def appears(shown, printed):
    """The first of the shown lines that does not follow the ones before it among the printed ones; None if all do."""
    lines = iter(printed)
    return next((line for line in shown if line not in lines), None)
