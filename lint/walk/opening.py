"""The beginning of a walk: what is walked, by whom, and whether one that was begun goes on."""

from __future__ import annotations

from collections.abc import Iterable

from lint.page.layout import counted
from lint.rig.person import is_name
from lint.walk.entry import Entry
from lint.walk.items import Item
from lint.walk.latest import Opening
from lint.walk.screen import StoppedError, cleaned
from lint.walk.terminal import Walker


def open_walk(walker: Walker, by: str, new: bool) -> bool:
    """Begin or resume the walk; return False where one that was signed go is left as it stands."""
    session = walker.session
    latest = session.latest()
    again = False
    if latest is not None and latest.signed_go is not None and latest.is_todays and not new:
        choice = _after_go(latest.signed_go, walker)
        if not choice:
            return False
        again = choice == "c"
    if latest is not None and latest.overtaken is not None and latest.is_todays and not new:
        at = latest.overtaken.body["local"][11:16]
        walker.screen.say(
            f"{walker.screen.status('no-go')} Walk {latest.begun.walk} was signed go, overtaken by a no-go at {at}: "
            "it is to be signed anew."
        )
    if latest is None or not latest.is_todays:
        for begun in session.open_beside():
            _tell_beside(begun, walker)
    name = cleaned(by) or _name(walker)
    opening = session.open(name, fresh=new, again=again, role=walker.role)
    _tell_not_asked(walker)
    _tell_opening(opening, walker)
    return True


def _tell_beside(begun: Entry, walker: Walker) -> None:
    """Say which walk of this rig is open by another checklist: whoever comes back may mean that one."""
    body = begun.body
    walker.screen.say(
        f"Another walk of this rig is open, walk {begun.walk} in the house's record, begun {moment(body['local'])} by "
        f"{body['by']}: --checklist {body['checklist']} goes on with that one."
    )


def _after_go(signed: Entry, walker: Walker) -> str:
    """Say that today's walk was signed go, and ask: `c` go on with it, `n` a new one, or nothing."""
    screen, body = walker.screen, signed.body
    screen.say(f"Walk {signed.walk} was signed {screen.status('go')} by {body['lead']}, {moment(body['local'])}.")
    if body["rig_digest"] != walker.session.basis.rig_digest:
        screen.say("The rig file was changed after that: the signature does not speak of the rig as it is now.")
    screen.say("Something is no go after all? c, then o and words of the item, then n: that overtakes the GO.")
    while True:
        screen.say("c: go on with it, asking only what has changed, and sign anew · n: begin a new walk · q: leave it")
        line = screen.ask("> ").casefold()
        if line in ("c", "n"):
            return line
        if line in ("q", "quit", "stop"):
            screen.say("Left as it stands.")
            return ""


def _name(walker: Walker) -> str:
    """Ask who walks; where the rig file says who has the role, Enter is that name."""
    screen = walker.screen
    crew = walker.session.basis.checked.resolved.rig.crew.get(walker.role or "", "")
    offer = f" (Enter: {crew})" if crew else ""
    while True:
        name = screen.ask(f"Who walks? Your name{offer}: ") or crew
        if is_name(name):
            return name
        if name.casefold() == "q":
            raise StoppedError
        if name:
            screen.say(f"“{name}” is no name; expected yours, as the record shall show it.")


def greet(walker: Walker, today: str) -> None:
    """Say what is walked, and what is odd about it before anything is asked."""
    screen, basis = walker.screen, walker.session.basis
    rig = basis.checked.resolved.rig
    event = ", ".join(filter(None, (rig.event.name, rig.event.date.isoformat() if rig.event.date else "")))
    screen.say(f"{basis.template.title} of {basis.rig}" + (f" — {event}" if event else ""))
    if rig.event.date is not None and rig.event.date.isoformat() != today:
        screen.say(f"Note: today is {today}, and the rig file says that the event is on {rig.event.date.isoformat()}.")
    if any(circuit.outdoor for circuit in rig.circuits.values()):
        screen.say("Outdoors: when thunder is heard, type thunder at any item; the whole walk is held then.")
    walker.show.left_out()
    walker.show.no_gos()


