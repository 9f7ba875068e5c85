"""One finding exactly as people and programs get it, and the report around it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest

from lint.check.catalogue import Catalogue
from lint.check.engine import Checked, check_rig
from lint.check.example import FILE, example_document
from lint.check.finding import Cure, Finding
from lint.check.rule import Limit, Rule, rule
from lint.page.layout import counted, labelled, wrapped
from lint.read.problem import CannotReadError, Problem
from lint.report.json_report import check_json, finding_data, rig_json
from lint.report.rules import catalogue_text, rule_text
from lint.report.text import check_text, problems_text
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models
from lint.rig.rig import Place


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    """Eighty columns and no colour, whatever the terminal of the tests."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("NO_COLOR", "1")
    # What the example rig does not speak of has a test of its own.
    monkeypatch.setattr("lint.report.text.unchecked", lambda _: [])
    monkeypatch.setattr("lint.report.json_report.unchecked", lambda _: [])


def _choir(rig: ResolvedRig, most: float) -> Iterator[Finding]:
    yield Finding(
        f"the choir of west-box/in/2 is quieter than {most:g} dB, and nobody in the last row of the hall hears a word.",
        (
            Place("house.yaml", 12, 7, "choir"),
            Place("house.yaml", 12, 7, "choir"),
            Place("rigs/sunday.yaml", 30, 5, "desk/channel/2"),
            Place(rig.rig.file, 0, 0, "house"),
        ),
        (Cure("turn channel 2 up by 6 dB", {"channels": {"2": {"gain_db": 40}}}), Cure("ask the choir to sing out")),
        {"level_db": -6.5, "channel": 2, "label": "Chœur"},
    )


_choir.__module__ = "house.quiet_choir"


def make(**said: Any) -> Rule:
    words: dict[str, Any] = {
        "title": "The choir is too quiet",
        "severity": "caution",
        "family": "mixes",
        "why": "Words that nobody hears are sung in vain.",
        "do": "Turn it up.",
        "limits": {"most": Limit(-6, "dB", "the level that is enough")},
        "good": ["channels: {2: {gain_db: 40}}"],
        **said,
    }
    return rule(**words)(_choir)


def checked(fragment: str = "", *rules: Rule) -> tuple[Checked, Catalogue]:
    catalogue = Catalogue({entry.id: entry for entry in rules or (make(),)}, ())
    rig = resolve_rig(build_rig(example_document(fragment), FILE, Models(None)))
    return check_rig(rig, catalogue, date(2026, 11, 29)), catalogue


def test_the_text_of_one_finding() -> None:
    assert (
        check_text(*checked())
        == """\
example.yaml
3 sources, 3 channels, 2 mixes, 3 destinations, 2 stage boxes

! CAUTION: a person must look and say yes

  the choir of west-box/in/2 is quieter than -6 dB, and nobody in the last row
  of the hall hears a word.
    where  house.yaml:12:7 (choir)
           rigs/sunday.yaml:30:5 (desk/channel/2)
           example.yaml (house)
    why    Words that nobody hears are sung in vain.
    do     turn channel 2 up by 6 dB
    or     ask the choir to sing out
    rule   quiet-choir

Never checked by rigwalk: rigging, stands and lifting, fire and exits, and the
electrical installation itself; competent people look after these, by local
rules.

GO WITH CAUTIONS (1 caution)
"""
    )


def test_the_json_of_one_finding() -> None:
    result, _ = checked()
    assert finding_data(result.findings[0]) == {
        "rule": "quiet-choir",
        "severity": "caution",
        "message": (
            "the choir of west-box/in/2 is quieter than -6 dB, and nobody in the last row of the hall hears a word."
        ),
        "places": [
            {"file": "house.yaml", "line": 12, "column": 7, "address": "choir"},
            {"file": "house.yaml", "line": 12, "column": 7, "address": "choir"},
            {"file": "rigs/sunday.yaml", "line": 30, "column": 5, "address": "desk/channel/2"},
            {"file": "example.yaml", "line": 0, "column": 0, "address": "house"},
        ],
        "facts": {"level_db": -6.5, "channel": 2, "label": "Chœur"},
        "cures": ["turn channel 2 up by 6 dB", "ask the choir to sing out"],
        "waived": None,
    }


