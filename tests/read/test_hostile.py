"""Hostile files on disk, all the way through `check`: one clear message at its place, fast, and no other exception.

Each text is tried as a week's rig, as the house under it and as a model of the house: wherever a file is read, the
same holds. (Single texts through the parser alone are in test_yaml_text.py, plain bytes in test_files.py.)
"""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from lint.check.catalogue import Catalogue, load_catalogue
from lint.check.engine import Checked, check_file
from lint.check.example import BASE
from lint.read.load import load_document
from lint.read.parse import MAX_ALIASED_NODES, MAX_DEPTH, MOST_MIB
from lint.read.problem import CannotReadError
from lint.rig.build import load_rig
from lint.walk.template import load_template

SECONDS = 2.0  # of processor time, for the worst of them; each takes a small part of it
HINT = "; look at the indentation, the colons and the brackets on this line and the one before"
PLAIN_YAML = "is not used in these files; expected plain YAML"
EXTENDS_WHAT = "expected the path of a file, such as ../house.yaml"

Write = Callable[[str, str | bytes], Path]


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue()


@pytest.fixture
def write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Write:
    """Write a file of a house called `hall`, and stand in its folder: paths in messages are then short."""
    hall = tmp_path / "hall"
    (hall / "rigs").mkdir(parents=True)
    for folder in ("models", "checklists"):
        (hall / folder).mkdir()
    (hall / "house.yaml").write_text(BASE, encoding="utf-8")
    monkeypatch.chdir(hall)

    def made(name: str, content: str | bytes) -> Path:
        path = Path(name)
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))
        return path

    return made


def refused(path: Path, catalogue: Catalogue | None = None) -> list[str]:
    """What keeps a rig from being checked; refused in good time, and by CannotReadError alone."""
    started = time.process_time()
    with pytest.raises(CannotReadError) as caught:
        check_file(path, catalogue)
    assert time.process_time() - started < SECONDS
    return [str(problem) for problem in caught.value.problems]


def not_yaml(context: str, problem: str) -> str:
    return f"is not readable as YAML here{context}: {problem}{HINT}"


def forges(code: str) -> str:
    return f"the text holds {code}, a control character that could forge a screen; write it without"


def bomb(levels: int, width: int = 10) -> str:
    """The classic: each level repeats the one before it, `width` times."""
    lines = [f"a0: &a0 [{', '.join('x' * width)}]"]
    lines += [f"a{level}: &a{level} [{', '.join([f'*a{level - 1}'] * width)}]" for level in range(1, levels)]
    return "\n".join(lines) + "\n"


def nested(levels: int, style: str) -> str:
    """A value that many maps or lists deep, on the lines below `a:`."""
    if style == "flow maps":
        return "a:\n " + "{k: " * levels + "x" + "}" * levels + "\n"
    if style == "flow lists":
        return "a:\n " + "[" * levels + "x" + "]" * levels + "\n"
    if style == "block lists":
        return "a:\n " + "- " * levels + "x\n"
    return "a:\n" + "".join(" " * level + "k:\n" for level in range(1, levels + 1)) + " " * (levels + 1) + "x\n"


