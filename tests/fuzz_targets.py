"""Six ways into rigwalk for bytes by somebody hostile; each ends quietly, or in an exception that is a defect.

`tests/fuzz.py` feeds them for hours; `tests/test_fuzz_corpus.py` has the suite replay what that found worth keeping.
"""

from __future__ import annotations

import atexit
import io
import json
import re
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout, suppress
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import typer
from breaking import ODD, at, broken, trails
from fuzz_seeds import BEGUN, CHECKLIST, EXTENSION, HOUSE_RULE, MODEL, entries
from houses import FULL

from lint.check.catalogue import Catalogue, load_catalogue
from lint.check.engine import Checked, check_rig
from lint.check.example import BASE, FILE, example_document
from lint.check.own import RULE_FAILED
from lint.cli.history import Form, history
from lint.handover.handover import make_handover
from lint.handover.page import handover_json, handover_page
from lint.handover.since import NothingToCompareError
from lint.page.as_text import page_text
from lint.read.document import Document, Marks
from lint.read.fits import Fits
from lint.read.load import load_document
from lint.read.problem import MAX_MESSAGE, CannotReadError
from lint.read.schema import _validator, require_valid, schema
from lint.read.showable import UNSHOWABLE as READ
from lint.record.hunts import found_before, past_hunts
from lint.record.ledger import _SCHEMA, FORMAT, Ledger, RecordError, _seal
from lint.record.seal import NO_SEAL, canonical, digest_of
from lint.report.json_report import check_json, rig_json
from lint.report.text import check_text
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models
from lint.start.inputs import read_inputs
from lint.start.propose import extends_path, propose, sorted_channels
from lint.start.scaffold import scaffold
from lint.start.table import read_table
from lint.walk.basis import Basis, load_basis
from lint.walk.entry import Entry
from lint.walk.items import expand
from lint.walk.session import Session
from lint.walk.template import load_template

TODAY = date(2026, 11, 29)
UNSHOWABLE = re.compile("[\x00-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")
# In what is printed our own line breaks and colours may stand, and nothing else of the kind.
FORGING = re.compile("[\x00-\x09\x0b-\x1a\x1c-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]|\x1b(?!\\[[0-9]{1,2}m)")
WILD: list[Any] = [
    *ODD,
    *("<b>", "=1+1", "\x1b[2J", "\u202egnp", "\u200b", "\ud800", "a\nb", "{source.label}", "{rig.event}", "{x.y}", "{", "}"),
    *("checked", "lift the earth", "remove", "phases", "sources", "boxes", "second/", "go", "no-go", "signed", "é𝄞", "9" * 400),
    *(1e308, 2**70, -(2**53), 1.5, False, [[]], [{}], {"id": "x"}, {"a": {"b": None}}, ["x", "x"], [1, "1"]),
]  # fmt: skip


class Choices:
    """Chooses by bytes as `random.Random` does by chance: equal bytes, equal choices; the first ones once they end."""

    def __init__(self, raw: bytes) -> None:
        self._raw = io.BytesIO(raw)

    def below(self, most: int) -> int:
        return int.from_bytes(self._raw.read(1 if most <= 256 else 2)) % most

    def randint(self, a: int, b: int, /) -> int:
        return a + self.below(b - a + 1)

    def choice(self, seq: Sequence[Any], /) -> Any:
        return seq[self.below(len(seq))]

    def text(self) -> str:
        return self._raw.read(self.below(64)).decode("utf-8", "surrogateescape")


def readable(data: Any) -> Any:
    """Return data as it is once read: the reader lets no text through that could forge a screen."""
    if isinstance(data, dict):
        return {READ.sub("?", key): readable(value) for key, value in data.items()}
    if isinstance(data, list):
        return [readable(value) for value in data]
    return READ.sub("?", data) if isinstance(data, str) else data


def wild(data: Any, choices: Choices) -> Any:
    """Return data broken by one to three odd values, and now and then a text of its own."""
    data = broken(data, choices, WILD)
    every = list(trails(data))
    if every and choices.below(3) == 0:
        *above, last = choices.choice(every)
        at(data, tuple(above))[last] = choices.text()
    return data


@cache
def scratch() -> Path:
    """A house of its own to write into: in memory where that can be, and gone at the end."""
    memory = Path("/dev/shm")
    folder = Path(tempfile.mkdtemp(prefix="fuzz-", dir=memory if memory.is_dir() else None))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    for name in ("rigs", "checklists", "records"):
        (folder / name).mkdir()
    (folder / "house.yaml").write_text(BASE, encoding="utf-8")
    (folder / "rigs" / "sunday.yaml").write_text("extends: ../house.yaml\n", encoding="utf-8")
    for name in ("base", "small"):
        (folder / "checklists" / f"{name}.yaml").write_text(json.dumps(CHECKLIST), encoding="utf-8")
    return folder


