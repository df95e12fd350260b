"""The Kubernetes objects against their schemas, which come from the npm registry by the lock file in kubernetes/.

    kubernetes_schemas_test.py
"""

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from kubernetes_test import built
from operations import Checks, need, run, skip

VALIDATOR = Path(__file__).resolve().parent / "kubernetes"


def check_schemas(checks, rendered):
    with tempfile.TemporaryDirectory(prefix="brakeward_") as folder:
        for name in ("package.json", "package-lock.json", "validate.mjs"):
            shutil.copy(VALIDATOR / name, folder)
        status, said = run(["npm", "ci", "--silent", "--no-audit", "--no-fund", "--ignore-scripts"], 300, cwd=folder)
        if status != 0:
            skip(f"npm could not install the schemas\n{said}")
        validate(checks, folder, "the objects", rendered, "6 objects, 0 findings")
        # The net must catch fish.
        for what, (old, new) in {
            "a misspelt key": ("readinessProbe:", "readynessProbe:"),
            "a misspelt key further down": ("runAsNonRoot:", "runAsNonroot:"),
            "a word for a number": ("replicas: 1", "replicas: two"),
            "a misspelt key of a custom kind": ("interval: 15s", "intervall: 15s"),
        }.items():
            checks.expect(f"{what}: the text to spoil is there", old in rendered)
            validate(checks, folder, what, rendered.replace(old, new), "6 objects, 1 findings")


def validate(checks, folder, what, text, wanted):
    outcome = subprocess.run(
        ["node", "validate.mjs"],
        cwd=folder,
        input=text,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=120,
        check=False,
    )
    checks.expect(
        f"{what}: {wanted}",
        wanted in outcome.stdout and (outcome.returncode == 0) == wanted.endswith(" 0 findings"),
        outcome.stdout,
    )


def main():
    need("kubectl", "npm", "node")
    checks = Checks()
    check_schemas(checks, built(checks))
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
