"""The hunt at a terminal: one question at a time, one key an answer, the suspects that are left always in sight."""

from __future__ import annotations

import shutil
from collections.abc import Sequence

from lint.hunt.causes import DARK, DEAD, DISTORTED, ELSEWHERE, NOISE, SYMPTOMS, WRONG
from lint.hunt.draft import Draft
from lint.hunt.hunt import CARRY_ON, SKIP, STOP, Hunt, Question, Suspect
from lint.hunt.keys import Keys
from lint.hunt.replay import answers_to, no_answer
from lint.hunt.sides import BOTH, LEFT, RIGHT, Side
from lint.hunt.target import Target
from lint.page.layout import counted
from lint.walk.screen import Screen, StoppedError

RIGHT_IS = {
    DEAD: "it comes through there",
    WRONG: "it is {source} there, and nothing that should not be",
    NOISE: "it is free of the noise there",
    DISTORTED: "it is clean there",
    ELSEWHERE: "{source} is not heard there",
}
MODEL = (
    "Asked is what makes the rest of the search shortest on average, if there is one fault; odds and seconds are "
    "guesses until this house's records know better. What comes and goes is not found so: take its parts out of use."
)
KEPT = "\u00a0"  # a space at which no line is broken
CARE = (
    "Before a plug moves: mute {mute}, monitors and house down{everywhere}, ears out, phantom power off at "
    "{sockets}, wait ten seconds. To listen: phantom on where needed, ten seconds, up slowly.{after} Open nothing "
    "with mains; never lift a protective earth."
)
CARE_AGAIN = (
    "As before each plug: mute {mute}, turn down{everywhere}, ears out, phantom off at {sockets}, wait ten seconds; to "
    "listen, phantom on where needed, then up slowly.{after}"
)
CARE_OUTPUT = (
    "Before a plug moves: turn down what it feeds, monitors and house down, ears out; to listen, up slowly.{after} "
    "Open nothing with mains; never lift a protective earth."
)
CARE_TOLD = (
    "Before a plug moves, besides what is muted and off by the words below: monitors and house down{everywhere}, ears "
    "out. Open nothing with mains; never lift a protective earth."
)
CARE_ORDER = (
    "Before a link cable moves: all down, muted and off by the words below. Open nothing with mains; never lift a "
    "protective earth."
)
PUT_BACK_ORDER = "turn everything down, ears out, {unlit}cable the boxes as they were, {relit}bring up slowly."
PUT_BACK = (
    "mute {mute}, turn down{everywhere}, ears out, phantom off at {sockets}, wait ten seconds; put all back as it was, "
    "phantom on only where it was, ten seconds, up slowly."
)
CARE_MAINS = "Before mains: all named below down, ears out. Open nothing with mains; never lift a protective earth."
LEAVE_DARK = "switch {dark} off at its own switch and leave all that was turned down so{unfed}."
PUT_BACK_OUTPUT = "turn down what it feeds, monitors and house down, ears out; put all back as it was, up slowly."
LEAVES = "the sockets it leaves and goes to"
AND_WHERE = "and where it leaves or goes"
HELP = """\
y            yes: it is as the question says, or is done
n            no: it is not
s            can't tell, or can't be reached now: ask something else
w            list everything that is still suspected
b            back: take the last answer back
q            stop here"""


