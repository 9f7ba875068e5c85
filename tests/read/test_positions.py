"""Every value's file, line and column against a naive search for it in the text, in one file and in chains of three.

The files are drawn at random and written in every style that YAML allows. A key's name is the path to it, and every
value is a word that stands once: so the search needs no parser.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigs import examples

from lint.read.document import Document
from lint.read.load import load_document
from lint.read.merge import merge_patch
from lint.read.parse import parse

Place = tuple[str, int, int]
NAMES = ("house.yaml", "rigs/season.yaml", "rigs/week.yaml")


# -- drawing a file --------------------------------------------------------------------------------------------


class Writer:
    """Draws a tree and writes it, with the word of each value and the null of each removal its own."""

    def __init__(self, draw: st.DrawFn, mark: str) -> None:
        self.draw = draw
        self.mark = mark
        self.words = 0

    def chance(self, of: int) -> bool:
        return self.draw(st.integers(1, of)) == 1

    def word(self) -> str:
        self.words += 1
        return f"{self.mark}{self.words}."

    def tree(self, path: str, depth: int) -> Any:
        """A word, a list or a map; nothing at all where it should be removed."""
        kind = self.draw(st.sampled_from(["word", "word", "map", "map", "map", "list", "null"])) if depth else "word"
        if path == "":
            kind = "map"
        if kind == "null":
            return None
        if kind == "word":
            return self.word()
        count = self.draw(st.integers(0, 3))
        if kind == "list":
            # A null in a list removes nothing: it is a member.
            members = [self.tree(f"{path}-{index}", depth - 1) for index in range(count)]
            return [self.word() if member is None else member for member in members]
        keys = self.draw(st.permutations("abcd"))[: count + (path == "")]
        return {f"{path}-{key}": self.tree(f"{path}-{key}", depth - 1) for key in keys}

    def break_(self) -> str:
        """A line break, with a comment or an empty line before it or without."""
        return self.draw(st.sampled_from(["\n", "\n", "\n", "\n\n", " # → -a: a1.\n", "\n# 𝄞\n", "\r\n", "\r"]))

    def space(self) -> str:
        return " " * self.draw(st.integers(1, 3))

    def scalar(self, text: str | None, plain: bool = False) -> str:
        if text is None:
            return self.draw(st.sampled_from(["null", "~"]))
        forms = ["{}"] if plain else ["{}", "'→{}'", '"𝄞{}"']
        return self.draw(st.sampled_from(forms)).format(text)

    def flow(self, value: Any) -> str:
        if isinstance(value, dict):
            return "{" + ("," + self.space()).join(f"'{key}': {self.flow(below)}" for key, below in value.items()) + "}"
        if isinstance(value, list):
            return "[" + ("," + self.space()).join(map(self.flow, value)) + "]"
        return self.scalar(value)

    def block(self, value: Any, indent: int) -> str:
        """What follows a `key:` or a `-`, up to and with the line break."""
        if not value or isinstance(value, str) or self.chance(4):
            return self.space() + self.flow(value) + self.break_()
        deeper = indent + self.draw(st.integers(1, 4))
        lead = " " * deeper
        if isinstance(value, list):
            return self.break_() + "".join(f"{lead}-{self.block(below, deeper)}" for below in value)
        return self.break_() + "".join(
            f"{lead}{self.scalar(key, True)}:{self.block(below, deeper)}" for key, below in value.items()
        )

    def file(self, tree: dict[str, Any], head: str = "") -> str:
        top = self.break_() if self.chance(3) else ""
        rows = [f"{key}:{self.block(below, 0)}" for key, below in tree.items()]
        extends = head and head + self.break_()
        return top + (extends + "".join(rows) if self.chance(2) else "".join(rows) + extends) or "{}"


@st.composite
def files(draw: st.DrawFn, count: int) -> list[tuple[dict[str, Any], str]]:
    """Trees and their texts; each but the first extends the one before it."""
    made = []
    for index in range(count):
        writer = Writer(draw, "xyz"[index])
        tree = writer.tree("", 3)
        head = ["", "extends: ../house.yaml", "extends: season.yaml"][index]
        made.append((tree, writer.file(tree, head)))
    return made


# -- searching it ----------------------------------------------------------------------------------------------


def line_and_column(text: str, index: int) -> tuple[int, int]:
    lines = re.split("\r\n|\r|\n", text[:index])
    return len(lines), len(lines[-1]) + 1


def bare(text: str) -> str:
    """The text with its comments blanked, so that nothing in them is found."""
    return re.sub("#[^\r\n]*", lambda found: " " * len(found.group()), text)


def find_word(text: str, word: str) -> tuple[int, int]:
    """Where the value stands, with the quote that opens it."""
    (found,) = re.finditer(r"(['\"][→𝄞]?)?\b" + re.escape(word), bare(text))
    return line_and_column(text, found.start())


def find_key(text: str, key: str) -> tuple[int, int]:
    (found,) = re.finditer(rf"(?<![\w-])'?{re.escape(key)}'?:", bare(text))
    return line_and_column(text, found.start())


def walk(value: Any, trail: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Every trail below a value, with what it leads to."""
    members = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, below in members:
        yield (*trail, step), below
        yield from walk(below, (*trail, step))


