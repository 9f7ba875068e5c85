"""The rescue as text: who is lost, who goes where, what to write on it, and what has to be patched."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from lint.check.finding import Severity, Verdict
from lint.page.layout import MARKS, counted, paint, wrapped
from lint.plan.ends import FIRST_SERVED
from lint.plan.one_side import OneSide
from lint.plan.outage import Outage
from lint.plan.outroom import OutputRoom
from lint.plan.plug import Plug
from lint.plan.quiet_words import channels_words
from lint.plan.rescue import Rescue, Room, Spared
from lint.plan.unmet import Unmet
from lint.report.steps import (
    FEWEST_FOLDED,
    MAINS_CARE,
    care_lines,
    handling_words,
    named,
    numbered,
    standing_lines,
    verdict_name,
    verdict_words,
    wrong_lines,
)
from lint.resolve.dark import dark_in, is_stranded
from lint.rig.address import spans
from lint.rig.rig import Channel


def spares_text(spared: Spared, longer: Spared | None = None) -> str:
    """Return the whole rescue with what is at hand, and the one with a longer link cable where it reaches more."""
    outage = spared.outage
    parts = [wrapped(_begun(outage.words), "", "  ")]
    if longer is not None:
        # A longer one is asked for only where a way is known.
        fetching = "; ".join(lack.longer for lack in longer.outage.lacks)
        parts.append(
            wrapped(f"Below: first with what is at hand, then with a longer link cable ({fetching}).", "", "  ")
        )
    if outage.is_mains:
        parts.append(wrapped(f"CAUTION: {MAINS_CARE}", "", "  "))
    if outage.spare:
        is_port = outage.words.startswith("the link port")
        whose, why = ("the link cable's", ": a dead cable and a dead port look the same") if is_port else ("its", "")
        words = (
            f"First of all, everything turned down and ears out (a link cable that comes back may send noise at full "
            f"level), try {whose} tested spare ({outage.spare}){why}. Where that mends it nothing below is needed."
        )
        parts.append(wrapped(words))
    if spared.wider is not None:
        parts.append(wrapped("Below: first with what works left where it is, then with more hands.", "", "  "))
    parts += _rescue(spared)
    if longer is not None:
        parts += [paint("IF A LONGER LINK CABLE IS FETCHED", "go", bold=True), *_rescue(longer)]
    if longer is not None or spared.wider is not None:
        parts.append(f"The first of these ways counts, and is what --write writes:\n{_in_short(spared)}")
    return "\n\n".join(parts) + "\n"


def _rescue(spared: Spared) -> list[str]:
    outage, rescue, checked, wider = spared
    parts = [_counts(outage, rescue) if not rescue.gained else _gained(rescue)]
    parts += ["\n".join(rows) for rows in (list(_left(spared)), list(_steps(outage, rescue))) if rows]
    parts += ["\n".join(_labels(rescue))] if rescue.places or rescue.besides else []
    parts += ["\n".join(_output_labels(rescue))] if rescue.outputs else []
    if wrong := _still_wrong(rescue):
        title = "Still wrong" if rescue.gained else "Still wrong, with what works left where it is"
        parts.append("\n".join((title, *wrong_lines(wrong), *_outputs_first(rescue))))
    parts.append("\n".join((f"The whole check after it: {verdict_words(checked)}", *standing_lines(checked))))
    parts.append(_in_short(spared))
    if wider is not None:
        parts += [paint("WITH MORE HANDS", "go", bold=True), *_rescue(wider)]
    return parts


def _gained(rescue: Rescue) -> str:
    moved = sorted({plug.source for plug in rescue.besides})
    also = f"{named(moved)} {'moves' if len(moved) == 1 else 'move'} too, and " if moved else ""
    proof = "" if rescue.proved else " The best found; not proved to be the best."
    words = f"{also}{named(rescue.gained)} {'is' if len(rescue.gained) == 1 else 'are'} heard as well.{proof}"
    return paint(wrapped(_begun(words), "", "  "), "go", bold=True)


def _begun(words: str) -> str:
    """Begin a sentence; a name that it begins with stays as it is written in the rig."""
    return f"The {words[4:]}" if words.startswith("the ") else words


def _in_short(spared: Spared) -> str:
    """Say whether it is a go and what is not, for whoever reads the last line alone."""
    rescue, checked = spared.rescue, spared.checked
    why = [f"all of {' and '.join(rescue.deaf)} is gone"] if rescue.deaf else []
    if rescue.left:
        names = list(dict.fromkeys(plug.source for plug in rescue.left))
        where = channels_words(rescue.cure.result, dict.fromkeys(c for p in rescue.left for c in rescue.channels[p]))
        why.append(f"{named(names)} {'stays' if len(names) == 1 else 'stay'} lost at {where}")
    if wrong := _still_wrong(rescue):
        why.append(f"{counted(len(wrong), 'thing stays', 'things stay')} wrong")
    if checked.verdict is Verdict.NO_GO:
        no_gos = sum(row.weight is Severity.NO_GO and row.waived is None for row in checked.findings)
        why.append(f"the check finds {counted(no_gos, 'no-go', 'no-go')}")
    verdict = checked.verdict if spared.is_go else Verdict.NO_GO
    name = verdict_name(verdict)
    words = "; ".join(why) or ("all that was lost is heard again" if rescue.lost else "no source is lost")
    text = wrapped(f"{name}: {words}.", "", "  ")
    return paint(name, verdict.value, bold=True) + text[len(name) :]


def _still_wrong(rescue: Rescue) -> list[Unmet]:
    """Return what stays wrong beside those that are told to be without a socket."""
    lost = {plug.source for plug in rescue.left}
    return [row for row in rescue.cure.unmet if row.is_output or row.silent not in lost]


def _counts(outage: Outage, rescue: Rescue) -> str:
    if rescue.deaf:
        names = " and ".join(rescue.deaf)
        words = f"No source is heard through {names}: every channel, mix and output of it is gone with it."
        rest = _found(outage, rescue, "Of the rest ") if rescue.lost else []
        return "\n".join((paint(wrapped(words), "no-go", bold=True), *rest, *_heard_yet(rescue)))
    if not rescue.lost:
        return paint("No source loses its socket.", "go", bold=True)
    return "\n".join(_found(outage, rescue))


def _found(outage: Outage, rescue: Rescue, start: str = "") -> list[str]:
    """Return who is lost, by name, and how many of them find a socket."""
    lost, saved = len(rescue.lost), len(rescue.places)
    free = f"{rescue.free} free that {'it' if lost == 1 else 'any of them'} could use"
    counts = f"{start}{_how_many(rescue.lost)} lost: {_names(rescue.lost)}.{_by_file(outage, rescue)}"
    verdict = f"All of them find a socket ({free})." if not rescue.left else (
        f"{saved} {'finds' if saved == 1 else 'find'} a socket, {len(rescue.left)} "
        f"{'does' if len(rescue.left) == 1 else 'do'} not ({free})."
    )  # fmt: skip
    proof = "" if rescue.proved else " The best found; not proved to be the best."
    return [wrapped(counts), paint(wrapped(verdict + proof), "go" if not rescue.left else "no-go", bold=True)]


def _by_file(outage: Outage, rescue: Rescue) -> str:
    """Say who of them is lost by the rig file already, in a socket that is not asked for."""
    rows = outage.after.rig.dead
    asked = rows[outage.card].sockets if outage.card in rows else ()
    every = [(plug, row) for plug in rescue.lost for row in rows.values() if plug.socket in row.sockets]
    found = [(plug.source, row.name) for plug, row in every if plug.socket not in asked]
    if not found:
        return ""
    names, parts = (list(dict.fromkeys(each)) for each in zip(*found, strict=True))
    return f" By the file already (dead: {', '.join(parts)}): {named(names)}."


def _heard_yet(rescue: Rescue) -> Iterator[str]:
    """Yield what is still heard and what is not, once a console is dead."""
    result = rescue.cure.result.rig
    living = [console.name for console in result.consoles if console.name not in rescue.deaf]
    if rescue.silent:
        yield wrapped(f"Nobody hears: {', '.join(rescue.silent)}", f"{MARKS['no-go']} ", "  ")
    if rescue.still:
        yield wrapped(f"Heard through {' and '.join(living)} once the steps are done: {', '.join(rescue.still)}", "  ")
    lost = [mix.name for mix in result.mixes.values() if mix.console in rescue.deaf]
    if lost and living:
        mixed = f"What {' and '.join(rescue.deaf)} mixed ({', '.join(lost)})"
        yield wrapped(f"{mixed} can be mixed at {' or '.join(living)} only by hand: the steps move no mixes.", "  ")


def _how_many(plugs: Sequence[Plug]) -> str:
    """Count sources; where several plugs of one are lost, the plugs too: each is to find a socket."""
    sources = len({plug.source for plug in plugs})
    return (
        counted(sources, "source") if sources == len(plugs) else f"{len(plugs)} plugs of {counted(sources, 'source')}"
    )


def _names(plugs: Sequence[Plug]) -> str:
    return ", ".join(dict.fromkeys(plug.source for plug in plugs))


def _steps(outage: Outage, rescue: Rescue) -> Iterator[str]:
    steps = steps_of(outage, rescue)
    if not steps:
        return
    yield "What to do, in this order"
    yield from care_lines(rescue.cure.handlings, links=bool(outage.cabling))
    yield from _cables(rescue)
    yield from numbered(steps)


def _cables(rescue: Rescue) -> Iterator[str]:
    """Yield how many cables of which length are to be had, where they are many."""
    ways = [step.way_m for step in rescue.cure.handlings if step.is_carried and step.way_m is not None]
    if len(ways) < FEWEST_FOLDED:
        return
    counts = ", ".join(f"{count} of about {way_m:g} m" for way_m, count in sorted(Counter(ways).items()))
    words = f"{counts}. Where they are too few: the sources below come in the order of their priority."
    yield wrapped(words, "  cables: ", "          ")


def steps_of(outage: Outage, rescue: Rescue) -> list[str]:
    """Return everything that is to be done, in its order; nothing where nothing helps and nothing is to be muted."""
    cure = rescue.cure
    todo = [*outage.cabling, *map(handling_words, cure.handlings), *cure.turns]
    fetching = [lack.fetching for lack in outage.lacks]
    is_any = todo or cure.quiet.kept or cure.quiet.switched
    return [*fetching, *outage.fetched, *cure.quiet.first, *todo, *cure.quiet.last] if is_any else []


def _labels(rescue: Rescue) -> Iterator[str]:
    """Yield what is written on the tape at each new socket: its source, its channel, and whether it has phantom."""
    result = rescue.cure.result
    rig = result.rig
    yield "New labels"
    rows = [("socket", "source", "channel", "phantom", "carried")]
    for plug, socket in sorted((*rescue.places.items(), *rescue.besides.items()), key=lambda row: row[1]):
        there = [arrival.channel for arrival in result.arrivals.values() if arrival.socket == socket]
        heard = rescue.channels[plug] if plug in rescue.places else there
        channels = " and ".join(rig.channel_words(channel).removeprefix("channel ") for channel in heard)
        on = "on" if result.phantom.is_live(socket) else ""
        way = f"{rescue.way_m[plug]:g} m" if plug in rescue.way_m else ""
        rows.append((str(socket), plug.source, channels, on, way))
    yield from _table(rows)


def _output_labels(rescue: Rescue) -> Iterator[str]:
    """Yield what is written on the tape at each output socket that something was moved to."""
    yield "New labels at the outputs"
    rows = [("socket", "feeds", "carries", "carried")]
    rows += [(str(row.socket), row.name, str(row.signal or "nothing"), f"{row.way_m:g} m") for row in rescue.outputs]
    yield from _table(rows)


def _outputs_first(rescue: Rescue) -> Iterator[str]:
    """Yield who comes first where outputs are too few, and what may be taken off for whom."""
    if rescue.is_short_of_outputs:
        last = f"; last of all what nothing plays on then ({named(rescue.mute)})" if rescue.mute else ""
        yield wrapped(f"{FIRST_SERVED[0].upper()}{FIRST_SERVED[1:]}{last}.", "  ")
    for row in rescue.one_sided:
        yield wrapped(_one_side_words(rescue, row), "  ")
    if rescue.output_room:
        words = ", ".join(f"{_room_words(row)} for {' and '.join(row.saves)}{_way(row)}" for row in rescue.output_room)
        yield wrapped(f"To make room, unplug what comes after it, the first first: {words}.", "  ")


def _one_side_words(rescue: Rescue, row: OneSide) -> str:
    """Say what is out of the house then, and what helps."""
    whose = f" ({channels_words(rescue.cure.result, row.channels)})" if row.channels else ""
    ways = ["pan it to the middle"]
    if row.points:
        ways.append(f"send {row.mix}.mono instead of {row.mix}.{row.side} at {' and '.join(map(str, row.points))}")
    return (
        f"The room hears only the {row.side} of {row.mix} then ({named(row.loudspeakers)}): what is panned {row.other}"
        f"{whose} is lost to it; {', or '.join(ways)}."
    )


def _room_words(room: OutputRoom) -> str:
    return f"{room.plug} ({', '.join(map(str, room.sockets))})"


def _way(room: OutputRoom) -> str:
    """Say how far that is carried, and what is nearer though it comes before."""
    way = f", about {room.way_m:g} m off" if room.way_m else ""
    near = room.nearer
    return f"{way} (or {_room_words(near)}, about {near.way_m:g} m off, though that comes before it)" if near else way


def _table(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        yield "  " + "  ".join(cell.ljust(wide) for cell, wide in zip(row, widths, strict=True)).rstrip()


def _left(spared: Spared) -> Iterator[str]:
    rescue = spared.rescue
    if not rescue.left:
        return
    yield paint("No socket is left for", "no-go", bold=True)
    for plug in rescue.left:
        where = f" ({channels_words(rescue.cure.result, rescue.channels[plug])})"
        torn = f"; the other half of {rescue.torn[plug]} is saved: pan it to the middle" if plug in rescue.torn else ""
        yield paint(
            wrapped(f"{plug.source}{where}{torn}{_elsewhere(rescue, plug)}", f"{MARKS['no-go']} ", "  "), "no-go"
        )
    for row in rescue.barred:
        where = f"{row.sockets[0].device}/in/{spans([socket.number for socket in row.sockets])}"
        need = ("needs" if len(row.sources) == 1 else "need") if row.is_needed else "must not have"
        yield wrapped(f"{where}: free, but {named(row.sources)} {need} phantom power, and {row.why}.", "  ")
    if rescue.room:
        rows = "; ".join(f"{row.plug.source} ({row.plug.socket}) for {_for_whom(row)}" for row in rescue.room)
        yield wrapped(f"To make room, unplug what matters less by its priority, the first first: {rows}.", "  ")
    elif not spared.wider and not rescue.gained:
        words = "Nothing was found that matters less by its priority and whose socket would save any"
        yield wrapped(f"{words}; add a box{_rehung(spared)}, or go without.", "  ")


def _for_whom(row: Room) -> str:
    instead = f" in place of {named([plug.source for plug in row.instead])}" if row.instead else ""
    return f"{named([plug.source for plug in row.saves])}{instead}"


def _rehung(spared: Spared) -> str:
    """Say which boxes that have mains could hang on a console that lives: no rescue takes one from its dead console."""
    result, gone = spared.rescue.cure.result, {*spared.outage.dead, *dark_in(spared.rescue.cure.result)}
    lit = [box.name for box in result.rig.boxes if box.name not in gone]
    names = [name for name in lit if is_stranded(result, name) or not result.is_reached(name)]
    if not names or not spared.rescue.deaf:
        return ""
    them = " and ".join(names)
    moved = " and ".join(f"move {name} CONSOLE/LINK" for name in names)
    return f", have {them} on a console that lives (`whatif` with `and {moved}` says what that saves)"


def _elsewhere(rescue: Rescue, plug: Plug) -> str:
    living = heard_elsewhere(rescue, plug)
    return f"; it is still heard at {channels_words(rescue.cure.result, living)}" if living else ""


def heard_elsewhere(rescue: Rescue, plug: Plug) -> list[Channel]:
    """Return the channels at which a source without a socket is still heard, by another leg of its split."""
    result = rescue.cure.result
    heard = result.channels_of.get(plug.source, ()) if plug.source not in result.phantom.unpowered else ()
    return [channel for channel in heard if channel.console not in result.dead]
