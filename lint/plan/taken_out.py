"""Plugs that a plan has taken out for good: the rig that comes out has them in nothing, and that counts as wrong.

Only once the plan stands, since the search tells the plugs of a source apart by their places in its list.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from lint.plan.rebuild import rebuilt
from lint.plan.unmet import Unmet
from lint.resolve.mixup import merged, nested

if TYPE_CHECKING:
    from lint.plan.cures import Cure, Mending


def with_plugs_out(mending: Mending, cure: Cure) -> Cure:
    """Return a cure whose rig says which plugs are out once its steps are done."""
    sources = cure.result.rig.sources
    out = {at: name for at, name in cure.quiet.out.items() if at in sources[name].sockets}
    if not out:
        return cure
    changes = []
    for name in dict.fromkeys(out.values()):
        left = [str(at) for at in sources[name].sockets if out.get(at) != name]
        changes.append(nested(("sources", name, "plugged_into"), left if len(left) > 1 else left[0]))
    patch = merged((dict(cure.patch), *changes))
    result = rebuilt(mending.rig, patch, mending.models)
    told = (Unmet(f"{name} is taken out of {at}, and left out") for at, name in out.items())
    return replace(cure, patch=patch, result=result, unmet=(*mending.unmet_in(result), *told))
