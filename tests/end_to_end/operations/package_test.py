"""The Debian package: made by cpack, taken apart and looked at. package_root.sh installs it.

    package_test.py BUILD_FOLDER
"""

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from operations import SOURCE, Checks, need

WANTED = [
    "usr/bin/brakeward",
    "usr/libexec/brakeward/probe",
    "usr/lib/systemd/system/brakeward.service",
    "usr/lib/sysusers.d/brakeward.conf",
    "usr/lib/tmpfiles.d/brakeward.conf",
    "etc/brakeward/service.textproto",
    "usr/share/brakeward/container.textproto",
    "usr/share/brakeward/proto/brakeward/v1/check_service.proto",
    "usr/share/brakeward/scenarios/sorrel/library.textproto",
    "usr/share/brakeward/scenarios/sorrel/history/library.textproto",
    "usr/share/brakeward/scenarios/bracken/library.textproto",
    "usr/share/brakeward/prometheus/rules/alerts.yml",
    "usr/share/brakeward/grafana/dashboards/drift.json",
    "usr/share/man/man1/brakeward.1",
    "usr/share/bash-completion/completions/brakeward",
    "usr/share/doc/brakeward/README.md",
    "usr/share/doc/brakeward/deploy/docs/quick_start.md",
    "usr/share/doc/brakeward/copyright",
    "usr/share/doc/brakeward/copyright.uplot",
    "usr/share/doc/brakeward/examples/clients/python/submit_variant.py",
]


def check_control(checks, control):
    text = (control / "control").read_text(encoding="utf-8")
    depends = re.search(r"^Depends: (.*)$", text, re.MULTILINE).group(1)
    for library in ("libc6", "libgrpc++", "libprotobuf", "libsqlite3-0", "libhdf5", "libprometheus-cpp-pull", "libssl"):
        checks.expect(f"it depends on {library}", library in depends, depends)
    conffiles = (control / "conffiles").read_text(encoding="utf-8").split()
    checks.expect("the configuration is the reader's", conffiles == ["/etc/brakeward/service.textproto"], conffiles)
    for script in ("postinst", "prerm", "postrm"):
        checks.expect_run(f"{script} is sound", ["sh", "-n", control / script])
        checks.expect(f"{script} may be run", os.access(control / script, os.X_OK))


def check_config(checks, root, config, scratch):
    """A configuration with the paths of the package taken apart here."""
    text = config.read_text(encoding="utf-8").replace('"/usr/', f'"{root}/usr/')
    (scratch / "config.textproto").write_text(text.replace("/var/lib/brakeward", str(scratch)), encoding="utf-8")
    program = root / "usr/bin/brakeward"
    what = f"the packaged program takes {config.name} with the packaged libraries"
    checks.expect_run(what, [program, "serve", "--check-config", "--config", scratch / "config.textproto"])


def main():
    (build,) = sys.argv[1:]
    need("cpack", "dpkg-deb", "dpkg-shlibdeps")
    checks = Checks()
    with tempfile.TemporaryDirectory(prefix="brakeward_") as folder:
        scratch = Path(folder)
        checks.expect_run("cpack makes it", ["cpack", "-G", "DEB", "-B", scratch / "package"], cwd=build)
        (deb,) = (scratch / "package").glob("brakeward_*.deb")
        root, control = scratch / "root", scratch / "control"
        subprocess.run(["dpkg-deb", "-x", deb, root], check=True)
        subprocess.run(["dpkg-deb", "-e", deb, control], check=True)
        files = [str(file.relative_to(root)) for file in root.rglob("*") if file.is_file()]
        for name in WANTED:
            checks.expect(f"{name} is in it", name in files)
        astray = [f for f in files if re.search(r"(~|\.orig|\.pyc|/demo_[^/]*)$", f) or not re.match(r"(usr|etc)/", f)]
        checks.expect("nothing astray is in it", not astray, astray)
        unit = (root / "usr/lib/systemd/system/brakeward.service").read_text(encoding="utf-8")
        program, config = re.search(r"^ExecStart=/(\S+) serve --config /(\S+)$", unit, re.MULTILINE).groups()
        checks.expect("the unit starts what is in it", program in files and config in files, (program, config))
        check_control(checks, control)
        for config in (
            root / "etc/brakeward/service.textproto",
            root / "usr/share/brakeward/container.textproto",
            SOURCE / "deploy/kubernetes/service.textproto",
        ):
            check_config(checks, root, config, scratch)
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
