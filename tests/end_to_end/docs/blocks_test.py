"""The checker of the pages must catch fish: pages that say what is not so, or hold commands that are not run.

    blocks_test.py
"""

import os
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from checks import SKIPPED, Checks

PAGES = [
    ("true output", 0, "```console\n$ echo a; echo b\na\nb\n```\n"),
    ("lines left out", 0, "```console\n$ seq 9\n1\n...\n5\n...\n```\n"),
    ("a command over two lines", 0, "```console\n$ echo a \\\n> b\na b\n```\n"),
    ("a variable kept from block to block", 0, "```sh\nx=5\n```\n\n```console\n$ echo $x\n5\n```\n"),
    ("comments of a document in a script", 0, "```sh\ncat > f <<'END'\n# no output\nEND\necho a\n# a\n```\n"),
    ("a failing command that is told", 0, "```sh\nfalse\n# exit code 1\necho a\n# a\n```\n"),
    ("a block with a reason not to run it", 0, "```sh not run: it would take a day\nfalse\n```\n"),
    ("a port of the examples", 0, "```console\n$ echo 127.0.0.1:8640\n127.0.0.1:8640\n```\n"),
    ("a block that needs what is not here", SKIPPED, "```sh needs: no_such_program\nfalse\n```\n"),
    ("a link to a page beside it", 0, "See [this page](page.md#top) and [that](https://example.org/x).\n"),
    ("a link that leads nowhere", 1, "See [that page](that.md).\n"),
    ("another line", 1, "```console\n$ echo a\nb\n```\n"),
    ("a line that is not shown", 1, "```console\n$ seq 3\n1\n2\n```\n"),
    ("a line that is not printed", 1, "```console\n$ echo a\na\nb\n```\n"),
    ("lines in another order", 1, "```sh\necho a; echo b\n# b\n# a\n```\n"),
    ("words on the other stream", 1, "```console\n$ echo a >&2\n```\n"),
    ("a failing command that is not told", 1, "```sh\nfalse\ntrue\n```\n"),
    ("a command that is told to fail and does not", 1, "```sh\ntrue\n# exit code 1\n```\n"),
    ("a command that ends the shell", 1, "```sh\nexit 0\n```\n\n```sh\ntrue\n```\n"),
    ("an indented block", 1, "Text.\n\n    echo a\n"),
    ("a block without a language", 1, "```\necho a\n```\n"),
    ("a reason written otherwise", 1, "```sh skip\nfalse\n```\n"),
    ("a block without an end", 1, "```sh\ntrue\n"),
]


def main():
    checks = Checks(60)
    script = os.path.join(os.path.dirname(os.path.abspath(__file__)), "check_page.py")
    with tempfile.TemporaryDirectory(prefix="brakeward_") as folder:
        page = os.path.join(folder, "page.md")
        for what, exit_code, text in PAGES:
            with open(page, "w", encoding="utf-8") as file:
                file.write(text)
            checks.expect_run(what, [sys.executable, "-B", script, "/bin/true", page], exit_code)
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
