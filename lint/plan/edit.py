"""One thing that is done to a rig or happens to it, as a change of its data: the whole pipeline then reads it anew."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from lint.plan.chainwork import ChainRow, chain_rows, closed_up, rewired, unplugged, unplugged_at
from lint.plan.distance import Stage
from lint.plan.exchanging import adding, exchanging
from lint.plan.reach import Loose, fetched, laid, loose_cables, new_cable_name
from lint.read.nearest import did_you_mean
from lint.read.schema import schema
from lint.resolve.chain import Chain
from lint.resolve.dark import gone_by_file, hung_on
from lint.resolve.mixup import merged, nested
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port, number_range
from lint.rig.model import Model, Models
from lint.rig.rig import Device

Patch = dict[str, Any]  # a merge patch (RFC 7396)
PLANNED_DEAD = "found dead; written by a plan of rigwalk"


class CannotDoError(Exception):
    """Raised for a change that can't be made: one sentence that says what is impossible, and the best that is not."""


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of the rig: in words, as a merge patch (RFC 7396), and what no longer has power or works at all.

    `dead` names devices and destinations, `settled` the boxes whose selector is the change itself: no cure
    turns those back. `lost` is the name of what failed, where something did; `spare` says where its tested spare is,
    and `is_mains` that it is a circuit; `then` has what belongs to making the change beyond its words, before link
    cables are plugged, and `at_last` after it. `bared` is a box all of whose plugs are out in between.
    """

    words: str
    patch: Mapping[str, Any]
    dead: frozenset[str] = frozenset()
    settled: frozenset[str] = frozenset()
    lost: str = ""
    spare: str = ""
    is_mains: bool = False
    then: tuple[str, ...] = ()
    at_last: tuple[str, ...] = ()
    bared: str = ""


class Editor:
    """Makes edits of one resolved rig. Every method raises CannotDoError for what can't be done."""

    def __init__(
        self,
        rig: ResolvedRig,
        models: Models,
        stage: Stage | None = None,
        failing: Collection[str] = (),
        banks: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        """Edit a rig; `stage` has the ways of the rig before any edit, where this is not the first.

        `failing` names link cables and consoles that fail too, whatever else is done: none of them is laid anew, and
        nothing to them. `banks` has the output selectors that are turned later.
        """
        self.rig = rig
        self.models = models
        self.stage = stage or Stage(rig)
        self.failing = failing
        self.banks = banks

    # -- the chain -------------------------------------------------------------------------------------------------

    def order(self, boxes: Sequence[str]) -> Edit:
        """Cable the boxes of one chain in another order; each cable stays at its place in the chain if it reaches."""
        if not boxes:
            raise CannotDoError("an order names the boxes of a chain, from the console outwards")
        chain = self._chain_of(self._box(boxes[0]).name)
        rows = chain_rows(chain)
        names = [row.device for row in rows]
        self._require_order(boxes, names, chain.link)
        wanted = {name: row.cable for name, row in zip(boxes, rows, strict=True)}
        words = f"the boxes on {chain.link} are cabled {', '.join(boxes)} (before: {', '.join(names)})"
        return Edit(words, self._cabled(chain.link, boxes, [row.cable for row in rows], wanted))

    def _cabled(
        self,
        link: Port,
        boxes: Sequence[str],
        cables: Sequence[str],
        wanted: Mapping[str, str],
        but: Collection[str] = (),
    ) -> Patch:
        """Return the change that cables a link so, with the cables that fit best; what is left over is taken out.

        `but` names spares that are in use already. Where no cable is left for a box, one has to be fetched.
        """
        there = loose_cables(self.rig, cables)
        loose = [
            cable._replace(is_dead=cable.name in self.failing)
            for cable in there
            if (cable.name in cables or cable.name not in but) and cable.spare_of not in self.failing
        ]
        loose += [Loose(new_cable_name(self.rig, name), None, fetched_for=name) for name in boxes]
        found = laid(self.rig, link, boxes, loose, wanted, self.stage)
        assert found is not None  # a cable a box
        used = {row.cable for row in found.rows}
        taken = unplugged(self.rig, [name for name in cables if name not in used])
        return merged([rewired(self.rig, link, found.rows), fetched(self.rig, found.rows, loose), taken])

    def _require_order(self, boxes: Sequence[str], names: Sequence[str], link: Port) -> None:
        for name in boxes:
            self._box(name)
            if name not in names:
                where = f"it is on {self._chain_of(name).link}" if self._is_on_chain(name) else "no console reaches it"
                raise CannotDoError(f"{name} is not on {link}: {where}. First `move {name} {link}`.")
        if len(set(boxes)) < len(boxes):
            twice = next(name for name in boxes if list(boxes).count(name) > 1)
            raise CannotDoError(f"the order names {twice} twice; on {link} there are {', '.join(names)}")
        left = [name for name in names if name not in boxes]
        if left:
            whole = " ".join((*boxes, *left))
            raise CannotDoError(
                f"the order names {len(boxes)} of the {len(names)} boxes on {link}, not {' or '.join(left)}; "
                f"with what is left at the end it is `order {whole}`"
            )

    def add(self, name: str, model: str, after: str | None = None, bank: str | None = None) -> Edit:
        """Put a new box behind another (or behind a console's link port); nothing said: at the first chain's end."""
        if name in self.rig.rig.devices:
            raise CannotDoError(f"there is a device called {name} already; call the new box otherwise")
        form = schema("rig")["$defs"]["id"]
        if not re.search(form["pattern"], name) or len(name) > form["maxLength"]:
            raise CannotDoError(f"a box can't be called '{name}'; expected {form['title']}")
        found = self._box_model(model, "be put into a chain")
        row: dict[str, Any] = {"model": model}
        if bank is not None:
            if bank not in found.outputs.selector:
                raise CannotDoError(_no_position(model, bank, found.outputs.selector))
            row["output_bank"] = bank
        link, rows, at = self._place_behind(after)
        # Nobody knows how far it is to a new box: no cable that works is taken for it, and none that lies there.
        rows.insert(at, ChainRow(name, new_cable_name(self.rig, name)))
        patch = merged([nested(("devices", name), row), rewired(self.rig, link, rows)])
        behind = rows[at - 1].device if at else str(link)
        words = f"{name} ({model}) is added behind {behind}"
        return Edit(words, patch, settled=frozenset((name,) if bank else ()), at_last=adding(self.rig, name, bank))

    def _box_model(self, model: str, use: str) -> Model:
        found = self.models.get(model)
        if found is None:
            raise CannotDoError(self.models.unknown(model))
        if found.chain is None:
            raise CannotDoError(f"{model} is no stage box, so it can't {use}")
        return found

    def _place_behind(self, after: str | None) -> tuple[Port, list[ChainRow], int]:
        """Return the link, what hangs on it and the place in it that `after` (a box, a link port, nothing) means."""
        if after is not None and "/" in after:
            link = self._link(after)
            chain = self.rig.chains.get(link)
            return link, chain_rows(chain) if chain else [], 0
        if after is not None:
            chain = self._chain_of(self._box(after).name)
            rows = chain_rows(chain)
            return chain.link, rows, [row.device for row in rows].index(after) + 1
        if not self.rig.chains:
            raise CannotDoError("no console of this rig has a link port")
        link, chain = next(((link, chain) for link, chain in self.rig.chains.items() if chain.boxes), first(self.rig))
        rows = chain_rows(chain)
        return link, rows, len(rows)

    def remove(self, name: str) -> Edit:
        """Take a box out and close the chain behind it; what is plugged into it is left with nothing.

        Nothing is cabled anew to a console that is dead or dark.
        """
        box = self._box(name)
        how = ""
        if self._is_on_chain(name) and not self._is_gone((chain := self._chain_of(name)).link.device):
            how = " and the chain closed up"
            rows = chain_rows(chain)
            left = [row.device for row in rows if row.device != name]
            patch = self._cabled(chain.link, left, [row.cable for row in rows], closed_up(rows, (name,)))
        else:
            patch = unplugged(self.rig, self._cables_at(name))
        # The box itself stays among the devices: sources and destinations still say that they are plugged into it.
        return Edit(f"{box.name} is taken out{how}", patch, frozenset((name,)))

    def move(self, name: str, link_text: str) -> Edit:
        """Take a box out of its chain and put it at the end of another link's."""
        box, link = self._box(name), self._link(link_text)
        target = self.rig.chains.get(link)
        rows = chain_rows(target) if target else []
        if any(row.device == name for row in rows):
            raise CannotDoError(f"{name} is on {link} already; `order` changes its place there")
        out = self.remove(name).patch.get("cables", {})
        # A cable whose spare is taken into use loses that alone.
        taken = [key for key, row in out.items() if row is None or None in (row.get("from", ""), row.get("to", ""))]
        freed = next((key for key in taken if key not in self.failing), None)
        words = f"{box.name} is moved to {link}"
        cable = freed or new_cable_name(self.rig, name)
        wanted = {row.device: row.cable for row in rows} | {name: cable}
        if freed is None and self.stage.way_m(rows[-1].device if rows else link.device, name) is None:
            there = rewired(self.rig, link, [*rows, ChainRow(name, cable)])
        else:
            cables = [*(row.cable for row in rows), *([freed] if freed is not None else [])]
            there = self._cabled(link, list(wanted), cables, wanted, but=out)
        left = {key: value for key, value in out.items() if key != freed}
        return Edit(words, merged([{"cables": left}, there]))

    # -- a box itself ----------------------------------------------------------------------------------------------

    def replace(self, name: str, model: str) -> Edit:
        """Put a box of another model in a box's place; its selector stays where it can."""
        box = self._box(name)
        found = self._box_model(model, f"stand in for {name}")
        row: dict[str, Any] = {"model": model}
        words = f"{name} is replaced by a {model}"
        for key, bank, sockets in (
            ("output_bank", box.output_bank, found.outputs), ("input_bank", box.input_bank, found.inputs)
        ):  # fmt: skip
            if bank is None or bank in sockets.selector:
                continue
            first_slot = bank.partition("-")[0]
            row[key] = next((at for at in sockets.selector if at.partition("-")[0] == first_slot), None)
            words += f", {key.replace('_', ' ')} {bank} becomes {row[key] or 'none: it has no such position'}"
        turned = {"output_bank": self.banks[name]} if name in self.banks else {}
        then = exchanging(self.rig, box, found, row | turned)
        mended = [nested(dead.trail, None) for dead in self.rig.rig.dead.values() if dead.device == name]
        patch = merged((nested(("devices", name), row), *mended))
        return Edit(words, patch, then=then, bared=name)

    def bank(self, name: str, position: str) -> Edit:
        """Turn the output selector of a box."""
        box = self._box(name)
        sockets = box.model.outputs
        if not sockets.by_selector:
            raise CannotDoError(f"{name} ({box.model.name}) has no output selector: the chain decides its outputs")
        if position not in sockets.selector:
            raise CannotDoError(_no_position(f"{name} ({box.model.name})", position, sockets.selector))
        was = box.output_bank or "not stated"
        words = f"the output selector of {name} is turned to {position} (before: {was})"
        patch = nested(("devices", name, "output_bank"), position)
        step = f"turn the output selector of {name} to {position}"
        return Edit(words, patch, settled=frozenset((name,)), at_last=(step,))

    def replace_lost(self, name: str) -> Edit:
        """A box dies, and another is put in its place: by an edit of its own, which comes after this one."""
        self._box(name)
        return Edit(f"{name} is dead, and another box takes its place", {}, lost=name)

    # -- losses ----------------------------------------------------------------------------------------------------

    def lose(self, name: str) -> Edit:
        """Lose a box, a link cable, a link port (desk/link-1), a mains circuit or a console, whichever is called so."""
        rows = self.rig.rig
        kinds = {
            "box": (self.lose_box, [box.name for box in rows.boxes]),
            "cable": (self.lose_cable, list({**self.stage.rig.rig.cables, **rows.cables})),
            "circuit": (self.lose_circuit, self.rig.rig.circuit_names),
            "link": (self.lose_link, list(map(str, self.rig.cabling.chains))),
            "console": (self.lose_console, [console.name for console in rows.consoles]),
        }
        meant = [kind for kind, (_, names) in kinds.items() if name in names]
        if len(meant) > 1:
            choice = " or ".join(f"`lose {kind} {name}`" for kind in meant)
            raise CannotDoError(f"{name} is the name of a {' and of a '.join(meant)}; say {choice}")
        if not meant:
            every = [entry for _, names in kinds.values() for entry in names]
            if name in self.rig.rig.loose_cables:
                raise CannotDoError(f"the link cable {name} lies loose: nothing goes through it or is lost with it")
            device, _, rest = name.partition("/")
            if device in rows.devices and rest.partition("/")[0] in ("in", "out"):
                raise CannotDoError(_of_sockets(device, rest))
            near = did_you_mean(name, every, most=12)
            raise CannotDoError(f"no box, link cable, link port, circuit or console is called '{name}'{near}")
        return kinds[meant[0]][0](name)

    def lose_box(self, name: str) -> Edit:
        """A box dies: it passes nothing, so all behind it is cut off as well."""
        self._box(name)
        patch = unplugged_at(self.rig, lambda end: end.device == name)
        return Edit(f"{name} is dead: nothing gets through it", patch, frozenset((name,)), lost=name)

    def lose_cable(self, name: str) -> Edit:
        """A link cable fails."""
        known = {**self.stage.rig.rig.cables, **self.rig.rig.cables}
        if name not in known:
            raise CannotDoError(f"no link cable is called '{name}'{did_you_mean(name, known)}")
        spare = known[name].spare
        kept = f" (its tested spare: {spare})" if spare else ""
        # It may lie there unplugged by now.
        patch = nested(("cables", name), None) if name in self.rig.rig.document.data["cables"] else {}
        return Edit(f"the link cable {name} is dead{kept}", patch, lost=name, spare=spare or "")

    def lose_link(self, text: str) -> Edit:
        """A link port of a console fails, or the card that it is on."""
        link = self._link(text)
        cables = [cable.name for cable in self.rig.rig.cables.values() if link in cable.ends]
        if not cables:
            raise CannotDoError(f"nothing is cabled to {link}, so nothing is lost with it")
        patch = unplugged_at(self.rig, lambda end: end == link)
        spare = next((spare for name in cables if (spare := self.rig.rig.cables[name].spare)), "")
        return Edit(f"the link port {link} is dead", patch, lost=str(link), spare=spare)

    def lose_circuit(self, name: str) -> Edit:
        """A mains circuit fails: every device, loudspeaker and amplifier on it is dark."""
        if name not in self.rig.rig.circuit_names:
            raise CannotDoError(f"no circuit is called '{name}'{did_you_mean(name, self.rig.rig.circuit_names)}")
        dark = hung_on(self.rig, name)
        # What lies between two of those stays: nothing would go through it either way.
        rows = self.rig.rig.cables.values()
        cut = {end for row in rows if any(end.device not in dark for end in row.ends) for end in row.ends}
        cables = unplugged_at(self.rig, lambda end: end.device in dark and end in cut)
        patch = merged((nested(("power", "circuits", name, "dark"), True), cables))
        what = ", ".join(dark) or "nothing that the rig names"
        return Edit(f"the circuit {name} is dark: {what}", patch, frozenset(dark), lost=name, is_mains=True)

    def lose_console(self, name: str) -> Edit:
        """A console dies alone: its inputs and mixes are gone, and whatever hangs on its links is cut off."""
        names = [console.name for console in self.rig.rig.consoles]
        if name not in names:
            raise CannotDoError(f"no console is called '{name}'{did_you_mean(name, names)}")
        patch = {} if name in self.rig.rig.dead else nested(("dead", name), PLANNED_DEAD)
        return Edit(f"{name} is dead: nothing is heard or sent through it", patch, frozenset((name,)), lost=name)

    # -- helpers ---------------------------------------------------------------------------------------------------

    def _box(self, name: str) -> Device:
        device = self.rig.rig.devices.get(name)
        boxes = [box.name for box in self.rig.rig.boxes]
        if device is None:
            raise CannotDoError(f"no box is called '{name}'{did_you_mean(name, boxes)}")
        if device.model.chain is None:
            raise CannotDoError(f"{name} is no stage box{did_you_mean(name, boxes)}")
        return device

    def _link(self, text: str) -> Port:
        links = {str(link): link for link in self.rig.chains}
        if text not in links:
            raise CannotDoError(f"no console has the link port '{text}'{did_you_mean(text, links)}")
        return links[text]

    def _is_gone(self, console: str) -> bool:
        return console in self.failing or console in gone_by_file(self.rig)

    def _is_on_chain(self, name: str) -> bool:
        return name in self.rig.boxes or name in self.rig.lost_boxes

    def _chain_of(self, name: str) -> Chain:
        box = self.rig.boxes.get(name) or self.rig.lost_boxes.get(name)
        if box is None:
            raise CannotDoError(f"no console reaches {name}, so it has no place in a chain; cable it first")
        return self.rig.chains[box.link]

    def _cables_at(self, device: str) -> list[str]:
        cables = self.rig.rig.cables.values()
        return [cable.name for cable in cables if any(end.device == device for end in cable.ends)]


def first(rig: ResolvedRig) -> tuple[Port, Chain]:
    """Return the first link port with its chain."""
    return next(iter(rig.chains.items()))


def _no_position(what: str, position: str, selector: Sequence[str]) -> str:
    """Say that a selector has no such position, and which one holds the slot that was asked for first."""
    if not selector:
        return f"{what} has no output selector"
    try:
        slot = number_range(position).start
    except ValueError:
        slot = 0
    near = next((at for at in selector if slot in number_range(at)), None)
    hint = f"; slot {slot} is on {near}" if near else ""
    return f"{what} has no selector position {position}; it has {', '.join(selector)}{hint}"


def _of_sockets(device: str, rest: str) -> str:
    """Say where sockets are asked about that can't be lost by themselves."""
    if rest.startswith("in"):
        what = "a change loses no input sockets by themselves"
        return f"{what}; `rigwalk spares RIG {device}/{rest}` says what is lost with them"
    what = f"output sockets are lost with their device alone; say {device}"
    return f"{device}/{rest}: {what}, or of its inputs `rigwalk spares RIG {device}/in`"
