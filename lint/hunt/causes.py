"""What may be wrong with each part of a path, how likely by symptom, how long a look takes, and what mends it.

The weights are odds out of a hundred hunts and the seconds a walk across an ordinary stage: both are our own first
guess (common practice, from memory: no published counts are known to us), and the house's own records take the weights over, hunt by hunt (`learn.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

DEAD, WRONG, NOISE, DISTORTED, ELSEWHERE = "dead", "wrong", "noise", "distorted", "elsewhere"
SYMPTOMS: Mapping[str, str] = {
    DEAD: "nothing comes through",
    WRONG: "something else comes through",
    NOISE: "it hums, hisses, crackles or clicks",
    DISTORTED: "it is distorted",
    ELSEWHERE: "it is heard where it should not be",
}


class CauseKind(NamedTuple):
    """One thing that may be wrong with a kind of part: its name in the record, and its title for people.

    `look` asks whether all is as it should be; `cure` is what to do where it is not. Both are filled from the part.
    `handles` says that plugs are pulled for the look, `mends_by_plug` that they are for the cure. `swap` says that the
    look puts another in its place: right with that one means that this one is at fault, and that it is mended already.
    `odds` has the weight by symptom; absent: not with that one.
    """

    name: str
    part: str
    title: str
    look: str
    cure: str
    seconds: int
    odds: Mapping[str, int]
    handles: bool = False
    swap: bool = False
    mends_by_plug: bool = False


def _odds(dead: int = 0, wrong: int = 0, noise: int = 0, distorted: int = 0, elsewhere: int = 0) -> dict[str, int]:
    given = {DEAD: dead, WRONG: wrong, NOISE: noise, DISTORTED: distorted, ELSEWHERE: elsewhere}
    return {symptom: weight for symptom, weight in given.items() if weight}


CAUSES: tuple[CauseKind, ...] = (
    # -- the source and its line
    CauseKind(
        "phantom-off",
        "powered-source",
        "phantom power off",
        "Look at {channel}: is phantom power on, as {source} needs it?",
        "mute {channel} and turn it down, switch its phantom power on, wait ten seconds, bring it up again slowly",
        5,
        _odds(12, noise=2, distorted=3),
    ),
    CauseKind(
        "source-off",
        "source",
        "switched off, or flat",
        "Go to {source}: is it switched on, its battery fresh, its own volume up?",
        "mute {channel} and turn {source} down, switch it on or put in a fresh battery, then bring both up again slowly",
        30,
        _odds(9, noise=2),
    ),
    CauseKind(
        "source-hot",
        "source",
        "too loud for its input",
        "Go to {source}: is it far enough from what it hears, its output down, its pad in?",
        "mute {channel}, move it back, turn its output down, or switch its pad in; bring {channel} up again slowly",
        30,
        _odds(distorted=12),
    ),
    CauseKind(
        "source-broken",
        "source",
        "broken",
        "Put another of its kind in the place of {source}: does that one do as it should?",
        "leave the other one in; label {source} broken and take it out of use",
        90,
        _odds(5, noise=4, distorted=4),
        handles=True,
        swap=True,
    ),
    CauseKind(
        "cable-broken",
        "line",
        "broken",
        "Put another cable between {source} and {socket}: does it do as it should with that?",
        "leave the other cable in; label the old one broken and take it out of use",
        60,
        _odds(16, noise=14, distorted=6),
        handles=True,
        swap=True,
    ),
    CauseKind(
        "phantom-on",
        "barred-source",
        "phantom power on where it must not be",
        "Look at {channel}: is its phantom power off, as {source} needs it?",
        "mute {channel} and turn it down, switch its phantom power off, wait ten seconds, bring it up again slowly; if {source} is dull or silent then, take it out of use",
        5,
        _odds(2, noise=8, distorted=4),
    ),
    CauseKind(
        "ground-loop",
        "mains-line",
        "hum by way of two earths",
        "Run {source} from its battery, or press the ground lift of its DI box (never lift a mains earth): is the hum the same with that?",
        "leave the DI box's lift pressed or put an isolating transformer into the line, and feed {source} from the circuit of the console; a protective earth is never lifted",
        30,
        _odds(noise=14),
        handles=True,
        mends_by_plug=True,
    ),
    CauseKind(
        "interference",
        "line",
        "picks up dimmers, mains cables or phones",
        "Have the dimmers put to full, then to off, and phones and chargers taken away from {source}: is the noise the same all the while?",
        "lead the cable away from dimmers and mains, across them at a right angle where it must; a balanced line or a DI box near {source} picks up less",
        40,
        _odds(noise=9),
    ),
    # -- the box, the links
    CauseKind(
        "plug-elsewhere",
        "socket",
        "plugged elsewhere, or not all the way in",
        "Follow the cable of {source} to the box: is it in {socket}, and all the way in?",
        "mute {channel}, plug {source} into {socket} all the way, then bring {channel} up again slowly",
        25,
        _odds(12, 22, 3, elsewhere=6),
        handles=True,
        mends_by_plug=True,
    ),
    CauseKind(
        "input-broken",
        "socket",
        "broken",
        "Plug {source} into a free socket of {device} and patch {channel} from there: is it as it should be?",
        "leave it in the free socket and patch {channel} from there; tape {socket} over",
        90,
        _odds(3, noise=3, distorted=3),
        handles=True,
        swap=True,
    ),
    CauseKind(
        "box-dark",
        "box",
        "no mains",
        "Look at {device}: is its mains lamp lit, as on a good day?",
        "turn down what it feeds, then see that {device} has mains: its plug, its supply, its circuit {circuit}; do not reset a breaker again and again: one that trips again is for a licensed electrician",
        25,
        _odds(5),
    ),
    CauseKind(
        "link-broken",
        "link",
        "broken",
        "Look at both ends of the link cable {cable} ({ends}): are the link lamps as on a good day?",
        "turn the monitors and the house down, ears out, change {cable} for its spare ({spare}), then bring them up again slowly",
        30,
        _odds(6, noise=5),
        mends_by_plug=True,
    ),
    CauseKind(
        "chain-order",
        "chain",
        "boxes in another order",
        "Follow the link cables from {console}: are the boxes cabled {order}?",
        "turn everything down, ears out, and cable them so (or ask `rigwalk whatif` what it takes to leave them); bring up again what is needed, slowly",
        40,
        _odds(4, 12, elsewhere=5),
        mends_by_plug=True,
    ),
    CauseKind(
        "clock-lost",
        "chain",
        "clock not locked",
        "Look at {console}: does it say that the clock is locked, at {rate}?",
        "turn everything down, ears out, set the clock leader and the rate as the rig says, then bring it up again slowly",
        10,
        _odds(2, noise=6, distorted=3),
    ),
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
        "Look at {channel}: is it unmuted, in no muted group, its fader up?",
        "turn its fader down, unmute it, bring it up slowly",
        5,
        _odds(20),
    ),
    CauseKind(
        "gain-wrong",
        "channel",
        "gain wrong",
        "Look at {channel}: is its gain {gain}, its pad and trim as they were?",
        "turn {channel} down first, set its gain, then bring it up again slowly",
        8,
        _odds(5, noise=8, distorted=16),
    ),
    CauseKind(
        "insert-wrong",
        "channel",
        "gate, insert or equaliser wrong",
        "Look at {channel}: do gate, insert, delay and equaliser stand as saved?",
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
        "Mute {channel} for a moment: is {source} gone at {destination}?",
        "turn down in {mix} the microphones near {source}, or move them away from it; what is loud on stage is heard through every open one",
        10,
        _odds(elsewhere=16),
    ),
    CauseKind(
        "mix-muted",
        "mix",
        "muted, down or in the red",
        "Look at the mix {mix}: is it unmuted, its fader up and not in the red?",
        "turn {mix} down first, unmute it, bring its fader up slowly",
        5,
        _odds(9, distorted=6),
    ),
    CauseKind(
        "mix-takes-other",
        "mix",
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
    # -- towards the destination
    CauseKind(
        "selector-wrong",
        "selector",
        "selector at another bank",
        "Look at {device}: is its output selector at {bank}?",
        "turn everything on {device} down, ears out, turn its selector to {bank}, then bring it up again slowly",
        25,
        _odds(6, 12, elsewhere=14),
    ),
    CauseKind(
        "out-plug-elsewhere",
        "outlet",
        "plugged elsewhere",
        "Follow the cable of {destination} to the box: is it in {socket}?",
        "turn it down, ears out, plug {destination} into {socket}, then bring it up again slowly",
        25,
        _odds(6, 12, elsewhere=12),
        handles=True,
        mends_by_plug=True,
    ),
    CauseKind(
        "output-broken",
        "outlet",
        "broken",
        "Feed {destination} from another output that sends the same: is it as it should be?",
        "leave it there; tape {socket} over",
        120,
        _odds(2, noise=2, distorted=2),
        handles=True,
        swap=True,
    ),
    CauseKind(
        "out-cable-broken",
        "out-line",
        "broken",
        "Put another cable between {socket} and {destination}: is it as it should be?",
        "leave the other cable in; label the old one broken",
        60,
        _odds(9, noise=9, distorted=3),
        handles=True,
        swap=True,
    ),
    CauseKind(
        "out-ground-loop",
        "out-line",
        "hum by way of two earths",
        "Take the line of {destination} out at its end, turned down: does it hum as before with nothing plugged in?",
        "put an isolating transformer into the line, and feed {destination} from the circuit that the console is on; a protective earth is never lifted",
        30,
        _odds(noise=6),
        handles=True,
        mends_by_plug=True,
    ),
    CauseKind(
        "amplifier-off",
        "amplifier",
        "off, down or in clip",
        "Look at the amplifier {amplifier}: is it on, its volume up, no clip or fault lamp lit?",
        "turn it down, switch it on last, bring it up slowly; a fault lamp that stays lit is for somebody qualified",
        25,
        _odds(5, noise=2, distorted=9),
    ),
    CauseKind(
        "destination-off",
        "destination",
        "off or down",
        "Go to {destination}: is it on, its own volume up?",
        "turn it down, switch it on, turn it up slowly",
        30,
        _odds(9, noise=2),
    ),
    CauseKind(
        "destination-broken",
        "destination",
        "broken",
        "Put another in the place of {destination}: is that as it should be?",
        "leave the other one there; label {destination} broken and take it out of use",
        150,
        _odds(4, noise=4, distorted=8),
        handles=True,
        swap=True,
    ),
)
