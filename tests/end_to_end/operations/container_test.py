"""The compose file and what it mounts: paths that are there, ports on this machine only, nobody root, one version
everywhere. container.sh builds and runs the image.

    container_test.py
"""

import re
import sys

import yaml

from operations import SOURCE, Checks, need

FOLDER = SOURCE / "deploy/container"
TOP_KEYS = {"name", "services", "volumes"}
SERVICE_KEYS = {
    "image", "command", "read_only", "user", "cap_drop", "security_opt", "stop_grace_period", "ports", "volumes",
    "depends_on", "healthcheck",
}  # fmt: skip


def check_service(checks, compose, name, service):
    checks.expect(f"{name}: keys a compose file has", set(service) <= SERVICE_KEYS, set(service) - SERVICE_KEYS)
    checks.expect(f"{name}: the image has a fixed version", re.search(r":v?\d+\.\d+\.\d+$", service["image"]))
    checks.expect(f"{name}: nothing can be gained", service["cap_drop"] == ["ALL"] and service["security_opt"])
    ports = service["ports"]
    checks.expect(f"{name}: published on this machine only", all(p.startswith("127.0.0.1:") for p in ports), ports)
    checks.expect(
        f"{name}: waits for services there are", set(service.get("depends_on", [])) <= set(compose["services"])
    )
    for mount in service["volumes"]:
        source, target, *mode = mount.split(":")
        if source.startswith("."):
            there = (FOLDER / source).exists() and mode == ["ro"]
            checks.expect(f"{name}: {source} is there and mounted to be read only", there, mount)
        else:
            checks.expect(f"{name}: {source} is a volume", source in compose["volumes"] and target[0] == "/", mount)


def main():
    need("promtool")
    checks = Checks()
    compose = yaml.safe_load((FOLDER / "compose.yml").read_text(encoding="utf-8"))
    checks.expect("the compose file has its keys", set(compose) == TOP_KEYS, set(compose))
    for name, service in compose["services"].items():
        check_service(checks, compose, name, service)
    ours = compose["services"]["brakeward"]
    containerfile = (FOLDER / "Containerfile").read_text(encoding="utf-8")
    user = re.search(r"^USER (\S+)$", containerfile, re.MULTILINE).group(1)
    checks.expect(
        "the image and the compose file name one user, by number", ours["user"] == user == "10001:10001", user
    )
    probe = re.search(r"^HEALTHCHECK .*CMD \[(.*)\]$", containerfile, re.MULTILINE).group(1)
    checks.expect("and one probe", yaml.safe_load(f"[{probe}]") == ours["healthcheck"]["test"][1:], probe)
    checks.expect("the root folder is read-only", ours["read_only"] is True)
    version = re.search(
        r"VERSION (\d+\.\d+\.\d+)", (SOURCE / "CMakeLists.txt").read_text(encoding="utf-8").split("project(")[1]
    )
    tag = yaml.safe_load((SOURCE / "deploy/kubernetes/kustomization.yaml").read_text(encoding="utf-8"))["images"][0]
    checks.expect("the version is the project's in the compose file", ours["image"].endswith(":" + version.group(1)))
    checks.expect("and in the cluster's objects", tag["newTag"] == version.group(1), tag)
    checks.expect_run("promtool takes the scrape configuration", ["promtool", "check", "config", FOLDER / "prometheus.yml"])
    source = yaml.safe_load(
        (SOURCE / "deploy/grafana/provisioning/datasources/prometheus.yml").read_text(encoding="utf-8")
    )
    checks.expect(
        "the dashboards' source is the Prometheus of the compose file",
        source["datasources"][0]["url"] == "http://prometheus:9090",
    )
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
