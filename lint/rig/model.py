"""Equipment models: what a type of device has, from the bundled files or the house's own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from lint.read.document import Document, Marks
from lint.read.load import load_map
from lint.read.nearest import did_you_mean
from lint.read.problem import CannotReadError, Problem, cannot_read, found
from lint.read.schema import require_valid
from lint.read.showable import unshowable
from lint.rig.address import number_range

BUNDLED = Path(__file__).parent.parent / "models"
DEFAULT_RATES_HZ = (44100, 48000)


class LinkKind(NamedTuple):
    """What a link carries and asks for: slots each way by sample rate in hertz, and cable limits in metres."""

    slots: Mapping[int, int]
    max_boxes: int | None
    cable_kind: str | None
    cable_shielded: bool
    max_cable_m: float | None

    def slots_at(self, rate_hz: int) -> int:
        """Return the slots each way at a sample rate; the nearest stated rate at or above it counts."""
        at_or_above = [rate for rate in self.slots if rate >= rate_hz]
        return self.slots[min(at_or_above)] if at_or_above else self.slots[max(self.slots)]


@dataclass(frozen=True, slots=True)
class Sockets:
    """The sockets of one direction of a model."""

    count: int
    by_selector: bool
    selector: tuple[str, ...]
    phantom: str
    phantom_group_size: int
    full_scale_dbu: float | None = None

    def phantom_group(self, number: int) -> range:
        """Return the socket numbers whose phantom power is switched together with socket `number`."""
        if self.phantom != "groups":
            return range(number, number + 1)
        first = (number - 1) // self.phantom_group_size * self.phantom_group_size + 1
        return range(first, min(first + self.phantom_group_size, self.count + 1))


class Model(NamedTuple):
    """A type of device. A console has `links` by port name and `channels` (input strips), a stage box a `chain`."""

    name: str
    kind: str
    title: str
    inputs: Sockets
    outputs: Sockets
    links: Mapping[str, LinkKind]
    chain: LinkKind | None
    sample_rates_hz: tuple[int, ...]
    channels: int | None = None
    latency_ms: float | None = None
    hop_ms: float = 0.0
    watts: float | None = None

    @property
    def ports(self) -> tuple[str, ...]:
        """The names of the ports that take a link cable."""
        return tuple(self.links) + (("upstream", "downstream") if self.chain else ())


def bundled_names() -> tuple[str, ...]:
    """Return the names of the bundled models."""
    return tuple(sorted(path.stem for path in BUNDLED.glob("*.yaml")))


class Models:
    """Models by name, read when first asked for: the house's `models/` folder first, then the bundled ones."""

    def __init__(self, house: Path | None, as_signed: Mapping[str, Any] | None = None) -> None:
        """With `as_signed` (see `model_data`, by name) those are the only models, whatever files say today."""
        self._house = house
        self.files: list[Path] = []
        self._as_signed = as_signed
        self._known: dict[str, Model | None] = {}

    def names(self) -> list[str]:
        """Return every model name that can be used in this house."""
        if self._as_signed is not None:
            return sorted(self._as_signed)
        own = (
            [path.stem for path in (self._house / "models").glob("*.yaml") if not unshowable(path.stem)]
            if self._house
            else []
        )
        return sorted({*own, *bundled_names()})

    def get(self, name: str) -> Model | None:
        """Return a model, or None where there is none of that name.

        Raises CannotReadError for a model file with mistakes in it.
        """
        if name not in self._known:
            self._known[name] = self._read(name)
        return self._known[name]

    def _read(self, name: str) -> Model | None:
        if self._as_signed is not None:
            data = self._as_signed.get(name)
            return None if data is None else _from_data(name, data)
        if self._house and (path := self._house / "models" / f"{name}.yaml").is_file():
            self.files.append(path)
            document = load_map(path)
            require_valid(document, "model")
            _require_sense(document)
            return _from_document(name, document)
        return _bundled(name) if (BUNDLED / f"{name}.yaml").is_file() else None

    def unknown(self, name: str) -> str:
        """Say that a model is not known, with the nearest one."""
        return f"no model is called '{name}'{did_you_mean(name, self.names(), most=30)}"


@cache
def _bundled(name: str) -> Model:
    # Our own files are held against the schema by the tests, not at every start.
    return _from_document(name, load_map(BUNDLED / f"{name}.yaml"))


def model_data(model: Model) -> dict[str, Any]:
    """Return what a model says, as plain data in the form of a model file; a sign-off keeps it."""
    data: dict[str, Any] = {
        "kind": model.kind,
        "title": model.title,
        "inputs": _sockets_data(model.inputs),
        "outputs": _sockets_data(model.outputs),
        "links": {port: _link_data(link) for port, link in model.links.items()},
        "sample_rates_hz": list(model.sample_rates_hz),
        "channels": model.channels,
        "latency_ms": model.latency_ms,
        "hop_ms": model.hop_ms,
        "watts": model.watts,
    }
    return data | ({"chain": _link_data(model.chain)} if model.chain else {})


