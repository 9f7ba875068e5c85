"""What is muted, and where phantom power is off, while cables, plugs and patch change; and what comes on again after.

A ribbon must not meet the phantom power of a slot that another channel had before, not even on its way. So every
channel whose socket changes, whose socket a plug leaves or enters, or that hears a moved source by another leg, on
whatever console, is muted and its phantom power switched off before the first step, and switched on again only where
the rig that comes out has its right source there. Who else hears a source whose phantom power is switched is muted too.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from lint.plan.asked import A_LOSS, Asked, Coming
from lint.plan.coming_back import ComingBack, back_words, coming_back, coming_back_words
from lint.plan.cut_off import CutOff, cut_off, cut_off_words, living_words
from lint.plan.ends import departures_of, ends_of
from lint.plan.intent import ChannelKey, Intent, receives, sender, unmet_outputs
from lint.plan.moves import Handling
from lint.plan.quiet_words import (
    NOTHING,
    Kept,
    along_words,
    barred_by,
    channels_words,
    fed_otherwise,
    idle_words,
    kept_words,
    later_words,
    left_off_words,
    needs_it,
    rested_words,
    switch_of,
)
from lint.plan.waking import NOT_TURNED, Turned, may_rest
from lint.resolve.dark import dark_in, way_of
from lint.resolve.hearing import handled_with
from lint.resolve.resolved import Departure, ResolvedRig
from lint.rig.address import Port, Signal, Socket
from lint.rig.rig import Channel, Source

DOWN = "turn the house and the monitors down at the loudspeakers or amplifiers themselves, ears out"
UP = "bring house and monitors up slowly"


class Quiet(NamedTuple):
    """The steps around a change in words: `first` before anything is touched, `last` when all is done.

    `kept` are the channels that stay muted, because they don't get what they are to carry; `left_off` those whose
    phantom power was on and stays off: muted ones at which another source arrives, and what would harm a neighbour.
    `put_on` are those that were off and come on: `woken` for what gets it from nowhere else, the others with their
    switch. `switched` counts the switches that are turned for what would go without or have it twice. `out` are plugs
    that are taken out of what nobody switches off, or before it is on again, and stay out.
    """

    first: tuple[str, ...]
    last: tuple[str, ...]
    kept: tuple[Kept, ...]
    left_off: tuple[Channel, ...] = ()
    put_on: tuple[Channel, ...] = ()
    woken: tuple[Channel, ...] = ()
    switched: int = 0
    out: Mapping[Socket, str] = {}


class Muted(NamedTuple):
    """What is muted first: what hands are laid on, and who else hears (`beside`) what is switched; what is cut off, or
    may come back.

    `lit` are those whose phantom power stays on for others. `is_loud` where the outputs must be turned down, whether
    anything is muted or not.
    """

    handled: Sequence[Channel]
    beside: Sequence[Channel]
    lit: Sequence[Channel]
    cut: CutOff
    back: ComingBack
    is_loud: bool


def quiet_around(
    stages: Sequence[ResolvedRig],
    intent: Intent,
    handlings: Sequence[Handling],
    dead: Collection[str] = (),
    asked: Asked = A_LOSS,
    turned: Turned = NOT_TURNED,
) -> Quiet:
    """Return what is quiet while a rig goes through `stages` (before, cabled anew, done) and plugs are handled.

    `turned` has where phantom power is switched otherwise for good; where that is off, the last stage says so.
    Where nothing that is `asked` about has failed the console still reaches every box while phantom power is switched
    off.
    """
    end = stages[-1]
    handlings = [*handlings, *_all_out(stages[0], asked.bared)]
    plugged = {at for step in handlings for at in (step.start, step.end) if at is not None}
    moved = _handled(stages, handlings)
    plugged |= {at for row in moved for at in row.sockets}
    plugged |= {at for channel in (*turned.on, *turned.off) if (at := end.arrivals[channel.key].socket) is not None}
    plugged = _with_switch(end, plugged)
    cabled = _cabled_anew(stages, asked)
    hearing = {channel.key for rig in stages for row in moved for channel in handled_with(rig, row)}
    gone = {*dead, *dark_in(end)}
    touched: list[Channel] = []
    kept: list[Kept] = []
    for key, arrival in end.arrivals.items():
        if key[0] in gone:
            continue
        is_met = _sockets(key, stages) & plugged or _links(key, stages) & cabled
        # A dead socket may come to life again.
        if arrival.stop == "socket-dead" or key in hearing or _moves(key, stages) or is_met:
            touched.append(arrival.channel)
        wanted = intent.channels.get(key)
        if wanted is not None and not receives(arrival, wanted):
            gets = " and ".join(arrival.sources) or ("an effects return" if arrival.effects else "")
            if gets or arrival.channel in touched:
                kept.append(Kept(arrival.channel, str(wanted), gets or NOTHING))
    muted = list(dict.fromkeys((*touched, *(row.channel for row in kept))))
    lit = _left_lit(end, kept, plugged)
    cut = cut_off(stages, handlings, turned.on, dead, asked)
    back = coming_back(stages, handlings, turned.on, asked.bared)
    out = {at: name for at, name in cut.fed.items() if at in cut.pulled or at.device in cut.rehung} | {**back.pulled}
    switched = {*cut.sources, *back.pulled.values()}
    beside = [row for row in _beside(stages, muted, lit, turned, switched) if row.console not in gone]
    is_loud = bool(cabled) or _sends_anew(stages) or any(_side(step) == "out" for step in handlings)
    low = _stay_down(end, intent, dead) if muted or is_loud else []
    quiet = Muted(muted, beside, lit, cut, back, is_loud)
    return _worded(stages, quiet, tuple(kept), low, turned.without(back.pulled.values()))._replace(out=out)


def _left_lit(end: ResolvedRig, kept: Iterable[Kept], plugged: Collection[Socket]) -> list[Channel]:
    """Return the channels that stay muted at dead sockets on whose switch others live, and where nothing is plugged."""
    found = []
    for channel in (row.channel for row in kept):
        arrival = end.arrivals[channel.key]
        if arrival.stop == "socket-dead" and arrival.socket is not None and arrival.socket not in plugged:
            supply = end.phantom.worked.get(end.phantom.switch_at(arrival.socket))
            found += [channel] if supply is not None and supply.on else []
    return found


def _beside(
    stages: Sequence[ResolvedRig],
    muted: Sequence[Channel],
    lit: Collection[Channel],
    turned: Turned,
    names: Collection[str],
) -> list[Channel]:
    """Return the other channels that hear a source whose phantom power is switched, on whatever console: it clicks.

    `names` are sources where that is done at the mains, or by taking a plug out.
    """
    end, quiet = stages[-1], {channel.key for channel in muted}
    others = [key for key in end.arrivals if key not in quiet]
    if not others:
        return []
    off = (channel for channel in muted if channel not in lit)
    switched = [channel for channel in off if channel.phantom == "on" or channel in turned.off]
    found: set[ChannelKey] = set()
    for rig in stages:
        at = (rig.arrivals[channel.key].socket for channel in (*switched, *turned.on) if channel.key in rig.arrivals)
        sockets = _with_switch(rig, {socket for socket in at if socket is not None})
        here = {*names, *(name for socket in sockets for name in rig.sources_in.get(socket, ()))}
        found |= {channel.key for name in here for channel in rig.channels_of.get(name, ())}
    return [end.rig.channels[key] for key in others if key in found]


def _all_out(before: ResolvedRig, boxes: Collection[str]) -> Iterator[Handling]:
    """Yield every plug of sources that comes out of boxes as others are put in their place."""
    for source in before.rig.sources.values() if boxes else ():
        yield from (Handling(source.name, at, None) for at in source.sockets if at.device in boxes)


def _handled(stages: Sequence[ResolvedRig], handlings: Iterable[Handling]) -> list[Source]:
    """Return the sources whose plugs are handled, as they are at each stage."""
    named = {step.plug for step in handlings if _side(step) == "in"}
    sockets: dict[str, set[tuple[Socket, ...]]] = {}
    for rig in stages:
        for row in rig.rig.sources.values():
            sockets.setdefault(row.name, set()).add(row.sockets)

    def is_handled(row: Source) -> bool:
        return row.name in named or len(sockets[row.name]) > 1

    return [row for rig in stages for row in rig.rig.sources.values() if is_handled(row)]


def _stay_down(end: ResolvedRig, intent: Intent, dead: Collection[str]) -> list[str]:
    """Say what must not come up with the rest: whatever gets another mix than it is to have."""
    return list(
        dict.fromkeys(
            f"leave {one.name} turned down: it gets {_heard(end, departure, wanted, dead)}"
            for one, departure, wanted in unmet_outputs(intent, end, dead)
            if departure.signal is not None
        )
    )


def _heard(end: ResolvedRig, departure: Departure, wanted: Signal, dead: Collection[str]) -> str:
    """Say what comes instead of what is wanted: nothing where the console that sends is dead."""
    console, dark = sender(departure), dark_in(end)
    if console in dead:
        return f"nothing: {console} {'has no mains' if console in dark else 'is dead'}"
    box = departure.socket.device
    if without := next((name for name in way_of(end, box) if name in dark or name in dead), ""):
        return f"nothing: {without} {'has no mains' if without in dark else 'is dead'}"
    return f"{departure.signal}, not {wanted}"


def _side(step: Handling) -> str:
    at = step.start or step.end
    return at.side if at is not None else ""


def _sends_anew(stages: Sequence[ResolvedRig]) -> bool:
    """Whether anything that hangs on an output is given something else, or by another slot, at some stage."""
    rows = [departures_of(rig, ends_of(rig)) for rig in stages]
    sent = [
        {name: [(one.socket, one.signal, one.slot) for one in row] for name, row in found.items()} for found in rows
    ]
    return any(one != sent[0] for one in sent)


def _worded(
    stages: Sequence[ResolvedRig],
    quiet: Muted,
    kept: tuple[Kept, ...],
    low: list[str],
    turned: Turned,
) -> Quiet:
    end = stages[-1]
    muted, beside = quiet.handled, quiet.beside
    staying = {row.channel.address for row in kept}
    powered = [c for c in muted if (c.phantom == "on" or c in turned.off) and c not in quiet.lit]
    # Off for all of a switch: a channel that stays muted must not leave it on for what another plug brought there.
    free = [channel for channel in muted if channel.address not in staying]
    idle = _idle(stages, free)
    again = [c for c in free if c.phantom == "on" and c not in idle and not barred_by(end, c)]
    left_off = [channel for channel in free if channel.phantom == "on" and barred_by(end, channel)]
    coming_on, put_on = _coming_on(end, [*free, *beside], again, turned.on)
    fed = fed_otherwise(end, left_off, turned.on)
    opened = [c for c in (*free, *beside) if c not in left_off or c in fed or not needs_it(end, c)]
    first, last = _first(end, quiet, powered), []
    hot = [row for row in kept if row.channel.phantom == "on"]
    lit = {switch_of(end, channel) for channel in (*again, *turned.on)} - {None}
    # Theirs comes on with the others' of their switch.
    sharing = [row for row in hot if switch_of(end, row.channel) in lit]
    last += kept_words(end, kept, sharing, quiet.lit)
    last += low
    last += [*left_off_words(end, left_off, fed), *idle_words(end, idle), *rested_words(end, turned.off)]
    last += [*living_words(quiet.cut), *back_words(quiet.back), *coming_on]
    if opened:
        slowly = ", one by one" if len(opened) > 1 else ""
        last.append(f"with the faders down unmute {channels_words(end, opened)}{slowly}; then {UP}")
    elif first:
        last.append(UP)
    off = [row.channel for row in hot if row not in sharing and row.channel not in quiet.lit and _stays_off(end, row)]
    switched = len({switch_of(end, channel) for channel in (*turned.on, *turned.off)})
    last += later_words(end, turned)
    return Quiet(tuple(first), tuple(last), kept, (*off, *left_off, *idle), (*turned.on, *put_on), turned.on, switched)


def _first(end: ResolvedRig, quiet: Muted, powered: Sequence[Channel]) -> list[str]:
    """Say what is done before anything is touched."""
    first = []
    if muted := [*quiet.handled, *quiet.beside]:
        first.append(f"{DOWN}, and mute {channels_words(end, muted)}")
    elif quiet.is_loud:
        first.append(DOWN)
    if powered:
        first.append(f"switch phantom power off on {channels_words(end, powered)}, and wait ten seconds")
    return [*first, *cut_off_words(end, quiet.cut), *coming_back_words(end, quiet.back)]


def _idle(stages: Sequence[ResolvedRig], free: Sequence[Channel]) -> list[Channel]:
    """Return the channels that had phantom power on for others alone, on switches that nobody else has on now."""
    found = [channel for channel in free if channel.phantom == "on" and _had_it_for_others(stages, channel)]
    end = stages[-1]
    on = {channel: end.phantom.worked.get(switch) for channel in found if (switch := switch_of(end, channel))}
    return [channel for channel, supply in on.items() if supply is not None and set(supply.says_on) <= set(found)]


def _had_it_for_others(stages: Sequence[ResolvedRig], channel: Channel) -> bool:
    """Whether a channel had phantom power on only for others on its switch, who are not on the one it comes to."""
    before, end = stages[0], stages[-1]
    was, now = before.arrivals.get(channel.key), end.arrivals[channel.key]
    if was is None or not was.sources or was.socket is None or now.socket is None or barred_by(end, channel):
        return False
    sources = [end.rig.sources[name] for name in now.sources]
    had_it = any(not may_rest(before, source, was.socket) for source in sources)
    return had_it and not needs_it(end, channel) and all(may_rest(end, source, now.socket) for source in sources)


def _stays_off(end: ResolvedRig, row: Kept) -> bool:
    """Whether phantom power of a channel that stays muted is off in the rig that comes out too.

    At a dead socket it is: what was powered there may have it by another leg now.
    """
    is_dead = end.arrivals[row.channel.key].stop == "socket-dead"
    return is_dead or row.gets != NOTHING or bool(barred_by(end, row.channel))


def _coming_on(
    end: ResolvedRig, free: Sequence[Channel], again: Sequence[Channel], woken: Sequence[Channel]
) -> tuple[list[str], list[Channel]]:
    """Return the steps that switch phantom power on, and the channels that say off and come on by their switch."""
    others = [channel for channel in free if channel.phantom != "on" and channel not in woken]
    along = _on_switches_of(end, again, others)
    beside = _on_switches_of(end, woken, [channel for channel in others if channel not in along])
    steps = []
    if again:
        words = f"switch phantom power on again on {channels_words(end, again)}"
        steps.append(f"{words}{along_words(end, along)}, and wait ten seconds")
    if woken:
        names = list(dict.fromkeys(name for channel in woken for name in end.arrivals[channel.key].sources))
        words = f"switch phantom power on at {channels_words(end, woken)}, which had it off{along_words(end, beside)}"
        get = "gets" if len(names) == 1 else "get"
        steps.append(f"{words}: {' and '.join(names)} {get} it from nowhere else now; and wait ten seconds")
    return steps, [channel for channel in (*along, *beside) if channel.phantom == "off"]


def _on_switches_of(end: ResolvedRig, rows: Sequence[Channel], others: Iterable[Channel]) -> list[Channel]:
    """Return which of `others` are on the phantom switches of channels; whatever they say, it comes on there too.

    One that doubles such a channel is left out unless it says off: its source is the same.
    """
    switches = {switch_of(end, channel) for channel in rows} - {None}
    own = {end.arrivals[channel.key].socket for channel in rows}
    doubled = (c for c in others if c.phantom == "off" or end.arrivals[c.key].socket not in own)
    return [channel for channel in doubled if switch_of(end, channel) in switches]


def _moves(key: ChannelKey, stages: Sequence[ResolvedRig]) -> bool:
    points = {(rig.arrivals[key].socket, rig.rig.channels[key].patched_from) for rig in stages if key in rig.arrivals}
    return len(points) > 1


def _sockets(key: ChannelKey, stages: Sequence[ResolvedRig]) -> set[Socket]:
    found = (rig.arrivals[key].socket for rig in stages if key in rig.arrivals)
    return {socket for socket in found if socket is not None}


def _links(key: ChannelKey, stages: Sequence[ResolvedRig]) -> set[Port]:
    slots = ((rig, rig.arrivals[key].slot) for rig in stages if key in rig.arrivals)
    return {port for rig, slot in slots if slot is not None for port in (slot.port, rig.owner_slot(slot).port)}


def _cabled_anew(stages: Sequence[ResolvedRig], asked: Asked) -> set[Port]:
    """Return the links whose boxes are others, or in another order: while they are cabled their slots are anybody's.

    A box that another is put in the place of is another box, whatever it is called, and so is one on another cable.
    Where boxes are lost at the end of a chain nobody lays a hand on its cables, and the boxes before them play on.
    """
    rows = [
        {link: [(box.device, box.cable.name) for box in chain.boxes] for link, chain in rig.chains.items()}
        for rig in stages
    ]
    links = {link for row in rows for link in row}
    anew = {link for link in links if not all(_is_left(row.get(link), rows[0].get(link), asked.coming) for row in rows)}
    anew |= _listened_anew(stages)
    return anew | {rig.boxes[name].link for rig in stages for name in asked.bared if name in rig.boxes}


def _listened_anew(stages: Sequence[ResolvedRig]) -> set[Port]:
    """Return the link ports that listen to another's chain by another cable, or from another box, at some stage."""
    cables = [
        {
            end: (row.name, {*row.ends})
            for row in rig.rig.cables.values()
            for end in row.ends
            if end in rig.cabling.listens_to
        }
        for rig in stages
    ]
    return {port for port, was in cables[0].items() if any(row.get(port, was) != was for row in cables)}


def _is_left(now: Sequence[object] | None, was: Sequence[object] | None, coming: Coming) -> bool:
    """Whether a chain is as it was, or what is left of it where boxes are lost at its end."""
    if now is None or was is None or coming is not Coming.LOST:
        return now == was
    return now == was[: len(now)]


def _with_switch(rig: ResolvedRig, sockets: Iterable[Socket]) -> set[Socket]:
    """Return sockets with all that hang on the same phantom switches."""
    found: set[Socket] = set()
    for socket in sockets:
        found.add(socket)
        if rig.has_socket(socket) and socket.side == "in":
            found |= {*rig.phantom.sockets_on(rig.phantom.switch_at(socket))}
    return found
