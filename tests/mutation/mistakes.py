"""Makes single realistic mistakes in clean rigs, by the hundred, and tells how many the check finds.

    python tests/mutation/mistakes.py [--all] [--sites N] [--only KIND] [--show]

What is known to be missed stands in known_misses.py. The table is the same every time: without --all a sample of places is taken for each kind, by a fixed seed.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Iterable, Iterator
from importlib import import_module
from itertools import chain, islice
from pathlib import Path
from statistics import median

sys.path.append(str(Path(__file__).parents[1]))  # run by itself: what the tests share stands above

from bench import KINDS, Base, Kind, Outcome, Site, make
from known_misses import KNOWN_MISSES

from lint.check.catalogue import load_catalogue

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
DEMO = ROOT / "lint" / "demo" / "rigs" / "clean-week.yaml"
MOST_SLIPS = 6  # of a kind in one rig: a slip of the pen is read in the same way wherever it stands
for _part in (
    "cabling",
    "patch",
    "plugs",
    "phantom",
    "outputs",
    "mixes",
    "amplifiers",
    "mains",
    "plant",
    "writing",
    "values",
):
    import_module(f"kinds_{_part}")


def bases() -> list[Base]:
    """Return every clean rig, and the demo's clean week."""
    catalogue = load_catalogue()
    return [Base(path, catalogue) for path in (*sorted(HERE.parent.glob("clean/*/rigs/*.yaml")), DEMO)]


def outcomes(kinds: Iterable[Kind], rigs: Iterable[Base], most: int | None) -> Iterator[tuple[Kind, Outcome]]:
    """Yield what became of each mistake, at most `most` of a kind; what changes nothing does not count."""
    rigs = list(rigs)
    for mistake in kinds:
        made = (make(base, mistake, site) for base, site in _places(mistake, rigs))
        for outcome in islice((outcome for outcome in made if outcome.counts), most):
            yield mistake, outcome


def _places(mistake: Kind, rigs: list[Base]) -> list[tuple[Base, Site]]:
    """Return where a mistake can be made, by a fixed seed: one place in each rig, then another in each, and so on."""
    dice = random.Random(mistake.name)
    turns: list[tuple[int, float, Base, Site]] = []
    for base in rigs:
        sites = list(mistake.function(base))
        dice.shuffle(sites)
        sites = [site for turn, site in enumerate(sites) if site.slip is None or turn < MOST_SLIPS]
        turns += [(turn, dice.random(), base, site) for turn, site in enumerate(sites)]
    return [(base, site) for _, _, base, site in sorted(turns, key=lambda row: row[:2])]


def table(rows: dict[Kind, list[Outcome]]) -> Iterator[str]:
    """Yield the lines of the table, and of the sums below it."""
    yield f"{'mistake':34}{'sites':>6}{'found':>7}{'%':>6}{'median':>8}{'max':>5}  refused  rules"
    for mistake, done in rows.items():
        yield _line(mistake.name + ("" if mistake.risky else " *"), done)
    every = list(chain.from_iterable(rows.values()))
    risky = list(chain.from_iterable(done for mistake, done in rows.items() if mistake.risky))
    yield _line(f"all {len(rows)} kinds", every)
    yield _line("of these heard or risky", risky)
    yield "* changes nothing that anyone hears or risks"
    yield from known(rows)


def known(rows: dict[Kind, list[Outcome]]) -> Iterator[str]:
    """Yield the kinds that are known to be missed, and how many of those made were."""
    for mistake, done in rows.items():
        if mistake.name in KNOWN_MISSES:
            count = sum(1 for outcome in done if not outcome.detected)
            yield f"known miss: {mistake.name}, {count} of {len(done)}: {KNOWN_MISSES[mistake.name]}"


def _line(name: str, done: list[Outcome]) -> str:
    found = [outcome for outcome in done if outcome.detected]
    told = [outcome.told for outcome in found]
    refused = sum(1 for outcome in done if outcome.refused)
    share = 100 * len(found) / len(done) if done else 0.0
    middle = f"{median(told):g}" if told else "-"
    rules = sorted({rule for outcome in done for rule, _, _ in outcome.findings})
    shown = ", ".join(rules) if len(rules) <= 12 else f"{len(rules)} rules"
    return f"{name:34}{len(done):6}{len(found):7}{share:6.1f}{middle:>8}{max(told, default=0):5}{refused:9}  {shown}"


def missed(rows: dict[Kind, list[Outcome]], more_than: int) -> Iterator[str]:
    """Yield every mistake that was not found, or of which more than so many things are told."""
    for mistake, done in rows.items():
        for outcome in done:
            if not outcome.detected or outcome.told > more_than:
                what = "NOT FOUND" if not outcome.detected else f"{outcome.told} told"
                said = "; ".join(" ".join(finding) for finding in outcome.findings) or " | ".join(outcome.refused)
                yield f"{what}: {mistake.name}, {outcome.base}, {outcome.where}: {said or 'nothing'}"


def main() -> int:
    """Print the table; exit status 1 where a mistake that is heard or risky is not found, and not known to be missed."""
    parser = argparse.ArgumentParser(description="single mistakes in clean rigs, and what the check finds")
    parser.add_argument("--all", action="store_true", help="every site, not a sample")
    parser.add_argument("--sites", type=int, default=20, help="places a kind (default 20)")
    parser.add_argument("--only", action="append", default=[], help="only this kind (may be said several times)")
    parser.add_argument("--show", action="store_true", help="name what is not found or told more than once")
    given = parser.parse_args()
    wanted = [mistake for name, mistake in KINDS.items() if not given.only or name in given.only]
    rows: dict[Kind, list[Outcome]] = {mistake: [] for mistake in wanted}
    for mistake, outcome in outcomes(wanted, bases(), None if given.all else given.sites):
        rows[mistake].append(outcome)
    for line in chain(table(rows), missed(rows, 1) if given.show else ()):
        sys.stdout.write(line + "\n")
    strict = (done for mistake, done in rows.items() if mistake.risky and mistake.name not in KNOWN_MISSES)
    return 0 if all(outcome.detected for outcome in chain.from_iterable(strict)) else 1


if __name__ == "__main__":
    sys.exit(main())
