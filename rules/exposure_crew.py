"""The crew's day is too loud."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from lint import Bad, Cure, Finding, ResolvedRig, Severity, rule
from lint.formula.exposure import (
    DAY_HOURS,
    EU_UPPER_ACTION,
    NIOSH,
    OSHA_ACTION,
    OSHA_LIMIT,
    Criterion,
    average_level_dba,
    dose_percent,
)
from lint.formula.limit import NOISE, exceeds, reaches, told_apart
from lint.resolve.mixup import nested
from lint.rig.plant import Exposure, SoundLevels
from lint.rules._exposure import LAW, next_tenth, stretches, tenth_up, turned_down

_WHY = """\
The crew hears every rehearsal and every service, week by week: its day adds up, and a loud hour counts as much as a
quiet day. A dose of 100 % is where the chosen criterion ends: NIOSH calls that itself hazardous, and from the EU's upper
action value on protectors are to be worn, while OSHA's limit may be reached. It is no promise below that. Single peaks
are not in the plan, and not checked: an alarm in the ears or a dull hour afterwards is reason enough to turn down."""


_LOOK = "measure on the day, and see what local law asks for from here on: information, protection, hearing checks"


class _Scale(NamedTuple):
    """A criterion, and the dose in percent that is told though it is not over; `counted` may differ from `limit`.

    `may_reach`: whether 100 % itself is still allowed.
    """

    words: str
    limit: Criterion
    counted: Criterion
    look_percent: float
    look_words: str
    look_severity: Severity
    may_reach: bool = False


SCALES = {
    "niosh": _Scale(
        "NIOSH (85 dBA over 8 h, 3 dB)",
        NIOSH,
        NIOSH,
        50.0,
        "it reaches half of what a day may be",
        Severity.NOTE,  # no code's value, but our own: nobody need answer for it every week
    ),
    "osha": _Scale(
        "OSHA (90 dBA over 8 h, 5 dB, counted from 90 dBA on)",
        OSHA_LIMIT,
        OSHA_ACTION,
        50.0,
        "counted from 80 dBA on it is {} %, and reaches OSHA's action level of 50 %",
        Severity.CAUTION,
        may_reach=True,  # 29 CFR 1910.95(b): over is what makes more than 1 in sum
    ),
    # The lower action value, 80 dB, is 5 dB of equal energy under the upper one.
    "eu": _Scale(
        "the EU upper action value (85 dB over 8 h, equal energy)",
        EU_UPPER_ACTION,
        EU_UPPER_ACTION,
        100 * 10**-0.5,
        "it reaches the lower action value, 80 dB over 8 h",
        Severity.CAUTION,
    ),
}


@rule(
    title="The crew's planned day is too loud",
    severity="no-go or caution or note",
    family="exposure",
    why=_WHY,
    do="Turn down, shorten the loud parts, take turns, or keep farther away; wear protection where the law asks for it.",
    source=(
        "NIOSH 98-126 (at its limit and above is hazardous); OSHA 29 CFR 1910.95 (permissible limit counted from 90 dBA, "
        "action level 50 % counted from 80 dBA; by the formula of Table G-16A; Table G-16 ends at 115 dBA, and that nothing "
        "louder is permitted is from memory); Directive 2003/10/EC, article 3 (85 dB upper, 80 dB lower action value) and, "
        "from memory, article 6(1)(b) (protectors from the upper one on). Where the house names no criterion, NIOSH; half of "
        "NIOSH's dose, a note, is our own choice"
    ),
    good=[
        "sound_levels: {criterion: niosh, crew: [{what: whole day, level_dba: 80, hours: 8}]}",
        "sound_levels: {criterion: osha, crew: [{level_dba: 80, hours: 15}]}",
        "sound_levels: {criterion: eu, crew: [{level_dba: 88, hours: 1}]}",
    ],
    bad=[
        Bad(
            "sound_levels: {criterion: niosh, crew: [{what: rehearsal, level_dba: 91, hours: 2}, {what: event, level_dba: 94, hours: 2}]}",
            ("the crew's planned day is 300.0 % by NIOSH (85 dBA over 8 h, 3 dB): as much as 8 h at 89.8 dBA.",),
        ),
        Bad(
            "sound_levels: {criterion: osha, crew: [{what: event, level_dba: 87, hours: 7}]}",
            (
                "the crew's planned day is 0.0 % by OSHA (90 dBA over 8 h, 5 dB, counted from 90 dBA on): counted from "
                "80 dBA on it is 57.7 %, and reaches OSHA's action level of 50 %.",
            ),
        ),
        Bad(
            "sound_levels: {criterion: eu, crew: [{what: event, level_dba: 95, hours: 0.5}]}",
            (
                "the crew's planned day is 62.5 % by the EU upper action value (85 dB over 8 h, equal energy): it "
                "reaches the lower action value, 80 dB over 8 h.",
            ),
        ),
        Bad(
            "sound_levels: {criterion: osha, crew: [{what: cannon, level_dba: 120, hours: 0.05}]}",
            (
                "the crew's planned day is at 120 dBA for 0.05 h (cannon): by OSHA nothing over 115 dBA is permitted, however "
                "short.",
            ),
        ),
        Bad(
            "sound_levels: {criterion: eu, crew: [{what: day, level_dba: 85, hours: 8}]}",
            (
                "the crew's planned day is 100.0 % by the EU upper action value (85 dB over 8 h, equal energy), and that "
                "itself is too much: as much as 8 h at 85.0 dBA.",
            ),
        ),
        Bad(
            "sound_levels: {crew: [{what: event, level_dba: 88, hours: 2}]}",
            (
                "the crew's planned day is 50.0 % by NIOSH (85 dBA over 8 h, 3 dB), taken because the house names no "
                "criterion: it reaches half of what a day may be.",
            ),
        ),
    ],
    waivable=False,
    safety=LAW,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding for the crew's day, a no-go where the dose is over; silent where nothing is planned."""
    levels = rig.rig.sound_levels
    if levels is None or not levels.crew:
        return
    scale = SCALES[levels.criterion or "niosh"]
    dose = dose_percent(stretches(levels.crew), scale.limit)
    counted = dose_percent(stretches(levels.crew), scale.counted)
    over = exceeds(dose, 100) or (reaches(dose, 100) and not scale.may_reach)
    loudest = max(levels.crew, key=lambda row: row.level_dba)
    if scale.limit.ceiling_dba is not None and exceeds(loudest.level_dba, scale.limit.ceiling_dba):
        message, cures = _too_loud(loudest, scale.limit), _turn_down(levels.crew, scale, dose)
        over = True
    elif over:
        itself = "" if exceeds(dose, 100) else ", and that itself is too much"
        why = f"as much as {DAY_HOURS:g} h at {average_level_dba(dose, scale.limit):.1f} dBA"
        message, cures = f"{_is(levels, dose, scale)}{itself}: {why}.", _turn_down(levels.crew, scale, dose)
    elif reaches(counted, scale.look_percent):
        why = scale.look_words.format(told_apart(counted, 100, 1))
        message, cures = f"{_is(levels, dose, scale)}: {why}.", iter((Cure(_LOOK),))
    else:
        return
    yield Finding(
        message,
        (rig.place(("sound_levels", "crew"), "crew"),),
        tuple(cures),
        {"dose_percent": round(dose, 2), "criterion": scale.limit.name},
        severity=None if over else scale.look_severity,
    )


