"""Where a hunt stands after its answers: what is still suspected, and the next best question."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

from lint.hunt.causes import DARK, ELSEWHERE, CauseKind
from lint.hunt.part import Part, Point
from lint.hunt.strategy import Ask, Cause, Search

YES, NO, SKIP = "y", "n", "s"
SAFETY = (
    "Before anything else, touching nothing to find out: is everything on this path free of smoke, of a smell of "
    "burning, of water and of heat, and has nobody felt a tingle?"
)
CARRY_ON = "As long as it is dark: {without}"
STOP = (
    "Stop here. Keep people away from it, touch nothing, and have it switched off where it is fed by whoever is "
    "responsible for the mains. A licensed electrician decides when it goes on again."
)


class Suspect(NamedTuple):
    """One cause in one part, and how likely it is among what is left (0 to 1)."""

    part: Part
    cause: CauseKind
    share: float

    @property
    def key(self) -> tuple[str, str]:
        """The part and the cause by name."""
        return self.part.name, self.cause.name

    @property
    def words(self) -> str:
        """The part, and what may be wrong with it."""
        return f"{self.part.title}: {self.cause.title}"

    def filled(self, text: str) -> str:
        """Return a text of the cause in the words of the part."""
        return text.format(**self.part.words)


class Question(NamedTuple):
    """What is asked: about safety, at a point, about a suspect (`look`), or whether its cure helped (`cured`).

    `lit` asks of what was dark whether it has mains now, where that did not help: else the hunt ends there. `part` is
    what hands are laid on. `back` says how to leave all as it was after a test that changes what gives phantom power;
    `put-back` asks for that before anything else, which would be judged falsely meanwhile. `borrows` is the key of
    the part's words for what is muted where another source lends its own.
    """

    kind: str
    key: str
    text: str
    seconds: int = 0
    handles: bool = False
    suspect: Suspect | None = None
    part: Part | None = None
    back: str = ""
    borrows: str = ""


class Answer(NamedTuple):
    """What was answered to a question, by its key."""

    key: str
    said: str


@dataclass(frozen=True)
class Hunt:
    """One hunt: the path, the symptom, how likely each cause is, and the answers so far. Answering makes a new one."""

    parts: Sequence[Part]
    symptom: str
    weights: Mapping[tuple[str, str], float]
    answers: tuple[Answer, ...] = field(default=())
    given: tuple[Answer, ...] = ()  # what was said of points before the hunt began

    def answered(self, said: str) -> Hunt:
        """Return the hunt after an answer (`YES`, `NO`, `SKIP`) to its question."""
        question = self.question
        assert question is not None
        return replace(self, answers=(*self.answers, Answer(question.key, said)))

    def back(self) -> Hunt:
        """Return the hunt without its last answer."""
        return replace(self, answers=self.answers[:-1])

    # -- the points ------------------------------------------------------------------------------------------------

    @cached_property
    def points(self) -> Mapping[str, tuple[int, Point]]:
        """Every point that can be asked at, by its key, with the part it stands behind."""
        return {
            f"point {part.name} / {point.name}": (index, point)
            for index, part in enumerate(self.parts)
            for point in part.points
            if not point.symptoms or self.symptom in point.symptoms
            if not (point.substitute and self.symptom == ELSEWHERE)  # what is put in leaks as well, or not
        }

    @cached_property
    def inside(self) -> frozenset[str]:
        """The names of the parts that the fault may be in, by what was seen at the points."""
        every = frozenset(part.name for part in self.parts)
        inside = every
        for answer in (*self.given, *self.answers):
            if answer.key not in self.points or answer.said == SKIP:
                continue
            _, point = self.points[answer.key]
            right_so_far = (answer.said == YES) != point.substitute
            inside &= point.maybe | (point.behind if right_so_far else every - point.behind)
        return inside

    # -- what is left ----------------------------------------------------------------------------------------------

    @cached_property
    def cleared(self) -> frozenset[tuple[str, str]]:
        """The suspects that were looked at and are as they should be, or whose cure or swap did not help.

        Of what was dark that is known only once it is said to be lit.
        """
        said = {answer.key: answer.said for answer in self.answers}
        every = [(part.name, cause) for part in self.parts for cause in part.causes(self.symptom)]
        return frozenset(
            (part, cause.name) for part, cause in every
            if said.get(f"look {part} / {cause.name}") == (NO if cause.swap else YES)
            or (said.get(f"cured {part} / {cause.name}") == NO
            and (cause.name not in DARK or f"lit {part} / {cause.name}" in said))
        )  # fmt: skip

    @cached_property
    def suspects(self) -> list[Suspect]:
        """What may still be wrong, the likeliest first; the whole path again where the answers leave nothing."""
        inside = self._left(self._parts_inside) or self._left(self.parts)
        return sorted(inside, key=lambda suspect: -suspect.share)

    @cached_property
    def ruled_out(self) -> list[str]:
        """The parts of the path that may have been at fault and are not by the answers, in the order of the signal.

        Of a part that is suspected still: what is not its fault.
        """
        left = {suspect.key for suspect in self.suspects}
        found: dict[str, None] = {}
        for part in self.parts:
            causes = part.causes(self.symptom)
            gone = [cause for cause in causes if (part.name, cause.name) not in left]
            if gone and len(gone) == len(causes):
                found[part.title] = None
            else:
                found |= dict.fromkeys(f"{part.title}: {cause.title}" for cause in gone)
        # Several parts go by one title, such as a channel's: it is ruled out only with all of them.
        suspected = {suspect.part.title for suspect in self.suspects}
        return [title for title in found if title not in suspected]

    @cached_property
    def mended_in_vain(self) -> list[str]:
        """What was seen to be wrong and was put right, and was not the fault."""
        vain = (answer for answer in self.answers if answer.said == NO and answer.key.startswith("cured "))
        rows = (self._by_key(answer.key.removeprefix("cured ")) for answer in vain)
        lit = {answer.key for answer in self.answers if answer.said == YES}
        return [row.words for row in rows if row.cause.name not in DARK or f"lit {' / '.join(row.key)}" in lit]

    @property
    def is_reopened(self) -> bool:
        """Whether all that the answers left was cleared: an answer was wrong, or there are two faults."""
        return not self._left(self._parts_inside)

    @property
    def _parts_inside(self) -> list[Part]:
        return [part for part in self.parts if part.name in self.inside]

    def _left(self, parts: Sequence[Part]) -> list[Suspect]:
        rows = [
            (part, cause, self.weights[part.name, cause.name])
            for part in parts
            for cause in part.causes(self.symptom)
            if (part.name, cause.name) not in self.cleared
        ]
        whole = sum(weight for _, _, weight in rows)
        return [Suspect(part, cause, weight / whole) for part, cause, weight in rows]

    @cached_property
    def _unasked(self) -> list[Suspect]:
        """The suspects in the order of the signal, without those whose look was skipped while others are left."""
        skipped = {answer.key for answer in self.answers if answer.said == SKIP}
        order = {part.name: index for index, part in enumerate(self.parts)}
        every = sorted(self.suspects, key=lambda suspect: order[suspect.part.name])
        return [suspect for suspect in every if f"look {' / '.join(suspect.key)}" not in skipped]

    # -- the next question -----------------------------------------------------------------------------------------

    @property
    def found(self) -> Suspect | None:
        """The suspect that was seen to be wrong and whose cure helped, or that another in its place put right."""
        last = self.answers[-1] if self.answers else None
        if last is None or last.said != YES or not last.key.startswith(("cured ", "look ")):
            return None
        kind, _, key = last.key.partition(" ")
        suspect = self._by_key(key)
        return suspect if kind == "cured" or suspect.cause.swap else None

    @property
    def seen(self) -> Suspect | None:
        """What was seen to be wrong last, while nobody has said whether its cure helps."""
        asked = self.question
        return asked.suspect if asked is not None and asked.kind == "cured" else None

    @property
    def unseen(self) -> list[Suspect]:
        """The suspects without what was seen to be wrong."""
        return [row for row in self.suspects if self.seen is None or row.key != self.seen.key]

    @property
    def unmended(self) -> Suspect | None:
        """What was seen dark and can't be lit: found, and nothing is to be seen behind it as long as it is so."""
        last = self.answers[-1] if self.answers else None
        if last is None or last.said != NO or not last.key.startswith("lit "):
            return None
        return self._by_key(last.key.removeprefix("lit "))

    @property
    def is_stopped(self) -> bool:
        """Whether the safety question was answered so that nothing more may be touched."""
        return bool(self.answers) and self.answers[0] == Answer("safety", NO)

    @cached_property
    def question(self) -> Question | None:
        """The next question; None at the end: found, stopped, or nothing left to ask."""
        if not self.answers:
            return Question("safety", "safety", SAFETY)
        if self.is_stopped or self.found is not None or self.unmended is not None:
            return None
        last = self.answers[-1]
        suspect = self._by_key(last.key.removeprefix("look ")) if last.key.startswith("look ") else None
        if suspect is not None and last.said == NO and not suspect.cause.swap:
            key = f"cured {' / '.join(suspect.key)}"
            cure = suspect.filled(suspect.cause.cure)
            text = f"{cure[0].upper()}{cure[1:]}. Is it right now?"
            handles = suspect.cause.mends_by_plug
            return Question("cured", key, text, handles=handles, suspect=suspect, part=suspect.part)
        if last.key.startswith("cured ") and (dark := self._by_key(last.key.removeprefix("cured "))).cause.name in DARK:
            text = dark.filled("Has {dark} mains now: are its lamps lit?")
            return Question("lit", f"lit {' / '.join(dark.key)}", text, suspect=dark, part=dark.part)
        back = self._back_from(last.key)
        if back:
            back = back if last.said != SKIP else f"If you began that test: {back}"
            return Question("put-back", f"put back {last.key}", f"{back} Is that done?", back=back)
        return self._next()

    def _back_from(self, key: str) -> str:
        """Return how all is left as it was after a question; nothing where it changed nothing that is judged later."""
        if key in self.points:
            index, point = self.points[key]
            return point.back.format(**self.parts[index].words)
        if key.startswith("look "):
            suspect = self._by_key(key.removeprefix("look "))
            return suspect.filled(suspect.cause.back)
        if key.startswith("cured "):
            suspect = self._by_key(key.removeprefix("cured "))
            return suspect.filled(suspect.cause.undo)
        return ""

    @cached_property
    def _asked(self) -> frozenset[str]:
        return frozenset(answer.key for answer in (*self.given, *self.answers))

    @cached_property
    def _first(self) -> Suspect | None:
        """What is looked at whatever it costs, and nobody has yet: what the rig file states, then what does harm."""
        left = [row for row in self.suspects if f"look {' / '.join(row.key)}" not in self._asked]
        stated = (row for row in left if row.cause.name in row.part.known)
        return next(stated, next((row for row in left if row.cause.name in row.part.harmful), None))

    def _by_key(self, text: str) -> Suspect:
        part = next(part for part in self.parts if text.startswith(f"{part.name} / "))
        cause = next(each for each in part.causes(self.symptom) if text == f"{part.name} / {each.name}")
        return Suspect(part, cause, 1.0)

    def _next(self) -> Question | None:
        if not self._unasked:
            return None
        if (first := self._first) is not None:
            stated = first.part.known.get(first.cause.name)
            return _look(first, f"By the rig file {stated}. " if stated is not None else "")
        search, choices = self._search
        asked = search.step(search.whole).ask
        if asked is not None:
            return _at(*choices[asked])
        return _look(self._unasked[search.in_order(search.whole)[0]])

    @cached_property
    def _search(self) -> tuple[Search, list[Choice]]:
        """The search of the suspects that were not skipped, and the points behind its questions."""
        rows = self._unasked
        causes = [Cause(row.share, row.cause.seconds, row.cause.name, row.cause.after) for row in rows]
        sets: dict[str, int] = {}
        for index, row in enumerate(rows):
            sets[row.part.name] = sets.get(row.part.name, 0) | 1 << index
        first = {row.cause.name for row in rows}
        whole = (1 << len(rows)) - 1
        asks, choices = [], []
        # Reopened, what the points said can't all be true: only looks count then.
        for key, (index, point) in {} if self.is_reopened else self.points.items():
            if key in self._asked or not first.isdisjoint(point.after):
                continue
            behind = sum(sets.get(name, 0) for name in point.behind - point.maybe)
            before = whole & ~sum(sets.get(name, 0) for name in point.behind | point.maybe)
            maybe = whole & ~behind & ~before
            right, wrong = (before, behind) if point.substitute else (behind, before)
            asks.append(Ask(point.seconds, right | maybe, wrong | maybe))
            choices.append((key, self.parts[index], point))
        return Search(causes, asks), choices

    def expected_s(self) -> float:
        """Return the expected seconds of the rest of the search, by the cost model of `strategy`."""
        if not self._unasked:
            return 0.0
        if not self.answers:  # the question about safety is not counted
            return self.answered(YES).expected_s()
        if (first := self._first) is not None:
            return first.cause.seconds + (1 - first.share) * self.answered(YES).expected_s()
        return self._search[0].expected_s()


Choice = tuple[str, Part, Point]


def _look(suspect: Suspect, before: str = "") -> Question:
    """Return the question that looks at a suspect."""
    cause, key = suspect.cause, f"look {' / '.join(suspect.key)}"
    text = before + suspect.filled(cause.look)
    back, borrows = suspect.filled(cause.back), "lent" if cause.lends else ""
    return Question("look", key, text, cause.seconds, cause.handles, suspect, suspect.part, back, borrows)


def _at(key: str, part: Part, point: Point) -> Question:
    """Return the question of a point."""
    words = part.words
    ask, back = point.ask.format(**words), point.back.format(**words)
    return Question("point", key, ask, point.seconds, point.handles, part=part, back=back, borrows=point.borrows)