def test_the_json_report_to_the_letter() -> None:
    result, _ = checked("rules: {quiet-choir: {off: true, because: a concert of whispers}}")
    unreadable = CannotReadError([Problem("b.yaml", 3, 1, "`model` is missing"), Problem("b.yaml", 0, 0, "too large")])
    assert (
        check_json([rig_json(result)], [(Path("b.yaml"), unreadable)])
        == """\
{
  "format": 1,
  "rigwalk": "VERSION",
  "rigs": [
    {
      "rig": "example.yaml",
      "verdict": "go",
      "unchecked": [],
      "switched_off": [
        {
          "rule": "quiet-choir",
          "because": "a concert of whispers"
        }
      ],
      "set_lower": [],
      "findings": [],
      "rules": {}
    }
  ],
  "unreadable": [
    {
      "rig": "b.yaml",
      "problems": [
        {
          "file": "b.yaml",
          "line": 3,
          "column": 1,
          "message": "`model` is missing"
        },
        {
          "file": "b.yaml",
          "line": 0,
          "column": 0,
          "message": "too large"
        }
      ]
    }
  ]
}""".replace("VERSION", version("rigwalk"))
    )
    assert "Chœur" in check_json([rig_json(checked()[0])], [])


WAIVER = "waivers: [{rule: quiet-choir, about: choir, because: it is Lent, by: M. Okafor, until: 2026-12-06}]"


def test_a_waived_finding_in_text_and_json() -> None:
    result, catalogue = checked(WAIVER)
    assert (
        check_text(result, catalogue).split("\n\n", 1)[1]
        == """\
WAIVED: accepted on purpose

  the choir of west-box/in/2 is quieter than -6 dB, and nobody in the last row
  of the hall hears a word.
    waived by M. Okafor until 2026-12-06: it is Lent
    rule   quiet-choir

Never checked by rigwalk: rigging, stands and lifting, fire and exits, and the
electrical installation itself; competent people look after these, by local
rules.

GO (1 waived)
"""
    )
    assert finding_data(result.findings[0])["waived"] == {
        "by": "M. Okafor",
        "because": "it is Lent",
        "until": "2026-12-06",
        "asked_by": None,
        "instead": None,
    }


def test_nothing_found_is_said() -> None:
    result, catalogue = checked("rules: {quiet-choir: {off: true, because: a concert of whispers}}")
    assert (
        check_text(result, catalogue).split("\n\n", 1)[1]
        == """\
Not checked in this house: quiet-choir, because a concert of whispers

Never checked by rigwalk: rigging, stands and lifting, fire and exits, and the
electrical installation itself; competent people look after these, by local
rules.

GO (nothing found)
"""
    )


def test_a_caution_about_safety_is_told_once_and_a_rule_without_cures_says_what_to_do() -> None:
    def again(rig: ResolvedRig) -> Iterator[Finding]:
        for name in ("desk", "west-box"):
            yield Finding(f"{name} hums", (rig.rig.place(("devices", name), name),))

    again.__module__ = "hum"
    entry = rule(
        title="Hum",
        severity="no-go",
        family="plugs",
        why="A hum says that something is wrong.",
        do="Find the bad cable.",
        safety="Keep every protective earth connected.",
    )(again)
    text = check_text(*checked("", entry))
    assert text.count("    care   Keep every protective earth connected.\n") == 1
    assert text.count("    do     Find the bad cable.\n") == 2
    assert "care" in text.split("west-box hums")[0]


def test_a_long_why_is_cut_after_a_whole_sentence() -> None:
    why = "The first sentence says it. " + "More words follow here. " * 20
    text = check_text(*checked("", make(why=why)))
    told = " ".join(text.split(" why ")[1].split(" do ")[0].split())
    assert why.startswith(told)
    assert told.endswith(".")
    assert len(told) <= 200


