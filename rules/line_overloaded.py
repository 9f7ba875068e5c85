"""The taps on a constant-voltage line take more than its amplifier is rated for."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, Limit, ResolvedRig, Severity, rule
from lint.formula.limit import exceeds
from lint.rules._amplifiers import SAFETY, Output, load_words, outputs
from lint.rules._power import beside, number

_WHY = """\
On a 25, 70.7 or 100 V line the taps simply add up. Over the amplifier's rating it clips, overheats or cuts the whole
line out. A tap printed for another line takes another power: one for 70.7 V takes twice its watts on 100 V. A
loudspeaker without a transformer is nearly a short circuit there."""


@rule(
    title="The taps on a constant-voltage line take more than its amplifier is rated for",
    severity="no-go or caution",
    family="loudspeakers",
    why=_WHY,
    do="Set lower taps, hang fewer loudspeakers on the line, or use a larger amplifier.",
    source=(
        "EIA 70.7 V constant-voltage method: add up the watts, the amplifier has at least their sum; the 80 % is advice, "
        "not a standard"
    ),
    good=[
        "amplifiers: {foyer: {outputs: {line: {line_v: 100, rated_w: 60, loudspeakers: [{tap_w: 6, count: 8}]}}}}",
        "amplifiers: {foyer: {outputs: {a: {rated_w: 60, loudspeakers: [{impedance_ohm: 8}]}}}}",
    ],
    bad=[
        Bad(
            "amplifiers: {foyer: {outputs: {line: {line_v: 100, rated_w: 60, loudspeakers: [{tap_w: 10, tap_line_v: 70.7, count: 4}]}}}}",
            (
                "the line foyer/line (100 V) carries 4 taps of 10 W (for 70.7 V): 80 W in all, and its amplifier is rated "
                "60 W.",
            ),
        ),
        Bad(
            "amplifiers: {foyer: {outputs: {line: {line_v: 70.7, rated_w: 30, loudspeakers: [{tap_w: 6}, {tap_w: 10, count: 2}]}}}}",
            (
                "the line foyer/line (70.7 V) carries 1 tap of 6 W and 2 taps of 10 W: 26 W in all, 86.67 % of the 30 W "
                "its amplifier is rated; keep to 80 % (advice, not a standard).",
            ),
        ),
    ],
    limits={
        "share": Limit(
            0.8, "", "share of the rated watts over which a person must look: advice, not a standard", 0.1, 1
        )
    },
    safety=SAFETY,
)
def check(rig: ResolvedRig, share: float) -> Iterator[Finding]:
    """Yield one finding a line over its amplifier's rating, or over a share of it; what states no tap is left out."""
    for output in outputs(rig):
        rated_w = output.row.rated_w
        known = [(output.watts_of_one(kind), kind.number) for kind in output.row.loudspeakers]
        total_w = sum(watts * count for watts, count in known if watts is not None)
        if rated_w is None or output.row.line_v is None or not exceeds(total_w, share * rated_w):
            continue
        over = exceeds(total_w, rated_w)
        yield Finding(
            _message(output, total_w, rated_w, share, over),
            (output.place(rig),),
            (_cure(output, total_w, rated_w, share, over),),
            {"total_w": round(total_w, 2), "rated_w": rated_w, "line_v": output.row.line_v},
            severity=None if over else Severity.CAUTION,
            # The same taps, reckoned in ohms.
            explains=frozenset({("amplifier-load-low", output.address)} if over else ()),
        )


def _message(output: Output, total_w: float, rated_w: float, share: float, over: bool) -> str:
    start = f"the line {output.address} ({output.row.line_v:g} V) carries {load_words(output)}: {beside(total_w, rated_w)} W in all, "
    if over:
        return f"{start}and its amplifier is rated {rated_w:g} W."
    return (
        f"{start}{beside(total_w / rated_w * 100, share * 100)} % of the {rated_w:g} W its amplifier is rated; keep to "
        f"{number(share * 100)} % (advice, not a standard)."
    )


def _cure(output: Output, total_w: float, rated_w: float, share: float, over: bool) -> Cure:
    bare = any(kind.tap_w is None and kind.impedance_ohm is not None for kind in output.row.loudspeakers)
    if bare and over:
        return Cure(f"with the amplifier off, take what has no transformer off {output.address}")
    off_w = beside(total_w - (rated_w if over else share * rated_w), 0)
    return Cure(
        f"with the amplifier off, take {off_w} W or more off {output.address}: lower taps, or fewer loudspeakers"
    )
