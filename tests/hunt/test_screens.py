"""Every screen of a hunt fits a terminal of 24 lines, at 80 columns and at 40, and breaks between keys and words."""

from __future__ import annotations

import contextlib
import io

import pytest
from test_every_cause import CHAPEL, DEMO, rig_of, targets
from test_splits import THEATRE, TWO_DESKS

from lint.hunt.causes import SYMPTOMS
from lint.hunt.hunt import Hunt
from lint.hunt.keys import Keys
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.terminal import Hunter
from lint.walk.screen import Screen, StoppedError

WAYS = ("y" + "s" * 40, "y" * 20, "y" + "n" * 12, "ysnsnsnsnsnsn")


class Blind(Keys):
    """Somebody who presses one key after the other, whatever is asked."""

    def __init__(self, screen: Screen, way: str) -> None:
        super().__init__(screen, None, plain=True)
        self.way = iter(way)

    def press(self, prompt: str) -> str:
        key = next(self.way, None)
        if key is None:
            raise StoppedError
        self.screen.write(f"{prompt}{key}")
        return key


@pytest.mark.parametrize("columns", [80, 40])
@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_from_one_prompt_to_the_next_a_screen_is_enough(
    columns: int, symptom: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    met = 0
    for path, step in ((CHAPEL, 9), (DEMO, 9), (TWO_DESKS, 3), (THEATRE, 11)):
        rig = rig_of(path)
        for target in targets(rig, symptom, step)[:8]:
            parts = path_of(rig, target)
            for way in WAYS:
                out = io.StringIO()
                screen = Screen(io.StringIO(), out)
                hunter = Hunter(Hunt(parts, symptom, likelihoods(parts, symptom)), target, screen, Blind(screen, way))
                with contextlib.suppress(StoppedError):
                    hunter.run()
                for shown in out.getvalue().split("    > ")[:-1]:
                    lines = shown.split("\n")[1:]
                    assert len(lines) <= 24, shown
                    assert all(len(line) <= columns for line in lines), shown
                    assert "\u00a0" not in shown
                    met += any(line.rstrip().endswith("w all") for line in lines)
    assert not met  # a key and its words stay together
