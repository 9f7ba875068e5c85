"""`rigwalk new --from-inputs`: an input list made into a rig, and told line by line."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from lint.cli.new import check_new, refuse, require_free, write_rig

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lint.resolve.resolved import ResolvedRig
    from lint.start.inputs import InputList
    from lint.start.propose import Assumed, Proposal
    from lint.start.table import Table


def from_list(path: Path, day: str, target: Path) -> None:
    """Write the rig of an input list and check it; what was left out stands in it as comments.

    Leaves with exit status 1 where anything was left out or the rig is no-go. Raises CannotReadError, CannotWriteError.
    """
    from lint.page.layout import counted
    from lint.start.inputs import read_inputs
    from lint.start.propose import propose, sorted_channels
    from lint.start.table import read_table

    require_free(target)
    table = read_table(path)
    house, extends = _house(target)
    boxes = [name for box in house.rig.boxes for name in (box.name, box.label) if name] if house is not None else []
    if house is None:
        _tell_no_house(target)
    listed = read_inputs(table, path, boxes, house is not None and len(house.rig.boxes) == 1)
    proposal = propose(listed, house, extends)
    _name_event(proposal, listed, path, day, house)
    _tell_list(path, table, listed, proposal)
    lines = {row.line for row in listed.inputs} | {row.line for row in listed.unusable}
    count = f"{len(lines - proposal.left_out)} of {counted(len(lines), 'input')} read"
    if not (proposal.plan.sections.get("sources") or proposal.has_own):
        refuse(f"{path}: no row of the list can be used, so nothing was written")
    sorted_channels(proposal.plan)
    proposal.plan.remarks = _remarks(path, listed, proposal, count)
    write_rig(proposal.plan, target, f"Made by rigwalk from the input list {path.name}. Look at what was assumed.")
    is_whole = not (proposal.unusable or listed.doubtful or listed.cells)
    status = check_new(target, about="" if is_whole else "What was read is ")
    typer.echo(f"{count}." if is_whole else f"✗ {count}; what is amiss stands as comments at the top of {target}.")
    raise typer.Exit(status if is_whole else 1)


def _tell_no_house(target: Path) -> None:
    """Say before all else that console and boxes are made up, and how they would be the house's own."""
    from lint.page.layout import wrapped
    from lint.read.load import HOUSE_FILE

    typer.echo(
        wrapped(
            f"✗ No {HOUSE_FILE} stands beside {target} or above it, so the console and the boxes are made up from the "
            f"list. If you have a house, delete the new file, write the house first (rigwalk new {HOUSE_FILE}), and "
            "read the list into its folder rigs.",
            "",
            "  ",
        )
    )


def _house(target: Path) -> tuple[ResolvedRig | None, str]:
    """Return the house that a new file belongs to, and how the file names it; None and nothing where there is none."""
    from lint.read.load import HOUSE_FILE, house_folder
    from lint.resolve.resolved import resolve_rig
    from lint.rig.build import load_rig
    from lint.start.propose import extends_path

    folder = house_folder(target)
    if folder is None or target.name == HOUSE_FILE:
        return None, ""
    house = resolve_rig(load_rig(folder / HOUSE_FILE))
    if not house.rig.consoles:
        refuse(f"{folder}/{HOUSE_FILE}: has no console to patch the list into")
    return house, extends_path(target, folder / HOUSE_FILE)


def _name_event(proposal: Proposal, listed: InputList, path: Path, day: str, house: ResolvedRig | None) -> None:
    """Give the event its date and, where the house does not say one, a name: the list's title, or its file name."""
    from lint.page.plain import shown
    from lint.start.propose import Assumed

    event = {"date": day} if day else {}
    if house is None or not house.rig.event.name:
        name = listed.title or shown(path.stem).replace("_", " ")
        event = {"name": name} | event
        source = "what stands above the list" if listed.title else "the name of the list's file"
        proposal.assumed.insert(0, Assumed(0, "", f"the event is called “{name}”, after {source}"))
    proposal.plan.event = event


def _remarks(path: Path, listed: InputList, proposal: Proposal, count: str) -> list[str]:
    """Return what the new file says of the list: what was left out and why, and what was assumed of the whole."""
    name = path.name
    left_out = [f"line {row.line} of {name} was left out: {row.why}" for row in proposal.unusable]
    doubtful = [f"the column “{head}” of {name} looks like sockets, but was not used" for head in listed.doubtful]
    unread = [f"line {cell.line} of {name}: {cell.why}" for cell in listed.cells]
    assumed = [f"assumed: {one.words}" for one in proposal.assumed if not one.line]
    return [f"{count} from {name}.", *left_out, *doubtful, *unread, *assumed]


def _grouped(assumed: list[Assumed]) -> Iterator[str]:
    """Yield each assumption once, with the rows that it was made for; then what is proposed, row by row."""
    from lint.rig.address import spans

    rows: dict[str, list[Assumed]] = {}
    for one in assumed:
        rows.setdefault("" if one.words.endswith("is proposed") else one.words, []).append(one)
    proposed: dict[str, list[str]] = {}
    for one in rows.pop("", []):
        proposed.setdefault(f"line {one.line} {one.name}", []).append(one.words.removesuffix(" is proposed"))
    for words, those in rows.items():
        names = ", ".join(one.name for one in those if one.name)
        lines = list(dict.fromkeys(one.line for one in those))
        yield f"{names} (line{'s' if len(lines) > 1 else ''} {spans(lines)}): {words}" if names else words
    if proposed:
        yield "proposed: " + "; ".join(f"{row}: {', '.join(words)}" for row, words in proposed.items())


def _tell_list(path: Path, table: Table, listed: InputList, proposal: Proposal) -> None:
    """Say how the list was read, what was assumed and what was left out, line by line."""
    from lint.page.layout import counted, wrapped
    from lint.page.plain import shown
    from lint.rig.address import spans
    from lint.start.table import DELIMITERS

    def say(text: str, indent: str = "") -> None:
        typer.echo(wrapped(shown(text), indent, indent + "  "))

    say(f"{path}: read as {table.encoding}, cells parted by {DELIMITERS[table.delimiter]}.")
    say("Columns: " + ", ".join(f"“{head}” is the {meaning}" for head, meaning in listed.columns) + ".")
    if listed.passed_over:
        say("Passed over: " + ", ".join(f"“{head}”" for head in listed.passed_over) + ".")
    for head in listed.doubtful:
        say(f"✗ “{head}” looks like sockets, but was not used: head it “Socket” and read the list again.")
    if listed.idle:
        said = [f"line {row.line} “{row.why[:40]}”" for row in listed.idle if not row.why.isdigit()]
        unused = spans([row.line for row in listed.idle if row.why.isdigit()])
        rows = ", ".join([*said, *([f"unused channels on lines {unused}"] if unused else [])])
        say(f"Headings, notes and unused channels, passed over: {rows}.")
    if proposal.assumed:
        typer.echo("Assumed:")
    for words in _grouped(proposal.assumed):
        say(words, "  ")
    cells = [cell for cell in listed.cells if cell.line not in proposal.left_out]
    if cells:
        typer.echo(f"Can't be read ({counted(len(cells), 'cell')}; the rows are kept):")
    for cell in cells:
        say(f"line {cell.line}: {cell.why}", "  ")
    if proposal.unusable:
        typer.echo(f"Left out ({counted(len(proposal.left_out), 'row')}):")
    for line in sorted(proposal.left_out):
        say(f"line {line}: {'; '.join(row.why for row in proposal.unusable if row.line == line)}", "  ")
