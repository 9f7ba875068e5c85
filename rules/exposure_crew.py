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
    printed,
)
from lint.resolve.mixup import nested
from lint.rig.plant import Exposure
from lint.rules._exposure import LAW, ROUNDING, stretches, tenth_up, turned_down

_WHY = """\
The crew hears every rehearsal and every service, week by week: its day adds up, and a loud hour counts as much as a
quiet day. A dose of 100 % is where the chosen criterion ends; it is no promise below that. Single peaks are not in the
plan, and not checked: an alarm in the ears or a dull hour afterwards is reason enough to turn down."""


_LOOK = "measure on the day, and see what local law asks for from here on: information, protection, hearing checks"


class _Scale(NamedTuple):
    """A criterion, and the dose in percent that is told though it is not over; `counted` may differ from `limit`."""

    words: str
    limit: Criterion
    counted: Criterion
    look_percent: float
    look_words: str
    look_severity: Severity


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
        "NIOSH 98-126; OSHA 29 CFR 1910.95 (permissible limit counted from 90 dBA, action level 50 % counted from "
        "80 dBA; by the formula of Table G-16A); Directive 2003/10/EC (85 dB upper, 80 dB lower action value). Where "
        "the house names no criterion, NIOSH; half of NIOSH's dose, a note, is our own choice"
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
    """Yield one finding for the crew's day, a no-go where the dose is over 100 %; silent where nothing is planned."""
    levels = rig.rig.sound_levels
    if levels is None or not levels.crew:
        return
    scale = SCALES[levels.criterion or "niosh"]
    dose = dose_percent(stretches(levels.crew), scale.limit)
    counted = dose_percent(stretches(levels.crew), scale.counted)
    over = dose > 100 * (1 + ROUNDING)
    if not over and counted < scale.look_percent * (1 - ROUNDING):
        return
    taken = "" if levels.criterion else ", taken because the house names no criterion"
    if over:
        dose = tenth_up(dose)
        why = f"as much as {DAY_HOURS:g} h at {printed(average_level_dba(dose, scale.limit), 1)} dBA"
    else:
        why = scale.look_words.format(printed(counted, 1))
    yield Finding(
        f"the crew's planned day is {printed(dose, 1)} % by {scale.words}{taken}: {why}.",
        (rig.place(("sound_levels", "crew"), "crew"),),
        tuple(_turn_down(levels.crew, scale.limit, dose)) if over else (Cure(_LOOK),),
        {"dose_percent": float(printed(dose, 1)), "criterion": scale.limit.name},
        severity=None if over else scale.look_severity,
    )


def _turn_down(crew: tuple[Exposure, ...], criterion: Criterion, dose: float) -> Iterator[Cure]:
    """Two ways out: everything lower by what the dose is over, or as many people as it takes to share it."""
    by_db = tenth_up(average_level_dba(dose, criterion) - criterion.level_dba)
    change = nested(("sound_levels", "crew"), turned_down(crew, by_db))
    yield Cure(f"turn the whole day down by {by_db:g} dB at the crew's ears, by level or by distance", change)
    people = math.ceil(dose / 100 - ROUNDING)
    yield Cure(f"let {people} people take equal turns, and plan one person's part of it here")
