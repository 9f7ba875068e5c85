"""The audience's loudest quarter of an hour is over the limit."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, Severity, rule
from lint.formula.exposure import loudest_quarter_hour_dba
from lint.formula.limit import exceeds, told_apart
from lint.resolve.mixup import nested
from lint.rig.build_plant import AUDIENCE_LIMIT_DB
from lint.rig.plant import SoundLevels
from lint.rules._exposure import LAW, stretches, tenth_up, turned_down

_WHY = """\
People in the room did not choose the level, children and the old least of all. The limit is an average over any fifteen
minutes, not a day's dose: a technician who works two hours at 100 dB is far over what a day may be. Single peaks are
not in the plan, and not checked. A house may set a limit of its own; one that is higher than the WHO's is told each week."""


@rule(
    title="The audience's loudest planned quarter of an hour is over the limit",
    severity="no-go or caution",
    family="exposure",
    why=_WHY,
    do="Turn the loudest part down, and measure LAeq over 15 minutes at the loudest place that people can be in.",
    source=(
        "WHO Global standard for safe listening venues and events (2022): 100 dB LAeq over 15 minutes, where the house "
        "sets no limit of its own. The fifteen loudest minutes of the plan are taken as if they came one after another"
    ),
    good=[
        "sound_levels: {audience: [{what: concert, level_dba: 100, hours: 2}]}",
        "sound_levels: {audience: [{what: speech, level_dba: 75, hours: 1}, {what: finale, level_dba: 103, hours: 0.1}]}",
    ],
    bad=[
        Bad(
            "sound_levels: {audience: [{what: concert, level_dba: 102, hours: 1.5}]}",
            ("the audience's loudest planned quarter of an hour is 102.0 dB LAeq; the limit is 100 dB.",),
        ),
        Bad(
            "sound_levels: {audience_limit_db: 90, audience: [{what: hymns, level_dba: 84, hours: 1}, {what: organ, level_dba: 98, hours: 0.05}]}",
            ("the audience's loudest planned quarter of an hour is 91.7 dB LAeq; the limit is 90 dB.",),
        ),
        Bad(
            "sound_levels: {audience_limit_db: 103, audience: [{what: concert, level_dba: 101, hours: 1}]}",
            (
                "the house's own limit for the audience, 103 dB, is over the 100 dB LAeq in 15 minutes of the WHO's standard; "
                "the audience's loudest planned quarter of an hour is 101.0 dB LAeq.",
            ),
        ),
    ],
    waivable=False,
    safety=LAW,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding for the audience, or for a limit that was raised; silent where nothing is planned for it."""
    levels = rig.rig.sound_levels
    if levels is None:
        return
    if exceeds(levels.audience_limit_db, AUDIENCE_LIMIT_DB):
        yield _raised(rig, levels)
    if not levels.audience:
        return
    level_dba, limit_db = loudest_quarter_hour_dba(stretches(levels.audience)), levels.audience_limit_db
    if not exceeds(level_dba, limit_db):
        return
    by_db = tenth_up(level_dba - limit_db)
    change = nested(("sound_levels", "audience"), turned_down(levels.audience, by_db))
    yield Finding(
        f"the audience's loudest planned quarter of an hour is {told_apart(level_dba, limit_db, 1)} dB LAeq; the limit is {limit_db:g} dB.",
        (rig.place(("sound_levels", "audience"), "audience"),),
        (Cure(f"plan, and mix, the audience's whole programme {by_db:g} dB lower", change),),
        {"laeq_15_min_db": round(level_dba, 2), "limit_db": limit_db},
    )


def _raised(rig: ResolvedRig, levels: SoundLevels) -> Finding:
    """Tell that the house's limit is higher than the one that holds without it: never in silence."""
    limit_db = levels.audience_limit_db
    planned = ""
    if levels.audience:
        level_dba = loudest_quarter_hour_dba(stretches(levels.audience))
        planned = f"; the audience's loudest planned quarter of an hour is {level_dba:.1f} dB LAeq"
    return Finding(
        f"the house's own limit for the audience, {limit_db:g} dB, is over the {AUDIENCE_LIMIT_DB:g} dB LAeq in 15 minutes "
        f"of the WHO's standard{planned}.",
        (rig.place(("sound_levels", "audience_limit_db"), "audience_limit_db"),),
        (
            Cure(
                "take the house's limit out, and plan by the WHO's", nested(("sound_levels", "audience_limit_db"), None)
            ),
            Cure("see that local law allows it, and offer hearing protection and a quiet place to everybody who comes"),
        ),
        {"limit_db": limit_db, "who_limit_db": AUDIENCE_LIMIT_DB},
        severity=Severity.CAUTION,
    )
