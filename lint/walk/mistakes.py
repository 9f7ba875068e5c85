"""What may be wrong with a checklist template beyond its schema: fields that are not there, and bad checklists.

The rules of good checklists are those of reference/checklist-design.md, section 7.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from lint.read.document import Document, Trail
from lint.read.nearest import did_you_mean
from lint.read.problem import Problem
from lint.walk.kinds import EVERY_KIND
from lint.walk.rig_fields import RIG_FIELDS
from lint.walk.rows import Field

FIELD = re.compile(r"\{([a-z]+)\.([a-z_]+)\}")
# More than nine items before a pause are skimmed: reference/checklist-design.md 1.3.
MOST_ITEMS_A_ROLE = 9

_BRACE = re.compile(r"[{}]")
# An answer must say the state that was seen (Degani and Wiener 1990, guideline 4), never these.
_EMPTY_ANSWER = re.compile(r"\b(checked|set|ok|okay|as required)\b", re.IGNORECASE)
# HSE INDG247: lost protective earths are a common cause of shocks to entertainers, some fatal.
_DEFEATS_EARTH = re.compile(
    r"\b(lift|cut|bypass|remove|disconnect|defeat|tape over|switch off)\w*\b[^.;:]*"
    r"\b(earth|ground|residual-current|RCD|GFCI)",
    re.IGNORECASE,
)


def mistakes_in(document: Document) -> Iterator[Problem]:
    """Yield what is wrong with a checklist that fits its schema."""
    seen: dict[str, str] = {}
    phases: set[str] = set()
    for index, phase in enumerate(document.data["phases"]):
        trail: Trail = ("phases", index)
        if phase["id"] in phases:
            yield _at(document, (*trail, "id"), f"a phase '{phase['id']}' stands here already; expected another id")
        phases.add(phase["id"])
        before = [row["id"] for row in document.data["phases"][:index]]
        yield from _need_problems(document, (*trail, "needs"), phase, before)
        yield from _order_problems(document, trail, phase)
        for number, item in enumerate(phase["items"]):
            at = (*trail, "items", number)
            if item["id"] in seen:
                yield _at(document, (*at, "id"), f"an item '{item['id']}' stands in phase '{seen[item['id']]}' already")
            seen[item["id"]] = phase["id"]
            yield from _item_problems(document, at, item)
    yield from _drift_problems(document)


def _at(document: Document, trail: Trail, message: str, at_key: bool = False) -> Problem:
    return Problem(*document.locate(trail, at_key), message)


def _need_problems(
    document: Document, trail: Trail, phase: Mapping[str, Any], before: Sequence[str]
) -> Iterator[Problem]:
    for place, name in enumerate(phase.get("needs", ())):
        if name not in before:
            near = did_you_mean(name, before, most=20)
            yield _at(document, (*trail, place), f"no phase before '{phase['id']}' is called '{name}'{near}")


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


def _drift_problems(document: Document) -> Iterator[Problem]:
    """What can change after it was answered is asked again at the last pause point, by an item that says so."""
    *before, last = document.data["phases"]
    drifting = {item["id"]: (index, number) for index, phase in enumerate(before)
                for number, item in enumerate(phase["items"]) if item.get("drifts")}  # fmt: skip
    every = [item["id"] for phase in before for item in phase["items"]]
    repeated = {name for item in last["items"] for name in item.get("repeats", ())}
    for name, (index, number) in drifting.items():
        if name not in repeated:
            at: Trail = ("phases", index, "items", number, "drifts")
            message = f"'{name}' can drift, and nothing in the last phase, '{last['id']}', repeats it"
            yield _at(document, at, f"{message}; add an item there with `repeats: [{name}]`")
    for index, phase in enumerate(document.data["phases"]):
        for number, item in enumerate(phase["items"]):
            for place, name in enumerate(item.get("repeats", ())):
                if name not in every:
                    trail: Trail = ("phases", index, "items", number, "repeats", place)
                    yield _at(document, trail, f"no item before it is called '{name}'{did_you_mean(name, every)}")


def _item_problems(document: Document, at: Trail, item: Mapping[str, Any]) -> Iterator[Problem]:
    kind = EVERY_KIND.get(item.get("for_each", ""))
    words: dict[str, Mapping[str, Field]] = {"rig": RIG_FIELDS}
    if kind is not None:
        words[kind.word] = kind.fields
    challenge: str = item["challenge"]
    yield from _text_problems(document, (*at, "challenge"), challenge, words)
    expected = FIELD.sub("x", challenge).partition(": ")[2]
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
    if item.get("second_person") and not item.get("killer"):
        message = "a second person looks at killer items alone; mark it `killer: true`, or leave this out"
        yield _at(document, (*at, "second_person"), message)
    if "measure" in item:
        yield from _measure_problems(document, (*at, "measure"), item["measure"])


def _text_problems(
    document: Document, trail: Trail, text: str, words: Mapping[str, Mapping[str, Field]]
) -> Iterator[Problem]:
    for word, field in FIELD.findall(text):
        if word not in words:
            known = did_you_mean(word, words)
            yield _at(document, trail, f"{{{word}.{field}}}: there is no '{word}' here{known}")
        elif field not in words[word]:
            known = did_you_mean(field, words[word], most=20)
            yield _at(document, trail, f"{{{word}.{field}}}: {word} has no field '{field}'{known}")
    if _BRACE.search(FIELD.sub("", text)):
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
