"""The rescue as text: who is lost, who goes where, what to write on it, and what has to be patched."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lint.check.engine import Checked
from lint.plan.inputs import Plug
from lint.plan.outage import Outage
from lint.plan.phantom import NEEDED, phantom_need
from lint.plan.spares import Rescue
from lint.report.layout import MARKS, counted, paint, wrapped
from lint.report.whatif import PLUG_CARE, handling_words, verdict_words
from lint.rig.rig import Rig

MOST_OUTLIVED = 3


def spares_text(outage: Outage, rescue: Rescue, checked: Checked) -> str:
    """Return the whole rescue."""
    rig = rescue.cure.result.rig
    parts = [wrapped(outage.words[0].upper() + outage.words[1:], "", "  "), _summary(rescue)]
    if outage.spare:
        parts.append(
            wrapped(f"First of all try its tested spare ({outage.spare}). With that in place nothing below is needed.")
        )
    parts += ["\n".join(rows) for rows in (list(_left(rescue)), list(_steps(outage, rescue))) if rows]
    if rescue.places:
        parts.append("\n".join(_labels(rescue, rig)))
    wrong = [words for words in rescue.cure.unmet if not any(plug.source in words for plug in rescue.left)]
    if wrong:
        lines = [wrapped(words, f"{MARKS['no-go']} ", "  ") for words in wrong]
        parts.append("\n".join(("Still wrong, whatever is plugged", *lines)))
    parts.append(f"The whole check after it: {verdict_words(checked)}")
    return "\n\n".join(parts) + "\n"


def _summary(rescue: Rescue) -> str:
    if not rescue.lost:
        return paint("No source loses its socket.", "go", bold=True)
    lost, saved = len(rescue.lost), len(rescue.places)
    names = _names(rescue.lost)
    counts = f"{counted(lost, 'source')} lost: {names}."
    verdict = f"All of them find a socket ({rescue.free} free)." if not rescue.left else (
        f"{saved} find a socket, {len(rescue.left)} do not ({rescue.free} free)."
    )  # fmt: skip
    proof = "" if rescue.proved else " The best found; not proved to be the best."
    return wrapped(counts) + "\n" + paint(wrapped(verdict + proof), "go" if not rescue.left else "no-go", bold=True)


def _names(plugs: Sequence[Plug]) -> str:
    return ", ".join(dict.fromkeys(plug.source for plug in plugs))


def _steps(outage: Outage, rescue: Rescue) -> Iterator[str]:
    todo = [*outage.cabling, *(handling_words(handling) for handling in rescue.cure.handlings), *rescue.cure.turns]
    if not todo:
        return
    yield "What to do, in this order"
    if rescue.cure.handlings:
        yield wrapped(PLUG_CARE, "  care: ", "        ")
    for number, words in enumerate(todo, start=1):
        yield wrapped(words, f"  {number:>2}. ", "      ")


def _labels(rescue: Rescue, rig: Rig) -> Iterator[str]:
    """Yield what is written on the tape at each new socket: its source, its channel, and whether it has phantom."""
    yield "New labels"
    rows = [("socket", "source", "channel", "phantom", "carried")]
    for plug, socket in sorted(rescue.places.items(), key=lambda row: row[1]):
        channels = " and ".join(
            rig.channel_words(channel).removeprefix("channel ") for channel in rescue.channels[plug]
        )
        on = phantom_need(rig.sources[plug.source]) == NEEDED
        rows.append((str(socket), plug.source, channels, "on" if on else "", f"{rescue.way_m[plug]:g} m"))
    widths = [max(len(row[column]) for row in rows) for column in range(5)]
    for row in rows:
        yield "  " + "  ".join(cell.ljust(wide) for cell, wide in zip(row, widths, strict=True)).rstrip()


def _left(rescue: Rescue) -> Iterator[str]:
    if not rescue.left:
        return
    yield paint("No socket is left for", "no-go", bold=True)
    for plug in rescue.left:
        channels = rescue.channels[plug]
        where = f" (channel {', '.join(str(channel.number) for channel in channels)})" if channels else ""
        yield paint(f"{MARKS['no-go']} {plug.source}{where}", "no-go")
    if rescue.outlived:
        names = ", ".join(f"{plug.source} ({plug.socket})" for plug in rescue.outlived[:MOST_OUTLIVED])
        yield wrapped(f"To make room, unplug what matters less by its priority: {names}.", "  ")
    else:
        yield wrapped("Nothing that works matters less by its priority; add a box, or go without.", "  ")
