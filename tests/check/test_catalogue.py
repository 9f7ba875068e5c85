"""The catalogue: rules of installed packages by their entry points, and packages that fail to load."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from lint.check.catalogue import LoadFailure, load_catalogue
from lint.check.engine import check_rig
from lint.check.example import FILE, example_document
from lint.check.own import RULE_FAILED
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

ROOT = Path(__file__).parents[2]
BUNDLED = {path.stem.replace("_", "-") for path in (ROOT / "rules").glob("*.py") if not path.stem.startswith("_")}

HOUSE_RULES = """\
import sys

from lint import Finding, hookimpl, rule


@rule(title="Every source has a label", severity="caution", family="plugs", why="Why.", do="Say it.")
def check(rig):
    for source in rig.rig.sources.values():
        if not source.label:
            yield Finding(f"{source.name} has no label", (rig.rig.place(source.trail, source.name),))


@hookimpl
def rigwalk_rules():
    return [check]
"""


def own(module: str) -> str:
    return module.replace("_", "-")


def failures() -> dict[str, str]:
    """What failed to load, by entry point; the bundled rules must be whole in any case."""
    catalogue = load_catalogue()
    assert set(catalogue.rules) >= BUNDLED
    return {failure.name: failure.reason for failure in catalogue.failures}


def test_the_bundled_rules_are_the_modules_of_the_rules_folder() -> None:
    catalogue = load_catalogue()
    assert set(catalogue.rules) == BUNDLED
    assert catalogue.failures == ()
    assert all(entry.id == name for name, entry in catalogue.rules.items())


def test_a_package_of_somebody_else_brings_its_rules(packages: Any) -> None:
    packages.install("tallow_labels", HOUSE_RULES)
    catalogue = load_catalogue()
    assert set(catalogue.rules) == {*BUNDLED, "tallow-labels"}
    assert catalogue.failures == ()
    rig = resolve_rig(build_rig(example_document(""), FILE, Models(None)))
    found = [finding for finding in check_rig(rig, catalogue).findings if finding.rule == "tallow-labels"]
    assert [finding.about for finding in found] == ["choir", "lead-vocal", "piano"]
    assert {(finding.family, finding.weight.value) for finding in found} == {("plugs", "caution")}


def test_an_entry_point_may_name_an_object_in_a_module(packages: Any) -> None:
    source = HOUSE_RULES.replace(
        "@hookimpl\ndef rigwalk_rules():\n    return [check]",
        "class Plugin:\n    class Inner:\n        @staticmethod\n        @hookimpl\n        def rigwalk_rules():\n"
        "            return [check]",
    )
    packages.install("tallow_object", source, entry="tallow_object : Plugin.Inner")
    assert failures() == {}
    assert "tallow-object" in load_catalogue().rules


def test_one_distribution_that_is_on_the_path_twice_counts_once(
    packages: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    packages.install("tallow_twice", HOUSE_RULES)
    monkeypatch.setattr(sys, "path", [str(tmp_path), *sys.path])
    assert failures() == {}


@pytest.mark.parametrize(
    ("module", "source", "reason"),
    [
        ("tallow_missing", None, "ModuleNotFoundError: No module named 'tallow_missing'"),
        ("tallow_syntax", "def broken(:\n", "SyntaxError"),
        ("tallow_import", "import tallow_no_such_thing\n", "ModuleNotFoundError"),
        ("tallow_crash", "1 / 0\n", "ZeroDivisionError: division by zero"),
        (
            "tallow_nonsense",
            HOUSE_RULES.replace("return [check]", "return ['check']"),
            "TypeError: gave 'check', expected a rule made with @rule",
        ),
        (
            "tallow_nothing",
            HOUSE_RULES.replace("return [check]", "return 7"),
            "TypeError: 'int' object is not iterable",
        ),
        ("tallow_unmarked", HOUSE_RULES.replace("@hookimpl\n", ""), "TypeError: gave no rules; expected a function"),
        ("tallow_misspelt", HOUSE_RULES.replace("rigwalk_rules", "rigwalk_rule"), "TypeError: gave no rules; expected"),
        ("tallow_forgetful", HOUSE_RULES.replace("return [check]", "[check]"), "TypeError: gave no rules; expected"),
        ("tallow_raises", HOUSE_RULES.replace("return [check]", "raise OSError('gone')"), "OSError: gone"),
        (
            "tallow_signature",
            HOUSE_RULES.replace("def check(rig):", "def check(rig, most):"),
            "TypeError: rule tallow-signature: the function takes (rig, most), expected the rig, then []",
        ),
    ],
)
def test_a_package_that_fails_is_told_as_its_own_failure(
    packages: Any, module: str, source: str | None, reason: str
) -> None:
    if source is None:
        packages.metadata(module, f"[rigwalk.rules]\n{module} = {module}\n")
    else:
        packages.install(module, source)
    packages.install(f"{module}_good", HOUSE_RULES)
    told = failures()
    assert set(told) == {module}
    assert told[module].startswith(reason)
    assert own(f"{module}_good") in load_catalogue().rules


def test_an_attribute_that_is_not_there_is_that_packages_failure(packages: Any) -> None:
    packages.install("tallow_attribute", HOUSE_RULES, entry="tallow_attribute:nothing")
    assert failures()["tallow_attribute"].startswith("AttributeError")


def test_a_taken_id_is_refused_and_the_first_rule_and_all_others_stay(packages: Any) -> None:
    # Ours come first wherever the package stands on the path: here it stands before them.
    lines = ["", "", "__name__ = 'elsewhere.socket_shared'", "", "", "@rule"]
    taking = HOUSE_RULES.replace("\n\n@rule", "\n".join(lines), 1)
    other = "\n\n\ncheck.function.__module__ = 'tallow_free'\nfree = rule(title='T', severity='note', family='plugs', "
    other += "why='W', do='D')(check.function)\n"
    source = taking.replace("\n\n\n@hookimpl", other + "\n\n@hookimpl").replace("[check]", "[check, free]")
    before = load_catalogue().rules["socket-shared"]
    packages.install("a_tallow_taken", source)
    catalogue = load_catalogue()
    assert catalogue.failures == (LoadFailure("a_tallow_taken", "the rule id 'socket-shared' is taken already"),)
    assert catalogue.rules["socket-shared"] is before
    assert set(catalogue.rules) == {*BUNDLED, "tallow-free"}


@pytest.mark.parametrize("status", ["", "0", "'bye'"])
def test_a_package_cannot_end_the_program(packages: Any, status: str) -> None:
    packages.install("tallow_exits", f"import sys\nsys.exit({status})\n")
    assert failures()["tallow_exits"].startswith("SystemExit")


def test_two_packages_under_one_entry_point_name_do_not_hide_each_other(packages: Any) -> None:
    packages.install("tallow_first", HOUSE_RULES, name="house")
    packages.install("tallow_second", HOUSE_RULES, name="house")
    assert list(failures()) == ["house"]
    assert {"tallow-first", "tallow-second"} & set(load_catalogue().rules)


@pytest.mark.parametrize(
    "text",
    [
        "[rigwalk.rules\nbroken = nowhere\n",
        "[rigwalk.rules]\nbroken\n",
        "# rigwalk.rules is only spoken of here\n[console_scripts]\nx = y:z\n",
        "[rigwalk.rules]\n",
    ],
)
def test_the_broken_metadata_of_another_package_harms_nothing(packages: Any, text: str) -> None:
    packages.metadata("tallow_metadata", text)
    assert failures() == {}


def test_metadata_that_is_not_text_harms_nothing(packages: Any) -> None:
    packages.metadata("tallow_binary", "")
    path = packages.folder / "tallow_binary-1.0.dist-info" / "entry_points.txt"
    path.write_bytes(b"[rigwalk.rules]\n\xff\xfe = \x00\n")
    assert failures() == {}


def test_a_failed_package_is_a_no_go_of_the_check_itself(packages: Any) -> None:
    packages.install("tallow_gone", "1 / 0\n")
    rig = resolve_rig(build_rig(example_document(""), FILE, Models(None)))
    checked = check_rig(rig, load_catalogue())
    first = checked.findings[0]
    assert (first.rule, first.about, first.weight.value) == (RULE_FAILED, "rules/tallow_gone", "no-go")
    assert first.message == (
        "the rule package 'tallow_gone' could not be loaded, so its rules were not run: "
        "ZeroDivisionError: division by zero (tallow_gone.py:1)"
    )
    assert checked.verdict.value == "no-go"
    # What the bundled rules say of the example rig is told beside it.
    assert "phantom-while-patching" in [finding.rule for finding in checked.findings]


def test_help_imports_no_rule() -> None:
    program = (
        "import sys; from typer.testing import CliRunner; from lint.cli import app; "
        "CliRunner().invoke(app, ['--help']); "
        "print([name for name in sys.modules if name.startswith('lint.rules') or name == 'jsonschema'])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_what_a_package_prints_as_it_is_loaded_is_no_part_of_a_report(
    packages: Any, capfd: pytest.CaptureFixture[str]
) -> None:
    packages.install("tallow_chatty", f"print('here I am')\n{HOUSE_RULES}")
    assert failures() == {}
    told = capfd.readouterr()
    assert told.out == ""
    assert "here I am" in told.err