def care_of(question: Question, text: str = CARE) -> str:
    """Return the caution before a question with hands on plugs: of a split source every console that hears it."""
    words = question.part.words if question.part is not None else {}
    if question.suspect is not None and question.suspect.cause.name in DARK:
        return (LEAVE_DARK if text == PUT_BACK else CARE_MAINS).format(**words)
    if question.suspect is not None and question.suspect.cause.name == "chain-order":
        return (PUT_BACK_ORDER if text == PUT_BACK else CARE_ORDER).format(**words)
    switch = words.get("switch", "")
    # Where a plug stands that is not where it belongs only a look tells: it may be a socket with phantom power.
    sockets = f"{words['sockets']}{switch}, {AND_WHERE}" if words.get("sockets") else f"{LEAVES}{switch}"
    mute = words.get("switched", "its channel")  # what shares a phantom switch clicks as well
    everywhere = words.get("everywhere", "")
    if text != PUT_BACK and _tells_phantom(question):
        return CARE_TOLD.format(everywhere=everywhere)
    # How all goes back is asked for by itself where that takes more than a plug.
    after = "" if question.kind == "cured" or question.back else " Then all back but what mended it."
    key = question.borrows
    if key and f"{key}_mute" in words:
        mute, everywhere = words[f"{key}_mute"], words[f"{key}_everywhere"]
        sockets = f"{words[f'{key}_sockets']}{words[f'{key}_switch']}, {AND_WHERE}"
    if words.get("plug") == "output":
        return PUT_BACK_OUTPUT if text == PUT_BACK else CARE_OUTPUT.format(after=after)
    return text.format(mute=mute, everywhere=everywhere, sockets=sockets, after=after)


def _tells_phantom(question: Question) -> bool:
    """Whether a cure says itself what is muted and where phantom power is off while a plug moves."""
    suspect = question.suspect
    told = suspect is not None and suspect.part.words.get("unplugged") and "{unplugged}" in suspect.cause.cure
    return question.kind == "cured" and bool(told)


def to_leave(question: Question | None) -> str:
    """Return what is done first of all where a hunt is stopped at a question; nothing where it moves nothing."""
    if question is None:
        return ""
    if question.kind == "put-back":
        return question.back
    if question.kind == "cured":
        undo = care_of(question, PUT_BACK) if question.handles else "put all back as it was, slowly."
        cure = f" The cure: {suspect.filled(suspect.cause.cure)}." if (suspect := question.suspect) else ""
        return f"If you began the cure: go through with it, or {undo}{cure}"
    undo = question.back or (f"{care_of(question, PUT_BACK)} The test: {question.text}" if question.handles else "")
    return f"If you began the last test: {undo}" if undo else ""


def _keys(question: Question) -> str:
    """Return the keys that answer a question, for its line."""
    skip = "s can't tell   " if SKIP in answers_to(question) else ""
    back = "" if question.kind == "safety" else "b back   "
    if question.kind == "put-back":
        return f"y done   w all suspects   {back}? help   q stop"
    return f"y yes   n no   {skip}w all suspects   {back}? help   q stop"


def _say_keys(screen: Screen, line: str) -> None:
    """Write a line of keys, broken only between two of them."""
    whole = "   ".join(key.replace(" ", KEPT) for key in line.split("   "))
    screen.write(screen.wrapped(whole, "    ").replace(KEPT, " "))


