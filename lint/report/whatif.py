"""What if, as text: the worst first, then what everything becomes, the check, and the ways to mend it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lint.check.finding import Severity
from lint.page.layout import MARKS, counted, paint, width, wrapped
from lint.plan.cures import CONSOLE, FEWEST, PLUGS, Cure
from lint.plan.distance import lacking_words
from lint.plan.effect import OutputChange, SourceChange
from lint.plan.ends import FIRST_SERVED
from lint.plan.quiet_words import channels_words
from lint.plan.relaying import to_fetch
from lint.plan.whatif import WhatIf
from lint.report.follows import following, following_words
from lint.report.steps import (
    MAINS_CARE,
    MOST_NAMES,
    WEIGHTY,
    care_lines,
    handling_words,
    named,
    numbered,
    standing_lines,
    verdict_name,
    verdict_words,
    wrong_lines,
)
from lint.rig.address import Slot, Socket
from lint.rig.rig import Channel

TITLES = {
    CONSOLE: "(a) Leave the plugs, change the console",
    PLUGS: "(b) Leave the console, move plugs",
    FEWEST: "(c) The fewest patches and plugs",
}
AIM = (
    f"What matters most by its priority is put right first, {FIRST_SERVED}; "
    "then as much as can be, by the fewest changes. Who can be heard from where they are plugged in is unplugged for "
    "nobody, however much more that matters: `rigwalk spares` names whose place would save whom."
)
LINKS_STAY = "None of them lays link cables otherwise than the change itself."
_SCREEN = 24  # lines that an ordinary terminal shows
_MOST_TOLD = 3  # of all that is wrong: in short, and in the message that a cure is none


def whatif_text(plan: WhatIf) -> str:
    """Return everything that follows from the edits."""
    parts = ["\n".join(wrapped(f"What if {edit.words}", "", "  ") for edit in plan.edits), _summary(plan)]
    parts += ["\n".join(rows) for rows in (list(_first(plan)),) if rows]
    parts += list(_worst(plan))
    if plan.cures:
        parts.append(_ways(plan))
    if plan.effect.sources:
        parts.append("\n".join(("What each source becomes", *_table(plan))))
    if hearing := list(_hearing(plan)):
        parts.append("\n".join(("What is heard where", *hearing)))
    parts.append("\n".join(_check(plan)))
    parts += list(_cures(plan))
    if sum(part.count("\n") + 2 for part in parts) > _SCREEN:  # the top has scrolled away
        ways = [wrapped(f"To mend it: {_ways_words(plan)}.", "", "  ")] if plan.cures else []
        short = (
            "In short (all of it stands above)",
            _summary(plan),
            *_astray(plan),
            *_phantom(plan),
            *_lacking(plan),
            *ways,
        )
        parts.append("\n".join(short))
    return "\n\n".join(parts) + "\n"


def _summary(plan: WhatIf) -> str:
    effect = plan.effect
    if not effect:
        counts = "Nothing else changes: every source and destination stays what it is."
    else:
        rows = (
            (len(effect.astray), "wrong mix at a destination", "wrong mixes at destinations"),
            (len(effect.silent), "source silent", "sources silent"),
            (len(effect.gone_silent), "output silent", "outputs silent"),
            (plan.wrong_channels, "channel with another source or none", "channels with another source or none"),
        )
        wrong = [counted(*row) for row in rows if row[0]]
        counts = ", ".join(wrong) + "." if wrong else "Nothing more goes silent, and no channel gets another source."
    verdict = plan.checked.verdict.value
    words = paint(verdict_name(plan.checked.verdict), verdict, bold=True)
    return f"{words}  {counts}" if len(counts) < width() - 20 else f"{words}\n{wrapped(counts)}"


def _first(plan: WhatIf) -> Iterator[str]:
    """Yield what comes before any cure: cautions, cables that don't reach, the spare of what is lost."""
    if any(edit.is_mains for edit in plan.edits):
        yield wrapped(f"CAUTION: {MAINS_CARE}", "", "  ")
    yield from _phantom(plan)
    yield from _lacking(plan)
    for edit in plan.edits:
        if edit.spare:
            yield wrapped(
                "First of all, everything turned down and ears out (a link cable that comes back may send noise at "
                f"full level), try the tested spare cable ({edit.spare}); a dead cable and a dead port look the same."
            )
        if edit.lost:
            command = f"rigwalk spares {plan.before.rig.file} {edit.lost}"
            yield wrapped(f"`{command}` says how to carry on without {edit.lost}: which plugs go where.")


