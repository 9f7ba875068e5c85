"""What a walk stands on: the checked rig, the checklist and the items they make, with the digests of all three."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from lint.check.catalogue import load_catalogue
from lint.check.engine import Checked, check_file
from lint.check.finding import Finding, Severity
from lint.check.rule import Rule
from lint.read.load import house_folder
from lint.walk.items import Plan, expand
from lint.walk.template import Template, load_template

Digest = Callable[[Any], str]
# What tells a file's present state from another: modification time in nanoseconds, and size.
Stamps = Mapping[str, tuple[int, int]]


@dataclass(frozen=True)
class Basis:
    """The rig as read now, and what it makes of the checklist. `rig` is the file's path inside its house.

    `house` is the name of the house's folder, which tells a record from another house's.
    """

    rig: str
    checked: Checked
    template: Template
    plan: Plan
    rig_digest: str
    template_digest: str
    rules_digest: str
    stamps: Stamps
    house: str = ""

    @property
    def no_gos(self) -> list[Finding]:
        """The findings that stand in the way of a go: unwaived, and of the heaviest weight."""
        return [
            finding for finding in self.checked.findings if finding.weight is Severity.NO_GO and finding.waived is None
        ]

    @property
    def is_current(self) -> bool:
        """Whether the files are still as they were when they were read."""
        return _stamps(self.stamps) == self.stamps


def load_basis(rig: Path, checklist: str, digest: Digest, today: date) -> Basis:
    """Read the rig and the checklist, check the rig, and write the checklist out over it.

    Raises CannotReadError.
    """
    house = house_folder(rig)
    template = load_template(checklist, house)
    # Stamped before it is read: a change that comes between is then seen as one.
    before = _stamps([str(rig), *template.files])
    checked = check_file(rig, load_catalogue(), today)
    house_rules = [rule.file for rule in checked.catalogue.rules.values() if rule.file]
    others = [file for file in (*checked.resolved.rig.document.files, *house_rules) if file not in before]
    return Basis(
        rig_name(rig, house),
        checked,
        template,
        expand(template, checked),
        digest({"rig": checked.resolved.rig.document.data, "models": _models(checked)}),
        digest(dict(template.data)),
        digest(rules_in_use(checked)),
        {**before, **_stamps(others)},
        (house or rig.absolute().parent).name,
    )


def _models(checked: Checked) -> dict[str, str]:
    """Return what each model in use says: the same rig on another model of a box is another rig."""
    models = {device.model.name: device.model for device in checked.resolved.rig.devices.values()}
    return {name: repr(model) for name, model in models.items()}


def rules_in_use(checked: Checked) -> dict[str, list[str]]:
    """Return what tells the rules that a rig was checked by from others, or from other versions of them."""
    return {name: _rule(rule) for name, rule in checked.catalogue.rules.items()}


def _rule(rule: Rule) -> list[str]:
    """Return what tells a rule from another version of it: what it says, and the code that decides."""
    written = getattr(rule.function, "__wrapped__", rule.function)  # a package's runs in a child process
    file = rule.file or getattr(getattr(written, "__code__", None), "co_filename", "")
    try:
        code = Path(file).read_text(encoding="utf-8")
    except (OSError, ValueError):  # no source beside the code, as in some frozen installations
        code = ""
    return [rule.severity.value, rule.title, repr(sorted(rule.limits.items())), code]


def rig_name(rig: Path, house: Path | None) -> str:
    """Return how the record names a rig file: its path inside the house, or its own name."""
    absolute = rig.absolute()
    inside = house is not None and absolute.is_relative_to(house)
    return absolute.relative_to(house).as_posix() if house is not None and inside else absolute.name


def _stamps(files: Any) -> dict[str, tuple[int, int]]:
    found = {}
    for file in files:
        try:
            status = Path(file).stat()
            found[file] = (status.st_mtime_ns, status.st_size)
        except OSError:
            found[file] = (0, -1)
    return found