def _is(levels: SoundLevels, dose: float, scale: _Scale) -> str:
    taken = "" if levels.criterion else ", taken because the house names no criterion"
    return f"the crew's planned day is {told_apart(dose, 100, 1)} % by {scale.words}{taken}"


def _too_loud(loudest: Exposure, criterion: Criterion) -> str:
    what = f" ({loudest.what})" if loudest.what else ""
    return (
        f"the crew's planned day is at {loudest.level_dba:g} dBA for {loudest.hours:g} h{what}: by {criterion.name} nothing "
        f"over {criterion.ceiling_dba:g} dBA is permitted, however short."
    )


def _turn_down(crew: tuple[Exposure, ...], scale: _Scale, dose: float) -> Iterator[Cure]:
    """Two ways out: everything lower by what it is over, or as many people as it takes to share it.

    Nobody may take even a short turn at what is over the ceiling.
    """
    criterion = scale.limit
    loudest = max(row.level_dba for row in crew)
    by_db = average_level_dba(dose, criterion) - criterion.level_dba
    by_db = tenth_up(by_db) if scale.may_reach else next_tenth(by_db)
    over_ceiling_db = 0.0 if criterion.ceiling_dba is None else tenth_up(loudest - criterion.ceiling_dba)
    by_db = max(by_db, over_ceiling_db)
    change = nested(("sound_levels", "crew"), turned_down(crew, by_db))
    yield Cure(f"turn the whole day down by {by_db:g} dB at the crew's ears, by level or by distance", change)
    if over_ceiling_db <= 0:
        people = math.ceil(dose / 100 - NOISE) if scale.may_reach else math.floor(dose / 100 + NOISE) + 1
        yield Cure(f"let {people} people take equal turns, and plan one person's part of it here")
