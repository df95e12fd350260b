"""The Kubernetes objects: kustomize builds them, they fit together, and the program takes their configuration.

    kubernetes_test.py BRAKEWARD

No cluster is at hand, so nothing is applied.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import yaml

from operations import SOURCE, Checks, need

FOLDER = SOURCE / "deploy/kubernetes"


def built(checks):
    """What kustomize makes of the folder."""
    outcome = subprocess.run(
        ["kubectl", "kustomize", FOLDER],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    checks.expect(
        "kustomize builds the objects and has nothing to say",
        outcome.returncode == 0 and not outcome.stderr,
        outcome.stderr,
    )
    return outcome.stdout


def check_together(checks, objects):
    """What no schema can say: names and numbers that must agree, and what a hardened pod has."""
    by_kind = {o["kind"]: o for o in objects}
    kinds = {"Namespace", "ConfigMap", "StatefulSet", "Service", "NetworkPolicy", "ServiceMonitor"}
    checks.expect("every kind is there once", set(by_kind) == kinds and len(objects) == len(kinds), sorted(by_kind))
    workload = by_kind["StatefulSet"]["spec"]
    labels = workload["template"]["metadata"]["labels"]
    for what, selector in {
        "the set": workload["selector"]["matchLabels"],
        "the Service": by_kind["Service"]["spec"]["selector"],
        "the NetworkPolicy": by_kind["NetworkPolicy"]["spec"]["podSelector"]["matchLabels"],
    }.items():
        checks.expect(f"{what} selects the pod", selector and selector.items() <= labels.items(), selector)
    monitor = by_kind["ServiceMonitor"]["spec"]
    checks.expect(
        "the monitor selects the Service",
        monitor["selector"]["matchLabels"].items() <= by_kind["Service"]["metadata"]["labels"].items(),
        monitor,
    )
    checks.expect("one replica, since the store is one file", workload["replicas"] == 1, workload["replicas"])
    pod = workload["template"]["spec"]
    (container,) = pod["containers"]
    ports = {port["name"]: port["containerPort"] for port in container["ports"]}
    config = by_kind["ConfigMap"]["data"]["service.textproto"]
    checks.expect(
        "the ports are those of the configuration",
        all(f':{port}"' in config for port in ports.values()) and len(ports) == 2,
        ports,
    )
    targets = {p["targetPort"] for p in by_kind["Service"]["spec"]["ports"]}
    opened = {p["port"] for rule in by_kind["NetworkPolicy"]["spec"]["ingress"] for p in rule["ports"]}
    checks.expect("Service and NetworkPolicy name them", targets == opened == set(ports), (targets, opened))
    checks.expect("the monitor reads the metrics", [e["port"] for e in monitor["endpoints"]] == ["metrics"], monitor)
    for probe in ("startupProbe", "readinessProbe"):
        checks.expect(
            f"{probe} asks for the health of the service",
            container[probe].get("grpc") == {"port": ports["rpc"]},
            container[probe],
        )
    checks.expect(
        "livenessProbe reads the metrics page",
        container["livenessProbe"]["httpGet"] == {"path": "/metrics", "port": "metrics"},
    )
    inside, around = container["securityContext"], pod["securityContext"]
    checks.expect(
        "the root folder is read-only, nothing can be gained, nobody is root",
        inside["readOnlyRootFilesystem"]
        and not inside["allowPrivilegeEscalation"]
        and around["runAsNonRoot"]
        and inside["capabilities"]["drop"] == ["ALL"]
        and around["seccompProfile"]["type"] == "RuntimeDefault",
        (inside, around),
    )
    checks.expect("no token of the cluster is put into the pod", pod["automountServiceAccountToken"] is False)
    claims = {c["metadata"]["name"] for c in workload["volumeClaimTemplates"]}
    mounts = {m["mountPath"]: m["name"] for m in container["volumeMounts"]}
    checks.expect(
        "the store lies on the claimed volume",
        mounts["/var/lib/brakeward"] in claims and 'store_file: "/var/lib/brakeward/' in config,
        mounts,
    )
    return config


def check_config(checks, program, config):
    """The configuration of the pod, with the folders of this machine."""
    with tempfile.TemporaryDirectory(prefix="brakeward_") as folder:
        file = Path(folder, "service.textproto")
        file.write_text(
            config.replace("/usr/share/brakeward", str(SOURCE)).replace("/var/lib/brakeward", folder), encoding="utf-8"
        )
        said = checks.expect_run("the program takes the configuration", [program, "serve", "--check-config", "--config", file])
        checks.expect("it would keep history and show metrics", "history.db" in said and "0.0.0.0:8641" in said, said)


def main():
    program = os.path.abspath(sys.argv[1])
    need("kubectl")
    checks = Checks()
    objects = [o for o in yaml.safe_load_all(built(checks)) if o]
    config = check_together(checks, objects)
    check_config(checks, program, config)
    checks.end()


if __name__ == "__main__":
    sys.exit(main())
