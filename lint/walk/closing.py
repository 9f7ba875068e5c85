"""The end of a walk: what still keeps a go away, the poll, and the lead's signature."""

from __future__ import annotations

import re
from collections.abc import Container, Sequence
from typing import TYPE_CHECKING

from lint.check.left_out import not_checked, rules_off, silent_parts
from lint.read.problem import CannotReadError
from lint.rig.person import is_name, same_person
from lint.walk.answer import GO, HOLD, NO_GO, NOT_APPLICABLE, OPEN
from lint.walk.entry import exceptions_of, looked_words, quick_words
from lint.walk.keys import WORDS, key_and_rest
from lint.walk.meanwhile import ChangedMeanwhileError
from lint.walk.picking import aside, numbered
from lint.walk.screen import Screen, StoppedError
from lint.walk.signoff import UNANSWERED, exceptions, finding_row, seen_by_two

if TYPE_CHECKING:
    from lint.walk.terminal import Walker

MOST_REASONS = 15
MOST_UNANSWERED = 3
SILENCE = "silence"
# What says go or no-go itself, in front of the words.
_KEY = re.compile(r"^(?:no[- ]?go|go|yes|[gny]|no(?=\s*(?:[,.:;–—]|$)))(?!\w)[\s,.:;–—-]*", re.IGNORECASE)


def close_walk(walker: Walker, now: bool = False) -> bool | None:
    """Take the walk from its last item to the signature; `now` leaves out what is still open.

    Returns whether it was signed go, or None where there is something to ask again first. Raises StoppedError.
    """
    if walker.role not in (None, "lead"):
        return None if _role_done(walker) else False
    if not now:
        turn = _unsettled(walker)
        if turn == "again":
            return None
        if turn == "ready" and not _poll(walker):
            return None
    return _sign(walker)


def _role_done(walker: Walker) -> bool:
    """Say that a role is done, and wait: something may be seen late, and has its place here. Raises StoppedError."""
    screen, left = walker.screen, walker.show.unsettled()
    screen.write("")
    if left:
        screen.say(f"Everything of the {walker.role} is asked; these are not settled:")
        walker.show.items(left)
    else:
        screen.say(f"Everything of the {walker.role} is answered.")
    screen.say("The lead polls and signs: run the walk without --role.")
    anew = f"{'number or ' if left else ''}o WORDS: answer an item anew"
    line = screen.ask(f"{screen.listed(anew, 'b: the last one', 'thunder', 'Enter: look again', 'q: stop')} ")
    if key_and_rest(line)[0] == "stop":
        return False
    if line.isdecimal() and left:
        if (item := numbered(walker, line, left)) is not None:
            walker.ask(item, may_leave=True)
    elif not aside(walker, line) and line:
        screen.say(f"“{line}” is no answer here.")
    return True


def _unsettled(walker: Walker) -> str:
    """Show what keeps a go away, and ask what to do: `again` (an item was answered), `ready` or `sign`."""
    screen, session = walker.screen, walker.session
    every = [item for status in (NO_GO, HOLD, OPEN) for item in session.state.with_status(status)]
    if not every and not session.basis.no_gos:
        return "ready"
    screen.write("")
    screen.rule()
    screen.say("Not ready for the poll. These keep a go away:")
    walker.show.items(every[:MOST_REASONS])
    if len(every) > MOST_REASONS:
        screen.say(f"and {len(every) - MOST_REASONS} more")
    walker.show.no_gos()
    standing = session.state.standing()
    if standing:
        screen.say(
            f"Nothing starts without “{standing[0].challenge}”. Have it put right, then pick its number and answer "
            "anew; or stop (q), and the same command comes back to it. Until then the walk is a no-go."
        )
    choices = "number or o WORDS: answer it now · Enter: look again · s: sign off (a no-go) · q: stop" if every else (
        "s: sign off now (a no-go) · Enter: look again, once the rig file is cured · q: stop"
    )  # fmt: skip
    while True:
        screen.say(choices)
        line = screen.ask("> ")
        action = key_and_rest(line)[0]
        if action == "stop":
            raise StoppedError
        if action == "sign":
            return "sign"
        if aside(walker, line):
            pass
        elif line.isdecimal():
            if (item := numbered(walker, line, every[:MOST_REASONS])) is not None:
                walker.ask(item, may_leave=True)
        elif line:
            screen.say(f"“{line}” is no answer here.")
            continue
        return "again"