def without_signs(value: Any) -> Any:
    """The data without the signs that only make the columns harder to get right."""
    if isinstance(value, dict):
        return {key: without_signs(below) for key, below in value.items()}
    if isinstance(value, list):
        return [without_signs(below) for below in value]
    return value.lstrip("→𝄞") if isinstance(value, str) else value


def check_words(document: Document, texts: dict[str, str]) -> None:
    """Hold the place of every value that is a word against the search in the one file that has it."""
    for trail, value in walk(without_signs(document.data)):
        if not isinstance(value, str):
            continue
        (name,) = [name for name, text in texts.items() if re.search("(?<![a-z0-9])" + re.escape(value), bare(text))]
        assert document.locate(trail) == (name, *find_word(texts[name], value)), trail
        in_list = isinstance(trail[-1], int)
        wanted = find_word(texts[name], value) if in_list else find_key(texts[name], str(trail[-1]))
        assert document.locate(trail, at_key=True) == (name, *wanted), trail
        # Below a word there is nothing: a thing looked for there is missing at the key (in a list, at the member).
        assert document.locate((*trail, "missing")) == (name, *wanted)
        assert document.locate((*trail, 0, "x"), at_key=True) == (name, *wanted)


# -- one file --------------------------------------------------------------------------------------------------


@examples(3)
@given(files(1))
def test_every_value_and_key_of_one_file(made: list[tuple[dict[str, Any], str]]) -> None:
    ((tree, text),) = made
    data, marks = parse(text, "x.yaml")
    assert without_signs(data) == tree
    document = Document(data, marks, ("x.yaml",), ())
    check_words(document, {"x.yaml": text})
    for trail, _ in walk(tree):
        if isinstance(trail[-1], str):
            wanted = ("x.yaml", *find_key(text, trail[-1]))
            assert document.locate(trail, at_key=True) == wanted
            assert document.locate((*trail, "missing", 3)) == wanted
    assert document.locate(("missing",)) == document.locate(()) == ("x.yaml", *start_of(text))


def start_of(text: str) -> tuple[int, int]:
    """Where the first thing of a file stands: nothing but comments and empty space before it."""
    found = re.search(r"\S", bare(text))
    assert found
    return line_and_column(text, found.start())


# -- three files -----------------------------------------------------------------------------------------------


