"""Metamorphic: cable a chain in any other order, check it, cure it as told, and every channel carries what it should.

The facts behind it are those of the addressing tables (common practice): inputs follow the order of the boxes.
"""

from __future__ import annotations

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.read.document import Document
from lint.read.merge import extend
from lint.read.parse import parse
from lint.read.schema import require_valid
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

CATALOGUE = load_catalogue()
MODELS = {"stage-box-8x8": 8, "stage-box-16x8": 16}
FILE = "permuted.yaml"


@st.composite
def permuted_chains(draw: st.DrawFn) -> tuple[str, list[str], list[str]]:
    """Draw a rig patched for one order of its boxes and cabled in another: its text and both orders."""
    models = draw(st.lists(st.sampled_from(sorted(MODELS)), min_size=2, max_size=4).filter(_fits))
    order = [f"box-{index}" for index in range(len(models))]
    cabled = draw(st.permutations(order))
    assume(cabled != order)
    lines = ["rig_format: 1", "clock: {leader: desk}", "devices:", "  desk: {model: console-48}"]
    lines += [f"  {name}: {{model: {model}}}" for name, model in zip(order, models, strict=True)]
    lines.append("cables:")
    feed = "desk/link-1"
    for index, name in enumerate(cabled):
        ends = (feed, f"{name}/upstream")
        near, far = draw(st.permutations(["from", "to"]))
        lines.append(f"  cable-{index}: {{{near}: {ends[0]}, {far}: {ends[1]}, spare: yes it is}}")
        feed = f"{name}/downstream"
    sources, channels = [], []
    slot = 0
    for name, model in zip(order, models, strict=True):
        used = draw(st.sets(st.integers(1, MODELS[model]), min_size=1, max_size=6))
        for number in sorted(used):
            source = f"source-{slot + number}"
            sources.append(f"  {source}: {{kind: dynamic-microphone, plugged_into: {name}/in/{number}}}")
            channels.append(f"  {len(channels) + 1}: {{carries: {source}, patched_from: desk/link-1/{slot + number}}}")
        slot += MODELS[model]
    return "\n".join([*lines, "sources:", *sources, "channels:", *channels]), order, list(cabled)


def _fits(models: list[str]) -> bool:
    return sum(MODELS[model] for model in models) <= 48


def _document(text: str) -> Document:
    data, marks = parse(text, FILE)
    return Document(data, marks, (FILE,), ())


def _resolved(document: Document) -> ResolvedRig:
    require_valid(document, "rig")
    return resolve_rig(build_rig(document, FILE, Models(None)))


def _all_right(rig: ResolvedRig) -> bool:
    return all(arrival.sources == (arrival.channel.carries,) for arrival in rig.arrivals.values())


@given(permuted_chains())
@settings(max_examples=150, deadline=None)
def test_every_cure_of_a_permuted_chain_puts_every_channel_right(drawn: tuple[str, list[str], list[str]]) -> None:
    text, _, _ = drawn
    document = _document(text)
    rig = _resolved(document)
    checked = check_rig(rig, CATALOGUE)
    heavy = [finding for finding in checked.findings if finding.weight.value == "no-go"]
    if _all_right(rig):  # two boxes of one kind changed places, and nothing is plugged where it would be heard
        assert heavy == []
        return
    told = [finding for finding in heavy if finding.rule == "chain-swapped"]
    if len(rig.mismatches) > 1:
        assert len(told) == 1, [finding.message for finding in heavy]
        assert heavy == told, [finding.message for finding in heavy]
    for finding in heavy:
        assert any(cure.change for cure in finding.cures), finding
    for index in range(max(len(finding.cures) for finding in heavy)):
        cured = document
        for finding in heavy:
            cure = finding.cures[min(index, len(finding.cures) - 1)]
            marks = document.marks
            cured = extend(cured, dict(cure.change or {}), _marks_like(cure.change, marks.start))
        assert _all_right(_resolved(cured)), (text, index)


def _marks_like(data: object, mark: object) -> object:
    """Return marks in the shape of plain data: a change has no place in a file."""
    from lint.read.document import Marks

    if not isinstance(data, dict):
        return mark
    return Marks(FILE, mark, {key: (mark, _marks_like(value, mark)) for key, value in data.items()})  # type: ignore[arg-type]