# What the file holds, and what is said of it behind its name.
TEXTS: dict[str, tuple[str | bytes, str]] = {
    "nothing": ("", "1:1: is empty; expected a map such as `rig_format: 1`"),
    "comments only": ("# a\n\n  # b\n", "1:1: is empty; expected a map such as `rig_format: 1`"),
    "a list": ("- rig_format: 1\n", "1:1: the file holds a list or a single value; expected a map such as `rig_format: 1`"),
    "a word": ("rig_format", "1:1: the file holds a list or a single value; expected a map such as `rig_format: 1`"),
    "null": ("~\n", "1:1: the file holds a list or a single value; expected a map such as `rig_format: 1`"),
    "two documents": ("rig_format: 1\n--- # more\ndevices: {}\n", "2:1: a second document starts here; expected one document a file"),
    "a key twice": ("rig_format: 1\ndevices: {}\nrig_format: 1\n", "3:1: the key 'rig_format' stands here again; it is already on line 1"),
    "a key twice, deep": ("channels:\n  1: {pan: left}\n  '1': {pan: right}\n", "3:3: the key '1' stands here again; it is already on line 2"),
    "a key twice by an escape": ('desk: 1\n"\\x64esk": 2\n', "2:1: the key 'desk' stands here again; it is already on line 1"),
    "a tag that makes an object": ("a:\n  b: !!python/object/apply:os.system [touch pwned]\n", f"2:6: the tag tag:yaml.org,2002:python/object/apply:os.system {PLAIN_YAML}"),
    "a tag of a name": ("a: !!python/name:os.system\n", "1:4: the tag tag:yaml.org,2002:python/name:os.system is not used in these files; expected a plain value"),
    "a tag that says text": ("a: !!str 1\n", "1:4: the tag tag:yaml.org,2002:str is not used in these files; expected a plain value"),
    "a tag at the top": ("!!map {a: 1}\n", f"1:1: the tag tag:yaml.org,2002:map {PLAIN_YAML}"),
    "a tag of its own": ("%TAG !e! tag:example.org,2026:\n---\na: !e!x 1\n", "3:4: the tag tag:example.org,2026:x is not used in these files; expected a plain value"),
    "the sign of no tag": ("a: ! 1\n", "1:4: the tag ! is not used in these files; expected a plain value"),
    "a list as a key": ("? [a]\n: b\n", "1:3: a map or list is used as a key here; expected a name or a number"),
    "a map as a key": ("devices: {{a: b}: c}\n", "1:11: a map or list is used as a key here; expected a name or a number"),
    "an alias as a key": ("a: &k b\n*k : c\n", "2:1: the alias *k is used as a key; expected a name or a number"),
    "an alias of what holds it": ("a: &a\n  b: *a\n", "2:6: the alias *a stands for nothing (or for what it stands in)"),
    "an alias of itself as a whole": ("&a a: *a\n", "1:7: the alias *a stands for nothing (or for what it stands in)"),
    "a quote left open": ("a: 1\nb: 'open\nc: 2\n", "2:4: the quote that opens here is never closed"),
    "a brace left open": ("a: {b: 1\n", "1:4: the { that opens here is never closed: } is missing, or a comma"),
    "a bracket closed by a brace": ("a: [1}\n", "1:6: a comma or the closing ] is missing before this"),
    "a bracket too many": ("a: [1]]\n", "1:7: this ] closes nothing; take it out, or put in the bracket that opens"),
    "a bracket at the very end": ("a: 1\nb: [", "2:5: " + not_yaml(" while parsing a flow node", "expected node content")),
    "a colon too many": ("a: b: c\n", "1:5: a second colon stands in this line; text with “: ” in it needs quotes, such as \"a: b\""),
    "a tab for spaces": ("a:\n\tb: 1\n", "2:1: a tab stands here; indent with spaces"),
    "a tab after spaces": ("a:\n  b: 1\n  \tc: 2\n", "3:3: a tab stands here; indent with spaces"),
    "a key of 2,000 letters": ("k" * 2000 + ": 1\n", "1:2001: " + not_yaml("", "mapping values are not allowed in this context")),
    "NUL": ("a: x\0y\n", "1:5: the character U+0000 can't stand in a YAML file; take it out"),
    "an escape character": ("# é\na: x\x1b[2Jy\n", "2:5: the character U+001B can't stand in a YAML file; take it out"),
    "an escape character, written": ('a: 1\nb: "x\\x1b[2Jy"\n', "2:4: " + forges("U+001B")),
    "a bell in a comment": ("a: 1 # \x07\n", "1:8: the character U+0007 can't stand in a YAML file; take it out"),
    "NUL, written": ('a: "\\0"\n', "1:4: " + forges("U+0000")),
    "the next line of YAML 1.1": ("a: 1 # \x85devices: {}\n", "1:8: the character U+0085 can't stand in a YAML file; take it out"),
    "an override of the direction": ("a: 1\nb: go\u202eno\n", "2:4: " + forges("U+202E")),
    "an isolate of the direction": ("a: 'go\u2067no'\n", "1:4: " + forges("U+2067")),
    "an override in a key": ("a:\n  go\u202eno: 1\n", "2:3: " + forges("U+202E")),
    "no width in a key": ("de\u200bsk: 1\n", "1:1: white space that can't be seen stands in a key; write it without"),
    "no width in a key, written": ('"de\\u200Csk": 1\n', "1:1: white space that can't be seen stands in a key; write it without"),
    "a byte-order mark in a value": ("a: x\ufeffy\n", "1:4: " + forges("U+FEFF")),
    "a byte-order mark in a key": ('"a\\ufeff": 1\n', "1:1: " + forges("U+FEFF")),
    "half of a surrogate pair": (b"a: 1\nb: \xed\xa0\x80\n", "2:4: byte 0xed is not UTF-8 text; save the file as UTF-8"),
    "half of a surrogate pair, written": ('a: "\\uDC00"\n', "1:7: " + not_yaml(" while parsing a quoted scalar", "found invalid Unicode character escape code")),
    "past the last character": ('a: "\\U00110000"\n', "1:7: " + not_yaml(" while parsing a quoted scalar", "found invalid Unicode character escape code")),
    "Latin-1": ("# übung\na: {b: 1, label: ".encode() + b"caf\xe9}\n", "2:21: byte 0xe9 is not UTF-8 text; save the file as UTF-8"),
    "Latin-1 after signs of three bytes": ("a: 舞台 ".encode() + b"\xe4\n", "1:7: byte 0xe4 is not UTF-8 text; save the file as UTF-8"),
    "UTF-16 that is broken off": (b"\xff\xfe" + "a: 1\nb: 2".encode("utf-16-le") + b"\n", "2:5: byte 0x0a is not UTF-16 text; save the file as UTF-8"),
    "UTF-16 with an open bracket": ("a: é\nb: ]\n".encode("utf-16"), "2:4: " + not_yaml(" while parsing a block node", "expected node content")),
    "UTF-8 with its mark and an open bracket": ("é: ]\n".encode("utf-8-sig"), "1:4: " + not_yaml(" while parsing a block node", "expected node content")),
    "an integer of 5,000 digits": ("a: 1\nb: -" + "7" * 5000 + "\n", "2:4: this number has too many digits"),
    "a fraction of 5,000 digits": ("a: 0." + "7" * 5000 + "\n", "1:4: this number has too many digits"),
    "a number with a huge exponent": ("a: 1e99999\n", "1:4: found 1e99999, expected a finite number"),
    "not a number": ("a: [1, .NaN]\n", "1:8: found .NaN, expected a finite number"),
    "without end": ("a: -.inf\n", "1:4: found -.inf, expected a finite number"),
    "the bomb of ten levels": (bomb(10), f"5:45: aliases repeat more than {MAX_ALIASED_NODES:,} values; write them out"),
    "a bomb of maps": ("a: &a {b: 1}\n" + "".join(f"a{n}: &a {{l: *a, r: *a}}\n" for n in range(40)), f"16:13: aliases repeat more than {MAX_ALIASED_NODES:,} values; write them out"),
    "100 maps in a map, in flow": (nested(100, "flow maps"), f"2:{2 + 4 * 99}: nested more than 100 levels deep"),
    "100 lists in a map, in flow": (nested(100, "flow lists"), "2:101: nested more than 100 levels deep"),
    "100 lists in a map, in block": (nested(100, "block lists"), f"2:{2 + 2 * 99}: nested more than 100 levels deep"),
    "100 maps in a map, in block": (nested(100, "block maps"), "101:101: nested more than 100 levels deep"),
    "more than 16 MiB": (b"a: 1\n" + b"#" * MOST_MIB * 1024**2, " is larger than 16 MiB; a rig file is not that long"),
    "a picture": (b"\x89PNG\r\n\x1a\n\0\0", "1:1: byte 0x89 is not UTF-8 text; save the file as UTF-8"),
}  # fmt: skip
NAMES = list(TEXTS)


