"""`rigwalk rules facts`, `new`, `try`, `trust`, and `check --trust` and `--timings`, as a lead calls them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pexpect
import pytest
from typer.testing import CliRunner, Result

from lint.cli import app
from lint.facts.kinds import KINDS
from lint.house.trust import digest_of, trusted

CLEAN = "hall/rigs/clean-week.yaml"
WRONG = "    gives:\n      - choir is plugged into east-box; choir microphones live on the west box\n"


def call(*arguments: str) -> Result:
    return CliRunner().invoke(app, list(arguments))


@pytest.fixture(autouse=True)
def _own_config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("COLUMNS", "80")


# -- facts -----------------------------------------------------------------------------------------------------


def test_facts_lists_every_kind_and_fact() -> None:
    text = call("rules", "facts").stdout
    for kind in KINDS.values():
        assert re.search(rf"^{kind.name} ", text, re.MULTILINE)
        assert all(name in text for name in kind.facts)


@pytest.mark.parametrize("kind", KINDS)
def test_the_facts_of_a_kind_are_shown_with_the_values_of_the_rig(house: Path, kind: str) -> None:  # noqa: ARG001
    done = call("rules", "facts", kind, CLEAN)
    assert done.exit_code == 0
    for fact in KINDS[kind].facts.values():
        assert f"{fact.name}  ({fact.type})" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80 or "rigwalk rules facts" in done.stdout


def test_one_row_whole(house: Path) -> None:  # noqa: ARG001
    text = call("rules", "facts", "sources", CLEAN, "alto").stdout
    assert re.search(r"^  box +loft-box$", text, re.MULTILINE)
    assert re.search(r"^  group +choir$", text, re.MULTILINE)
    assert re.search(r"^  cable_m +97$", text, re.MULTILINE)


def test_the_rows_as_json(house: Path) -> None:  # noqa: ARG001
    told = json.loads(call("rules", "facts", "devices", CLEAN, "--format", "json").stdout)
    spare = {row["id"]: row["spare_inputs"] for row in told["rows"]}
    assert (told["kind"], spare["loft-box"], spare["west-box"]) == ("devices", 9, 0)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["source"], "there are no rows called 'source'; did you mean 'sources'?"),
        (["sources", CLEAN, "altoo"], "no row is called 'altoo'; did you mean 'alto'?"),
        (["sources", "nowhere.yaml"], "nowhere.yaml: there is no such file"),
    ],
)
def test_a_slip_in_the_call_is_2(house: Path, arguments: list[str], says: str) -> None:  # noqa: ARG001
    done = call("rules", "facts", *arguments)
    assert (done.exit_code, done.stdout) == (2, "")
    assert says in done.stderr


# -- new and try -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("python", [False, True])
def test_a_new_rule_works_as_it_is_and_is_part_of_the_check(house: Path, python: bool) -> None:
    done = call("rules", "new", "my-rule", "--house", "hall", *(["--python"] if python else []))
    assert done.exit_code == 0, done.stderr
    tried = call("rules", "try", "my-rule", "--house", "hall")
    assert tried.exit_code == 0, tried.stdout
    assert tried.stdout.count("✓") == 2
    assert "my-rule" in call("rules", "--house", "hall").stdout
    assert "This is not:" in call("rules", "explain", "my-rule", "--house", "hall").stdout
    checked = call("check", CLEAN)
    # The clean week's choir is on loft-box, and its west-box is full.
    assert re.search("rule   my-rule", checked.stdout)
    assert not list(house.glob("**/trusted-rules"))


def test_a_new_rule_names_the_schema_for_the_editor(house: Path) -> None:
    call("rules", "new", "my-rule", "--house", "hall")
    first = (house / "rules" / "my-rule.yaml").read_text(encoding="utf-8").splitlines()[0]
    assert first == "# yaml-language-server: $schema=../house-rule.schema.json"
    schema = house / "house-rule.schema.json"
    assert json.loads(schema.read_text(encoding="utf-8"))["title"] == "rigwalk house rule"


def test_a_rule_that_is_there_is_never_overwritten(house: Path) -> None:
    call("rules", "new", "my-rule", "--house", "hall")
    (house / "rules" / "my-rule.yaml").write_text("mine", encoding="utf-8")
    done = call("rules", "new", "my-rule", "--house", "hall")
    assert done.exit_code == 2
    assert done.stderr == "hall/rules/my-rule.yaml is there already, and is left as it is\n"
    assert (house / "rules" / "my-rule.yaml").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["My-Rule", "../up", "a b", "", "-x", "x" * 90])
def test_a_name_that_can_be_none_is_refused(house: Path, name: str) -> None:  # noqa: ARG001
    assert call("rules", "new", "--house", "hall", "--", name).exit_code == 2


def test_outside_a_house_new_and_try_say_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for command in (["new", "my-rule"], ["try"]):
        done = call("rules", *command)
        assert done.exit_code == 2
        assert "this folder is in no house" in done.stderr
    assert call("rules", "--house", "nowhere").exit_code == 2


def test_inside_a_house_its_folder_need_not_be_named(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(house / "rigs")
    assert call("rules", "try").exit_code == 0
    assert "stream-without-talkback" in call("rules").stdout


def test_try_shows_expected_and_given_side_by_side(house: Path) -> None:
    call("rules", "new", "my-rule", "--house", "hall")
    path = house / "rules" / "my-rule.yaml"
    text = path.read_text(encoding="utf-8")
    assert WRONG in text
    path.write_text(
        text.replace("      - choir is plugged into east-box;", "      - choir is in east-box;"), encoding="utf-8"
    )
    done = call("rules", "try", "my-rule", "--house", "hall")
    assert done.exit_code == 1
    rows = [line.split("≠") for line in done.stdout.splitlines() if "≠" in line]
    expected, given = (" ".join(" ".join(column).split()) for column in zip(*rows, strict=True))
    assert expected == "choir is in east-box; choir microphones live on the west box"
    assert given == "choir is plugged into east-box; choir microphones live on the west box"
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_try_tells_slips_missing_examples_and_unknown_names(house: Path) -> None:
    path = house / "rules" / "my-rule.yaml"
    path.write_text("rule_format: 1\nrule: my-rule\ntitle: t\nbecause: b\ndo: d\nfor_each: sources\nexpect: {bax: 1}\n")
    done = call("rules", "try", "my-rule", "--house", "hall")
    assert (done.exit_code, "hall/rules/my-rule.yaml:7:10: expect: `bax` is not known here" in done.stdout) == (1, True)
    path.write_text(path.read_text().replace("bax: 1", "box: west-box"))
    done = call("rules", "try", "my-rule", "--house", "hall")
    assert (done.exit_code, done.stdout.count("! it has no")) == (1, 2)
    done = call("rules", "try", "my-rul", "--house", "hall")
    assert (done.exit_code, done.stderr) == (2, "no rule of this house is called 'my-rul'; did you mean 'my-rule'?\n")


# -- trust -----------------------------------------------------------------------------------------------------

PYTHON = """from lint import Finding, rule


