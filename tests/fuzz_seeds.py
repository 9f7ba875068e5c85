"""What the fuzzer breaks: a checklist with one of everything, one that extends it, models, a house rule, a record."""

from __future__ import annotations

import json
import tempfile
from datetime import UTC, date, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

from houses import write_house

from lint.record.ledger import Ledger, ledger_path
from lint.record.seal import digest_of
from lint.walk.basis import load_basis
from lint.walk.given import Given
from lint.walk.session import Session

BEGUN = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)
CHECKLIST: dict[str, Any] = {
    "checklist_format": 1,
    "title": "Small walk",
    "phases": [
        {
            "id": "links",
            "title": "Links",
            "mode": "do-confirm",
            "completion": "Links complete",
            "items": [
                {
                    "id": "bank",
                    "role": "stage",
                    "killer": True,
                    "for_each": "boxes",
                    "when": {"reached": True, "has_bank": True},
                    "challenge": "{box.title}, output bank: {box.bank}",
                    "safety": {
                        "word": "CAUTION",
                        "hazard": "A selector that is turned sends another mix",
                        "consequence": "Sudden loud sound can harm hearing",
                        "avoidance": "Outputs muted before a selector is turned",
                        "mains": False,
                    },
                },
                {"id": "walkways", "role": "lead", "drifts": True, "challenge": "Exits: no cable across them"},
            ],
        },
        {
            "id": "levels",
            "title": "Levels",
            "needs": ["links"],
            "mode": "read-do",
            "completion": "Levels complete",
            "items": [
                {
                    "id": "level",
                    "role": "house-mixer",
                    "measure": {"unit": "dB", "min": 60, "max": 70.5},
                    "again_after": ["monitors"],
                    "challenge": "Level at the desk: 60 to 70.5 dB",
                },
                {
                    "id": "line",
                    "role": "stage",
                    "for_each": "channels",
                    "challenge": "Line {channel.number}: heard, clean",
                    "repeats": ["walkways"],
                },
            ],
        },
    ],
}
EXTENSION: dict[str, Any] = {
    "checklist_format": 1,
    "extends": "base",
    "title": "Our walk",
    "left_out": [],
    "phases": [
        {
            "id": "links",
            "items": [{"id": "walkways", "after": "bank"}, {"id": "bank", "remove": True, "because": "one box"}],
        },
        {
            "id": "doors",
            "after": "links",
            "title": "Doors",
            "mode": "read-do",
            "completion": "Doors complete",
            "items": [{"id": "keys", "role": "lead", "challenge": "Keys: on the hook"}],
        },
    ],
}
MODEL: list[dict[str, Any]] = [
    {
        "model_format": 1,
        "kind": "console",
        "title": "a desk",
        "inputs": {"count": 16, "phantom": "each", "full_scale_dbu": 24},
        "outputs": {"count": 8},
        "channels": 16,
        "links": {"link-1": {"slots": {"48000": 48}, "max_boxes": 8, "cable_kind": "cat5e", "max_cable_m": 100}},
        "sample_rates_hz": [44100, 48000],
    },
    {
        "model_format": 1,
        "kind": "stage-box",
        "title": "a box",
        "inputs": {"count": 16, "addressed": "by-chain-order", "phantom": "each"},
        "outputs": {"count": 8, "addressed": "by-selector", "selector": ["1-8", "9-16"]},
        "chain": {"slots": {"48000": 48}, "max_boxes": 4, "cable_kind": "cat5e"},
    },
]
HOUSE_RULE: dict[str, Any] = {
    "rule_format": 1,
    "rule": "choir-in-the-gallery",
    "title": "Choir microphones are plugged in on the gallery",
    "severity": "caution",
    "because": "the choir sings there",
    "do": "Plug it into loft-box.",
    "for_each": "sources",
    "where": {"group": "choir", "kind": ["condenser-microphone", "dynamic-microphone"]},
    "expect": {"box": "loft-box"},
    "message": "{id} is plugged into {socket}",
    "good": [{"sources": {"alto": {"kind": "condenser-microphone", "plugged_into": "west-box/in/3"}}}],
    "bad": [{"rig": {"sources": {"alto": {"group": "choir"}}}, "gives": ["alto is plugged into nothing"]}],
}


def entries() -> list[dict[str, Any]]:
    """Return what a record holds after two walks with one entry of every kind, as {walk, kind, body}."""
    seconds = count()
    with tempfile.TemporaryDirectory() as folder:
        rig = write_house(Path(folder) / "house", "") / "rigs" / "sunday.yaml"
        (Path(folder) / "house" / "checklists").mkdir()
        (Path(folder) / "house" / "checklists" / "small.yaml").write_text(json.dumps(CHECKLIST), encoding="utf-8")

        def load() -> Any:
            return load_basis(rig, "small", digest_of, date(2026, 11, 25))

        with Ledger(ledger_path(rig)) as ledger:
            for _ in range(2):
                session = Session(ledger, load(), load, digest_of, lambda: BEGUN + timedelta(minutes=next(seconds)))
                _walk(session)
            hunt = {
                "about": "choir",
                "symptom": "dead",
                "cause": "plug-out",
                "part": "plug",
                "questions": 3,
                "answers": [],
            }
            times = {"utc": "2026-11-25T17:00:00Z", "local": "2026-11-25T17:00:00+00:00", "by": "A. Adams"}
            words = {"rig": "rigs/sunday.yaml", "found": "plug: out", "cure": "put in"}
            ledger.append(None, "hunt", {**times, **words, **hunt})
            stopped = hunt | {"cause": "", "part": "", "put_back": "Plug the cable in as it was."}
            left = ledger.append(None, "hunt", {**times, **words, **stopped})
            ledger.append(
                None,
                "put-back",
                {**times, "rig": "rigs/sunday.yaml", "of": left.seq, "about": "choir", "put_back": "done"},
            )
            back = [{"point": "Choir", "said": "look at its plug"}]
            received = {
                "given_by": "L. Lead",
                "rig_digest": "",
                "verdict": "go",
                "signed_seal": None,
                "read_back": back,
            }
            ledger.append(
                None, "received", {**times, "rig": "rigs/sunday.yaml", "cautions": [], "waivers": [], **received}
            )
            return [{"walk": one.walk, "kind": one.kind, "body": dict(one.body)} for one in ledger.entries()]


def _walk(session: Session) -> None:
    session.open("A. Adams", fresh=True)
    first, second, *_ = session.state.plan.items
    session.answer(first, Given("no-go", seen="crackles", parts=("west-box/in/1",)))
    session.cure(first, "another cable")
    session.answer(second, Given("no-go", words_later=True))
    session.words(second, "loose")
    session.note(first, "look again")
    session.thunder()
    session.reopen([second])
    session.keep([second])
    session.poll("stage", "go", "go")
    signed = session.sign("L. Lead", wants_go=False)
    session.add_signature(
        {"algorithm": "ed25519", "of_seal": signed.seal, "public_key": "00" * 32, "signature": "00" * 64}
    )
