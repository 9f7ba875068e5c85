"""Input sockets that are dead by the rig file: nobody hears what is plugged in there until they are mended."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from lint.read.document import Trail
from lint.rig.address import Socket, spans


class DeadInputs(NamedTuple):
    """Input sockets of one device that are dead: as written (west-box/in/3, west-box/in/9-16), and what is known."""

    name: str
    sockets: tuple[Socket, ...]
    note: str

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("dead", self.name)

    @property
    def words(self) -> str:
        """Say which are dead, and what is known of it."""
        first = self.sockets[0]
        numbers = spans([socket.number for socket in self.sockets])
        return f"{first.device}/{first.side}/{numbers} {'is' if len(self.sockets) == 1 else 'are'} dead ({self.note})"


def dead_note(rows: Iterable[DeadInputs], socket: Socket) -> str:
    """Return what is known of a dead socket; empty where it is not dead."""
    return next((row.note for row in rows if socket in row.sockets), "")


def dead_words(rows: Iterable[DeadInputs], socket: Socket) -> str:
    """Say that a socket is dead, with what is known of it; empty where it is not."""
    note = dead_note(rows, socket)
    return f"{socket} is dead ({note})" if note else ""