@examples(3)
@given(files(3))
def test_every_value_of_a_chain_of_three_points_into_the_file_that_says_it(
    made: list[tuple[dict[str, Any], str]],
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "rigs").mkdir()
        for name, (_, text) in zip(NAMES, made, strict=True):
            (Path(folder) / name).write_bytes(text.encode())
        document = load_document(Path(folder) / NAMES[2])
        texts = {str(Path(folder) / name): text for name, (_, text) in zip(NAMES, made, strict=True)}
    trees = [tree for tree, _ in made]
    merged = merge_patch(merge_patch(cleared(trees[0]), trees[1]), trees[2])
    assert cleared(without_signs(document.data)) == cleared(merged)
    assert document.files == tuple(texts)
    check_words(document, texts)
    for trail, _ in walk(merged):
        if isinstance(trail[-1], str):
            # A key is looked for in the outermost file that has it: its own word on it is the last.
            outermost = [name for name, tree in zip(texts, trees, strict=True) if trail in dict(walk(tree))][-1]
            wanted = (outermost, *find_key(texts[outermost], trail[-1]))
            assert document.locate(trail, at_key=True) == wanted
            assert document.locate((*trail, "missing")) == wanted
    week = str(Path(folder) / NAMES[2])
    assert document.locate(("missing",)) == (week, *start_of(texts[week]))


def cleared(tree: Any) -> Any:
    """A tree without its nulls in maps: the innermost file's remove nothing, and say nothing."""
    if isinstance(tree, list):
        return [cleared(below) for below in tree]
    if not isinstance(tree, dict):
        return tree
    return {key: cleared(below) for key, below in tree.items() if below is not None}


# -- told by hand: what is hard to draw ------------------------------------------------------------------------

HOUSE = """\
devices:
  desk: {model: console-32, location: stage}
  west-box:
    model: stage-box-16x8
    label: west
sources:
  choir: {plugged_into: [west-box/in/1, west-box/in/2]}
  piano: {plugged_into: west-box/in/3}
"""
SEASON = """\
extends: ../house.yaml
devices:
  west-box: {label: null, location: pit}
sources: {piano: ~}
"""
WEEK = """\
# the week
devices:
    west-box:
        model: stage-box-8x8
sources:
    choir:
        plugged_into:
          - west-box/in/7
          -
            west-box/in/8
    piano: {kind: player}
extends: season.yaml
"""
IN_CHAIN: list[tuple[str, bool, str, int, int]] = [
    # Said by one file only.
    ("devices/desk/model", False, "house.yaml", 2, 17),
    ("devices/desk/model", True, "house.yaml", 2, 10),
    ("devices/desk", False, "house.yaml", 2, 3),
    ("devices/west-box/location", False, "rigs/season.yaml", 3, 37),
    # Said by two: the outer one counts.
    ("devices/west-box/model", False, "rigs/week.yaml", 4, 16),
    ("devices/west-box/model", True, "rigs/week.yaml", 4, 9),
    # A map that several files add to is where the outermost of them has it.
    ("devices/west-box", False, "rigs/week.yaml", 3, 5),
    ("devices/west-box", True, "rigs/week.yaml", 3, 5),
    ("devices", False, "rigs/week.yaml", 2, 1),
    # A list is replaced as a whole; its members count from 0 in a trail.
    ("sources/choir/plugged_into", False, "rigs/week.yaml", 7, 9),
    ("sources/choir/plugged_into/0", False, "rigs/week.yaml", 8, 13),
    ("sources/choir/plugged_into/1", False, "rigs/week.yaml", 10, 13),
    ("sources/choir/plugged_into/2", False, "rigs/week.yaml", 7, 9),
    # Removed, and said anew by the file outside: nothing of the first is left.
    ("sources/piano/kind", False, "rigs/week.yaml", 11, 19),
    ("sources/piano/plugged_into", False, "rigs/week.yaml", 11, 5),
    # Removed for good, never written, and below what is no map: the nearest written ancestor.
    ("devices/west-box/label", False, "rigs/week.yaml", 3, 5),
    ("devices/west-box/label", True, "rigs/week.yaml", 3, 5),
    ("devices/desk/label", False, "house.yaml", 2, 3),
    ("devices/desk/model/x/y", False, "house.yaml", 2, 10),
    ("devices/nobody/model", False, "rigs/week.yaml", 2, 1),
    ("mixes/house", False, "rigs/week.yaml", 2, 1),
    # `extends` itself is read and gone.
    ("extends", False, "rigs/week.yaml", 2, 1),
    ("", False, "rigs/week.yaml", 2, 1),
]


