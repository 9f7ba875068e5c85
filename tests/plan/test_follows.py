"""A box that is moved to another console: what follows from that is told once, and by itself in JSON."""

from __future__ import annotations

import json

from test_both_ends import flat, planned

from lint.report.follows import moved_box
from lint.report.plan_json import whatif_json
from lint.report.whatif import whatif_text

FOLLOWS = (
    "✗ new: box-a hangs on mon/link-1 now, not on desk/link-1, and 5 findings follow from that: channels 1–16 on desk; "
    "drum-wedge; --format json has each (patch-carries-other, patch-carries-nothing, output-carries-nothing)"
)


def test_what_follows_from_a_box_on_another_console_is_told_once() -> None:
    plan = planned("move box-a mon/link-1", "boxed")
    text = whatif_text(plan)
    checked = flat(text[text.index("The whole check") : text.index("(a) Leave")])
    assert FOLLOWS in checked
    assert checked.count("✗") == 3
    # What is no part of that, or may be silent for want of phantom power, is told by itself.
    assert "(link-cable-short)" in checked and "(phantom-missing)" in checked
    no_gos = [row for row in json.loads(whatif_json(plan))["findings"] if row["severity"] == "no-go"]
    assert len(no_gos) == 7 and "NO-GO (7 no-go" in checked


def test_a_few_are_told_each_by_itself_and_so_is_what_has_another_cause() -> None:
    for words in ("move box-c mon/link-1", "move box-a mon/link-1 and bank box-c 9-16", "remove box-a"):
        plan = planned(words, "boxed")
        assert "follow from that" not in flat(whatif_text(plan))
    assert moved_box(planned("move box-c mon/link-1", "boxed")) == "box-c"
