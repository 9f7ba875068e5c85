"""Why there is no way from what is hunted to an end, by the rig file."""

from __future__ import annotations

from lint.plan.intent import sender
from lint.resolve.resolved import ResolvedRig
from lint.rig.plant import Amplifier
from lint.rig.rig import Destination


def no_way(rig: ResolvedRig, what: str, end: Destination | Amplifier) -> str:
    """Say why something does not get to an end: what alone sends there may be dead, which is no part to look for."""
    mixes = (rig.rig.mixes.get(signal.name) for signal in end.expects if signal.kind == "mix")
    sending = [mix.console for mix in mixes if mix is not None]  # a box behind a dead console is of none
    for console in (*sending, *(sender(rig.departure(socket)) for socket in end.sockets)):
        if console in rig.dead_consoles:
            dead = f"{rig.rig.dead[console].words}, and it is what sends to {end.name}"
            return f"by the rig file itself {dead}: `rigwalk spares RIG {console}` says how to carry on"
    return f"by the rig {what} does not get to {end.name}; if it is heard there hunt it as `elsewhere`, else trace it"