def _tell_not_asked(walker: Walker) -> None:
    """Say what a short list leaves to the full one."""
    if not_asked := walker.session.basis.template.asked_nowhere:
        walker.screen.say(f"Not asked here as the full walk does: {'; '.join(not_asked)}.")


def _items_words(items: Iterable[Item], role: str | None) -> str:
    """Say how many items there are to answer, and of which sorts: 9 items (6 to look at, 2 second looks, 1 call)."""
    mine = [item for item in items if role is None or item.role == role]
    seconds = sum(bool(item.second_of) for item in mine)
    calls = sum(item.is_call for item in mine)
    sorts = [counted(count, what) for count, what in ((seconds, "second look"), (calls, "call")) if count]
    looks = f" ({len(mine) - seconds - calls} to look at, {', '.join(sorts)})" if sorts else ""
    return f"{counted(len(mine), 'item')}{looks}"


def _tell_opening(opening: Opening, walker: Walker) -> None:
    screen, session = walker.screen, walker.session
    if opening.left is not None:
        body = opening.left.body
        screen.say(f"The walk of {moment(body['local'])} by {body['by']} has no signed go, and is left as it stands.")
    if not opening.resumed:
        items = _items_words(session.state.plan.items, walker.role)
        screen.say(
            f"Walk {session.walk} begins: {items}. Answer each with a key and Enter; ? and Enter shows the keys."
        )
        return
    body = opening.begun.body
    item = session.state.next_item(walker.role)
    where = f"at: {item.challenge}" if item else "at its end"
    screen.say(f"Resuming the walk begun {moment(body['local'])} by {body['by']}, {where}")
    done = session.state.last_answered(walker.role)
    if done:
        last = session.state.answers[done[0].key]
        # Whoever looks second next must not read what the first said.
        is_blind = (item is not None and item.second_of) or walker.show.is_blind(done[0])
        words = f"by {last.people}" if is_blind else walker.show.answer_words(last)
        screen.say(f"Last answered: {done[0].challenge}: {words}. Look once more; b answers it anew.")
    if opening.change is not None:
        walker.show.change(opening.change)
    walker.show.news.tell(session.news())
    for item in session.state.wordless(walker.role):
        answer = session.state.answers[item.key]
        screen.write("")
        screen.say(f"{answer.people} said no-go, and the words are missing: {item.challenge}")
        walker.ask_words(item, session.by)
    if opening.restart:
        _offer_restart(opening, walker)


def _offer_restart(opening: Opening, walker: Walker) -> None:
    """Where another person goes on, or after long, ask whether the phase under way is asked again from its beginning.

    There is no way round a choice, and either way it is written down (reference/checklist-design.md 7, R08).
    """
    screen, items, session = walker.screen, opening.restart, walker.session
    title = session.state.plan.phases[items[0].phase].title
    count = f"{len(items)} item{' is' if len(items) == 1 else 's are'}"
    screen.say(f"Of “{title}”, {count} answered, by somebody else or more than ten minutes ago.")
    if any(item.killer for item in items):
        screen.say("Nothing starts without some of them.")
    choice = screen.listed("r: ask them again from the start", "k: go on where it was")
    screen.forget_typed()
    while True:
        line = screen.ask(f"{choice} ").casefold()
        if line in ("r", "restart"):
            walker.kept(lambda: session.reopen(items))
            return
        if line in ("k", "keep"):
            walker.kept(lambda: session.keep(items))
            return
        if line in ("q", "quit", "stop"):
            raise StoppedError


def moment(local: str) -> str:
    """Return the day and minute of a local time as the record keeps it."""
    return f"{local[:10]} {local[11:16]}"
