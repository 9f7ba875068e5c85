"""What every finding must be, whichever rule says it and of whatever rig: held by the tests of rules and of mistakes."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

from lint.check.catalogue import Catalogue
from lint.check.example import FILE
from lint.check.finding import Cure, Finding
from lint.read.document import Document
from lint.read.merge import extend
from lint.read.parse import parse
from lint.read.schema import require_valid

# Found by a rule about a cable that its own cure would run.
NEW_CABLE = ("link-cable-coiled-spare", "to-")


def hold(finding: Finding, document: Document, catalogue: Catalogue, texts: tuple[str, ...]) -> None:
    """Raise AssertionError for a finding that a crew, a waiver or a program could not use.

    `texts` are the files that the document was read from, all under the name `FILE`; none where that is not known.
    """
    names = set(_names(document))
    _is_plain(finding.message, ends=(".", "?"))
    assert finding.places, finding.message
    for place in finding.places:
        assert _head(place.address) in names, f"points at {place.address!r}, which the rig does not have"
        _points_at_a_word(place.line, place.column, place.file, texts, finding)
    for rule, address in finding.explains:
        assert rule in catalogue.documented, f"explains {rule!r}, which is no rule"
        new = rule == NEW_CABLE[0] and address.startswith(NEW_CABLE[1])
        assert new or _head(address) in names, f"explains {rule} about {address!r}, which the rig does not have"
    assert len(set(finding.members)) == len(finding.members), f"a member twice: {finding.members}"
    for member in finding.members:
        assert _head(member) in names, f"the member {member!r} is not in the rig"
    for name, value in finding.facts.items():
        assert re.fullmatch(r"[a-z][a-z0-9_]*", name), f"the fact {name!r} is no plain name"
        assert isinstance(value, str | int | float), f"the fact {name} is {value!r}"
    for cure in finding.cures:
        _can_be_done(cure, document)


def _is_plain(text: str, ends: tuple[str, ...]) -> None:
    assert text and text.endswith(ends) and "None" not in text, f"no plain sentence: {text!r}"


def _head(address: str) -> str:
    return re.split(r"[/.]", address)[0]


def _names(document: Document) -> Iterator[str]:
    """Every name that an address may begin with: the sections of the rig file, and all that is named in them."""
    for section, rows in document.data.items():
        yield section
        yield from rows if isinstance(rows, dict) else ()
    yield from (document.data.get("power") or {}).get("circuits") or ()
    for console in (document.data.get("consoles") or {}).values():
        yield from (name for rows in console.values() if isinstance(rows, dict) for name in rows)
    # A circuit that something hangs on and nobody describes.
    for rows in document.data.values():
        for row in rows.values() if isinstance(rows, dict) else ():
            if isinstance(row, dict) and isinstance(row.get("circuit"), str):
                yield row["circuit"]


def _points_at_a_word(line: int, column: int, file: str, texts: tuple[str, ...], finding: Finding) -> None:
    """A place is a key or a value: it points at the first letter of one, never at a bracket or past the line."""
    if not texts or file != FILE or not line:
        return
    found = [rows[line - 1][column - 1 :] for text in texts if line <= len(rows := text.splitlines())]
    assert any(re.match(r"[\w\"'-]", text) for text in found), f"points at no word, {line}:{column}: {finding.message}"


def _can_be_done(cure: Cure, document: Document) -> None:
    """What to do is said in words; the change of a cure leaves a file that fits the schema."""
    _is_plain(cure.text + ".", ends=(".",))
    assert re.match(r"[a-z0-9]", cure.text) and not cure.text.endswith((".", " ")), cure.text
    if cure.change is not None:
        assert cure.change, f"no change: {cure.text}"
        base, patch = (parse(json.dumps(data), "cure.yaml") for data in (document.data, cure.change))
        assert isinstance(base[0], dict) and isinstance(patch[0], dict)
        require_valid(extend(Document(*base, ("cure.yaml",), ()), patch[0], patch[1]), "rig")
