"""More boxes in one chain than the models allow."""

from collections.abc import Iterator

from lint import Bad, Cure, Finding, ResolvedRig, rule
from lint.resolve.chain import Chain
from lint.rules._cabling import RELINK_SAFETY, free_link, joined, move_plug

_WHY = """\
Each box of a chain adds delay and jitter and passes on the clock. Beyond the number that its model is made for, a
chain may drop out without warning."""

_FOUR = """\
devices:
  box-3: {model: stage-box-8x8}
  box-4: {model: stage-box-8x8}
  box-5: {model: stage-box-8x8}
cables:
  third:  {from: east-box/downstream, to: box-3/upstream}
  fourth: {from: box-3/downstream,    to: box-4/upstream}
"""


@rule(
    title="More boxes in one chain than the models allow",
    severity="caution",
    family="chain",
    why=_WHY,
    do="Hang the last boxes on another link port of the console.",
    source="common practice; the number is the model's own",
    good=[_FOUR + "  fifth:  {from: desk/link-2,         to: box-5/upstream}\n"],
    bad=[
        Bad(
            _FOUR + "  fifth:  {from: box-4/downstream,    to: box-5/upstream}\n",
            (
                "the chain on desk/link-1 has 5 boxes, but stage-box-16x8 and stage-box-8x8 allow 4 in one chain: "
                "box-5 is too many.",
            ),
        )
    ],
    safety=RELINK_SAFETY,
)
def check(rig: ResolvedRig) -> Iterator[Finding]:
    """Yield one finding a chain; boxes behind a fault count as well, since they hang on the same cable."""
    for chain in rig.chains.values():
        boxes = (*chain.boxes, *chain.lost)
        most = _most(rig, chain)
        if not most or len(boxes) <= min(most.values()):
            continue
        limit = min(most.values())
        strict = joined(name for name, count in most.items() if count == limit)
        surplus = [box.device for box in boxes[limit:]]
        verb = "allows" if sum(count == limit for count in most.values()) == 1 else "allow"
        message = (
            f"the chain on {chain.link} has {len(boxes)} boxes, but {strict} {verb} {limit} in one chain: "
            f"{joined(surplus)} {'is' if len(surplus) == 1 else 'are'} too many."
        )
        yield Finding(
            message,
            tuple(rig.place(("devices", name), name, at_key=True) for name in surplus),
            (_cure(rig, chain, limit),),
            {"boxes": len(boxes), "most_boxes": limit},
        )


def _most(rig: ResolvedRig, chain: Chain) -> dict[str, int]:
    """Return the most boxes in one chain by model, of the console and of every box on it."""
    console = rig.device(chain.link.device).model
    kinds = {console.name: console.links[chain.link.name]}
    for box in (*chain.boxes, *chain.lost):
        model = rig.device(box.device).model
        if model.chain is not None:
            kinds[model.name] = model.chain
    return {name: kind.max_boxes for name, kind in kinds.items() if kind.max_boxes is not None}


def _cure(rig: ResolvedRig, chain: Chain, limit: int) -> Cure:
    box = (*chain.boxes, *chain.lost)[limit]
    link = free_link(rig, chain.link.device)
    if link is None:
        return Cure(f"take {box.device} and what is behind it off this chain")
    near = next(end for end in box.cable.ends if end.device != box.device)
    text = f"cable {box.device} to {link} instead of {near}, and patch its sockets from there"
    return Cure(text, move_plug(box.cable, near, link))
