"""A house asked for at the terminal: devices, chain, what is plugged in, mixes; then a plan of a rig that is whole."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import date
from typing import NamedTuple

from lint.rig.contradictions import NOWHERE
from lint.rig.model import Model, Models, bundled_names
from lint.rig.rig import PHANTOM_KINDS
from lint.sheet.names import kind_words
from lint.start.plan import BARRED_KINDS, Plan, named
from lint.start.words import pairs_by_name

Ask = Callable[[str, str], str]
Say = Callable[[str], None]
_KINDS = {
    "1": "dynamic-microphone",
    "2": "condenser-microphone",
    "3": "passive-di",
    "4": "active-di",
    "5": "wireless-receiver",
    "6": "player",
    "7": "ribbon-microphone",
    "8": "active-ribbon-microphone",
    "9": "boundary-microphone",
    "10": "lavalier-microphone",
    "11": "instrument-line",
}
# What performers hear a monitor by: in words, as a kind, and as it ends the name of a destination.
_HEARD_BY = {
    "1": ("wedge", "wedge", "wedge"),
    "2": ("in-ears", "ear-transmitter", "ears"),
    "3": ("headphones", "headphone-amplifier", "phones"),
}
# What else may hang on outputs: in words, as a kind, and as the kind of its own stereo mix (none: the house in mono).
_OTHERS = {
    "1": ("hearing loop", "hearing-assistance", ""),
    "2": ("recorder", "recorder", "record"),
    "3": ("stream encoder", "stream-encoder", "stream"),
}
BACK, HELP = "<", "?"
_HOW = (
    f"Empty answers take what stands in brackets; {BACK} goes back to the question before, {HELP} explains a question."
)
# What a question is about, by words in it; the first that fits is shown.
_HELP = (
    ("Name of the event", "What is printed on top of every sheet, such as “Sunday gathering”."),
    (
        "Date of the event",
        "Year, month and day, such as 2026-12-06: sheets carry it, and waivers end by it. It may be empty.",
    ),
    ("its model", "How many inputs and outputs the box has; `rigwalk models` lists all, a house may write its own."),
    (
        "Console",
        "How many channels the console has, which is the number in the name, and how many sockets of its own; "
        "`rigwalk models` lists all, a house may write its own.",
    ),
    (
        "How many stage boxes",
        "Boxes on one link cable, in a chain from the console on. With 0 the console's own sockets are used.",
    ),
    ("its name", "What the crew calls the box; small letters, digits and hyphens are kept."),
    ("stands", "Where to look for it: stage left, mix position. The picture of the stage is drawn by these words."),
    ("length of the cable", "Of the link cable, in metres: too long a cable is told by `rigwalk check`."),
    (
        "Is there a tested spare",
        "A cable as long as that one, which was tried out and lies ready: y for yes, n for no.",
    ),
    ("Where the spare", "Whoever hunts a dead link looks there first: under the console, on a hook behind the door."),
    (
        ": source",
        "What is plugged into this input, by the name the crew knows. Stereo is two: Keyboard L and Keyboard R. "
        "Enter alone ends the list.",
    ),
    (
        "its kind",
        "A condenser and an active DI need 48 V and get it; a ribbon is kept without it. Answer with the number.",
    ),
    ("monitor mixes", "Mixes that performers hear themselves by; each is on an output of its own."),
    ("for whom", "Who hears this monitor: the name of its mix, and of what it is heard by, come from it."),
    ("heard by", "What hangs on the output: a wedge, the transmitter of in-ears, or an amplifier for headphones."),
    (
        "What else",
        "A hearing loop gets the house mix in mono, a recorder or stream encoder a stereo mix of its own, made of the "
        "house mix. Answer with the number; Enter alone ends the list.",
    ),
)


_YES_NO = {"y": True, "yes": True, "n": False, "no": False}


class _BackError(Exception):
    """Raised where somebody wants the question before."""


class _Box(NamedTuple):
    name: str
    model: Model
    bank: str


class Asker:
    """Asks until every answer can be used. `ask` takes a question and what is taken for an empty answer.

    A house has no date, and mostly no sources either: its weeks have them.
    To go back, everything is asked once more and answered from memory up to the question before.
    """

    def __init__(self, ask: Ask, say: Say, models: Models, day: str = "", is_house: bool = False) -> None:
        self._put = ask
        self._tell = say
        self._models = models
        self._day = day
        self._is_house = is_house
        self._given: list[tuple[str, str]] = []
        self._next = 0
        self._plan = Plan()

    def plan(self) -> Plan:
        """Ask everything and return the plan."""
        while True:
            self._plan, self._next = Plan(), 0
            try:
                return self._asked()
            except _BackError:
                continue

    def _say(self, text: str) -> None:
        if self._next >= len(self._given):
            self._tell(text)

    def _ask(self, question: str, usual: str) -> str:
        if self._next < len(self._given):
            self._next += 1
            return self._given[self._next - 1][1]
        while True:
            said = self._put(question, usual)
            if said == BACK:
                self._forget(question)
                self._forget(self._given[-1][0] if self._given else "")
                raise _BackError
            if said != HELP:
                self._given.append((question, said))
                self._next += 1
                return said
            self._tell(next((words for part, words in _HELP if part in question), _HOW))

    def _forget(self, question: str) -> None:
        """Forget all answers to a question, those that could not be used as well."""
        while self._given and self._given[-1][0] == question:
            self._given.pop()

    def _date(self) -> str:
        if self._day or self._is_house:
            return self._day
        while True:
            said = self._ask("Date of the event, year-month-day", "")
            try:
                return date.fromisoformat(said).isoformat() if said else ""
            except ValueError:
                self._say(f"“{said}” is no date; expected one such as 2026-12-06, or nothing.")

    def _asked(self) -> Plan:
        self._say(f"{_HOW} Nothing is written before the end.")
        name = self._ask("Name of the event", "Sunday gathering")
        day = self._date()
        self._plan.event = {"name": name} | ({"date": day} if day else {})
        console = self._model("Console", "console", "console-32")
        self._plan.add("clock", "sample_rate_hz", 48000)
        self._plan.add("clock", "leader", "desk")
        self._plan.add(
            "devices",
            "desk",
            {"model": console.name, "location": self._ask("Where the console stands", "mix position")},
        )
        boxes = self._boxes()
        sockets = self._sockets(console, boxes)
        self._sources(console, sockets)
        self._pair()
        self._mixes(console, boxes)
        self._plan.remarks = [f"assumed: {words}" for words in self._assumed(boxes)]
        return self._plan

    def _pair(self) -> None:
        """Take two sources for a pair whose labels differ in their side alone."""
        channels = list(self._plan.sections.get("channels", {}).values())
        rows = [(row["label"], row["carries"]) for row in channels]
        sources = self._plan.sections.get("sources", {})
        for of, left, right in pairs_by_name((label, sources[name]["kind"]) for label, name in rows):
            name = named(of, self._plan.sections.get("pairs", ()), "pair")
            self._plan.add("pairs", name, {"left": rows[left][1], "right": rows[right][1]})
            channels[left]["pan"], channels[right]["pan"] = "left", "right"

    def _assumed(self, boxes: list[_Box]) -> Iterator[str]:
        """Yield what was not asked, and stands in the plan all the same."""
        plan = self._plan.sections
        yield "the console leads the clock, at 48 kHz"
        for box in boxes:
            yield f"the selector of {box.name} stands at {box.bank}" if box.bank else f"no output of {box.name} is used"
        if boxes:
            yield "the link cables are shielded, of category 5e"
        if plan.get("sources"):
            yield "every source is on the channel and socket of its question, phantom power on where its kind needs it"
        for name, pair in plan.get("pairs", {}).items():
            yield f"{pair['left']} and {pair['right']} are the pair {name}, by their names"
        if any(mix["kind"] == "monitor" for mix in plan["mixes"].values()):
            yield "every monitor takes all channels, before the fader and at -6 dB"
        yield "the house mix is stereo and takes all channels"
        for name, row in plan["destinations"].items():
            yield f"{name} is on {row['plugged_into']}"

    def _model(self, what: str, kind: str, usual: str) -> Model:
        names = [name for name in bundled_names() if (model := self._models.get(name)) and model.kind == kind]
        self._say(f"{what}: one of {', '.join(names)}, or the name of a model of the house.")
        while True:
            said = self._ask(what, usual)
            model = self._models.get(said) if re.fullmatch(r"[\w-]+", said) else None
            if model is not None and model.kind == kind:
                return model
            self._say(f"“{said}” is no {kind.replace('-', ' ')} that is known; expected one of {', '.join(names)}.")

    def _number(self, question: str, usual: int, most: int) -> int:
        while True:
            said = self._ask(f"{question} (0 to {most})", str(usual))
            if said.isascii() and said.isdigit() and int(said) <= most:
                return int(said)
            self._say(f"“{said}” is no number from 0 to {most}.")

    def _metres(self, question: str, usual: str) -> float:
        while True:
            said = self._ask(question, usual).removesuffix("m").strip().replace(",", ".")
            if re.fullmatch(r"[0-9]{1,4}(\.[0-9])?", said) and float(said) > 0:
                return float(said)
            self._say(f"“{said}” is no length in metres.")

    def _boxes(self) -> list[_Box]:
        """Ask for the boxes from the console on; each takes the next free output bank."""
        boxes: list[_Box] = []
        near, used, slots = "desk/link-1", 0, 0
        for index in range(self._number("How many stage boxes hang on the console, one behind the other", 1, 4)):
            usual = ("west-box", "east-box", "north-box", "south-box")[index]
            name = named(
                self._ask(f"Box {index + 1} from the console on: its name", usual),
                self._plan.sections["devices"],
                "box",
            )
            model = self._model(f"{name}: its model", "stage-box", "stage-box-16x8")
            slots += model.inputs.count
            if slots > 48:
                self._say(f"With {name} there are {slots} inputs on a link of 48 slots: `rigwalk check` will tell.")
            place = self._ask(f"{name}: where it stands", "stage")
            bank = next((position for position in model.outputs.selector if int(position.split("-")[0]) > used), "")
            used = int(bank.split("-")[1]) if bank else used
            row = {"model": model.name, "location": place} | ({"output_bank": bank} if bank else {})
            self._plan.add("devices", name, row)
            length = self._metres(f"{name}: length of the cable to it from {near}, in metres", "30")
            cable = {"from": near, "to": f"{name}/upstream", "kind": "cat5e", "shielded": True}
            whole = int(length) if length.is_integer() else length
            self._plan.add("cables", f"link-{index + 1}", {**cable, "length_m": whole} | self._spare())
            near = f"{name}/downstream"
            boxes.append(_Box(name, model, bank))
        return boxes

    def _spare(self) -> dict[str, str]:
        """Ask for a spare, which nobody has by keeping Enter down."""
        while (said := self._ask("Is there a tested spare of that cable? (y/n)", "n").casefold()) not in _YES_NO:
            self._say(f"“{said}” is neither y nor n.")
        if not _YES_NO[said]:
            return {}
        where = self._ask("Where the spare is kept", "under the console")
        return {} if where.casefold() in NOWHERE else {"spare": where}

    def _sockets(self, console: Model, boxes: list[_Box]) -> list[tuple[str, str]]:
        """Return (socket, what the console patches from) of every input, in the order of the chain."""
        found, slot = [], 0
        for box in boxes:
            for number in range(1, box.model.inputs.count + 1):
                slot += 1
                if slot <= 48:
                    found.append((f"{box.name}/in/{number}", f"desk/link-1/{slot}"))
        return found + [(f"desk/in/{number}", f"desk/in/{number}") for number in range(1, console.inputs.count + 1)]

    def _sources(self, console: Model, sockets: list[tuple[str, str]]) -> None:
        what = (
            "What is always plugged in, week by week (what changes stands in the week's file)"
            if self._is_house
            else "What is plugged in"
        )
        self._say(f"{what}, in the order of the sockets: a name such as “Lead vocal”, or Enter alone to end the list.")
        self._say("Kinds: " + ", ".join(f"{key} {kind_words(kind)}" for key, kind in _KINDS.items()))
        most = min(len(sockets), console.channels or len(sockets))
        for number in range(1, most + 1):
            socket, patched = sockets[number - 1]
            label = self._ask(f"{socket}, channel {number}: source", "")
            if not label:
                return
            kind = self._kind()
            name = named(label, self._plan.sections.get("sources", ()))
            self._plan.add("sources", name, {"kind": kind, "plugged_into": socket})
            phantom = {"phantom": "on"} if kind in PHANTOM_KINDS else {"phantom": "off"} if kind in BARRED_KINDS else {}
            self._plan.add(
                "channels", str(number), {"label": label[:60], "carries": name, "patched_from": patched, **phantom}
            )

    def _kind(self) -> str:
        while True:
            said = self._ask("  its kind, by number", "1")
            if said in _KINDS or said in _KINDS.values():
                return _KINDS.get(said, said)
            self._say(f"“{said}” is none of {', '.join(_KINDS)}.")

    def _mixes(self, console: Model, boxes: list[_Box]) -> None:
        """Ask for the performers' monitors, and send them and the house mix to the last outputs that there are.

        The mixes take every channel of the console: those that nobody uses are silent, and next week's are in them.
        """
        outputs = [(f"{box.name}/out/{number}", self._slot(box, number)) for box in boxes for number in self._outs(box)]
        own = [(f"desk/out/{number}", ("desk/out", str(number))) for number in range(1, console.outputs.count + 1)]
        outputs = outputs if len(outputs) > 3 else own
        every = f"1-{console.channels}"
        self._plan.add("mixes", "house", {"kind": "house", "width": "stereo", "takes": {"channels": [every]}})
        count = self._number("How many monitor mixes for performers", 1, len(outputs) - 2)
        for index in range(1, count + 1):
            label = self._ask(f"Monitor {index}: for whom", f"Performer {index}")
            name = named(f"{label} mon", self._plan.sections["mixes"])
            sends = {every: {"tap": "pre-fader", "level_db": -6}}
            self._plan.add("mixes", name, {"kind": "monitor", "takes": {"channels": sends}})
            _, kind, ending = self._of(f"Monitor {index}: heard by", _HEARD_BY, "1")
            place = self._ask(f"Monitor {index}: where that stands", "stage")
            row = named(f"{label} {ending}", self._plan.sections.get("destinations", ()))
            self._hang(row, kind, name, outputs[index - 1], place)
        for side, output in zip(("left", "right"), outputs[-2:], strict=True):
            place = self._ask(f"Where the {side} house loudspeaker stands, from the audience", f"{side} of the stage")
            self._hang(f"house-{side}", "house-loudspeaker", f"house.{side}", output, place)
        self._others(own if outputs is not own else own[count:-2])

    def _of(self, question: str, choices: dict[str, tuple[str, str, str]], usual: str) -> tuple[str, str, str]:
        """Ask for one of several by its number; three empty words for an empty answer where that is the usual one."""
        shown = ", ".join(f"{key} {words}" for key, (words, _, _) in choices.items())
        while True:
            said = self._ask(f"{question} ({shown})", usual)
            if said in choices or not said:
                return choices.get(said, ("", "", ""))
            self._say(f"“{said}” is none of {', '.join(choices)}.")

    def _others(self, free: list[tuple[str, tuple[str, str]]]) -> None:
        """Ask for hearing loop, recorder and stream encoder, on the console's own outputs as long as some are free."""
        self._say("What else hangs on the console's outputs, one after the other; Enter alone for nothing more.")
        while free:
            words, kind, mix = self._of("What else", _OTHERS, "")
            needed = 2 if mix else 1
            if not kind:
                return
            if len(free) < needed:
                self._say(f"A {words} takes {needed} outputs, and {len(free)} is left.")
                continue
            name = named(words, self._plan.sections["destinations"])
            sockets, free = free[:needed], free[needed:]
            place = self._ask(f"Where the {words} stands", "mix position")
            if not mix:
                self._hang(name, kind, "house.mono", sockets[0], place)
                continue
            bus = named(mix, self._plan.sections["mixes"])
            takes = {"mixes": ["house.left", "house.right"]}
            self._plan.add("mixes", bus, {"kind": mix, "width": "stereo", "takes": takes})
            (_, (_, first)), (_, (_, last)) = sockets
            self._hang(name, kind, bus, (f"desk/out/{first}-{last}", ("desk/out", f"{first}-{last}")), place)

    def _outs(self, box: _Box) -> range:
        return range(1, box.model.outputs.count + 1) if box.bank else range(0)

    def _slot(self, box: _Box, number: int) -> tuple[str, str]:
        return "desk/link-1", str(int(box.bank.split("-")[0]) + number - 1)

    def _hang(self, name: str, kind: str, signal: str, output: tuple[str, tuple[str, str]], place: str) -> None:
        socket, (link, number) = output
        row = {"kind": kind, "plugged_into": socket, "expects": signal, "location": place}
        self._plan.add("destinations", name, row)
        feeds = self._plan.sections.setdefault("feeds", {})
        feeds.setdefault(link, {})[number] = signal
