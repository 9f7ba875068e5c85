"""What a walk went by, its checklist and the rules, and whether these are others by now."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from lint.check.engine import Checked
from lint.read.load import house_folder
from lint.read.problem import CannotReadError
from lint.record.seal import digest_of
from lint.record.walks import PastWalk
from lint.walk.basis import rules_in_use
from lint.walk.entry import BEGUN, CHANGED
from lint.walk.template import load_template


@dataclass(frozen=True)
class WentBy:
    """A walk's checklist, how many items it came to, what it does not ask as the full walk does, and what has changed.

    `not_asked` is empty where the checklist is another by now: what it said then is not known. `changed` are sentences.
    """

    checklist: str
    items: int
    not_asked: tuple[str, ...]
    changed: tuple[str, ...]


def went_by(walk: PastWalk | None, checked: Checked) -> WentBy | None:
    """Return what a walk went by; None where there is none."""
    listed = [entry for entry in walk.entries if entry.kind in (BEGUN, CHANGED)] if walk is not None else []
    if walk is None or not listed:
        return None
    then = walk.signed_body or listed[-1].body
    try:
        template = load_template(walk.checklist, house_folder(Path(checked.resolved.rig.file)))
    except CannotReadError:
        template = None
    digest, changed = digest_of(dict(template.data)) if template is not None else "", []
    if digest != then.get("template_digest", digest):
        changed.append(f"The checklist {walk.checklist} was changed after that.")
    not_asked = template.asked_nowhere if template is not None and not changed else ()
    rules = digest_of(rules_in_use(checked))
    if rules != then.get("rules_digest", rules):
        changed.append("The rules that check the rig, or rigwalk, were changed after that.")
    return WentBy(walk.checklist, len(listed[-1].body["items"]), not_asked, tuple(changed))
