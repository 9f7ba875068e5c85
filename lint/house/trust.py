"""Which Python rules of a house the user has looked at and trusts: by the digest of exactly that content.

The digests stand in the user's own folder, never in the house's: a house that is copied, or changed by somebody else,
brings no trust with it.
"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

FILE = "trusted-rules"


def digest_of(source: bytes) -> str:
    """Return the SHA-256 digest of a rule's source, as hexadecimal digits."""
    return hashlib.sha256(source).hexdigest()


def trust_file() -> Path:
    """Return where this user's digests are kept: in XDG_CONFIG_HOME, else in ~/.config."""
    configured = os.environ.get("XDG_CONFIG_HOME", "")
    folder = Path(configured) if Path(configured).is_absolute() else Path("~/.config").expanduser()
    return folder / "rigwalk" / FILE


def trusted() -> frozenset[str]:
    """Return the digests that this user trusts; a file that can't be read trusts nothing."""
    try:
        lines = trust_file().read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return frozenset()
    return frozenset(line.split()[0] for line in lines if line.strip())


def add_trust(digest: str, name: str) -> Path:
    """Keep a digest, with the file's name beside it for people; return the file that it stands in.

    Raises OSError where that can't be written.
    """
    path = trust_file()
    path.parent.mkdir(parents=True, exist_ok=True)
    if digest not in trusted():
        with path.open("a", encoding="utf-8") as stream:
            stream.write(f"{digest}  {' '.join(name.split())}\n")
    return path