@rule(title="T", severity="caution", family="patch", why="w", do="d", good=[""], bad=[])
def check(rig):
    yield Finding("it ran", (rig.rig.place(("devices",), "desk"),))
"""


def test_a_python_rule_runs_once_it_is_trusted_and_until_it_changes(house: Path) -> None:
    path = house / "rules" / "mine.py"
    path.write_text(PYTHON, encoding="utf-8")
    before = call("check", CLEAN)
    assert (before.exit_code, "it ran" in before.stdout) == (1, False)
    assert "rigwalk rules trust hall/rules/mine.py" in " ".join(before.stdout.split())
    done = call("rules", "trust", "hall/rules/mine.py")
    assert (done.exit_code, done.stdout) == (0, digest_of(path.read_bytes()) + "\n")
    after = call("check", CLEAN)
    assert (after.exit_code, "it ran" in after.stdout) == (0, True)
    path.write_text(PYTHON + "\n", encoding="utf-8")
    assert call("check", CLEAN).exit_code == 1


def test_a_program_gives_the_digest(house: Path) -> None:
    path = house / "rules" / "mine.py"
    path.write_text(PYTHON, encoding="utf-8")
    done = call("check", CLEAN, "--trust", digest_of(path.read_bytes()))
    assert (done.exit_code, "it ran" in done.stdout) == (0, True)
    assert call("check", CLEAN, "--trust", "0" * 64).exit_code == 1


def test_a_rule_that_is_not_there_cannot_be_trusted(house: Path) -> None:  # noqa: ARG001
    done = call("rules", "trust", "hall/rules/none.py")
    assert (done.exit_code, done.stdout) == (2, "")


@pytest.mark.parametrize(("answer", "runs"), [("y", True), ("n", False), ("", False)])
def test_on_a_terminal_the_check_asks(house: Path, answer: str, runs: bool) -> None:
    import sys

    path = house / "rules" / "mine.py"
    path.write_text(PYTHON, encoding="utf-8")
    command = str(Path(sys.executable).parent / "rigwalk")
    child = pexpect.spawn(
        command, ["check", CLEAN], cwd=str(house.parent), encoding="utf-8", timeout=30, dimensions=(40, 130)
    )
    child.expect("is a rule written in Python: a program")
    child.expect("Let it run from now on, until it is changed")
    child.sendline(answer)
    child.expect(pexpect.EOF)
    said = child.before or ""
    assert ("it ran" in said) is runs
    child.close()
    assert child.exitstatus == (0 if runs else 1)
    assert (digest_of(path.read_bytes()) in trusted()) is runs


# -- failing safely --------------------------------------------------------------------------------------------


def test_help_and_the_list_of_rules_work_beside_broken_rules(house: Path) -> None:
    (house / "rules" / "broken.yaml").write_text("[", encoding="utf-8")
    (house / "rules" / "crash.py").write_text("1 / 0\n", encoding="utf-8")
    call("rules", "trust", "hall/rules/crash.py")
    assert call("--help").exit_code == 0
    listed = call("rules", "--house", "hall")
    assert listed.exit_code == 1
    assert "stream-without-talkback" in listed.stdout
    assert re.search(
        r"^hall/rules/broken\.yaml:1:\d: the house rule broken can't be used: ", listed.stderr, re.MULTILINE
    )
    assert "hall/rules/crash.py:1:1: the house rule crash can't be used: ZeroDivisionError" in listed.stderr
    checked = call("check", CLEAN)
    assert checked.exit_code == 1
    assert "NO-GO (2 no-go, 1 note)" in checked.stdout


def test_timings_name_the_rules_slowest_first(house: Path) -> None:  # noqa: ARG001
    done = call("check", CLEAN, "--timings")
    assert done.exit_code == 0
    shown = [(float(ms), name) for ms, name in re.findall(r"^ +([\d.]+) ms  (\S+)$", done.stdout, re.MULTILINE)]
    assert len(shown) >= 20
    assert [ms for ms, _ in shown] == sorted((ms for ms, _ in shown), reverse=True)
    assert re.search(r"ms  in all$", done.stdout, re.MULTILINE)
    as_json = call("check", CLEAN, "--timings", "--format", "json")
    json.loads(as_json.stdout)
    assert "ms  in all" in as_json.stderr


def test_sarif_and_junit_know_the_rules_of_the_house(house: Path) -> None:  # noqa: ARG001
    log = json.loads(call("check", "hall/rigs/faulty-week.yaml", "--format", "sarif").stdout)
    known = {rule["id"] for rule in log["runs"][0]["tool"]["driver"]["rules"]}
    assert {"choir-in-the-gallery", "stream-without-talkback"} <= known
    assert 'name="stream-without-talkback"' in call("check", CLEAN, "--format", "junit").stdout


# -- names that are taken --------------------------------------------------------------------------------------


@pytest.mark.parametrize("other", ["own-rule.yml", "own_rule.py"])
def test_two_files_of_one_name_fail_in_try_as_in_check(house: Path, other: str) -> None:
    call("rules", "new", "own-rule", "--house", "hall")
    (house / "rules" / other).write_text((house / "rules" / "own-rule.yaml").read_text(encoding="utf-8"))
    by = "its name is taken already, by hall/rules/own-rule.yaml"
    done = call("rules", "try", "--house", "hall")
    assert done.exit_code == 1
    assert f"hall/rules/{other}: {by}" in done.stdout
    assert call("rules", "try", "own-rule", "--house", "hall").exit_code == 1
    checked = " ".join(call("check", CLEAN).stdout.split())
    assert f"the house rule own-rule can't be used, so what it checks was not checked: {by}" in checked


@pytest.mark.parametrize("name", ["bank-clash", "rule-failed"])
def test_the_name_of_another_rule_is_refused_by_new_and_fails_in_try_as_in_check(house: Path, name: str) -> None:
    done = call("rules", "new", name, "--house", "hall")
    by = "by a rule that comes with rigwalk or a package"
    assert (done.exit_code, done.stderr) == (2, f"the name '{name}' is taken already, {by}\n")
    call("rules", "new", "own-rule", "--house", "hall")
    text = (house / "rules" / "own-rule.yaml").read_text(encoding="utf-8").replace("rule: own-rule", f"rule: {name}")
    (house / "rules" / "own-rule.yaml").unlink()
    (house / "rules" / f"{name}.yaml").write_text(text, encoding="utf-8")
    done = call("rules", "try", "--house", "hall")
    assert done.exit_code == 1
    assert f"hall/rules/{name}.yaml: its name is taken already, {by}\n" in done.stdout
    assert f"its name is taken already, {by}" in " ".join(call("check", CLEAN).stdout.split())


def test_new_refuses_a_name_that_a_file_of_the_other_kind_has(house: Path) -> None:
    assert call("rules", "new", "own-rule", "--python", "--house", "hall").exit_code == 0
    done = call("rules", "new", "own-rule", "--house", "hall")
    assert (done.exit_code, done.stderr) == (2, "hall/rules/own_rule.py is there already, and is left as it is\n")
    assert not (house / "rules" / "own-rule.yaml").exists()


def test_a_name_that_begins_with_a_digit_says_what_it_must_begin_with(house: Path) -> None:  # noqa: ARG001
    done = call("rules", "new", "2-spare", "--house", "hall")
    assert done.exit_code == 2
    assert "begins with a letter" in done.stderr


def test_try_runs_a_python_rule_whose_digest_is_given(house: Path) -> None:
    call("rules", "new", "own-rule", "--python", "--house", "hall")
    path = house / "rules" / "own_rule.py"
    path.write_text(path.read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")
    assert call("rules", "try", "own-rule", "--house", "hall").exit_code == 1
    digest = digest_of(path.read_bytes())
    done = call("rules", "try", "own-rule", "--house", "hall", "--trust", digest)
    assert (done.exit_code, digest in trusted()) == (0, False)


def test_facts_as_json_are_of_one_kind() -> None:
    told = call("rules", "facts", "--format", "json")
    assert (told.exit_code, told.stdout) == (2, "")
    assert "--format json prints the rows of one kind; name it: sources, " in " ".join(told.stderr.split())
