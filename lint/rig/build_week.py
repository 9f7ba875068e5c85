"""From the sections about this week: its event, gear, waivers, how the rules are set, tablets and memories."""

from __future__ import annotations

from lint.rig import build_plant as plant
from lint.rig.address import Socket
from lint.rig.dead import DeadPart
from lint.rig.names import Names
from lint.rig.plant import Gear, Memory, Tablet
from lint.rig.rig import Event, Setting, Waiver


def event(names: Names) -> Event:
    """Read the event and its times."""
    row = names.data.get("event", {})
    day = names.day(row["date"], ("event", "date")) if "date" in row else None
    return Event(row.get("name", ""), day, row.get("doors"), row.get("start"))


def settings(names: Names) -> dict[str, Setting]:
    """Read how this rig sets the rules."""
    return {
        name: Setting(name, row.get("severity"), row.get("off", False), row.get("limits", {}), row["because"])
        for name, row in names.data.get("rules", {}).items()
    }


def waivers(names: Names) -> tuple[Waiver, ...]:
    """Read the waivers, in the order of the file."""
    return tuple(
        Waiver(
            row["rule"],
            row["about"],
            row["because"],
            row["by"],
            names.day(row["until"], ("waivers", index, "until")),
            index,
            row.get("asked_by", ""),
            row.get("instead", ""),
        )
        for index, row in enumerate(names.data.get("waivers", ()))
    )


def out_of_use(names: Names) -> tuple[dict[str, Gear], dict[str, DeadPart]]:
    """Read what is not where or as it should be, and which inputs and consoles are dead."""
    return gear(names), dead(names)


def gear(names: Names) -> dict[str, Gear]:
    """Read what is borrowed, broken or away."""
    return {
        name: Gear(
            name,
            row["state"],
            row.get("what", ""),
            row.get("who", ""),
            names.day(row["until"], ("gear", name, "until")) if "until" in row else None,
            row.get("note", ""),
        )
        for name, row in names.data.get("gear", {}).items()
    }


def dead(names: Names) -> dict[str, DeadPart]:
    """Read which input sockets and consoles are dead; what a device does not have can't be."""
    found = {}
    for text, note in names.data.get("dead", {}).items():
        trail = ("dead", text)
        name, _, rest = text.partition("/")
        device = names.device(name, trail)
        numbers = rest.removeprefix("in").removeprefix("/")
        span = names.numbers(numbers, trail, at_key=True) if numbers else range(0)
        if device is None:
            continue
        count = device.model.inputs.count
        if rest == "in":
            span = range(1, count + 1)
        if not rest and device.model.kind != "console":
            how = f"say {name}/in/1-{count}; `rigwalk spares RIG {name} --write FILE` cables past it"
            names.problem(trail, f"{name} is a box, and as a whole only a console can stand here; {how}", at_key=True)
        elif span and span[-1] > count:
            names.problem(trail, f"{name} ({device.model.name}) has {count} inputs; {text} is not there", at_key=True)
        elif rest == "in" and not span:
            names.problem(trail, f"{name} ({device.model.name}) has no inputs; {text} is not there", at_key=True)
        elif span or not rest:
            found[text] = DeadPart(text, name, tuple(Socket(name, "in", number) for number in span), note)
    return found


def tablets(names: Names) -> dict[str, Tablet]:
    """Read the tablets and the mixes each may change."""
    tablets = plant.tablets(names.data.get("remote_control", {}))
    for tablet in tablets.values():
        for index, mix in enumerate(tablet.may_change):
            names.known("mix", mix, names.mixes, (*tablet.trail, "may_change", index))
        if tablet.own_mix is not None:
            names.known("mix", tablet.own_mix, names.mixes, (*tablet.trail, "own_mix"))
    return tablets


def memories(names: Names) -> dict[str, Memory]:
    """Read what each console's memory holds."""
    memories = plant.memories(names.data.get("console_memory", {}))
    consoles = [name for name, device in names.devices.items() if device.model.kind == "console"]
    for name, memory in memories.items():
        names.known("console", name, consoles, memory.trail)
    return memories
