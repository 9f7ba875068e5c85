"""Changes of the chain and its selectors, with all that moves along: slots, and the channels that follow or do not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from lint.change.compare import Change
from lint.change.pile import Pile
from lint.change.words import model_words
from lint.resolve.resolved import ResolvedRig
from lint.rig.address import Port, spans
from lint.sheet.names import bank_words

PART = "The chain"


def tell(pile: Pile) -> None:
    """Tell what the chain's changes are, link by link, then selectors."""
    links = list(dict.fromkeys((*pile.old.chains, *pile.new.chains)))
    for link in links:
        before, after = _boxes(pile.old, link), _boxes(pile.new, link)
        if before != after:
            _tell_order(pile, link, before, after)
    _tell_models(pile)
    _tell_model_files(pile)
    _tell_selectors(pile)


def _boxes(rig: ResolvedRig, link: Port) -> list[str]:
    chain = rig.chains.get(link)
    return [box.device for box in chain.boxes] if chain else []


def _tell_order(pile: Pile, link: Port, before: list[str], after: list[str]) -> None:
    """Tell that boxes came, went or stand in another order on a link; the cables' ends are part of it."""
    came = [name for name in after if name not in before]
    went = [name for name in before if name not in after]
    exchanged = {new: old for old, new in zip(before, after, strict=False) if old in went and new in came}
    words = [f"{new} stands where {old} stood" for new, old in exchanged.items()]
    words += [_came(pile, name, link, after) for name in came if name not in exchanged]
    words += [_went(pile, name, link, before) for name in went if name not in exchanged.values()]
    if [name for name in before if name in after] != [name for name in after if name in before]:
        words.append(f"the boxes on {link} now stand in the order {', '.join(after)} (before: {', '.join(before)})")
    cables = pile.take(lambda change: change.section == "cables" and change.field in (None, "ends"))
    boxes = pile.take(
        lambda change: change.section == "devices" and change.field is None and change.row in (*came, *went)
    )
    models = _models_of(pile, boxes)
    told = [*boxes, *models, *cables]
    follows, moved = _consequences(pile, link, {name for name in after if name in before}, [*came, *went])
    follows = [*(_box_words(pile, change) for change in boxes if change.after), *_cable_words(cables), *follows]
    if not told and not moved:
        return  # the same cables still: it is told where its cause is
    pile.tell(PART, "; ".join(words), [*told, *moved], follows)


def _box_words(pile: Pile, change: Change) -> str:
    """Say what a new box is, where it stands, how its selectors stand and what feeds it."""
    box = pile.new.rig.devices[change.row]
    parts = [f"{box.name} is a {box.model.name}"]
    parts += [f"called “{box.label}”"] if box.label else []
    parts += [f"at {box.location}"] if box.location else []
    parts += [
        f"{side} selector at {bank_words(bank)}"
        for side, bank in (("output", box.output_bank), ("input", box.input_bank))
        if bank
    ]
    parts += [f"on the circuit {box.circuit}"] if box.circuit else []
    return ", ".join(parts)


def _cable_words(cables: Iterable[Change]) -> Iterator[str]:
    """Yield which cables are new, gone or lead elsewhere."""
    for change in cables:
        if change.field == "ends":
            now, was = (" and ".join(ends) or "nothing" for ends in (change.after, change.before))
            yield f"the cable {change.row} joins {now} now (before: {was})"
        elif change.after is None:
            yield f"the cable {change.row} is gone"
        else:
            facts = change.after
            length = "" if facts["length_m"] is None else f", {facts['length_m']:g} m"
            kind = f", {facts['kind']}" if facts["kind"] else ""
            yield f"the cable {change.row} is new: it joins {' and '.join(facts['ends'])}{kind}{length}"


def _came(pile: Pile, name: str, link: Port, after: list[str]) -> str:
    verb = "is reached again and stands" if name in pile.old.lost_boxes else "was added"
    index = after.index(name)
    near = after[index - 1] if index else str(link)
    if index + 1 < len(after):
        return f"{name} {verb} between {near} and {after[index + 1]}"
    return f"{name} {verb} at the end of the chain, behind {near}"


def _went(pile: Pile, name: str, link: Port, before: list[str]) -> str:
    index = before.index(name)
    stood = f"it stood behind {before[index - 1] if index else link}"
    if name in pile.new.rig.devices and name not in pile.new.boxes:
        return f"nothing gets to {name} any more ({stood})"
    return f"{name} was taken out of the chain ({stood})"


