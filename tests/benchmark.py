"""What rigwalk costs, as ratios measured in one run: `python tests/benchmark.py [--runs N] [--largest SOURCES]`.

Nothing here is a test with a verdict: a shared machine is too noisy for that. Read the ratios, not the times.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from big_rig import big_rig, long_chain_rig, lost_box_rig

FOUR = "import yaml, jsonschema, pluggy, typer"
AIMS_MS = {"plan": 50, "rescue": 200, "question": 20, "whatif": 3_000}
RIGWALK = [sys.executable, "-c", "from lint.cli import main; main()"]
WHOLE_CHECK = """
import resource, sys, time
from pathlib import Path
from lint.check.catalogue import load_catalogue
from lint.check.engine import check_file
catalogue = load_catalogue()
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
start = time.perf_counter()
checked = check_file(Path(sys.argv[1]), catalogue)
spent = time.perf_counter() - start
assert checked.verdict.value == "go", [finding.message for finding in checked.findings][:3]
print(spent, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024)
"""
HOUSE_CHECK = """
import sys, time
from pathlib import Path
from lint.check.catalogue import load_catalogue
from lint.check.engine import check_file
catalogue = load_catalogue()
start = time.process_time()
checked = check_file(Path(sys.argv[1]), catalogue)
spent = time.process_time() - start
assert not [finding for finding in checked.findings if finding.rule == "rule-failed"]
print(spent, len(checked.catalogue.rules) - len(catalogue.rules))
"""
# One of each form, with a condition of each sort: what a house that is keen on rules may write.
HOUSE_RULES = (
    "for_each: sources\nwhere: {id: {matches: 'source-0-1*'}}\nexpect: {box: [box-0-0, box-0-1]}\nmessage: '{id} on {box}'",
    "for_each: channels\nwhere: {number: [1, 2, 3]}\nexpect: {gain_db: {at_most: 50}, phantom: 'off'}",
    "for_each: mixes\nwhere: {kind: stream}\nexpect: {mix_kinds: {has_no: talkback}}",
    "for_each: devices\nwhere: {kind: stage-box}\nat_least: 1",
    "for_each: sources\nwhere: {kind: dynamic-microphone}\nat_most: 20 per box",
    "pairs_of: sources\nwhere: {first: {side: left}, alike: pair}\nexpect: {alike: [gain_db, phantom]}",
    "for_each: paths\nwhere: {source_kind: player}\nexpect: {destination_kind: {not: wedge}}",
    "for_each: sources\nwhere: {group: choir}\nexpect: {gain_db: {schema: {type: number, maximum: 50}}}",
    "for_each: cables\nexpect: {shielded: true}",
    "for_each: channels\nwhere: {label: {matches: 'Strip 1?'}}\nexpect: {mix_kinds: {has: house}}",
)
HOUSE_RULE = """
rule_format: 1
rule: {name}
title: What must be so in this house
severity: caution
because: it has always been so in this house, and the crew knows it
do: Put it back where it was.
{body}
good:
  - sources: {{choir: {{plugged_into: west-box/in/3}}}}
bad:
  - rig:
      sources: {{choir: {{plugged_into: east-box/in/3}}}}
    gives: [something is wrong here]
"""
C_PARSE = """
import sys, time, yaml
text = open(sys.argv[1], encoding="utf-8").read()
start = time.perf_counter()
yaml.load(text, Loader=yaml.CSafeLoader)
print(time.perf_counter() - start, 0)
"""

PLANS = """
import statistics, sys, time
from pathlib import Path
from lint.check.catalogue import load_catalogue
from lint.hunt.causes import DEAD
from lint.hunt.hunt import Hunt
from lint.hunt.learn import likelihoods
from lint.hunt.path import path_of
from lint.hunt.target import target_of
from lint.plan.cures import CONSOLE, PLUGS, Mending
from lint.plan.intent import intent_of
from lint.plan.outage import outage_of
from lint.plan.spares import Rescuer
from lint.plan.whatif import what_if
from lint.plan.words import edits_of
from lint.resolve.resolved import resolve
from lint.rig.build import load_rig
from lint.rig.model import Models

models = Models(None)
stage, full, long, large = (resolve(load_rig(Path(name))) for name in sys.argv[1:])

def plan():
    _, after = edits_of(stage, ["order", "box-0-2", "box-0-1", "box-0-0"], models)
    mending = Mending(stage, after, intent_of(stage), (), (), models)
    cures = [mending.cure(way) for way in (CONSOLE, PLUGS)]
    assert not any(cure.unmet for cure in cures)
    return len(stage.rig.sources)

def rescue():
    outage = outage_of(full, "lost", models)
    found = Rescuer(Mending(full, outage.after, intent_of(full), outage.dead, outage.dead, models)).rescue()
    assert found.proved and not found.left
    return len(found.lost), found.free

catalogue = load_catalogue()

def whatif():
    plan = what_if(large, ["order", "box-0-2", "box-0-1", "box-0-0"], models, catalogue)
    assert all(cure.proved and not cure.unmet for cure in plan.cures.values())
    assert not [finding for finding in plan.cured("fewest").findings if plan.is_new(finding)]
    return len(large.rig.sources)

parts = path_of(long, target_of(long, "source", "sub"))
weights = likelihoods(parts, DEAD)

def question():
    assert Hunt(parts, DEAD, weights).answered("y").question is not None
    return len(parts)

for work in (plan, rescue, question, whatif):
    spent = []
    for _ in range(3 if work is whatif else 7):
        start = time.process_time()
        size = work()
        spent.append(time.process_time() - start)
    print(f"{work.__name__}|{size}|{spent[0] * 1000:.1f}|{statistics.median(spent) * 1000:.1f}")