@pytest.fixture
def chain(tmp_path: Path) -> Document:
    (tmp_path / "rigs").mkdir()
    for name, text in zip(NAMES, (HOUSE, SEASON, WEEK), strict=True):
        (tmp_path / name).write_text(text, encoding="utf-8")
    return load_document(tmp_path / NAMES[2])


@pytest.mark.parametrize(("path", "at_key", "name", "line", "column"), IN_CHAIN)
def test_a_place_in_a_chain(
    chain: Document, tmp_path: Path, path: str, at_key: bool, name: str, line: int, column: int
) -> None:
    trail = [int(step) if step.isdigit() else step for step in path.split("/") if step]
    assert chain.locate(trail, at_key) == (str(tmp_path / name), line, column)


def test_what_the_chain_holds(chain: Document) -> None:
    assert chain.data == {
        "devices": {
            "desk": {"model": "console-32", "location": "stage"},
            "west-box": {"model": "stage-box-8x8", "location": "pit"},
        },
        "sources": {
            "choir": {"plugged_into": ["west-box/in/7", "west-box/in/8"]},
            "piano": {"kind": "player"},
        },
    }
    assert chain.idle_removals == ()


def test_files_are_named_as_seen_from_where_the_first_was_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, chain: Document
) -> None:
    assert chain.files == tuple(str(tmp_path / name) for name in NAMES)
    monkeypatch.chdir(tmp_path / "rigs")
    there = load_document(Path("week.yaml"))
    assert there.files == ("../house.yaml", "season.yaml", "week.yaml")
    assert there.locate(("devices", "desk", "model")) == ("../house.yaml", 2, 17)


ONE = """\
a: &here {x: 1, y: [2, 3]}
b: *here
c: {z: *here}
d: &word text
e: >-
  folded
  text
f:
g: ''
h: "two
  lines"
i: [ [ ], { } , [[5]] ]
"7" : seven
? j
: k
"""
IN_ONE: list[tuple[tuple[str | int, ...], bool, int, int]] = [
    # What an alias repeats stands where it is written; the alias's own key is its own.
    (("a", "x"), False, 1, 14),
    (("b", "x"), False, 1, 14),
    (("b", "y", 1), False, 1, 24),
    (("b",), False, 2, 1),
    (("c", "z", "y", 0), False, 1, 21),
    (("c", "z"), True, 3, 5),
    # An anchor is a part of its value, and so is the sign of a block and a quote.
    (("d",), False, 4, 4),
    (("e",), False, 5, 4),
    (("g",), False, 9, 4),
    (("h",), False, 10, 4),
    # Nothing stands behind its colon.
    (("f",), False, 8, 3),
    (("f",), True, 8, 1),
    (("i", 0), False, 12, 6),
    (("i", 1), False, 12, 11),
    (("i", 2, 0), False, 12, 18),
    (("i", 2, 0, 0), False, 12, 19),
    (("i", 2, 0, 1), False, 12, 18),
    (("i", 3), False, 12, 1),
    (("i", "x"), False, 12, 1),
    # Keys are text: the number 7 leads nowhere.
    (("7",), False, 13, 7),
    (("7",), True, 13, 1),
    ((7,), False, 1, 1),
    # A key marked as one, with its value on the next line.
    (("j",), True, 14, 3),
    (("j",), False, 15, 3),
]


@pytest.mark.parametrize(("trail", "at_key", "line", "column"), IN_ONE)
def test_a_place_in_one_file(trail: tuple[str | int, ...], at_key: bool, line: int, column: int) -> None:
    data, marks = parse(ONE, "one.yaml")
    assert Document(data, marks, ("one.yaml",), ()).locate(trail, at_key) == ("one.yaml", line, column)
