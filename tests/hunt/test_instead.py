"""What a test puts in the place of a suspect is what the resolved rig has: a free socket, another of its kind, by name."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from crew import Crew, hunted
from rigs import BASE, resolved

from lint.hunt.causes import DEAD, NOISE
from lint.hunt.hunt import NO, YES, Answer, Hunt
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import target_of
from lint.resolve.resolved import ResolvedRig

# One console of sixteen channels, one box of eight inputs and outputs.
SMALL = """\
rig_format: 1
clock: {sample_rate_hz: 48000, leader: desk}
devices:
  desk: {model: console-16, location: mix position, circuit: back}
  box:  {model: stage-box-8x8, output_bank: 1-8, location: stage left}
cables: {trunk: {from: desk/link-1, to: box/upstream, label: blue}}
"""


def plugged(count: int, kinds: dict[int, str] | None = None, at: str = "box") -> str:
    """Return the sources and channels of the first inputs, and a house mix at the last output but one."""
    point = "desk/link-1" if at == "box" else "desk/in"
    sources = "\n".join(
        f"  s{at[0]}{n}: {{kind: {(kinds or {}).get(n, 'dynamic-microphone')}, plugged_into: {at}/in/{n}}}"
        for n in range(1, count + 1)
    )
    first = 1 if at == "box" else 9
    channels = "\n".join(
        f"  {n + first - 1}: {{carries: s{at[0]}{n}, patched_from: {point}/{n}}}" for n in range(1, count + 1)
    )
    return f"sources:\n{sources}\nchannels:\n{channels}\n"


HOUSE = """\
mixes: {house: {kind: house, takes: {channels: [1-16]}}, mon: {kind: monitor, takes: {channels: [1]}}}
feeds: {desk/link-1: {1: house, 2: mon}}
destinations:
  speaker: {kind: house-loudspeaker, plugged_into: box/out/1, expects: house}
  wedge:   {kind: wedge, plugged_into: box/out/2, expects: mon}
