"""The small clean rig that the rules' examples are written against: each example says only what it changes."""

from __future__ import annotations

from lint.check.catalogue import Catalogue
from lint.check.engine import Checked, check_rig
from lint.read.document import Document
from lint.read.merge import extend
from lint.read.parse import parse
from lint.read.schema import require_valid
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

BASE = """\
rig_format: 1
clock: {sample_rate_hz: 48000, leader: desk}
devices:
  desk:     {model: console-32}
  west-box: {model: stage-box-16x8, output_bank: 1-8}
  east-box: {model: stage-box-8x8,  output_bank: 9-16}
cables:
  trunk:    {from: desk/link-1, to: west-box/upstream, kind: cat5e, shielded: true, length_m: 40, spare: on its hook}
  crossing: {from: west-box/downstream, to: east-box/upstream, kind: cat5e, shielded: true, length_m: 12}
sources:
  lead-vocal: {kind: dynamic-microphone,   plugged_into: west-box/in/1}
  choir:      {kind: condenser-microphone, plugged_into: west-box/in/2}
  piano:      {kind: active-di,            plugged_into: east-box/in/1}
channels:
  1: {label: Lead vox, carries: lead-vocal, patched_from: desk/link-1/1}
  2: {label: Choir,    carries: choir,      patched_from: desk/link-1/2,  phantom: on}
  3: {label: Piano,    carries: piano,      patched_from: desk/link-1/17, phantom: on}
mixes:
  house:      {kind: house, width: stereo, takes: {channels: [1-32]}}
  singer-mon: {kind: monitor, takes: {channels: {1: {level_db: -4, tap: pre-fader}}}}
feeds:
  desk/link-1: {1: singer-mon, 15-16: house}
destinations:
  singer-wedge: {kind: wedge,             plugged_into: west-box/out/1, expects: singer-mon}
  house-left:   {kind: house-loudspeaker, plugged_into: east-box/out/7, expects: house.left}
  house-right:  {kind: house-loudspeaker, plugged_into: east-box/out/8, expects: house.right}
"""
FILE = "example.yaml"


def example_document(fragment: str) -> Document:
    """Return the base rig with a fragment merged into it (RFC 7396)."""
    data, marks = parse(BASE, FILE)
    base = Document(data, marks, (FILE,), ())
    patch, patch_marks = parse(fragment, FILE) if fragment.strip() else ({}, marks)
    return extend(base, patch, patch_marks)


def check_example(fragment: str, catalogue: Catalogue | None = None) -> Checked:
    """Check the base rig with a fragment merged into it.

    Raises CannotReadError for a fragment that does not fit the schema.
    """
    document = example_document(fragment)
    require_valid(document, "rig")
    return check_rig(resolve_rig(build_rig(document, FILE, Models(None))), catalogue)
