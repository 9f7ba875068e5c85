"""A product of two or three transmitters falls on a carrier."""

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.formula.intermodulation import Near, Product, products_near
from lint.rig.plant import Carrier
from lint.rules._wireless import REGULATOR, FreeCarriers, by_frequency, khz, mhz, named
from lint.rules._words import listed

_WHY = """\
Transmitters near each other, and overloaded receivers, make new signals out of two and three carriers: twice one less
another, and the sum of two less a third. Where such a product falls on a carrier, its receiver opens to noise or is
broken into while its own transmitter is far off or switched off. Higher orders, and signals from outside, are not
checked: listen on every carrier with all transmitters on but its own."""

MOST_NAMED = 3
MOST_TRIED = 5


@rule(
    title="A product of two or three transmitters falls on a carrier",
    severity="caution",
    family="wireless",
    why=_WHY,
    do="Tune the carrier that is hit, or one of those that make the product, and check the whole set again.",
    source=(
        "third-order products 2a − b and a + b − c: US Army TM 11-490-5, ITU-R SM.1134-1; the guard is what the house "
        "states of its receivers (wireless/guard_khz)"
    ),
    good=[
        "wireless: {ranges_mhz: [[606, 614]], least_spacing_khz: 350, guard_khz: 50}\n"
        "sources:\n"
        "  radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 606.5}\n"
        "  radio-2: {kind: wireless-receiver, plugged_into: desk/in/2, carrier_mhz: 607.0}\n"
        "  radio-3: {kind: wireless-receiver, plugged_into: desk/in/3, carrier_mhz: 607.9}\n"
        "channels: {5: {carries: radio-1, patched_from: desk/in/1}, 6: {carries: radio-2, patched_from: desk/in/2}}"
    ],
    bad=[
        Bad(
            "wireless: {ranges_mhz: [[606, 614]], least_spacing_khz: 350, guard_khz: 50}\n"
            "sources:\n"
            "  radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 606.5}\n"
            "  radio-2: {kind: wireless-receiver, plugged_into: desk/in/2, carrier_mhz: 607.0}\n"
            "  radio-3: {kind: wireless-receiver, plugged_into: desk/in/3, carrier_mhz: 607.525}\n"
            "channels: {5: {carries: radio-1, patched_from: desk/in/1}, 6: {carries: radio-2, patched_from: desk/in/2}}",
            (
                "third-order products fall within 50 kHz of 3 carriers: radio-1 (606.500 MHz): 2 × radio-2 − radio-3 at "
                "606.475 MHz; radio-2 (607.000 MHz): radio-1 + radio-3 − radio-2 at 607.025 MHz; radio-3 (607.525 MHz): "
                "2 × radio-2 − radio-1 at 607.500 MHz.",
            ),
        ),
        Bad(
            "wireless: {ranges_mhz: [[606, 614]], least_spacing_khz: 350, guard_khz: 50}\n"
            "sources:\n"
            "  radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 606.5}\n"
            "  radio-2: {kind: wireless-receiver, plugged_into: desk/in/2, carrier_mhz: 607.0}\n"
            "  radio-3: {kind: wireless-receiver, plugged_into: desk/in/3, carrier_mhz: 607.9}\n"
            "  radio-4: {kind: wireless-receiver, plugged_into: desk/in/4, carrier_mhz: 608.4}\n"
            "channels: {5: {carries: radio-1, patched_from: desk/in/1}, 6: {carries: radio-2, patched_from: desk/in/2}}",
            (
                "third-order products fall within 50 kHz of 4 carriers: radio-1 (606.500 MHz): radio-2 + radio-3 − "
                "radio-4 at 606.500 MHz; radio-2 (607.000 MHz): radio-1 + radio-4 − radio-3 at 607.000 MHz; radio-3 "
                "(607.900 MHz): radio-1 + radio-4 − radio-2 at 607.900 MHz; radio-4 (608.400 MHz): radio-2 + radio-3 − "
                "radio-1 at 608.400 MHz.",
            ),
        ),
    ],
    safety=REGULATOR,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a set of carriers that disturb each other; silent where the house states no guard.

    What falls beside a carrier only because two others are too close together is told by carrier-too-close.
    """
    wireless = rig.rig.wireless
    if wireless is None or wireless.guard_hz is None:
        return
    guard_hz, spacing_hz = wireless.guard_hz, wireless.least_spacing_hz or 0
    carriers = by_frequency(rig)
    free = FreeCarriers(rig)
    for cluster in _clusters(products_near(carriers, guard_hz, spacing_hz, MOST_NAMED)):
        mover_hz, alone = _to_move(cluster, carriers, guard_hz, spacing_hz)
        mover = carriers[mover_hz][0]
        met = {hz for near in cluster for hz in _met(near)} - {mover_hz}
        others = [carrier for hz in sorted(met) for carrier in carriers[hz]]
        yield Finding(
            _message(cluster, carriers, guard_hz),
            tuple(rig.place(carrier.trail, carrier.name) for carrier in (mover, *others)),
            (free.tune(mover) if alone else _one_by_one(free.tune(mover)),),
            {"guard_hz": guard_hz, "carriers_hit": len(cluster), "products": sum(near.products for near in cluster)},
            explains=frozenset(_too_close(carriers, mover_hz, spacing_hz)),
        )


def _met(near: Near) -> set[int]:
    """Return the carriers that are hit and those that make the products named, in hertz."""
    return {near.carrier_hz, *(hz for product in near.nearest for hz in (*product.plus, product.minus))}


def _clusters(hits: list[Near]) -> list[list[Near]]:
    """Join the carriers that are hit where their products have a carrier in common."""
    clusters: list[tuple[set[int], list[Near]]] = []
    for near in hits:
        met, joined_up = _met(near), [near]
        for other in [cluster for cluster in clusters if not cluster[0].isdisjoint(met)]:
            clusters.remove(other)
            met, joined_up = met | other[0], other[1] + joined_up
        clusters.append((met, joined_up))
    return [sorted(cluster, key=lambda near: near.carrier_hz) for _, cluster in clusters]


def _to_move(
    cluster: list[Near], carriers: dict[int, list[Carrier]], guard_hz: int, spacing_hz: int
) -> tuple[int, bool]:
    """Return the carrier that is best tuned away, and whether that alone leaves nothing of the cluster behind.

    What is too close to a neighbour besides comes first, then what is met most. Where no single one does, it is the first.
    """
    met = Counter(hz for near in cluster for hz in _met(near))
    hit = {near.carrier_hz for near in cluster}
    close = {hz for pair in pairwise(carriers) if pair[1] - pair[0] < spacing_hz for hz in pair}
    ranked = sorted(met, key=lambda hz: (hz not in close, -met[hz], hz))[:MOST_TRIED]
    for hz in ranked:
        left = products_near(carriers.keys() - {hz}, guard_hz, spacing_hz, 0)
        if hit.isdisjoint(near.carrier_hz for near in left):
            return hz, True
    return ranked[0], False


def _one_by_one(cure: Cure) -> Cure:
    return Cure(f"{cure.text}; one carrier alone is not enough here, so check again after each", cure.change)


def _too_close(carriers: dict[int, list[Carrier]], mover_hz: int, spacing_hz: int) -> Iterator[tuple[str, str]]:
    """Yield what tuning the mover away puts right as well: its being too close to a neighbour."""
    for low, high in pairwise(carriers):
        if mover_hz in (low, high) and high - low < spacing_hz:
            yield "carrier-too-close", carriers[high][0].name


def _message(cluster: list[Near], carriers: dict[int, list[Carrier]], guard_hz: int) -> str:
    rows = [f"{named(carriers[near.carrier_hz])}: {_products(near, carriers)}" for near in cluster]
    if len(cluster) > 1:
        return f"third-order products fall within {khz(guard_hz)} of {len(cluster)} carriers: {listed(rows, '; ')}."
    count = cluster[0].products
    falls = "a third-order product falls" if count == 1 else f"{count} third-order products fall"
    return f"{falls} within {khz(guard_hz)} of {rows[0]}."


def _products(near: Near, carriers: dict[int, list[Carrier]]) -> str:
    shown = ", ".join(f"{_words(product, carriers)} at {mhz(product.frequency_hz)}" for product in near.nearest)
    return shown + (f", and {near.products - len(near.nearest)} more" if near.products > len(near.nearest) else "")


def _words(product: Product, carriers: dict[int, list[Carrier]]) -> str:
    first, second = (carriers[hz][0].name for hz in product.plus)
    plus = f"2 × {first}" if first == second else f"{first} + {second}"
    return f"{plus} − {carriers[product.minus][0].name}"
