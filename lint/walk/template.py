"""Checklist templates: YAML that says what is asked, of whom, and for which rows of the rig.

The bundled ones, and a house's own in its `checklists/` folder, are held to the same rules of good checklists; a
house's file replaces the bundled one of its name, or says by ids what is different in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from importlib.resources import files
from pathlib import Path
from typing import Any

from lint.read.document import Document
from lint.read.load import load_map
from lint.read.nearest import did_you_mean
from lint.read.parse import parse
from lint.read.problem import CannotReadError, cannot_read, found
from lint.read.schema import require_valid
from lint.read.showable import unshowable
from lint.walk.cause import problems_in
from lint.walk.extension import SIGNAL_WORDS, extend_checklist
from lint.walk.mistakes import FIELD
from lint.walk.row_words import line

# The order in which the lead polls: the lead's own word comes last.
ROLES = ("stage", "house-mixer", "monitor-mixer", "wireless", "lead")
MOST_NAMED = 5
MAINS_SENTENCE = "Local electrical codes and a licensed electrician decide."


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
    """One item as written: `for_each` is a kind of rows or empty, `when` what their fields must be.

    `second_person` asks for the state again, of somebody else who has not seen the first answer. `again_after` names
    the parts of the rig after whose change it is asked again, whatever its own words say. `before_loud`: amplifiers and
    powered loudspeakers go on only once it is settled.
    """

    id: str
    role: str
    challenge: str
    for_each: str
    when: Mapping[str, Any]
    killer: bool
    second_person: bool
    safety: Safety | None
    measure: Measure | None
    again_after: tuple[str, ...] = ()
    before_loud: bool = False


@dataclass(frozen=True, slots=True)
class Phase:
    """A part of the walk that ends in a spoken completion call; an `unbroken` one has no pause on the way.

    `needs` are the phases whose killer items it waits for; None: all before it.
    """

    id: str
    title: str
    mode: str
    completion: str
    items: tuple[ItemTemplate, ...]
    unbroken: bool = False
    needs: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Template:
    """A whole checklist; `data` is what its files say, for its digest.

    `signs_off`: whether its go is the go of the rig, as a close-down's is not.
    `left_out` is what of safety the house leaves out, and why; `not_asked` what a longer list asks and this one does
    not, by its item ids.
    """

    name: str
    files: tuple[str, ...]
    title: str
    phases: tuple[Phase, ...]
    data: Mapping[str, Any]
    signs_off: bool = True
    left_out: tuple[str, ...] = ()
    not_asked: Mapping[str, str] = field(default_factory=dict)

    @property
    def asked_nowhere(self) -> tuple[str, ...]:
        """What no item of this list asks; what another item asks as well names it, and is for the list's readers."""
        return tuple(why for why in self.not_asked.values() if "`" not in why)


def bundled_checklists() -> tuple[str, ...]:
    """Return the names of the bundled checklists."""
    return tuple(
        sorted(entry.name[:-5] for entry in files("lint.checklists").iterdir() if entry.name.endswith(".yaml"))
    )


def load_template(name: str, house: Path | None) -> Template:
    """Read a checklist by name: the house's own where it has one, else the bundled one.

    Raises CannotReadError where there is none, or it has mistakes in it.
    """
    files = sorted((house / "checklists").glob("*.yaml")) if house else []
    own = {path.stem: path for path in files if not unshowable(path.stem)}
    template = build_template(name, _read(name, own, ()))
    if name not in own or name not in bundled_checklists() or len(template.files) > 1:
        return template
    return replace(template, left_out=tuple(_not_taken_over(template, build_template(name, _read(name, {}, ())))))


def _not_taken_over(own: Template, bundled: Template) -> Iterator[str]:
    """Say how many cautions of the bundled list a house's whole list in its place lacks, or has in a weaker word."""
    rank = SIGNAL_WORDS.index
    ours = [(item.id, item.safety) for phase in own.phases for item in phase.items if item.safety]
    theirs = [(item.id, item.safety) for phase in bundled.phases for item in phase.items if item.safety]
    lost = [
        name
        for name, note in theirs
        if not any((name == id_ or note.text == has.text) and rank(has.word) >= rank(note.word) for id_, has in ours)
    ]
    if lost:
        more = f" and {len(lost) - MOST_NAMED} more" if len(lost) > MOST_NAMED else ""
        named = ", ".join(lost[:MOST_NAMED]) + more
        yield f"{len(lost)} of the {len(theirs)} safety cautions of {own.name}: {named}"


