"""Changes in a file as people keep it: the data is what the merge says, and all else stays as it was."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import lint
from lint.read.edit import CannotEditError, edited, edited_file
from lint.read.load import load_document
from lint.read.merge import merge_patch
from lint.read.parse import parse
from lint.read.problem import CannotReadError
from lint.read.yaml_text import flow, plain_or_quoted_key, quoted

DEMO = Path(lint.__file__).parent / "demo"
WEEK = DEMO / "rigs" / "clean-week.yaml"

KEYS = st.sampled_from(["a", "b", "c", "1", "17-24", "a b", "no", "~", "x: y", "é", "-", "null"])
TEXTS = st.sampled_from(
    ["x", "", "no", "null", "true", "007", "1e3", "0x1F", "9:30", "a: b", "a #b", "#c", "- d", "[e", "f]", "g, h",
     " i ", "it's", 'say "j"', "k\nl", "tab\there", "\\", "*m", "&n", "!o", "%p", "@q", "`r", "é😀", "y:", "---", "..."]
)  # fmt: skip
SCALARS = st.booleans() | st.integers(-99, 99) | st.sampled_from([0.5, -3.25, 1e-7, 1e20]) | TEXTS
VALUES = st.recursive(
    st.none() | SCALARS,
    lambda below: st.lists(below, max_size=3) | st.dictionaries(KEYS, below, max_size=4),
    max_leaves=14,
)
MAPS = st.dictionaries(KEYS, VALUES, max_size=5)


class Scribe:
    """Writes data as a careless person does: any style at any place, comments everywhere, each with its own number."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(seed)
        self.comments: list[str] = []
        self.newline = self.dice.choice(["\n", "\n", "\r\n"])

    def comment(self) -> str:
        self.comments.append(f"# {len(self.comments)} it's: [a] 'note")
        return self.comments[-1]

    def text(self, data: dict[str, Any]) -> str:
        in_brackets = not data or self.dice.random() < 0.2
        lines = [self.flow(data, 1)] if in_brackets else self.block_map(data, 0)
        if self.dice.random() < 0.3:
            lines = [self.comment(), *lines]
        return self.newline.join(lines) + (self.newline if self.dice.random() < 0.8 else "")

    def block_map(self, data: dict[str, Any], column: int) -> list[str]:
        lines: list[str] = []
        for key, value in data.items():
            if self.dice.random() < 0.2:
                lines.append(" " * self.dice.randint(0, column) + self.comment() if self.dice.random() < 0.5 else "")
            head = " " * column + plain_or_quoted_key(key) + self.dice.choice([":", ":", " :"])
            lines += self.block_value(head, value, column)
        return lines

    def block_value(self, head: str, value: Any, column: int) -> list[str]:
        below = column + self.dice.randint(1, 4)
        behind = " " + self.comment() if self.dice.random() < 0.3 else ""
        if isinstance(value, dict) and value and self.dice.random() < 0.6:
            return [head + behind, *self.block_map(value, below)]
        if isinstance(value, list) and value and self.dice.random() < 0.5:
            column += self.dice.choice([0, 2])
            return [head + behind, *(f"{' ' * column}-   {self.flow(item, column + 1)}" for item in value)]
        if isinstance(value, str) and value.isalnum() and self.dice.random() < 0.3:
            blank = self.dice.choice([[], [""]])
            return [f"{head} {self.dice.choice(['|-', '>-'])}{behind}", " " * below + value, *blank]
        if value is None and self.dice.random() < 0.5:
            return [head + behind]
        return [f"{head} {self.flow(value, column + 1)}{behind}"]

    def flow(self, value: Any, column: int) -> str:
        if isinstance(value, str) and value and self.dice.random() < 0.2:
            return quoted(value)
        if not isinstance(value, (dict, list)):
            return flow(value)
        members = [
            f"{plain_or_quoted_key(key)}: {self.flow(member, column)}" for key, member in value.items()
        ] if isinstance(value, dict) else [self.flow(item, column) for item in value]  # fmt: skip
        out = ""
        for index, member in enumerate(members):
            out += self.gap(column) + member + ("," if index < len(members) - 1 or self.dice.random() < 0.1 else "")
        out += self.gap(column) if members else ""
        return "{" + out + "}" if isinstance(value, dict) else "[" + out + "]"

    def gap(self, column: int) -> str:
        roll = self.dice.random()
        if roll < 0.1:
            return f" {self.comment()}{self.newline}{' ' * column}"
        return self.newline + " " * column if roll < 0.15 else " " if roll < 0.7 else ""


def written(data: dict[str, Any], seed: int) -> tuple[str, list[str]]:
    scribe = Scribe(seed)
    text = scribe.text(data)
    assert parse(text, "week.yaml")[0] == data
    return text, scribe.comments


def exact(value: Any) -> str:
    return repr(value)


@given(MAPS, MAPS, st.integers(0, 10**9))
def test_an_edit_says_what_the_merge_says_and_keeps_every_comment(data: Any, patch: Any, seed: int) -> None:
    text, comments = written(data, seed)
    new = edited(text, patch, name="week.yaml")
    assert exact(parse(new, "week.yaml")[0]) == exact(merge_patch(data, patch))
    assert all(comment in new for comment in comments)


