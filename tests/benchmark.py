"""What rigwalk costs, as ratios measured in one run: `python tests/benchmark.py [--runs N] [--largest SOURCES]`.

Nothing here is a test with a verdict: a shared machine is too noisy for that. Read the ratios, not the times.
"""

from __future__ import annotations

import argparse
import os
import resource
import shutil
import signal
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
BARE = """
import typer
app = typer.Typer(rich_markup_mode=None, add_completion=False)
@app.command()
def check(rig: str) -> None:
    "Check a rig."
app()
"""
# What `check_file` does, stage by stage.
WHOLE_CHECK = """
import resource, sys, time
import lint.check.engine
from pathlib import Path
from lint.check.catalogue import load_catalogue
from lint.check.engine import check_rig
from lint.read.collector import paused_collector
from lint.read.load import load_document
from lint.read.schema import require_valid
from lint.resolve.resolved import resolve_rig
from lint.rig.build import build_rig
from lint.rig.model import Models
lint.check.engine.perf_counter = time.process_time
catalogue = load_catalogue()
path = Path(sys.argv[1])
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

def once():
    marks = [time.process_time()]
    with paused_collector():
        document = load_document(path); marks.append(time.process_time())
        require_valid(document, "rig"); marks.append(time.process_time())
        rig = build_rig(document, str(path), Models(None)); marks.append(time.process_time())
        resolved = resolve_rig(rig); marks.append(time.process_time())
        checked = check_rig(resolved, catalogue); marks.append(time.process_time())
    assert checked.verdict.value == "go", [finding.message for finding in checked.findings][:3]
    return checked, [b - a for a, b in zip(marks, marks[1:])]

checked, stages = once()
slowest = sorted(checked.seconds.items(), key=lambda entry: -entry[1])[:4]
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024, *stages)
print(*(f"{name}:{seconds}" for name, seconds in slowest))
# What comes after the first: the next rig of a folder, the next save under watch.
print(min(sum(once()[1]) for _ in range(3)) if len(sys.argv) > 2 else 0.0)
"""
STAGES = ("read", "schema", "build", "resolve", "rules")
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
start = time.process_time()
yaml.load(text, Loader=yaml.CSafeLoader)
print(time.process_time() - start, 0)
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
from lint.resolve.resolved import resolve_rig
from lint.rig.build import load_rig
from lint.rig.model import Models

models = Models(None)
stage, full, long, large = (resolve_rig(load_rig(Path(name))) for name in sys.argv[1:])

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
    # In that order the cables of 30 m do not reach.
    assert {finding.rule for finding in plan.cured("fewest").findings if plan.is_new(finding)} == {"link-cable-short"}
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
    parser.add_argument("--rigs", type=int, default=1_000, help="rigs of the folder")
    options = parser.parse_args()
    # Users run compiled bytecode; a variable of this shell must not make us measure the compiler.
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    with tempfile.TemporaryDirectory() as folder:
        house = Path(folder) / "demo"
        subprocess.run([*RIGWALK, "demo", "--into", str(house)], check=True, stdout=subprocess.DEVNULL, env=environment)
        _start_up(house, options.runs, environment)
        _sizes(Path(folder), options.runs, options.largest, environment)
        _linters(Path(folder), environment)
        _folder(house, options.rigs, environment)
        _watch(house, environment)
        _house_rules(Path(folder), options.runs, environment)
        _plans(Path(folder), environment)


