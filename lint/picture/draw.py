"""The pictures of a rig by the names they are asked for."""

from __future__ import annotations

from lint.check.engine import Checked
from lint.picture.chain import chain_picture
from lint.picture.crossbar import crossbar_picture
from lint.picture.path import path_picture
from lint.picture.stage import stage_picture
from lint.read.nearest import did_you_mean
from lint.sheet.marks import Marks


class UnknownPictureError(Exception):
    """There is nothing of that name to draw; the text names the nearest."""


def drawn(checked: Checked, what: str) -> str:
    """Return a picture as an SVG document: chain, stage, signals, one source, or the signals of one console.

    Raises UnknownPictureError.
    """
    rig, marks = checked.resolved, Marks(checked, stands_alone=True)
    consoles = [console.name for console in rig.rig.consoles]
    if what == "chain":
        return chain_picture(rig, marks)
    if what == "stage":
        return stage_picture(rig, marks)
    if what == "signals" and len(consoles) > 1:
        raise UnknownPictureError(f"there are several consoles; name one: {', '.join(consoles)}")
    if what == "signals" and consoles:
        return crossbar_picture(rig, marks, consoles[0])
    if what in consoles:
        return crossbar_picture(rig, marks, what)
    labelled = [row for row in rig.rig.sources.values() if what in (row.name, row.label)]
    if labelled:
        return path_picture(rig, marks, labelled[0])
    names = ["chain", "stage", "signals", *consoles, *rig.rig.sources]
    raise UnknownPictureError(f"nothing to draw is called '{what}'{did_you_mean(what, names, most=8)}")
