"""A product of two or three transmitters falls on a carrier."""

from collections.abc import Iterator

from lint import Bad, Finding, ResolvedRig, rule
from lint.formula.intermodulation import Near, Product, products_near
from lint.rig.plant import Carrier
from lint.rules._wireless import REGULATOR, FreeCarriers, by_frequency, khz, mhz, named

_WHY = """\
Transmitters near each other, and overloaded receivers, make new signals out of two and three carriers: twice one less
another, and the sum of two less a third. Where such a product falls on a carrier, its receiver opens to noise or is
broken into while its own transmitter is far off or switched off. Higher orders, and signals from outside, are not
checked: listen on every carrier with all transmitters on but its own."""

MOST_NAMED = 3


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
    ],
    bad=[
        Bad(
            "wireless: {ranges_mhz: [[606, 614]], least_spacing_khz: 350, guard_khz: 50}\n"
            "sources:\n"
            "  radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 606.5}\n"
            "  radio-2: {kind: wireless-receiver, plugged_into: desk/in/2, carrier_mhz: 607.0}\n"
            "  radio-3: {kind: wireless-receiver, plugged_into: desk/in/3, carrier_mhz: 607.525}\n",
            (
                "a third-order product falls within 50 kHz of radio-1 (606.500 MHz): 2 × radio-2 − radio-3 at "
                "606.475 MHz.",
                "a third-order product falls within 50 kHz of radio-2 (607.000 MHz): radio-1 + radio-3 − radio-2 at "
                "607.025 MHz.",
                "a third-order product falls within 50 kHz of radio-3 (607.525 MHz): 2 × radio-2 − radio-1 at "
                "607.500 MHz.",
            ),
        ),
        Bad(
            "wireless: {ranges_mhz: [[606, 614]], least_spacing_khz: 350, guard_khz: 50}\n"
            "sources:\n"
            "  radio-1: {kind: wireless-receiver, plugged_into: desk/in/1, carrier_mhz: 606.5}\n"
            "  radio-2: {kind: wireless-receiver, plugged_into: desk/in/2, carrier_mhz: 607.0}\n"
            "  radio-3: {kind: wireless-receiver, plugged_into: desk/in/3, carrier_mhz: 607.9}\n"
            "  radio-4: {kind: wireless-receiver, plugged_into: desk/in/4, carrier_mhz: 608.4}\n",
            (
                "a third-order product falls within 50 kHz of radio-1 (606.500 MHz): radio-2 + radio-3 − radio-4 at "
                "606.500 MHz.",
                "a third-order product falls within 50 kHz of radio-2 (607.000 MHz): radio-1 + radio-4 − radio-3 at "
                "607.000 MHz.",
                "a third-order product falls within 50 kHz of radio-3 (607.900 MHz): radio-1 + radio-4 − radio-2 at "
                "607.900 MHz.",
                "a third-order product falls within 50 kHz of radio-4 (608.400 MHz): radio-2 + radio-3 − radio-1 at "
                "608.400 MHz.",
            ),
        ),
    ],
    safety=REGULATOR,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a carrier that is hit, with the nearest products; silent where the house states no guard.

    What falls beside a carrier only because two others are too close together is told by carrier-too-close.
    """
    wireless = rig.rig.wireless
    if wireless is None or wireless.guard_hz is None:
        return
    carriers = by_frequency(rig)
    free = FreeCarriers(rig)
    for near in products_near(carriers, wireless.guard_hz, wireless.least_spacing_hz or 0, MOST_NAMED):
        hit = carriers[near.carrier_hz]
        others = {hz for product in near.nearest for hz in (*product.plus, product.minus)} - {near.carrier_hz}
        makers = [carrier for hz in sorted(others) for carrier in carriers[hz]]
        yield Finding(
            _message(near, carriers, wireless.guard_hz),
            tuple(rig.place(carrier.trail, carrier.name) for carrier in (*hit, *makers)),
            (free.tune(hit[0]),),
            {"carrier_hz": near.carrier_hz, "guard_hz": wireless.guard_hz, "products": near.products},
        )


def _message(near: Near, carriers: dict[int, list[Carrier]], guard_hz: int) -> str:
    falls = "a third-order product falls" if near.products == 1 else f"{near.products} third-order products fall"
    shown = ", ".join(f"{_words(product, carriers)} at {mhz(product.frequency_hz)}" for product in near.nearest)
    more = f", and {near.products - len(near.nearest)} more" if near.products > len(near.nearest) else ""
    return f"{falls} within {khz(guard_hz)} of {named(carriers[near.carrier_hz])}: {shown}{more}."


def _words(product: Product, carriers: dict[int, list[Carrier]]) -> str:
    first, second = (carriers[hz][0].name for hz in product.plus)
    plus = f"2 × {first}" if first == second else f"{first} + {second}"
    return f"{plus} − {carriers[product.minus][0].name}"
