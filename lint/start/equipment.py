"""The console and the boxes that a list needs, where no house file says what there is."""

from __future__ import annotations

from lint.start.inputs import InputList
from lint.start.plan import Plan, named
from lint.start.sockets import CONSOLE_WORDS, plain

# What stands beside the console, where nothing else is said.
BESIDE_THE_CONSOLE = frozenset(("wireless-receiver", "player", "intercom"))
LINK_SLOTS = 48
_BOXES = (("stage-box-8x8", 8), ("stage-box-16x8", 16), ("stage-box-32x16", 32))
_CONSOLES = (("console-16", 16), ("console-32", 32), ("console-48", 48))
_USUAL_BOX = ("stage-box-16x8", 16)
_NAMES = ("west-box", "east-box", "north-box")


def assume_equipment(listed: InputList, plan: Plan) -> str:
    """Put a console and enough stage boxes into a plan: those that the list names, or else as many as it fills.

    Returns what was assumed.
    """
    most = max([len(listed.inputs), *listed.channels], default=1)
    console = next((name for name, count in _CONSOLES if count >= most), _CONSOLES[-1][0])
    plan.add("clock", "sample_rate_hz", 48000)
    plan.add("clock", "leader", "desk")
    plan.add("devices", "desk", {"model": console, "location": "mix position"})
    near = "desk/link-1"
    said = [f"desk ({console})"]
    for index, (name, model, why) in enumerate(_boxes(listed)):
        size = 16 if model == "stage-box-32x16" else 8
        bank = f"{index * size + 1}-{index * size + size}"
        has_slots = (index + 1) * size <= LINK_SLOTS
        plan.add("devices", name, {"model": model} | ({"output_bank": bank} if has_slots else {}))
        plan.add(
            "cables", f"link-{index + 1}", {"from": near, "to": f"{name}/upstream", "kind": "cat5e", "shielded": True}
        )
        near = f"{name}/downstream"
        said.append(f"{name} ({model}{why})")
    return f"there is no house file, so this equipment is assumed: {', '.join(said)}; put yours in its place"


def _boxes(listed: InputList) -> list[tuple[str, str, str]]:
    """Return (name, model, why) of the boxes that a list names, or of as many usual ones as its rows fill."""
    texts = {key: row.box for row in reversed(listed.inputs) if (key := plain(row.box)) not in ("", *CONSOLE_WORDS)}
    taken: list[str] = ["desk"]
    found = []
    for key, text in reversed(texts.items()):
        taken.append(named(text, taken, "box"))
        found.append((taken[-1], *_model(listed, key)))
    if found:
        return found
    if any(row.socket is not None and not row.box for row in listed.inputs):
        return [(_NAMES[0], *_model(listed, ""))]
    count = sum(row.kind not in BESIDE_THE_CONSOLE for row in listed.inputs)
    number = max(1, min(len(_NAMES), -(-count // _USUAL_BOX[1])))
    return [(_NAMES[index], _USUAL_BOX[0], "") for index in range(number)]


def _model(listed: InputList, box: str) -> tuple[str, str]:
    """Return the smallest model that has every socket that the list names on a box, and why it is that one."""
    rows = [row for row in listed.inputs if plain(row.box) == box]
    named_there = [number for place in listed.places if plain(place.box) == box for number in place.numbers]
    highest = max([*(row.socket or 0 for row in rows), *named_there])
    needed = max(highest, len(rows))
    model = next((name for name, count in _BOXES if count >= needed), _BOXES[-1][0])
    if highest < needed:
        return model, f", as {len(rows)} row{'s name' if len(rows) != 1 else ' names'} it"
    return model, f", as input {highest} is the highest that the list names there"