def _lacking(plan: WhatIf) -> Iterator[str]:
    """Yield the link cables that don't reach."""
    if any(lack.need_m is not None for lack in plan.lacks):
        yield _bad(lacking_words(plan.lacks))
    elif plan.lacks:  # nobody knows that they do not
        yield paint(wrapped(lacking_words(plan.lacks), f"{MARKS['caution']} ", "  "), "caution")


def _phantom(plan: WhatIf) -> Iterator[str]:
    """Yield what phantom power would harm, then where it stays on while another source arrives."""
    for name, switched in plan.harmed.items():
        source = plan.after.rig.sources[name]
        at = " and ".join(str(socket) for socket in source.sockets if plan.after.phantom.is_live(socket))
        by = channels_words(plan.after, switched)
        yield _bad(
            f"{name} ({at}) must not have phantom power, and would get it by {by}. Mute and switch it off there before "
            "anything is moved."
        )
    rows = [row.channel for row in plan.phantom_astray if row.gets and row.gets != (row.wanted,)]
    if rows:
        channels, them = channels_words(plan.after, rows), "it" if len(rows) == 1 else "them"
        words = (
            f"Phantom power is on at {channels}, where another source arrives then. Mute {them} and switch the phantom "
            "power off before anything is moved; a file written without --cure keeps it on."
        )
        yield paint(wrapped(words, f"{MARKS['caution']} ", "  "), "caution")


def _hearing(plan: WhatIf) -> Iterator[str]:
    """Yield what is heard otherwise, ends that hear the same together; those that get another signal are told above."""
    told = {row.end.name for row in plan.effect.outputs}
    alike: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for row in plan.effect.hearing:
        if row.end.name not in told:
            alike.setdefault((tuple(row.gained), tuple(row.lost)), []).append(row.end.name)
    for (gained, lost), ends in alike.items():
        parts = [f"newly heard: {named(gained)}"] if gained else []
        parts += [f"no longer: {named(lost)}"] if lost else []
        yield wrapped(f"{', '.join(ends)}: {'; '.join(parts)}", "  ", "    ")


def _worst(plan: WhatIf) -> Iterator[str]:
    effect = plan.effect
    if effect.astray:
        yield "\n".join(("Heard where it should not be", *(_output_line(row) for row in effect.astray)))
    silent = [_bad(f"{row.end.name} ({row.socket}) carried {row.was}") for row in effect.gone_silent]
    if effect.silent:
        many = len(effect.silent) > MOST_NAMES
        label = f"{len(effect.silent)} sources: " if many else ""
        why = {row.name: " (without phantom power)" for row in effect.sources if row.is_unpowered}
        silent.insert(0, _bad(label + ", ".join(name + why.get(name, "") for name in effect.silent)))
    if silent:
        yield "\n".join(("Goes silent", *silent))
    if effect.house_lost:
        names = ", ".join(_by_priority(plan, effect.house_lost))
        yield "\n".join(("No longer heard in the house, only elsewhere", _bad(names)))
    restored = [row for row in effect.outputs if row.now is not None and row.danger == 3]
    if restored:
        yield "\n".join(("Becomes right", *(wrapped(f"  {_output_words(row)}", "", "    ") for row in restored)))


def _astray(plan: WhatIf) -> Iterator[str]:
    """Yield the worst of what is heard where it should not be, and how many more there are."""
    astray = plan.effect.astray
    yield from map(_output_line, astray[:_MOST_TOLD])
    if len(astray) > _MOST_TOLD:
        yield f"  and {len(astray) - _MOST_TOLD} more"


def _by_priority(plan: WhatIf, names: Sequence[str]) -> list[str]:
    return sorted(names, key=lambda name: plan.before.rig.sources[name].priority)


def _bad(text: str) -> str:
    return paint(wrapped(text, f"{MARKS['no-go']} ", "  "), "no-go")


def _output_line(row: OutputChange) -> str:
    return _bad(_output_words(row))


def _output_words(row: OutputChange) -> str:
    was = f", before {row.was or 'nothing'}" if row.was != row.expected else ""
    return f"{row.end.name} ({row.socket}) gets {row.now}; it expects {row.expected}{was}"