def _poll(walker: Walker) -> bool:
    """Poll every role that has items, the lead last, to the first no-go; return False where something changed."""
    screen, session = walker.screen, walker.session
    screen.write("")
    screen.rule()
    _tell_exceptions(walker)
    screen.say("The poll: the lead asks each role aloud. Whoever does not say go is a no-go.")
    screen.say(screen.listed("n WHAT: no-go", "o WORDS: answer anew", "b: the last one", "thunder", "q: stop"))
    before = session.state.last_change
    for role in session.state.plan.roles:
        if session.state.poll_counts(role) and session.state.polls[role].answer == GO:
            screen.say(f"{role}: {screen.status(GO)} (said already)", "  ")
            continue
        line, answer = _said(screen, f"  {walker.show.with_crew(role)}, go or no-go? ")
        if answer in ("open", "back", "thunder"):
            aside(walker, line)
            return False
        walker.refresh()
        if answer == GO and session.state.last_change != before:
            return _poll_again(screen)
        said, is_owed = _worded(line), session.state.owes_poll_cure(role)
        _record_poll(walker, role, answer, said)
        screen.write(f"    {screen.status(answer)} recorded")
        if answer == GO and is_owed:
            _ask_cure(walker, role)
        if answer == NO_GO:
            _ask_why(walker, role, said)
            screen.say("One no-go stops the poll.", "    ")
            return True
    walker.refresh()
    if all(map(session.state.poll_counts, session.state.plan.roles)):
        return session.state.next_item(walker.role) is None
    return _poll_again(screen)


def _poll_again(screen: Screen) -> bool:
    screen.say(
        "Something was answered or changed after the poll began. All are asked again: each says go to what stands now."
    )
    screen.forget_typed()
    return False


def _ask_why(walker: Walker, role: str, said: str) -> None:
    """Ask what is behind a no-go that was said without words: it is on record already, the words come after it."""
    if said in ("", SILENCE):
        why = walker.screen.ask("    What is seen, heard or read? (Enter: not said) ")
        if why:
            _record_poll(walker, role, NO_GO, why)


def _ask_cure(walker: Walker, role: str) -> None:
    """Ask what was done about a no-go of the poll that is a go now."""
    cure = walker.words("    It was a no-go. What was it, or what was done about it? (Enter: not said) ")
    if cure:
        walker.kept(lambda: walker.session.poll_cure(role, cure))
        walker.screen.say("Cure recorded.", "    ")


def _worded(line: str) -> str:
    """Return what was said besides go or no-go: a key that was pressed is nobody's words, and silence is told."""
    return _KEY.sub("", line).strip() if line else SILENCE


def _record_poll(walker: Walker, role: str, answer: str, said: str) -> None:
    walker.kept(lambda: walker.session.poll(role, answer, said))


def _said(screen: Screen, question: str) -> tuple[str, str]:
    """Ask until it is a go or a no-go: silence is a no-go, a slip of the finger is neither. Raises StoppedError."""
    while True:
        line = screen.ask(question)
        word = line.casefold().replace(",", " ").partition(" ")[0]
        if word in ("q", "quit", "stop"):
            raise StoppedError
        if word in ("g", "go", "y", "yes"):
            return line, GO
        if word in ("", "n", "no", "no-go", "nogo"):
            return line, NO_GO
        if (action := WORDS.get(word, "")) in ("open", "back", "thunder"):
            return line, action
        screen.say("Say g (go) or n (no-go); silence is a no-go; o or b answers an item anew; q stops.", "    ")


def lead_name(walker: Walker, question: str, keys: Container[str] = ()) -> str:
    """Ask for the name of whoever signs; an empty line and `keys` are given back, another key is no name.

    Where the rig file names another lead, that is said and asked about. Raises StoppedError.
    """
    screen = walker.screen
    expected = walker.session.basis.checked.resolved.rig.crew.get("lead", "")
    screen.forget_typed()  # what was typed for another question is nobody's signature
    while True:
        name = screen.ask(question)
        if not name or name.partition(" ")[0].casefold() in keys:
            return name
        if key_and_rest(name)[0] == "stop":
            raise StoppedError
        if not is_name(name) or name.casefold() in ("go", "no", "yes", "no-go", "thunder"):
            screen.say(f"“{name}” is no name; expected the name of the lead.")
        elif not expected or same_person(name, expected):
            return name
        else:
            screen.say(f"{expected} is the lead in the rig; you are {name}: sign all the same?")
            if screen.ask("y: yes · Enter: no, ask again ").casefold() in ("y", "yes"):
                return name


