"""A house's checklist that extends another: by ids, with every mistake at its own place."""

from __future__ import annotations

import random

import pytest

from lint.read.problem import CannotReadError
from lint.walk.template import Template, load_template

HEAD = "checklist_format: 1\nextends: short-walk\nphases:\n  - id: power\n    items:\n"
OWN = '      - {id: fire-doors, role: stage, challenge: "Fire doors: shut, nothing props them"}\n'


def ids(template: Template, phase: str) -> list[str]:
    return [item.id for each in template.phases if each.id == phase for item in each.items]


def extended(house, text: str, name: str = "ours") -> Template:
    house.checklist(text, name)
    return load_template(name, house.folder)


def problems(house, text: str, name: str = "ours") -> list[str]:
    path = house.checklist(text, name)
    with pytest.raises(CannotReadError) as caught:
        load_template(name, house.folder)
    return [str(problem).replace(str(path), "ours.yaml") for problem in caught.value.problems]


BUNDLED = ids(load_template("short-walk", None), "power")


def test_an_item_is_added_at_the_end_or_where_it_is_said(house) -> None:
    assert ids(extended(house, HEAD + OWN), "power") == [*BUNDLED, "fire-doors"]
    after = HEAD + OWN.replace("role:", "after: faders-before-power, role:")
    assert ids(extended(house, after), "power")[3:5] == ["faders-before-power", "fire-doors"]


def test_an_item_is_changed_moved_and_taken_out(house) -> None:
    text = HEAD + (
        '      - {id: walkways, challenge: "Aisles: clear", safety: null, because: covers stay down}\n'
        "      - {id: faders-before-power, remove: true, because: they are down all week}\n"
        "      - {id: power-on, after: loads-and-reels}\n"
    )
    template = extended(house, text)
    assert ids(template, "power") == [
        "mains-leads", "residual-current-device", "hung-and-stacked", "loads-and-reels", "power-on", "walkways",
    ]  # fmt: skip
    walkways = next(item for phase in template.phases for item in phase.items if item.id == "walkways")
    assert (walkways.challenge, walkways.safety, walkways.role) == ("Aisles: clear", None, "stage")


def test_phases_are_added_changed_and_taken_out(house) -> None:
    text = (
        "checklist_format: 1\nextends: short-walk\ntitle: Ours\nphases:\n"
        "  - {id: monitors, remove: true, because: no monitors here}\n"
        "  - {id: house-system, title: The hall}\n"
        "  - {id: tea, after: power, title: Tea, mode: do-confirm, completion: Tea complete,\n"
        '     items: [{id: urn, role: stage, challenge: "Urn: on a circuit of its own"}]}\n'
    )
    template = extended(house, text)
    assert template.title == "Ours"
    assert [phase.id for phase in template.phases] == [
        "power",
        "tea",
        "stage",
        "line-check",
        "loudspeakers-on",
        "house-system",
        "doors-poll",
    ]
    assert template.phases[5].title == "The hall"
    assert ids(template, "house-system") == ids(load_template("short-walk", None), "house-system")


def test_a_house_may_extend_the_bundled_one_under_its_own_name(house) -> None:
    template = extended(house, HEAD + OWN, "short-walk")
    assert template.title == "Short walk"
    assert "fire-doors" in ids(template, "power")
    assert len(template.files) == 2
    assert ids(extended(house, HEAD + '      - {id: tea, role: lead, challenge: "Tea: made"}\n'), "power")[-2:] == [
        "fire-doors",
        "tea",
    ]


@pytest.mark.parametrize(
    ("items", "at", "told"),
    [
        (
            "      - {id: walkway, remove: true}\n",
            "walkway",
            "nothing here is called 'walkway'; did you mean 'walkways'?",
        ),
        (
            "      - {id: walkways, after: power-om}\n",
            "power-om",
            "after: nothing else here is called 'power-om'; did you mean 'power-on'?",
        ),
        ("      - {role: stage}\n", "{role", "found a map, expected an entry with an `id`"),
        (
            '      - {id: reel, role: stage, for_each: boxes, challenge: "{box.bnak}: 1–8"}\n',
            '"{box',
            "{box.bnak}: box has no field 'bnak'; did you mean 'bank'?",
        ),
        (
            '      - {id: reel, role: stage, challenge: "Reel: ok"}\n',
            '"Reel',
            "'ok' is no state that can be seen; say the position, value or behaviour that is expected",
        ),
        (
            '      - {id: box, role: stage, challenge: "Box: there"}\n',
            "",
            "an item 'box' stands in phase 'power' already",
        ),
    ],
)
def test_a_mistake_is_told_in_the_file_that_makes_it(house, items: str, at: str, told: str) -> None:
    found = problems(house, HEAD + items)
    assert len(found) == 1
    assert found[0].endswith(f": {told}")
    if at:
        assert found[0].startswith(f"ours.yaml:6:{items.index(at) + 1}: ")


