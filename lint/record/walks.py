"""The walks that a ledger holds, told from their entries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lint.record.ledger import Ledger, Proof
from lint.record.signature import Signature, signature_of
from lint.rig.person import each_once
from lint.walk.entry import ANSWER, BEGUN, SIGNED, Entry, exceptions_of, is_quick, overtaken, quick_words, signs_off


@dataclass(frozen=True, slots=True)
class PastWalk:
    """One walk: what it was of, how it ended (None: not signed) by its last signature, and its entries.

    A go that a no-go came after is a no-go until it is signed anew; `overtaken` is when that came, or empty. A go whose
    signature with a key is missing or does not hold is a no-go too; `signature` says so. `quick_answers` came faster
    than a person can look.
    """

    number: int
    rig: str
    event: str
    checklist: str
    begun: str
    verdict: str | None
    lead: str
    signed: str
    seal: str
    people: Sequence[str]
    answered: int
    entries: Sequence[Entry]
    overtaken: str = ""
    signature: Signature = field(default_factory=Signature)
    quick_answers: int = 0

    @property
    def signed_body(self) -> Mapping[str, Any]:
        """What the last sign-off says; nothing where there is none."""
        return next((entry.body for entry in reversed(self.entries) if entry.kind == SIGNED), {})

    @property
    def signed_go(self) -> bool:
        """Whether the last sign-off says go, whatever came of it."""
        return self.signed_body.get("verdict") == "go"

    @property
    def exceptions(self) -> str:
        """What a go was signed without, in a line: killer items not applicable, or not looked at by two."""
        return exceptions_of(self.signed_body) if self.signed_go else ""

    @property
    def pace(self) -> str:
        """How many answers came faster than a person can look, in words; empty where none did."""
        return quick_words(self.quick_answers, self.answered)

    @property
    def signs_off(self) -> bool:
        """Whether a go of it is the go of the rig, as a close-down's is not."""
        return signs_off(self.entries[0].body)


def past_walks(ledger: Ledger, proof: Proof) -> list[PastWalk]:
    """Return the walks, oldest first, from the records that hold. Raises RecordError."""
    by_walk: dict[int, list[Entry]] = {}
    for entry in ledger.entries(up_to=proof.holding):
        by_walk.setdefault(entry.walk, []).append(entry)
    return [_past(number, entries) for number, entries in by_walk.items() if entries[0].kind == BEGUN]


def _past(number: int, entries: list[Entry]) -> PastWalk:
    answered = [entry for entry in entries if entry.kind == ANSWER]
    begun, after = entries[0].body, overtaken(entries)
    signed = next((entry for entry in reversed(entries) if entry.kind == SIGNED), None)
    signature = signature_of(entries)
    is_doubted = after is not None or signature.fault
    return PastWalk(
        number,
        begun["rig"],
        begun["event"],
        begun["checklist"],
        begun["local"],
        None if signed is None else "no-go" if is_doubted else signed.body["verdict"],
        signed.body["lead"] if signed else "",
        signed.body["local"] if signed else "",
        signed.seal if signed else "",
        each_once(
            name
            for entry in answered or entries[:1]
            for name in (entry.body["by"], entry.body.get("together_with", ""))
            if name
        ),
        len(answered),
        entries,
        after.body["local"] if after is not None else "",
        signature,
        sum(map(is_quick, entries)),
    )
