"""Handovers that a ledger holds: who took over from whom, what was open, and what the receiver said back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lint.record.ledger import Ledger
from lint.walk.entry import Entry

RECEIVED = "received"


def record_received(ledger: Ledger, body: Mapping[str, Any]) -> Entry:
    """Write down a handover, under a number of its own. Raises RecordError."""
    ledger.require_whole()
    return ledger.append(None, RECEIVED, body)


def received_lines(body: Mapping[str, Any]) -> Sequence[str]:
    """Say a handover: who from whom and when, then each open point with what was said back."""
    head = f"{body['local'][:10]} {body['local'][11:16]}: {body['by']} took over {body['rig']} from {body['given_by']}"
    return [head, *(f"{row['point']} — said back: {row['said']}" for row in body["read_back"])]