def test_what_there_is_none_of_is_told(house) -> None:
    text = "checklist_format: 1\nextends: short-wlak\nphases: []\n"
    assert problems(house, text) == [
        "ours.yaml:2:10: extends: found 'short-wlak', expected the name of a checklist; did you mean 'short-walk'?"
    ]
    text = "checklist_format: 1\nextends: [short-walk]\nphases: []\n"
    assert problems(house, text) == ["ours.yaml:2:1: extends: found a list, expected the name of a checklist"]


def test_a_ring_is_told(house) -> None:
    house.checklist("checklist_format: 1\nextends: theirs\n", "ours")
    house.checklist("checklist_format: 1\nextends: ours\n", "theirs")
    with pytest.raises(CannotReadError, match="goes round in a ring: ours extends theirs extends ours"):
        load_template("ours", house.folder)
    house.checklist("checklist_format: 1\nextends: ours\n", "ours")
    with pytest.raises(CannotReadError, match="goes round in a ring: ours extends ours"):
        load_template("ours", house.folder)


def test_a_change_of_any_file_of_it_is_seen_by_a_walk(house) -> None:
    house.checklist(HEAD + OWN, "ours")
    basis = house.basis("ours")
    assert basis.is_current
    house.edit("nothing props them", "free", "checklists/ours.yaml")
    assert not basis.is_current


def test_what_drifts_is_asked_again_at_the_last_pause_point(house) -> None:
    """R06."""
    text = HEAD + OWN.replace("role:", "drifts: true, role:")
    found = problems(house, text)
    assert [message.partition(": ")[2] for message in found] == [
        "'fire-doors' can drift, and nothing in the last phase, 'doors-poll', repeats it; "
        "add an item there with `repeats: [fire-doors]`"
    ]
    again = (
        '  - {id: doors-poll, items: [{id: doors, role: stage, repeats: [fire-dors], challenge: "Fire doors: shut"}]}\n'
    )
    assert "did you mean 'fire-doors'" in problems(house, text + again)[-1]
    assert extended(house, text + again.replace("dors", "doors"))


def test_a_second_person_is_for_killer_items(house) -> None:
    found = problems(house, HEAD + OWN.replace("role:", "second_person: true, role:"))
    assert "a second person looks at killer items alone" in found[0]


@pytest.mark.parametrize("seed", range(40))
def test_whatever_stands_in_the_file_no_traceback_comes_of_it(house, seed: int) -> None:
    chance = random.Random(seed)
    text = HEAD + OWN + "      - {id: power-on, after: walkways}\n  - {id: monitors, remove: true}\n"
    for _ in range(chance.randrange(1, 4)):
        place = chance.randrange(len(text))
        piece = chance.choice(["null", "[]", "{}", "1", "- ", "remove: 3", "items: 5", "items: {}", "phases: 7", "\n"])
        text = text[:place] + piece + text[place + chance.randrange(20) :]
    house.checklist(text, "ours")
    try:
        assert load_template("ours", house.folder).phases
    except CannotReadError as error:
        assert all(problem.line or problem.file for problem in error.problems)


