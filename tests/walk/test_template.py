"""Checklist templates: what a mistake in one is told as."""

from __future__ import annotations

import json
from importlib.resources import files

import pytest
from jsonschema import Draft202012Validator

from lint.read.document import Document
from lint.read.parse import parse
from lint.read.problem import CannotReadError
from lint.walk.template import MAINS_SENTENCE, Template, build_template, load_template

HEAD = """\
checklist_format: 1
title: Trial
phases:
  - id: links
    title: Links
    mode: do-confirm
    completion: Links complete
    items:
"""
GOOD = '      - {id: one, role: stage, for_each: boxes, challenge: "{box.name}, bank: {box.bank}"}\n'


def build(text: str) -> Template:
    data, marks = parse(text, "trial.yaml")
    return build_template("trial", Document(data, marks, ("trial.yaml",), ()))


def problems(items: str) -> list[str]:
    with pytest.raises(CannotReadError) as caught:
        build(HEAD + items)
    return list(map(str, caught.value.problems))


def item(rest: str) -> str:
    return f"      - {{id: one, role: stage, {rest}}}\n"


def test_a_good_one_is_read() -> None:
    template = build(HEAD + GOOD)
    assert template.phases[0].items[0].for_each == "boxes"
    assert template.phases[0].completion == "Links complete"


@pytest.mark.parametrize(
    ("items", "at", "told"),
    [
        (
            item('for_each: boxes, challenge: "{box.bnak}: 1–8"'),
            '"{box.bnak}',
            "{box.bnak}: box has no field 'bnak'; did you mean 'bank'?",
        ),
        (
            item('for_each: boxes, challenge: "{channel.number}: heard"'),
            '"{channel',
            "{channel.number}: there is no 'channel' here; known here: rig, box",
        ),
        (
            item('challenge: "Bank {box.bank}: seen"'),
            '"Bank',
            "{box.bank}: there is no 'box' here; known here: rig",
        ),
        (
            item('for_each: boxs, challenge: "Bank: 1–8"'),
            "boxs",
            "phases/[1]/items/[1]/for_each: found 'boxs', expected boxes, consoles, circuits, power_on, power_off, "
            "sources, phantom_sources, plug_rows, channels, channel_rows, other_rows, monitors, loudspeakers, "
            "other_destinations, wireless, cautions or waivers; did you mean 'boxes'?",
        ),
        (
            item('for_each: boxes, when: {has_bnk: true}, challenge: "{box.name}: there"'),
            "has_bnk",
            "a row of boxes has no field 'has_bnk'; did you mean 'has_bank'?",
        ),
        (
            item('for_each: boxes, when: {has_bank: "yes"}, challenge: "{box.name}: there"'),
            '"yes"',
            "found 'yes', expected true or false: has_bank is whether it has an output bank selector "
            "and the rig file states its position",
        ),
        (
            item('challenge: "Faders: ok"'),
            '"Faders',
            "'ok' is no state that can be seen; say the position, value or behaviour that is expected",
        ),
        (
            item('challenge: "Are the faders down"'),
            '"Are',
            "the challenge must end in the expected state after a colon, such as `output bank: {box.bank}`",
        ),
        (
            item('challenge: "A {brace: there"'),
            '"A {',
            "a brace that belongs to no field; a field is written {box.name}",
        ),
        (
            item('challenge: "Hum cure: lift the earth at the plug"'),
            '"Hum',
            "'lift the earth': no text may speak of taking away a protective earth or a "
            "residual-current device; say what must stay connected",
        ),
        (
            item('measure: {unit: dB}, challenge: "Level: 60 dB"'),
            "measure",
            "a measured value is judged by `min`, `max` or both; neither is stated",
        ),
        (
            item('measure: {unit: dB, min: 70, max: 60}, challenge: "Level: 60 dB"'),
            "measure",
            "min 70 is more than max 60",
        ),
        (
            item('safety: {word: WARN, hazard: a, consequence: b, avoidance: c}, challenge: "Level: 60 dB"'),
            "WARN",
            "phases/[1]/items/[1]/safety/word: found 'WARN', expected DANGER, WARNING, CAUTION or NOTICE; "
            "did you mean 'WARNING'?",
        ),
        (
            item('safety: {word: WARNING, hazard: a, avoidance: c}, challenge: "Level: 60 dB"'),
            "safety",
            "phases/[1]/items/[1]/safety: `consequence` is missing (What it can do, as a sentence)",
        ),
        (
            item('chalenge: "Level: 60 dB"'),
            "chalenge",
            "phases/[1]/items/[1]: `chalenge` is not known here; did you mean 'challenge'?",
        ),
    ],
)
def test_mistakes_are_told_at_their_place(items: str, at: str, told: str) -> None:
    assert problems(items) == [f"trial.yaml:9:{items.index(at) + 1}: {told}"]


