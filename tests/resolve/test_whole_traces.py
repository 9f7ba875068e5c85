"""Whole traces, line by line, as they stand on the screen: a line that stops is marked !, what it comes to stands after =."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import dedent

import pytest
from rigs import BATTERIES as BASE
from rigs import resolved

from lint.resolve.resolved import ResolvedRig
from lint.resolve.step import Step, UnknownSignalError
from lint.resolve.trace import trace_signal
from lint.resolve.ways import nodes_of, reached, silent_without, ways_between

# The base rig with one of everything that a trace may begin at or pass.
HALL = """
devices:
  desk: {label: Big desk, circuit: front}
  west-box: {label: Stage left, circuit: stage}
  east-box: {circuit: stage}
sources:
  vocal: {label: Lead vocal}
  player: {kind: player, plugged_into: desk/in/3}
  spare: {kind: dynamic-microphone, plugged_into: desk/in/4}
channels:
  1: {label: Lead, phantom: on}
  4: {label: Player, carries: player, patched_from: desk/in/3}
  9: {label: Plate, carries: effects/plate, patched_from: effects/plate}
mixes:
  send: {kind: effects, takes: {channels: {1: {level_db: -6, tap: pre-fader}}}}
  house: {label: Main, takes: {channels: [1-3, 9]}}
  stream: {kind: stream, width: stereo, takes: {mixes: [house.left, house.right]}}
  talk: {kind: talkback}
effects: {plate: {fed_by: send}}
feeds: {desk/out: {1: channel/4, 2: stream.left, 3: {same_as: desk/link-1/1}}}
destinations:
  tape: {kind: recorder, label: Archive, plugged_into: desk/out/2, expects: stream.left, circuit: front}
amplifiers:
  amp: {label: Rack, circuit: stage, plugged_into: east-box/out/7-8, expects: house,
        outputs: {one: {loudspeakers: [{impedance_ohm: 8}]}}}
  loose: {outputs: {one: {loudspeakers: [{impedance_ohm: 8}]}}}
power:
  circuits:
    front: {volts: 230, breaker_a: 16}
    stage: {volts: 230, breaker_a: 16}
    lights: {volts: 230, breaker_a: 16}
"""


def lines(step: Step, deep: int = 0) -> Iterator[str]:
    yield "  " * deep + ("! " if step.stops else "") + step.text + (f" = {step.comes_to}" if step.comes_to else "")
    for below in step.below:
        yield from lines(below, deep + 1)


def told(week: str, what: str) -> str:
    return "\n".join(line for step in trace_signal(resolved(BASE, week), what) for line in lines(step))


CONSOLE = """\
desk, console-32: console
  desk/link-1: west-box, east-box
  desk/link-2: nothing hangs on it
  desk/in/3: player → channel 4 (Player)
  desk/in/4: spare → no channel
  channels 1–4, 9
  mixes house, wedge-mix, send, stream, talk
  desk/out/2 carries stream.left: tape"""
BOX = """\
west-box, stage-box-16x8: box 1 on desk/link-1, output bank 1-8
  west-box/in/1 → desk/link-1/1: vocal
  west-box/in/2 → desk/link-1/2: choir
  west-box/out/1 carries wedge-mix: wedge"""
LOUD = """\
east-box, stage-box-8x8: box 2 on desk/link-1, output bank 9-16
  east-box/in/1 → desk/link-1/17: piano
  east-box/out/7 carries house.left: amp
    left, house-loudspeaker, which expects house.left: as meant
  east-box/out/8 carries house.right: amp
    right, house-loudspeaker, which expects house.right: as meant"""
INTO_HOUSE = """\
channel 1 (Lead): vocal (desk/link-1/1 ← west-box/in/1)
channel 2: choir (desk/link-1/2 ← west-box/in/2)
channel 3: piano (desk/link-1/17 ← east-box/in/1)
channel 9 (Plate): effects/plate"""
HOUSE_LEFT, HOUSE_RIGHT = (
    f"""\
