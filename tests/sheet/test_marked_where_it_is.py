"""A no-go or a caution stands by its number where the thing is, and not in the list of the overview alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import lint
from lint.check.catalogue import load_catalogue
from lint.check.engine import Checked, check_file
from lint.check.example import check_example
from lint.page.page import Picture, Section, Words
from lint.sheet.book import FINDINGS, sheet_book
from lint.sheet.marks import Marks

CATALOGUE = load_catalogue()
# What stands on no sheet, since it is no part of what is plugged, patched or mixed.
NOT_ON_SHEETS = {"crew", "audience", "audience_limit_db"}


def text_of(section: Section) -> str:
    """All that stands on a sheet."""
    return " ".join(block.svg if isinstance(block, Picture) else repr(block) for block in section.blocks)


def marked(checked: Checked) -> dict[str, tuple[set[str], set[str]]]:
    """For each finding by its rule: the sheets that show its number, and what it is about."""
    marks, texts = Marks(checked), [(row.key, text_of(row)) for row in sheet_book(checked).sections]
    found = {}
    for number, row in enumerate(marks.findings, start=1):
        pattern = re.compile(rf"{marks.mark(number)}{number}(?!\d)")
        sheets = {key for key, text in texts if pattern.search(text)}
        found[f"{row.rule} {number}"] = (sheets, {place.address for place in row.places})
    return found


@pytest.mark.parametrize("rule", sorted(CATALOGUE.documented))
def test_what_a_rule_finds_is_marked_on_a_sheet_besides_the_overview(rule: str) -> None:
    for bad in CATALOGUE.documented[rule].bad:
        checked = check_example(bad.rig, CATALOGUE)
        elsewhere = NOT_ON_SHEETS | set(checked.resolved.rig.tablets)
        for name, (sheets, about) in marked(checked).items():
            assert sheets - {"overview"} or about <= elsewhere, (name, about)


def test_a_house_s_own_finding_about_a_mix_is_marked_at_the_mix_its_outputs_and_what_hears_it() -> None:
    checked = check_file(Path(lint.__file__).parent / "demo" / "rigs" / "faulty-week.yaml")
    sheets = next(sheets for name, (sheets, _) in marked(checked).items() if name.startswith("stream-without-talkback"))
    assert {"overview", "stage", "local", "outputs", "signals"} <= sheets


def test_a_sheet_says_at_its_foot_what_its_numbers_stand_for() -> None:
    checked = check_file(Path(lint.__file__).parent / "demo" / "rigs" / "faulty-week.yaml")
    marks = Marks(checked)
    for section in sheet_book(checked).sections:
        foot = section.blocks[-1]
        told = set(foot.lines) if isinstance(foot, Words) and foot.title == FINDINGS else set[str]()
        shown = {
            int(number) for number in re.findall(r"[✗!](\d+)", text_of(section._replace(blocks=section.blocks[:-1])))
        }
        if section.key in ("overview", "labels"):
            assert not told
        elif section.key == "stage":  # a socket there has room for the mark alone
            assert told > set(marks.say(shown))
        else:
            assert told == set(marks.say(shown)), section.title
    assert sum(row.blocks[-1].title == FINDINGS for row in sheet_book(checked).sections) > 6