def told(name: str, file: str) -> list[str]:
    return [f"{file}:{TEXTS[name][1]}"]


@pytest.mark.parametrize("name", NAMES)
def test_a_hostile_rig(write: Write, name: str) -> None:
    assert refused(write("rigs/week.yaml", TEXTS[name][0])) == told(name, "rigs/week.yaml")
    assert not Path("pwned").exists()


@pytest.mark.parametrize("name", NAMES)
def test_a_hostile_house_under_a_good_week(write: Write, name: str) -> None:
    """What the house says wrong is told in the house, however the week under it is called."""
    write("house.yaml", TEXTS[name][0])
    assert refused(write("rigs/week.yaml", "extends: ../house.yaml\n")) == told(name, "house.yaml")


@pytest.mark.parametrize("name", NAMES)
def test_a_hostile_model_of_the_house(write: Write, name: str) -> None:
    write("models/own-box.yaml", TEXTS[name][0])
    week = write("rigs/week.yaml", "extends: ../house.yaml\ndevices: {west-box: {model: own-box}}\n")
    model = str(Path.cwd() / "models" / "own-box.yaml")
    assert refused(week) == told(name, model)


@pytest.mark.parametrize("name", NAMES)
def test_a_hostile_checklist_of_the_house(write: Write, name: str) -> None:
    path = write("checklists/own.yaml", TEXTS[name][0])
    with pytest.raises(CannotReadError) as caught:
        load_template("own", Path.cwd())
    assert [str(problem) for problem in caught.value.problems] == told(name, str(path.absolute()))


