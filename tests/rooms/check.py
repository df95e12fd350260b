"""Checks a tree against every rule: check.py ROOT. Prints what is broken, one a line; exits 1 if anything is."""

import sys

import rules


def main():
    root = sys.argv[1]
    if not rules.code_files(root):
        print(f"{root}/service holds no code: nothing was checked")
        return 1
    findings = [finding for rule in rules.RULES for finding in rule(root)]
    for finding in findings:
        print(finding)
    for path, lines in rules.lengths(root):
        if rules.LONG_FILE < lines <= rules.LONGEST_FILE:
            print(f"note: {path} is growing long: {lines} lines")
    print(f"rooms: {len(rules.code_files(root))} files under {len(rules.RULES)} rules, {len(findings)} broken")
    return 1 if findings else 0


if __name__ == "__main__":
    sys.exit(main())
