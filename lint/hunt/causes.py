"""What may be wrong with each part of a path, how likely by symptom, how long a look takes, and what mends it.

The weights are odds out of a hundred hunts and the seconds a walk across an ordinary stage: both are our own first
guess (common practice, from memory: no published counts are known to us), and the house's own records take the weights over, hunt by hunt (`learn.py`).
"""

from __future__ import annotations

from lint.hunt.cause import DEAD, DISTORTED, ELSEWHERE, NOISE, SYMPTOMS, WRONG, CauseKind
from lint.hunt.cause import odds as _odds
from lint.hunt.causes_in import INPUT_CAUSES
from lint.hunt.causes_out import OUTPUT_CAUSES

__all__ = ["CAUSES", "DEAD", "DISTORTED", "ELSEWHERE", "NOISE", "SYMPTOMS", "WRONG", "CauseKind"]

CONSOLE_CAUSES: tuple[CauseKind, ...] = (
    # -- the console
    CauseKind(
        "patch-wrong",
        "patch",
        "patched from elsewhere",
        "Look at the input patch: is {channel} patched from {point}?",
        "mute {channel}, turn it down, patch it from {point}, then bring it up again slowly",
        15,
        _odds(11, 16, elsewhere=5),
    ),
    CauseKind(
        "channel-muted",
        "channel",
        "muted or down",
        "Look at {channel}: is it unmuted, in no muted group{fader_up}?",
        "turn {lower} down, unmute it, bring it up slowly",
        5,
        _odds(20),
    ),
    CauseKind(
        "insert-wrong",
        "strip",
        "trim, gate, insert or equaliser wrong",
        "Look at {channel}: do trim, gate, insert, delay and equaliser stand as saved?",
        "turn {channel} down first, switch off what should not be on, then bring it up again slowly",
        20,
        _odds(5, noise=2, distorted=4),
    ),
    CauseKind(
        "send-wrong",
        "send",
        "set wrong",
        "Look at what {channel} sends to {mix}: is it as it should be?",
        "turn {mix} down first, set what {channel} sends to it, then bring it up again slowly",
        8,
        _odds(10, elsewhere=14),
    ),
    CauseKind(
        "spill",
        "send",
        "another open microphone picks it up",
        "Mute {channel} for a moment: is {source} gone at {end}?",
        "turn down in {mix} the microphones near {source}, or move them away from it; what is loud on stage is heard through every open one",
        10,
        _odds(elsewhere=16),
        after=("plug-elsewhere", "patch-wrong", "chain-order"),
    ),
    CauseKind(
        "mix-in-red",
        "bus",
        "in the red",
        "Look at the meter of the mix {mix}: does it stay out of the red?",
        "turn down what is sent to {mix} until its meter stays out of the red, and its fader up as far as is needed, slowly",
        5,
        _odds(distorted=6),
    ),
    CauseKind(
        "mix-muted",
        "mix",
        "muted or down",
        "Look at the mix {mix}: is it unmuted, its fader up?",
        "turn {mix} down first, unmute it, bring its fader up slowly",
        5,
        _odds(9),
    ),
    CauseKind(
        "mix-takes-other",
        "intake",
        "takes what it should not",
        "Look at the mix {mix}: does it take only what it should?",
        "turn {mix} down first, take out what should not be in it, then bring it up again slowly",
        30,
        _odds(wrong=6, elsewhere=8),
    ),
    CauseKind(
        "effects-off",
        "effects",
        "off or in the red",
        "Look at the effects unit {effects}: is it on, fed and not in the red?",
        "turn its returns down first, set the effects unit {effects} as saved, then bring them up again slowly",
        15,
        _odds(5, noise=3, distorted=5),
    ),
    CauseKind(
        "feed-wrong",
        "feed",
        "something else sent",
        "Look at the output patch: does {console} send {signal} at {point}?",
        "turn it down, ears out, send {signal} at {point}, then bring it up again slowly",
        15,
        _odds(7, 12, elsewhere=12),
    ),
)

CAUSES: tuple[CauseKind, ...] = (*INPUT_CAUSES, *CONSOLE_CAUSES, *OUTPUT_CAUSES)
