"""What the tests of the operation share."""

import sys
from pathlib import Path

SOURCE = Path(__file__).resolve().parents[3]
sys.path.insert(0, str(SOURCE / "tests/end_to_end"))
import checks
from checks import free_ports, get, need, poll, run, skip  # noqa: F401

DEADLINE_S = 120


class Checks(checks.Checks):
    def __init__(self):
        super().__init__(DEADLINE_S)
