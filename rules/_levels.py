"""What the rules about level share: the predicted level of every channel, and the gain that puts it right."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from lint import Cure, ResolvedRig
from lint.formula.level import digital_dbfs, microphone_dbu
from lint.formula.limit import exceeds, told_apart
from lint.resolve.mixup import nested
from lint.rig.address import Socket
from lint.rig.rig import Channel, Place, Source

LEAST_GAIN_DB, MOST_GAIN_DB = -60, 100  # what a rig file may say
# EBU R 68 aligns at 18 dB below full scale, and lets programme reach 9 dB above its alignment.
PROGRAMME_DBFS = -9.0
SOURCE = (
    "EBU R 68 (alignment 18 dB below full scale, programme to 9 dB above alignment), which fixes digital levels only; "
    "the dBu that reaches full scale is the model's own. 94 dB SPL is 1 Pa; dBu re 0.7746 V"
)


class Predicted(NamedTuple):
    """The loudest level expected on a channel: in dBu at the socket, and after the gain in dB re digital full scale."""

    source: Source
    socket: Socket
    channel: Channel
    gain_db: float
    full_scale_dbu: float
    level_dbu: float

    @property
    def dbfs(self) -> float:
        """Where it stands."""
        return digital_dbfs(self.level_dbu, self.gain_db, self.full_scale_dbu)

    @property
    def words(self) -> str:
        """Say how it comes about: +4.0 dBu at its loudest and 10 dB of gain."""
        return f"{_signed(self.level_dbu)} dBu at its loudest and {minus(self.gain_db)} dB of gain"


def expected_dbu(source: Source) -> float | None:
    """Return the loudest level expected of a source in dBu, or None where the rig does not say enough."""
    if source.level_dbu is not None:
        return source.level_dbu
    if source.sensitivity_mv_pa is None or source.expected_spl_db is None:
        return None
    return microphone_dbu(source.sensitivity_mv_pa, source.expected_spl_db)


def predicted_levels(rig: ResolvedRig) -> Iterator[Predicted]:
    """Yield the level of every channel that rightly receives a source of which the rig and the models say enough."""
    for arrival in rig.arrivals.values():
        channel, socket = arrival.channel, arrival.socket
        if channel.gain_db is None or socket is None or len(arrival.sources) != 1:
            continue
        source = rig.rig.sources[arrival.sources[0]]
        level_dbu = expected_dbu(source)
        if level_dbu is None or channel.address in rig.mismatched:
            continue
        full_scale_dbu = rig.device(socket.device).model.inputs.full_scale_dbu
        if full_scale_dbu is not None:
            yield Predicted(source, socket, channel, channel.gain_db, full_scale_dbu, level_dbu)


def places(rig: ResolvedRig, level: Predicted) -> tuple[Place, ...]:
    """Return the places of a finding: the channel, whose gain is to be set, then the source."""
    return (
        rig.place((*level.channel.trail, "gain_db"), level.channel.address),
        rig.place(level.source.trail, level.source.name),
    )


def facts(level: Predicted) -> dict[str, float]:
    """Return the numbers of a finding."""
    return {
        "level_dbu": round(level.level_dbu, 2),
        "gain_db": level.gain_db,
        "full_scale_dbu": level.full_scale_dbu,
        "predicted_dbfs": round(level.dbfs, 2),
    }


def set_gain(rig: ResolvedRig, level: Predicted, target_dbfs: float) -> Cure:
    """Return the cure that brings a channel to the whole decibel at or under a level, or says what else could."""
    gain_db = math.floor(level.full_scale_dbu + target_dbfs - level.level_dbu + 1e-6)
    words = rig.rig.channel_words(level.channel)
    if not LEAST_GAIN_DB <= gain_db <= MOST_GAIN_DB:
        return Cure(
            f"no gain of {words} can do that: put a pad or an amplifier between {level.source.name} and its socket"
        )
    pad = "; if it does not go so low, put in a pad" if gain_db < 0 else ""
    return Cure(
        f"set the gain of {words} to {minus(gain_db)} dB{pad}", nested((*level.channel.trail, "gain_db"), gain_db)
    )


def minus(db: float) -> str:
    """Write decibels with the minus sign that is used everywhere: −20."""
    return f"{db:g}".replace("-", "−")


def _signed(db: float) -> str:
    return f"{db:+.1f}".replace("-", "−")


def below(level: Predicted) -> str:
    """Say how far under full scale a level stands: 6.3 dB below full scale."""
    if not exceeds(abs(level.dbfs), 0):
        return "just at full scale"
    return f"{told_apart(abs(level.dbfs), 0, 1)} dB {'over' if level.dbfs > 0 else 'below'} full scale"
