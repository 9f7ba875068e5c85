"""A link cable does not reach where it is to go."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._cabling import RELINK_SAFETY

_WHY = """\
A link cable that is too short is found out when its end hangs in the air with the doors about to open: no box behind it is
reached. A plan that takes one says so, and how long the way is. Where nobody has measured that,
and it is only the most that it can be (`way_at_most`), measuring it may be all that is to be done."""


@rule(
    title="A link cable is shorter than its way",
    severity="no-go",
    family="chain",
    why=_WHY,
    do="Fetch a cable that is long enough and write its `length_m`; or cable the boxes in another order.",
    source="common practice: a cable is at least as long as the way it is laid along",
    good=["cables: {trunk: {length_m: 60, way_m: 52}}"],
    bad=[
        Bad(
            "cables: {trunk: {length_m: 38, way_m: 52}}",
            (
                "the link cable trunk is 38 m long, and from desk/link-1 to west-box/upstream it needs about 52 m: it does "
                "not reach.",
            ),
        ),
        Bad(
            "cables: {trunk: {length_m: null, way_m: 52}}",
            (
                "the link cable trunk has no stated length, and from desk/link-1 to west-box/upstream it needs about 52 m: "
                "whether it reaches, or is there at all, nobody knows.",
            ),
        ),
        Bad(
            "cables: {trunk: {length_m: 38, way_m: 52, way_at_most: true}}",
            (
                "the link cable trunk is 38 m long, and from desk/link-1 to west-box/upstream it needs up to about 52 m: it "
                "may not reach.",
            ),
        ),
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a cable that is shorter than its stated way, or of which no length is stated beside one."""
    for cable in rig.rig.cables.values():
        if cable.way_m is None or (cable.length_m is not None and cable.length_m >= cable.way_m):
            continue
        start, end = cable.ends
        up_to, reach = ("up to ", "may not reach") if cable.way_at_most else ("", "does not reach")
        way = f"from {start} to {end} it needs {up_to}about {cable.way_m:g} m"
        is_stated = cable.length_m is not None
        words = f"is {cable.length_m:g} m long, and {way}: it {reach}." if is_stated else (
            f"has no stated length, and {way}: whether it reaches, or is there at all, nobody knows."
        )  # fmt: skip
        fetch = f"fetch a link cable of {cable.way_m:g} m or more for {start} to {end}, and write its length at {cable.name}"
        measure = (
            f"measure the way from {start} to {end}, and write it at {cable.name} (`way_m`, without `way_at_most`)"
        )
        yield Finding(
            f"the link cable {cable.name} {words}",
            (rig.place((*cable.trail, "length_m" if is_stated else "way_m"), cable.name),),
            (*([Cure(measure)] if cable.way_at_most and is_stated else []), Cure(fetch)),
            {"way_m": cable.way_m} | ({"length_m": cable.length_m} if cable.length_m is not None else {}),
        )