def _read(name: str, own: Mapping[str, Path], above: tuple[str, ...]) -> Document:
    """Read a checklist and what it extends; under its own name that is the bundled one."""
    if name in own and name not in above:
        document = load_map(own[name])
    elif name in bundled_checklists():
        resource = files("lint.checklists") / f"{name}.yaml"
        data, marks = parse(resource.read_text(encoding="utf-8"), str(resource))
        document = Document(data, marks, (str(resource),), ())
    else:
        known = sorted({*own, *bundled_checklists()})
        raise cannot_read(name, f"no checklist is called '{name}'{did_you_mean(name, known, most=20)}")
    if "extends" not in document.data:
        return document
    base = document.data["extends"]
    at = document.locate(("extends",))
    known = [each for each in sorted({*own, *bundled_checklists()}) if each not in above]
    if not isinstance(base, str) or base not in {*own, *bundled_checklists()}:
        near = did_you_mean(base, known, most=20) if isinstance(base, str) else ""
        raise cannot_read(at[0], f"extends: {found(base)}, expected the name of a checklist{near}", *at[1:])
    if base in above or (base == name and base not in bundled_checklists()):
        raise cannot_read(at[0], f"extends: goes round in a ring: {' extends '.join((*above, name, base))}", *at[1:])
    whole = _read(base, own, (*above, name))
    require_valid(whole, "checklist")
    return extend_checklist(whole, document)


def build_template(name: str, document: Document) -> Template:
    """Build the template of a document.

    Raises CannotReadError for all that does not fit the schema, names a field that is not there, or breaks the rules
    that every checklist is held to.
    """
    if problems := problems_in(document):
        raise CannotReadError(problems)
    data = document.data
    phases = tuple(
        Phase(
            row["id"],
            line(row["title"]),
            row["mode"],
            line(row["completion"]),
            tuple(map(_item, row["items"])),
            row.get("unbroken", False),
            tuple(row["needs"]) if "needs" in row else None,
        )
        for row in data["phases"]
    )
    return Template(
        name,
        document.files,
        line(data["title"]),
        phases,
        data,
        data.get("signs_off", True),
        tuple(data.get("left_out", ())),
        {item: line(why) for item, why in data.get("not_asked", {}).items()},
    )


def _item(row: Mapping[str, Any]) -> ItemTemplate:
    safety, measure = row.get("safety"), row.get("measure")
    return ItemTemplate(
        row["id"],
        row["role"],
        line(row["challenge"]),
        row.get("for_each", ""),
        row.get("when", {}),
        row.get("killer", False),
        row.get("second_person", row.get("killer", False)),
        Safety(safety["word"], _safety_text(safety)) if safety else None,
        Measure(measure["unit"], _decimal(measure.get("min")), _decimal(measure.get("max"))) if measure else None,
        tuple(row.get("again_after", ())),
        row.get("before_loud", False),
    )


def _safety_text(row: Mapping[str, Any]) -> str:
    parts = [row["hazard"], row["consequence"], row["avoidance"]]
    if row.get("mains"):
        parts.append(MAINS_SENTENCE)
    return " ".join(line(part).rstrip(".") + "." for part in parts)


def _decimal(number: float | None) -> Decimal | None:
    return None if number is None else Decimal(repr(number))


# -- filling in ------------------------------------------------------------------------------------------------

UNSTATED = "(not stated in the rig file)"


def fill(text: str, values: Mapping[str, Mapping[str, Any]]) -> str:
    """Return a text with its fields filled in from `values`, by word and field; an empty one is said to be unstated."""
    return FIELD.sub(lambda match: str(values[match[1]][match[2]]) or UNSTATED, text)