@contextmanager
def told(lines: Sequence[str] = ()) -> Iterator[None]:
    """Hold what is refused to a place within the text, and to words that can't break out of their line."""
    try:
        yield
    except CannotReadError as error:
        assert error.problems
        assert len(set(error.problems)) == len(error.problems)
        for problem in error.problems:
            assert problem.message
            assert len(problem.message) <= MAX_MESSAGE, problem
            assert not UNSHOWABLE.search(problem.message), problem
            assert problem.line >= 0
            if lines and problem.file.endswith("week.yaml") and problem.line:
                assert problem.line <= len(lines), problem
                assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1, problem


class Nowhere:
    """The mark of data that stands in no text."""

    line = column = 0


def document(data: Any) -> Document:
    return Document(data, _marks(data), (FILE,), ())


def _marks(data: Any) -> Any:
    """Return marks as `parse` would, without the time it takes."""
    members = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else None
    if members is None:
        return Nowhere
    return Marks(FILE, Nowhere, {key: (Nowhere, _marks(value)) for key, value in members})


# -- the targets -----------------------------------------------------------------------------------------------


def reader(raw: bytes) -> None:
    """The bytes of a rig file, as far as they can be read: to the resolved rig."""
    path = scratch() / "rigs" / "week.yaml"
    path.write_bytes(raw)
    encoding = "utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    with told(re.split("\r\n|\r|\n", raw.decode(encoding, "replace"))):
        read = load_document(path)
        require_valid(read, "rig")
        resolve_rig(build_rig(read, str(path), Models(None)))


@cache
def written() -> dict[str, list[Any]]:
    """A document or more of each kind that people write."""
    rigs = [example_document(fragment).data for fragment in ("", FULL)]
    return {"rig": rigs, "checklist": [CHECKLIST, EXTENSION], "model": MODEL, "house-rule": [HOUSE_RULE]}


@cache
def fits(name: str) -> Fits:
    return Fits(schema(name))


def schemas(raw: bytes) -> None:
    """A document that does not fit its schema, told mistake by mistake; one that fits must do so for jsonschema too."""
    choices = Choices(raw)
    name = choices.choice(sorted(written()))
    data = readable(wild(choices.choice(written()[name]), choices))
    with told():
        require_valid(document(data), name)
        if fits(name)(data):
            assert _validator(name).is_valid(data)


@cache
def catalogue() -> Catalogue:
    return load_catalogue()


@cache
def rigs() -> list[dict[str, Any]]:
    """The small rig with the fragment of every example of every rule: whatever a rig may say stands in one of them."""
    rules = catalogue().rules.values()
    fragments = [text for rule in rules for text in (*rule.good, *(bad.rig for bad in rule.bad))]
    return [example_document(text).data for text in fragments]


def rules(raw: bytes) -> None:
    """A rig that is broken and may still fit the schema: resolved, held against every rule, and told."""
    choices = Choices(raw)
    data = broken(choices.choice(rigs()), choices)
    if not fits("rig")(data):
        return
    with told():
        checked = check_rig(resolve_rig(build_rig(document(data), FILE, Models(None))), catalogue(), TODAY)
        assert [finding.message for finding in checked.findings if finding.rule == RULE_FAILED] == []
        assert json.dumps(check_json([rig_json(checked)], []))
        shown = check_text(checked, catalogue())
        assert not FORGING.search(shown), FORGING.search(shown)


@cache
def house() -> ResolvedRig:
    read = load_document(scratch() / "house.yaml")
    return resolve_rig(build_rig(read, "house.yaml", Models(None)))


def lists(raw: bytes) -> None:
    """An input list, alone or in a house: the rig that is made of it can always be read."""
    path = scratch() / "list.csv"
    path.write_bytes(raw)
    new = scratch() / "rigs" / "new.yaml"
    of = house() if len(raw) % 2 else None
    extends = extends_path(new, scratch() / "house.yaml") if of else ""
    with told():
        boxes = [box.name for box in of.rig.boxes] if of else []
        listed = read_inputs(read_table(path), path, boxes)
        proposal = propose(listed, of, extends)
        if not proposal.plan.sections.get("sources"):
            return
        sorted_channels(proposal.plan)
        new.write_text(scaffold(proposal.plan, "Made of a list.", ""), encoding="utf-8")
        try:
            read = load_document(new)
            require_valid(read, "rig")
            resolve_rig(build_rig(read, str(new), Models(None)))
        except CannotReadError as error:
            raise AssertionError(f"what was made of the list can't be read: {error}") from error


