"""Input sockets and consoles that are dead by the rig file: nothing comes of them until they are mended."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from lint.read.document import Trail
from lint.rig.address import Socket, spans


class DeadPart(NamedTuple):
    """What is dead, as it is written (west-box/in/3, west-box/in/9-16, west-box/in, desk), and what is known of it.

    `sockets` are input sockets of its device; of a console that is dead as a whole there are none.
    """

    name: str
    device: str
    sockets: tuple[Socket, ...]
    note: str

    @property
    def trail(self) -> Trail:
        """Where the document says it."""
        return ("dead", self.name)

    @property
    def words(self) -> str:
        """Say what is dead, and what is known of it."""
        numbers = spans([socket.number for socket in self.sockets])
        what = f"{self.device}/in/{numbers}" if numbers else self.device
        return f"{what} {'are' if len(self.sockets) > 1 else 'is'} dead ({self.note})"


def dead_note(rows: Iterable[DeadPart], socket: Socket) -> str:
    """Return what is known of a dead socket, or of its dead console; empty where neither is dead."""
    return next((row.note for row in rows if socket in row.sockets or row.name == socket.device), "")


def dead_words(rows: Iterable[DeadPart], socket: Socket) -> str:
    """Say that a socket or its console is dead, with what is known of it; empty where neither is."""
    found = (row for row in rows if socket in row.sockets or row.name == socket.device)
    return next((f"{socket if row.sockets else row.name} is dead ({row.note})" for row in found), "")
