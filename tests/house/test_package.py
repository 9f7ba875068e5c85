"""The example package, installed by pip as anybody would, and its own tests run."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent / "package"
LAVALIER = """\
rig_format: 1
clock: {sample_rate_hz: 48000, leader: desk}
devices: {desk: {model: console-16}}
sources: {host: {kind: lavalier-microphone, plugged_into: desk/in/1}}
channels: {1: {label: Host, carries: host, patched_from: desk/in/1, gain_db: 56}}
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The environment of a process that has the package installed."""
    target = tmp_path_factory.mktemp("site")
    source = tmp_path_factory.mktemp("source") / "package"
    # pip builds beside the sources: a copy, so that nothing is left in the tree.
    subprocess.run(["cp", "-r", str(PACKAGE), str(source)], check=True)
    options = ["--quiet", "--no-deps", "--no-index", "--no-build-isolation", "--disable-pip-version-check"]
    subprocess.run(
        [sys.executable, "-m", "pip", "install", *options, "--target", str(target), str(source)],
        check=True,
        timeout=120,
    )
    return {**os.environ, "PYTHONPATH": str(target)}


def run(environment: dict[str, str], *arguments: str) -> subprocess.CompletedProcess[str]:
    command = Path(sys.executable).parent / "rigwalk"
    return subprocess.run(
        [str(command), *arguments], capture_output=True, text=True, env=environment, check=False, timeout=60
    )


def test_its_rules_are_part_of_every_check(installed: dict[str, str], tmp_path: Path) -> None:
    rig = tmp_path / "rig.yaml"
    rig.write_text(LAVALIER, encoding="utf-8")
    (told,) = json.loads(run(installed, "check", str(rig), "--format", "json").stdout)["rigs"]
    found = [row for row in told["findings"] if row["rule"] == "lavalier-gain"]
    assert [(row["message"], row["severity"], row["cures"]) for row in found] == [
        ("channel 1 (Host): host is a lavalier with 56 dB of gain.", "caution", ["turn it down to 50 dB"])
    ]
    rig.write_text(LAVALIER + "rules: {lavalier-gain: {limits: {most_db: 60}, because: dead hall}}\n", encoding="utf-8")
    assert "lavalier-gain" not in run(installed, "check", str(rig)).stdout


def test_its_rules_are_listed_and_explained(installed: dict[str, str]) -> None:
    assert "lavalier-gain" in run(installed, "rules").stdout
    explained = run(installed, "rules", "explain", "lavalier-gain")
    assert explained.returncode == 0
    assert "most_db: 50 dB (the highest gain)" in explained.stdout


def test_its_own_tests_pass_with_the_kit_and_fail_where_an_example_is_wrong(
    installed: dict[str, str], tmp_path: Path
) -> None:
    tests = tmp_path / "test_tallow_rules.py"
    tests.write_text((PACKAGE / "test_tallow_rules.py").read_text(encoding="utf-8"), encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(tests)]

    def tried() -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            command, capture_output=True, text=True, env=installed, cwd=tmp_path, check=False, timeout=120
        )

    done = tried()
    assert (done.returncode, "2 passed" in done.stdout) == (0, True), done.stdout
    module = Path(installed["PYTHONPATH"]) / "tallow_rules" / "lavalier_gain.py"
    text = module.read_text(encoding="utf-8")
    module.write_text(text.replace("gain_db=52), (", "gain_db=48), ("), encoding="utf-8")
    try:
        done = tried()
    finally:
        module.write_text(text, encoding="utf-8")
    assert (done.returncode, "1 failed, 1 passed" in done.stdout) == (1, True), done.stdout
    assert "lavalier-gain, bad 1:" in done.stdout
    assert "channel 1 (Lead vox): lead-vocal is a lavalier with 52 dB of gain." in done.stdout
