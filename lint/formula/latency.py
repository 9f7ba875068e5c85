"""How long digital audio waits: blocks of samples as milliseconds."""

from __future__ import annotations

import math


def buffer_ms(samples: int, sample_rate_hz: float) -> float:
    """Return the milliseconds that a block of samples lasts. Raises ValueError where no rate or block is that."""
    if samples < 0 or not 0 < sample_rate_hz < math.inf:
        raise ValueError(f"found {samples} samples at {sample_rate_hz:g} Hz, expected 0 or more at more than 0 Hz")
    return samples / sample_rate_hz * 1000