def _table(plan: WhatIf) -> Iterator[str]:
    """Yield a row a source: where it is plugged in, the points and the channels it was on and is on."""
    changed = sorted(plan.effect.sources, key=lambda row: _flow(row.was_at or row.now_at or row.socket))
    links = {str(at.port) if isinstance(at, Slot) else "" for row in changed for at in (row.was_at, row.now_at) if at}
    only = next(iter(links)) if len(links) == 1 else ""
    rows = [("source", "plugged into", f"slot of {only}" if only else "arrives on", "channel")]
    rows += [_source_row(plan, row, only) for row in changed]
    widths = [max(len(row[column]) for row in rows) for column in range(3)]
    for row in rows:
        cells = [cell.ljust(wide) for cell, wide in zip(row[:3], widths, strict=True)]
        yield f"  {'  '.join((*cells, row[3]))}".rstrip()


def _flow(at: Slot | Socket) -> tuple[str, str, int]:
    return (str(at.port), "", at.number) if isinstance(at, Slot) else (at.device, at.side, at.number)


def _source_row(plan: WhatIf, row: SourceChange, only: str) -> tuple[str, str, str, str]:
    was, now = (_point(at, only) for at in (row.was_at, row.now_at))
    silent = ", without phantom power" if row.is_unpowered else ""
    on = _numbers(plan, row.was_on), _numbers(plan, row.now_on) + silent
    return (
        row.name,
        str(row.socket),
        was if was == now else f"{was} → {now}",
        on[0] if on[0] == on[1] else " → ".join(on),
    )


def _point(at: Slot | Socket | None, only: str) -> str:
    if at is None:
        return "none"
    return str(at.number) if only and isinstance(at, Slot) else str(at)


def _numbers(plan: WhatIf, channels: Sequence[Channel]) -> str:
    several = len(plan.before.rig.consoles) > 1
    words = [f"{channel.console} {channel.number}" if several else str(channel.number) for channel in channels]
    return " and ".join(words) or "none"


def _check(plan: WhatIf) -> Iterator[str]:
    findings = [finding for finding in plan.checked.findings if finding.waived is None]
    yield f"The whole check of that rig: {verdict_words(plan.checked)}"
    for severity in Severity:
        rows = [finding for finding in findings if finding.weight is severity]
        together = following(plan, rows)
        told = [f"new: {following_words(plan, together)}"] if together else []
        rest = (finding for finding in rows if finding not in together)
        told += [f"{'new: ' if plan.is_new(row) else ''}{row.message} ({row.rule})" for row in rest]
        yield from (paint(wrapped(words, f"{MARKS[severity.value]} ", "  "), severity.value) for words in told)


def _ways(plan: WhatIf) -> str:
    """Say what each cure takes, before all that follows: the choice is made by that."""
    lost = next((edit.lost for edit in plan.edits if edit.lost), "")
    relays = f"{LINKS_STAY} `rigwalk spares` does: fewer changes may be enough." if lost else LINKS_STAY
    told = [wrapped(f"To mend it, step by step below: {_ways_words(plan)}.", "", "  "), wrapped(relays)]
    if any(cure.unmet and cure.changes for cure in plan.cures.values()):
        told.append(wrapped(AIM))
    return "\n".join(told)


def _ways_words(plan: WhatIf) -> str:
    words = []
    for way, cure in plan.cures.items():
        same = _same(plan, cure)
        words.append(f"{TITLES[way][:3]} {f'the same as {TITLES[same][:3]}' if same else _count(plan, cure)}")
    return "; ".join(words)


def _same(plan: WhatIf, cure: Cure) -> str | None:
    """Return the way of an earlier cure that does the same; those that do nothing say so themselves."""
    earlier = (way for way, other in plan.cures.items() if other.patch == cure.patch and cure.changes)
    found = next(earlier, cure.way)
    return found if found != cure.way else None


def _cures(plan: WhatIf) -> Iterator[str]:
    if not plan.cures:
        yield "Nothing to mend: every channel and destination gets what it is meant to."
        if plan.made:
            steps = _steps(plan, plan.doing)
            yield "\n".join(
                ("How to make the change", *care_lines((), plan.moves_plugs, plan.moves_links), *numbered(steps))
            )
        return
    for way, cure in plan.cures.items():
        same = _same(plan, cure)
        yield f"{TITLES[way]}: the same as {TITLES[same][:3]}." if same else "\n".join(_cure(plan, cure))


