"""Runs every command the README shows in a console block and compares what it prints with what the README says.

    check_readme.py README BRAKEWARD

`build/brakeward` in a command stands for the program given. Exit codes: 0 all as shown, 1 not.
"""

import subprocess
import sys


def shown_commands(text):
    """(command, output) of each "$ " line in the ```console blocks."""
    inside, command, output = False, None, []
    for line in text.splitlines():
        if line.startswith("```"):
            if command is not None:
                yield command, "\n".join(output)
            inside, command, output = line == "```console", None, []
        elif inside and line.startswith("$ "):
            if command is not None:
                yield command, "\n".join(output)
            command, output = line[2:], []
        elif inside:
            output.append(line)


def main():
    readme, program = sys.argv[1:]
    with open(readme, encoding="utf-8") as file:
        commands = list(shown_commands(file.read()))
    wrong = 0
    for command, shown in commands:
        line = command.replace("build/brakeward", program)
        printed = subprocess.run(line, shell=True, stdout=subprocess.PIPE, text=True, check=False).stdout.rstrip("\n")
        if printed != shown:
            wrong += 1
            print(f"$ {command}\n--- the README shows\n{shown}\n--- it prints\n{printed}")
    print(f"{len(commands)} commands, {wrong} print something else")
    return 1 if wrong or len(commands) < 2 else 0


if __name__ == "__main__":
    sys.exit(main())