@cache
def walked() -> list[Checked]:
    """Rigs to write a checklist out for: the small one, and one with a row of every kind."""
    read = [example_document(fragment) for fragment in ("", FULL)]
    return [check_rig(resolve_rig(build_rig(each, FILE, Models(None))), catalogue(), TODAY) for each in read]


def templates(raw: bytes) -> None:
    """A house's checklist, as text (after a first #) or as broken data: loaded, and written out over rigs."""
    if raw[:1] == b"#":
        text = raw
    else:
        choices = Choices(raw)
        text = json.dumps(wild(choices.choice([CHECKLIST, EXTENSION]), choices)).encode()
    (scratch() / "checklists" / "own.yaml").write_bytes(text)
    with told():
        template = load_template("own", scratch())
        for checked in walked():
            plan = expand(template, checked)
            assert len(plan.by_key) == len(plan.items), "two items share a key"
            assert not any(UNSHOWABLE.search(item.challenge) for item in plan.items)


@cache
def record() -> list[dict[str, Any]]:
    return entries()


def records(raw: bytes) -> None:
    """A record, as the bytes of its file or as entries that are sealed as they should be and say what they like."""
    path = scratch() / "records" / "walks.sqlite"
    path.unlink(missing_ok=True)
    choices = Choices(raw)
    if raw[:6] == b"SQLite":
        path.write_bytes(raw)
    else:
        chosen = [choices.choice(record()) for _ in range(choices.randint(0, 6))]
        begun = [] if choices.below(8) == 0 else record()[:1]
        seal_all(path, wild([*begun, *chosen], choices))
    call: dict[str, Any] = {"number": choices.below(4), "form": choices.choice(list(Form))}
    call |= {"seal": None, "signed_with": None, "last": 10}
    said = io.StringIO()
    with redirect_stdout(said), redirect_stderr(said):
        try:
            history(path, **call)
        except typer.Exit as ended:
            assert ended.exit_code in (0, 1, 2)
    if call["form"] is not Form.JSON:
        assert not FORGING.search(said.getvalue().replace("\r\n", "\n")), said.getvalue()
    if choices.below(3) == 2:  # never by bytes that have ended: it takes the most time
        go_on(path)


def go_on(path: Path) -> None:
    """Make of a record all that is made of one beside its history: a hunt's likelihoods, a handover, a walk resumed."""
    with suppress(RecordError, NothingToCompareError, CannotReadError):
        found_before(past_hunts_of(path))
        handover = make_handover(basis().checked, None, TODAY)
        said = page_text(handover_page(handover), 80)
        assert not FORGING.search(said), said
        assert json.loads(handover_json(handover))
    with suppress(RecordError), Ledger(path) as ledger:
        if ledger.verify().broken is None:
            Session(ledger, basis(), basis, digest_of, lambda: BEGUN + timedelta(hours=1)).open("B. Brown")


@cache
def basis() -> Basis:
    return load_basis(scratch() / "rigs" / "sunday.yaml", "small", digest_of, TODAY)


def past_hunts_of(path: Path) -> list[Entry]:
    with Ledger(path, reading=True) as ledger:
        return past_hunts(ledger)


def seal_all(path: Path, entries: Any) -> None:
    """Write entries as somebody would who knows how they are sealed; what can't be sealed is left out."""
    rows, previous = [], NO_SEAL
    for entry in entries if isinstance(entries, list) else ():
        try:
            walk, kind, body = entry["walk"], entry["kind"], canonical(entry["body"])
            seal = _seal(len(rows) + 1, walk, kind, body, previous)
        except (KeyError, TypeError, ValueError):
            continue
        rows.append((len(rows) + 1, walk, kind, body.decode(), previous, seal))
        previous = seal
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA synchronous=OFF")
    connection.execute("PRAGMA journal_mode=OFF")
    connection.executescript("BEGIN;" + _SCHEMA + f"PRAGMA user_version = {FORMAT};")
    with suppress(sqlite3.Error):  # a kind or number that no database takes
        connection.executemany("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?)", rows)
    connection.execute("COMMIT")
    connection.close()


TARGETS: dict[str, Callable[[bytes], None]] = {
    each.__name__: each for each in (reader, schemas, rules, lists, templates, records)
}
