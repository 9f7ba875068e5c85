"""Seals and digests: SHA-256 (FIPS 180-4) over canonical JSON (RFC 8785)."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

import rfc8785

# What comes before the first entry.
NO_SEAL = "0" * 64
# Integers that every reader of JSON keeps exactly (RFC 7493, section 2.2).
MOST_INTEGER = 2**53 - 1
# As many digits of a seal as are printed on a sheet: a change made later that keeps them takes some 2^64 tries.
LEAST_SHOWN = 16


def canonical(value: Any) -> bytes:
    """Return the canonical JSON of text, true/false, null, whole numbers, lists and maps of these.

    Raises TypeError for anything else, and for whole numbers beyond 2^53 - 1: fractions are written differently by
    different programs, so a sealed record holds them as text.
    """
    _require_sealable(value)
    return rfc8785.dumps(value)


def _require_sealable(value: Any) -> None:
    if value is None or isinstance(value, str | bool):
        return
    if isinstance(value, int):
        if abs(value) > MOST_INTEGER:
            raise TypeError(f"{value} is too large for a sealed record; write it as text")
    elif isinstance(value, list | tuple):
        for member in value:
            _require_sealable(member)
    elif isinstance(value, dict) and all(isinstance(key, str) for key in value):
        for member in value.values():
            _require_sealable(member)
    else:
        raise TypeError(f"{type(value).__name__} can't stand in a sealed record; write it as text")


def seal_of(entry: Mapping[str, Any]) -> str:
    """Return the seal of an entry (which names the seal of the one before): 64 hexadecimal digits."""
    return hashlib.sha256(canonical(entry)).hexdigest()


def digest_of(value: Any) -> str:
    """Return the digest of data as read from a file; fractions count as the text they print as."""
    return hashlib.sha256(canonical(_plain(value))).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _plain(member) for key, member in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(member) for member in value]
    if isinstance(value, float) or (isinstance(value, int) and abs(value) > MOST_INTEGER):
        return repr(value)
    return value


def short(seal: str) -> str:
    """Return the first sixteen digits of a seal in groups of four, to be written on a sheet and read aloud."""
    return " ".join(seal[start : start + 4] for start in range(0, LEAST_SHOWN, 4))


def digits_of(shown: str) -> str:
    """Return a seal as written down without its spaces, in lower case."""
    return "".join(shown.split()).casefold()


def matches(seal: str, shown: str) -> bool:
    """Whether a seal is the one that was written down, whole or from its first sixteen digits on."""
    digits = digits_of(shown)
    return len(digits) >= LEAST_SHOWN and seal.startswith(digits)
