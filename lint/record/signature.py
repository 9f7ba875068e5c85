"""Ed25519 (RFC 8032) over the seal of a sign-off: who holds the key signed that entry, and all that it is chained to.

Needs the extra `signing`. A key file is PEM, not encrypted: who can read it can sign.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lint.record.ledger import RecordError
from lint.record.seal import short
from lint.walk.entry import SIGNATURE, SIGNED, Entry

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

ALGORITHM = "ed25519"


def require_signing() -> None:
    """Raise RecordError where the library that signs is not installed."""
    try:
        import cryptography  # noqa: F401, PLC0415 - heavy, and only for who signs with a key
    except ImportError:
        raise RecordError("signing with a key needs the extra: pip install 'rigwalk[signing]'") from None


def make_key(path: Path) -> None:
    """Write a new private key, for its owner's eyes only. Raises RecordError where that can't be."""
    require_signing()
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey  # noqa: PLC0415
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat  # noqa: PLC0415

    pem = Ed25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as stream:
            stream.write(pem)
    except OSError as error:
        raise RecordError(f"{path}: the key can't be written: {error.strerror or error}") from None


def load_key(path: Path) -> Ed25519PrivateKey:
    """Read a private key. Raises RecordError for anything that is not an unencrypted Ed25519 key in PEM."""
    require_signing()
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey  # noqa: PLC0415
    from cryptography.hazmat.primitives.serialization import load_pem_private_key  # noqa: PLC0415

    try:
        key = load_pem_private_key(path.read_bytes(), password=None)
    except OSError as error:
        raise RecordError(f"{path}: the key can't be read: {error.strerror or error}") from None
    except (ValueError, TypeError):
        raise RecordError(f"{path}: expected a private Ed25519 key in PEM, without a password") from None
    if not isinstance(key, Ed25519PrivateKey):
        raise RecordError(f"{path}: a key of another kind; expected a private Ed25519 key")
    return key


def public_key(key: Ed25519PrivateKey) -> str:
    """Return the public key of a private one: 64 hexadecimal digits. The first sixteen are told from any other."""
    return key.public_key().public_bytes_raw().hex()


def sign_seal(key: Ed25519PrivateKey, seal: str) -> dict[str, str]:
    """Return what a signature entry holds: the seal, the public key and the signature over the seal's 64 digits."""
    return {
        "algorithm": ALGORITHM,
        "of_seal": seal,
        "public_key": public_key(key),
        "signature": key.sign(seal.encode("ascii")).hex(),
    }


def signature_holds(body: Mapping[str, Any], seal: str) -> bool:
    """Whether a signature entry signs that seal with the key it names. Raises RecordError where that can't be told."""
    require_signing()
    from cryptography.exceptions import InvalidSignature  # noqa: PLC0415
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey  # noqa: PLC0415

    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(body["public_key"]))
        key.verify(bytes.fromhex(body["signature"]), seal.encode("ascii"))
    except (InvalidSignature, ValueError, KeyError):
        return False
    return bool(body["algorithm"] == ALGORITHM and body["of_seal"] == seal)


@dataclass(frozen=True, slots=True)
class Signature:
    """What a walk holds of signatures with a key: the `key` of its last sign-off (64 digits; empty: none).

    `fault` is what is wrong with any signature of the walk, and `unverified` why the last can't be verified here; both
    empty where it holds.
    """

    key: str = ""
    fault: str = ""
    unverified: str = ""


def signature_of(entries: Sequence[Entry]) -> Signature:
    """Look at every signature of a walk: each must sign the sign-off before it, and none that was said to be may lack.

    A sign-off names its key itself (`signed_with`): whoever takes the signature away has to alter the sign-off too.
    """
    signed: Entry | None = None
    told, fault = Signature(), ""
    for entry in (each for each in entries if each.kind in (SIGNED, SIGNATURE)):
        if entry.kind == SIGNED:
            fault = fault or _missing(signed, told)
            signed, told = entry, Signature()
        else:
            told = _looked_at(entry, signed)
            fault = fault or told.fault
    return Signature(told.key, fault or _missing(signed, told), told.unverified)


def _missing(signed: Entry | None, told: Signature) -> str:
    """Say that a sign-off names a key, and no signature with it came after."""
    wanted = signed.body.get("signed_with") if signed is not None else None
    if not wanted or told.key == wanted:
        return ""
    return (
        f"the sign-off says that it is signed with the key {short(str(wanted))}, and there is no such signature: "
        "it was taken away, or the walk was cut off before it"
    )


def _looked_at(entry: Entry, signed: Entry | None) -> Signature:
    key = entry.body["public_key"]
    if signed is None or entry.body["of_seal"] != signed.seal:
        fault = f"the signature with the key {short(key)} is over another sign-off than is here: something was altered"
        return Signature(fault=fault)
    try:
        holds = signature_holds(entry.body, signed.seal)
    except RecordError as error:
        return Signature(key, unverified=str(error))
    return Signature(key) if holds else Signature(fault=f"the signature with the key {short(key)} does not hold")
