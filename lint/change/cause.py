"""Which change is the cause of an effect: tests of a change, the likeliest first.

A channel receives something else because its patch changed; else, where another socket arrives by the same patch,
because of the chain; else because of the plug in that socket. With outputs it is the same way round.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from lint.change.compare import Change
from lint.resolve.resolved import Arrival, Departure, ResolvedRig
from lint.rig.rig import Source

Test = Callable[[Change], bool]
Tests = tuple[Test, ...]
_CHAIN = ("cables", "devices", "models", "splits", "clock")
_PLUG = ("sockets", None)


def _of(section: str, rows: Iterable[str], fields: Iterable[str | None] | None = None) -> Test:
    wanted = set(rows)
    allowed = None if fields is None else set(fields)
    return lambda row: row.section == section and row.row in wanted and (allowed is None or row.field in allowed)


class Causes:
    """The likely causes of effects between two rigs."""

    def __init__(self, old: ResolvedRig, new: ResolvedRig) -> None:
        self.old = old
        self.new = new

    def _is_recabled(self, device: str) -> bool:
        """Whether the boxes on a box's chain are others now, or stand in another order."""
        box = self.new.boxes.get(device) or self.old.boxes.get(device)
        if box is None:
            return False
        before, after = (
            [row.device for row in rig.chains[box.link].boxes] if box.link in rig.chains else []
            for rig in (self.old, self.new)
        )
        return before != after

    def _chain(self, devices: Iterable[str], bank: str) -> Tests:
        """Return the tests for a cause in the chain: its order where that changed, else the boxes themselves."""
        names = set(devices)
        whole = _of("devices", names, (None,))
        cabled: Test = lambda row: row.section == "cables" and row.field in (None, "ends")  # noqa: E731
        boxes = _of("devices", names, ("model", bank))
        first = (whole, cabled, boxes) if any(map(self._is_recabled, names)) else (whole, boxes, cabled)
        return (*first, lambda row: row.section in _CHAIN and row.field not in ("input_bank", "output_bank"))

    def of_channel(self, was: Arrival | None, now: Arrival) -> Tests:
        """Return what may be why a channel receives something else."""
        patched = _of("channels", [now.channel.address], (None, "patched_from"))
        came = _of("sources", now.sources, _PLUG)
        went = _of("sources", was.sources if was else (), _PLUG)
        both = [row for row in (now, was) if row]
        devices = [row.socket.device for row in both if row.socket] + [row.box for row in both if row.box]
        is_same_socket = was is not None and was.socket == now.socket and now.socket is not None
        chain = self._chain(devices, "input_bank")
        rest = (came, went, *chain) if is_same_socket else (*chain, came, went)
        return (patched, lambda row: row.section == "input_blocks", *rest)

    def of_destination(self, was: Iterable[Departure], now: Iterable[Departure], name: str) -> Tests:
        """Return what may be why a destination gets something else."""
        before, after = list(was), list(now)
        moved = _of("destinations", [name], _PLUG)
        points = {str(row.slot or row.socket) for row in (*before, *after)}
        origins = {str(row.feed.copied_from) for row in (*before, *after) if row.feed and row.feed.copied_from}
        sent = (_of("feeds", points), _of("feeds", origins))
        devices = {row.socket.device for row in (*before, *after)}
        turned = (_of("devices", devices, ("output_bank",)), *self._chain(devices, "output_bank"))
        is_same = [(row.slot, row.socket) for row in before] == [(row.slot, row.socket) for row in after]
        return (moved, *sent, *turned) if is_same else (moved, *turned, *sent)

    def of_meaning(self, section: str, row: str) -> Tests:
        """Return what may be why a channel or a destination is meant to carry something else."""
        return (_of(section, [row], ("carries", "expects")), _of(section, [row]))

    def of_source(self, source: Source) -> Tests:
        """Return what may be why phantom power is not as a source needs it, or no channel takes it."""
        taken = [
            (rig, row)
            for rig in (self.new, self.old)
            for row in rig.arrivals.values()
            if row.socket and source.name in row.sources
        ]
        channels = {row.channel.address for _, row in taken}
        channels |= {
            switch.address for rig, row in taken if row.socket for switch in rig.phantom.switched_on_by(row.socket)
        }
        boxes = {socket.device for socket in source.sockets}
        return (
            _of("sources", [source.name], (None, "kind", "powering", "connection")),
            _of("channels", channels, ("phantom",)),
            _of("channels", channels, (None, "patched_from")),
            _of("sources", [source.name], _PLUG),
            *self._chain(boxes, "input_bank"),
        )