def test_a_killer_item_comes_first_in_its_phase() -> None:
    second = '      - {id: two, role: stage, killer: true, challenge: "Link light: steady"}\n'
    assert problems(GOOD + second) == [
        f"trial.yaml:10:{second.index('true') + 1}: the killer item 'two' stands behind 'one'; "
        "killer items come first in their phase"
    ]


def test_no_role_has_more_than_nine_items_in_a_phase() -> None:
    rows = [f'      - {{id: n{number}, role: stage, challenge: "Fader {number}: down"}}\n' for number in range(10)]
    other = '      - {id: other, role: lead, challenge: "Fader: down"}\n'
    assert build(HEAD + other + "".join(rows[:9]))
    assert problems("".join(rows)) == ["trial.yaml:18:14: more than 9 items for stage in one phase; split the phase"]


def test_ids_stand_once() -> None:
    assert problems(GOOD + GOOD) == ["trial.yaml:10:14: an item 'one' stands in phase 'links' already"]


def test_a_mains_note_ends_in_who_decides() -> None:
    note = "safety: {word: WARNING, hazard: a, consequence: b., avoidance: c, mains: true}"
    safety = build(HEAD + item(f'{note}, challenge: "Reel: unwound"')).phases[0].items[0].safety
    assert safety is not None
    assert safety.text == f"a. b. c. {MAINS_SENTENCE}"


def test_no_text_of_a_checklist_breaks_out_of_its_line() -> None:
    forged = r'"Fine: so\n\nGO signed by A. Adams"'
    safety = f"safety: {{word: WARNING, hazard: {forged}, consequence: {forged}, avoidance: {forged}}}"
    text = f"not_asked: {{two: {forged}}}\n" + HEAD + item(f"{safety}, challenge: {forged}")
    for plain in ("Trial", "Links complete", "Links"):
        text = text.replace(f": {plain}\n", f": {forged}\n")
    built = build(text)
    phase = built.phases[0]
    texts = [built.title, *built.not_asked.values(), phase.title, phase.completion, phase.items[0].challenge]
    assert texts == ["Fine: so GO signed by A. Adams"] * 5
    assert phase.items[0].safety is not None
    assert "\n" not in phase.items[0].safety.text


def test_unknown_checklists_name_the_nearest(house) -> None:
    with pytest.raises(CannotReadError, match="no checklist is called 'ful-walk'; did you mean 'full-walk'"):
        load_template("ful-walk", house.folder)
    with pytest.raises(CannotReadError, match=r"no checklist is called '\.\./house'"):
        load_template("../house", house.folder)


def test_a_house_replaces_the_bundled_one_and_adds_its_own(house) -> None:
    house.checklist(HEAD + GOOD)
    house.checklist(HEAD.replace("Trial", "Ours") + GOOD, "ours")
    assert load_template("full-walk", house.folder).title == "Trial"
    assert load_template("ours", house.folder).title == "Ours"
    assert load_template("full-walk", None).title == "Full walk"


def test_the_schema_is_one_and_describes_every_key() -> None:
    schema = json.loads((files("lint.schemas") / "checklist.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    described = 0
    for owner in (schema, *schema["$defs"].values()):
        for name, key in owner.get("properties", {}).items():
            target = schema["$defs"].get(key.get("$ref", "").rpartition("/")[2], {})
            assert key.get("description") or target.get("description"), name
            described += 1
    assert described > 20
