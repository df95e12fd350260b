"""Reads a JUnit XML file with the junitparser package and prints what it found, one fact a line, with tabs.

    read_junit.py FILE

total TESTS FAILURES ERRORS SKIPPED
suite NAME TESTS FAILURES ERRORS SKIPPED
case CLASSNAME NAME passed|failure|error|skipped MESSAGE
"""

import sys

import junitparser

WORDS = {junitparser.Failure: "failure", junitparser.Error: "error", junitparser.Skipped: "skipped"}


def outcome(case):
    """Word and message of a case; a case without an element passed."""
    if not case.result:
        return "passed", ""
    return WORDS[type(case.result[0])], case.result[0].message


def main():
    report = junitparser.JUnitXml.fromfile(sys.argv[1])
    print("total", report.tests, report.failures, report.errors, report.skipped, sep="\t")
    for suite in report:
        print("suite", suite.name, suite.tests, suite.failures, suite.errors, suite.skipped, sep="\t")
        for case in suite:
            print("case", case.classname, case.name, *outcome(case), sep="\t")


if __name__ == "__main__":
    main()
