"""A source behind a declared splitter is plugged in on one side alone."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.dark import dark_on_the_way
from lint.rules._phantom import SAFETY

_WHY = """\
The rig says that this microphone goes through a splitter to two consoles, and names one socket. The other leg is left
lying, and one of the consoles will not hear it, or it goes through no splitter and the rig says so by mistake."""


@rule(
    title="A source behind a declared splitter is plugged in on one side alone",
    severity="caution",
    family="plugs",
    why=_WHY,
    do="Plug in the other leg and write both sockets, or take the source out of the split.",
    good=[
        "sources: {choir: {plugged_into: [west-box/in/2, west-box/in/3]}}\n"
        "splits: {stage: {kind: analogue, sources: [choir]}}"
    ],
    bad=[
        Bad(
            "splits: {stage: {kind: analogue, sources: [choir]}}",
            ("choir goes through the splitter stage, but only one of its legs is plugged in: west-box/in/2.",),
        )
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source; one that a channel waits for in vain is told at the channel."""
    waited_for = {row.channel.carries for row in rig.mismatches}
    for split in rig.rig.splits.values():
        for index, name in enumerate(split.sources):
            source = rig.rig.sources[name]
            if len(source.sockets) > 1 or name in waited_for:
                continue
            dark = dark_on_the_way(rig, source.sockets[0].device)
            silent = " It gets no phantom power there, and is silent." if name in rig.phantom.unpowered else ""
            silent = f" It is silent there: {'; '.join(dark)}." if dark else silent
            yield Finding(
                f"{name} goes through the splitter {split.name}, but only one of its legs is plugged in: "
                f"{source.sockets[0]}.{silent}",
                (
                    rig.place((*source.trail, "plugged_into"), name),
                    rig.place((*split.trail, "sources", index), split.name),
                ),
                (
                    Cure(
                        f"plug in the other leg of {name}, and write both sockets: `plugged_into: [{source.sockets[0]}, ...]`"
                    ),
                    Cure(f"if it goes through no splitter, take {name} out of splits/{split.name}"),
                ),
            )
