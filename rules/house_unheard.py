"""The house mix reaches no loudspeaker."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, Signal, rule
from lint.resolve.amplifiers import amplifier_inputs
from lint.resolve.mixup import WrongOutput
from lint.rig.rig import HOUSE_LOUDSPEAKERS, Mix
from lint.rules._output_cures import feed_cures, own_output_cures
from lint.rules._outputs import SAFETY

_WHY = """\
The mix that the room is meant to hear is sent nowhere that a house loudspeaker hangs: everything looks right on the
console, and the room is silent."""


@rule(
    title="The house mix reaches no loudspeaker",
    severity="no-go",
    family="outputs",
    why=_WHY,
    do="Send the mix to the slots or sockets that the house loudspeakers are on.",
    good=[
        "mixes: {subs: {kind: house, takes: {mixes: [house.mono]}}}\nfeeds: {desk/link-1: {9: subs}}\ndestinations: {sub: {kind: subwoofer, plugged_into: east-box/out/1, expects: subs}}",
        "mixes: {bar: {kind: house, takes: {channels: [1]}}}\nfeeds: {desk/out: {1: bar}}\namplifiers: {bar: {plugged_into: desk/out/1, outputs: {a: {loudspeakers: [{impedance_ohm: 8}]}}}}",
    ],
    bad=[
        Bad(
            "feeds: {desk/link-1: {15-16: null}}",
            (
                "house reaches no house loudspeaker: house.left and house.right are sent nowhere. "
                "Waiting for it: house-left (east-box/out/7), house-right (east-box/out/8).",
            ),
        ),
        Bad(
            "mixes: {balcony: {kind: house, takes: {channels: [1]}}}",
            ("balcony reaches no house loudspeaker: it is sent nowhere.",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a house mix (or sides of it) that no house loudspeaker carries, alone or within another mix.

    Where a loudspeaker expects it and receives something else instead, that is told at the loudspeaker.
    """
    if not rig.rig.destinations:
        return
    heard, waiting = _heard(rig), _waiting(rig)
    for mix in rig.rig.mixes.values():
        if mix.kind != "house":
            continue
        silent = [signal for signal in mix.signals if not _is_heard(signal, heard, waiting.get(signal, []))]
        if silent and not _told_at_its_loudspeakers(rig, silent):
            yield _finding(rig, mix, silent)


def _waiting(rig: ResolvedRig) -> dict[Signal, list[Signal | None]]:
    """Return what the house loudspeakers that wait for a signal get, by that signal."""
    found: dict[Signal, list[Signal | None]] = {}
    for destination, departure, wanted in rig.outputs():
        if wanted is not None and destination.kind in HOUSE_LOUDSPEAKERS:
            found.setdefault(wanted, []).append(departure.signal)
    return found


def _is_heard(signal: Signal, heard: set[Signal], got: list[Signal | None]) -> bool:
    """Whether a loudspeaker that waits for a signal gets it; where none waits, whether any carries it somehow."""
    return signal in got if got else bool(heard.intersection({signal, Signal("mix", signal.name, "mono")}))


def _heard(rig: ResolvedRig) -> set[Signal]:
    """Return every signal that a house loudspeaker carries, as it is or within the mix that it carries."""
    heard: set[Signal] = set()
    queue = [
        departure.signal
        for destination, departure, _ in rig.outputs()
        if destination.kind in HOUSE_LOUDSPEAKERS and departure.signal is not None
    ]
    # Whose loudspeakers an amplifier drives is not always said: it may be the house's.
    queue += [row.departure.signal for row in amplifier_inputs(rig) if row.departure.signal is not None]
    while queue:
        signal = queue.pop()
        if signal not in heard:
            heard.add(signal)
            if signal.kind == "mix":
                queue.extend(taken for taken in rig.rig.mixes[signal.name].takes)
                if not signal.side:
                    queue.extend(rig.rig.mixes[signal.name].signals)
    return heard


def _told_at_its_loudspeakers(rig: ResolvedRig, silent: list[Signal]) -> bool:
    """Whether the loudspeakers that wait for it say why: it is sent, and does not get there."""
    waiting = [departure for _, departure, wanted in rig.outputs() if wanted in silent]
    return bool(waiting) and (
        any(rig.feeds_of(signal) for signal in silent) or any(departure.stop != "not-fed" for departure in waiting)
    )


def _finding(rig: ResolvedRig, mix: Mix, silent: list[Signal]) -> Finding:
    rows = [(destination, departure, wanted) for destination, departure, wanted in rig.outputs() if wanted in silent]
    sent = [str(where) for signal in silent for where in rig.feeds_of(signal)]
    taken = list(dict.fromkeys(other.name for other in rig.taken_by.get(mix.name, ())))
    if sent:
        how = f"it is sent to {', '.join(sent)}, where none hangs"
    elif taken and not rows:
        how = f"only {' and '.join(taken)} {'takes' if len(taken) == 1 else 'take'} it"
    else:
        sides = " and ".join(map(str, silent))
        how = (
            "it is sent nowhere" if sides == mix.name else f"{sides} {'are' if len(silent) > 1 else 'is'} sent nowhere"
        )
    message = f"{mix.name} reaches no house loudspeaker: {how}."
    cure = Cure(f"send {mix.name} to where a house loudspeaker hangs")
    if rows:
        waiting = ", ".join(f"{destination.name} ({departure.socket})" for destination, departure, _ in rows)
        message += f" Waiting for it: {waiting}."
        group = [WrongOutput(*row) for row in rows]
        cure = next(iter(feed_cures(rig, group) or own_output_cures(rig, group)))
    explains = {("output-carries-nothing", destination.name) for destination, _, _ in rows}
    explains |= {("output-carries-nothing", departure.socket.device) for _, departure, _ in rows}
    return Finding(
        message,
        (rig.place(mix.trail, mix.name, at_key=True),),
        (cure,),
        explains=frozenset((*explains, ("mix-unheard", mix.name))),
    )
