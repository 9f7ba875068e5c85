"""How an item, a list, what remains, what others did and what changed are shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from lint.check.finding import Finding
from lint.rig.person import same_person
from lint.walk.answer import GO, HOLD, NO_GO, NOT_APPLICABLE, OPEN, Answer
from lint.walk.change import Change, few, other_ways
from lint.walk.items import Item
from lint.walk.keys import help_rows, keys_line
from lint.walk.news import News
from lint.walk.pace import MOST_TIME, clocked, time_to_call
from lint.walk.screen import MARKS, Screen
from lint.walk.session import Session
from lint.walk.state import visible
from lint.walk.template import ROLES, Safety

MOST_LISTED = 12
_MODES = {"read-do": ": read it, do it, answer", "do-confirm": ": it is done; look at each, then answer"}
_THE_CALL = "the call"
LINES_OF_ITEM = 8  # a long challenge, its keys on a narrow screen, and the prompt


class Display:
    """Shows one session on one screen, for one role or all."""

    def __init__(
        self, session: Session, screen: Screen, role: str | None, earlier: Mapping[str, str] = MappingProxyType({})
    ) -> None:
        self.session = session
        self._earlier = earlier  # what was seen of an item in earlier walks, by its key
        self.screen = screen
        self.role = role
        self.news = News(self)
        self._reader: str | None = None
        self._phase_shown = -1
        self._safety_shown = ""
        self._readers: tuple[str, ...] = ()  # who has the terminal: what others read, they have not
        self._is_pace_told = False
        self._explained: set[str] = set()
        self._no_gos_told: Sequence[Finding] = ()

    # -- one item ----------------------------------------------------------------------------------------------

    def item(self, item: Item, may_leave: bool, person: str, together_with: str = "") -> None:
        """Show an item to `person`, or two; the second is shown nothing of what the first said."""
        state, screen = self.session.state, self.screen
        # The lead may turn to an item of another role: it is then shown in its place in the whole list.
        mine = visible(state.plan, self.role if item.role == self.role else None)
        rows = [each for each in mine if each.phase == item.phase]
        left = len(self._left(mine))
        if (readers := (person, together_with)) != self._readers:
            self._readers, self._safety_shown = readers, ""
        screen.write("")
        if item.phase != self._phase_shown:
            self._phase(item.phase)
        screen.say(
            screen.listed(
                f"Phase {item.phase + 1} of {len(state.plan.phases)}",
                f"item {rows.index(item) + 1} of {len(rows)}",
                f"{left} of {len(mine)} left",
                self.with_crew(item.role),
            )
        )
        if item.killer:
            two = " Somebody else looks as well." if item.second_person else ""
            screen.say(f"Nothing starts without this{self._once('killer', ': a killer item.' + two, '.')}")
        if item.second_of:
            screen.say(f"Second look, by {person}, who answers without having been told the first answer.")
        if item.safety is not None:
            screen.write("")
            self.safety(item.safety)
        screen.write("")
        self._challenge(item)
        if (told := self._earlier.get(item.key)) and not item.second_of:
            screen.say(told, "    ", "    ")
        screen.write("")
        if together_with:
            screen.say(f"The one answer counts for both, {person} and {together_with}.", "  ")
        elif not item.second_of or self._is_own(item, person):
            self._before(item, may_leave)
        if item.measure is not None:
            screen.say(f"The answer is the value read, in {item.measure.unit}, such as v 72.5 (or 72.5 alone).", "  ")
        screen.keys(keys_line(item))

    def _challenge(self, item: Item) -> None:
        self.screen.write(self.screen.paint(self.screen.wrapped(item.challenge, "  ▶ ", "    "), "strong"))

    def help(self, item: Item | None = None) -> None:
        """Show the keys, a screenful at a time, and last of all the item that they are asked at."""
        self.screen.pages(help_rows(), LINES_OF_ITEM)
        if item is not None:
            self._challenge(item)
            self.screen.keys(keys_line(item))

    def is_blind(self, item: Item) -> bool:
        """Whether the answer of an item may not be told here: somebody else gave it, and the second look is due."""
        return self.session.state.second_due(item) is not None and not self._is_own(item, self.reader)

    @property
    def reader(self) -> str:
        """Who has the terminal, by name: the session's own person, unless it was handed over; empty on the way."""
        return self.session.by if self._reader is None else self._reader

    def handed_to(self, person: str) -> None:
        """Take it that another has the terminal now; empty while it is not known who."""
        self._reader = person

    def _is_own(self, item: Item, person: str) -> bool:
        answer = self.session.state.answers.get(item.key)
        return answer is not None and same_person(answer.by, person)

    def _phase(self, number: int) -> None:
        screen, phase = self.screen, self.session.state.plan.phases[number]
        self._phase_shown = number
        self._safety_shown = ""
        screen.rule()
        screen.say(screen.paint(phase.title, "strong") + f" ({phase.mode}{self._once(phase.mode, _MODES[phase.mode])})")
        rows = [item for item in self.session.state.plan.items if item.phase == number]
        left = self._by_role(rows) or "nothing"
        call = self._once("call", " (said aloud once all of this is done)") if left.endswith(_THE_CALL) else ""
        screen.say(f"Open here: {left}{call}")

    def _once(self, word: str, meaning: str, else_say: str = "") -> str:
        """Return what a word of this trade means where it is first shown."""
        if word in self._explained:
            return else_say
        self._explained.add(word)
        return meaning

    @property
    def left(self) -> int:
        """How many items are left, of this role or all."""
        return len(self._left(visible(self.session.state.plan, self.role)))

    def tell_more_left(self, before: int) -> None:
        """Say why more is left than before an answer, where it is."""
        if (more := self.left - before) > 0:
            self.screen.say(f"{more} more left now: it, its second look or the calls over it are due again.", "  ")

    def _left(self, rows: Sequence[Item]) -> list[Item]:
        """Return what is not settled: neither a go nor not applicable."""
        return [item for item in rows if self.session.state.status(item) not in (GO, NOT_APPLICABLE)]

    def _by_role(self, rows: Sequence[Item]) -> str:
        """Say what is left of a phase, role by role, and its call: the numbers add up to what is not done."""
        left = self._left(rows)
        roles = [item.role for item in left if not item.is_call]
        words = [f"{self.with_crew(role)} {roles.count(role)}" for role in ROLES if role in roles]
        return ", ".join([*words, *(_THE_CALL for item in left if item.is_call)])

    def waits_by_role(self, phase: int) -> str:
        """Say what a phase still waits for, role by role."""
        waiting = [item.role for item in self.session.state.waits(phase)]
        return ", ".join(f"{self.with_crew(role)} {waiting.count(role)}" for role in ROLES if role in waiting)

    def with_crew(self, role: str) -> str:
        """Return a role with the name of whoever has it by the rig file."""
        name = self.session.basis.checked.resolved.rig.crew.get(role)
        return f"{role} ({name})" if name else role

    def safety(self, safety: Safety) -> None:
        """Show a safety note in full to whoever first has it before them, and as a reminder while they see it again."""
        again = safety.text == self._safety_shown
        self._safety_shown = safety.text
        text = "as above." if again else safety.text
        lines = self.screen.wrapped(text, f"  {safety.word}: ", "  ")
        self.screen.write(lines.replace(safety.word, self.screen.paint(safety.word, safety.word), 1))

    def forget_safety(self) -> None:
        """Have the next caution said in full, though it is the same as the last."""
        self._safety_shown = ""

    def _before(self, item: Item, may_leave: bool) -> None:
        state, screen = self.session.state, self.screen
        answer = state.answers.get(item.key)
        if answer is not None and self.is_blind(item):
            screen.say(f"{answer.by} has answered; until the second look is in, that is told to nobody.", "  ")
        elif answer is not None:
            stands = item.killer and answer.answer == NO_GO
            leave = " Enter leaves it." if may_leave and not stands else ""
            screen.say(f"Answered before: {self.answer_words(answer)}.{leave}", "  ")
            if stands:
                self._what_now(item)
        elif item.key in state.outdated:
            screen.say(f"Asked again: {_why_again(item, state.outdated[item.key])}", "  ")
        if answer is not None and item.key in state.cures:
            screen.say(f"Cure: {state.cures[item.key]}", "  ")

    def _what_now(self, item: Item) -> None:
        """Say what a killer item that is a no-go holds back, and what can be done now."""
        waiting = len(self.session.state.waiting_on(item))
        wait = f"; {waiting} item{' waits' if waiting == 1 else 's wait'} for it" if waiting else ""
        self.screen.say(
            f"The walk is a no-go while this stands{wait}. Have it put right, then answer anew. "
            "Or leave it (Enter) and go on with what does not wait for it; or note it (t) and stop (q): the same "
            "command comes back to this.",
            "  ",
        )

    def pace(self, phase: int) -> None:
        """Say where a phase took longer than people keep to a list, and once what helps."""
        row, took = self.session.state.plan.phases[phase], time_to_call(self.session.entries)
        if row.unbroken or took is None or took <= MOST_TIME:
            return
        advice = "" if self._is_pace_told else " Lists that take longer are cut short: share it by role, or split it."
        self.screen.say(f"“{row.title}” took {clocked(took)}, over {clocked(MOST_TIME)}.{advice}", "  ")
        self._is_pace_told = True

    def waiting(self, items: Sequence[Item]) -> None:
        """Say what items wait for: killer items that are not settled, of whatever role."""
        state, screen = self.session.state, self.screen
        guards = {guard.key: guard for item in items if (guard := state.held_back_by(item)) is not None}
        is_killer = all(map(state.is_guard, guards.values()))
        why = "nothing starts without" if is_killer else "before them come"
        screen.say(f"{len(items)} of the {self.role or 'crew'} wait: {why}")
        for guard in list(guards.values())[:MOST_LISTED]:
            status = screen.status(state.status(guard))
            second = "second look, " if guard.second_of else ""
            screen.say(f"{second}{guard.challenge} ({self.with_crew(guard.role)}): {status}", "  ", "    ")
        if self.role and (roles := sorted({each.role for each in guards.values() if each.second_of} - {self.role})):
            screen.say(
                f"Whoever looks second sits down at that terminal, or starts one with --role {' or '.join(roles)} "
                "under a name of their own.",
                "  ",
            )

    def answer_words(self, answer: Answer) -> str:
        """Say an answer, with who and when."""
        detail = answer.seen or answer.reason or ("no words yet" if answer.answer == NO_GO else "")
        # What was seen of a measured no-go says its value already.
        words = self.screen.status(answer.answer) + (f" {answer.value}" if answer.value and not answer.seen else "")
        return f"{words}{': ' + detail if detail else ''} (by {answer.people}, {answer.local[11:16]})"

    # -- lists -------------------------------------------------------------------------------------------------

    def unsettled(self) -> list[Item]:
        """Return what keeps a go away, for this role or all: no-go, held, open."""
        state = self.session.state
        return [item for status in (NO_GO, HOLD, OPEN) for item in state.with_status(status, role=self.role)]

    def items(self, items: Sequence[Item]) -> None:
        """List items with their status, numbered."""
        state, width = self.session.state, len(str(len(items)))
        for count, item in enumerate(items, start=1):
            is_blind = self.is_blind(item)
            status = OPEN if is_blind else state.status(item)
            second = "second look, " if item.second_of else "second look due, " if is_blind else ""
            label = f"{count:>{width}} {self.screen.marked(MARKS[status], status)}: "
            self.screen.say(second + item.challenge, label, " " * (width + 3))

    def progress(self) -> None:
        """Show what remains, by phase and role."""
        state, screen = self.session.state, self.screen
        for number, phase in enumerate(state.plan.phases):
            rows = [item for item in state.plan.items if item.phase == number]
            left = len(self._left(rows))
            what = f"left: {self._by_role(rows)}" if left else "complete"
            screen.say(f"{len(rows) - left} of {len(rows)}, {what}", f"{number + 1:>2} {phase.title}: ", "     ")

    # -- what others did, and what changed ---------------------------------------------------------------------

    def change(self, change: Change) -> None:
        """Say what a change of the files did to the walk."""
        screen = self.screen
        head, rows = change.head, change.rows
        screen.write("")
        screen.say(f"{head[0].upper()}{head[1:]} has changed since.")
        for words in change.told[:MOST_LISTED]:
            screen.say(words, "  ", "    ")
        if len(change.told) > MOST_LISTED:
            screen.say(f"and {len(change.told) - MOST_LISTED} more", "    ")
        screen.say("Of what is asked, this is another:" if rows else "Nothing that is asked is another.")
        for mark, words in rows[:MOST_LISTED]:
            screen.say(words, f"  {mark} ", "    ")
        if len(rows) > MOST_LISTED:
            screen.say(f"and {len(rows) - MOST_LISTED} more", "    ")
        if change.is_asked_again:
            screen.say("What says so is asked again; every other answer is kept.")
        else:
            screen.say("Nothing that was answered is asked again.")
        if self.session.basis.no_gos != self._no_gos_told:
            self.no_gos()

    def left_out(self) -> None:
        """Say what of safety the house's list leaves out, and why."""
        for words in self.session.basis.template.left_out:
            self.screen.say(f"This house's list leaves out: {words}", "  ! ", "    ")

    def no_gos(self) -> None:
        """Say which findings of the check keep a go away."""
        self._no_gos_told = found = self.session.basis.no_gos
        if not found:
            return
        screen = self.screen
        screen.write("")
        screen.say(
            f"{screen.status('no-go')} The check of the rig file finds what must be put right. Walk on by all means; "
            "a GO can't come of it until these are cured or waived in the rig file:"
        )
        for finding in found[:MOST_LISTED]:
            screen.say(f"{finding.message} ({finding.rule})", "  ✗ ", "    ")
        if len(found) > MOST_LISTED:
            screen.say(f"and {len(found) - MOST_LISTED} more; `rigwalk check` tells all", "    ")


def _why_again(item: Item, old: Answer) -> str:
    """Say why an item is asked again that was answered."""
    # Whoever looks second next may have this before them: it is not told what the first said.
    answered = f"{old.by} answered" + ("" if item.second_person else f" {old.answer}")
    if item.is_call and old.answer == NO_GO:
        return f"{old.by} said no-go there at {old.local[11:16]}."
    if item.is_call and old.asked == item.asked:
        return f"{old.by} said so at {old.local[11:16]}; since then something was open or a no-go again."
    if old.asked["challenge"] != item.challenge:
        return f"it was “{old.asked['challenge']}” when {answered}."
    if ways := other_ways(old.asked, item.asked):
        what = "what is asked before it" if item.is_call else few(ways)
        return f"{answered} at {old.local[11:16]}; changed since: {what}."
    return f"{answered} at {old.local[11:16]}, and it may be otherwise by now."