def _cure(plan: WhatIf, cure: Cure) -> Iterator[str]:
    title = wrapped(f"{TITLES[cure.way]}: {_count(plan, cure)}", "", "    ")
    yield paint(title, "go" if not cure.unmet and not _no_gos(plan, cure) else "caution", bold=True)
    if not cure.changes:
        return
    yield from care_lines(cure.handlings, plan.moves_plugs, plan.moves_links)
    yield from numbered(_steps(plan, cure))
    if cure.unmet:
        yield wrapped(f"It can't put right {counted(len(cure.unmet), 'thing')}; the best it can leaves:", "  ")
        yield from wrong_lines(cure.unmet, "  ")
    checked = plan.cured(cure.way)
    yield f"  Resolved again: {verdict_words(checked)}"
    if idle := [step for step in cure.handlings if step.is_idle]:
        # A rig file can't say that a plug lies about.
        where = ", ".join(f"{step.plug} in {step.end}" for step in idle)
        yield wrapped(f"The check reads the file: it has what you leave unplugged in a free socket ({where}).", "  ")
    yield from standing_lines(checked, WEIGHTY, "  ")


def _steps(plan: WhatIf, cure: Cure) -> list[str]:
    spares = to_fetch(plan.before, plan.after)
    return [*(lack.fetching for lack in plan.lacks), *spares, *steps_of(cure, plan.made_without(cure.quiet.out))]


def steps_of(cure: Cure, made: Sequence[str] = ()) -> list[str]:
    """Return everything that is to be done, in its order; what is muted comes before the change itself (`made`)."""
    moves = map(handling_words, cure.handlings)
    return [*cure.quiet.first, *made, *cure.turns, *moves, *cure.quiet.last]


_ALONE = {CONSOLE: "the console alone", PLUGS: "moving plugs alone", FEWEST: "no change of console or plugs"}


def no_cure_words(plan: WhatIf, way: str) -> str:
    """Say that a way to mend helps nothing, what would have to be put right, and which other way does how much."""
    wrong = plan.mending.unmet
    can = "can mend" if way == FEWEST else "can't mend"
    told = "; ".join(row.what for row in wrong[:_MOST_TOLD]) + (
        f"; and {len(wrong) - _MOST_TOLD} more" if len(wrong) > _MOST_TOLD else ""
    )
    words = f"{_ALONE[way]} {can} any of {counted(len(wrong), 'thing')} that would be wrong ({told})"
    others = [
        f"--cure {other} puts {len(wrong) - len(cure.unmet)} of them right"
        if len(cure.unmet) < len(wrong)
        else f"--cure {other} puts right what comes first, and as many others wrong"
        for other, cure in plan.cures.items()
        if cure.changes
    ]
    return f"{words}; {', '.join(others) or 'without --cure the changed rig is written as it is'}"


def _count(plan: WhatIf, cure: Cure) -> str:
    if not cure.changes:
        return "nothing was found that helps"
    moved = [handling for handling in cure.handlings if not handling.is_on_the_way]  # each a plug: a split has several
    plugs, away = len(moved), sum(handling.is_carried for handling in moved)
    turns = len(cure.turns) + cure.quiet.switched
    parts = [counted(turns, "change at the console or a box", "changes at the console or a box")] if turns else []
    if plugs:
        extra = len(cure.handlings) - plugs
        more = f" ({f'{away} of them ' if away < plugs else ''}to another device)" if away else ""
        parts.append(counted(plugs, "plug") + more + (f", {counted(extra, 'step')} more to make room" if extra else ""))
    proof = "" if cure.proved else "; fewest found, not proved to be fewest"
    leaves = f"; it leaves {counted(len(cure.unmet), 'thing')} wrong" if cure.unmet else _no_gos(plan, cure)
    return " and ".join(parts) + leaves + proof


def _no_gos(plan: WhatIf, cure: Cure) -> str:
    """Say that the rig is a no-go all the same once a cure is done, where that puts right all that it is asked for."""
    rows = plan.no_gos_left(cure.way)
    return f"; checked again it is NO-GO all the same ({counted(len(rows), 'no-go', 'no-go')})" if rows else ""
