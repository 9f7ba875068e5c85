"""The bench on which mistakes are made: a clean rig, a way to change its data, and what the check says afterwards."""

from __future__ import annotations

import copy
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

from well_formed import hold

from lint.check.catalogue import Catalogue
from lint.check.engine import check_rig
from lint.check.finding import Finding
from lint.read.document import Document, Trail
from lint.read.load import house_folder, load_document
from lint.read.problem import CannotReadError, Problem
from lint.read.schema import require_valid
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.address import Port, Signal, Slot, Socket
from lint.rig.build import build_rig
from lint.rig.model import Models

TODAY = date(2026, 11, 25)
DROP = object()  # as a value: take the key out

Edit = tuple[Trail, Any]


class Slip(NamedTuple):
    """A slip of the pen: what one file of the house says then, and the lines at which a refusal may rightly point."""

    file: str
    text: str
    lines: range


class Site(NamedTuple):
    """One place where a mistake can be made: in words, and the changes of the data that make it, or of a file's text."""

    where: str
    edits: tuple[Edit, ...]
    slip: Slip | None = None


@dataclass(frozen=True)
class Kind:
    """A kind of mistake.

    `expected` are the rules that may honestly report it. `risky` says that it changes what somebody hears or risks.
    With `audible`, a site counts only where the resolved rig differs in what arrives or leaves (see `heard`).
    """

    name: str
    function: Callable[[Base], Iterator[Site]]
    expected: frozenset[str]
    risky: bool
    audible: bool

    @property
    def title(self) -> str:
        """What is done, as the function's documentation says it."""
        return (self.function.__doc__ or "").strip().rstrip(".")


KINDS: dict[str, Kind] = {}


def kind(*expected: str, risky: bool = True, audible: bool = False) -> Callable[..., Callable[[Base], Iterator[Site]]]:
    """Register a kind of mistake, named after its function; no expected rule means that the file must be refused.

    A slip of the pen (see `Slip`) is found only where it is refused with its own line named.
    """

    def register(function: Callable[[Base], Iterator[Site]]) -> Callable[[Base], Iterator[Site]]:
        name = function.__name__.replace("_", "-")
        assert name not in KINDS, name
        KINDS[name] = Kind(name, function, frozenset(expected), risky, audible)
        return function

    return register


class Base:
    """A clean rig: its merged data, as built and resolved, and what the check says of it."""

    def __init__(self, path: Path, catalogue: Catalogue) -> None:
        self.path = path
        self.name = path.parent.parent.name
        self.catalogue = catalogue
        self.document = load_document(path)
        self.models = Models(house_folder(path))
        self.resolved = self.resolve(self.document.data)
        self.findings = told(check_rig(self.resolved, catalogue, TODAY).findings)

    @property
    def data(self) -> dict[str, Any]:
        """The merged document."""
        return self.document.data

    @cached_property
    def heard(self) -> dict[str, Any]:
        """What arrives and leaves in the clean rig."""
        return heard(self.resolved)

    @cached_property
    def texts(self) -> dict[str, str]:
        """What the files say, by the name that the document knows them by, the rig file last."""
        return {file: Path(file).read_text(encoding="utf-8") for file in sorted(self.document.files)}

    @cached_property
    def lines(self) -> dict[str, list[str]]:
        """The same, line by line."""
        return {file: text.split("\n") for file, text in self.texts.items()}

    def with_slip(self, slip: Slip) -> Path:
        """Return the rig file in a copy of its house where one file says something else."""
        house = house_folder(self.path)
        assert house is not None
        copied = Path(self._scratch.name) / "house"
        if not copied.exists():
            shutil.copytree(house, copied)
        for file, text in self.texts.items():
            now = slip.text if file == slip.file else text
            (copied / Path(file).relative_to(house)).write_text(now, encoding="utf-8")
        return copied / self.path.relative_to(house)

    @cached_property
    def _scratch(self) -> tempfile.TemporaryDirectory[str]:
        return tempfile.TemporaryDirectory()

    def at(self, trail: Trail) -> Any:
        """Return what the clean document holds at a trail, or None."""
        return self.resolved.says(*trail)

    def resolve(self, data: dict[str, Any]) -> ResolvedRig:
        """Return the rig of other data, as if the same files said it. Raises CannotReadError."""
        document = Document(data, self.document.marks, self.document.files, ())
        # The schema looks at each section by itself, and the others are the clean rig's own.
        touched = {
            key: value
            for key, value in data.items()
            if key in ("rig_format", "devices") or value is not self.data.get(key)
        }
        require_valid(Document(touched, self.document.marks, self.document.files, ()), "rig")
        return resolve_rig(build_rig(document, str(self.path), self.models))

    def feeds_with(self, *targets: tuple[Slot | Socket, str | None]) -> tuple[Edit, ...]:
        """Return the edits that send signals at outputs (None: nothing), whatever range a row had."""
        edits: dict[Trail, Any] = {}
        rows: dict[str, dict[str, Any]] = copy.deepcopy(self.data.get("feeds", {}))
        for where, signal in targets:
            side = str(where.port) if isinstance(where, Slot) else f"{where.device}/{where.side}"
            row = rows.setdefault(side, {})
            _spread_row(self, side, row, where.number)
            row.pop(str(where.number), None)
            if signal is not None:
                row[str(where.number)] = signal
            edits["feeds", side] = row
        return tuple(edits.items())


