"""What the shell completes beside commands and options: the names of the rig file in the call, and of rules.

Files are left to the shell itself. Nothing is ever told from here: where a rig can't be read there is nothing to offer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from lint.rig.rig import Rig

Names = Callable[[typer.Context, str], Iterable[str]]
Completion = Callable[[typer.Context, str], list[str]]
SIDES = ("left", "right", "both")


def _quietly(names: Names) -> Completion:
    """Return names each once; a key pressed for more words brings neither a message nor a report of a defect."""

    def completion(context: typer.Context, incomplete: str) -> list[str]:
        try:
            return list(dict.fromkeys(names(context, incomplete)))
        except Exception:
            return []

    return completion


def _file(context: typer.Context) -> Path:
    # An option that still lacks its value leaves the words before it unread.
    rig = context.params.get("rig") or context.args[0]
    return Path(str(rig)).expanduser()  # the shell has not opened a ~ yet


def _rig(context: typer.Context) -> Rig:
    from lint.rig.build import load_rig

    return load_rig(_file(context))


@_quietly
def traced(context: typer.Context, incomplete: str) -> Iterator[str]:
    """Offer what has a path: sockets and slots once a / is typed, which are many."""
    rig = _rig(context)
    yield from _signals(rig)
    yield from (*rig.devices, *rig.cables, *rig.circuit_names)
    if "/" in incomplete:
        for name, device in rig.devices.items():
            for side, sockets in (("in", device.model.inputs), ("out", device.model.outputs)):
                yield from (f"{name}/{side}/{number}" for number in range(1, sockets.count + 1))
            for port, link in device.model.links.items():
                slots = link.slots_at(device.sample_rate_hz or rig.sample_rate_hz)
                yield from (f"{name}/{port}/{number}" for number in range(1, slots + 1))


@_quietly
def hunted(context: typer.Context, incomplete: str) -> Iterator[str]:
    """Offer what may be missed, by its name or where it is plugged in."""
    rig = _rig(context)
    yield from _signals(rig)
    if "/" in incomplete:
        for rows in (rig.sources, rig.destinations, rig.amplifiers):
            yield from (str(socket) for row in rows.values() for socket in row.sockets)


@_quietly
def symptoms(_context: typer.Context, _incomplete: str) -> Iterable[str]:
    """Offer the symptoms that are hunted."""
    from lint.hunt.causes import SYMPTOMS

    return SYMPTOMS


@_quietly
def ends(context: typer.Context, _incomplete: str) -> Iterable[str]:
    """Offer where something may be heard."""
    rig = _rig(context)
    return (*rig.destinations, *rig.amplifiers)


@_quietly
def sides(_context: typer.Context, _incomplete: str) -> Iterable[str]:
    """Offer the sides of what is stereo."""
    return SIDES


@_quietly
def spared(context: typer.Context, incomplete: str) -> Iterator[str]:
    """Offer what may be dead; cards of inputs and link ports once a / is typed."""
    rig = _rig(context)
    yield from _lost(rig)
    if "/" in incomplete:
        yield from (f"{name}/in" for name, device in rig.devices.items() if device.model.inputs.count)


@_quietly
def changes(context: typer.Context, _incomplete: str) -> Iterator[str]:
    """Offer the next word of a change: its verb, then what that takes, then `and`."""
    from lint.plan.words import FILLING, FORMS

    said: list[str] = []
    for word in context.params.get("words") or ():
        said = [] if word == "and" else [*said, word]
    if not said:
        yield from FORMS
        return
    verb, *rest = said
    rest = [word for index, word in enumerate(rest) if index != 1 or word not in FILLING.get(verb, ())]
    yield from _next_word(_rig(context), _file(context), verb, rest)


def _next_word(rig: Rig, file: Path, verb: str, rest: Sequence[str]) -> Iterator[str]:
    boxes = [box.name for box in rig.boxes]
    takes: dict[str, list[Callable[[], Iterable[str]]]] = {
        "order": [lambda: boxes for _ in boxes],
        "add": [tuple, lambda: _models(file)],
        "remove": [lambda: boxes],
        "replace": [lambda: boxes, lambda: _models(file)],
        "move": [lambda: boxes, lambda: _ports(rig)],
        "bank": [lambda: boxes, lambda: rig.devices[rest[0]].model.outputs.selector],
        "lose": [lambda: _lost(rig)],
    }
    words = takes[verb]
    if len(rest) < len(words):
        yield from (word for word in words[len(rest)]() if word not in rest)
    if verb == "add" and rest[2:] and rest[-1] in ("behind", "bank"):
        from lint.rig.model import Models

        model = Models(_house(file)).get(rest[1])
        yield from boxes if rest[-1] == "behind" else model.outputs.selector if model is not None else ()
        return
    if verb == "add" and len(rest) >= len(words):
        yield from (word for word in ("behind", "bank") if word not in rest)
    if rest if verb == "order" else len(rest) >= len(words):
        yield "and"


@_quietly
def drawn(context: typer.Context, _incomplete: str) -> Iterable[str]:
    """Offer what there is a picture of."""
    rig = _rig(context)
    return ("chain", "stage", "signals", *(console.name for console in rig.consoles), *rig.sources)


@_quietly
def sheets(_context: typer.Context, _incomplete: str) -> Iterable[str]:
    """Offer the kinds of sheet."""
    from lint.sheet.book import KEYS

    return KEYS


@_quietly
def checklists(context: typer.Context, _incomplete: str) -> Iterator[str]:
    """Offer the checklists that come with rigwalk, and the house's."""
    from lint.walk.template import bundled_checklists

    yield from bundled_checklists()
    yield from _in_house(_house(_file(context)), "checklists", (".yaml",))


