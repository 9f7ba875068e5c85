"""Checklist templates: YAML that says what is asked, of whom, and for which rows of the rig.

The bundled ones, and a house's own in its `checklists/` folder, are held to the same rules of good checklists; a
house's file replaces the bundled one of its name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from importlib.resources import files
from pathlib import Path
from typing import Any

from lint.read.document import Document, Trail, parse
from lint.read.load import load_map
from lint.read.nearest import did_you_mean
from lint.read.problem import CannotReadError, Problem, cannot_read
from lint.read.schema import require_valid
from lint.walk.rows import RIG_FIELDS, ROW_KINDS, Field

# The order in which the lead polls: the lead's own word comes last.
ROLES = ("stage", "house-mixer", "monitor-mixer", "wireless", "lead")
# More than nine items before a pause are skimmed: reference/checklist-design.md 1.3.
MOST_ITEMS_A_ROLE = 9
MAINS_SENTENCE = "Local electrical codes and a licensed electrician decide."

_FIELD = re.compile(r"\{([a-z]+)\.([a-z_]+)\}")
_BRACE = re.compile(r"[{}]")
# An answer must say the state that was seen (Degani and Wiener 1990, guideline 4), never these.
_EMPTY_ANSWER = re.compile(r"\b(checked|set|ok|okay|as required)\b", re.IGNORECASE)
# HSE INDG247: lost protective earths are a common cause of shocks to entertainers, some fatal.
_DEFEATS_EARTH = re.compile(
    r"\b(lift|cut|bypass|remove|disconnect|defeat|tape over|switch off)\w*\b[^.;:]*"
    r"\b(earth|ground|residual-current|RCD|GFCI)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Safety:
    """A safety note: its signal word by the meanings of ANSI Z535.6, and hazard, consequence and avoidance."""

    word: str
    text: str


@dataclass(frozen=True, slots=True)
class Measure:
    """A value to be measured: its unit, and the least and the most that are a go (None: no limit)."""

    unit: str
    least: Decimal | None
    most: Decimal | None

    def allows(self, value: Decimal) -> bool:
        """Whether a measured value is a go."""
        return not ((self.least is not None and value < self.least) or (self.most is not None and value > self.most))

    def __str__(self) -> str:
        if self.least is None:
            return f"at most {self.most} {self.unit}"
        if self.most is None:
            return f"at least {self.least} {self.unit}"
        return f"{self.least} to {self.most} {self.unit}"


@dataclass(frozen=True, slots=True)
class ItemTemplate:
    """One item as written: `for_each` is a kind of rows or empty, `when` what their fields must be."""

    id: str
    role: str
    challenge: str
    for_each: str
    when: Mapping[str, Any]
    killer: bool
    safety: Safety | None
    measure: Measure | None


@dataclass(frozen=True, slots=True)
class Phase:
    """A part of the walk that ends in a spoken completion call."""

    id: str
    title: str
    mode: str
    completion: str
    items: tuple[ItemTemplate, ...]


@dataclass(frozen=True, slots=True)
class Template:
    """A whole checklist; `data` is what the file says, for its digest."""

    name: str
    file: str
    title: str
    phases: tuple[Phase, ...]
    data: Mapping[str, Any]


def bundled_checklists() -> tuple[str, ...]:
    """Return the names of the bundled checklists."""
    return tuple(
        sorted(entry.name[:-5] for entry in files("lint.checklists").iterdir() if entry.name.endswith(".yaml"))
    )


def load_template(name: str, house: Path | None) -> Template:
    """Read a checklist by name: the house's own where it has one, else the bundled one.

    Raises CannotReadError where there is none, or it has mistakes in it.
    """
    own = {path.stem: path for path in sorted((house / "checklists").glob("*.yaml"))} if house else {}
    if name in own:
        document = load_map(own[name])
    elif name in bundled_checklists():
        resource = files("lint.checklists") / f"{name}.yaml"
        data, marks = parse(resource.read_text(encoding="utf-8"), str(resource))
        document = Document(data, marks, (str(resource),), ())
    else:
        known = sorted({*own, *bundled_checklists()})
        raise cannot_read(name, f"no checklist is called '{name}'{did_you_mean(name, known, most=20)}")
    return build_template(name, document)


def build_template(name: str, document: Document) -> Template:
    """Build the template of a document.

    Raises CannotReadError for all that does not fit the schema, names a field that is not there, or breaks the rules
    that every checklist is held to.
    """
    require_valid(document, "checklist")
    problems = sorted(_problems(document))
    if problems:
        raise CannotReadError(problems)
    data = document.data
    phases = tuple(
        Phase(row["id"], row["title"], row["mode"], row["completion"], tuple(map(_item, row["items"])))
        for row in data["phases"]
    )
    return Template(name, document.files[0], data["title"], phases, data)


def _item(row: Mapping[str, Any]) -> ItemTemplate:
    safety, measure = row.get("safety"), row.get("measure")
    return ItemTemplate(
        row["id"],
        row["role"],
        " ".join(row["challenge"].split()),
        row.get("for_each", ""),
        row.get("when", {}),
        row.get("killer", False),
        Safety(safety["word"], _safety_text(safety)) if safety else None,
        Measure(measure["unit"], _decimal(measure.get("min")), _decimal(measure.get("max"))) if measure else None,
    )


def _safety_text(row: Mapping[str, Any]) -> str:
    parts = [row["hazard"], row["consequence"], row["avoidance"]]
    if row.get("mains"):
        parts.append(MAINS_SENTENCE)
    return " ".join(" ".join(part.split()).rstrip(".") + "." for part in parts)


def _decimal(number: float | None) -> Decimal | None:
    return None if number is None else Decimal(repr(number))


# -- filling in ------------------------------------------------------------------------------------------------

UNSTATED = "(not stated in the rig file)"


def fill(text: str, values: Mapping[str, Mapping[str, Any]]) -> str:
    """Return a text with its fields filled in from `values`, by word and field; an empty one is said to be unstated."""
    return _FIELD.sub(lambda match: str(values[match[1]][match[2]]) or UNSTATED, text)


# -- mistakes --------------------------------------------------------------------------------------------------


def _problems(document: Document) -> Iterator[Problem]:
    seen: dict[str, str] = {}
    phases: set[str] = set()
    for index, phase in enumerate(document.data["phases"]):
        trail: Trail = ("phases", index)
        if phase["id"] in phases:
            yield _at(document, (*trail, "id"), f"a phase '{phase['id']}' stands here already; expected another id")
        phases.add(phase["id"])
        yield from _order_problems(document, trail, phase)
        for number, item in enumerate(phase["items"]):
            at = (*trail, "items", number)
            if item["id"] in seen:
                yield _at(document, (*at, "id"), f"an item '{item['id']}' stands in phase '{seen[item['id']]}' already")
            seen[item["id"]] = phase["id"]
            yield from _item_problems(document, at, item)


def _at(document: Document, trail: Trail, message: str, at_key: bool = False) -> Problem:
    return Problem(*document.locate(trail, at_key), message)


def _order_problems(document: Document, trail: Trail, phase: Mapping[str, Any]) -> Iterator[Problem]:
    """Killer items first, so that they are done before anything interrupts; no more items than a pause point bears."""
    passed = ""
    counts: dict[str, int] = {}
    for number, item in enumerate(phase["items"]):
        at = (*trail, "items", number)
        if item.get("killer") and passed:
            message = f"the killer item '{item['id']}' stands behind '{passed}'; killer items come first in their phase"
            yield _at(document, (*at, "killer"), message)
        if not item.get("killer"):
            passed = item["id"]
        role = item["role"]
        counts[role] = counts.get(role, 0) + 1
        if counts[role] == MOST_ITEMS_A_ROLE + 1:
            message = f"more than {MOST_ITEMS_A_ROLE} items for {role} in one phase; split the phase"
            yield _at(document, (*at, "id"), message)


def _item_problems(document: Document, at: Trail, item: Mapping[str, Any]) -> Iterator[Problem]:
    kind = ROW_KINDS.get(item.get("for_each", ""))
    words: dict[str, Mapping[str, Field]] = {"rig": RIG_FIELDS}
    if kind is not None:
        words[kind.word] = kind.fields
    challenge: str = item["challenge"]
    yield from _text_problems(document, (*at, "challenge"), challenge, words)
    expected = _FIELD.sub("x", challenge).partition(": ")[2]
    if not expected.strip():
        message = "the challenge must end in the expected state after a colon, such as `output bank: {box.bank}`"
        yield _at(document, (*at, "challenge"), message)
    if match := _EMPTY_ANSWER.search(expected):
        message = f"'{match[0]}' is no state that can be seen; say the position, value or behaviour that is expected"
        yield _at(document, (*at, "challenge"), message)
    for key in ("hazard", "consequence", "avoidance"):
        if key in item.get("safety", {}):
            yield from _text_problems(document, (*at, "safety", key), item["safety"][key], words)
    yield from _when_problems(document, (*at, "when"), item, kind.fields if kind else RIG_FIELDS)
    if "measure" in item:
        yield from _measure_problems(document, (*at, "measure"), item["measure"])


def _text_problems(
    document: Document, trail: Trail, text: str, words: Mapping[str, Mapping[str, Field]]
) -> Iterator[Problem]:
    for word, field in _FIELD.findall(text):
        if word not in words:
            known = did_you_mean(word, words)
            yield _at(document, trail, f"{{{word}.{field}}}: there is no '{word}' here{known}")
        elif field not in words[word]:
            known = did_you_mean(field, words[word], most=20)
            yield _at(document, trail, f"{{{word}.{field}}}: {word} has no field '{field}'{known}")
    if _BRACE.search(_FIELD.sub("", text)):
        yield _at(document, trail, "a brace that belongs to no field; a field is written {box.name}")
    if match := _DEFEATS_EARTH.search(text):
        message = f"'{match[0]}': no text may speak of taking away a protective earth or a residual-current device"
        yield _at(document, trail, f"{message}; say what must stay connected")


def _when_problems(
    document: Document, trail: Trail, item: Mapping[str, Any], fields: Mapping[str, Field]
) -> Iterator[Problem]:
    whose = f"a row of {item['for_each']}" if "for_each" in item else "the rig"
    names = {str: "text", int: "a whole number", bool: "true or false"}
    for name, wanted in item.get("when", {}).items():
        if name not in fields:
            known = did_you_mean(name, fields, most=20)
            yield _at(document, (*trail, name), f"{whose} has no field '{name}'{known}", at_key=True)
            continue
        for value in wanted if isinstance(wanted, list) else [wanted]:
            if type(value) is not fields[name].type:
                message = f"found {value!r}, expected {names[fields[name].type]}: {name} is {fields[name].meaning}"
                yield _at(document, (*trail, name), message)


def _measure_problems(document: Document, trail: Trail, measure: Mapping[str, Any]) -> Iterator[Problem]:
    if "min" not in measure and "max" not in measure:
        yield _at(document, trail, "a measured value is judged by `min`, `max` or both; neither is stated", at_key=True)
    elif measure.get("min", float("-inf")) > measure.get("max", float("inf")):
        yield _at(document, trail, f"min {measure['min']} is more than max {measure['max']}", at_key=True)
