"""A performer hears a source too late."""

from __future__ import annotations

from collections.abc import Iterator

from lint import Bad, Cure, Finding, Limit, ResolvedRig, rule
from lint.formula.limit import exceeds
from lint.resolve.latency import MonitorPath, monitor_paths
from lint.rules._cabling import joined
from lint.rules._power import beside

_WHY = """\
A performer who hears what is played too late plays behind it, and a singer's own voice in the ears sounds hollow. There
is no single true limit: in Lester and Boley's study (AES 2007) what players accept runs from 42 ms down to less than
1.4 ms, by instrument and by ears or wedge, ears being the less forgiving; in the ears a few milliseconds can sound worse
than a few more. The limits here are the house's. Air comes on top: a wedge two metres away adds 6 ms."""

_EARS = ("ear-transmitter", "headphone-amplifier")


@rule(
    title="A performer hears a source too late",
    severity="caution",
    family="latency",
    why=_WHY,
    do="Take the largest part off the way: an effect, a slower radio link, a detour; and ask whoever listens there.",
    source=(
        "Lester and Boley, The Effects of Latency on Live Sound Monitoring, AES 123rd Convention, 2007 (acceptable from 42 ms "
        "down to possibly less than 1.4 ms); Wessel and Wright 2002 (interactive instruments: 10 ms)"
    ),
    good=[
        "devices: {desk: {latency_ms: 1.5}, west-box: {latency_ms: 0.5}, east-box: {latency_ms: 0.5}}",
        "sources: {lead-vocal: {latency_ms: 12}}",
    ],
    bad=[
        Bad(
            "devices: {desk: {latency_ms: 2.5}, west-box: {latency_ms: 0.8}}\nsources: {lead-vocal: {latency_ms: 17}}",
            (
                "at singer-wedge lead-vocal is 21.1 ms late, by what is stated; the limit for a wedge is 20 ms: "
                "lead-vocal 17 ms, west-box 0.8 ms, desk 2.5 ms, west-box 0.8 ms.",
            ),
        ),
        Bad(
            "sources: {lead-vocal: {latency_ms: 4}}\n"
            "destinations: {singer-wedge: {kind: ear-transmitter, latency_ms: 6.5}}",
            (
                "at singer-wedge lead-vocal is 10.5 ms late, by what is stated; the limit for ears is 10 ms: "
                "lead-vocal 4 ms, singer-wedge 6.5 ms. Not stated: west-box, desk.",
            ),
        ),
    ],
    limits={
        "ears_ms": Limit(
            10, "ms", "the most that ears and headphones may be late, from the socket to the transmitter", 1, 42
        ),
        "wedge_ms": Limit(20, "ms", "the most that a wedge may be late, without the air before it", 1, 42),
    },
)
def check(rig: ResolvedRig, ears_ms: float, wedge_ms: float) -> Iterator[Finding]:
    """Yield one finding a largest part on the way, with the source that is latest at each destination.

    What nobody states counts as nothing. A destination that somebody waived stays a finding of its own.
    """
    worst: dict[str, MonitorPath] = {}
    for path in monitor_paths(rig):
        name = path.destination.name
        if name not in worst or path.total_ms > worst[name].total_ms:
            worst[name] = path
    waived = {waiver.about for waiver in rig.rig.waivers if waiver.rule == "monitor-latency"}
    late: dict[tuple[str, ...], list[tuple[MonitorPath, float]]] = {}
    for name, path in worst.items():
        limit_ms = ears_ms if path.destination.kind in _EARS else wedge_ms
        if exceeds(path.total_ms, limit_ms):
            late.setdefault((name,) if name in waived else _largest(path)[0], []).append((path, limit_ms))
    for parts, rows in late.items():
        yield _finding(rig, parts, rows)


def _finding(rig: ResolvedRig, parts: tuple[str, ...], rows: list[tuple[MonitorPath, float]]) -> Finding:
    path, limit_ms = max(rows, key=lambda row: row[0].total_ms)
    told = [_row(path, limit_ms) for path, limit_ms in rows]
    message = told[0] if len(rows) == 1 else f"{joined(parts)} makes {len(rows)} monitors late: {' '.join(told)}"
    places = [rig.place(path.destination.trail, path.destination.name) for path, _ in rows]
    sources = dict.fromkeys(path.source for path, _ in rows)
    return Finding(
        message,
        (*places, *(rig.place(rig.rig.sources[source].trail, source) for source in sources)),
        (Cure(_cure(path)),),
        {"latency_ms": round(path.total_ms, 3), "limit_ms": limit_ms, "monitors": len(rows)},
        members=tuple(path.destination.name for path, _ in rows),
    )


def _row(path: MonitorPath, limit_ms: float) -> str:
    parts = ", ".join(f"{delay.what} {delay.ms:g} ms" for delay in path.delays if delay.ms)
    unstated = f" Not stated: {', '.join(dict.fromkeys(path.unstated))}." if path.unstated else ""
    return (
        f"at {path.destination.name} {path.source} is {beside(path.total_ms, limit_ms)} ms late, by what is stated; the limit for "
        f"{'ears' if path.destination.kind in _EARS else 'a wedge'} is {limit_ms:g} ms: {parts}.{unstated}"
    )


def _largest(path: MonitorPath) -> tuple[tuple[str, ...], float]:
    """Return what adds most on the way, and its milliseconds; a box counts both ways together."""
    together: dict[str, float] = {}
    for delay in path.delays:
        together[delay.what] = together.get(delay.what, 0.0) + (delay.ms or 0.0)
    most_ms = max(together.values())
    return tuple(what for what, ms in together.items() if ms == most_ms), most_ms


def _cure(path: MonitorPath) -> str:
    largest, most_ms = _largest(path)
    return f"begin with the largest part, {joined(largest)} with {most_ms:g} ms: a faster setting, or a way without it"