def models_as_signed(text: str, shown: str) -> Mapping[str, Any]:
    """Return the models that a sign-off keeps as text (see `model_data`), by name.

    Raises CannotReadError for what is none: whoever can seal a record can have written it.
    """
    whole = load_map(Path(), shown, text)
    for name, data in whole.data.items():
        marks = whole.marks.members[name][1]
        if not (isinstance(data, dict) and isinstance(marks, Marks)):
            raise cannot_read(shown, f"{name}: {found(data)}, expected a model")
        document = Document({"model_format": 1, **_stated(data)}, marks, (shown,), ())
        require_valid(document, "model")
        _require_sense(document)
    return whole.data


def _stated(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a model's data without what a model file would leave out."""
    usual: Mapping[str, Any] = {"selector": [], "phantom_group_size": 1}
    return {
        key: _stated(value) if isinstance(value, dict) else value
        for key, value in data.items()
        if value is not None and value != usual.get(key)
    }


def _sockets_data(sockets: Sockets) -> dict[str, Any]:
    return {
        "count": sockets.count,
        "addressed": "by-selector" if sockets.by_selector else "by-chain-order",
        "selector": list(sockets.selector),
        "phantom": sockets.phantom,
        "phantom_group_size": sockets.phantom_group_size,
        "full_scale_dbu": sockets.full_scale_dbu,
    }


def _link_data(link: LinkKind) -> dict[str, Any]:
    return {
        "slots": {str(rate): count for rate, count in link.slots.items()},
        "max_boxes": link.max_boxes,
        "cable_kind": link.cable_kind,
        "cable_shielded": link.cable_shielded,
        "max_cable_m": link.max_cable_m,
    }


def _from_document(name: str, document: Document) -> Model:
    return _from_data(name, document.data)


def _from_data(name: str, data: Mapping[str, Any]) -> Model:
    links = {port: _link(entry) for port, entry in data.get("links", {}).items()}
    return Model(
        name,
        data["kind"],
        data.get("title", name),
        _sockets(data.get("inputs", {"count": 0})),
        _sockets(data.get("outputs", {"count": 0})),
        links,
        _link(data["chain"]) if "chain" in data else None,
        tuple(map(int, data.get("sample_rates_hz", DEFAULT_RATES_HZ))),
        _whole(data.get("channels")),
        data.get("latency_ms"),
        data.get("hop_ms", 0.0),
        data.get("watts"),
    )


def _require_sense(document: Document) -> None:
    """Refuse what fits the schema but can't be: selectors that don't fit their sockets, ports that lead nowhere.

    Raises CannotReadError.
    """
    problems = [*_selector_problems(document), *_port_problems(document)]
    if problems:
        raise CannotReadError(sorted(problems))


def _port_problems(document: Document) -> Iterator[Problem]:
    """Yield what is wrong with the ports: a console ends a chain (`links`), a box passes one on (`chain`)."""
    data = document.data
    if "chain" in data and data["kind"] == "console":
        message = "a console has `links`; a `chain` is what a stage box passes on"
        yield Problem(*document.locate(("chain",), True), message)
    elif "chain" in data and data.get("links"):
        message = "a box has the ports upstream and downstream of its `chain`; `links` are a console's"
        yield Problem(*document.locate(("links",), True), message)
    for name in data.get("links", {}):
        if name in ("in", "out", "channel"):
            message = f"a link port can't be called '{name}': addresses such as desk/{name}/1 mean something else"
            yield Problem(*document.locate(("links", name), True), message)


def _selector_problems(document: Document) -> Iterator[Problem]:
    """Yield selector positions that run backwards or hold another number of slots than there are sockets."""
    for side in ("inputs", "outputs"):
        sockets = document.data.get(side, {})
        for index, position in enumerate(sockets.get("selector", ())):
            trail = (side, "selector", index)
            try:
                length = len(number_range(position))
            except ValueError as error:
                yield Problem(*document.locate(trail), str(error))
                continue
            if length != sockets["count"]:
                message = f"the position {position} holds {length} slots, but there are {sockets['count']} sockets"
                yield Problem(*document.locate(trail), message)


def _link(data: Mapping[str, Any]) -> LinkKind:
    return LinkKind(
        {int(rate): int(count) for rate, count in data["slots"].items()},
        _whole(data.get("max_boxes")),
        data.get("cable_kind"),
        data.get("cable_shielded", False),
        data.get("max_cable_m"),
    )


def _whole(number: float | None) -> int | None:
    """Return a whole number as such: to JSON Schema 8.0 is one as well."""
    return None if number is None else int(number)


def _sockets(data: Mapping[str, Any]) -> Sockets:
    return Sockets(
        int(data["count"]),
        data.get("addressed", "by-chain-order") == "by-selector",
        tuple(data.get("selector", ())),
        data.get("phantom", "each"),
        int(data.get("phantom_group_size", 1)),
        data.get("full_scale_dbu"),
    )