def test_what_is_fine_at_the_edge_of_what_is_refused(write: Write, catalogue: Catalogue) -> None:
    """Marks, line ends, anchors in small, keys told apart, a `?` before a key: all of it is only YAML."""
    clean = check_file(write("rigs/week.yaml", "extends: ../house.yaml\n"), catalogue)
    more = """\
? extends
: ../house.yaml
devices:
  west-box: &west {model: stage-box-16x8, output_bank: 1-8}
event: {name: "A \\u0041\\xe9 e\\u0301", date: 2026-11-29}
sources:
  lead-vocal: {label: &word Solo}
channels:
  1: {label: *word}
"""
    for raw in (
        more.encode(),
        more.encode("utf-8-sig"),
        more.encode("utf-16"),
        b"\xfe\xff" + more.encode("utf-16-be"),
        more.replace("\n", "\r\n").encode(),
        more.replace("\n", "\r").encode(),
        f"---\n{more}...\n# the end\n".encode(),
    ):
        checked = check_file(write("rigs/week.yaml", raw), catalogue)
        assert told_of(checked) == told_of(clean)
        assert checked.resolved.rig.event.name == "A Aé e\u0301"
        assert checked.resolved.rig.sources["lead-vocal"].label == "Solo"


def told_of(checked: Checked) -> list[tuple[str, str]]:
    return [(finding.rule, finding.about) for finding in checked.findings]


@pytest.mark.parametrize("levels", [MAX_DEPTH - 1, MAX_DEPTH, 5_000])
@pytest.mark.parametrize("style", ["flow maps", "flow lists", "block lists", "block maps"])
def test_how_deep_a_file_may_be(write: Write, levels: int, style: str) -> None:
    if levels > 1000 and style == "block maps":
        levels = 1000  # the text alone grows with the square
    week = write("rigs/week.yaml", nested(levels, style))
    if levels < MAX_DEPTH:  # the map at the top is a level as well
        document = load_document(week)
        assert document.locate(("a",)) == ("rigs/week.yaml", 1, 1)
        assert refused(week)[0].startswith("rigs/week.yaml:1:1: ")  # by the schema, which walks it all
    else:
        (message,) = refused(week)
        assert "nested more than 100 levels deep" in message or "exceeded maximum nesting depth" in message
        assert message.startswith("rigs/week.yaml:")


@pytest.mark.parametrize("opening", ["[", "{", "a: [", "[{a: ", "- ", "? ", "? - ", "a: {", "&a [", "!x [", '{"'])
def test_100_000_openings(write: Write, opening: str) -> None:
    (message,) = refused(write("rigs/week.yaml", opening * 100_000))
    assert message.startswith("rigs/week.yaml:1:")


@pytest.mark.parametrize(
    "text",
    [
        "'" * 1_000_001,
        "a: " + "'x' " * 300_000,
        "&a " * 300_000,
        "#" * 1_000_000,
        "\n" * 1_000_000,
        "a: 'x\n" + "\n" * 1_000_000,
        "a: |\n" + " \n" * 500_000 + "x",
        "a:\n" + "".join(f"  k{number}: 1\n" for number in range(10_000)) + "a: 2\n",
        "a:\n" + "  k: 1\n" * 20_000,
        "a: " + "9" * 1_000_000,
        "a: " + "1." * 500_000,
        "a: " + "-" * 1_000_000,
        "? " + "a" * 1_000_000,
        "%TAG ! " + "x" * 1_000_000,
    ],
    ids=lambda text: repr(text[:20]),
)
def test_long_and_dull_files_are_refused_in_good_time(write: Write, text: str) -> None:
    messages = refused(write("rigs/week.yaml", text))
    assert messages
    assert all(message.startswith("rigs/week.yaml:") for message in messages)
    assert max(map(len, messages)) < 500  # whatever is quoted is cut short


# -- extends ---------------------------------------------------------------------------------------------------

