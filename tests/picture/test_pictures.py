"""What is in the drawings; that they are well-formed stands in tests/published/test_pages.py."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from big_rig import big_rig
from rigs import resolved

import lint
from lint.check.catalogue import load_catalogue
from lint.check.engine import Checked, check_file, check_rig
from lint.check.example import check_example
from lint.page.as_text import page_text
from lint.picture.draw import UnknownPictureError, drawn
from lint.picture.stage import place_of
from lint.picture.svg import fitted
from lint.sheet.book import sheet_book

DEMO = Path(lint.__file__).parent / "demo" / "rigs"


@pytest.fixture(scope="module")
def faulty() -> Checked:
    return check_file(DEMO / "faulty-week.yaml")


def texts(svg: str) -> list[str]:
    tree = ElementTree.fromstring(svg)
    return ["".join(element.itertext()) for element in tree.iter("{http://www.w3.org/2000/svg}text")]


def test_the_chain_shows_boxes_cables_slots_and_banks(faulty: Checked) -> None:
    words = texts(drawn(faulty, "chain"))
    assert {"west-box", "east-box", "loft-box", "trunk (blue)", "in 1–16", "in 17–24", "out 1–8", "out 17–24"} <= set(
        words
    )
    assert words.count("out 1–8") == 2
    assert "cut off: nothing gets to it" in words


@pytest.mark.parametrize("what", ["chain", "stage", "signals", "violin"])
def test_findings_are_shown_where_they_are(what: str, faulty: Checked) -> None:
    assert [word for word in texts(drawn(faulty, what)) if re.fullmatch("[✗!][0-9]+", word)]


def test_no_finding_no_mark() -> None:
    clean = check_file(DEMO / "clean-week.yaml")
    for what in ("chain", "stage", "signals"):
        assert not [word for word in texts(drawn(clean, what)) if re.match("[✗!]", word)]


def test_the_words_say_what_every_mix_takes_to_those_who_see_no_picture() -> None:
    clean = check_file(DEMO / "clean-week.yaml")
    text = " ".join(page_text(sheet_book(clean), 100).split())
    assert "house takes channels 1–15, 17–23, 25–31, 33–40; subs takes house.mono;" in text
    assert "talk takes nothing; " in text


def test_a_dot_for_each_channel_in_each_mix(faulty: Checked) -> None:
    rig = faulty.resolved.rig
    tree = ElementTree.fromstring(drawn(faulty, "signals"))
    dots = [dot for dot in tree.iter("{http://www.w3.org/2000/svg}circle") if len(dot)]
    assert len(dots) == sum(len(mix.sends) for mix in rig.mixes.values())


def test_the_way_of_a_source_ends_at_all_that_hears_it(faulty: Checked) -> None:
    words = texts(drawn(faulty, "lead-vocal"))
    assert {"lead-vocal", "west-box/in/11", "11 Backing 1", "house", "singer-mon", "singer-wedge", "recorder"} <= set(
        words
    )
    assert "It arrives on no channel." in texts(drawn(faulty, "soprano"))


def test_what_can_not_be_drawn_is_told_with_the_nearest(faulty: Checked) -> None:
    with pytest.raises(UnknownPictureError, match="did you mean 'violin'"):
        drawn(faulty, "violine")


def test_a_large_rig_stays_readable() -> None:
    checked = check_rig(resolved(big_rig(48)), load_catalogue())
    for what in ("chain", "stage", "signals"):
        tree = ElementTree.fromstring(drawn(checked, what))
        _, _, width, height = map(float, tree.attrib["viewBox"].split())
        sizes = [float(text.attrib["font-size"]) for text in tree.iter("{http://www.w3.org/2000/svg}text")]
        # Printed 180 mm wide, or 225 mm high: a size of 9.5 for socket numbers, 12 and more for words.
        scale = min(180 / width, 225 / height)
        assert min(size for size in sizes if size >= 12) * scale > 1.75, what
        assert {"signals": 48}.get(what, 0) <= sum(text.startswith("source-0-") for text in texts(drawn(checked, what)))


def test_no_name_is_cut_in_the_signals() -> None:
    names = {f"source-0-{number}": f"a-very-long-name-of-a-source-{number}" for number in range(1, 49)}
    text = re.sub(r"source-0-\d+", lambda found: names[found[0]], big_rig(48)).replace(
        "mon-0", "a-mix-with-a-long-name"
    )
    checked = check_rig(resolved(text), load_catalogue())
    tree = ElementTree.fromstring(drawn(checked, "signals"))
    svg = "{http://www.w3.org/2000/svg}"
    words = [("".join(text.itertext()), text.attrib) for text in tree.iter(f"{svg}text")]
    joined = "".join(word for word, _ in words)
    assert all(name in joined for name in names.values())
    assert "a-mix-with-a-long-name" in joined
    assert "…" not in joined
    # No text runs into what stands beside it on the same line, by the mean advance of a letter.
    lines: dict[str, list[tuple[float, float]]] = {}
    for word, look in words:
        if "transform" not in look and look["text-anchor"] == "start":
            x, size = float(look["x"]), float(look["font-size"])
            lines.setdefault(look["y"], []).append((x, x + len(word) * size * 0.6))
    rows = [sorted(row) for row in lines.values() if len(row) > 1]
    assert len(rows) >= 48
    assert all(left[1] <= right[0] for row in rows for left, right in pairwise(row))


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("stage left", ("stage", 2)), ("stage right", ("stage", 0)), ("downstage centre", ("downstage", 1)), ("choir gallery", ("gallery", 1)),
        ("mix position", ("house", 1)), ("left of the stage", ("downstage", 0)), ("drum riser", ("upstage", 1)), ("", ("house", 1)),
        ("upstage left", ("upstage", 0)), ("who knows", ("house", 1)),
    ],
)  # fmt: skip
def test_a_place_is_read_from_its_words(words: str, place: tuple[str, int]) -> None:
    assert place_of(words) == place


def test_what_has_no_place_stands_apart_and_sides_keep_their_side() -> None:
    week = (
        "devices: {desk: {location: balcony}}\n"
        "destinations: {house-right: {location: null}, house-left: {location: null}, "
        "fill: {kind: wedge, location: by the piano, plugged_into: west-box/out/8}}"
    )
    tree = ElementTree.fromstring(drawn(check_example(week, load_catalogue()), "stage"))
    at = {
        "".join(text.itertext()): (float(text.get("x", 0)), float(text.get("y", 0)))
        for text in tree.iter("{http://www.w3.org/2000/svg}text")
    }
    apart = at["Place not stated in the rig file"][1]
    assert at["house-left"][1] > apart
    assert at["house-right"][1] > apart
    assert at["house-left"][0] < at["house-right"][0]
    edge = at["edge of the stage — audience"][1]
    assert at["desk"][1] > edge  # a console on a balcony is no thing behind the stage
    assert at["fill"][1] < edge  # a wedge is no thing in the house, whatever words say where it is


def test_the_way_of_a_source_has_no_end_in_the_air(faulty: Checked) -> None:
    words = texts(drawn(faulty, "lead-vocal"))
    assert {"✗ house-left", "✗ house-right", "✗ sub", "✗ foyer"} <= set(words)
    assert "gets nothing ≠ subs" in words
    unheard = check_example("mixes: {spare: {kind: record, takes: {channels: [1]}}}", load_catalogue())
    assert "heard nowhere" in texts(drawn(unheard, "lead-vocal"))


def test_a_text_that_has_no_room_is_cut_with_an_ellipsis() -> None:
    assert fitted("a long name", 40, 10) == "a lon…"
    assert fitted("short", 40, 10) == "short"


def test_a_rig_without_boxes_is_drawn() -> None:
    checked = check_example(
        "devices: {west-box: null, east-box: null}\ncables: null\nsources: null\nchannels: null\nmixes: null\nfeeds: null\ndestinations: null",
        load_catalogue(),
    )
    assert "There is no stage box." in drawn(checked, "chain")
    assert drawn(checked, "signals")
