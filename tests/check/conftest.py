"""Helpers for the engine's tests: rules made on the spot, over the small rig of the rules' examples."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from lint.check.catalogue import Catalogue, LoadFailure
from lint.check.engine import Checked, check_rig
from lint.check.example import FILE, example_document
from lint.check.finding import Finding
from lint.check.rule import Rule, rule
from lint.read.schema import require_valid
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

MakeRule = Callable[..., Rule]
Check = Callable[..., Checked]


def _make(rule_id: str, function: Callable[..., Any], **said: Any) -> Rule:
    """A rule of that id; what is not said of it is filled in."""
    function.__module__ = rule_id.replace("-", "_")
    words: Mapping[str, Any] = {
        "title": f"Title of {rule_id}",
        "severity": "caution",
        "family": "patch",
        "why": "Why.",
        "do": "Do.",
        **said,
    }
    return rule(**words)(function)


@pytest.fixture
def make() -> MakeRule:
    return _make


@pytest.fixture
def says() -> MakeRule:
    """A rule that says one thing of each address."""

    def made(rule_id: str, *addresses: str, explains: Iterable[tuple[str, str]] = (), **said: Any) -> Rule:
        def function(rig: ResolvedRig) -> Iterable[Finding]:
            for address in addresses:
                place = rig.rig.place(("devices",), address)
                yield Finding(f"{rule_id} of {address}", (place,), explains=frozenset(explains))

        return _make(rule_id, function, **said)

    return made


@pytest.fixture
def check() -> Check:
    """Check the example rig, changed by a fragment, by rules given; without `today` it is the 29th of November 2026."""

    def made(
        fragment: str, *rules: Rule, today: date = date(2026, 11, 29), failures: Iterable[LoadFailure] = ()
    ) -> Checked:
        document = example_document(fragment)
        require_valid(document, "rig")
        catalogue = Catalogue({entry.id: entry for entry in rules}, tuple(failures))
        return check_rig(resolve_rig(build_rig(document, FILE, Models(None))), catalogue, today)

    return made


class Packages:
    """Packages of rules as pip leaves them on the path: a module beside its metadata."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def install(self, module: str, source: str, entry: str = "", name: str = "") -> None:
        (self.folder / f"{module}.py").write_text(source, encoding="utf-8")
        self.metadata(module, f"[rigwalk.rules]\n{name or module} = {entry or module}\n")

    def metadata(self, module: str, entry_points: str) -> None:
        folder = self.folder / f"{module}-1.0.dist-info"
        folder.mkdir()
        (folder / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {module}\nVersion: 1.0\n", encoding="utf-8")
        (folder / "entry_points.txt").write_text(entry_points, encoding="utf-8")


@pytest.fixture
def packages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Packages:
    monkeypatch.syspath_prepend(tmp_path)
    return Packages(tmp_path)
