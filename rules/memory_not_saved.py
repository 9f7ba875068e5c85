"""A console's memory is not saved."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.rig.plant import Memory
from lint.rules._cabling import joined

_WHY = """\
Saved before the changes, the house comes back next week as it was; saved after them, a console that is switched off,
crashes or is played with over lunch is back in a minute."""

_WHEN = {"before": "before the changes", "after": "with the changes"}


@rule(
    title="A console's memory is not saved, or over the one before",
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
        Bad(
            "console_memory: {desk: {before: house 12, after: house 12}}",
            (
                "the memory of desk is saved with the changes under the name that it had before, house 12: that overwrites it.",
            ),
        ),
        Bad(
            "devices: {stage-desk: {model: console-16}}\nconsoles: {stage-desk: {}}\nconsole_memory: {desk: {before: house 12, after: sunday 29}}",
            ("the memory of stage-desk is not saved before the changes and not saved with the changes.",),
        ),
    ],
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a console; silent where nobody keeps this list."""
    memories = rig.rig.memories
    for console in rig.rig.consoles if memories else ():
        memory = memories.get(console.name, Memory(console.name, None, None))
        missing = [key for key, saved in (("before", memory.before), ("after", memory.after)) if not saved]
        section = rig.place(memory.trail if console.name in memories else ("console_memory",), console.name)
        if missing:
            words = joined(f"not saved {_WHEN[key]}" for key in missing)
            keys = joined(f"console_memory/{console.name}/{key}" for key in missing)
            yield Finding(
                f"the memory of {console.name} is {words}.",
                (section,),
                (Cure(f"save it, and write its name under {keys}"),),
                {"missing": len(missing)},
            )
        elif _same(memory):
            yield Finding(
                f"the memory of {console.name} is saved with the changes under the name that it had before, "
                f"{memory.after}: that overwrites it.",
                (rig.place((*memory.trail, "after"), console.name),),
                (Cure(f"save it under another name, and write that under console_memory/{console.name}/after"),),
            )


def _same(memory: Memory) -> bool:
    """Whether both names are one to a hurried eye."""
    before, after = (" ".join((name or "").casefold().split()) for name in (memory.before, memory.after))
    return before == after