@_quietly
def rules(context: typer.Context, _incomplete: str) -> Iterator[str]:
    """Offer the rules of rigwalk and its packages, and the house's by the names of their files: none of it is run."""
    from lint.check.catalogue import load_catalogue
    from lint.cli.house import house_or_here

    yield from load_catalogue().documented
    house = context.params.get("house")
    yield from _in_house(house_or_here(Path(str(house)) if house else None), "rules", (".yaml", ".yml", ".py"))


@_quietly
def kinds(_context: typer.Context, _incomplete: str) -> Iterable[str]:
    """Offer the kinds of row that a house rule can ask about."""
    from lint.facts.kinds import KINDS

    return KINDS


@_quietly
def schemas(_context: typer.Context, _incomplete: str) -> Iterable[str]:
    """Offer the JSON Schemas."""
    from lint.read.schema import schema_names

    return schema_names()


def _signals(rig: Rig) -> Iterator[str]:
    """Yield the names of what sounds, and of where it does."""
    yield from (*rig.sources, *rig.pairs, *rig.mixes, *(name for _, name in rig.effects))
    yield from (*rig.destinations, *rig.amplifiers)


def _lost(rig: Rig) -> Iterator[str]:
    yield from (*rig.devices, *rig.cables, *rig.circuit_names)
    cabled = {str(end) for cable in rig.cables.values() for end in cable.ends}
    yield from (port for port in _ports(rig) if port in cabled)


def _ports(rig: Rig) -> list[str]:
    """Return the link ports of the consoles: a chain begins at each."""
    return [f"{console.name}/{port}" for console in rig.consoles for port in console.model.links]


def _models(file: Path) -> list[str]:
    """Return the models of stage boxes."""
    from lint.rig.model import Models

    known = Models(_house(file))
    return [name for name in known.names() if (model := known.get(name)) is not None and model.chain is not None]


def _house(file: Path) -> Path | None:
    from lint.read.load import house_folder

    return house_folder(file)


def _in_house(house: Path | None, folder: str, suffixes: Sequence[str]) -> list[str]:
    """Return the names of a house's files of a kind."""
    return [] if house is None else sorted(file.stem for file in (house / folder).glob("*") if file.suffix in suffixes)
