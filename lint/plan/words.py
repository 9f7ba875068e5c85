"""What somebody types after `whatif`: order, add, remove, replace, move, bank, lose; `and` between several."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from lint.plan.at_once import hanging, laid_anew
from lint.plan.chainwork import made_way
from lint.plan.distance import Stage, ways_noted
from lint.plan.edit import CannotDoError, Edit, Editor
from lint.plan.listening import listening_again
from lint.plan.rebuild import change_between, rebuilt
from lint.read.nearest import did_you_mean
from lint.read.problem import CannotReadError
from lint.resolve.mixup import merged
from lint.resolve.resolved import ResolvedRig
from lint.rig.model import Models

FORMS = {
    "order": "order BOX BOX ...",
    "add": "add NAME MODEL [behind BOX] [bank POSITION]",
    "remove": "remove BOX",
    "replace": "replace BOX MODEL",
    "move": "move BOX CONSOLE/LINK",
    "bank": "bank BOX POSITION",
    "lose": "lose BOX|CABLE|CIRCUIT|CONSOLE|CONSOLE/LINK",
}
FILLING = {"replace": ("by", "with"), "move": ("to",), "bank": ("to",)}
_KINDS = ("box", "cable", "circuit", "link", "console")


def edits_of(rig: ResolvedRig, words: Sequence[str], models: Models) -> tuple[list[Edit], ResolvedRig]:
    """Return the edits that the words ask for, each made on what those before it left, and the rig they end in.

    Raises CannotDoError.
    """
    edits = {}
    here = rig
    stage = Stage(rig)
    phrases = _phrases(words)
    losing = [phrase for phrase in phrases if phrase[0] == "lose"]
    failing = {phrase[-1] for phrase in losing if phrase[1:-1] in ([], ["cable"])}.intersection(rig.rig.cables)
    lost = {phrase[-1] for phrase in losing}
    gone = {console.name for console in rig.rig.consoles if lost.intersection((console.name, console.circuit))}
    # What is lost comes last: "it died, take it out" leaves the same rig as "take it out".
    for index, phrase in sorted(enumerate(phrases), key=lambda row: (row[1] in losing, row[0])):
        banks = {later[1]: later[2] for later in phrases[index + 1 :] if later[0] == "bank" and len(later) == 3}
        editor = Editor(here, models, stage, failing | gone, banks)
        in_its_place = any(other[0] == "replace" and other[1:2] == phrase[-1:] for other in phrases)
        is_mended = phrase in losing and phrase[1:-1] in ([], ["box"]) and in_its_place
        edit = editor.replace_lost(phrase[-1]) if is_mended else _edit(editor, phrase)
        if phrase[0] == "bank" and any(other[0] == "replace" and other[1:2] == phrase[1:2] for other in phrases):
            edit = replace(edit, at_last=())  # set at the new box as it is put in
        try:
            here = rebuilt(here, edit.patch, models)
        except CannotReadError as error:
            raise CannotDoError(error.problems[0].message) from None
        edits[index] = edit
    if {phrase[0] for phrase in phrases} <= {"order", "move"} and hanging(here) == hanging(rig):
        here = rig  # all is where it was: no cable is taken for another
    else:
        here = laid_anew(rig, here, failing, models)
    if len(losing) < len(phrases):
        here = listening_again(rig, here, models, failing | gone | lost)
    noted = merged((ways_noted(rig, here), made_way(rig, here)))
    return [edits[index] for index in sorted(edits)], rebuilt(here, noted, models) if noted else here


def patch_between(before: ResolvedRig, after: ResolvedRig) -> dict[str, object]:
    """Return the change from one rig's data to another's as one merge patch."""
    patch: dict[str, object] = change_between(before.rig.document.data, after.rig.document.data)
    return patch


def _phrases(words: Sequence[str]) -> list[list[str]]:
    phrases: list[list[str]] = [[]]
    for word in words:
        if word == "and":
            phrases.append([])
        else:
            phrases[-1] += [part for part in word.split(",") if part]
    if any(not phrase for phrase in phrases):
        if len(phrases) == 1:
            raise CannotDoError(f"what if what? One of: {'; '.join(FORMS.values())}")
        where = "after the last" if not phrases[-1] else "before the first" if not phrases[0] else "between two"
        raise CannotDoError(f"nothing stands {where} `and`; leave it out, or {_forms()}")
    return _once(phrases)


def _once(phrases: Sequence[list[str]]) -> list[list[str]]:
    """Return the phrases without what is said twice. Raises CannotDoError where two say different things of one box."""
    kept: dict[tuple[str, ...], list[str]] = {}
    for phrase in phrases:
        key = tuple(phrase) if phrase[0] not in FILLING else tuple(phrase[:2])
        other = kept.setdefault(key if phrase[0] != "order" else (*phrase, str(len(kept))), phrase)
        if other != phrase:
            raise _not_both(other, phrase)
    taken_away = {phrase[1]: phrase for phrase in kept.values() if phrase[0] == "remove" and len(phrase) > 1}
    for phrase in kept.values():
        if phrase[0] in ("bank", "replace", "move") and phrase[1:] and phrase[1] in taken_away:
            raise _not_both(taken_away[phrase[1]], phrase)
    return list(kept.values())


def _not_both(one: Sequence[str], other: Sequence[str]) -> CannotDoError:
    return CannotDoError(f"`{' '.join(one)}` and `{' '.join(other)}` can't both be so; say one of them")


def _edit(editor: Editor, phrase: Sequence[str]) -> Edit:
    verb, rest = phrase[0], list(phrase[1:])
    if verb not in FORMS:
        raise CannotDoError(f"'{verb}' is nothing that can be planned{did_you_mean(verb, FORMS, most=0)}; {_forms()}")
    rest = [word for index, word in enumerate(rest) if index != 1 or word not in FILLING.get(verb, ())]
    if verb == "order":
        return editor.order(rest)
    if verb == "lose":
        return _lose(editor, rest)
    if verb == "add":
        return _add(editor, rest)
    methods: dict[str, tuple[int, Callable[..., Edit]]] = {
        "remove": (1, editor.remove),
        "replace": (2, editor.replace),
        "move": (2, editor.move),
        "bank": (2, editor.bank),
    }
    count, method = methods[verb]
    _require(verb, rest, count)
    return method(*rest)


def _lose(editor: Editor, rest: Sequence[str]) -> Edit:
    if len(rest) == 2 and rest[0] in _KINDS:
        kinds = (editor.lose_box, editor.lose_cable, editor.lose_circuit, editor.lose_link, editor.lose_console)
        return kinds[_KINDS.index(rest[0])](rest[1])
    _require("lose", rest, 1)
    return editor.lose(rest[0])


def _add(editor: Editor, rest: list[str]) -> Edit:
    options: dict[str, str] = {}
    while len(rest) > 3 and rest[-2] in ("behind", "bank"):
        options[rest[-2]] = rest[-1]
        rest = rest[:-2]
    _require("add", rest, 2)
    return editor.add(rest[0], rest[1], options.get("behind"), options.get("bank"))


def _require(verb: str, rest: Sequence[str], count: int) -> None:
    if len(rest) != count:
        raise CannotDoError(f"found `{' '.join((verb, *rest))}`, expected `{FORMS[verb]}`")


def _forms() -> str:
    return f"say one of: {'; '.join(FORMS.values())}"
