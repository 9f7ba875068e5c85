"""From a document that fits the schema to the typed rig; every name it uses must stand for something.

Raises CannotReadError with all that does not: unknown models, devices, ports, sources, mixes, ranges that don't fit.
What stands for something but is wrong on the day (a socket that the box lacks, two plugs in one socket) is left
for the rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from lint.read.document import Document, Trail, paused_collector
from lint.read.load import house_folder, load_document
from lint.read.nearest import did_you_mean
from lint.read.problem import MAX_MESSAGE, CannotReadError, Problem, shortened
from lint.read.schema import require_valid
from lint.rig import build_plant as plant
from lint.rig.address import (
    InputPoint,
    OutputPoint,
    Port,
    Return,
    Signal,
    Slot,
    Socket,
    number_range,
    numbered,
    point,
)
from lint.rig.contradictions import contradictions
from lint.rig.model import Models
from lint.rig.plant import Amplifier, Gear, Memory, Tablet
from lint.rig.rig import (
    PHANTOM_KINDS,
    Block,
    Cable,
    Channel,
    Destination,
    Device,
    Effects,
    Event,
    Feed,
    Mix,
    Pair,
    Rig,
    Send,
    Setting,
    Source,
    Split,
    Waiver,
)

DEFAULT_RATE_HZ = 48000
DEFAULT_TEMPERATURE_C = 20.0
DEFAULT_PRIORITY = 5


def load_rig(path: Path) -> Rig:
    """Read, merge, check against the schema and build the rig of a file.

    Raises CannotReadError.
    """
    with paused_collector():
        document = load_document(path)
        require_valid(document, "rig")
        return build_rig(document, str(path), Models(house_folder(path)))


def build_rig(document: Document, file: str, models: Models) -> Rig:
    """Build the rig of a document that fits the schema.

    Raises CannotReadError with every name that stands for nothing.
    """
    builder = _Builder(document, models)
    rig = builder.rig(file)
    if builder.problems:
        raise CannotReadError(sorted(builder.problems))
    return rig


class _Builder:
    def __init__(self, document: Document, models: Models) -> None:
        self.document = document
        self.data: dict[str, Any] = document.data
        self.models = models
        self.problems: list[Problem] = []
        self.devices: dict[str, Device] = {}
        self.sources: dict[str, Source] = {}
        self.mixes: dict[str, Mix] = {}
        self.effects: dict[tuple[str, str], Effects] = {}
        self.feeds: dict[OutputPoint, Feed] = {}
        self.copies: dict[OutputPoint, OutputPoint] = {}

    def rig(self, file: str) -> Rig:
        data = self.data
        self._devices()
        parts = self._console_parts()
        self._stop_here()  # which mix or channel is meant can't be told before
        self._declare_mixes(parts)
        for console, trail, part in parts:
            self._effects(console, trail, part)
        for console, trail, part in parts:
            self._mixes(console, trail, part)
        splits = self._splits()
        self._sources({name for split in splits.values() for name in split.sources})
        self._refer_splits(splits)
        blocks = {console: self._blocks(console, trail, part) for console, trail, part in parts}
        channels: dict[tuple[str, int], Channel] = {}
        for console, trail, part in parts:
            self._channels(console, trail, part, blocks[console], channels)
        self._refer_channels(channels)
        self._feeds(channels)
        for trail, message in contradictions(data):
            self._problem(trail, message)
        power = data.get("power", {})
        return Rig(
            file,
            self.document,
            self.models,
            self._event(),
            int(data.get("clock", {}).get("sample_rate_hz", DEFAULT_RATE_HZ)),
            self._leaders(),
            self.devices,
            self._cables(),
            self.sources,
            channels,
            self.mixes,
            self.effects,
            blocks,
            self.feeds,
            self.copies,
            self._destinations(channels),
            self._pairs(),
            splits,
            plant.circuits(power),
            power.get("jurisdiction"),
            power.get("continuous_share"),
            self._amplifiers(channels),
            data.get("acoustics", {}).get("temperature_c", DEFAULT_TEMPERATURE_C),
            plant.wireless(data.get("wireless")),
            plant.carriers(data),
            plant.sound_levels(data.get("sound_levels")),
            self._tablets(),
            self._memories(),
            data.get("crew", {}),
            self._settings(),
            self._waivers(),
            self.document.idle_removals,
            self._gear(),
        )

    # -- helpers -----------------------------------------------------------------------------------------------

    def _stop_here(self) -> None:
        """Give up where going on would only tell of consequences."""
        if self.problems:
            raise CannotReadError(sorted(self.problems))

    def _problem(self, trail: Trail, message: str, at_key: bool = False) -> None:
        words = "/".join(f"[{step + 1}]" if isinstance(step, int) else step for step in trail)
        text = shortened(f"{words}: {message}", MAX_MESSAGE)
        self.problems.append(Problem(*self.document.locate(trail, at_key), text))

    def _known(self, what: str, name: str, known: Iterable[str], trail: Trail) -> bool:
        names = list(known)
        if name in names:
            return True
        self._problem(trail, f"no {what} is called '{name}'{did_you_mean(name, names)}")
        return False

    def _device(self, name: str, trail: Trail) -> Device | None:
        device = self.devices.get(name)
        if device is None:
            self._known("device", name, self.devices, trail)
        return device

    def _port(self, text: str, trail: Trail) -> Port:
        name, _, port = text.partition("/")
        device = self._device(name, trail)
        if device is not None and port not in device.model.ports:
            ports = device.model.ports
            known = did_you_mean(port, ports) if ports else "; it has no link port at all"
            self._problem(trail, f"{name} ({device.model.name}) has no port '{port}'{known}")
        return Port(name, port)

    def _socket(self, text: str, trail: Trail) -> Socket:
        device, side, number, _ = numbered(text)  # its form is the schema's business
        self._device(device, trail)
        return Socket(device, side, number)

    def _signal(self, text: str, console: str, trail: Trail) -> Signal | None:
        """Read a mix, a side of one, or a channel's direct output."""
        if text.startswith("channel/"):
            return Signal("channel", f"{console}/{text[8:]}")
        name, _, side = text.partition(".")
        mix = self.mixes.get(name)
        if mix is None:
            self._known("mix", name, self.mixes, trail)
            return None
        if side and mix.width != "stereo":
            self._problem(trail, f"the mix {name} is mono, so it has no side '{side}'; say {name}")
            return None
        return Signal("mix", name, side)

    def _spread(self, signal: Signal, count: int, trail: Trail) -> list[Signal]:
        """Return what each of `count` outputs carries: a stereo mix on two outputs is its left and its right."""
        stereo = signal.kind == "mix" and not signal.side and self.mixes[signal.name].width == "stereo"
        if not stereo:
            return [signal] * count
        if count != 2:
            name = signal.name
            message = f"the mix {name} is stereo; say {name}.left, {name}.right or {name}.mono, or give it two outputs"
            self._problem(trail, message)
            return []
        return [Signal("mix", signal.name, "left"), Signal("mix", signal.name, "right")]

    # -- sections ----------------------------------------------------------------------------------------------

    def _devices(self) -> None:
        for name, row in self.data["devices"].items():
            trail: Trail = ("devices", name)
            if name == "effects":
                self._problem(trail, "effects/... means an effects unit; call the device otherwise", at_key=True)
            model = self.models.get(row["model"])
            if model is None:
                self._problem((*trail, "model"), self.models.unknown(row["model"]))
                continue
            for bank in ("output_bank", "input_bank"):
                if bank in row:
                    self._range(row[bank], (*trail, bank))
            self._circuit(row, trail)
            self.devices[name] = Device(
                name,
                model,
                row.get("label", ""),
                row.get("location", ""),
                row.get("circuit"),
                row.get("output_bank"),
                row.get("input_bank"),
                int(row["sample_rate_hz"]) if "sample_rate_hz" in row else None,
                row.get("clock_from"),
                plant.load(name, row, trail, model.watts),
                row.get("latency_ms"),
                row.get("along_stage_m"),
            )
        self._stop_here()  # nothing below can be told truly while a device is missing

    def _range(self, text: str, trail: Trail, at_key: bool = False) -> range:
        try:
            return number_range(text)
        except ValueError as error:
            self._problem(trail, str(error), at_key)
            return range(0)

    def _console_parts(self) -> list[tuple[str, Trail, Mapping[str, Any]]]:
        """Return (console, trail, its sections): what stands at the top belongs to the one console not listed."""
        listed: dict[str, Any] = self.data.get("consoles", {})
        consoles = [name for name, device in self.devices.items() if device.model.kind == "console"]
        for name in listed:
            if name not in consoles:
                self._known("console", name, consoles, ("consoles", name))
        parts: list[tuple[str, Trail, Mapping[str, Any]]] = []
        own = [key for key in ("channels", "mixes", "effects", "input_blocks") if self.data.get(key)]
        unlisted = [name for name in consoles if name not in listed]
        if own and len(unlisted) != 1:
            said = f"{len(unlisted)} consoles are not ({', '.join(unlisted)})" if unlisted else "no console is left"
            if not consoles:
                self._problem((own[0],), "there is no console among the devices for these to belong to", True)
            else:
                self._problem(
                    (own[0],),
                    f"{own[0]} at the top belong to the one console that is not under consoles/, but {said}; "
                    "put each further console's own under consoles/NAME",
                    True,
                )
        elif own:
            parts.append((unlisted[0], (), self.data))
        parts.extend((name, ("consoles", name), listed[name]) for name in listed if name in consoles)
        return parts

    def _declare_mixes(self, parts: list[tuple[str, Trail, Mapping[str, Any]]]) -> None:
        for console, above, part in parts:
            for name, row in part.get("mixes", {}).items():
                trail = (*above, "mixes", name)
                if name in self.mixes:
                    other = self.mixes[name].console
                    self._problem(
                        trail, f"{other} has a mix called '{name}' already; mix names are the rig's own", True
                    )
                    continue
                width = row.get("width", "mono")
                self.mixes[name] = Mix(name, console, row["kind"], row.get("label", ""), width, {}, (), trail)

    def _effects(self, console: str, above: Trail, part: Mapping[str, Any]) -> None:
        for name, row in part.get("effects", {}).items():
            trail = (*above, "effects", name)
            fed_by = self._signal(row["fed_by"], console, (*trail, "fed_by"))
            if fed_by is not None:
                self._own_mix(fed_by, console, (*trail, "fed_by"), "an effects unit is fed by a mix")
                self.effects[console, name] = Effects(name, console, fed_by, trail)

    def _own_mix(self, signal: Signal, console: str, trail: Trail, what: str) -> None:
        """Refuse a mix of another console: no bus leads from one to the other."""
        if signal.kind == "mix" and self.mixes[signal.name].console != console:
            message = f"{signal} is a mix of {self.mixes[signal.name].console}; {what} of its own console ({console})"
            self._problem(trail, message)

    def _mixes(self, console: str, above: Trail, part: Mapping[str, Any]) -> None:
        for name, row in part.get("mixes", {}).items():
            declared = self.mixes[name]
            if declared.console != console:
                continue
            trail: Trail = (*above, "mixes", name, "takes")
            takes = row.get("takes", {})
            sends = self._sends(takes.get("channels", []), part, (*trail, "channels"))
            taken = []
            for index, text in enumerate(takes.get("mixes", ())):
                signal = self._signal(text, console, (*trail, "mixes", index))
                if signal is None:
                    continue
                self._own_mix(signal, console, (*trail, "mixes", index), "a mix takes mixes")
                taken.append(signal)
            self.mixes[name] = Mix(
                name, console, declared.kind, declared.label, declared.width, sends, tuple(taken), declared.trail
            )

    def _sends(self, written: Any, part: Mapping[str, Any], trail: Trail) -> dict[int, Send]:
        """Read `takes/channels`: a list of numbers and ranges, or a map of them to how each is sent."""
        is_map = isinstance(written, dict)
        rows = part.get("channels", {})
        sends: dict[int, Send] = {}
        for index, entry in enumerate(written):
            at: Trail = (*trail, entry if is_map else index)
            row = written[entry] if is_map else {}
            send = Send(row.get("level_db"), row.get("tap"))
            single = not isinstance(entry, str) or "-" not in entry
            for number in [int(entry)] if single else self._range(entry, at, is_map):
                if number in sends:
                    self._problem(at, f"channel {number} is named twice here", is_map)
                elif str(number) in rows:
                    sends[number] = send
                elif single:
                    self._problem(at, f"there is no channel {number} on this console", is_map)
        return sends

    def _splits(self) -> dict[str, Split]:
        splits = {}
        for name, row in self.data.get("splits", {}).items():
            trail: Trail = ("splits", name)
            owner = self._port(row["from"], (*trail, "from")) if row["kind"] == "link" else None
            listener = self._port(row["to"], (*trail, "to")) if row["kind"] == "link" else None
            splits[name] = Split(name, row["kind"], tuple(row.get("sources", ())), owner, listener)
        return splits

    def _refer_splits(self, splits: Mapping[str, Split]) -> None:
        for split in splits.values():
            for index, name in enumerate(split.sources):
                self._known("source", name, self.sources, (*split.trail, "sources", index))
            if split.owner is not None and split.listener is not None:
                self._refer_link(split, split.owner, split.listener, splits)

    def _refer_link(self, split: Split, owner: Port, listener: Port, splits: Mapping[str, Split]) -> None:
        """Hold the split of a link against the consoles: it leads from one to another, and each port plays one part."""
        trail = (*split.trail, "to")
        for key, port in (("from", owner), ("to", listener)):
            device = self.devices.get(port.device)
            if device is not None and device.model.kind != "console":
                self._problem((*split.trail, key), f"{port} is not a port of a console")
        if owner.device == listener.device:
            self._problem(trail, f"{owner} and {listener} are both on {owner.device}; a split leads to another console")
        for other in splits.values():
            if other.name == split.name:
                continue
            if other.listener == listener:
                self._problem(trail, f"{listener} listens to {other.owner} already, by the split {other.name}")
            if other.listener == owner:
                message = f"{owner} listens to {other.owner} itself, by the split {other.name}; say who owns the chain"
                self._problem((*split.trail, "from"), message)

    def _sources(self, split: set[str]) -> None:
        for name, row in self.data.get("sources", {}).items():
            trail: Trail = ("sources", name)
            written = row["plugged_into"]
            many = isinstance(written, list)
            sockets = tuple(
                self._socket(text, (*trail, "plugged_into", index) if many else (*trail, "plugged_into"))
                for index, text in enumerate(written if many else [written])
            )
            if len(sockets) > 1 and name not in split:
                message = f"{name} is plugged into {len(sockets)} sockets; declare its splitter under splits/"
                self._problem((*trail, "plugged_into"), message)
            kind = row["kind"]
            powering = row.get("powering", "phantom" if kind in PHANTOM_KINDS else "none")
            connection = row.get("connection", "balanced")
            self.sources[name] = Source(
                name,
                kind,
                row.get("label", ""),
                sockets,
                connection,
                powering,
                row.get("sensitivity_mv_pa"),
                row.get("expected_spl_db"),
                row.get("level_dbu"),
                row.get("supply_ma"),
                row.get("least_supply_v"),
                row.get("latency_ms", 0.0),
                int(row.get("priority", DEFAULT_PRIORITY)),
                row.get("group"),
                row.get("cable", ""),
            )

    def _blocks(self, console: str, above: Trail, part: Mapping[str, Any]) -> tuple[Block, ...]:
        blocks: list[Block] = []
        taken: dict[int, str] = {}
        for key, text in part.get("input_blocks", {}).items():
            trail = (*above, "input_blocks", key)
            channels = self._range(key, trail, at_key=True)
            points = self._points(text, trail)
            if not channels or not points:
                continue  # a range that runs backwards is told already
            if len(points) != len(channels):
                message = f"{len(channels)} channels ({key}) can't take {len(points)} points ({text})"
                self._problem(trail, message)
                continue
            if doubled := [number for number in channels if number in taken]:
                self._problem(trail, f"channel {doubled[0]} is in the block {taken[doubled[0]]} as well", at_key=True)
            taken.update(dict.fromkeys(channels, key))
            self._input_point(console, points[0], trail)  # all of them are of one device and side
            blocks.append(Block(console, key, channels, tuple(points), trail))
        return tuple(blocks)

    def _points(self, text: str, trail: Trail) -> list[Socket | Slot]:
        try:
            device, side, first, last = numbered(text)
        except ValueError as error:
            self._problem(trail, str(error))
            return []
        return [point(device, side, number) for number in range(first, last + 1)]

    def _input_point(self, console: str, where: Socket | Slot, trail: Trail) -> Socket | Slot:
        """Hold a patch point against its console: its own input sockets and its own link ports."""
        device = where.device if isinstance(where, Socket) else where.port.device
        if self._device(device, trail) is None:
            return where
        if device != console:
            message = f"{where} is not on {console}; patch from {console}'s own link slots or input sockets"
            self._problem(trail, message)
        elif isinstance(where, Slot):
            self._port(str(where.port), trail)
        elif where.side == "out":
            self._problem(trail, f"{where} is an output; expected an input such as {console}/in/{where.number}")
        return where

    def _channels(
        self,
        console: str,
        above: Trail,
        part: Mapping[str, Any],
        blocks: tuple[Block, ...],
        channels: dict[tuple[str, int], Channel],
    ) -> None:
        by_block = {
            number: (block, where)
            for block in blocks
            for number, where in zip(block.channels, block.points, strict=True)
        }
        for key, row in part.get("channels", {}).items():
            number = int(key)
            trail = (*above, "channels", key)
            patched: InputPoint | None = None
            block: Block | None = None
            if "patched_from" in row:
                patched = self._patch_point(console, row["patched_from"], (*trail, "patched_from"))
            elif number in by_block:
                block, patched = by_block[number]
            channels[console, number] = Channel(
                console,
                number,
                row.get("label", ""),
                self._carries(console, row["carries"], (*trail, "carries")) if "carries" in row else None,
                patched,
                block.key if block else None,
                row.get("phantom"),
                row.get("gain_db"),
                row.get("pan"),
                int(row["doubles"]) if "doubles" in row else None,
                trail,
            )

    def _patch_point(self, console: str, text: str, trail: Trail) -> InputPoint | None:
        if text.startswith("effects/"):
            return self._return(console, text, trail)
        try:
            device, side, number, _ = numbered(text)
        except ValueError as error:
            self._problem(trail, str(error))
            return None
        return self._input_point(console, point(device, side, number), trail)

    def _return(self, console: str, text: str, trail: Trail) -> Return:
        name, _, side = text.removeprefix("effects/").partition(".")
        if (console, name) not in self.effects:
            own = [effects for desk, effects in self.effects if desk == console]
            self._known("effects unit", name, own, trail)
        return Return(console, name, side)

    def _carries(self, console: str, text: str, trail: Trail) -> str | Return:
        if text.startswith("effects/"):
            return self._return(console, text, trail)
        if text not in self.sources:
            self._known("source", text, self.sources, trail)
        return text

    def _refer_channels(self, channels: Mapping[tuple[str, int], Channel]) -> None:
        for channel in channels.values():
            if channel.doubles is not None and (channel.console, channel.doubles) not in channels:
                self._problem(
                    (*channel.trail, "doubles"), f"there is no channel {channel.doubles} on {channel.console}"
                )
        for mix in self.mixes.values():
            for index, signal in enumerate(mix.takes):
                self._refer_direct(signal, channels, (*mix.trail, "takes", "mixes", index))
        for unit in self.effects.values():
            self._refer_direct(unit.fed_by, channels, (*unit.trail, "fed_by"))

    def _refer_direct(self, signal: Signal, channels: Mapping[tuple[str, int], Channel], trail: Trail) -> None:
        if signal.kind == "channel":
            console, _, number = signal.name.rpartition("/")
            if (console, int(number)) not in channels:
                self._problem(trail, f"there is no channel {number} on {console}")

    def _feeds(self, channels: Mapping[tuple[str, int], Channel]) -> None:
        copies: dict[OutputPoint, tuple[OutputPoint, Trail]] = {}
        for port_text, rows in self.data.get("feeds", {}).items():
            trail: Trail = ("feeds", port_text)
            console, _, side = port_text.partition("/")
            device = self._device(console, trail)
            if device is None:
                continue
            if device.model.kind != "console":
                self._problem(trail, f"{console} is no console, so it sends nothing of its own", at_key=True)
                continue
            if side != "out":
                self._port(port_text, trail)
            for key, value in rows.items():
                at = (*trail, key)
                outputs = [point(console, side, number) for number in self._range(key, at, at_key=True)]
                if not outputs:
                    continue
                if doubled := [where for where in outputs if where in self.feeds or where in copies]:
                    self._problem(at, f"{doubled[0]} is fed twice", at_key=True)
                if isinstance(value, dict):
                    self._copy(value["same_as"], console, outputs, copies, (*at, "same_as"))
                    continue
                signal = self._signal(value, console, at)
                if signal is None:
                    continue
                self._refer_direct(signal, channels, at)
                self._own_mix(signal, console, at, "an output carries a mix")
                for where, one in zip(outputs, self._spread(signal, len(outputs), at), strict=False):
                    self.feeds[where] = Feed(one, at)
        self._resolve_copies(copies)

    def _copy(
        self,
        text: str,
        console: str,
        outputs: list[Socket | Slot],
        copies: dict[OutputPoint, tuple[OutputPoint, Trail]],
        trail: Trail,
    ) -> None:
        origins = self._points(text, trail)
        if not origins or not self._is_output(origins[0], console, trail):
            return
        if len(origins) != len(outputs):
            self._problem(trail, f"{len(outputs)} outputs can't be the same as {len(origins)} ({text})")
        for where, origin in zip(outputs, origins, strict=False):
            copies[where] = (origin, trail)

    def _is_output(self, where: Socket | Slot, console: str, trail: Trail) -> bool:
        """Hold what `same_as` names against its console: its own output sockets and its own link ports."""
        device = where.device if isinstance(where, Socket) else where.port.device
        if self._device(device, trail) is None:
            return False
        if device != console:
            self._problem(trail, f"{where} is not on {console}; an output can only be the same as one of its console's")
        elif isinstance(where, Slot):
            self._port(str(where.port), trail)
        elif where.side == "in":
            self._problem(trail, f"{where} is an input; expected an output such as {console}/out/{where.number}")
        return True

    def _resolve_copies(self, copies: Mapping[OutputPoint, tuple[OutputPoint, Trail]]) -> None:
        """Follow `same_as` to the mix that really leaves there; an origin that sends nothing copies nothing."""
        told: set[Trail] = set()
        for where, (origin, trail) in copies.items():
            seen = {where}
            end = origin
            while end in copies and end not in seen:
                seen.add(end)
                end = copies[end][0]
            if end in seen:
                if end == where and trail not in told:  # what only leads into the ring is told where the ring is
                    self._problem(trail, f"{where} is the same as itself: same_as goes round in a ring")
                    told.add(trail)
                continue
            self.copies[where] = end
            if end in self.feeds:
                self.feeds[where] = Feed(self.feeds[end].signal, trail, origin)

    def _destinations(self, channels: Mapping[tuple[str, int], Channel]) -> dict[str, Destination]:
        destinations = {}
        for name, row in self.data.get("destinations", {}).items():
            trail: Trail = ("destinations", name)
            sockets = self._output_sockets(row, trail)
            expects = self._expects(row, trail, len(sockets), channels)
            self._circuit(row, trail)
            aligned_to = row.get("aligned_to")
            if aligned_to is not None:
                self._known("destination", aligned_to, self.data["destinations"], (*trail, "aligned_to"))
            destinations[name] = Destination(
                name,
                row["kind"],
                row.get("label", ""),
                sockets,
                expects,
                row.get("shared_by"),
                row.get("location", ""),
                row.get("circuit"),
                plant.load(name, row, trail),
                row.get("delay_ms"),
                row.get("distance_m"),
                aligned_to,
                row.get("latency_ms", 0.0),
                row.get("cable", ""),
            )
        return destinations

    def _output_sockets(self, row: Mapping[str, Any], trail: Trail) -> tuple[Socket, ...]:
        """Read the sockets that something is plugged into; none where it does not say."""
        points = self._points(row["plugged_into"], (*trail, "plugged_into")) if "plugged_into" in row else []
        sockets = tuple(socket for socket in points if isinstance(socket, Socket))
        if sockets:
            self._device(sockets[0].device, (*trail, "plugged_into"))
        return sockets

    def _expects(
        self, row: Mapping[str, Any], trail: Trail, count: int, channels: Mapping[tuple[str, int], Channel]
    ) -> tuple[Signal, ...]:
        """Read what is expected at each of `count` sockets; nothing where it does not say."""
        if "expects" not in row or not count:
            return ()
        at = (*trail, "expects")
        console = self._console_of_direct(row["expects"], at)
        signal = self._signal(row["expects"], console, at) if console is not None else None
        if signal is None:
            return ()
        self._refer_direct(signal, channels, at)
        return tuple(self._spread(signal, count, at))

    def _console_of_direct(self, text: str, trail: Trail) -> str | None:
        """Return the console whose channel a destination means, or None where there are several to choose from."""
        if not text.startswith("channel/"):
            return ""
        consoles = [name for name, device in self.devices.items() if device.model.kind == "console"]
        if len(consoles) > 1:
            self._problem(trail, f"{text} could be on any of {', '.join(consoles)}; feed it through a mix")
            return None
        return consoles[0] if consoles else ""

    def _cables(self) -> dict[str, Cable]:
        cables = {}
        for name, row in self.data.get("cables", {}).items():
            trail: Trail = ("cables", name)
            ends = (self._port(row["from"], (*trail, "from")), self._port(row["to"], (*trail, "to")))
            if ends[0] == ends[1]:
                self._problem(trail, f"both ends are {ends[0]}; a cable has two ends", at_key=True)
            cables[name] = Cable(
                name,
                ends,
                row.get("kind"),
                row.get("shielded"),
                row.get("length_m"),
                row.get("label"),
                row.get("spare"),
            )
        return cables

    def _pairs(self) -> dict[str, Pair]:
        pairs = {}
        for name, row in self.data.get("pairs", {}).items():
            for side in ("left", "right"):
                self._known("source", row[side], self.sources, ("pairs", name, side))
            pairs[name] = Pair(name, row["left"], row["right"])
        return pairs

    def _circuit(self, row: Mapping[str, Any], trail: Trail) -> None:
        """Hold the circuit that a row names against the power section, where there is one."""
        circuits = self.data.get("power", {}).get("circuits")
        if circuits is not None and "circuit" in row:
            self._known("circuit", row["circuit"], circuits, (*trail, "circuit"))

    def _amplifiers(self, channels: Mapping[tuple[str, int], Channel]) -> dict[str, Amplifier]:
        amplifiers = {}
        for name, row in self.data.get("amplifiers", {}).items():
            trail: Trail = ("amplifiers", name)
            self._circuit(row, trail)
            sockets = self._output_sockets(row, trail)
            if not sockets and (said := next((key for key in ("expects", "shared_by") if key in row), None)):
                self._problem((*trail, said), f"{name} does not say where it is plugged in; say plugged_into as well")
            amplifiers[name] = plant.amplifier(name, row, sockets, self._expects(row, trail, len(sockets), channels))
        return amplifiers

    def _tablets(self) -> dict[str, Tablet]:
        tablets = plant.tablets(self.data.get("remote_control", {}))
        for tablet in tablets.values():
            for index, mix in enumerate(tablet.may_change):
                self._known("mix", mix, self.mixes, (*tablet.trail, "may_change", index))
            if tablet.own_mix is not None:
                self._known("mix", tablet.own_mix, self.mixes, (*tablet.trail, "own_mix"))
        return tablets

    def _memories(self) -> dict[str, Memory]:
        memories = plant.memories(self.data.get("console_memory", {}))
        consoles = [name for name, device in self.devices.items() if device.model.kind == "console"]
        for name, memory in memories.items():
            self._known("console", name, consoles, memory.trail)
        return memories

    def _gear(self) -> dict[str, Gear]:
        return {
            name: Gear(
                name,
                row["state"],
                row.get("what", ""),
                row.get("who", ""),
                self._date(row["until"], ("gear", name, "until")) if "until" in row else None,
                row.get("note", ""),
            )
            for name, row in self.data.get("gear", {}).items()
        }

    def _leaders(self) -> tuple[str, ...] | None:
        clock = self.data.get("clock")
        if clock is None:
            return None
        written = clock.get("leader", [])
        if isinstance(written, str):
            self._device(written, ("clock", "leader"))
            return (written,)
        for index, name in enumerate(written):
            self._device(name, ("clock", "leader", index))
        return tuple(written)

    def _date(self, text: str, trail: Trail) -> date:
        try:
            return date.fromisoformat(text)
        except ValueError:
            self._problem(trail, f"found '{text}', which is no day of the calendar")
            return date.min

    def _event(self) -> Event:
        row = self.data.get("event", {})
        day = self._date(row["date"], ("event", "date")) if "date" in row else None
        return Event(row.get("name", ""), day, row.get("doors"), row.get("start"))

    def _settings(self) -> dict[str, Setting]:
        return {
            name: Setting(name, row.get("severity"), row.get("off", False), row.get("limits", {}), row["because"])
            for name, row in self.data.get("rules", {}).items()
        }

    def _waivers(self) -> tuple[Waiver, ...]:
        return tuple(
            Waiver(
                row["rule"],
                row["about"],
                row["because"],
                row["by"],
                self._date(row["until"], ("waivers", index, "until")),
                index,
            )
            for index, row in enumerate(self.data.get("waivers", ()))
        )
