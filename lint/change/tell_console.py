"""Changes in the console: patch, phantom power, gains, what mixes take and what outputs send."""

from __future__ import annotations

from collections.abc import Iterator

from lint.change.compare import Change
from lint.change.effects import received
from lint.change.pile import Pile
from lint.change.words import became, came_and_went, now_and_before, said_of, value_words
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import spans
from lint.rig.rig import Channel

PATCH = "Console patch"
INPUT = "Phantom power and gain"
MIXES = "Mixes"
OUTPUTS = "Outputs"


def tell(pile: Pile) -> None:
    """Tell the changes of channels, mixes, feeds and destinations."""
    for change in pile.take(lambda change: change.section == "channels"):
        _tell_channel(pile, change)
    _tell_mixes(pile)
    for change in pile.take(lambda change: change.section == "feeds"):
        _tell_feed(pile, change)
    for change in pile.take(lambda change: change.section == "destinations"):
        _tell_destination(pile, change)


def _channel(rig: ResolvedRig, address: str) -> Channel:
    return next(channel for channel in rig.rig.channels.values() if channel.address == address)


def _tell_channel(pile: Pile, change: Change) -> None:
    if change.field is None and change.before is None:
        channel = _channel(pile.new, change.row)
        words = f"{pile.new.rig.channel_words(channel)} is new: carries {channel.carries or 'nothing stated'}"
        pile.tell(PATCH, f"{words}, patched from {channel.patched_from or 'nothing'}", [change])
        return
    if change.field is None:
        words = f"{pile.old.rig.channel_words(_channel(pile.old, change.row))} is gone"
        pile.tell(PATCH, words, [change, *pile.take_sends_of(change.row)])
        return
    channel = _channel(pile.new, change.row)
    said = pile.new.rig.channel_words(channel)
    became_so = now_and_before(change)
    if change.field == "patched_from":
        pile.tell(PATCH, f"{said} is now patched from {became_so}", [change], _as_before(pile, channel))
    elif change.field == "phantom":
        pile.tell(INPUT, f"phantom power on {said}: {became_so}", [change])
    elif change.field == "gain_db":
        pile.tell(INPUT, f"gain in dB of {said}: {became_so}", [change])
    else:
        pile.tell(PATCH, said_of(said, change), [change])


def _as_before(pile: Pile, channel: Channel) -> Iterator[str]:
    """Yield that a channel receives what it did; what is otherwise is told with all other effects."""
    key = (channel.console, channel.number)
    now = received(pile.new.arrivals[key])
    if now == received(pile.old.arrivals[key]):
        yield f"it receives {now} as before"


def _tell_mixes(pile: Pile) -> None:
    """Tell each mix once, with all that changed in what it takes."""
    rows = pile.take(lambda change: change.section in ("mixes", "sends"))
    names = dict.fromkeys(change.row.partition(" from channel ")[0] for change in rows)
    for name in names:
        own = [change for change in rows if change.row.partition(" from channel ")[0] == name]
        pile.tell(MIXES, f"{name}: {'; '.join(_mix_words(own))}", own)


def _mix_words(changes: list[Change]) -> Iterator[str]:
    whole = next((change for change in changes if change.section == "mixes" and change.field is None), None)
    if whole is not None:
        yield f"is new, a {whole.after['kind']} mix" if whole.before is None else "is gone"
    for change in changes:
        if change.section == "mixes" and change.field is not None:
            yield came_and_went(change) if change.field == "takes" else became(change)
    sends = [change for change in changes if change.section == "sends"]
    alike: dict[str, list[int]] = {}
    for send in sends:
        if send.field is None:
            words = "takes {}" if send.before is None else "no longer takes {}"
        else:
            what = {"level_db": "level in dB", "tap": "taken"}.get(send.field, send.field)
            words = "{}: " + f"{what} {now_and_before(send)}"
        alike.setdefault(words, []).append(_number(send))
    for words, numbers in alike.items():
        noun = "channel" if len(numbers) == 1 else "channels"
        yield words.replace("{}", f"{noun} {spans(sorted(numbers))}", 1)


def _number(change: Change) -> int:
    return int(change.row.rpartition(" ")[2])


def _tell_feed(pile: Pile, change: Change) -> None:
    if change.field is None:
        now = change.after["signal"] if change.after else None
        was = change.before["signal"] if change.before else None
        words = f"{change.row} now sends {now or 'nothing'} (before: {was or 'nothing'})"
    elif change.field == "signal":
        words = f"{change.row} now sends {now_and_before(change)}"
    else:
        words = said_of(change.row, change)
    pile.tell(OUTPUTS, words, [change])


def _tell_destination(pile: Pile, change: Change) -> None:
    if change.field is None:
        fields = change.after or change.before
        where = ", ".join(fields["sockets"])
        wanted = ", ".join(fields["expects"]) or "nothing stated"
        is_new = change.before is None
        words = (
            f"{change.row} is new on {where}, meant to carry {wanted}"
            if is_new
            else f"{change.row} is gone (it hung on {where})"
        )
        pile.tell(OUTPUTS, words, [change])
    elif change.field == "sockets":
        words = f"{change.row} moved from {value_words(change.before)} to {value_words(change.after)}"
        pile.tell(OUTPUTS, words, [change], _still_gets(pile, change.row))
    else:
        words = said_of(change.row, change)
        pile.tell(OUTPUTS, words, [change])


def _still_gets(pile: Pile, name: str) -> Iterator[str]:
    now, was = ([row.signal for row in rig.departures[name]] for rig in (pile.new, pile.old))
    if now == was:
        yield f"it still gets {', '.join(dict.fromkeys(str(signal or 'nothing') for signal in now))}"