def _spread_row(base: Base, side: str, row: dict[str, Any], number: int) -> None:
    """Break the range that holds an output into single outputs, as a person does who changes one of them."""
    for key in list(row):
        first, _, last = key.partition("-")
        if not last or not int(first) <= number <= int(last):
            continue
        del row[key]
        for one in range(int(first), int(last) + 1):
            where = next(w for w in base.resolved.rig.feeds if _is_at(w, side, one))
            row[str(one)] = words(base.resolved.rig.feeds[where].signal)


def _is_at(where: Slot | Socket, side: str, number: int) -> bool:
    own = str(where.port) if isinstance(where, Slot) else f"{where.device}/{where.side}"
    return (own, where.number) == (side, number)


def words(signal: Signal) -> str:
    """Write a signal as a rig file does."""
    return f"channel/{signal.name.rpartition('/')[2]}" if signal.kind == "channel" else str(signal)


def told(findings: tuple[Finding, ...]) -> Counter[tuple[str, str, str, bool]]:
    """Return the findings by what tells them apart: rule, what it is about, weight, whether it is waived."""
    return Counter((f.rule, f.about, f.weight.value, f.waived is not None) for f in findings)


def heard(rig: ResolvedRig) -> dict[str, Any]:
    """Return what arrives on every channel that says what it carries, leaves at every destination, and is mixed."""
    channels = {
        address: (str(arrival.channel.carries), arrival.sources, str(arrival.effects), arrival.channel.pan)
        for address, arrival in rig.arrivals.items()
        if arrival.channel.carries is not None
    }
    outputs = [(d.name, str(departure.signal), str(wanted)) for d, departure, wanted in rig.outputs()]
    mixes = {mix.name: (sorted(mix.sends), [str(signal) for signal in mix.takes]) for mix in rig.rig.mixes.values()}
    return {"channels": channels, "outputs": outputs, "mixes": mixes}


def changed(data: dict[str, Any], edits: tuple[Edit, ...]) -> dict[str, Any]:
    """Return the data with the edits made, in copies of what they touch alone."""
    result = dict(data)
    own = {id(result)}
    for trail, value in edits:
        here: Any = result
        for step in trail[:-1]:
            below = here.get(step, {}) if isinstance(here, dict) else here[step]
            if id(below) not in own:
                below = copy.copy(below)
                own.add(id(below))
            here[step] = below
            here = below
        if value is not DROP:
            here[trail[-1]] = value
        elif isinstance(here, dict):
            here.pop(trail[-1], None)
        else:
            del here[trail[-1]]
    return result


class Outcome(NamedTuple):
    """What became of one mistake: whether it counts as one, was told, and the findings beyond the clean rig's."""

    base: str
    where: str
    counts: bool
    detected: bool
    refused: tuple[str, ...]
    findings: tuple[tuple[str, str, str], ...]

    @property
    def told(self) -> int:
        """How many things a person reads about this one mistake."""
        return len(self.refused) or len(self.findings)


def make(base: Base, mistake: Kind, site: Site) -> Outcome:
    """Make one mistake and check the rig."""
    if site.slip is not None:
        return _write(base, site, site.slip)
    try:
        resolved = base.resolve(changed(base.data, site.edits))
        counts = not mistake.audible or heard(resolved) != base.heard
        checked = check_rig(resolved, base.catalogue, TODAY)
    except CannotReadError as error:
        problems = tuple(problem.message for problem in error.problems)
        return Outcome(base.name, site.where, True, True, problems, ())
    for finding in (row for row in checked.findings if row.rule in base.catalogue.rules):
        hold(finding, resolved.rig.document, base.catalogue, ())
    extra = _beyond(base, checked.findings)
    detected = any(rule in mistake.expected for rule, _, _ in extra)
    return Outcome(base.name, site.where, counts, detected, (), extra)


def _write(base: Base, site: Site, slip: Slip) -> Outcome:
    """Write one slip into a copy of the files and read them; a slip that says the same as before does not count."""
    path = base.with_slip(slip)
    try:
        document = load_document(path)
        if document.data == base.data:
            return Outcome(base.name, site.where, False, False, (), ())
        require_valid(document, "rig")
        checked = check_rig(resolve_rig(build_rig(document, str(path), base.models)), base.catalogue, TODAY)
    except CannotReadError as error:
        problems = tuple(f"{Path(p.file).name}:{p.line}: {p.message}" for p in error.problems)
        named = any(Path(p.file).name == Path(slip.file).name and _points_at(p, slip.lines) for p in error.problems)
        return Outcome(base.name, site.where, True, named, problems, ())
    return Outcome(base.name, site.where, True, False, (), _beyond(base, checked.findings))


def _points_at(problem: Problem, lines: range) -> bool:
    """Whether a problem stands on one of the lines, or says that what it is about began there."""
    return problem.line in lines or any(f"line {line}:" in problem.message for line in lines)


def _beyond(base: Base, findings: tuple[Finding, ...]) -> tuple[tuple[str, str, str], ...]:
    """Return the findings that the clean rig does not have, and nobody waives."""
    new = told(findings) - base.findings
    return tuple((rule, about, weight) for rule, about, weight, waived in new.elements() if not waived)


def port(device: str, name: str) -> str:
    """Write a port."""
    return str(Port(device, name))
