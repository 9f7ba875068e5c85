"""A role that this event needs is nobody's."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._cabling import joined

_WHY = """\
What is everybody's is nobody's: when a channel goes dead in the second song, one person must be the one who runs, and
one the one who decides. The same person may hold several roles; the list then says so."""


@rule(
    title="A role that this event needs is nobody's",
    severity="caution",
    family="control",
    why=_WHY,
    do="Name a person for each role, even if it is the same one.",
    good=[
        "crew: {lead: A. Person, stage: B. Person, house-mixer: C. Person, monitor-mixer: C. Person}",
    ],
    bad=[
        Bad(
            "crew: {lead: A. Person, house-mixer: C. Person}",
            ("nobody is named as stage and monitor-mixer.",),
        ),
        Bad(
            "sources: {radio-1: {kind: wireless-receiver, plugged_into: desk/in/1}}\n"
            "crew: {lead: A. Person, stage: B. Person, house-mixer: C. Person, monitor-mixer: D. Person}",
            ("nobody is named as wireless.",),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding for the crew; silent where the rig has no crew section."""
    if rig.says("crew") is None:
        return
    needed = ["lead", "stage", "house-mixer"]
    if any(mix.kind == "monitor" for mix in rig.rig.mixes.values()):
        needed.append("monitor-mixer")
    if any(source.kind == "wireless-receiver" for source in rig.rig.sources.values()):
        needed.append("wireless")
    missing = [role for role in needed if role not in rig.rig.crew]
    if missing:
        yield Finding(
            f"nobody is named as {joined(missing)}.",
            (rig.place(("crew",), "crew"),),
            (Cure(f"name who it is, under {joined(f'crew/{role}' for role in missing)}"),),
            {"missing": len(missing)},
        )
