"""A mix takes nothing."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._mixes import is_empty

_WHY = """\
A mix that takes nothing sends silence: whoever stands before its wedge or waits for its recording hears nothing."""


@rule(
    title="A mix takes nothing",
    severity="caution",
    family="mixes",
    why=_WHY,
    do="Say which channels and mixes it takes, or take the mix out.",
    good=["mixes: {talk: {kind: talkback}, cue: {kind: cue}}"],
    bad=[Bad("mixes: {singer-mon: {takes: null}}", ("singer-mon takes nothing.",))],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding an empty mix."""
    for mix in rig.rig.mixes.values():
        if is_empty(mix):
            place = rig.place((*mix.trail, "takes"), mix.name)
            cure = Cure(f"say under mixes/{mix.name}/takes which channels it takes")
            yield Finding(f"{mix.name} takes nothing.", (place,), (cure,))
