"""A house of one's own, for the tests of its rules: files written on the spot, and a config folder that is nobody's."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from textwrap import dedent

import pytest

from lint.check.catalogue import Catalogue
from lint.check.engine import Checked, check_file
from lint.check.example import BASE
from lint.check.finding import Finding
from lint.house.load import load_rule
from lint.house.trust import add_trust, digest_of

RIG = "rigs/sunday.yaml"
HEAD = {
    "title": "What must be so",
    "severity": "caution",
    "because": "it matters",
    "do": "Put it right.",
}
EXAMPLES = "good: [{event: {name: any}}]\nbad: [{rig: {event: {name: any}}, gives: [nothing]}]\n"


class House:
    """A house whose rig is the small example rig, with rules that a test writes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for name in ("rules", "rigs"):
            (folder / name).mkdir(parents=True)
        (folder / "house.yaml").write_text(BASE, encoding="utf-8")
        self.rig("{}")

    def rig(self, fragment: str) -> None:
        text = fragment if fragment.strip() != "{}" else ""
        (self.folder / RIG).write_text(f"rig_format: 1\nextends: ../house.yaml\n{dedent(text)}", encoding="utf-8")

    def file(self, name: str, text: str) -> Path:
        path = self.folder / "rules" / name
        path.write_text(text, encoding="utf-8")
        return path

    def rule(self, body: str, name: str = "own-rule", examples: str = EXAMPLES) -> Path:
        """Write a YAML rule: its head is filled in."""
        body = dedent(body)
        head = "".join(f"{key}: {value}\n" for key, value in HEAD.items() if f"{key}:" not in body)
        return self.file(f"{name}.yaml", f"rule_format: 1\nrule: {name}\n{head}{body}\n{examples}")

    def python(self, name: str, body: str, trusted: bool = True, **words: str) -> Path:
        """Write a Python rule, `body` being its function; trusted, unless it is said not to be."""
        said = {
            "title": "T", "severity": "caution", "family": "patch", "why": "w", "do": "d",
            "good": [""], "bad": [], **words,
        }  # fmt: skip
        text = "from lint import Bad, Cure, Finding, rule\n\n"
        text += f"@rule(**{said!r})\n{dedent(body)}" if "def " in body and "@rule" not in body else dedent(body)
        path = self.file(f"{name}.py", text)
        if trusted:
            add_trust(digest_of(path.read_bytes()), path.name)
        return path

    def check(self, trust: Collection[str] = ()) -> Checked:
        """Check the rig by the house's rules alone."""
        return check_file(self.folder / RIG, Catalogue({}, ()), trust=trust)

    def found(self, rule: str = "own-rule") -> list[Finding]:
        return [finding for finding in self.check().findings if finding.rule == rule]

    def messages(self, rule: str = "own-rule") -> list[str]:
        return [finding.message for finding in self.found(rule)]

    def problems(self, name: str = "own-rule.yaml") -> list[str]:
        """What is wrong with a rule file, as line:column: message."""
        from lint.read.problem import CannotReadError

        path = self.folder / "rules" / name
        with pytest.raises(CannotReadError) as refused:
            load_rule(path)
        return [f"{row.line}:{row.column}: {row.message}" for row in refused.value.problems]


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return House(tmp_path / "hall")