def _spent(command: list[str], environment: dict[str, str], passes: tuple[int, ...] = (0,)) -> float:
    """Run a command to its end and return the processor time that it took, in seconds."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert done.returncode in passes, command
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def _interleaved(commands: dict[str, list[str]], runs: int, environment: dict[str, str]) -> dict[str, float]:
    """Return the least processor time of each: a slow moment of the machine falls on all of them."""
    times: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(runs + 1):
        for name, command in commands.items():
            times[name].append(_spent(command, environment, (0, 1)))
    return {name: min(rows[1:]) for name, rows in times.items()}


def _start_up(house: Path, runs: int, environment: dict[str, str]) -> None:
    commands = {
        f'python -c "{FOUR}"': [sys.executable, "-c", FOUR],
        "rigwalk check of the demo week": [*RIGWALK, "check", str(house / "rigs" / "clean-week.yaml")],
        "a bare typer program, --help": [sys.executable, "-c", BARE, "--help"],
        "rigwalk --help": [*RIGWALK, "--help"],
    }
    best = _interleaved(commands, runs, environment)
    print(f"cold start, processor time, best of {runs} in turn; each pair as a ratio")
    for index, (name, seconds) in enumerate(best.items()):
        base = list(best.values())[index // 2 * 2]
        print(f"  {name:55} {seconds * 1000:7.1f} ms  {seconds / base:5.2f} ×")


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
    print("whole check, in process, against PyYAML's C parse of the same file (yaml.load, CSafeLoader); processor time")
    previous: tuple[int, float, float] | None = None
    for sources in (size for size in (100, 1_000, 10_000, 50_000) if size <= largest):
        path = folder / f"rig-{sources}.yaml"
        path.write_text(big_rig(sources), encoding="utf-8")
        few = max(3, runs // 3) if sources >= 10_000 else runs
        parse, checks = [], []
        for _ in range(few):
            parse.append(_once(C_PARSE, path, environment)[0])
            checks.append(_staged(path, environment, again=sources <= 1_000))
        one, later = min(parse), min(row[3] for row in checks)
        stages, peak, slowest, _ = min(checks, key=lambda row: sum(row[0]))
        whole = sum(stages)
        line = f"  {sources:6,} sources  {path.stat().st_size / 1e6:5.2f} MB  parse {one:6.3f} s  check {whole:6.3f} s"
        line += f"  {whole / one:5.2f} ×  {peak / sources / 1024:5.1f} KiB a source"
        line += f"  again in the same process {later / one:.2f} ×" if later else ""
        if previous is not None:
            line += f"  {sources // previous[0]} × the rig: {whole / previous[1]:.1f} × the time"
            line += f", {peak / max(previous[2], 1):.1f} × the memory"
        print(line)
        shares = ", ".join(f"{name} {part / whole:.0%}" for name, part in zip(STAGES, stages, strict=True))
        print(f"          {shares}; slowest: {slowest}")
        previous = (sources, whole, peak)


def _staged(path: Path, environment: dict[str, str], again: bool) -> tuple[list[float], float, str, float]:
    """Return the seconds of each stage, the memory, the slowest rules, and the seconds of a later check (0: not tried)."""
    run = [sys.executable, "-c", WHOLE_CHECK, str(path), *(["again"] if again else [])]
    done = subprocess.run(run, check=True, capture_output=True, text=True, env=environment)
    first, second, later = done.stdout.splitlines()
    peak, *stages = map(float, first.split())
    rules = (entry.split(":") for entry in second.split())
    slowest = ", ".join(f"{name} {float(seconds) / sum(stages):.0%}" for name, seconds in rules)
    return stages, peak, slowest, float(later)


def _linters(folder: Path, environment: dict[str, str]) -> None:
    """General-purpose linters of YAML on the same files, where they are installed: they do other work, not less."""
    schema = Path(__file__).parents[1] / "schemas" / "rig.schema.json"
    programs = {
        "yamllint": ["yamllint", "-d", "relaxed"],
        "check-jsonschema": ["check-jsonschema", "--schemafile", str(schema)],
        "cfn-lint": ["cfn-lint", "--non-zero-exit-code", "none"],
    }
    print("the whole process beside general-purpose linters of YAML, processor time, best of 2 in turn")
    here = Path(sys.executable).parent
    for sources in (400, 4_000):
        path = folder / f"linted-{sources}.yaml"
        path.write_text(big_rig(sources), encoding="utf-8")
        commands = {"rigwalk check": [*RIGWALK, "check", str(path)]}
        commands |= {
            name: [str(here / run[0]), *run[1:], str(path)]
            for name, run in programs.items()
            if (here / run[0]).exists()
        }
        best = _interleaved(commands, 2, environment)
        print(f"  {path.stat().st_size / 1e6:4.2f} MB")
        for name, seconds in best.items():
            print(f"    {name:20} {seconds:7.2f} s  {seconds / best['rigwalk check']:6.2f} ×")
    for name in sorted(set(programs) - set(commands)):
        print(f"  {name} is not installed here, so nothing is said of it (pip install {name})")


def _folder(house: Path, rigs: int, environment: dict[str, str]) -> None:
    """A folder of demo weeks by all cores and by one, in turn: wall time, for the cores are what is measured."""
    text = (house / "rigs" / "clean-week.yaml").read_text(encoding="utf-8")
    many = house.parent / "many"
    shutil.copytree(house, many)
    for path in (many / "rigs").iterdir():
        path.unlink()
    for number in range(rigs):
        (many / "rigs" / f"week-{number}.yaml").write_text(text, encoding="utf-8")
    every = os.sched_getaffinity(0)
    times: dict[int, list[float]] = {len(every): [], 1: []}
    for _ in range(2):
        for cores, spent in times.items():
            os.sched_setaffinity(0, every if cores > 1 else {min(every)})
            start = time.perf_counter()
            subprocess.run([*RIGWALK, "check", str(many)], check=True, stdout=subprocess.DEVNULL, env=environment)
            spent.append(time.perf_counter() - start)
    os.sched_setaffinity(0, every)
    all_s, one_s = (min(rows) for rows in times.values())
    print(
        f"a folder of {rigs:,} demo weeks: {len(every)} cores {all_s:.1f} s, one {one_s:.1f} s, {one_s / all_s:.2f} ×; "
        f"{rigs / all_s * 3600:,.0f} rigs an hour"
    )


def _watch(house: Path, environment: dict[str, str]) -> None:
    """From a save to the verdict, at a pipe: the best and the middle of twenty."""
    path = house / "rigs" / "clean-week.yaml"
    text = path.read_text(encoding="utf-8")
    run = [*RIGWALK, "check", str(path), "--watch"]
    waits = []
    with subprocess.Popen(run, stdout=subprocess.PIPE, text=True, env=environment) as child:
        assert child.stdout is not None
        for number in range(21):
            start = time.perf_counter()
            if number:
                path.write_text(f"{text}# save {number}\n", encoding="utf-8")
            while not child.stdout.readline().startswith("Watching"):
                pass
            waits.append(time.perf_counter() - start)
            time.sleep(0.013 * (number % 5))  # at no fixed moment of its looking
        child.send_signal(signal.SIGINT)
    waits = waits[1:]
    print(
        f"check --watch, from the save to the verdict: {min(waits) * 1000:.0f} ms at best, {statistics.median(waits) * 1000:.0f} in the middle"
    )


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