"""


def text_of(rig: ResolvedRig, what: str, name: str) -> str:
    parts = path_of(rig, target_of(rig, what))
    (text,) = [cause.look.format(**part.words) for part in parts for cause in part.causes(DEAD) if cause.name == name]
    return text


def test_a_free_input_of_the_same_box_is_named_with_its_place_and_what_to_patch() -> None:
    assert text_of(resolved(SMALL + plugged(6) + HOUSE), "sb6", "input-broken") == (
        "Plug sb6 into box/in/7 (stage left), which is free, and patch channel 6 from desk/link-1/7 at the gain that it "
        "has now: is it right at speaker?"
    )


@pytest.mark.parametrize(
    ("count", "what", "name", "says"),
    [
        (6, "sb6", "input-broken", "Mute channel 6 again and turn down, phantom power off; plug sb6 back into box/in/6 and patch "
         "channel 6 from desk/link-1/6 again, phantom power on only where it was; wait ten seconds, bring up slowly."),
        (8, "sb8", "input-broken", "plug sb8 back into box/in/8 and patch channel 8 from desk/link-1/8 again, and plug sb7 back "
         "into box/in/7, phantom"),
        (2, "speaker", "output-broken", "Turn speaker down, plug it back into box/out/1, send house no more at desk/link-1/3; turn "
         "it up slowly."),
    ],
)  # fmt: skip
def test_another_socket_that_did_not_help_is_left_as_it_was(count: int, what: str, name: str, says: str) -> None:
    rig = resolved(SMALL + plugged(count) + HOUSE)
    parts = path_of(rig, target_of(rig, what))
    hunt = Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)
    (fault,) = [row for row in hunt.suspects if row.cause.name == name]
    key = f"look {' / '.join(fault.key)}"
    back = replace(hunt, answers=(*hunt.answers, Answer(key, NO))).question
    assert back is not None
    assert back.kind == "put-back"
    assert says in back.text
    assert replace(hunt, answers=(*hunt.answers, Answer(key, YES))).question is None


def test_an_input_that_is_free_but_has_the_wrong_phantom_power_is_not_told_as_taken() -> None:
    kinds = {**dict.fromkeys(range(1, 5), "condenser-microphone"), 5: "ribbon-microphone"}
    on = "\n".join(f"  {number}: {{phantom: on}}" for number in range(1, 5))
    week = f"devices: {{box: {{model: box-by-fours}}}}\nchannels:\n{on}\n"
    rig = resolved(SMALL + plugged(5, kinds) + HOUSE, week, house=Path(__file__).parent / "powered-legs")
    assert text_of(rig, "sb1", "input-broken").startswith(
        "Free on box: box/in/6, box/in/7, box/in/8, but not with phantom power as it must be there: mute sb2 (channel 2)"
    )


def test_where_a_box_is_full_the_least_important_source_that_needs_the_same_power_lends_its_input() -> None:
    rig = resolved(SMALL + plugged(8, {7: "condenser-microphone"}) + HOUSE, "sources: {sb3: {priority: 9}}")
    assert text_of(rig, "sb8", "input-broken").startswith(
        "No input of box is free: mute sb3 (channel 3) as well, take it out of box/in/3 (stage left), plug sb8 in there, and patch "
        "channel 8 from desk/link-1/3"
    )
    # No other condenser is on the box: an input of the console is free.
    assert text_of(rig, "sb7", "input-broken").startswith("Plug sb7 into desk/in/7 (mix position), which is free")


def test_an_input_whose_phantom_switch_would_hurt_is_never_named() -> None:
    ribbon = resolved(SMALL + plugged(8, {1: "ribbon-microphone"}) + HOUSE)
    assert "desk/in/1 " in text_of(ribbon, "sb1", "input-broken")  # no other on the box has to be kept from it


FULL = SMALL + (
    "sources: {one: {kind: condenser-microphone, plugged_into: box/in/1}, "
    + ", ".join(f"d{n}: {{kind: dynamic-microphone, plugged_into: box/in/{n}}}" for n in range(2, 9))
    + ", "
    + ", ".join(f"e{n}: {{kind: dynamic-microphone, plugged_into: desk/in/{n}}}" for n in range(1, 17))
    + "}\nchannels: {"
    + ", ".join(
        f"{n}: {{carries: {'one' if n == 1 else f'd{n}' if n < 9 else f'e{n}'}, "
        f"patched_from: {f'desk/link-1/{n}' if n < 9 else f'desk/in/{n}'}}}"
        for n in range(1, 17)
    )
    + "}\nmixes: {house: {kind: house, takes: {channels: [1-16]}}}\nfeeds: {desk/link-1: {1-8: house}}\n".replace("1-8: house", ", ".join(f"{n}: house" for n in range(1, 9)))
    + "destinations: {"
    + ", ".join(f"p{n}: {{kind: fill-loudspeaker, plugged_into: box/out/{n}, expects: house}}" for n in range(1, 9))
    + "}\n"
)  # fmt: skip


def test_where_no_socket_is_free_they_are_looked_into_and_no_spare_channel_is_asked_for() -> None:
    rig = resolved(FULL)
    assert text_of(rig, "one", "input-worn").startswith(
        "No other input is free to try. Take the plug out of box/in/1 (stage left) and look in with a torch"
    )
    parts = path_of(rig, target_of(rig, "one"))
    assert not any(point.name == "spare-channel" for part in parts for point in part.points)
    names = {cause.name for part in parts for cause in part.causes(DEAD)}
    assert "input-broken" not in names
    target = target_of(rig, "one")
    hunt = Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)
    for fault in hunt.suspects:
        end, _, _ = hunted(hunt, Crew(rig, target, fault))
        assert end.found is not None
        assert end.found.key == fault.key


def test_another_output_is_free_and_nothing_else_is_fed_by_what_is_sent_there() -> None:
    rig = resolved(SMALL + plugged(2) + HOUSE)
    assert text_of(rig, "speaker", "output-broken") == (
        "Turn speaker down, plug it into box/out/3 (stage left), which is free, and send house at desk/link-1/3 too; "
        "turn it up slowly: is it right at speaker?"
    )
    same = resolved(SMALL + plugged(2) + HOUSE, "feeds: {desk/link-1: {6: house}}")
    assert "box/out/6 (stage left), which is free and sends the same; turn it up slowly: is" in text_of(
        same, "speaker", "output-broken"
    )
    # A second box on the same bank: ears hang on its third output, so nothing is sent there for a test.
    twin = "devices: {far: {model: stage-box-8x8, output_bank: 1-8}}\ncables: {hop: {from: box/downstream, to: far/upstream}}\n"
    ears = twin + "destinations: {ears: {kind: ear-transmitter, plugged_into: far/out/3}}"
    assert "box/out/4 " in text_of(resolved(SMALL + plugged(2) + HOUSE, ears), "speaker", "output-broken")


def test_where_every_output_hangs_full_another_end_gives_its_own_up_with_its_slot() -> None:
    ends = ", ".join(f"p{n}: {{kind: fill-loudspeaker, plugged_into: box/out/{n}, expects: mon}}" for n in range(3, 9))
    sent = ", ".join(f"{n}: mon" for n in range(3, 9))
    rig = resolved(SMALL + plugged(2) + HOUSE, f"destinations: {{{ends}}}\nfeeds: {{desk/link-1: {{{sent}}}}}")
    assert text_of(rig, "speaker", "output-broken").startswith(
        "No output of box is free: turn speaker and wedge down, take the plug of wedge out of box/out/2 (stage left), "
        "send house at desk/link-1/2 instead, plug speaker in there and turn it up slowly: is it right"
    )


@pytest.mark.parametrize(
    ("what", "name", "says"),
    [
        ("vocal", "source-broken", "Go to vocal: put another dynamic microphone that works (none to spare in this rig; s if the house has none)"),
        ("left", "destination-broken", "Turn left and right down and swap their signal plugs at the loudspeakers, by longer cables"),
    ],
)  # fmt: skip
def test_another_of_its_kind_is_named_where_the_rig_has_one(what: str, name: str, says: str) -> None:
    assert says in text_of(resolved(BASE), what, name)


def test_what_is_put_in_for_a_test_is_in_the_rig_and_of_a_kind_that_bears_it() -> None:
    rig = resolved(SMALL + plugged(4, {1: "ribbon-microphone", 2: "wireless-receiver"}) + HOUSE)
    asks = [point.ask for part in path_of(rig, target_of(rig, "sb1")) for point in part.points]
    assert any("put a dynamic microphone that works (such as sb3) on it" in ask for ask in asks)
    parts = path_of(rig, target_of(rig, "sb2"))
    assert any(
        "another receiver that works (none to spare in this rig" in ask.ask for part in parts for ask in part.points
    )


def test_questions_say_where_things_stand_and_how_they_are_labelled() -> None:
    rig = resolved(SMALL + plugged(2) + HOUSE, "destinations: {speaker: {location: left of the stage, circuit: back}}")
    assert "the link cable trunk (blue), desk/link-1 and box/upstream:" in text_of(rig, "sb1", "link-broken")
    assert text_of(rig, "sb1", "box-dark").startswith("Go to box (stage left): is its mains lamp lit")
    assert text_of(rig, "speaker", "end-dark").startswith("Go to speaker (left of the stage): is its mains lamp")
    noise = [c.look.format(**p.words) for p in path_of(rig, target_of(rig, "speaker")) for c in p.causes(NOISE)]
    assert any("Have dimmers, motors and chargers on circuit back switched off" in look for look in noise)
    asks = [point.ask for part in path_of(rig, target_of(rig, "speaker")) for point in part.points]
    assert not any("something that works" in ask for ask in asks)


def test_of_a_dead_instrument_its_lead_is_a_suspect_and_what_is_broken_is_the_di_box() -> None:
    rig = resolved(SMALL, plugged(4, {2: "passive-di", 4: "passive-di"}) + HOUSE)
    parts = path_of(rig, target_of(rig, "sb2"))
    hunt = Hunt(parts, DEAD, likelihoods(parts, DEAD)).answered(YES)
    lead = next(each for each in hunt.suspects if each.cause.name == "lead-broken")
    assert lead.words == "the lead from the instrument to the DI box of sb2: broken"
    assert lead.cause.handles
    box = next(each for each in hunt.suspects if each.cause.name == "source-broken")
    assert "(such as sb4) in the place of the DI box of sb2" in box.filled(box.cause.look)
    assert box.filled(box.cause.cure) == (
        "leave the other one in; label the DI box of sb2 broken and take it out of use; was it that of sb4, then sb4 has "
        "none until another is found; bring up again slowly what is still muted or down"
    )


def test_a_microphone_has_no_lead_in_front_of_it() -> None:
    rig = resolved(SMALL, plugged(4) + HOUSE)
    parts = path_of(rig, target_of(rig, "sb2"))
    assert not any(part.name.startswith("lead ") for part in parts)
    assert parts[0].title == "sb2 itself"
