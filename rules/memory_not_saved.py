"""A console's memory is not saved."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rules._cabling import joined

_WHY = """\
Saved before the changes, the house comes back next week as it was; saved after them, a console that is switched off,
crashes or is played with over lunch is back in a minute."""

_WHEN = {"before": "before the changes", "after": "with the changes"}


@rule(
    title="A console's memory is not saved",
    severity="caution",
    family="control",
    why=_WHY,
    do="Save it under a name that says the day, on the console and on a stick, and write the name down here.",
    good=["console_memory: {desk: {before: house 12, after: sunday 29}}"],
    bad=[
        Bad(
            "console_memory: {desk: {before: house 12}}",
            ("the memory of desk is not saved with the changes.",),
        ),
        Bad(
            "console_memory: {desk: {}}",
            ("the memory of desk is not saved before the changes and not saved with the changes.",),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a console that the section names; silent where nobody keeps this list."""
    for memory in rig.rig.memories.values():
        missing = [key for key, saved in (("before", memory.before), ("after", memory.after)) if not saved]
        if missing:
            words = joined(f"not saved {_WHEN[key]}" for key in missing)
            keys = joined(f"console_memory/{memory.console}/{key}" for key in missing)
            yield Finding(
                f"the memory of {memory.console} is {words}.",
                (rig.place(memory.trail, memory.console),),
                (Cure(f"save it, and write its name under {keys}"),),
                {"missing": len(missing)},
            )
