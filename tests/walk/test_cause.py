"""A mistake that a house's list makes of a bundled one is told at the house's own line, and names the bundled list."""

from __future__ import annotations

import pytest

from lint.read.problem import CannotReadError
from lint.walk.template import load_template

HEAD = "checklist_format: 1\nextends: full-walk\nphases:\n"
FEW = "{id: a-%d, role: stage, challenge: 'Lamp: lit'}"


def told(house, text: str, name: str = "ours") -> list[str]:
    path = house.checklist(text, name)
    with pytest.raises(CannotReadError) as caught:
        load_template(name, house.folder)
    return [str(problem).replace(str(path.parent) + "/", "") for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("phases", "at", "words"),
    [
        # The rows of an item are others now: its text speaks of what these do not have.
        (
            "  - id: links-and-selectors\n    items:\n      - id: box-slots\n        for_each: consoles\n",
            "6:13",
            "there is no 'box' here",
        ),
        # A list of its own stands before a killer item of the bundled one.
        (
            "  - id: links-and-selectors\n    items:\n"
            "      - {id: lamp, after: link-feed, role: stage, challenge: 'Lamp: lit'}\n",
            "6:14",
            "the killer item 'bank-selector' stands behind 'lamp'",
        ),
        # What repeats a bundled item at the end repeats it no more.
        (
            "  - id: doors-poll\n    items:\n      - {id: walkways-still, remove: true, because: no public today}\n",
            "6:14",
            "'walkways' can drift, and nothing in the last phase",
        ),
        # Another last phase than the bundled one.
        (
            "  - {id: tea, title: Tea, mode: read-do, completion: Tea complete, items: [%s]}\n" % (FEW % 1),
            "4:10",
            "can drift, and nothing in the last phase, 'tea', repeats it",
        ),
        # A phase that another one needs is gone.
        (
            "  - {id: before-plugging, remove: true, because: patched in the morning}\n",
            "4:10",
            "no phase before 'plugs' is called 'before-plugging'",
        ),
        # More than a pause bears, the tenth of them a bundled one.
        (
            "  - id: power-and-safety\n    items:\n"
            + "".join(
                f"      - {FEW % number}\n".replace("role", "after: faders-before-power, role") for number in range(8)
            ),
            "13:14",
            "more than 9 items for stage in one phase",
        ),
    ],
)
def test_it_is_told_at_the_own_line_and_names_the_bundled_list(house, phases, at, words) -> None:
    found = told(house, HEAD + phases)
    assert any(line.startswith(f"ours.yaml:{at}: ") and words in line for line in found), found
    for line in found:
        assert line.startswith("ours.yaml:")
        assert "with this, the bundled list full-walk, which it extends, is wrong in its line " in line


def test_a_mistake_of_the_own_line_is_told_as_ever(house) -> None:
    [line] = told(house, HEAD + "  - id: power-and-safety\n    items:\n      - {id: reels, challenge: 'Reels'}\n")
    assert line.startswith("ours.yaml:6:32: the challenge must end in the expected state")


def test_under_the_bundled_lists_own_name(house) -> None:
    text = HEAD + "  - id: links-and-selectors\n    items:\n      - id: box-slots\n        for_each: consoles\n"
    assert all(
        line.startswith("full-walk.yaml:6:13: with this, the bundled") for line in told(house, text, "full-walk")
    )


def test_a_list_between_that_is_wrong_by_itself_is_told_there(house) -> None:
    """The house's second list has nothing to do with it; where it has, it is told in the second."""
    wrong = HEAD + "  - id: links-and-selectors\n    items:\n      - id: box-slots\n        for_each: consoles\n"
    house.checklist(wrong, "between")
    own = "checklist_format: 1\nextends: between\ntitle: Ours\n"
    assert all(line.startswith("between.yaml:6:13: ") for line in told(house, own))
    house.checklist(
        HEAD + "  - {id: tea, after: plugs, title: Tea, mode: read-do, completion: Tea, items: [%s]}\n" % (FEW % 1),
        "between",
    )
    own += "phases:\n  - id: tea\n    items: [{id: a-1, for_each: boxes, challenge: '{boxx.name}: lit'}]\n"
    [line] = told(house, own)
    assert line.startswith("ours.yaml:6:")
