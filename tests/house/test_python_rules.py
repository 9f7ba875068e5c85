"""Python rules of a house: run only when trusted, and whatever they do harms nobody else."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest

from lint.check import guard
from lint.house.trust import add_trust, digest_of, trust_file, trusted
from lint.read.problem import CannotReadError

FINDS = """
def check(rig):
    place = rig.rig.place(("devices",), "desk")
    yield Finding("found it", (place,), (Cure("move it", {"event": {"name": "x"}}),), facts={"m": 1.5})
"""


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "SECONDS", 0.7)


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "MEMORY_MB", 128)


def failure(house: Any, name: str) -> Any:
    """The failure of a rule; the other rule of the house must have run."""
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: west-box}", "another")
    findings = house.check().findings
    assert [finding.about for finding in findings if finding.rule == "another"] == ["piano"]
    (found,) = [finding for finding in findings if finding.rule == "rule-failed"]
    assert found.about == f"rules/{name}"
    assert found.weight.value == "no-go"
    return found


# -- trust -----------------------------------------------------------------------------------------------------


def test_a_rule_that_nobody_trusts_does_not_run_and_says_how(house: Any, tmp_path: Any) -> None:
    path = house.python("own_rule", f"open({str(tmp_path / 'ran')!r}, 'w')\n" + FINDS, trusted=False)
    found = failure(house, "own-rule")
    assert not (tmp_path / "ran").exists()
    assert f"rigwalk rules trust {path}" in found.message
    assert f"--trust {digest_of(path.read_bytes())}" in found.message
    assert found.places[0].file == str(path)


def test_a_trusted_rule_runs_and_what_it_says_comes_whole(house: Any) -> None:
    house.python("own_rule", FINDS)
    (finding,) = house.found()
    assert (finding.message, finding.about, finding.weight.value) == ("found it", "desk", "caution")
    assert finding.cures[0].text == "move it"
    assert finding.cures[0].change == {"event": {"name": "x"}}
    assert finding.facts == {"m": 1.5}
    assert finding.places[0].line >= 1


def test_changed_content_is_not_trusted_any_more(house: Any) -> None:
    path = house.python("own_rule", FINDS)
    assert house.found()
    path.write_text(path.read_text() + "\n# one more line\n", encoding="utf-8")
    failure(house, "own-rule")


def test_a_digest_that_is_given_trusts_for_one_check(house: Any) -> None:
    path = house.python("own_rule", FINDS, trusted=False)
    digest = digest_of(path.read_bytes())
    assert [finding.rule for finding in house.check(trust=[digest]).findings][-1] == "own-rule"
    assert digest not in trusted()
    failure(house, "own-rule")


def test_trust_is_kept_in_the_users_folder_and_not_in_the_house(house: Any, tmp_path: Any) -> None:
    before = sorted(house.folder.rglob("*"))
    digest = "ab" * 32
    path = add_trust(digest, "own_rule.py")
    assert path == trust_file() == tmp_path / "config" / "rigwalk" / "trusted-rules"
    assert path.read_text(encoding="utf-8") == f"{digest}  own_rule.py\n"
    add_trust(digest, "own_rule.py")
    assert path.read_text(encoding="utf-8").count(digest) == 1
    assert sorted(house.folder.rglob("*")) == before


def test_a_trust_file_that_cannot_be_read_trusts_nothing(house: Any) -> None:
    house.python("own_rule", FINDS)
    trust_file().write_bytes(b"\xff\xfe\xff")
    assert trusted() == frozenset()
    failure(house, "own-rule")


def test_a_name_in_the_trust_file_can_not_add_a_line(house: Any) -> None:  # noqa: ARG001
    add_trust("cd" * 32, "x\n" + "ef" * 32 + " y.py")
    assert trusted() == {"cd" * 32}


# -- failing ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "line", "says"),
    [
        ("x = (\n", 3, "SyntaxError: "),
        ("import no_such_thing\n", 3, "ModuleNotFoundError: No module named 'no_such_thing'"),
        ("x = 1\n", 0, "ValueError: no function is decorated with @rule; expected one rule a file"),
        ("1 / 0\n", 3, "ZeroDivisionError: division by zero"),
        ("raise SystemExit(0)\n", 3, "SystemExit: 0"),
        ("def check(rig, most): ...\n", 3, "TypeError: rule own-rule: the function takes (rig, most), expected the rig"),
        ("\n\ndef check(rig):\n    yield rig.nothing\n", 7, "AttributeError: 'ResolvedRig' object has no attribute"),
        ("def check(rig):\n    return helper()\n\ndef helper():\n    return {}['x']\n", 8, "KeyError: 'x'"),
        ("def check(rig):\n    yield 7\n", 3, "TypeError: yielded 7, expected a Finding with at least one place"),
        ("def check(rig):\n    return None\n", 3, "TypeError: 'NoneType' object is not iterable"),
        ("def check(rig):\n    yield Finding('x', ())\n", 3, "expected a Finding with at least one place"),
        ("def check(rig):\n    yield Finding('a\\x1b[2Jb', (rig.rig.place(('devices',), 'desk'),))\n", 3, "in it, which could forge a screen"),
        ("def check(rig):\n    yield Finding(' ', (rig.rig.place(('devices',), 'desk'),))\n", 3, "a finding without a message"),
        ("def check(rig):\n    yield Finding('x', (rig.rig.place(('devices',), 'desk'),), facts={'a': float('nan')})\n", 3, "a = nan"),
        ("def check(rig):\n    yield Finding('x', (rig.rig.place(('devices',), 'desk')._replace(line=-1),))\n", 3, "count from 1"),
        ("def check(rig):\n    raise ValueError('a\\x1b[2Jb')\n", 5, "ValueError: a\ufffd[2Jb"),
        ("def check(rig):\n    import os\n    os._exit(0)\n", 3, "it ended without an answer"),
        ("def check(rig):\n    import os, signal\n    os.kill(os.getpid(), signal.SIGKILL)\n", 3, "it ended without an "),
        ("def check(rig):\n    return check(rig)\n", 0, "TypeError: 'Rule' object is not callable"),
        ("def check(rig):\n    def deep(): return deep()\n    return deep()\n", 5, "RecursionError"),
    ],
)  # fmt: skip
def test_a_rule_that_fails_is_named_with_its_line(house: Any, body: str, line: int, says: str) -> None:
    path = house.python("own_rule", body)
    found = failure(house, "own-rule")
    assert says in found.message
    assert found.places[0].file == str(path)
    if line:
        assert found.places[0].line == line


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("body", "lines", "says"),
    [
        ("def check(rig):\n    while True:\n        pass\n", {5, 6}, "it took longer than 0.7 s"),
        ("while True:\n    pass\n", {3, 4}, "it took longer than 0.7 s"),
        (
            "def check(rig):\n    while True:\n        try:\n            while True: pass\n"
            "        except BaseException: pass\n",
            {5, 6, 7},
            "it took longer than 0.7 s",
        ),
        # A search that never comes back to the interpreter.
        ("import re\ndef check(rig):\n    return re.match('(a+)+$', 'a' * 60 + 'b')\n", {5}, "it took longer than 0.7 s"),
        (
            "def check(rig):\n    hog = []\n    while True:\n        hog.append(bytearray(1_000_000))\n",
            {6, 7},
            "MemoryError: it takes more than 128 MB of memory",
        ),
        ("hog = [bytearray(10_000_000) for _ in range(1000)]\n", {3}, "MemoryError: it takes more than 128 MB"),
        (
            "def check(rig):\n    while True:\n        yield Finding('x', (rig.rig.place(('devices',), 'desk'),))\n",
            {3},
            ": it yields more than 1,000 findings",
        ),
    ],
)  # fmt: skip
def test_a_rule_that_never_ends_or_eats_memory_is_ended_and_named_with_its_line(
    house: Any, body: str, lines: set[int], says: str, request: pytest.FixtureRequest
) -> None:
    if "longer" in says:  # what eats memory has the ordinary time for it: the machine may be busy
        request.getfixturevalue("quick")
    if "def check" in body and not body.startswith("def"):
        head, _, rest = body.partition("def check")
        said = {"title": "T", "severity": "note", "family": "patch", "why": "w", "do": "d"}
        path = house.python("own_rule", f"{head}@rule(**{said!r})\ndef check{rest}")
        lines = {line + 1 for line in lines}
    else:
        path = house.python("own_rule", body)
    found = failure(house, "own-rule")
    assert says in found.message
    assert found.places[0].file == str(path)
    assert found.places[0].line in lines | {line - 1 for line in lines}


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize(
    ("start", "after", "says"),
    [
        ("subprocess.Popen(['sleep', '41']).pid", "return []", ""),
        ("subprocess.Popen(['sleep', '41']).pid", "while True: pass", "it took longer than 0.7 s"),
        ("subprocess.Popen(['sleep', '41'], close_fds=False).pid", "os._exit(0)", "it ended without an answer"),
        # It holds the pipe on which the rule answers.
        ("os.fork() or time.sleep(41)", "return []", ""),
        ("os.fork() or time.sleep(41)", "time.sleep(41)", "it took longer than 0.7 s"),
    ],
)  # fmt: skip
def test_what_a_rule_starts_ends_with_it(house: Any, tmp_path: Path, start: str, after: str, says: str) -> None:
    kept = tmp_path / "pid"
    body = (
        f"import os, pathlib, subprocess, time\n    pid = {start}\n    pathlib.Path({str(kept)!r}).write_text(str(pid))"
    )
    house.python("own_rule", f"def check(rig):\n    {body}\n    {after}\n")
    begin = time.monotonic()
    findings = house.check().findings
    assert time.monotonic() - begin < 4
    assert [says in finding.message for finding in findings if finding.rule == "rule-failed"] == [True] * bool(says)
    pid = int(kept.read_text())
    assert _has_ended(pid), "what the rule started still runs"


def _has_ended(pid: int) -> bool:
    """Whether a process is gone within a second, or only waits to be forgotten by whoever inherited it."""
    for _ in range(100):
        try:
            state = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0]
        except OSError:
            return True
        if state in "ZX":
            return True
        time.sleep(0.01)
    return False


def test_a_rule_that_closes_its_own_pipe_is_not_waited_for(house: Any, quick: None) -> None:  # noqa: ARG001
    house.python("own_rule", "def check(rig):\n    import os, time\n    os.closerange(3, 100)\n    time.sleep(41)\n")
    begin = time.monotonic()
    assert "it took longer" in house.check().findings[0].message
    assert time.monotonic() - begin < 4


def test_what_a_rule_found_before_it_failed_is_kept(house: Any) -> None:
    house.python("own_rule", FINDS + "    raise OSError('the disk is gone')\n")
    findings = house.check().findings
    assert [finding.message for finding in findings if finding.rule == "own-rule"] == ["found it"]
    assert "OSError: the disk is gone (own_rule.py:8)" in findings[0].message


def test_what_a_rule_prints_does_not_get_into_a_report(house: Any, capfd: pytest.CaptureFixture[str]) -> None:
    house.python("own_rule", "def check(rig):\n    print('a word')\n    return []\n")
    assert house.found() == []
    assert capfd.readouterr().out == ""


def test_a_rule_changes_nothing_for_those_after_it(house: Any) -> None:
    house.python("own_rule", "def check(rig):\n    rig.rig.sources.clear()\n    return []\n")
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: west-box}", "zz-after")
    assert [finding.about for finding in house.found("zz-after")] == ["piano"]


def test_without_fork_it_runs_here_and_a_failure_is_told_all_the_same(
    house: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delattr("os.fork")
    house.python("own_rule", FINDS + "    raise OSError('the disk is gone')\n")
    findings = house.check().findings
    assert "OSError: the disk is gone (own_rule.py:8)" in findings[0].message
    assert [finding.message for finding in findings if finding.rule == "own-rule"] == ["found it"]


def test_settings_and_limits_reach_a_python_rule(house: Any) -> None:
    house.python(
        "own_rule",
        """
        from lint import Limit
        W = dict(title="T", severity="note", family="patch", why="w", do="d", good=[""], bad=[Bad("", ("x",))])

        @rule(**W, limits={"most": Limit(8, "sockets", "so many")})
        def check(rig, most):
            yield Finding(f"at most {most:g}", (rig.rig.place(("devices",), "desk"),))
        """,
    )
    assert house.messages() == ["at most 8"]
    house.rig("rules: {own-rule: {severity: no-go, limits: {most: 3}, because: we say so}}")
    (finding,) = house.found()
    assert (finding.message, finding.weight.value) == ("at most 3", "no-go")


# -- how much it may say ---------------------------------------------------------------------------------------


def test_a_rule_that_finds_too_much_is_one_failure_and_none_of_its_findings(house: Any) -> None:
    many = "def check(rig):\n    return [Finding('x', (rig.rig.place(('devices',), 'desk'),))] * MANY\n"
    house.python("own_rule", many.replace("MANY", "1_000"))
    assert len(house.found()) == 1_000
    house.python("own_rule", many.replace("MANY", "1_001"))
    assert house.found() == []
    (finding, _unproven) = house.check().findings
    assert "failed, so what it checks was not checked: it yields more than 1,000 findings" in finding.message


def test_a_message_that_nobody_would_read_is_cut(house: Any) -> None:
    house.python(
        "own_rule", "def check(rig):\n    yield Finding('m' * 5_000, (rig.rig.place(('devices',), 'desk'),))\n"
    )
    assert house.messages() == ["m" * 1_997 + "..."]
    house.python("own_rule", "def check(rig):\n    raise ValueError('m' * 100_000)\n")
    assert house.found() == []
    (finding, _unproven) = house.check().findings
    assert len(finding.message) < 2_200


# -- rules that can't be read must never look like none ----------------------------------------------------------


def test_a_rules_folder_that_is_a_file_or_leads_nowhere_is_told(house: Any) -> None:
    folder = house.folder / "rules"
    house.check()
    for path in folder.iterdir():
        path.unlink()
    folder.rmdir()
    folder.write_text("no folder\n", encoding="utf-8")
    with pytest.raises(CannotReadError, match="the house's rules can't be read: not a directory"):
        house.check()
    folder.unlink()
    folder.symlink_to(house.folder / "nowhere")
    with pytest.raises(CannotReadError, match="the house's rules can't be read: no such file or directory"):
        house.check()


def test_a_rules_folder_that_may_not_be_read_is_told(house: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(path: Any) -> Any:
        raise PermissionError(13, "Permission denied", str(path))

    house.rule("for_each: sources\nexpect: {box: west-box}", "boxes")
    monkeypatch.setattr("lint.house.load.os.scandir", refused)
    with pytest.raises(CannotReadError, match="permission denied"):
        house.check()


def test_a_rule_whose_link_leads_nowhere_is_a_rule_that_failed(house: Any) -> None:
    (house.folder / "rules" / "gone.yaml").symlink_to(house.folder / "nowhere.yaml")
    assert "no such file" in failure(house, "gone").message


def test_a_rule_counts_however_its_suffix_is_written(house: Any) -> None:
    house.rule("for_each: sources\nwhere: {id: piano}\nexpect: {box: west-box}", "loud")
    (house.folder / "rules" / "loud.yaml").rename(house.folder / "rules" / "loud.YAML")
    assert "loud" in {finding.rule for finding in house.check().findings}
