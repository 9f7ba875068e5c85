"""Phantom power does not reach what the microphone needs."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.formula.limit import exceeds, falls_short, told_apart
from lint.formula.phantom import P48, microphone_voltage_v, short_circuit_both_ma
from lint.resolve.mixup import nested
from lint.rig.rig import Source
from lint.rules._phantom import SAFETY, SOURCE

_WHY = """\
The current that a microphone draws costs voltage in the supply's own resistors: 3.4 V for each milliampere, both wires
together. What is left may be too little, and the microphone distorts, loses level or does not wake up. This goes by the
nominal 48 V and 6.8 kΩ; a supply at the edge of its tolerance leaves less."""


@rule(
    title="Phantom power does not reach what the microphone needs",
    severity="no-go",
    family="phantom",
    why=_WHY,
    do="Feed it from its own supply, or use a microphone that draws less.",
    source=SOURCE + "; V = 48 V − I × 3.4 kΩ",
    good=["sources: {choir: {supply_ma: 3, least_supply_v: 36}}"],
    bad=[
        Bad(
            "sources: {choir: {least_supply_v: 60}}",
            ("choir needs 60 V at its terminals, and phantom power has 48 V at its most, before any current flows.",),
        ),
        Bad(
            "sources: {choir: {supply_ma: 7, least_supply_v: 36}}",
            (
                "choir draws 7 mA from phantom power: 48 V − 7 mA × 3.4 kΩ leaves 24.2 V at the microphone, and it "
                "needs 36 V.",
            ),
        ),
        Bad(
            "sources: {choir: {supply_ma: 12}}",
            ("choir draws 12 mA from phantom power, where 10 mA is the most that a 48 V supply has to give.",),
        ),
    ],
    safety=SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a source that lives by phantom power; silent where neither current nor least volts are stated."""
    for source in rig.rig.sources.values():
        message = _starved(source) if source.needs_phantom else ""
        if message:
            change = nested((*source.trail, "powering"), "internal")
            stated = {"supply_ma": source.supply_ma, "least_supply_v": source.least_supply_v}
            yield Finding(
                message,
                (
                    rig.place(
                        (*source.trail, "least_supply_v" if source.supply_ma is None else "supply_ma"), source.name
                    ),
                ),
                (Cure(f"feed {source.name} from a supply of its own, between it and its socket", change),),
                {name: value for name, value in stated.items() if value is not None},
            )


def _starved(source: Source) -> str:
    """Return what is wrong with a source's current or with the volts that it needs, or nothing."""
    least_v = source.least_supply_v
    if source.supply_ma is None:
        if least_v is None or not exceeds(least_v, P48.voltage_v):
            return ""
        most = f"{P48.voltage_v:g} V at its most, before any current flows."
        return f"{source.name} needs {least_v:g} V at its terminals, and phantom power has {most}"
    draws = f"{source.name} draws {source.supply_ma:g} mA from phantom power"
    if source.supply_ma > P48.max_current_ma:
        most = f"{P48.max_current_ma:g} mA is the most that a 48 V supply has to give"
        impossible = source.supply_ma > short_circuit_both_ma(P48.voltage_v, P48.resistance_ohm)
        return f"{draws}, where {most}" + (", and more than it gives into a short circuit." if impossible else ".")
    left_v = microphone_voltage_v(P48.voltage_v, P48.resistance_ohm, source.supply_ma)
    if least_v is None or not falls_short(left_v, least_v):
        return ""
    drop = f"{P48.voltage_v:g} V − {source.supply_ma:g} mA × {P48.resistance_ohm / 2000:g} kΩ"
    return f"{draws}: {drop} leaves {told_apart(left_v, least_v, 1)} V at the microphone, and it needs {least_v:g} V."
