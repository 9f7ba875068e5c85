"""The bundled checklists against the published human factors of checklists.

Sources, as reference/checklist-design.md reads them (its section 7 numbers the rules): Degani and Wiener, *Human Factors
of Flight-Deck Checklists*, NASA CR 177549 (1990), appendix A; Gawande, *The Checklist Manifesto* (2009), ch. 6, and “A
Checklist for Checklists”; ANSI Z535.6; HSE INDG247. Mostly second-hand: see the status of each there.
"""

from __future__ import annotations

import re

import pytest

from lint.walk.screen import MARKS, Screen
from lint.walk.template import MAINS_SENTENCE, Template, bundled_checklists, load_template


@pytest.fixture(params=bundled_checklists())
def template(request) -> Template:
    return load_template(request.param, None)


def test_three_are_bundled() -> None:
    assert bundled_checklists() == ("close-down", "full-walk", "short-walk")


def test_every_item_states_what_is_expected(template: Template) -> None:
    """R03."""
    for phase in template.phases:
        for item in phase.items:
            subject, colon, expected = item.challenge.partition(": ")
            assert subject and colon and expected, item.id
            assert not re.search(r"\b(checked|set|ok|okay|as required)\b", expected, re.IGNORECASE), item.id
            assert "?" not in item.challenge


def test_modes_calls_and_counts(template: Template) -> None:
    """R01, R04, R05, R07."""
    for phase in template.phases:
        assert phase.mode in ("do-confirm", "read-do")
        assert re.search(r"\b(complete|Ready)\b", phase.completion), phase.id
        killers = [item.killer for item in phase.items]
        assert killers == sorted(killers, reverse=True), phase.id
        roles = [item.role for item in phase.items]
        assert all(roles.count(role) <= 9 for role in roles), phase.id


def test_safety_notes(template: Template) -> None:
    """R21: hazard, consequence, avoidance; mains ones end in who decides."""
    notes = [item.safety for phase in template.phases for item in phase.items if item.safety]
    assert notes
    for note in notes:
        assert note.word in ("DANGER", "WARNING", "CAUTION", "NOTICE")
        assert len(re.findall(r"\.(?: |$)", note.text)) >= 3, note.text
        mains = re.search(r"mains|\bearth|circuit|residual|\breel\b", note.text, re.IGNORECASE)
        assert bool(mains) == note.text.endswith(MAINS_SENTENCE), note.text


def test_no_text_speaks_of_taking_an_earth_away(template: Template) -> None:
    """R24, by its own wording: any verb of removal in the same clause as an earth."""
    for phase in template.phases:
        for item in phase.items:
            text = item.challenge + (" " + item.safety.text if item.safety else "")
            for clause in re.split(r"[.;:]", text):
                if re.search(r"\b(earth|ground|residual)", clause, re.IGNORECASE):
                    assert not re.search(
                        r"\b(lift|cut|bypass|remov|tape|disconnect|unplug|break)", clause, re.IGNORECASE
                    )


def test_a_pause_point_is_a_minute_and_a_half_at_ten_seconds_an_item(template: Template) -> None:
    """R02: 60 to 90 s before a pause (Gawande, Boorman). Ten seconds a look is our guess, not a measurement."""
    for phase in template.phases:
        for role in {item.role for item in phase.items}:
            once = [item for item in phase.items if item.role == role and not item.for_each]
            assert 10 * len(once) <= 90, phase.id


def test_what_drifts_is_repeated_at_the_last_pause_point(template: Template) -> None:
    """R06 (Degani and Wiener, guideline 11)."""
    data = template.data["phases"]
    drifting = {item["id"] for phase in data for item in phase["items"] if item.get("drifts")}
    repeated = {name for item in data[-1]["items"] for name in item.get("repeats", ())}
    assert drifting <= repeated
    assert drifting or template.name == "close-down"


def test_killer_items_have_a_second_person_or_say_why_not(template: Template) -> None:
    """R11: independent verification (DOE-STD-1036-93)."""
    source = (load_template.__globals__["files"]("lint.checklists") / f"{template.name}.yaml").read_text("utf-8")
    alone = [item for phase in template.phases for item in phase.items if item.killer and not item.second_person]
    assert len(re.findall(r"second_person: false  # \S", source)) == len(alone)
    assert len(alone) == (2 if template.name == "close-down" else 0), "the walks have none"


def test_items_go_with_the_signal_monitors_before_the_house() -> None:
    """Degani and Wiener, guidelines 8 and 9: the order is that of the place and the flow (from memory)."""
    for name in ("full-walk", "short-walk"):
        ids = [phase.id for phase in load_template(name, None).phases]
        assert ids.index("line-check") < ids.index("monitors") < ids.index("house-system") < ids.index("doors-poll")


def test_a_status_is_a_word_and_a_shape_beside_its_colour(monkeypatch) -> None:
    """R23: WCAG 2.2, success criterion 1.4.1, colour is never the only carrier of meaning."""
    monkeypatch.setenv("NO_COLOR", "1")
    shown = [Screen().status(name) for name in MARKS]
    assert len(set(shown)) == len({text[0] for text in shown}) == len({text[2:] for text in shown}) == len(MARKS)


def test_nobody_to_hand_to_the_close_down_leaves_it_off_and_in_writing() -> None:
    """R18: safe and stable, and the whole state written down (DOE-STD-1038-93, unstaffed stations)."""
    close_down = load_template("close-down", None)
    ids = {item.id for phase in close_down.phases for item in phase.items}
    assert {"faders-down", "power-off-loud", "power-off", "mains-off", "walkways", "cases"} <= ids
    assert {"changed", "broken", "borrowed", "next"} == {item.id for item in close_down.phases[-2].items}
    (left,) = close_down.phases[-1].items
    assert left.killer and "left alone" in left.challenge and "in the notes" in left.challenge
