"""What may be wrong with each part of a path: the symptoms, and the causes by what they ask and what mends them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import NamedTuple

from lint.read.load import load_map

DEAD, WRONG, NOISE, DISTORTED, ELSEWHERE = "dead", "wrong", "noise", "distorted", "elsewhere"
DARK = ("console-dark", "box-dark", "end-dark")  # what has no mains
SYMPTOMS: Mapping[str, str] = {
    DEAD: "nothing comes through",
    WRONG: "something else comes through",
    NOISE: "it hums, hisses, crackles or clicks",
    DISTORTED: "it is distorted",
    ELSEWHERE: "it is heard where it should not be",
}


class CauseKind(NamedTuple):
    """One thing that may be wrong with a kind of part: its name in the record, and its title for people.

    `look` asks whether all is as it should be; `cure` is what to do where it is not. Both are filled from the part.
    `handles` says that plugs are pulled for the look, `mends_by_plug` that they are for the cure. `swap` says that the
    look puts another in its place: right with that one means that this one is at fault, and that it is mended already;
    `lends` that the other is taken from where it is in use, so that whoever hears it there is muted as well.
    `seconds` is how long the look takes, `odds` has the weight by symptom; absent: not with that one. `after` names
    causes that would fool this look, or that what is put in here would mend as well: their looks come first. `back`
    says how to leave all as it was if it is not this, asked for before anything else (empty once filled: not asked);
    `undo` says so where the cure did not help, and is not how things ought to be anyhow.
    """

    name: str
    part: str
    title: str
    look: str
    cure: str
    seconds: int
    odds: Mapping[str, int]
    handles: bool = False
    swap: bool = False
    lends: bool = False
    mends_by_plug: bool = False
    after: Sequence[str] = ()
    back: str = ""
    undo: str = ""


@cache
def causes() -> tuple[CauseKind, ...]:
    """Return everything that may be wrong, from `causes.yaml` beside this file, in its order."""
    rows = load_map(Path(__file__).with_name("causes.yaml")).data
    return tuple(CauseKind(name, **row) for name, row in rows.items())