LONG = "x" * 3000 + ".yaml"
EXTENDS: dict[str, tuple[str, str]] = {
    "a file that is not there": ("../hous.yaml", "extends: there is no file ../hous.yaml; did you mean 'house.yaml'?"),
    "a number": ("7", f"extends: found 7, {EXTENDS_WHAT}"),
    "a list": ("[../house.yaml]", f"extends: found a list, {EXTENDS_WHAT}"),
    "nothing": ("", f"extends: found nothing, {EXTENDS_WHAT}"),
    "an empty text": ("''", f"extends: found '', {EXTENDS_WHAT}"),
    "a path from the root": ("/etc/hostname", "extends: expected a path relative to this file, such as ../house.yaml"),
    "out of the house": ("../../other/house.yaml", "extends: ../../other/house.yaml lies outside the house folder hall/"),
    "out of the house and in again": ("../../hall/../other/house.yaml", "extends: ../../hall/../other/house.yaml lies outside the house folder hall/"),
    "far out of the house": ("../" * 40 + "etc/passwd", "extends: " + ("../" * 40)[:75] + "... lies outside the house folder hall/"),
    "a house with a longer name": ("../../hall-two/house.yaml", "extends: ../../hall-two/house.yaml lies outside the house folder hall/"),
    "a name that is too long": (LONG, f"extends: there is no file {LONG[:75]}..."),
    "itself": ("week.yaml", "extends: goes round in a ring: week.yaml extends week.yaml"),
    "itself, the long way": ("../rigs/.././rigs//week.yaml", "extends: goes round in a ring: week.yaml extends week.yaml"),
    "NUL in the path": ('"../house.yaml\\0.txt"', forges("U+0000")),
    "an escape character in the path": ('"\\e[31m.yaml"', forges("U+001B")),
    "a line break in the path": ('"a\\nb.yaml"', r"extends: there is no file a\nb.yaml"),
    "half of a surrogate pair": ('"\\uD83D.yaml"', not_yaml(" while parsing a quoted scalar", "found invalid Unicode character escape code")),
    "a folder": ("../models", "extends: ../models is a folder, expected a file, such as ../house.yaml"),
    "below a file": ("../house.yaml/x.yaml", "extends: there is no file ../house.yaml/x.yaml"),
    "a variable of the shell": ("$HOME/x.yaml", "extends: there is no file $HOME/x.yaml"),
    "a home": ('"~/x.yaml"', "extends: there is no file ~/x.yaml"),
    "a path of another system": (r"..\house.yaml", r"extends: there is no file ..\house.yaml"),
    "an address of the web": ("https://example.org/house.yaml", "extends: there is no file https://example.org/house.yaml"),
}  # fmt: skip


@pytest.mark.parametrize("name", EXTENDS)
def test_extends_of(write: Write, name: str) -> None:
    value, message = EXTENDS[name]
    for folder in ("../other", "../hall-two"):
        Path(folder).mkdir()
        Path(folder, "house.yaml").write_text(BASE, encoding="utf-8")
    column = 13 if "surrogate" in name else 9 if not value else 10
    assert refused(write("rigs/week.yaml", f"rig_format: 1\nextends: {value}\n")) == [
        f"rigs/week.yaml:2:{column}: {message}"
    ]


def test_a_ring_of_three_is_told_once_where_it_closes(write: Write) -> None:
    write("rigs/a.yaml", "extends: b.yaml\n")
    write("rigs/b.yaml", "# round\nrig_format: 1\nextends: ../rigs/c.yaml\n")
    write("rigs/c.yaml", "\nextends:   'a.yaml'\n")
    ring = "a.yaml extends b.yaml extends c.yaml extends a.yaml"
    assert refused(Path("rigs/a.yaml")) == [f"rigs/c.yaml:2:12: extends: goes round in a ring: {ring}"]
    assert refused(write("rigs/week.yaml", "extends: a.yaml\n")) == [
        f"rigs/c.yaml:2:12: extends: goes round in a ring: {ring}"
    ]


def test_25_files_deep(write: Write) -> None:
    for number in range(25):
        write(f"rigs/{number}.yaml", f"extends: {number + 1}.yaml\n")
    write("rigs/25.yaml", "extends: ../house.yaml\n")
    assert refused(Path("rigs/0.yaml")) == ["rigs/20.yaml:1:10: extends: more than 20 files deep"]
    assert len(load_rig(Path("rigs/6.yaml")).document.files) == 21