def _models_of(pile: Pile, boxes: list[Change]) -> list[Change]:
    """Take the models that came or went with boxes."""
    return _take_models(pile, {(change.after or change.before)["model"] for change in boxes})


def _take_models(pile: Pile, names: set[str]) -> list[Change]:
    return pile.take(lambda change: change.section == "models" and change.field is None and change.row in names)


def _tell_models(pile: Pile) -> None:
    """Tell boxes that are of another model now."""
    exchanged = pile.take(lambda change: (change.section, change.field) == ("devices", "model"))
    for change in exchanged:
        place = pile.new.boxes.get(change.row)
        follows, moved = list[str](), list[Change]()
        if place:  # what stands last moves nothing
            link, last = place.link, pile.new.chains[place.link].boxes[-1].device
            places = [(row.row, pile.new.boxes.get(row.row)) for row in exchanged if row.row != last]
            causes = [name for name, box in places if box and box.link == link]
            follows, moved = _consequences(pile, link, set(pile.new.boxes), causes)
        models = _take_models(pile, {change.before, change.after})
        words = f"{change.row} was exchanged: it is a {change.after} now (before: {change.before})"
        pile.tell(PART, words, [change, *models, *moved], follows)


def _tell_model_files(pile: Pile) -> None:
    """Tell models that say something else of the equipment than before, under the same name."""
    rows = pile.take(lambda change: change.section == "models" and change.field is not None)
    for name in dict.fromkeys(change.row for change in rows):
        own = [change for change in rows if change.row == name]
        boxes = [box.name for box in pile.new.rig.devices.values() if box.model.name == name]
        follows, moved = [], list[Change]()
        for link in dict.fromkeys(pile.new.boxes[box].link for box in boxes if box in pile.new.boxes):
            words, taken = _consequences(pile, link, set(pile.new.boxes), [])
            follows += words
            moved += taken
        of = f" (of {', '.join(boxes)})" if boxes else ""
        said = "; ".join(words for change in own for words in model_words(change))
        pile.tell(PART, f"the model {name}{of} is described otherwise now: {said}", [*own, *moved], follows)


def _consequences(pile: Pile, link: Port, stayed: set[str], causes: Sequence[str]) -> tuple[list[str], list[Change]]:
    """Return what the shift of slots on a link leads to, in words, and the changes of patch that follow it.

    `causes` are the boxes that came or went, or are others now.
    """
    why = f" because of {' and '.join(causes)}" if causes else ""
    words: list[str] = []
    moved: list[Change] = []
    new_chain = pile.new.chains.get(link)
    for box in new_chain.boxes if new_chain else ():
        was = pile.old.boxes.get(box.device)
        is_told = box.device in pile.shifted or box.device not in stayed
        if is_told or was is None or not was.input_slots or not box.input_slots:
            continue
        shift = box.input_slots[0] - was.input_slots[0]
        if shift:
            pile.shifted.add(box.device)
            direction = "up" if shift > 0 else "down"
            slots = f"slots {spans(list(was.input_slots))} are now {spans(list(box.input_slots))}"
            words.append(f"everything on {box.device} moved {direction} by {abs(shift)} slots{why}: {slots}")
            follow, taken = _followers(pile, box.device)
            words += follow
            moved += taken
    return words, moved


def _followers(pile: Pile, device: str) -> tuple[list[str], list[Change]]:
    """Return which channels follow a box whose slots moved, and the changes of their patch."""
    follow: list[int] = []
    taken: list[Change] = []
    for key, was in pile.old.arrivals.items():
        now = pile.new.arrivals.get(key)
        if now is None or was.socket is None or was.socket.device != device:
            continue
        changed = pile.take_field("channels", now.channel.address, "patched_from") if now.socket == was.socket else []
        if changed:
            taken += changed
            follow.append(now.channel.number)
    noun, verb = ("channel", "follows") if len(follow) == 1 else ("channels", "follow")
    return ([f"{noun} {spans(sorted(follow))} {verb}"] if follow else []), taken


def _tell_selectors(pile: Pile) -> None:
    for side in ("output", "input"):
        for change in _take_banks(pile, f"{side}_bank"):
            now = bank_words(change.after) or "not stated"
            was = bank_words(change.before) or "not stated"
            words = f"{change.row}: the {side} selector stands at {now} (before: {was})"
            pile.tell(PART, words, [change])


def _take_banks(pile: Pile, field: str) -> list[Change]:
    return pile.take(lambda change: (change.section, change.field) == ("devices", field))
