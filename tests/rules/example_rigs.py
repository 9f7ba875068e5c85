"""Example rigs for the rules' tests: fragments merged into the base rig, as in the rules' own examples."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from well_formed import hold

from lint.check.catalogue import Catalogue
from lint.check.engine import Checked, check_rig
from lint.check.example import BASE, FILE, example_document
from lint.check.finding import Finding
from lint.read.document import Document
from lint.read.merge import extend
from lint.read.parse import parse
from lint.read.schema import require_valid
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models


class Example:
    """Example rigs, and what the rules find in them; `house` is a folder with models of its own."""

    def __init__(self, catalogue: Catalogue, house: Path | None = None) -> None:
        self.catalogue = catalogue
        self.house = house

    def document(self, fragment: str) -> Document:
        return example_document(fragment)

    def changed(self, document: Document, change: Mapping[str, Any]) -> Document:
        """Apply a cure's change, by way of the text that a user would write."""
        patch, marks = parse(json.dumps(change), "cure.yaml")
        assert isinstance(patch, dict)
        return extend(document, patch, marks)

    def check(self, rig: str | Document) -> Checked:
        document = self.document(rig) if isinstance(rig, str) else rig
        require_valid(document, "rig")
        checked = check_rig(resolve_rig(build_rig(document, FILE, Models(self.house))), self.catalogue)
        assert [finding.message for finding in checked.findings if finding.rule == "rule-failed"] == []
        for finding in (row for row in checked.findings if row.rule in self.catalogue.rules):
            hold(finding, document, self.catalogue, (BASE, rig) if isinstance(rig, str) else ())
        return checked

    def findings(self, rig: str | Document, *rules: str) -> list[Finding]:
        return [finding for finding in self.check(rig).findings if finding.rule in rules]

    def no_goes(self, rig: str | Document) -> list[str]:
        """The rules that say no-go."""
        return sorted(finding.rule for finding in self.check(rig).findings if finding.weight.value == "no-go")

    def after_cures(self, fragment: str, rule: str) -> list[list[str]]:
        """The rules that still say no-go after each cure of the first finding of a rule."""
        document = self.document(fragment)
        finding = self.findings(document, rule)[0]
        return [self.no_goes(self.changed(document, cure.change)) for cure in finding.cures if cure.change is not None]
