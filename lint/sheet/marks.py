"""The findings that a sheet or a picture shows where they are: numbered, each with its mark."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lint.check.engine import Checked
from lint.check.finding import Finding, Severity
from lint.page.layout import MARKS
from lint.sheet.truth import DIFFERS, Truth

# The families of rules that tell where a signal goes, and so may tell why one is not where it should be.
PATHS = ("chain", "clock", "plugs", "patch", "mixes", "outputs", "house")


class Marks:
    """The no-gos and cautions of a rig that are not waived, numbered from 1 in the order they are told."""

    def __init__(self, checked: Checked, stands_alone: bool = False) -> None:
        """With `stands_alone` no list of the findings stands beside what is marked."""
        self.stands_alone = stands_alone
        self.shown: set[int] = set()  # the numbers that were given out
        standing = [finding for finding in checked.findings if finding.waived is None]
        self.findings: Sequence[Finding] = [row for row in standing if row.weight is not Severity.NOTE]
        self._at: dict[str, list[int]] = {}
        self._explained: dict[str, list[int]] = {}
        for number, finding in enumerate(self.findings, start=1):
            for address in dict.fromkeys(place.address for place in finding.places):
                self._at.setdefault(address, []).append(number)
            for address in sorted({address for _, address in finding.explains}):
                self._explained.setdefault(address, []).append(number)

    def numbers(self, *addresses: object) -> list[int]:
        """Return the numbers of the findings that point to any of the addresses."""
        found = sorted({number for address in addresses for number in self._at.get(str(address), ())})
        self.shown.update(found)
        return found

    def causes(self, truth: Truth) -> list[int]:
        """Return the numbers of the findings about something on a sheet; where it is wrong, of what is to blame for it.

        That is what points to it, else what a rule says it accounts for, else what points to the box behind it.
        """
        found = self.numbers(*truth.addresses)
        besides = self.numbers(*truth.also)
        if truth.is_right or any(self._is_path(number) for number in found):
            return sorted({*found, *besides})
        for number in (*self._among(self._explained, truth.addresses), *self._among(self._at, truth.roots)):
            self.shown.add(number)
            return sorted({*found, *besides, number})
        return sorted({*found, *besides})

    def see(self, *truths: Truth) -> str:
        """Return mark and number of all that is to blame; a difference that no finding tells is marked all the same."""
        numbers = sorted({number for truth in truths for number in self.causes(truth)})
        told = [f"{self.mark(number)}{number}" for number in numbers]
        has_unsaid = any(not truth.is_right and not self.causes(truth._replace(also=())) for truth in truths)
        return ", ".join([*([DIFFERS] if has_unsaid else []), *told])

    def why(self, truth: Truth) -> str:
        """Return mark and number of what tells why a signal is not where it should be: `✗1`."""
        return ", ".join(
            f"{self.mark(number)}{number}" for number in self.causes(truth._replace(also=())) if self._is_path(number)
        )

    def _is_path(self, number: int) -> bool:
        """Whether a finding tells of where signals go, and so may be why one is not there."""
        return self.findings[number - 1].family in PATHS

    @staticmethod
    def _among(by_address: dict[str, list[int]], addresses: Sequence[str]) -> list[int]:
        return [number for address in addresses for number in by_address.get(address, ())]

    def at(self, *addresses: object, families: tuple[str, ...] = ()) -> str:
        """Return mark and number of each of those findings: `✗2, !5`; with `families` only of rules of those."""
        numbers = sorted({number for address in addresses for number in self._at.get(str(address), ())})
        wanted = [number for number in numbers if not families or self.findings[number - 1].family in families]
        self.shown.update(wanted)
        return ", ".join(f"{self.mark(number)}{number}" for number in wanted)

    def mark(self, number: int) -> str:
        """Return the mark of a finding by its number."""
        return MARKS[self.findings[number - 1].weight.value]

    @property
    def lines(self) -> tuple[str, ...]:
        """What each of them says, behind its mark and number."""
        return self.say(range(1, len(self.findings) + 1))

    def say(self, numbers: Iterable[int]) -> tuple[str, ...]:
        """Return what findings say, behind their marks and numbers."""
        return tuple(f"{self.mark(number)}{number}: {self.findings[number - 1].message}" for number in numbers)
