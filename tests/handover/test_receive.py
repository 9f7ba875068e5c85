"""The receiver says the open points back, and the record keeps it (R17: reference/checklist-design.md 7)."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from lint.cli import app
from lint.record.ledger import Ledger, ledger_path
from lint.record.received import RECEIVED
from lint.walk.entry import Entry

Walk = Callable[..., Entry]
REST = ("we look at it on Friday",)  # the one caution of this rig
AGAIN = "It was signed no-go: when that is put right, walk it again, and sign it off."
OPEN = "Still open from the walk: east-box, output bank: 9–16: seen 1-8"


@pytest.fixture
def rig(house: Path, walked: Walk) -> Path:
    """A rig whose last walk left one point open."""
    walked(house / "rigs" / "a.yaml", "2026-11-22", {"bank/east-box": ("1-8", "")})
    return house / "rigs" / "a.yaml"


def run(rig: Path, *lines: str, options: tuple[str, ...] = ("--received-by", "M. Moss")):
    return CliRunner().invoke(app, ["handover", str(rig), *options], input="".join(f"{line}\n" for line in lines))


def received(rig: Path) -> list[Entry]:
    with Ledger(ledger_path(rig), reading=True) as ledger:
        assert ledger.verify().broken is None
        return ledger.entries(kinds=(RECEIVED,))


def test_both_names_the_time_the_revision_and_what_was_said_are_kept(rig: Path) -> None:
    """R17: both names, time, revision, open items, waivers, and the receiver's own words."""
    done = run(rig, "", "turn the bank of the east box", "then we walk once more", *REST)
    assert done.exit_code == 0, done.output
    assert "Who hands over (Enter: L. Lead)?" in done.output
    (entry,) = received(rig)
    body = entry.body
    assert (body["by"], body["given_by"], body["rig"]) == ("M. Moss", "L. Lead", "rigs/a.yaml")
    assert body["utc"].endswith("Z")
    assert len(body["rig_digest"]) == len(body["signed_seal"]) == 64
    assert body["waivers"] == []
    assert body["read_back"] == [
        {"point": OPEN, "said": "turn the bank of the east box"},
        {"point": AGAIN, "said": "then we walk once more"},
        *(
            {"point": f"Open caution: {caution}", "said": said}
            for caution, said in zip(body["cautions"], REST, strict=True)
        ),
    ]


def test_history_and_the_next_handover_show_it(rig: Path) -> None:
    run(rig, "A. Silva", "turn the bank of the east box", "then we walk once more", *REST)
    history = " ".join(CliRunner().invoke(app, ["history", str(rig)]).output.split())
    assert "M. Moss took over rigs/a.yaml from A. Silva" in history
    assert f"{OPEN} — said back: turn the bank of the east box" in history
    page = " ".join(run(rig, options=()).output.split())
    assert "The last handover that was said back" in page.replace("THE LAST", "The last")
    assert "said back: turn the bank of the east box" in page
    told = json.loads(run(rig, options=("--format", "json")).output)["received"]
    assert (told["by"], told["from"], told["rig"]) == ("M. Moss", "A. Silva", "rigs/a.yaml")


def test_nobody_hands_over_to_themselves_and_reading_the_point_out_is_no_reading_back(rig: Path) -> None:
    done = run(rig, "m. moss", "L. Lead", "ok", OPEN, "turn it back", "then we walk", *REST)
    assert "m. moss receives; somebody else hands over." in done.output
    assert done.output.count("A few words of your own are needed") == 2
    assert [row["said"] for row in received(rig)[0].body["read_back"]] == ["turn it back", "then we walk", *REST]


@pytest.mark.parametrize("lines", [(), ("",), ("", "q")])
def test_what_is_not_said_to_the_end_is_not_recorded(rig: Path, lines: tuple[str, ...]) -> None:
    done = run(rig, *lines)
    assert done.exit_code == 1
    assert "nothing was recorded of it" in done.output
    assert received(rig) == []


def test_a_walk_goes_on_where_it_was_after_a_handover(rig: Path, walked: Walk) -> None:
    run(rig, "", "turn the bank of the east box", "then we walk once more", *REST)
    entry = walked(rig, "2026-11-29")
    assert entry.body["verdict"] == "go"
    assert entry.walk == received(rig)[0].walk + 1


def test_the_page_says_whether_anybody_has_taken_this_over(rig: Path, walked: Walk) -> None:
    nobody = "Nobody has taken this over yet."
    assert nobody in run(rig, options=()).output
    run(rig, "", "turn the bank of the east box", "then we walk once more", *REST)
    assert nobody not in run(rig, options=()).output
    walked(rig, "2026-11-23")
    assert nobody in run(rig, options=()).output, "of the walk since"


def test_an_open_caution_is_said_back_too(rig: Path) -> None:
    cautions = json.loads(CliRunner().invoke(app, ["handover", str(rig), "--format", "json"]).output)["cautions"]
    done = run(rig, "", "turn the bank of the east box", "then we walk once more", *REST)
    (entry,) = received(rig)
    points = [row["point"] for row in entry.body["read_back"]]
    assert [point for point in points if point.startswith("Open caution: ")] == [
        f"Open caution: {row['message']}" for row in cautions
    ], done.output
    assert cautions
