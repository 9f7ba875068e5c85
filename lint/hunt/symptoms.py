"""What is amiss in the words that a crew uses for it: each stands for one of the five symptoms that are hunted."""

from __future__ import annotations

from collections.abc import Mapping

from lint.hunt.causes import DEAD, DISTORTED, ELSEWHERE, NOISE, SYMPTOMS, WRONG
from lint.read.nearest import nearest

WORDS: Mapping[str, str] = {
    **dict.fromkeys(
        ("dead", "silent", "silence", "nothing", "no-signal", "no-sound", "lost", "gone", "mute", "muted", "quiet",
         "weak", "low", "faint"), DEAD),
    **dict.fromkeys(("wrong", "wrong-signal", "wrong-source", "swapped", "crossed", "other", "mixed-up"), WRONG),
    **dict.fromkeys(
        ("noise", "noisy", "hum", "hums", "humming", "hiss", "hisses", "hissing", "buzz", "buzzes", "buzzing",
         "crackle", "crackles", "crackling", "click", "clicks", "pop", "pops", "rf", "interference"), NOISE),
    **dict.fromkeys(
        ("distorted", "distortion", "clip", "clips", "clipping", "overload", "overdriven", "fuzzy", "harsh", "red",
         "too-loud"), DISTORTED),
    **dict.fromkeys(("elsewhere", "leak", "leaks", "leaking", "bleed", "bleeds", "spill", "crosstalk"), ELSEWHERE),
}  # fmt: skip
FEEDBACK = ("feedback", "howl", "howling", "howlround", "ringing", "squeal", "whistle")
FEEDBACK_ADVICE = (
    "feedback is no fault of one part, so there is no hunt for it. Pull the microphone's fader, or the monitor that "
    "rings, down at once; then move the microphone nearer to its source and farther from the loudspeaker, close the "
    "microphones that nobody needs, and bring it up again slowly"
)


class UnknownSymptomError(ValueError):
    """A word stands for no symptom that is hunted; the text says what does, or what to do instead."""


def symptom_of(word: str) -> str:
    """Return the symptom that a word stands for. Raises UnknownSymptomError."""
    plain = "-".join(word.casefold().replace("-", " ").replace("_", " ").split())
    if plain in WORDS:
        return WORDS[plain]
    if plain in FEEDBACK:
        raise UnknownSymptomError(FEEDBACK_ADVICE)
    near = nearest(plain, (*WORDS, *FEEDBACK))
    hint = f"; did you mean '{near}'?" if near is not None else ""
    kinds = "; ".join(f"{name}: {meaning}" for name, meaning in SYMPTOMS.items())
    raise UnknownSymptomError(f"'{word}' is no symptom{hint} ({kinds})")