@pytest.mark.parametrize(
    ("entry", "lost"),
    [
        ("{id: faders-before-power, remove: true}", "faders-before-power"),
        ("{id: walkways, safety: null}", "the caution of walkways"),
        ("{id: faders-before-power, killer: false}", "that faders-before-power is what nothing starts without"),
        ("{id: mains-leads, second_person: false}", "a second look at mains-leads"),
        ("{id: mains-leads, when: {has_wireless: true}}", "some of what mains-leads is asked of"),
        ("{id: mains-leads, for_each: circuits}", "some of what mains-leads is asked of"),
        ("{id: mains-leads, safety: {word: NOTICE}}", "the WARNING of mains-leads, here a NOTICE"),
    ],
)
def test_safety_is_left_out_only_with_a_reason_which_the_walk_and_its_record_show(house, entry, lost) -> None:
    told = problems(house, HEAD + f"      - {entry}\n")
    assert told[0].startswith(f"ours.yaml:6:14: this leaves out {lost}; say why")
    reasoned = entry.removesuffix("}") + ", because: the hall owns the power}"
    text = HEAD + f"      - {reasoned}\n"
    template = extended(house, text, "short-walk")
    assert template.left_out == (f"{lost} — the hall owns the power",)
    shown = house.run([], "--checklist", "short-walk", "--by", "Ann").stdout
    assert f"This house's list leaves out: {lost} — the hall owns the power" in " ".join(shown.split())
    told = " ".join(house.run([], "1", check="history").stdout.split())
    assert f"the house's list leaves out: {lost} — the hall owns the power" in told


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("phases:\n  - {id: powr, items: []}\n", "4:10: nothing here is called 'powr'; did you mean 'power'?"),
        (
            "phases:\n  - {id: power, items: [{id: walkways, remove: yes please}]}\n",
            "4:48: remove: found 'yes please', expected true",
        ),
        (
            "phases:\n  - {id: power, items: [{id: walkways, remove: true, because: no aisles}]}\n",
            "'walkways-still' repeats 'walkways'; take that out as well",
        ),
    ],
)
def test_slips_are_told_at_their_place(house, text, told) -> None:
    found = problems(house, "checklist_format: 1\nextends: short-walk\n" + text)
    assert any(told in line and line.startswith("ours.yaml:4:") for line in found), found


WHOLE = """\
checklist_format: 1
title: Our own
phases:
  - id: power
    title: Power
    mode: read-do
    completion: Power complete
    items:
      - {id: walkways, role: stage, challenge: "Aisles: clear", safety: {word: %s, hazard: A cable lies there, consequence: People fall, avoidance: Tape it}}
"""


@pytest.mark.parametrize(("word", "kept"), [("WARNING", 1), ("CAUTION", 1), ("NOTICE", 0)])
def test_a_whole_list_in_place_of_a_bundled_one_tells_the_cautions_it_lacks(house, word, kept) -> None:
    bundled = load_template("full-walk", None)
    cautions = sum(item.safety is not None for phase in bundled.phases for item in phase.items)
    house.checklist(WHOLE % word)
    (told,) = load_template("full-walk", house.folder).left_out
    assert told.startswith(f"{cautions - kept} of the {cautions} safety cautions of full-walk: mains-leads, ")
    shown = " ".join(house.run([], "--by", "Ann").stdout.split())
    assert f"This house's list leaves out: {cautions - kept} of the {cautions} safety cautions of full-walk" in shown


def test_a_list_of_its_own_name_lacks_nothing(house) -> None:
    house.checklist(WHOLE % "CAUTION", "ours")
    assert load_template("ours", house.folder).left_out == ()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("left_out: 5\nphases:\n  - {id: power, items: [{id: power-on, killer: false}]}\n", "left_out: found 5, expected a list"),
        ("phases:\n  - {id: power, items: [{id: mains-leads, safety: no}]}\n", "safety: found 'no', expected a map"),
        ("phases:\n  - {id: power, items: [{id: power-on, when: [1]}]}\n", "when: found a list, expected a map"),
        ("phases:\n  - {id: power, items: [{id: power-on, repeats: 1}]}\n", "repeats: found 1, expected a list"),
        ("phases:\n  - {id: power, items: [{id: power-on, repeats: [[a]]}, {id: walkways, remove: true, because: none}]}\n", "repeats 'walkways'"),
        ('phases:\n  - {id: "a\\nall is go"}\n', "id: found 'a\\nall is go', expected an id"),
        ('phases:\n  - {id: power, after: "a\\nall is go"}\n', "nothing else here is called 'a\\nall is go'"),
    ],
)  # fmt: skip
def test_what_is_looked_into_while_merging_is_of_its_form(house, text: str, told: str) -> None:
    assert any(told in problem for problem in problems(house, "checklist_format: 1\nextends: short-walk\n" + text))


def test_what_is_extended_fits_the_schema_itself(house) -> None:
    path = house.checklist("checklist_format: 1\ntitle: Base\nphases: [{id: a, items: [{id: b, safety: 7}]}]\n", "base")
    house.checklist(
        "checklist_format: 1\nextends: base\nphases: [{id: a, items: [{id: b, safety: {word: NOTICE}}]}]\n", "own"
    )
    with pytest.raises(CannotReadError, match=f"{path}:3:"):
        load_template("own", house.folder)