def test_a_link_out_of_the_house(write: Write, tmp_path: Path) -> None:
    (tmp_path / "secret.yaml").write_text("password: [\n", encoding="utf-8")
    Path("rigs/link.yaml").symlink_to(tmp_path / "secret.yaml")
    Path("rigs/away").symlink_to(tmp_path)
    Path("rigs/devices.yaml").symlink_to("/dev/zero")
    for name in ("link.yaml", "away/secret.yaml", "devices.yaml"):
        assert refused(write("rigs/week.yaml", f"extends: {name}\n")) == [
            f"rigs/week.yaml:1:10: extends: {name} lies outside the house folder hall/"
        ]


def test_links_within_the_house_and_a_folder_of_rigs_that_is_linked_in(write: Write, tmp_path: Path) -> None:
    Path("rigs/link.yaml").symlink_to("../house.yaml")
    assert set(load_rig(write("rigs/week.yaml", "extends: link.yaml\n")).devices) == {"desk", "west-box", "east-box"}
    shared = tmp_path / "shared"
    shared.mkdir()
    (shared / "season.yaml").write_text("extends: ../house.yaml\n", encoding="utf-8")
    (shared / "week.yaml").write_text("extends: season.yaml\n", encoding="utf-8")
    Path("spring").symlink_to(shared)
    rig = load_rig(Path("spring/week.yaml"))
    assert rig.document.files == ("house.yaml", "spring/season.yaml", "spring/week.yaml")


def test_links_that_lead_in_a_ring(write: Write) -> None:
    Path("rigs/ring.yaml").symlink_to("ring.yaml")
    Path("rigs/self.yaml").symlink_to("week.yaml")
    assert refused(Path("rigs/ring.yaml")) == ["rigs/ring.yaml: there is no such file"]
    assert refused(write("rigs/week.yaml", "extends: ring.yaml\n"))[0].startswith(
        "rigs/week.yaml:1:10: extends: there is no file ring.yaml"
    )
    assert refused(write("rigs/week.yaml", "extends: self.yaml\n")) == [
        "rigs/self.yaml:1:10: extends: goes round in a ring: self.yaml extends self.yaml"
    ]


# -- what is no file -------------------------------------------------------------------------------------------


def check_in_time(name: str) -> str:
    """Check a rig in a process of its own, which is ended if it hangs, and return what it told."""
    code = (
        "import sys; from pathlib import Path; from lint.check.engine import check_file\n"
        "from lint.read.problem import CannotReadError\n"
        "try: check_file(Path(sys.argv[1]))\n"
        "except CannotReadError as error: print(error)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, name],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=20,
        check=True,
    )
    return done.stdout.strip()


@pytest.mark.parametrize("name", ["/dev/zero", "/dev/null", "/dev/tty", "/dev/stdin", "pipe.yaml", "socket.yaml"])
def test_what_is_no_file_does_not_hang(write: Write, name: str) -> None:
    os.mkfifo("pipe.yaml")
    with socket.socket(socket.AF_UNIX) as listener:
        listener.bind("socket.yaml")
        assert check_in_time(name) == f"{name}: this is a device or a pipe, expected a file"
        if name.endswith(".yaml"):
            write("rigs/week.yaml", f"extends: ../{name}\n")
            assert check_in_time("rigs/week.yaml").startswith(
                f"rigs/week.yaml:1:10: extends: there is no file ../{name}"
            )
            assert f"mean '{name}'" not in check_in_time("rigs/week.yaml")


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("rigs/none.yaml", "rigs/none.yaml: there is no such file"),
        ("rigs", "rigs: this is a folder, expected a file"),
        ("house.yaml/week.yaml", "house.yaml/week.yaml: there is no such file"),
        ("rigs/\ud800.yaml", "rigs/\ud800.yaml: there is no such file"),
    ],
)
def test_names_without_a_file(write: Write, name: str, message: str) -> None:
    write("rigs/week.yaml", "extends: ../house.yaml\n")
    assert refused(Path(name)) == [message]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may open everything")
def test_what_may_not_be_opened(write: Write) -> None:
    week = write("rigs/week.yaml", "extends: ../house.yaml\n")
    Path("house.yaml").chmod(0)
    assert refused(week) == ["house.yaml: can't be opened: Permission denied"]
    week.chmod(0)
    assert refused(week) == ["rigs/week.yaml: can't be opened: Permission denied"]
    week.chmod(0o600)
    Path("rigs").chmod(0)
    try:
        assert refused(week)[0].startswith("rigs/week.yaml: ")
    finally:
        Path("rigs").chmod(0o700)