"""


def main() -> None:
    """Print every figure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=9)
    parser.add_argument("--largest", type=int, default=10_000)
    options = parser.parse_args()
    # Users run compiled bytecode; a variable of this shell must not make us measure the compiler.
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    with tempfile.TemporaryDirectory() as folder:
        _start_up(Path(folder), options.runs, environment)
        _house_rules(Path(folder), options.runs, environment)
        _sizes(Path(folder), options.runs, options.largest, environment)
        _plans(Path(folder), environment)


def _start_up(folder: Path, runs: int, environment: dict[str, str]) -> None:
    house = folder / "demo"
    week = str(house / "rigs" / "clean-week.yaml")
    subprocess.run([*RIGWALK, "demo", "--into", str(house)], check=True, stdout=subprocess.DEVNULL, env=environment)
    commands = {
        f'python -c "{FOUR}"': [sys.executable, "-c", FOUR],
        "rigwalk check of the demo week": [*RIGWALK, "check", week],
        "rigwalk --help": [*RIGWALK, "--help"],
    }
    times: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(runs + 2):  # interleaved, so that a slow moment of the machine falls on all of them
        for name, command in commands.items():
            start = time.perf_counter()
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=environment)
            times[name].append(time.perf_counter() - start)
    medians = {name: statistics.median(rows[2:]) for name, rows in times.items()}
    base = next(iter(medians.values()))
    print(f"cold start, median of {runs}")
    for name, median in medians.items():
        print(f"  {name:55} {median * 1000:7.1f} ms  {median / base:5.2f} ×")


def _house_rules(folder: Path, runs: int, environment: dict[str, str]) -> None:
    print("check of a rig of 48 sources, processor seconds beyond those without house rules")
    house = folder / "house"
    (house / "rigs").mkdir(parents=True)
    (house / "house.yaml").write_text("rig_format: 1\n", encoding="utf-8")
    rig = house / "rigs" / "rig.yaml"
    rig.write_text(big_rig(48), encoding="utf-8")
    times = {}
    for number in (0, 500, 5_000):
        for index in range(number):
            body = HOUSE_RULES[index % len(HOUSE_RULES)]
            path = house / "rules" / f"rule-{index}.yaml"
            path.parent.mkdir(exist_ok=True)
            path.write_text(HOUSE_RULE.format(name=path.stem, body=body), encoding="utf-8")
        spent = [_once(HOUSE_CHECK, rig, environment) for _ in range(max(3, runs // 3))]
        assert {rules for _, rules in spent} == {number}
        times[number] = statistics.median(seconds for seconds, _ in spent)
        beyond = times[number] - times[0]
        line = f"  {number:6,} rules  {beyond:6.3f} s"
        if number == 5_000:
            line += f"  10 × the rules: {beyond / (times[500] - times[0]):.1f} × the time"
        print(line)


def _sizes(folder: Path, runs: int, largest: int, environment: dict[str, str]) -> None:
    print("whole check, in process, against PyYAML's C parse of the same file (yaml.load, CSafeLoader)")
    previous: tuple[int, float, float] | None = None
    for sources in (size for size in (100, 1_000, 10_000, 50_000) if size <= largest):
        path = folder / f"rig-{sources}.yaml"
        path.write_text(big_rig(sources), encoding="utf-8")
        few = max(3, runs // 3) if sources >= 10_000 else runs
        parse, check, memory = [], [], []
        for _ in range(few):
            parse.append(_once(C_PARSE, path, environment)[0])
            spent, grown = _once(WHOLE_CHECK, path, environment)
            check.append(spent)
            memory.append(grown)
        one, whole, peak = (statistics.median(rows) for rows in (parse, check, memory))
        line = f"  {sources:6,} sources  {path.stat().st_size / 1e6:5.2f} MB  parse {one:6.3f} s  check {whole:6.3f} s"
        line += f"  {whole / one:5.2f} ×  {peak / sources / 1024:5.1f} KiB a source"
        if previous is not None:
            line += f"  {sources // previous[0]} × the rig: {whole / previous[1]:.1f} × the time"
            line += f", {peak / max(previous[2], 1):.1f} × the memory"
        print(line)
        previous = (sources, whole, peak)


def _plans(folder: Path, environment: dict[str, str]) -> None:
    print("plans, beyond start-up: their size, processor time of the first and median (ms), and what is aimed at")
    paths = []
    rigs = {"stage": big_rig(48), "full": lost_box_rig(), "long": long_chain_rig(), "large": big_rig(1_000)}
    for name, text in rigs.items():
        paths.append(folder / f"{name}.yaml")
        paths[-1].write_text(text, encoding="utf-8")
    run = [sys.executable, "-c", PLANS, *map(str, paths)]
    done = subprocess.run(run, check=True, capture_output=True, text=True, env=environment)
    for line in done.stdout.splitlines():
        name, size, first, median = line.split("|")
        print(f"  {name:10} {size:12} {first:>8} {median:>8}  < {AIMS_MS[name]:,}")


def _once(program: str, path: Path, environment: dict[str, str]) -> tuple[float, float]:
    """Run a program in a fresh process; it prints its own time and memory."""
    run: Callable[..., subprocess.CompletedProcess[str]] = subprocess.run
    done = run([sys.executable, "-c", program, str(path)], check=True, capture_output=True, text=True, env=environment)
    spent, grown = done.stdout.split()
    return float(spent), float(grown)


if __name__ == "__main__":
    main()
