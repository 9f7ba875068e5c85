"""What the rules about carriers share: their words, and where a carrier could go instead."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from itertools import chain, combinations, islice

from lint import Cure, ResolvedRig
from lint.formula.intermodulation import Sums
from lint.resolve.mixup import nested
from lint.rig.plant import Carrier

REGULATOR = "Which frequencies and powers are legal, and with what licence, is the local regulator's word."
STEP_HZ = 25_000
HALF_BAND_HZ = 100_000  # common practice: a carrier with its modulation occupies some 200 kHz
MOST_TUNED = 32
MOST_STEPS = 2_000  # 50 MHz: enough to look, and soon over


def mhz(frequency_hz: int) -> str:
    """Write a frequency as the crew says it, to the hertz where it is not a whole kilohertz: 606.500 MHz."""
    whole, rest = divmod(frequency_hz, 1_000_000)
    digits = f"{rest:06d}"
    return f"{whole}.{digits[:3] if digits.endswith('000') else digits} MHz"


def khz(frequency_hz: int) -> str:
    """Write a distance between frequencies: 350 kHz."""
    return f"{frequency_hz / 1000:g} kHz"


def named(carriers: Iterable[Carrier]) -> str:
    """Write carriers with their frequency: radio-1 (606.500 MHz)."""
    every = list(carriers)
    return f"{' and '.join(carrier.name for carrier in every)} ({mhz(every[0].frequency_hz)})"


def by_frequency(rig: ResolvedRig) -> dict[int, list[Carrier]]:
    """Return the carriers by frequency, from the lowest up."""
    found: dict[int, list[Carrier]] = {}
    for carrier in sorted(rig.rig.carriers, key=lambda carrier: carrier.frequency_hz):
        found.setdefault(carrier.frequency_hz, []).append(carrier)
    return found


class FreeCarriers:
    """Finds frequencies in the house's ranges that are clear of every carrier and of third-order products.

    What is found is clear of every carrier as it is now, and of what is found for those before it in the file: whoever
    tunes several as they are told has no two alike. In a house of very many all are told the first.
    """

    def __init__(self, rig: ResolvedRig) -> None:
        self._wireless = rig.rig.wireless
        self._carriers = sorted({carrier.frequency_hz for carrier in rig.rig.carriers})
        self._sums = Sums(self._carriers)
        few = len(rig.rig.carriers) <= MOST_TUNED
        self._place = {carrier.name: index if few else 0 for index, carrier in enumerate(rig.rig.carriers)}
        self._found: list[int] = []
        self._free_ones = self._free()

    def tune(self, carrier: Carrier) -> Cure:
        """Return the cure that tunes a carrier to a free frequency, or says to find one."""
        place = self._place[carrier.name]
        self._found += islice(self._free_ones, max(0, place + 1 - len(self._found)))
        if len(self._found) <= place:
            return Cure(f"tune {carrier.name}, transmitter and receiver, to a frequency clear of the others")
        text = f"tune {carrier.name}, transmitter and receiver, to {mhz(self._found[place])}, where the regulator allows it"
        return Cure(text, nested(carrier.trail, self._found[place] / 1_000_000))

    def _free(self) -> Iterator[int]:
        if self._wireless is None:
            return
        spacing_hz, guard_hz = self._wireless.least_spacing_hz or 1, self._wireless.guard_hz
        pairs = combinations(self._carriers, 2)
        if guard_hz is not None and any(spacing_hz <= b - a <= guard_hz for a, b in pairs):
            return  # two carriers so near each other put a product beside every other one, wherever it goes
        inside_hz = max(spacing_hz // 2, HALF_BAND_HZ)  # what a carrier occupies lies in the range as well
        within = ((low + inside_hz, high - inside_hz) for low, high in self._wireless.ranges_hz)
        ranges = (range(-(-low // STEP_HZ) * STEP_HZ, high + 1, STEP_HZ) for low, high in within)
        for candidate in islice(chain.from_iterable(ranges), MOST_STEPS):
            if self._is_clear(candidate, spacing_hz, guard_hz):
                yield candidate
                self._carriers = sorted((*self._carriers, candidate))
                self._sums = Sums(self._carriers)

    def _is_clear(self, candidate: int, spacing_hz: int, guard_hz: int | None) -> bool:
        if _any_within(self._carriers, candidate, max(spacing_hz - 1, guard_hz or 0)):
            return False
        if guard_hz is None:
            return True
        # Products of the others on the candidate, its own with them on the others, and 2 × candidate − c on them.
        if any(self._sums.count_near(candidate + c, guard_hz) for c in self._carriers):
            return False
        return not self._sums.count_near(2 * candidate, guard_hz)


def _any_within(ordered: list[int], centre: int, reach: int) -> bool:
    return bisect_right(ordered, centre + reach) > bisect_left(ordered, centre - reach)
