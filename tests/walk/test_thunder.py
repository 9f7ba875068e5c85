"""A thunder hold: thirty minutes after the last thunder, released by the named person alone (R22).

Thirty minutes, and each thunder starting them again: US National Weather Service (reference/checklist-design.md 5.5).
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from lint.record.ledger import Ledger

GO_ALL = ["g", "g", "g", "65", "g"]
OUTDOORS = "extends: ../house.yaml\nevent: {name: Sunday}\npower: {circuits: {lawn: {outdoor: true, residual_current_device: true}}}\n"


def test_it_is_released_thirty_minutes_after_the_last_thunder_and_not_before(small, session) -> None:
    """R22: the timer restarts at every thunder."""
    small.clock.step = timedelta()
    session.thunder("M. Okafor")
    small.clock.at += timedelta(minutes=29)
    session.thunder("Somebody Else")
    small.clock.at += timedelta(minutes=29, seconds=59)
    with pytest.raises(ValueError, match=r"not before .*, in 1 min"):
        session.all_clear("M. Okafor")
    small.clock.at += timedelta(seconds=1)
    session.all_clear("m. okafor")
    assert session.state.thunder_hold is None
    assert [hold.releases for hold in session.state.thunder_holds] == ["M. Okafor"]


def test_nobody_but_the_named_person_releases_it(small, session) -> None:
    """R22."""
    session.thunder("M. Okafor")
    small.clock.at += timedelta(hours=2)
    with pytest.raises(ValueError, match=r"only M\. Okafor releases this hold"):
        session.all_clear("A. Adams")
    assert session.state.thunder_hold is not None


def test_the_lead_by_the_rig_file_releases_it_where_nobody_else_is_named(small, ledger) -> None:
    small.write("extends: ../house.yaml\ncrew: {lead: L. Lead}\n")
    session = small.session(ledger)
    session.open("A. Adams")
    session.thunder()
    assert session.state.thunder_hold.releases == "L. Lead"


def test_no_go_can_be_signed_and_every_poll_is_stale(small, session, ways) -> None:
    ways.walk_on(session)
    ways.poll_all(session)
    assert session.reasons() == []
    session.thunder("M. Okafor")
    assert session.reasons()[0].startswith("Thunder hold, heard ")
    assert session.sign("L. Lead", wants_go=True).body["verdict"] == "no-go"
    small.clock.at += timedelta(minutes=31)
    session.all_clear("M. Okafor")
    assert all("polled before the latest answer or change" in reason for reason in session.reasons())


def test_it_holds_the_whole_walk_until_it_is_released(small, session, ways) -> None:
    held = ways.typed(session, ["thunder M. Okafor", "g", "", "c", "M. Okafor"])
    text = " ".join(held.text.split())
    assert "only M. Okafor releases it, and not before" in text
    assert "“g” is no answer here; c asks for your name" in text
    assert "Not released: not before" in text
    assert session.state.given == []
    small.clock.at += timedelta(minutes=31)
    on = ways.typed(session, ["c", "M. Okafor", *GO_ALL, "g", "g", "g", "L. Lead", "g"])
    assert "All clear recorded." in on.text
    assert on.text.index("! Thunder hold, heard") < on.text.index("The poll:")
    assert on.go is True
    assert "released" in on.walker.signed.body["thunder"][0]


def test_every_terminal_is_held_and_resumes_in_it(small, session, ways) -> None:
    with Ledger(small.ledger_path) as other:
        stage = small.session(other)
        stage.open("S. Stage", role="stage")
        session.thunder()
        assert "Thunder hold, heard" in ways.typed(stage, ["g"], role="stage").text
        assert stage.state.given == []
        late = small.session(other)
        late.open("B. Brown")
        assert late.state.thunder_hold is not None


def test_thunder_in_the_poll_stops_it(small, session, ways) -> None:
    with Ledger(small.ledger_path) as other:
        stage = small.session(other)
        stage.open("S. Stage", role="stage")
        ways.walk_on(session)
        stage.thunder("M. Okafor")
        done = ways.typed(session, ["s", "L. Lead"])
    assert "Thunder hold" in done.text
    assert done.go is False


def test_a_new_walk_releases_nothing(small, session, ledger) -> None:
    session.thunder("M. Okafor")
    again = small.session(ledger)
    again.open("B. Brown", fresh=True)
    assert again.walk == 2
    hold = again.state.thunder_hold
    assert (hold.releases, hold.heard) == ("M. Okafor", tuple(session.state.thunder_hold.heard))


def test_the_offer_is_made_outdoors_alone_and_the_help_explains_it(small) -> None:
    assert "when thunder is heard" not in small.run(["q"], "--by", "A. Adams").stdout
    small.write(OUTDOORS)
    shown = small.run(["?", "q"], "--by", "A. Adams").stdout
    assert "when thunder is heard" in shown
    assert "thunder WHO: holds the walk" in shown


def test_history_tells_it(small) -> None:
    small.run(["thunder M. Okafor", "s", "L. Lead"], "--by", "A. Adams")
    told = " ".join(small.run([], "1", check="history").stdout.split())
    assert "held until M. Okafor releases it" in told
    assert "because: Thunder hold, heard" in told
