"""What the rules on mixes share."""

from __future__ import annotations

from lint.rig.rig import Mix


def is_empty(mix: Mix) -> bool:
    """Whether a mix takes nothing that it should: into cue and talkback the crew puts what it needs on the night."""
    return not mix.sends and not mix.takes and mix.kind not in ("cue", "talkback")
