"""What a handover compares with: the rig of another file, or the rig as it was last signed off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from lint.read.load import house_folder
from lint.read.problem import CannotReadError
from lint.record.hunts import HUNT
from lint.record.ledger import Broken, Ledger, Proof, ledger_path
from lint.record.oddities import clocks_back
from lint.record.put_back import PUT_BACK, Left, read_left
from lint.record.received import RECEIVED
from lint.record.walks import PastWalk, past_walks
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import load_rig
from lint.walk.answer import GO
from lint.walk.basis import rig_name
from lint.walk.entry import SIGNED, Entry
from lint.walk.rig_then import rig_then
from lint.walk.signoff import models_text, rig_text


class NothingToCompareError(Exception):
    """Raised where what the last sign-off holds can't be compared with: one sentence that says so and what to do."""


@dataclass(frozen=True)
class Past:
    """What the house's record tells: `proof` is None where there is no record.

    `own` is the sign-off of exactly this rig on these models; `walk` the walk that it ended, or else the latest of this
    rig file. A close-down signs no rig off: `closed` is the one that followed the walk, if any did. `is_other_model`
    says that a sign-off of this very rig stood on models that said something else.
    `received` is the house's last handover that its receiver said back, `left` what hunts left to be put back or mended
    and `done` what was since, by the hunt's record; `odd` where a record is dated before the one before it.
    """

    proof: Proof | None
    walks: Sequence[PastWalk]
    signed: Sequence[Entry]
    own: Entry | None
    walk: PastWalk | None
    closed: PastWalk | None = None
    hunts: Sequence[Entry] = ()
    is_other_model: bool = False
    received: Entry | None = None
    left: Sequence[Left] = ()
    done: Mapping[int, Entry] = field(default_factory=dict)
    odd: Sequence[str] = ()

    @property
    def broken(self) -> Broken | None:
        """The first record that does not hold; what comes after it is told nowhere."""
        return self.proof.broken if self.proof is not None else None


@dataclass(frozen=True)
class Since:
    """The rig that is compared with, how the page names it, and its walk, where the record holds one."""

    words: str
    rig: ResolvedRig
    walk: PastWalk | None


def read_past(rig: ResolvedRig) -> Past:
    """Return what the record of the rig's house tells of it. Raises RecordError."""
    path = Path(rig.rig.file)
    where = ledger_path(path)
    if not where.is_file():
        return Past(None, (), (), None, None)
    name = rig_name(path, house_folder(path))
    with Ledger(where, reading=True) as ledger:
        proof = ledger.verify()
        every = past_walks(ledger, proof)
        entries = ledger.entries(up_to=proof.holding)
        left = read_left(ledger, up_to=proof.holding)
    hunts = [entry for entry in entries if entry.kind == HUNT]
    received = next((entry for entry in reversed(entries) if entry.kind == RECEIVED), None)
    odd = list(clocks_back(entries))
    walks = [walk for walk in every if walk.signs_off]
    signed = sorted(
        (entry for walk in walks for entry in walk.entries if entry.kind == SIGNED), key=lambda row: row.seq
    )
    same_file = [row for row in signed if row.body["rig"] == name and _has_same_text(rig, row)]
    mine = [row for row in same_file if _is_as_signed(rig, row)]
    own = mine[-1] if mine else None
    of_this = [walk for walk in walks if walk.rig == name]
    if own is not None:
        of_this = [walk for walk in walks if walk.number == own.walk]
    last = of_this[-1] if of_this else None
    closings = [walk for walk in every if walk.rig == name and not walk.signs_off]
    closed = closings[-1] if closings and (last is None or closings[-1].number > last.number) else None
    is_other_model = own is None and bool(same_file)
    done = {entry.body["of"]: entry for entry in entries if entry.kind == PUT_BACK}
    return Past(proof, walks, signed, own, last, closed, hunts, is_other_model, received, left, done, odd)


def compared_with(rig: ResolvedRig, past: Past, other: Path | None) -> Since | None:
    """Return what the rig is compared with: `other`, or the last sign-off of a rig that was not this very one.

    None means that this very rig is the first that was signed off here, or that none was yet.

    Raises CannotReadError, NothingToCompareError.
    """
    if other is not None:
        resolved, name = resolve_rig(load_rig(other)), rig_name(other, house_folder(other))
        is_here = house_folder(other) == house_folder(Path(rig.rig.file))
        walk = next((walk for walk in reversed(past.walks) if walk.rig == name), None) if is_here else None
        return Since(str(other), resolved, walk)
    before = [row for row in past.signed if past.own is None or row.seq < past.own.seq]
    before = [row for row in before if not _is_as_signed(rig, row)]
    if not before:
        return None
    # A no-go of the same morning is no week that anybody remembers: the last go counts, where there is one.
    last = ([row for row in before if row.body["verdict"] == GO] or before)[-1]
    words = f"the sign-off of {last.body['rig']} on {last.body['local'][:10]}"
    if "rig_as_signed" not in last.body:
        raise NothingToCompareError(
            f"{rig.rig.file}: {words} was written by an older rigwalk and does not hold its rig; "
            "name what to compare with: --since RIG."
        )
    walk = next((walk for walk in past.walks if walk.number == last.walk), None)
    return Since(words, _as_signed(rig, last, words), walk)


def _has_same_text(rig: ResolvedRig, entry: Entry) -> bool:
    return bool(entry.body.get("rig_as_signed") == rig_text(rig.rig.document.data))


def _is_as_signed(rig: ResolvedRig, entry: Entry) -> bool:
    """Whether a sign-off is of this very rig on what its models say now (an older record does not tell the models)."""
    models = models_text(rig.rig.devices.values())
    return _has_same_text(rig, entry) and entry.body.get("models_as_signed", models) == models


def _as_signed(rig: ResolvedRig, entry: Entry, words: str) -> ResolvedRig:
    """Return the rig that a sign-off holds, on its models as they were then (in an older record: as they are now)."""
    try:
        return rig_then(entry.body["rig_as_signed"], entry.body.get("models_as_signed"), words, rig)
    except CannotReadError as error:
        raise NothingToCompareError(
            f"{rig.rig.file}: the rig of {words} is no rig any more ({error.problems[0].message}); "
            "name what to compare with: --since RIG."
        ) from None
