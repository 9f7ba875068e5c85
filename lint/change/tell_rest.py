"""Whatever is left, so that nothing goes untold: waivers, then every other row by its section."""

from __future__ import annotations

from lint.change.compare import Change
from lint.change.pile import Pile
from lint.change.words import said_of, value_words

_SECTIONS = {
    "devices": "",
    "cables": "the cable ",
    "models": "the model ",
    "event": "",
    "clock": "",
    "pairs": "the pair ",
    "splits": "the split ",
    "circuits": "the circuit ",
    "amplifiers": "the amplifier ",
    "effects": "the effects unit ",
    "input_blocks": "the input block ",
    "gear": "",
    "dead": "the dead socket ",
    "remote_control": "the tablet ",
    "console_memory": "the memory of ",
    "carriers": "the carrier of ",
    "rules": "the house's setting of the rule ",
    "waivers": "the waiver of ",
}

# Sections with one row of their own name.
_SINGLE = {
    "event": "the event",
    "clock": "the clock",
    "power": "mains power",
    "acoustics": "the air",
    "wireless": "wireless",
    "sound_levels": "the planned sound levels",
}


def tell(pile: Pile) -> None:
    """Tell every change that nobody has told."""
    for change in pile.take(lambda change: change.section == "waivers"):
        if change.before is None:
            facts = change.after
            words = f"the waiver of {change.row} is new, by {facts['by']} until {facts['until']}: {facts['because']}"
            words += f"; instead: {facts['instead']}" if facts["instead"] else ""
            words += f"; asked for by {facts['asked_by']}" if facts["asked_by"] else ""
            pile.tell("Waivers", words, [change])
        else:
            _tell(pile, change, "Waivers")
    for change in pile.take(lambda _: True):
        _tell(pile, change, "The chain" if change.section == "cables" else "The rest")


def _tell(pile: Pile, change: Change, part: str) -> None:
    if change.section == "crew":
        pile.tell(part, _crew_words(change), [change])
        return
    name = _SECTIONS.get(change.section, f"{change.section.replace('_', ' ')} ") + change.row
    if change.field is not None:
        words = said_of(_SINGLE.get(change.section, name), change)
    elif change.before is None and change.section == "gear":
        words = f"{name} is on the list of gear now: {change.after['state']}"
    elif change.section == "dead":
        is_new = change.before is None
        words = f"{change.row} is dead: {change.after['note']}" if is_new else f"{change.row} is not dead any more"
    elif change.before is None:
        words = f"{name} is new: {value_words(change.after)}"
    else:
        words = f"{name} is gone"
    pile.tell(part, words, [change])


def _crew_words(change: Change) -> str:
    role = f"the {change.row.replace('-', ' ')}"
    now, was = change.after, change.before
    if change.field is None:
        now, was = (who and who["who"] for who in (now, was))
    return f"{role} is {now} now (before: {was or 'nobody'})" if now else f"nobody is {role} any more (before: {was})"
