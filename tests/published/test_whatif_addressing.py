"""`whatif` against the addressing facts of shared/design/addressing.md (facts of the trade, common practice).

"Swap worked through: chain 8, 16; a channel is patched from slot 9, that is socket 1 of the 16-input box. Recable to
16, 8: slot 9 is now socket 9 of the 16-input box; socket 1 of it is slot 1; socket 1 of the 8-input box is slot 17. To
keep the console as it is, the plug moves to socket 9; to keep the plug, the console patch moves to slot 1."
"""

from __future__ import annotations

import itertools
import json

from build_rigs import FILE
from hypothesis import given
from hypothesis import strategies as st

from lint.plan.cures import CONSOLE, PLUGS, Mending
from lint.plan.effect import effect_between, point_of
from lint.plan.intent import intent_of
from lint.plan.words import edits_of
from lint.read.document import Document
from lint.read.parse import parse
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.address import Socket
from lint.rig.build import build_rig
from lint.rig.model import Models

MODELS = Models(None)
INPUTS = {"stage-box-8x8": 8, "stage-box-16x8": 16, "stage-box-32x16": 32}


def chained(models: list[str], sockets: list[str]) -> ResolvedRig:
    """A chain of boxes a, b, c ... with a source in each of the sockets, each on a channel patched from it."""
    names = "abcd"[: len(models)]
    ends = ["desk/link-1", *(f"{name}/downstream" for name in names)]
    slots = dict(itertools.chain.from_iterable(_owned(models, names)))
    data = {
        "rig_format": 1,
        "devices": {"desk": {"model": "console-48"}} | {n: {"model": m} for n, m in zip(names, models, strict=True)},
        "cables": {
            f"to-{name}": {"from": end, "to": f"{name}/upstream"} for name, end in zip(names, ends, strict=False)
        },
        "sources": {f"s{i}": {"kind": "player", "plugged_into": socket} for i, socket in enumerate(sockets)},
        "channels": {
            str(i + 1): {"carries": f"s{i}", "patched_from": f"desk/link-1/{slots[socket]}"}
            for i, socket in enumerate(sockets)
        },
    }
    read, marks = parse(json.dumps(data), FILE)
    return resolve_rig(build_rig(Document(read, marks, (FILE,), ()), FILE, MODELS))


def _owned(models: list[str], names: str) -> list[list[tuple[str, int]]]:
    """Box k owns the slots S+1 … S+n_k, where S is the sum of the inputs of all boxes upstream of it."""
    before, rows = 0, []
    for model, name in zip(models, names, strict=True):
        rows.append([(f"{name}/in/{number}", before + number) for number in range(1, INPUTS[model] + 1)])
        before += INPUTS[model]
    return rows


def test_the_swap_worked_through() -> None:
    before = chained(["stage-box-8x8", "stage-box-16x8"], ["b/in/1"])
    assert str(before.rig.channels["desk", 1].patched_from) == "desk/link-1/9"
    edits, after = edits_of(before, ["order", "b", "a"], MODELS)
    now = {name: str(point_of(after, Socket(name, "in", 1))) for name in "ab"}
    assert now == {"b": "desk/link-1/1", "a": "desk/link-1/17"}
    assert str(point_of(after, Socket("b", "in", 9))) == "desk/link-1/9"
    (row,) = effect_between(before, after, edits[0].dead).sources
    assert (str(row.was_at), str(row.now_at), row.now_on) == ("desk/link-1/9", "desk/link-1/1", ())
    mending = Mending(before, after, intent_of(before), models=MODELS)
    assert [str(move.end) for move in mending.cure(PLUGS).handlings] == ["b/in/9"]
    assert mending.cure(CONSOLE).turns == ("patch channel 1 from desk/link-1/1 (now: desk/link-1/9)",)


@given(st.data())
def test_after_any_other_order_every_source_is_where_the_sum_of_the_inputs_says(data: st.DataObject) -> None:
    models = data.draw(st.lists(st.sampled_from(["stage-box-8x8", "stage-box-16x8"]), min_size=2, max_size=3))
    names = "abcd"[: len(models)]
    every = [f"{n}/in/{i}" for n, m in zip(names, models, strict=True) for i in range(1, INPUTS[m] + 1)]
    sockets = data.draw(st.lists(st.sampled_from(every), min_size=1, max_size=12, unique=True))
    before = chained(models, sockets)
    order = data.draw(st.permutations(list(names)))
    _, after = edits_of(before, ["order", *order], MODELS)
    of = dict(zip(names, models, strict=True))
    expected = dict(itertools.chain.from_iterable(_owned([of[name] for name in order], "".join(order))))
    for source in after.rig.sources.values():
        assert str(point_of(after, source.sockets[0])) == f"desk/link-1/{expected[str(source.sockets[0])]}"
    mending = Mending(before, after, intent_of(before), models=MODELS)
    moved = {str(move.end) for move in mending.cure(PLUGS).handlings if move.end is not None}
    console = mending.cure(CONSOLE)
    wrong = [s for s in sockets if expected[s] != dict(itertools.chain.from_iterable(_owned(models, names)))[s]]
    assert len(console.turns) == len(wrong)  # as many patch changes as sockets whose slot is another now
    assert console.unmet == mending.cure(PLUGS).unmet == ()
    assert bool(moved) == bool(wrong)