def _sign(walker: Walker) -> bool | None:
    screen, session = walker.screen, walker.session
    reasons = session.reasons()
    screen.write("")
    screen.rule()
    if reasons:
        screen.say(f"{screen.status('no-go')} A go can't be signed:")
        _tell_reasons(screen, reasons)
        lead = lead_name(walker, "Name of the lead who records this no-go (Enter: back): ")
        if not lead:
            screen.say("No sign-off was recorded.")
            return None
        wants_go = False
    else:
        without = exceptions(session.state)
        for row in without["killers_not_applicable"]:
            screen.say(row, "  ! Nothing starts without this, not applicable: ", "    ")
        for row in without["accepted"]:
            screen.say(row, "  ! Accepted by the lead: ", "    ")
        for row in without["no_second_look"]:
            screen.say(row, "  ! Nothing starts without this, no second look: ", "    ")
        body = {**without, "findings": [finding_row(finding) for finding in session.basis.checked.findings]}
        quick = quick_words(session.quick_answers, len(session.state.given))
        if words := "; ".join(filter(None, (exceptions_of(body), quick))):
            screen.say(f"The record will say: GO, {words}.")
        screen.say(
            "Everything is answered and every role is go. The typed name says who signs that GO; it proves no identity."
        )
        lead, wants_go = _signer(walker)
        if not lead:
            return None
    return _signed(walker, lead, wants_go, reasons)


def _signer(walker: Walker) -> tuple[str, bool]:
    """Ask who signs, and whether they do sign the go that every role has said; no name where that waits."""
    screen, wants_go = walker.screen, True
    while True:
        question = f"Name of the lead who {'signs GO' if wants_go else 'records this no-go'}"
        screen.say(screen.listed("n: a no-go after all" if wants_go else "g: a go", "thunder", "q: stop"))
        lead = lead_name(walker, f"{question}: ", ("n", "g", "thunder"))
        action, rest = key_and_rest(lead)
        if action == "thunder":
            walker.thunder(rest)
            return "", False
        if action in ("go", "no-go"):
            wants_go = action == "go"
        elif lead:
            return lead, wants_go


def _signed(walker: Walker, lead: str, wants_go: bool, reasons: Sequence[str]) -> bool | None:
    """Write the signature; return whether it is a go, or None where something changed on the way to it."""
    screen, session = walker.screen, walker.session
    try:
        walker.signed = walker.kept(lambda: session.sign(lead, wants_go, reasons))
    except ChangedMeanwhileError as error:
        screen.say("Nothing was signed: something was answered or changed on the way here.")
        walker.show.news.tell(session.news())
        screen.forget_typed()
        if error.change is not None:
            walker.show.change(error.change)
        return None
    except CannotReadError as error:
        screen.say(f"Nothing was signed: the rig can't be read now. {error.problems[0]}")
        return None
    return bool(walker.signed.body["verdict"] == GO)


def _tell_reasons(screen: Screen, reasons: Sequence[str]) -> None:
    """Say what keeps a go away; what is only not answered is counted where it would push the rest off the screen."""
    unanswered = [reason for reason in reasons if reason.startswith(UNANSWERED)]
    shown = list(reasons)
    if len(unanswered) > MOST_UNANSWERED:
        shown = [reason for reason in reasons if reason not in unanswered]
        shown.append(f"{UNANSWERED}{len(unanswered)} items; the record holds them all")
    for reason in shown[:MOST_REASONS]:
        screen.say(reason, "  ✗ ", "    ")
    if len(shown) > MOST_REASONS:
        screen.say(f"and {len(shown) - MOST_REASONS} more; the record holds them all", "    ")


def _tell_exceptions(walker: Walker) -> None:
    """Say what everybody should know before saying go."""
    screen, session = walker.screen, walker.session
    walker.show.left_out()
    for hold in session.state.thunder_holds:
        screen.say(f"{hold.words}.", "  ! ", "    ")
    for item in session.state.with_status(NOT_APPLICABLE):
        answer = session.state.answers[item.key]
        if answer.is_look and item.second_of:
            continue  # told with the first look
        what = "No second look" if item.second_of else "Not applicable"
        alone = f"; {answer.people} alone says so" if item.killer and not seen_by_two(session.state, item) else ""
        screen.say(f"{what}: {item.challenge} — {answer.reason}{alone}", "  – ", "    ")
    for finding in session.basis.checked.findings:
        if finding.waived is not None:
            screen.say(f"{finding.message.rstrip('.')}. Waived {finding.waived.words}", "  W ", "    ")
    if few := looked_words(exceptions(session.state)):
        screen.say(f"{few[:1].upper()}{few[1:]}.", "  ! ", "    ")
    if quick := quick_words(session.quick_answers, len(session.state.given)):
        screen.say(f"{quick}.", "  ! ", "    ")
    checked = session.basis.checked
    for words in rules_off(checked):
        screen.say(f"The rule {words}.", "  ! ", "    ")
    if words := not_checked(silent_parts(checked)):
        screen.say(words, "  – ", "    ")
