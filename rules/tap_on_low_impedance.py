"""Transformer taps hang on an output that states no line voltage."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.formula.limit import falls_short
from lint.formula.loudspeaker import parallel_ohm
from lint.resolve.mixup import nested
from lint.rules._amplifiers import SAFETY, Output, load_words, outputs

_WHY = """\
A loudspeaker with a transformer is made for a 25, 70.7 or 100 V line. On a low impedance output it is faint, and in the
bass its transformer saturates and is nearly a short circuit for the amplifier. Where the output is a line after all and
its voltage is only not stated, nothing could be added up."""


@rule(
    title="Transformer taps hang on an output that states no line voltage",
    severity="no-go",
    family="loudspeakers",
    why=_WHY,
    do="State the line's voltage where it is one; else bypass the transformers, or use an output made for such a line.",
    good=["amplifiers: {foyer: {outputs: {line: {line_v: 100, rated_w: 60, loudspeakers: [{tap_w: 6, count: 4}]}}}}"],
    bad=[
        Bad(
            "amplifiers: {foyer: {outputs: {a: {rated_w: 60, loudspeakers: [{tap_w: 6, count: 4}]}}}}",
            ("output foyer/a carries 4 taps of 6 W, but states no line voltage: so it counts as low impedance.",),
        ),
        Bad(
            "amplifiers: {foyer: {outputs: {a: {loudspeakers: [{impedance_ohm: 8}, {tap_w: 10, tap_line_v: 100}]}}}}",
            (
                "output foyer/a carries 1 of 8 ohm and 1 tap of 10 W (for 100 V), but states no line voltage: so it counts "
                "as low impedance.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an output."""
    for output in outputs(rig):
        taps = [kind for kind in output.row.loudspeakers if kind.tap_w is not None]
        if output.row.line_v is not None or not taps:
            continue
        printed = {kind.tap_line_v for kind in taps}
        printed_v = printed.pop() if len(printed) == 1 else None
        text = f"if {output.address} is a constant-voltage line, say so: `line_v: {printed_v or 100:g}`"
        text += "" if printed_v else ", or whatever is printed at it"
        change = nested((*output.row.trail, "line_v"), printed_v) if printed_v else None
        least_ohm = output.row.least_load_ohm
        fits = (
            f"are {least_ohm:g} ohm or more together"
            if least_ohm
            else "make no lower a load than the amplifier is made for"
        )
        bare = (
            "with the amplifier off, take its loudspeakers off, or set them to run without their transformers where they "
            f"can, and leave only as many as {fits}"
        )
        yield Finding(
            f"output {output.address} carries {load_words(output)}, but states no line voltage: so it counts as low "
            "impedance.",
            (output.place(rig),),
            (Cure(text, change), Cure(bare)),
            {"taps": sum(kind.number for kind in taps)},
            # The same taps, reckoned in ohms.
            explains=frozenset(() if _is_low_without_taps(output) else {("amplifier-load-low", output.address)}),
        )


def _is_low_without_taps(output: Output) -> bool:
    """Whether what has no transformer is too low a load by itself."""
    bare = [kind for kind in output.row.loudspeakers if kind.tap_w is None]
    known = [kind.impedance_ohm for kind in bare if kind.impedance_ohm is not None for _ in range(kind.number)]
    least_ohm = output.row.least_load_ohm
    return least_ohm is not None and bool(known) and falls_short(parallel_ohm(known), least_ohm)
