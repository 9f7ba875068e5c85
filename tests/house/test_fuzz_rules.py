"""Whatever a rule file holds: it is loaded and run, or refused with a place. Never another exception, never a hang.

1,500 files in the suite; `python tests/house/test_fuzz_rules.py 100000` tries as many as one likes, and says how many
were loaded, and how long the slowest took.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
import time
from collections import Counter
from importlib.resources import files
from pathlib import Path

from lint.check.example import FILE, example_document
from lint.facts.kinds import KINDS
from lint.house.budget import TooLongError
from lint.house.yaml_rule import load_yaml_rule
from lint.read.problem import MAX_MESSAGE, CannotReadError
from lint.resolve.resolved import ResolvedRig, resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models

HEAD = "rule_format: 1\nrule: own\ntitle: t\nbecause: b\ndo: d\n"
SEEDS = [
    (files("lint.house") / "starters" / "rule.yaml").read_text(encoding="utf-8").replace("NAME", "own"),
    HEAD + "for_each: mixes\nwhere: {kind: [stream, record]}\nexpect: {mix_kinds: {has_no: talkback}}\nmessage: '{id} {mixes}'\n",
    HEAD + "for_each: sources\nwhere: {gain_db: {at_least: 3, not: [4, 5]}}\nat_most: 8 per box\nat_least: 0\n",
    HEAD + "pairs_of: sources\nwhere: [{alike: pair}, {first: {kind: player}, second: {id: {matches: 'a*'}}}]\n"
    "expect: {alike: [gain_db, box], unlike: side}\nmessage: '{first.id} {second.id}'\n",
    HEAD + "for_each: channels\nexpect: {schema: {type: object, properties: {label: {pattern: '^[A-Z][a-z ]{0,9}$'}}},\n"
    "  mixes: {count: {at_most: 8}}, gain_db: {schema: {anyOf: [{type: 'null'}, {$ref: '#/$defs/a'}], "
    "$defs: {a: {maximum: 60}}}}}\n",
]  # fmt: skip
WORDS = [
    *KINDS, *(fact for kind in KINDS.values() for fact in kind.facts),
    *["has", "has_no", "only", "count", "at_most", "at_least", "above", "below", "matches", "not", "schema", "alike", "unlike", "first", "second", "where", "expect"],
    *["for_each", "pairs_of", "message", "good", "bad", "gives", "rig", "severity", "base", "house", "example", "8", "3.5", "-1", "null", "true", "[]", "{}", "~", "1e9"],
    *["type", "const", "enum", "allOf", "anyOf", "oneOf", "if", "then", "else", "items", "contains", "properties", "required", "pattern", "$ref", "$defs"],
    *["#/$defs/a", "#", "'(a+)+$'", "^a*a*a*a*$", ".*.*.*=", "{id}", "{id.__class__}", "{0}", "{", "}", "%s", "*a", "&a", "<<:", "!!python/object:x"],
    "9" * 400, "x" * 300, "\t", "\x00", "\u202e", "\ufeff", "...", "---", "[[[[", "}}", "'", '"', "|", ">",
]  # fmt: skip
WORD = re.compile(r"[\w.$#/*{}-]+")


def mutated(seed: random.Random) -> str:
    """A rule file with a few slips, honest and hostile."""
    text = seed.choice(SEEDS)
    for _ in range(seed.choice([1, 1, 1, 2, 3, 6])):
        slip, at = seed.randrange(6), seed.randrange(len(text) + 1)
        if slip == 0:
            text = text[:at] + seed.choice(WORDS) + text[at:]
        elif slip == 1:
            text = text[:at] + text[at + seed.randrange(1, 30) :]
        elif slip in (2, 3):
            found = WORD.search(text, at)
            if found:
                text = text[: found.start()] + seed.choice(WORDS) + text[found.end() :]
        else:
            lines = text.split("\n")
            first, second = seed.randrange(len(lines)), seed.randrange(len(lines))
            if slip == 4:
                lines[first], lines[second] = lines[second], lines[first]
            else:
                lines.insert(first, seed.choice(SEEDS).split("\n")[second % 6])
            text = "\n".join(lines)
        text = text or " "
    return text


def tried(text: str, path: Path, rig: ResolvedRig) -> str:
    """Load and run one file as a check would; return how it went."""
    path.write_text(text, encoding="utf-8", errors="surrogatepass", newline="")
    try:
        rule = load_yaml_rule(path, "own.yaml")
    except CannotReadError as error:
        assert error.problems
        for problem in error.problems:
            assert problem.file == "own.yaml"
            assert problem.line >= 1
            assert problem.column >= 1
            assert len(problem.message) <= MAX_MESSAGE
        return "refused"
    try:
        for finding in rule.function(rig):
            assert finding.message
            assert finding.places
    except TooLongError:
        return "ended"
    return "run"


def fuzz(number: int, start: int, folder: Path) -> tuple[Counter[str], float]:
    """Try so many files; return how they went and the processor seconds that the slowest took."""
    rig = resolve_rig(build_rig(example_document(""), FILE, Models(None)))
    outcomes: Counter[str] = Counter()
    slowest = 0.0
    for index in range(start, start + number):
        text = mutated(random.Random(index))
        before = time.process_time()
        try:
            outcomes[tried(text, folder / "own.yaml", rig)] += 1
        except Exception as error:
            raise AssertionError(f"seed {index}: {error!r}\n{text}") from error
        slowest = max(slowest, time.process_time() - before)
    return outcomes, slowest


def test_whatever_a_rule_file_holds(tmp_path: Path) -> None:
    outcomes, slowest = fuzz(1500, 0, tmp_path)
    assert outcomes["run"] >= 100, outcomes
    assert outcomes["refused"] >= 500, outcomes
    assert slowest < 2.0


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        told, longest = fuzz(int(sys.argv[1]), 1_000_000, Path(place))
    print(dict(told), f"slowest {longest * 1000:.0f} ms")
