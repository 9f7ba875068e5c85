"""All sheets of a rig as one page, in the order in which a crew takes them off the printer."""

from __future__ import annotations

from collections.abc import Iterator

from lint.check.engine import Checked
from lint.check.left_out import rules_off, silent_parts, waived
from lint.page.page import Block, Page, Picture, Section, Words
from lint.picture.chain import chain_picture, chain_words
from lint.picture.crossbar import READING as CROSSBAR
from lint.picture.crossbar import crossbar_picture, crossbar_words
from lint.picture.stage import READING as STAGE
from lint.picture.stage import stage_picture, stage_words
from lint.rig.rig import Event
from lint.sheet.boxes import PLUGGING, box_sections
from lint.sheet.console import console_sections, local_section, sends_section
from lint.sheet.marks import Marks
from lint.sheet.stage import circuit_section, label_section, monitor_section, selector_line

# The sheets by the names they are asked for with --only.
KEYS = ("overview", "stage", "boxes", "console", "local", "outputs", "signals", "monitors", "circuits", "labels")
FINDINGS = "The findings on this sheet"
VERDICTS = {"go": "✓ GO", "go-with-cautions": "! GO WITH CAUTIONS", "no-go": "✗ NO-GO"}


def sheet_book(checked: Checked) -> Page:
    """Return every sheet that the rig gives rise to."""
    rig = checked.resolved
    marks = Marks(checked)
    crew = ", ".join(f"{role.replace('-', ' ')} {who}" for role, who in rig.rig.crew.items())
    subtitle = " — ".join(filter(None, (event_times(rig.rig.event), crew, rig.rig.file)))
    title = event_title(rig.rig.event, rig.rig.file)
    sections = tuple(_readable_alone(_sheets(checked, marks), marks))
    return Page(title, subtitle, sections, (_foot(),), rig.rig.file)


def _sheets(checked: Checked, marks: Marks) -> Iterator[Section | None]:
    rig = checked.resolved
    yield _overview(checked, marks)
    yield _stage(checked, marks)
    yield from box_sections(rig, marks)
    yield from console_sections(rig, marks)
    yield local_section(rig, marks)
    yield sends_section(rig, marks)
    yield _signals(checked, marks)
    yield monitor_section(rig, marks)
    yield circuit_section(rig, marks)
    yield label_section(rig, marks)


def _readable_alone(sheets: Iterator[Section | None], marks: Marks) -> Iterator[Section]:
    """Yield the sheets, each with the findings that it shows by number at its foot: it hangs on a wall by itself.

    A sheet is made when it is asked for; so what was shown since the one before was shown on it.
    """
    marks.shown.clear()
    for sheet in sheets:
        if sheet is not None:
            has_them = sheet.key in ("overview", "labels")  # told there already; or cut into pieces
            lines = () if has_them else marks.say(sorted(marks.shown))
            yield sheet._replace(blocks=(*sheet.blocks, Words(FINDINGS, lines, is_small=True))) if lines else sheet
        marks.shown.clear()


def event_title(event: Event, file: str) -> str:
    """Return what the rig is set up for, in one line."""
    return ", ".join(filter(None, (event.name, event.date.isoformat() if event.date else ""))) or file


def event_times(event: Event) -> str:
    """Return when the doors open and when it starts."""
    times = (f"doors {event.doors}" if event.doors else "", f"start {event.start}" if event.start else "")
    return ", ".join(filter(None, times))


def _overview(checked: Checked, marks: Marks) -> Section:
    rig = checked.resolved
    verdict = VERDICTS[checked.verdict.value]
    blocks: list[Block] = [PLUGGING]
    if line := selector_line(rig, marks):
        blocks.append(line)
    if rig.rig.boxes:
        blocks.append(Picture("The chain", chain_picture(rig, marks, "overview-chain"), chain_words(rig, marks)))
    beside = [*waived(checked), *(f"The rule {row}" for row in rules_off(checked))]
    none = f"No no-go and no caution stands{', beside what is accepted or not looked for below' if beside else ''}."
    blocks.append(Words(f"The check of the rig file says {verdict}", marks.lines, none))
    if beside:
        blocks.append(Words("Accepted on purpose, or not looked for", tuple(beside)))
    if parts := silent_parts(checked):
        blocks.append(Words("Not checked, because the rig does not speak of it", (f"{', '.join(parts)}.",)))
    return Section("overview", "Overview", tuple(blocks))


def _stage(checked: Checked, marks: Marks) -> Section:
    rig = checked.resolved
    return Section(
        "stage", "The stage", (Picture("", stage_picture(rig, marks, "the-stage"), stage_words(rig, marks), STAGE),)
    )


def _signals(checked: Checked, marks: Marks) -> Section | None:
    rig = checked.resolved
    consoles = [
        console.name for console in rig.rig.consoles if any(desk == console.name for desk, _ in rig.rig.channels)
    ]
    pictures = tuple(
        Picture(
            name, crossbar_picture(rig, marks, name, f"signals-{index}"), crossbar_words(rig, name, marks), CROSSBAR
        )
        for index, name in enumerate(consoles)
    )
    return Section("signals", "What goes where", pictures) if pictures else None


def _foot() -> str:
    return (
        "Printed by rigwalk from the rig file. It says what was checked in that file; what is really plugged in, the "
        "walk finds out."
    )