class Hunter:
    """Asks one hunt through."""

    def __init__(self, hunt: Hunt, target: Target, screen: Screen, keys: Keys, draft: Draft | None = None) -> None:
        """What was answered before it was cut off is taken from `draft`, which keeps each answer."""
        self.hunt = hunt
        self.target = target
        self.screen = screen
        self.keys = keys
        self.draft = draft
        self._care_shown = False
        self._listed = 0  # how many of the suspects `w` has shown

    def run(self) -> Suspect | None:
        """Ask until the fault is found and cured, or nothing is left to ask; return what it was.

        Raises StoppedError where the hunter stops, NoAnswerError where a key given beforehand answers nothing.
        """
        self._begin()
        self._resume()
        while (question := self.hunt.question) is not None:
            number = len(self.hunt.answers) + 1
            self._show(number, question)
            self._answer(number)
        self._end()
        return self.hunt.found

    def _begin(self) -> None:
        hunt, screen = self.hunt, self.screen
        right = RIGHT_IS[hunt.symptom].format(source=hunt.parts[0].words.get("leak", self.target.name))
        screen.say(f"“Right” below means: {right}.")
        screen.say(MODEL)
        parts = len({part.title for part in hunt.parts})
        screen.say(f"Suspected: {len(hunt.suspects)} causes in {parts} parts; {self._expected()}.")

    def _resume(self) -> None:
        """Go on where this hunt was cut off, and say so."""
        if self.draft is None:
            return
        self.hunt = self.draft.resumed(self.hunt)
        if count := len(self.hunt.answers):
            answers = counted(count, "answer")
            self.screen.say(f"Going on where this hunt was cut off, after {answers}: b takes them back one by one.")

    def _expected(self) -> str:
        seconds = self.hunt.expected_s()
        return f"about {round(seconds)} seconds on average" if seconds < 100 else f"about {round(seconds / 60)} minutes"

    def _show(self, number: int, question: Question) -> None:
        screen = self.screen
        screen.write("")
        if question.handles:
            screen.say(care_of(question, CARE_AGAIN if self._care_shown else CARE), "  CAUTION: ", "  ")
            self._care_shown = True
            screen.write("")
        seconds = f" ({question.seconds}{KEPT}s)" if question.seconds else ""
        text = screen.wrapped(f"{question.text}{seconds}", f"{number:>2}  ", "    ").replace(KEPT, " ")
        screen.write(screen.paint(text, "strong"))
        _say_keys(screen, _keys(question))

    def _answer(self, number: int) -> None:
        """Take keys until one is an answer, or goes back."""
        screen = self.screen
        while True:
            key = self.keys.press("    > ")
            question = self.hunt.question
            assert question is not None
            if key in answers_to(question):
                self._now(self.hunt.answered(key))
                self._tell_left()
                return
            if key == "b" and number > 1:
                self._now(self.hunt.back())
                return
            if key == "q":
                raise StoppedError
            if key == "w":
                self._list_more()
            elif key == "?":
                screen.write(HELP)
            elif self.keys.given is not None:  # nobody is there to press another
                raise no_answer(self.keys.taken, key, question)
            else:
                screen.say(f"“{key}” is no answer here; {_keys(question)}" if key else _keys(question), "    ")

    def _tell_left(self) -> None:
        """Say how much is left, and the likeliest; `w` lists it all."""
        question = self.hunt.question
        if question is None or question.kind in ("cured", "lit") or self.hunt.answers[-1].key.startswith("put back "):
            return
        if self.hunt.is_reopened and not self.hunt.back().is_reopened:
            text = "All that was left is cleared: an answer was wrong, or there are two faults. The whole path again."
            self.screen.say(text, "    ")
            return
        if len(self.hunt.answers) == 1 or not self.hunt.suspects:
            return  # nothing was narrowed down yet, or nothing is left
        first, *more = self.hunt.suspects
        if not more:
            self.screen.say(f"Left alone: {first.words}.", "    ")
            return
        count, share = f"Left: {len(more) + 1}, likeliest ", f" ({first.share:.0%})."
        line = f"{count}{first.words}{share}"
        fits = len(line) + 4 <= self.screen.width
        self.screen.say(line if fits else f"{count}{first.part.title}{share}", "    ")

    def _now(self, hunt: Hunt) -> None:
        """Go on with a hunt, and keep its answers."""
        self.hunt = hunt
        self._listed = 0
        if self.draft is not None:
            self.draft.keep(hunt)

    def _list_more(self) -> None:
        """List as many of the suspects as the screen holds, the likeliest first; the next ones when asked again."""
        rows, width = self.hunt.suspects[self._listed :], self.screen.width
        room = max(4, shutil.get_terminal_size().lines - 6) if self.keys.by_press else len(rows) * 9
        shown = 0
        for row in rows:
            room -= 1 + (len(row.words) + 10) // width
            if room < 0 and shown:
                break
            self._tell(row)
            shown += 1
        self._listed += shown
        left = len(rows) - shown
        if left:
            self.screen.say(f"and {left} more: w again", "    ")
        else:
            self._listed = 0

    def _tell(self, row: Suspect) -> None:
        """Tell a suspect; how likely it is only where there is another to weigh it against."""
        share = f"{row.share:>4.0%}" if len(self.hunt.suspects) > 1 else "    "
        self.screen.say(f"{share}  {row.words}", "    ", "          ")

    def tell_suspects(self) -> None:
        """List everything that is still suspected, in the likeliest order."""
        for row in self.hunt.unseen:
            self._tell(row)

    def tell_stopped(self) -> None:
        """Say that it is not found, what the answers ruled out, and what is still to be looked at."""
        self.screen.say("Stopped: not found.")
        if self.hunt.ruled_out:
            self.screen.say(f"Ruled out, if only one thing has failed: {', '.join(self.hunt.ruled_out)}.", "", "  ")
        if (seen := self.hunt.seen) is not None:
            self.screen.say(f"Seen to be wrong: {seen.words}. Whether its cure helps is not known yet.", "", "  ")
        self.screen.say(f"{'Besides it' if seen else 'Still'} to be looked at, the likeliest first:")
        self.tell_suspects()
        # Last, where it stays in sight: the lists may fill more than a screen.
        if first := to_leave(self.hunt.question):
            self.screen.say(first, "  FIRST: ", "  ")

    def _end(self) -> None:
        hunt, screen = self.hunt, self.screen
        screen.write("")
        if hunt.is_stopped:
            screen.say(STOP, "WARNING: ", "  ")
        elif hunt.found is not None:
            screen.write(screen.paint(f"Found: {hunt.found.words}.", "go"))
            screen.say(f"Cure: {hunt.found.filled(hunt.found.cause.cure)}.")
        elif (dark := hunt.unmended) is not None:
            screen.write(screen.paint(f"Found, not mended: {dark.words}.", "no-go"))
            screen.say(f"{dark.filled(CARRY_ON)}.")
        else:
            screen.say(
                "Nothing is left to ask. Not cleared:" if hunt.suspects else "Everything on the path was cleared."
            )
            self.tell_suspects()
            screen.say(f"The symptom was: {SYMPTOMS[hunt.symptom]}. Trace it (`rigwalk trace`), or go by another path.")


