"""The delay set for a loudspeaker does not match the way that the sound it must meet has to go."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, Limit, ResolvedRig, rule
from lint.formula.sound import travel_ms
from lint.resolve.mixup import nested
from lint.rig.rig import Destination
from lint.rules._power import number

_WHY = """\
Two loudspeakers are heard as one only while their sounds arrive nearly together: farther apart speech smears, and from
30 to 40 ms on it is an echo. Sound goes about a metre in 3 ms, and faster in warm air. Delays of the loudspeakers' own
and of what they are aligned to are counted where they are stated."""


@rule(
    title="The delay of a loudspeaker does not match its distance, or is not set",
    severity="caution",
    family="loudspeakers",
    why=_WHY,
    do="Set the delay that the distance asks for at the air temperature of the event, then listen from both areas.",
    source=(
        "speed of sound 331.3 m/s × √(1 + T / 273.15) (textbook); the tolerance is the house's own: printed ranges in "
        "which two sounds are heard as one go from 1 to 40 ms. A house that adds some milliseconds on purpose, so that "
        "the front loudspeaker is heard first, sets it higher"
    ),
    good=[
        "destinations: {house-right: {delay_ms: 29, distance_m: 10, aligned_to: house-left}}",
        "destinations: {house-right: {delay_ms: 20}, house-left: {distance_m: 10}}",
    ],
    bad=[
        Bad(
            "destinations: {house-right: {delay_ms: 20, distance_m: 10, aligned_to: house-left}}",
            (
                "house-right is delayed by 20 ms, but the sound of house-left takes 29.14 ms over 10 m at 20 °C: set "
                "29.14 ms. It is heard 9.14 ms too early; 5 ms is the limit.",
            ),
        ),
        Bad(
            "acoustics: {temperature_c: 10}\ndestinations: {house-right: {delay_ms: 100, distance_m: 30}}",
            (
                "house-right is delayed by 100 ms, but sound takes 88.94 ms over 30 m at 10 °C: set 88.94 ms. It is heard "
                "11.06 ms too late; 5 ms is the limit.",
            ),
        ),
        Bad(
            "destinations: {house-left: {delay_ms: 12, latency_ms: 2}, house-right: {delay_ms: 30, latency_ms: 1, distance_m: 10, aligned_to: house-left}}",
            (
                "house-right is delayed by 30 ms and its own 1 ms, but the sound of house-left starts 14 ms late and takes "
                "29.14 ms over 10 m at 20 °C: set 42.14 ms. It is heard 12.14 ms too early; 5 ms is the limit.",
            ),
        ),
        Bad(
            "destinations: {house-right: {distance_m: 10, aligned_to: house-left}}",
            (
                "no delay is set for house-right, but the sound of house-left takes 29.14 ms over 10 m at 20 °C: set 29.14 "
                "ms. It is heard 29.14 ms too early; 5 ms is the limit.",
            ),
        ),
    ],
    limits={
        "tolerance_ms": Limit(5.0, "ms", "how far a delay may be off before a person must look; the house's own", 0, 30)
    },
)
def check(rig: ResolvedRig, tolerance_ms: float) -> Iterator[Finding]:
    """Yield one finding a loudspeaker whose delay is off, or not set though it says what it is aligned to.

    Silent where no distance is stated, or neither a delay nor what it is aligned to.
    """
    temperature_c = rig.rig.temperature_c
    for destination in rig.rig.destinations.values():
        set_ms = destination.delay_ms
        if destination.distance_m is None or (set_ms is None and destination.aligned_to is None):
            continue
        takes_ms = travel_ms(destination.distance_m, temperature_c)
        started_ms = _late_ms(rig.rig.destinations.get(destination.aligned_to or ""))
        needed_ms = started_ms + takes_ms - destination.latency_ms
        late_ms = (set_ms or 0.0) - needed_ms
        if round(abs(late_ms), 2) <= tolerance_ms:
            continue
        setting = f"set {number(needed_ms)} ms" if needed_ms >= 0 else "less than none would be needed"
        trail = (*destination.trail, "distance_m" if set_ms is None else "delay_ms")
        facts = {"needed_ms": round(needed_ms, 2), "distance_m": destination.distance_m, "temperature_c": temperature_c}
        yield Finding(
            f"{_starts(destination, started_ms)} takes {number(takes_ms)} ms over {destination.distance_m:g} m at "
            f"{temperature_c:g} °C: {setting}. It is heard {number(abs(late_ms))} ms too {'late' if late_ms > 0 else 'early'}; "
            f"{number(tolerance_ms)} ms is the limit.",
            (rig.place(trail, destination.name),),
            (_cure(destination, max(needed_ms, 0.0), needed_ms >= 0),),
            facts if set_ms is None else {"delay_ms": set_ms, **facts},
        )


def _late_ms(aligned_to: Destination | None) -> float:
    """Return how long after the console a loudspeaker sounds: its set delay and its own."""
    return (aligned_to.delay_ms or 0.0) + aligned_to.latency_ms if aligned_to else 0.0


def _starts(destination: Destination, started_ms: float) -> str:
    own_ms = f"its own {number(destination.latency_ms)} ms" if destination.latency_ms else ""
    if destination.delay_ms is None:
        how = f"no delay is set for {destination.name}" + (f", only {own_ms}" if own_ms else "")
    else:
        how = f"{destination.name} is delayed by {number(destination.delay_ms)} ms" + (
            f" and {own_ms}" if own_ms else ""
        )
    sound = f"the sound of {destination.aligned_to}" if destination.aligned_to else "sound"
    late = f" starts {number(started_ms)} ms late and" if started_ms else ""
    return f"{how}, but {sound}{late}"


def _cure(destination: Destination, delay_ms: float, can_be_set: bool) -> Cure:
    if not can_be_set:
        text = (
            f"delay {destination.aligned_to or 'what it is aligned to'} instead: {destination.name} is late by itself"
        )
        return Cure(text)
    change = nested((*destination.trail, "delay_ms"), round(delay_ms, 2))
    return Cure(
        f"set the delay of {destination.name} to {number(delay_ms)} ms, and listen where both are heard", change
    )
