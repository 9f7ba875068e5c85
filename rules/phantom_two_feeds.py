"""Both ends of a split feed phantom power to one source."""

from collections.abc import Iterator, Mapping

from lint import Bad, Cure, Finding, ResolvedRig, Socket, rule
from lint.resolve.phantom import Supply
from lint.rig.rig import Source
from lint.rules._cabling import joined
from lint.rules._phantom import SAFETY, SOURCE, VOLTS, harm, places, switch_off

_WHY = """\
Through a plain splitter the two supplies work against each other: the microphone gets an uneven feed, hum comes in
by the second ground, and when one desk switches off, the bang is heard in the other."""


@rule(
    title="Both ends of a split feed phantom power to one source",
    severity="no-go",
    family="phantom",
    why=_WHY,
    do="Agree which console feeds it, and switch phantom power off at the other.",
    source=SOURCE + "; one feed only: common practice",
    good=[
        "devices: {mon: {model: console-16}}\n"
        "splits: {choir-split: {kind: analogue, sources: [choir]}}\n"
        "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
        "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: off}}}}"
    ],
    bad=[
        Bad(
            "devices: {mon: {model: console-16}}\n"
            "splits: {choir-split: {kind: analogue, sources: [choir]}}\n"
            "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
            "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}",
            (
                "choir gets phantom power from both ends of its split: west-box/in/2 (channel 2 (Choir) on desk) and "
                "mon/in/2 (channel 2 on mon).",
            ),
        ),
        Bad(
            "devices: {mon: {model: console-16}}\n"
            "splits: {choir-split: {kind: analogue, sources: [choir]}}\n"
            "sources: {choir: {plugged_into: [west-box/in/2, mon/in/2]}}\n"
            "channels: {2: {phantom: off}, 3: {patched_from: desk/link-1/2}}\n"
            "consoles: {mon: {channels: {2: {carries: choir, patched_from: mon/in/2, phantom: on}}}}",
            (
                "choir gets phantom power from both ends of its split: west-box/in/2 (channel 3 (Piano) on desk, meant "
                "for piano) and mon/in/2 (channel 2 on mon).",
            ),
            also=("patch-carries-other",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source; one that must have none at all is told by phantom-unbalanced or phantom-astray.

    What a wrong patch brings there is as much there as the rest, and so is what a dead socket may still give.
    """
    for source in rig.rig.sources.values():
        live = rig.phantom.delivered_at(source) if len(source.sockets) > 1 else {}
        if len(live) < 2 or harm(source):
            continue
        supplies = list(dict.fromkeys(live.values()))
        dead = [at for at in live if rig.is_dead(at)]
        still = (
            f"; {joined(dead)}, dead as {'it is' if len(dead) == 1 else 'they are'}, may still give it" if dead else ""
        )
        feeds = (
            f"{joined(at for at in live if live[at] is supply)} ({_by(rig, supply, source)})" for supply in supplies
        )
        own = rig.channels_of.get(source.name, ())
        by = (channel for supply in supplies for channel in supply.says_on)
        yield Finding(
            f"{source.name} gets phantom power from both ends of its split: {' and '.join(feeds)}{still}.",
            places(rig, source, dict.fromkeys((*own, *by))),
            tuple(_cures(rig, source, live)),
            {"volts": VOLTS},
        )


def _by(rig: ResolvedRig, supply: Supply, source: Source) -> str:
    """Say which channels switch a supply on, and of those that are there by mistake, what they are meant to carry."""
    wrong = {c for c in supply.says_on if c.address in rig.phantom.wrong and c.carries != source.name}
    meant = {c: f", meant for {c.carries}" if c in wrong else "" for c in supply.says_on}
    words: str = joined(f"{rig.rig.channel_words(channel)}{wrong}" for channel, wrong in meant.items())
    return words


def _cures(rig: ResolvedRig, source: Source, live: Mapping[Socket, Supply]) -> Iterator[Cure]:
    """Yield the ways to leave one supply on, one that is on by mistake alone last.

    That of a dead socket feeds nobody, so that its plug may come out too. What something else on its switch needs is
    not switched off, unless there is no other way.
    """
    supplies = list(dict.fromkeys(live.values()))
    dead = [at for at in live if rig.is_dead(at)]
    works = [supply for supply in supplies if any(live[at] is supply and at not in dead for at in live)]
    if len(supplies) == 1:
        yield Cure(f"with phantom power off, move one plug of {source.name} to a socket where it is off")
        return
    keeping = sorted(works or supplies, key=lambda supply: not _is_meant(rig, supply))
    going = [[other for other in supplies if other is not keep] for keep in keeping]
    harmless = [off for off in going if not any(_needing(rig, source, supply) for supply in off)]
    yield from (switch_off(rig, off) for off in harmless)
    if dead:
        which = joined(dead)
        yield Cure(
            f"muted, with phantom power off there, take the plug of {source.name} out of {which}, which "
            f"{'is' if len(dead) == 1 else 'are'} dead; then on again for what else has it there"
        )
    elif not harmless:
        yield Cure(f"with phantom power off, move one plug of {source.name} to a socket where it is off")


def _needing(rig: ResolvedRig, source: Source, supply: Supply) -> list[str]:
    """Return what else needs a supply."""
    return [name for name in rig.phantom.needed_at(supply.sockets[0]) if name != source.name]


def _is_meant(rig: ResolvedRig, supply: Supply) -> bool:
    return any(channel.address not in rig.phantom.wrong for channel in supply.says_on)
