"""A record whose every seal was made anew: what a key shows all the same, what only paper shows, and what is said."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from forger import Row, altered, forge, without
from torture import walked_ledger
from typer.testing import CliRunner

from lint.check.engine import check_file
from lint.cli import app
from lint.handover.handover import make_handover
from lint.handover.page import handover_json, handover_page
from lint.page.as_text import page_text
from lint.record.ledger import Ledger, ledger_path
from lint.record.seal import short
from lint.record.signature import load_key, make_key, public_key, sign_seal
from lint.record.walks import PastWalk, past_walks


@pytest.fixture
def rig(tmp_path: Path) -> Path:
    """A rig whose walk was signed go, and with a key."""
    make_key(tmp_path / "lead.pem")
    walked_ledger(tmp_path / "house", tmp_path / "lead.pem")
    return tmp_path / "house" / "rigs" / "sunday.yaml"


def history(rig: Path, *options: str) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["history", str(rig), *options])
    assert done.exit_code in (0, 1), done.output
    return done.exit_code, " ".join(done.output.split())


def walk_of(rig: Path) -> PastWalk:
    with Ledger(ledger_path(rig), reading=True) as ledger:
        (walk,) = past_walks(ledger, ledger.verify())
    return walk


def key_of(rig: Path) -> str:
    return public_key(load_key(rig.parents[2] / "lead.pem"))


def test_a_sign_off_with_its_signature_holds(rig: Path) -> None:
    status, text = history(rig, "--signed-with", short(key_of(rig)))
    assert status == 0
    assert f"the signature with the key {short(key_of(rig))} holds" in text
    assert walk_of(rig).verdict == "go"


def changed_answer(rows: list[Row]) -> list[Row]:
    return altered("answer", seen="nothing at all")(rows)


FORGERIES: dict[str, tuple[Callable[[list[Row]], list[Row]], str]] = {
    "an answer altered": (changed_answer, "is over another sign-off than is here: something was altered"),
    "the signature's seal left out": (altered("signature", of_seal="0" * 64), "is over another sign-off than is here"),
    "another signature": (altered("signature", signature="00" * 64), "does not hold"),
    "another key": (altered("signature", public_key="11" * 32), "does not hold"),
    "the signature taken out": (without("signature"), "there is no such signature"),
    "another key named": (altered("signed", signed_with="11" * 32), "is over another sign-off than is here"),
}


@pytest.mark.parametrize("name", FORGERIES)
def test_a_signature_that_does_not_fit_is_a_no_go_everywhere(rig: Path, name: str) -> None:
    forgery, why = FORGERIES[name]
    forge(ledger_path(rig), forgery)
    with Ledger(ledger_path(rig), reading=True) as ledger:
        assert ledger.verify().broken is None  # the chain alone shows nothing
    for form in ((), ("1",), ("--format", "json"), ("--format", "csv")):
        status, text = history(rig, *form)
        assert status == 1, form
        assert why in text, form
    assert "✗ NO-GO: ✓ GO signed by L. Lead" in history(rig)[1]
    found = make_handover(check_file(rig), rig, date(2026, 11, 26))
    text = " ".join(page_text(handover_page(found), 80).split())
    assert "The walk: ✗ NO-GO: the signature with a key is amiss" in text
    assert why in text
    assert "The record of the sign-off can't be trusted" in text
    data = json.loads(handover_json(found))
    assert data["signed"]["verdict"] == "no-go"
    assert why in data["signed"]["signature"]["fault"]


def test_a_forger_who_takes_out_key_and_signature_is_found_by_who_knows_the_key(rig: Path) -> None:
    forge(ledger_path(rig), lambda rows: without("signature")(altered("signed", signed_with=...)(rows)))
    assert history(rig)[0] == 0  # as the command itself says: against all seals made anew, a key or paper
    status, text = history(rig, "--signed-with", short(key_of(rig)))
    assert status == 1
    assert "not proven to be signed with the key" in text
    assert history(rig, "--signed-with", short(key_of(rig)), "--format", "json")[0] == 1


def test_a_forger_with_a_key_of_his_own_is_found_by_who_knows_the_key(rig: Path) -> None:
    known = key_of(rig)
    make_key(rig.parents[2] / "other.pem")
    other = load_key(rig.parents[2] / "other.pem")
    forge(ledger_path(rig), lambda rows: without("signature")(altered("signed", signed_with=public_key(other))(rows)))
    with Ledger(ledger_path(rig)) as ledger:
        signed = ledger.entries(kinds=("signed",))[-1]
        moments = {key: signed.body[key] for key in ("by", "utc", "local")}
        ledger.append(signed.walk, "signature", {**moments, **sign_seal(other, signed.seal)})
    assert history(rig)[0] == 0
    status, text = history(rig, "--signed-with", known)
    assert status == 1
    assert f"it is signed with {short(public_key(other))}" in text


def test_a_sign_off_that_a_key_is_demanded_of_and_none_is_there(tmp_path: Path) -> None:
    walked_ledger(tmp_path / "house")
    status, text = history(tmp_path / "house", "--signed-with", "ab" * 8)
    assert status == 1
    assert "it bears no signature that holds" in text
    done = CliRunner().invoke(app, ["history", str(tmp_path / "house"), "--signed-with", "ab12"])
    assert done.exit_code == 2
    assert "a key is looked for by its first 16 at least" in " ".join(done.output.split())


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        ("signature", "public_key"),
        ("signature", "of_seal"),
        ("signature", "algorithm"),
        ("signed", "reasons"),
        ("signed", "lead"),
        ("answer", "by"),
        ("answer", "asked"),
        ("poll", "role"),
        ("begun", "rig"),
        ("answer", "utc"),
    ],
)
def test_a_record_that_lacks_what_it_says_is_named_and_trips_nothing(rig: Path, kind: str, name: str) -> None:
    forge(ledger_path(rig), altered(kind, **{name: ...}))
    for form in ((), ("--format", "json"), ("--format", "csv")):
        status, text = history(rig, *form)
        assert status == 1, form
        assert "what it says is not readable as a record" in text
    assert "what it says is not readable as a record" in " ".join(
        page_text(handover_page(make_handover(check_file(rig), rig, date(2026, 11, 26))), 80).split()
    )


def test_a_moment_that_is_none_is_named(rig: Path) -> None:
    forge(ledger_path(rig), altered("answer", local="yesterday"))
    assert "what it says is not readable as a record" in history(rig)[1]


def test_an_emptied_record_is_told_as_that(rig: Path) -> None:
    forge(ledger_path(rig), lambda _: [])
    status, text = history(rig)
    assert "There is no record in this file" in text
    assert "holds" not in text
    assert status == 0
    assert history(rig, "--seal", "ab" * 8)[0] == 1


def test_what_the_chain_can_not_show_is_said_and_paper_shows_it(rig: Path) -> None:
    with Ledger(ledger_path(rig), reading=True) as ledger:
        on_paper = short(ledger.entries(kinds=("signed",))[-1].seal)
    forge(
        ledger_path(rig), lambda rows: without("signature")(altered("signed", signed_with=..., lead="M. Other")(rows))
    )
    status, text = history(rig)
    assert status == 0
    assert "none was altered, dropped or reordered without sealing all anew" in text
    assert "Not shown by this: all seals made anew by who can write the file" in text
    assert history(rig, "--seal", on_paper)[0] == 1


def test_a_walk_that_begins_on_such_a_record_says_so(rig: Path) -> None:
    forge(ledger_path(rig), changed_answer)
    done = CliRunner().invoke(app, ["walk", str(rig), "--by", "A. Adams"], input="q\n")
    told = " ".join(done.output.split())
    assert "NO-GO Walk 1: the signature with the key" in told
    assert "something was altered" in told


@pytest.mark.parametrize("option", ["--signed-with", "--seal"])
def test_an_empty_demand_is_none_that_was_met(tmp_path: Path, option: str) -> None:
    done = CliRunner().invoke(app, ["history", str(tmp_path), option, ""])
    assert done.exit_code == 2
    assert "has 0 characters" in done.output