def ask_side(screen: Screen, keys: Keys, sides: Sequence[Side]) -> str | None:
    """Ask which side is hunted; None where there is but one. Raises StoppedError."""
    if not sides:
        return None
    by_key = {
        side.name[0] if side.name in (LEFT, RIGHT) else str(n): side.name for n, side in enumerate(sides, start=1)
    }
    by_key["b"] = BOTH
    line = "   ".join(f"{key} {name}{'' if name == BOTH else ' alone'}" for key, name in by_key.items())
    screen.say(f"It has {len(sides)} sides: on which is it? Listen to each alone.")
    while True:
        _say_keys(screen, f"{line}   q stop")
        key = keys.press("    > ")
        if key in ("q", "stop"):
            raise StoppedError
        if key in by_key or key in by_key.values():
            return by_key.get(key, key)


def say_side(
    screen: Screen, sides: Sequence[Side], side: str | None, is_guess: bool, hunted: Target, silent: Sequence[str]
) -> None:
    """Say which side is hunted, and how another would be where nobody chose.

    `silent` is why by the rig file another side is silent: it bears no witness then.
    """
    for text in silent:
        screen.say(f"By the rig file itself {text}. So that side tells nothing, and is not asked about.", hanging="  ")
    if side == BOTH and silent:
        name = next(each.name for each in sides if each.target == hunted)
        screen.say(f"Hunted is the {name} side alone: judge {hunted.end or hunted.name} by itself.")
        return
    if side == BOTH:
        screen.say("Both sides: what they share comes first.")
        return
    other = f"; for another say --side {', '.join(each.name for each in sides[1:])} or both" if is_guess else ""
    screen.say(f"Side: {side or sides[0].name}{other}.")