def test_many_places_are_counted() -> None:
    def many(rig: ResolvedRig) -> Iterator[Finding]:
        yield Finding("many", tuple(Place(rig.rig.file, line, 1, f"desk/channel/{line}") for line in range(1, 9)))

    many.__module__ = "many"
    entry = rule(title="T", severity="note", family="plugs", why="W.", do="D.")(many)
    text = check_text(*checked("", entry))
    assert "(desk/channel/3)\n           and 5 more places\n" in text
    assert "desk/channel/4" not in text


def test_the_title_says_the_event_and_one_of_each_is_singular() -> None:
    fragment = (
        "event: {name: Harvest supper, date: 2026-10-04}\n"
        "devices: {east-box: null}\ncables: {crossing: null}\n"
        "sources: {choir: null, piano: null}\nchannels: {2: null, 3: null}\n"
        "mixes: {house: null}\nfeeds: {desk/link-1: {15-16: null}}\n"
        "destinations: {house-left: null, house-right: null}"
    )
    assert check_text(*checked(fragment)).splitlines()[:2] == [
        "example.yaml — Harvest supper, 2026-10-04",
        "1 source, 1 channel, 1 mix, 1 destination, 1 stage box",
    ]


def test_problems_are_a_line_each_at_their_places() -> None:
    error = CannotReadError(
        [Problem("a.yaml", 2, 3, "odd"), Problem("a.yaml", 0, 0, "gone"), Problem("a.yaml", 2, 3, "odd")]
    )
    assert problems_text(error) == "a.yaml:2:3: odd\na.yaml: gone"


def test_a_rule_in_full() -> None:
    entry = make(safety="Mind your ears.", waivable=False)
    assert (
        rule_text(entry)
        == """\
quiet-choir (caution)
The choir is too quiet

why    Words that nobody hears are sung in vain.
care   Mind your ears.
do     Turn it up.
source common practice
       It can't be waived, switched off or lowered.
limit  most: -6 dB (the level that is enough)

This is good:
    channels: {2: {gain_db: 40}}
"""
    )


def test_the_list_of_rules() -> None:
    assert (
        catalogue_text(Catalogue({"quiet-choir": make()}, ()))
        == """\
FILES
removal-idle      · note     A null removes what is not there
rule-failed       ✗ no-go    A rule failed, or could not be loaded
rule-unproven     ! caution  A house rule has no good or no bad example
setting-idle      · note     A setting changes nothing

MIXES
quiet-choir       ! caution  The choir is too quiet

CONTROL
waiver-by-asker   ! caution  A waiver is accepted by whoever asked for it
waiver-forbidden  ✗ no-go    A waiver accepts what nobody may accept
waiver-long       ! caution  A waiver holds for more than a year
waiver-unused     · note     A waiver waives nothing
waivers-replaced  · note     A list of waivers replaces the one that it extends

rigwalk rules explain RULE tells all about one.
"""
    )


@pytest.mark.parametrize(("columns", "width"), [("20", 40), ("40", 40), ("72", 72), ("300", 100)])
def test_lines_are_as_wide_as_reads_well(monkeypatch: pytest.MonkeyPatch, columns: str, width: int) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    lines = wrapped("ab " * 200).splitlines()
    assert width - 3 < max(map(len, lines)) <= width


def test_words_and_addresses_are_never_broken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    address = "the-very-long-name-of-a-stage-box-upstairs/in/16"
    assert address in wrapped(f"plug it into {address} now").splitlines()


@pytest.mark.parametrize("label", ["", "do", "source", "waived"])
def test_a_label_never_runs_into_its_text(label: str) -> None:
    first, second = labelled(label, "word " * 20).splitlines()
    assert first.startswith(f"    {label:<6} word")
    assert second.startswith(" " * 11 + "word")


def test_numbers_have_their_noun() -> None:
    assert [counted(0, "box", "boxes"), counted(1, "box", "boxes"), counted(2, "note")] == [
        "0 boxes",
        "1 box",
        "2 notes",
    ]
