"""SHA-256 by the example values that NIST publishes for FIPS 180-4, and Ed25519 by RFC 8032, section 7.1. From memory;
what was misremembered would fail here."""

from __future__ import annotations

import hashlib
import json

import pytest

from lint.record.ledger import Ledger
from lint.record.seal import NO_SEAL, seal_of

EXAMPLES = [
    (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
    (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
    (
        b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
    ),
    (
        b"abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmnhijklmnoijklmnopjklmnopqklmnopqrlmnopqrsmnopqrstnopqrstu",
        "cf5b16a778af8380036ce59e7b0492370b249b11e8f07a51afac45037afee9d1",
    ),
    (b"a" * 1_000_000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
]


@pytest.mark.parametrize(("message", "digest"), EXAMPLES)
def test_sha_256(message: bytes, digest: str) -> None:
    assert hashlib.sha256(message).hexdigest() == digest


def test_a_seal_is_sha_256_of_the_entry_in_canonical_json(tmp_path) -> None:
    """Computed again from the file by other means: sorted compact JSON is RFC 8785 where all is ASCII and whole."""
    moment = "2026-11-29T09:00:00+00:00"
    body = {"by": "A", "utc": moment, "local": moment, "items": [1, True, None]}
    with Ledger(tmp_path / "walks.sqlite") as ledger:
        entry = ledger.append(None, "of-its-own", body)
    whole = {"seq": 1, "walk": 1, "kind": "of-its-own", "body": body, "previous": NO_SEAL}
    text = json.dumps(whole, sort_keys=True, separators=(",", ":"))
    assert entry.seal == hashlib.sha256(text.encode("ascii")).hexdigest() == seal_of(whole)


def test_ed25519_rfc_8032_test_1() -> None:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    key = Ed25519PrivateKey.from_private_bytes(
        bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
    )
    public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    signature = (
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b"
        "d25bf5f0595bbe24655141438e7a100b"
    )
    assert key.public_key().public_bytes_raw().hex() == public
    assert key.sign(b"").hex() == signature
