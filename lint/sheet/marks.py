"""The findings that a sheet or a picture shows where they are: numbered, each with its mark."""

from __future__ import annotations

from collections.abc import Sequence

from lint.check.engine import Checked
from lint.check.finding import Finding, Severity
from lint.report.layout import MARKS


class Marks:
    """The no-gos and cautions of a rig that are not waived, numbered from 1 in the order they are told."""

    def __init__(self, checked: Checked, stands_alone: bool = False) -> None:
        """With `stands_alone` no list of the findings stands beside what is marked."""
        self.stands_alone = stands_alone
        self.shown: set[int] = set()  # the numbers that were given out
        standing = [finding for finding in checked.findings if finding.waived is None]
        self.findings: Sequence[Finding] = [row for row in standing if row.weight is not Severity.NOTE]
        self._at: dict[str, list[int]] = {}
        for number, finding in enumerate(self.findings, start=1):
            for address in dict.fromkeys(place.address for place in finding.places):
                self._at.setdefault(address, []).append(number)

    def numbers(self, *addresses: object) -> list[int]:
        """Return the numbers of the findings that point to any of the addresses."""
        found = sorted({number for address in addresses for number in self._at.get(str(address), ())})
        self.shown.update(found)
        return found

    def at(self, *addresses: object, family: str = "") -> str:
        """Return mark and number of each of those findings: `✗2, !5`; with `family` only of rules of that family."""
        numbers = self.numbers(*addresses)
        wanted = [number for number in numbers if family in ("", self.findings[number - 1].family)]
        return ", ".join(f"{self.mark(number)}{number}" for number in wanted)

    def mark(self, number: int) -> str:
        """Return the mark of a finding by its number."""
        return MARKS[self.findings[number - 1].weight.value]

    @property
    def lines(self) -> tuple[str, ...]:
        """What each of them says, behind its mark and number."""
        return tuple(
            f"{self.mark(number)}{number}: {finding.message}" for number, finding in enumerate(self.findings, start=1)
        )
