"""Runs the commands of the README's section about the service and looks for what their comments say they print.

    readme_service.py BRAKEWARD

Runs from the top of the tree, in a scratch folder, with the addresses of the example configuration replaced by free
ones. Exit codes: 0 all as the README says, 1 not.
"""

import os
import re
import signal
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from checks import free_ports

DEADLINE_S = 120


def block_of(text, heading):
    section = text.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]
    return re.search(r"```sh\n(.*?)```", section, re.DOTALL).group(1)


def main():
    program = os.path.abspath(sys.argv[1])
    with open("README.md", encoding="utf-8") as file:
        block = block_of(file.read(), "The service")
    example = "deploy/service/example.textproto"
    with open(example, encoding="utf-8") as file:
        config = file.read()
    for old, new in zip(("127.0.0.1:8640", "127.0.0.1:8641"), free_ports(2)):
        if old not in block or old not in config:
            print(f"{old} is not in both the README and {example}")
            return 1
        block, config = (text.replace(old, f"127.0.0.1:{new}") for text in (block, config))
    with tempfile.TemporaryDirectory(prefix="brakeward_") as folder:
        os.makedirs(os.path.join(folder, "build"))
        os.makedirs(os.path.join(folder, os.path.dirname(example)))
        os.symlink(program, os.path.join(folder, "build", "brakeward"))
        os.symlink(os.path.abspath("scenarios"), os.path.join(folder, "scenarios"))
        with open(os.path.join(folder, example), "w", encoding="utf-8") as file:
            file.write(config)
        shell = subprocess.Popen(
            ["bash"], cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, start_new_session=True
        )
        try:
            printed, _ = shell.communicate(block, timeout=DEADLINE_S)
        finally:
            # Whatever the shell started and did not stop, in the session made for it.
            try:
                os.killpg(shell.pid, signal.SIGKILL)
            except ProcessLookupError:
                pass
    promised = [line[2:] for line in block.splitlines() if line.startswith("# ")]
    missing = [line for line in promised if line not in printed.splitlines()]
    if "tarn-d2" not in printed:
        missing.append("the event build in the list of runs")
    if missing or len(promised) < 3 or shell.returncode != 0:
        print(f"exit code {shell.returncode}; not printed: {missing}\nprinted:\n{printed}")
        return 1
    print(f"{len(promised)} lines as the README says")
    return 0


if __name__ == "__main__":
    sys.exit(main())
