"""The loudspeakers on an amplifier's output make less than the least load it is made for."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.formula.limit import falls_short
from lint.formula.loudspeaker import parallel_ohm
from lint.rules._amplifiers import SAFETY, Output, load_words, outputs
from lint.rules._power import beside

_WHY = """\
Every loudspeaker in parallel draws more current: under its least load an amplifier runs hot, cuts out, or dies, and the
loudspeakers with it. Nominal ohms are what a loudspeaker is called by and no minimum: at some frequencies it falls to
four fifths of that (IEC 60268-5, from memory), so a load that just fits has no margin left."""


@rule(
    title="The loudspeakers on an output make less than its least load",
    severity="no-go",
    family="loudspeakers",
    why=_WHY,
    do="Hang fewer loudspeakers on that output, or use an amplifier that is made for the load.",
    source="the amplifier's own least load; parallel impedance 1/Z = Σ 1/Zi (textbook)",
    good=[
        "amplifiers: {foyer: {outputs: {a: {least_load_ohm: 4, loudspeakers: [{impedance_ohm: 8, count: 2}]}}}}",
        "amplifiers: {foyer: {outputs: {a: {loudspeakers: [{impedance_ohm: 8, count: 20}]}}}}",
    ],
    bad=[
        Bad(
            "amplifiers: {foyer: {outputs: {a: {least_load_ohm: 4, loudspeakers: [{impedance_ohm: 4, count: 2}]}}}}",
            ("output foyer/a carries 2 of 4 ohm: nominally 2 ohm in parallel, and it is made for 4 ohm at least.",),
        ),
        Bad(
            "amplifiers: {foyer: {outputs: {line: {line_v: 100, least_load_ohm: 166, loudspeakers: [{tap_w: 10, count: 4}, {impedance_ohm: 8}]}}}}",
            (
                "output foyer/line carries 4 taps of 10 W and 1 of 8 ohm without a transformer: nominally 7.75 ohm in "
                "parallel, and it is made for 166 ohm at least.",
            ),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an output whose stated loudspeakers make too low a load; more of them only make it lower."""
    for output in outputs(rig):
        least_ohm = output.row.least_load_ohm
        each = [(output.ohm_of_one(kind), kind.number) for kind in output.row.loudspeakers]
        known = [ohm for ohm, count in each if ohm is not None for _ in range(count)]
        if least_ohm is None or not known:
            continue
        load_ohm = parallel_ohm(known)
        if not falls_short(load_ohm, least_ohm):
            continue
        yield Finding(
            f"output {output.address} carries {load_words(output)}: nominally {beside(load_ohm, least_ohm)} ohm in parallel, and it "
            f"is made for {least_ohm:g} ohm at least.",
            (output.place(rig),),
            (_cure(output, known, least_ohm),),
            {"nominal_load_ohm": round(load_ohm, 3), "least_load_ohm": least_ohm},
        )


def _cure(output: Output, known: list[float], least_ohm: float) -> Cure:
    """Say how many may stay, where all are alike and one at least may."""
    most = int(known[0] / least_ohm * (1 + 1e-9))
    if len(set(known)) == 1 and most >= 1:
        is_all = len(known) == sum(kind.number for kind in output.row.loudspeakers)
        which = "them" if is_all else f"those of {known[0]:g} ohm"
        where = "low impedance output, never on a line of 25, 70.7 or 100 V" if output.row.line_v is None else "output"
        return Cure(
            f"with the amplifier off, leave {most} of {which} on {output.address}; hang the rest on another {where}"
        )
    return Cure(
        f"with the amplifier off, take loudspeakers off {output.address} until {least_ohm:g} ohm or more are left, or use an "
        "amplifier that is made for this load"
    )