house.{side} leaves on slot desk/link-1/{slot}
  east-box/out/{slot - 8} (east-box's selector: 9-16)
    amp, amplifier, which expects house.{side}: as meant
      {side}, house-loudspeaker, which expects house.{side}: as meant"""
    for side, slot in (("left", 15), ("right", 16))
)
STREAM = """\
taken by stream
  stream.left leaves at desk/out/2
    tape, recorder, which expects stream.left: as meant"""
FROM_HOUSE = "\n".join((HOUSE_LEFT, HOUSE_RIGHT, STREAM))


def within(text: str, deep: int) -> str:
    return "\n".join("  " * deep + line for line in text.splitlines())


AMPLIFIER = f"""\
amp, amplifier
  east-box/out/7 carries slot desk/link-1/15 (selector: 9-16)
    house.left, expected house.left: as meant
{within(INTO_HOUSE, 3)}
  drives left, house-loudspeaker
  east-box/out/8 carries slot desk/link-1/16 (selector: 9-16)
    house.right, expected house.right: as meant
{within(INTO_HOUSE, 3)}
  drives right, house-loudspeaker"""
VOCAL = f"""\
vocal “Lead vocal”, dynamic-microphone
  plugged into west-box/in/1
    arrives on slot desk/link-1/1 (west-box is box 1 on the chain: its inputs are slots 1–16)
      channel 1 (Lead), which should carry vocal: as meant; phantom on
        house
{within(FROM_HOUSE, 5)}
        wedge-mix (monitor mix)
          wedge-mix leaves on slot desk/link-1/1
            west-box/out/1 (west-box's selector: 1-8)
              wedge, wedge, which expects wedge-mix: as meant
          wedge-mix leaves at desk/out/3
            nothing is plugged in there
        send (effects mix) (-6 dB, pre-fader)
          feeds the effects unit plate
            returns on channel 9 (Plate)
              house
                as shown above"""
ARCHIVE = f"""\
tape “Archive”, recorder
  desk/out/2
    stream.left, expected stream.left: as meant
      takes house.left
{within(INTO_HOUSE, 4)}"""
PLATE = f"""\
plate, effects unit in desk
  comes from
    send
      channel 1 (Lead): vocal (desk/link-1/1 ← west-box/in/1)
  goes to
    returns on channel 9 (Plate)
      house
{within(FROM_HOUSE, 4)}"""
PLAYER = """\
channel 4 (Player)
  comes from
    player (desk/in/3); should carry player: as meant
  goes to
    direct output of channel 4 leaves at desk/out/1
      nothing is plugged in there"""
LEFT = f"""\
house
  comes from
{within(INTO_HOUSE, 2)}
  goes to
{within(HOUSE_LEFT, 2)}
{within(STREAM, 2)}"""

WHOLE = {
    "big DESK": CONSOLE,
    "stage left": BOX,
    "trunk": "trunk, link cable from desk/link-1 to west-box/upstream\n" + within(BOX, 1) + "\n" + within(LOUD, 1),
    "crossing": "crossing, link cable from west-box/downstream to east-box/upstream\n" + within(LOUD, 1),
    "front": "front, mains circuit, feeds\n  desk, console-32\n  tape, recorder",
    "stage": "stage, mains circuit, feeds\n" + "\n".join(within(part, 1) for part in (AMPLIFIER, BOX, LOUD)),
    "lights": "lights, mains circuit, feeds\n  nothing that the rig names",
    "rack": AMPLIFIER,
    "loose": "loose, amplifier\n  the rig does not say where it is plugged in",
    "lead VOCAL": VOCAL,
    "archive": ARCHIVE,
    "effects/plate": PLATE,
    "spare": "spare, dynamic-microphone\n  plugged into desk/in/4\n    ! no channel is patched from it",
    "channel 4": PLAYER,
    "house.left": LEFT,
    "talk": "talk (talkback mix)\n  comes from\n    takes nothing\n  goes to",
    "desk/in/3": "desk/in/3: player plugged in\n  plugged into desk/in/3\n    channel 4 (Player), which should carry player: as meant\n"
    "      direct output of channel 4 leaves at desk/out/1\n        nothing is plugged in there",
    "desk/in/9": "desk/in/9: nothing plugged in, and no channel takes it\n  plugged into desk/in/9\n"
    "    no channel is patched from it",
    "east-box/out/7": "east-box/out/7\n  amp, amplifier\n    left, house-loudspeaker\n"
    "  east-box/out/7 carries slot desk/link-1/15 (selector: 9-16)\n    house.left\n" + within(INTO_HOUSE, 3),
    "desk/link-1/1": "desk/link-1/1, towards the console\n  comes from west-box/in/1: vocal\n"
    + within(dedent("\n".join(VOCAL.splitlines()[3:])), 2)
    + "\ndesk/link-1/1, from the console\n  west-box/out/1 (west-box's selector: 1-8)\n"
    "    wedge, wedge, which expects wedge-mix: as meant",
    "desk/in/33": "! desk/in/33: desk (console-32) has no such socket",
    "desk/out/1": "desk/out/1\n  nothing is plugged in there\n  desk/out/1\n    direct output of channel 4\n"
    "      player (desk/in/3); should carry player: as meant",
    "desk/out/9": "desk/out/9: nothing plugged in, and nothing is sent there\n  desk/out/9: nothing is sent there",
    "desk/link-1/24": "desk/link-1/24, towards the console\n  comes from east-box/in/8: nothing plugged in\n"
    "desk/link-1/24, from the console\n  no box's selector takes that slot",
    "desk/link-1/30": "desk/link-1/30, towards the console\n  no box's input arrives on it\n"
    "desk/link-1/30, from the console\n  no box's selector takes that slot",
}


@pytest.mark.parametrize("what", WHOLE)
def test_a_trace_tells_the_whole_way(what: str) -> None:
    assert told(HALL, what) == WHOLE[what]


SWAPPED = """
sources: {vocal: {plugged_into: west-box/in/2}, choir: {plugged_into: west-box/in/1}, piano: {plugged_into: east-box/in/2}}
destinations: {wedge: {expects: house.mono}, right: {plugged_into: desk/out/7}}
"""
PAST = "clock: {sample_rate_hz: 96000}\ndevices: {west-box: {model: stage-box-32x16, output_bank: 1-16}}"
CUT = "cables: {crossing: null}"

BROKEN = {
    "a source comes out on another's channel": (SWAPPED, "vocal", """\
        vocal, dynamic-microphone = vocal does not reach channel 1; it comes out on channel 2
          plugged into west-box/in/2
            arrives on slot desk/link-1/2 (west-box is box 1 on the chain: its inputs are slots 1–16)
              ! channel 2, which should carry choir: WRONG
                house
                  house.left leaves on slot desk/link-1/15
                    east-box/out/7 (east-box's selector: 9-16)
                      left, house-loudspeaker, which expects house.left: as meant
                  house.right leaves on slot desk/link-1/16
                    east-box/out/8 (east-box's selector: 9-16)
                      nothing is plugged in there"""),
    "a source is in a socket that no channel hears": (SWAPPED, "piano", """\
        piano, active-di = piano does not reach channel 3; it comes out on no other
          plugged into east-box/in/2
            arrives on slot desk/link-1/18 (east-box is box 2 on the chain: its inputs are slots 17–24)
              ! no channel is patched from that slot"""),
    "a destination gets another mix, and its own is sent nowhere": (SWAPPED, "wedge", """\
        wedge, wedge
          west-box/out/1 carries slot desk/link-1/1 (selector: 1-8)
            ! wedge-mix, expected house.mono: WRONG
              ! channel 1: choir (desk/link-1/1 ← west-box/in/1)
          expected: house.mono
            ! it is sent nowhere"""),
    "a destination gets nothing, and its mix leaves where nothing hangs": (SWAPPED, "right", """\
        right, house-loudspeaker
          ! desk/out/7: nothing is sent there
          expected: house.right
            house.right leaves on slot desk/link-1/16
              east-box/out/8 (east-box's selector: 9-16)
                nothing is plugged in there"""),
    "the link has no slot left": (PAST, "piano", """\
        piano, active-di = piano does not reach channel 3; it comes out on no other
          ! plugged into east-box/in/1, but the link has 24 slots and none is left for it"""),
    "a socket without a slot on its box": (PAST, "east-box", """\
        east-box, stage-box-8x8: box 2 on desk/link-1, output bank 9-16
          east-box/in/1 → no slot: piano
          east-box/out/7 carries house.left: left
          east-box/out/8 carries house.right: right"""),
    "a channel that nobody awaits anything on, and that is sent nowhere": (
        "channels: {5: {patched_from: desk/link-1/9}}", "5", """\
        channel 5
          ! comes from
            ! desk/link-1/9 ← west-box/in/9: nothing plugged in
          goes to
            ! no mix takes it and it is sent nowhere"""),
    "a slot that a channel listens to and nobody is plugged into": (
        "channels: {5: {patched_from: desk/link-1/24}}\nmixes: {house: {takes: {channels: [1-3, 5]}}}\n"
        "feeds: {desk/link-1: {15-16: null}}\ndestinations: {left: null, right: null}", "desk/link-1/24", """\
        desk/link-1/24, towards the console
          ! comes from east-box/in/8: nothing plugged in
            channel 5
              house
                ! it is sent nowhere
        desk/link-1/24, from the console
          no box's selector takes that slot"""),
    "a mix that is sent nowhere": ("feeds: {desk/link-1: {1: null}}", "wedge-mix", """\
        wedge-mix (monitor mix)
          comes from
            channel 1: vocal (desk/link-1/1 ← west-box/in/1)
          goes to
            ! it is sent nowhere"""),
    "a selector on a position that it does not have": (
        "devices: {west-box: {output_bank: 3-10}}", "wedge", """\
        wedge, wedge
          ! west-box/out/1 carries slot desk/link-1/3 (selector: 3-10): its selector has no such position
          expected: wedge-mix
            wedge-mix leaves on slot desk/link-1/1
              ! no box's selector takes that slot"""),
    "the mono sum of a stereo mix": (
        "feeds: {desk/link-1: {15-16: null}, desk/out: {4: house.mono}}\ndestinations: {left: null, right: null}", "house", """\
        house
          comes from
            channel 1: vocal (desk/link-1/1 ← west-box/in/1)
            channel 2: choir (desk/link-1/2 ← west-box/in/2)
            channel 3: piano (desk/link-1/17 ← east-box/in/1)
          goes to
            house.mono leaves at desk/out/4
              nothing is plugged in there"""),
    "a box that no console reaches": (CUT, "east-box", "! east-box, stage-box-8x8: no console reaches it; see `rigwalk check`"),
    "what hangs on it": (CUT, "left", """\
        left, house-loudspeaker
          ! east-box/out/7: no console reaches east-box
          expected: house.left
            house.left leaves on slot desk/link-1/15
              ! no box's selector takes that slot"""),
    "a cable that lies there": (
        "devices: {third: {model: stage-box-8x8}, fourth: {model: stage-box-8x8}}\n"
        "cables: {crossing: {from: third/downstream, to: fourth/upstream}}",
        "crossing",
        "! crossing, link cable from third/downstream to fourth/upstream: nothing rides on it"),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_a_trace_tells_where_and_why_it_stops(name: str) -> None:
    week, what, expected = BROKEN[name]
    assert told(week, what) == dedent(expected)


@pytest.mark.parametrize(
    ("week", "why"),
    [
        ("channels: {2: {patched_from: null}}", "patched from nowhere"),
        ("channels: {2: {patched_from: desk/in/40}}", "desk/in/40: there is no such socket"),
        ("channels: {2: {patched_from: desk/link-1/9}}", "desk/link-1/9 ← west-box/in/9: nothing plugged in"),
        ("sources: {choir: {plugged_into: west-box/in/1}}", "desk/link-1/2 ← west-box/in/2: nothing plugged in"),
        ("cables: {trunk: {to: west-box/downstream}, crossing: null}", "desk/link-1/2: west-box is cut off"),
    ],
)
def test_a_channel_that_gets_nothing_is_wrong_whoever_else_tells_why(week: str, why: str) -> None:
    (trace,) = trace_signal(resolved(BASE, week), "2")
    assert list(lines(trace))[:3] == ["channel 2", "  ! comes from", f"    ! {why}; should carry choir: WRONG"]


@pytest.mark.parametrize("what", ["house.middle", "wedge-mix.left", "desk/link-3/1", "nobody/in/1", "desk/in/0"])
def test_a_side_or_a_port_that_is_not_there_is_nothing(what: str) -> None:
    with pytest.raises(UnknownSignalError):
        trace_signal(resolved(BASE), what)


@pytest.mark.parametrize("what", ["", "  "])
def test_what_has_no_label_is_not_called_by_none(what: str) -> None:
    with pytest.raises(UnknownSignalError):
        trace_signal(resolved(BASE), what)
    assert nodes_of(resolved(BASE), "vocal")
    with pytest.raises(UnknownSignalError):
        nodes_of(resolved(BASE), "")


def test_what_is_like_nothing_here_is_told_what_it_could_be() -> None:
    kinds = "a source, pair, channel number, mix, destination, box, amplifier, link cable, circuit, socket or slot"
    with pytest.raises(UnknownSignalError) as error:
        trace_signal(resolved(BASE), "qqqqqqqq")
    assert str(error.value) == f"nothing here is called 'qqqqqqqq' ({kinds})"
    with pytest.raises(UnknownSignalError) as error:
        trace_signal(resolved(BASE), "trank")
    assert str(error.value) == f"nothing here is called 'trank'; did you mean 'trunk'? ({kinds})"


@pytest.mark.parametrize(("kind", "stops"), [("cue", False), ("talkback", False), ("monitor", True), ("record", True)])
def test_a_mix_for_the_console_alone_may_take_and_reach_nothing(kind: str, stops: bool) -> None:
    (trace,) = trace_signal(resolved(BASE, f"mixes: {{lone: {{kind: {kind}}}}}"), "lone")
    assert [step.text for step in trace.every() if step.stops] == (
        ["takes nothing", "it is sent nowhere"] if stops else []
    )


def test_an_amplifier_that_expects_nothing_is_never_wrong() -> None:
    week = "amplifiers: {amp: {plugged_into: east-box/out/7, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}"
    (trace,) = trace_signal(resolved(BASE, week), "amp")
    assert [step.text for step in trace.every() if step.stops] == []
    assert trace.below[0].below[0].text == "house.left"


def wide(lost: str) -> str:
    """Sixteen channels in the house mix, of which one may get nothing."""
    rows = range(4, 17)
    sources = "\n".join(f"  s{n}: {{kind: dynamic-microphone, plugged_into: west-box/in/{n}}}" for n in rows)
    channels = "\n".join(f"  {n}: {{carries: s{n}, patched_from: desk/link-1/{n}}}" for n in rows)
    return f"sources:\n{sources}\nchannels:\n{channels}\n{lost}\nmixes: {{house: {{takes: {{channels: [1-16]}}}}}}"


def test_a_mix_of_many_channels_tells_the_wrong_ones_alone() -> None:
    assert told(wide(""), "left").splitlines()[3:] == ["      takes channels 1–16"]
    lost = "  6: {carries: s6, patched_from: desk/link-1/21}"
    assert told(wide("").replace("  6: {carries: s6, patched_from: desk/link-1/6}", lost), "left").splitlines()[3:] == [
        "      takes channels 1–16; wrong among them:",
        "      ! channel 6: desk/link-1/21 ← east-box/in/5: nothing plugged in",
    ]


def rig() -> ResolvedRig:
    return resolved(BASE, HALL)


def names(what: str) -> list[str]:
    return [node.name for node in nodes_of(rig(), what)]


def test_what_a_name_stands_for() -> None:
    """A console is its channels, effects and mixes; a cable or circuit is all that is dead without it."""
    strips = [f"desk/channel/{number}" for number in (1, 2, 3, 4, 9)]
    mixes = ["house", "wedge-mix", "send", "stream", "talk"]
    assert names("desk") == [*strips, "desk/effects/plate", *mixes]
    assert names("front") == ["desk/in/3", "desk/in/4", *strips, "desk/effects/plate", *mixes,
                              "desk/out/1", "desk/out/2", "desk/out/3", "tape"]  # fmt: skip
    far = ["east-box/in/1", "east-box/out/7", "east-box/out/8"]
    assert names("crossing") == far
    assert sorted(names("trunk")) == sorted([*far, "west-box/in/1", "west-box/in/2", "west-box/out/1"])
    assert sorted(names("stage")) == sorted([*names("trunk"), "amp/in/1", "amp/in/2"])
    assert (names("lights"), names("amp")) == ([], ["amp/in/1", "amp/in/2"])
    assert (names("plate"), names("lead vocal")) == (["desk/effects/plate"], ["vocal"])
    assert names("channel 4") == names("channel/4") == names("4") == ["desk/channel/4"]
    assert names("LEAD") == ["desk/channel/1"]
    assert names("main") == ["house"]
    assert names("Archive") == ["tape"]
    assert (names("big desk"), names("Stage left"), names("rack")) == (names("desk"), names("west-box"), names("amp"))


def test_a_way_begins_at_the_last_of_the_points_that_a_name_stands_for() -> None:
    """A console is its channels and mixes, and a channel is not told on its way through a mix of the same console."""
    found = ways_between(rig(), "desk", "left").found
    assert [way[0].name for way in found] == ["house"]
    assert [way[-1].name for way in ways_between(rig(), "vocal", "desk").found] == ["desk/channel/1"]


def test_what_rides_on_a_cable_is_among_what_it_feeds_and_what_gets_to_it() -> None:
    assert reached(rig(), "crossing", upstream=False)["input-socket"] == ["east-box/in/1"]
    assert reached(rig(), "crossing", upstream=False)["channel"] == ["desk/channel/3"]
    assert {"east-box/out/7", "east-box/out/8"} <= set(reached(rig(), "crossing", upstream=False)["output-socket"])
    assert "output-socket" not in reached(rig(), "crossing", upstream=True)
    assert "output-socket" not in reached(rig(), "east-box", upstream=True)


def test_what_a_mix_gets_of_itself_is_not_told_upstream_of_it() -> None:
    """Nor what a console's own mixes take of each other: that stays inside."""
    assert reached(rig(), "house", upstream=True)["signal"] == ["send"]
    assert "signal" not in reached(rig(), "desk", upstream=True)
    assert reached(rig(), "stream", upstream=True)["signal"] == ["house.left", "house.right", "send"]
    assert reached(rig(), "house", upstream=False)["mix"] == ["stream"]


def test_a_box_that_nothing_hangs_on_is_there_by_its_label_too() -> None:
    week = "devices: {spare: {model: stage-box-8x8, label: In the van}}"
    assert nodes_of(resolved(BASE, week), "in the VAN") == []
    with pytest.raises(UnknownSignalError):
        nodes_of(resolved(BASE, week), "in the car")


def test_what_is_silent_without_a_cable_or_a_circuit() -> None:
    """What is not heard anyway is not silent because of it, such as a microphone that no channel is patched from."""
    assert silent_without(rig(), "crossing") == ["piano", "left", "right"]
    assert silent_without(rig(), "trunk") == ["vocal", "choir", "piano", "wedge", "left", "right", "tape"]
    assert silent_without(rig(), "stage") == silent_without(rig(), "trunk")
    assert silent_without(rig(), "front") == ["vocal", "choir", "piano", "player", "wedge", "left", "right", "tape"]
    assert silent_without(rig(), "lights") == []
    assert silent_without(rig(), "vocal") == []
