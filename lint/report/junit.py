"""The check as JUnit XML, for whatever shows test results: a suite a rig, a case a rule, an unwaived no-go fails it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from xml.etree import ElementTree

from lint.check.engine import Checked
from lint.check.finding import Finding, Severity
from lint.check.unchecked import idle_rules
from lint.page.layout import counted
from lint.read.problem import CannotReadError

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def check_junit(suites: Sequence[ElementTree.Element], unreadable: Sequence[tuple[Path, CannotReadError]]) -> str:
    """Return the report of all rigs (`rig_suite` of each) as one JUnit XML document."""
    root = ElementTree.Element("testsuites", name="rigwalk")
    root.extend(suites)
    for path, error in unreadable:
        suite = ElementTree.SubElement(root, "testsuite", name=_text(str(path)), tests="1", failures="0", errors="1")
        case = ElementTree.SubElement(suite, "testcase", classname=_text(str(path)), name="readable")
        problem = ElementTree.SubElement(
            case, "error", message=f"{counted(len(error.problems), 'problem')} in the file"
        )
        problem.text = _text(str(error))
    for name in ("tests", "failures", "errors", "skipped"):
        root.set(name, str(sum(int(suite.get(name, "0")) for suite in root)))
    ElementTree.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(root, encoding="unicode")


def rig_suite(checked: Checked) -> ElementTree.Element:
    """Return what the report says of one rig."""
    file = _text(checked.resolved.rig.file)
    by_rule: dict[str, list[Finding]] = {}
    for finding in checked.findings:
        by_rule.setdefault(finding.rule, []).append(finding)
    off = {setting.rule: setting.because for setting in checked.switched_off}
    rules = checked.catalogue.rules
    names = [*rules, *(name for name in dict.fromkeys([*by_rule, *off]) if name not in rules)]
    idle = idle_rules(checked.resolved.rig)
    failed = skipped = 0
    suite = ElementTree.Element("testsuite", name=file, tests=str(len(names)), errors="0")
    for name in names:
        case = ElementTree.SubElement(suite, "testcase", classname=file, name=name)
        found = by_rule.get(name, [])
        heavy = [finding for finding in found if finding.weight is Severity.NO_GO and finding.waived is None]
        light = [finding for finding in found if finding not in heavy]
        if heavy:
            failed += 1
            failure = ElementTree.SubElement(case, "failure", message=_text(heavy[0].message), type="no-go")
            failure.text = _lines(heavy)
        if light:
            ElementTree.SubElement(case, "system-out").text = _lines(light)
        why = f"off in this house: {off[name]}" if name in off else ""
        if name in idle and not found and not why:
            why = f"not checked: the rig does not speak of it ({idle[name]})"
        if why:
            skipped += 1
            ElementTree.SubElement(case, "skipped", message=_text(why))
    suite.set("failures", str(failed))
    suite.set("skipped", str(skipped))
    return suite


def _lines(findings: Sequence[Finding]) -> str:
    rows = []
    for finding in findings:
        waived = f" [waived by {finding.waived.by}: {finding.waived.because}]" if finding.waived else ""
        cures = "".join(f"\n    {cure.text}" for cure in finding.cures)
        rows.append(f"{finding.places[0]}: {finding.weight.value}: {finding.message}{waived}{cures}")
    return _text("\n".join(rows))


def _text(text: str) -> str:
    """Return text without what XML can't hold."""
    return _NOT_XML.sub("\ufffd", text)
