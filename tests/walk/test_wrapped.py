"""Lines with colours break where the same lines without them break."""

from __future__ import annotations

import re

import pytest

from lint.walk.screen import Screen

TEXT = "Answered before: {} seen (by S. Second, 17:00), and then a good many words more, so that the line has to be broken."


@pytest.mark.parametrize("indent", ["", "  ", "{}: "])
@pytest.mark.parametrize("width", [40, 57, 80])
def test_colour_takes_no_room(indent, width) -> None:
    screen = Screen()
    screen.width = width
    screen.is_plain = False
    marked = "\x1b[31m✗ NO-GO\x1b[0m"
    painted = screen.wrapped(TEXT.format(marked), indent.format(marked), "    ")
    bare = screen.wrapped(TEXT.format("✗ NO-GO"), indent.format("✗ NO-GO"), "    ")
    assert re.sub("\x1b\\[[0-9;]*m", "", painted) == bare
    assert painted.count("\x1b[31m") == painted.count("\x1b[0m") == 1 + (indent == "{}: ")
    assert all(len(line) <= width for line in bare.splitlines())
    assert bare.count("\n") >= 1