@given(MAPS, st.integers(0, 10**9))
def test_what_changes_nothing_leaves_every_byte(data: Any, seed: int) -> None:
    text, _ = written(data, seed)
    assert edited(text, {}, name="week.yaml") == text
    same = {key: value for key, value in data.items() if value is not None}
    assert "null" in repr(same) or edited(text, _without_nulls(same), name="week.yaml") == text


def _without_nulls(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_nulls(member) for key, member in value.items() if member is not None}
    return value


@given(MAPS, VALUES, st.integers(0, 10**9))
def test_the_other_entries_keep_their_bytes(data: Any, value: Any, seed: int) -> None:
    scribe = Scribe(seed)
    scribe.newline = "\n"
    chunks = {key: "\n".join(scribe.block_value(plain_or_quoted_key(key) + ":", data[key], 0)) for key in data}
    text = "".join(chunk + "\n" for chunk in chunks.values()) or "{}\n"
    new = edited(text, {"b": value}, name="week.yaml")
    at = 0
    for key, chunk in chunks.items():
        if key != "b":
            at = new.index(chunk, at) + len(chunk)


@given(MAPS, MAPS, MAPS, st.integers(0, 10**9))
def test_an_inherited_value_is_overridden_in_the_file_itself(base: Any, own: Any, patch: Any, seed: int) -> None:
    text, comments = written(own, seed)
    new = edited(text, patch, name="week.yaml", base=base)
    got = merge_patch(base, parse(new, "week.yaml")[0])
    assert got == merge_patch(merge_patch(base, own), patch)
    assert all(comment in new for comment in comments)


@pytest.mark.parametrize(
    ("text", "patch", "new"),
    [
        ("a: 1  # one\nb: 2\n", {"a": 3}, "a: 3  # one\nb: 2\n"),
        ("a: {b: 1, c: 2} # x\n", {"a": {"b": None, "d": "no"}}, "a: {c: 2, d: no} # x\n"),
        ("a: {b: 1}\n", {"a": {"b": None}}, "a: {}\n"),
        ("a:\n  b: 1  # gone\n  c: 2\n", {"a": {"b": None}}, "a:\n  # gone\n  c: 2\n"),
        ("a:\n  b: 1\n", {"a": {"b": None}}, "a: {}\n"),
        ("a:\n", {"a": "x"}, "a: x\n"),
        ("a: 1", {"b": 2}, "a: 1\nb: 2"),
        ("a: 1\r\n", {"b": 2}, "a: 1\r\nb: 2\r\n"),
        ("a:\n- 1\n- 2\nb: 3\n", {"a": [4]}, "a:\n- 4\nb: 3\n"),
        ("a: |\n  text\n\nb: 3\n", {"a": "9:30"}, "a: 9:30\n\nb: 3\n"),
        ("a: 1\n", {"a": "1"}, 'a: "1"\n'),
        ("{}\n", {"a": {"b": "null"}}, '{a: {b: "null"}}\n'),
        ("\ufeffa: 1\n", {"a": 2}, "\ufeffa: 2\n"),
    ],
)
def test_the_text_that_an_edit_makes(text: str, patch: dict[str, Any], new: str) -> None:
    assert edited(text, patch, name="week.yaml") == new


def test_an_alias_is_written_out_where_only_one_of_its_places_changes() -> None:
    new = edited("a: &x {b: 1}\nc: *x\n", {"c": {"b": 2}}, name="week.yaml")
    assert new == "a: &x {b: 1}\nc: {b: 2}\n"


def test_what_an_alias_repeats_is_not_changed_behind_its_back() -> None:
    with pytest.raises(CannotEditError) as raised:
        edited("rig_format: 1\na: &x {b: 1}\nc: *x\n", {"rig_format": 2, "a": {"b": 2}}, name="week.yaml")
    assert str(raised.value).startswith("week.yaml:2:11: a.b can't be changed here")


def test_a_file_that_is_no_map_or_no_yaml_is_refused() -> None:
    with pytest.raises(CannotEditError, match="holds no map"):
        edited("- 1\n", {"a": 1}, name="week.yaml")
    with pytest.raises(CannotReadError, match=r"^week\.yaml:2:1: is not readable"):
        edited("a: [\n", {"a": 1}, name="week.yaml")


def test_the_week_of_the_demo_is_changed_and_the_house_is_not(tmp_path: Path) -> None:
    (tmp_path / "rigs").mkdir()
    house = (DEMO / "house.yaml").read_bytes()
    (tmp_path / "house.yaml").write_bytes(house)
    week = tmp_path / "rigs" / "week.yaml"
    week.write_bytes(WEEK.read_bytes())
    before = load_document(week).data
    patch = {
        "devices": {"east-box": {"output_bank": "1-8"}},
        "sources": {"lectern": None, "kick": {"plugged_into": "west-box/in/2"}},
        "channels": {"1": {"gain_db": 30}, "15": None},
    }
    week.write_text(edited_file(week, patch), encoding="utf-8")
    assert load_document(week).data == merge_patch(before, patch)
    assert (tmp_path / "house.yaml").read_bytes() == house
    old_lines, new_lines = WEEK.read_text(encoding="utf-8").splitlines(), week.read_text(encoding="utf-8").splitlines()
    assert len(set(old_lines) - set(new_lines)) == 2  # kick and its channel
