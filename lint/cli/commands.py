"""The commands by name: a line of the list, and examples for the end of their own help, in the demo house's folder."""

from __future__ import annotations

from collections.abc import Iterable

# In the order in which help lists them; each stands in the module of its name.
COMMANDS: dict[str, tuple[str, ...]] = {
    "demo": ("Copy the demo house and check its two weeks.", "demo", "demo --into my-house"),
    "new": (
        "Write a new rig file: asked, from an input list, or next week's.",
        "new rigs/sunday.yaml",
        "new rigs/sunday.yaml --from-inputs inputs.csv",
        "new rigs/next.yaml --from rigs/clean-week.yaml --date 2026-12-06",
    ),
    "check": (
        "Check rig files: what is plugged, patched and meant to be heard.",
        "check rigs/clean-week.yaml",
        "check rigs --format json",
        "check rigs/clean-week.yaml --watch",
    ),
    "trace": (
        "Follow one signal end to end, and say where and why it stops.",
        "trace rigs/faulty-week.yaml lead-vocal",
        "trace rigs/faulty-week.yaml 12",
        "trace rigs/faulty-week.yaml west-box/in/3 --downstream",
    ),
    "whatif": (
        "Say what a change or a loss does to everything, and mend it.",
        "whatif rigs/clean-week.yaml order east-box west-box loft-box",
        "whatif rigs/clean-week.yaml lose east-box",
    ),
    "spares": (
        "Say which sources are lost with a box, and the best rescue.",
        "spares rigs/clean-week.yaml east-box",
        "spares rigs/clean-week.yaml west-box --write rigs/rescued.yaml",
    ),
    "hunt": (
        "Find a fault step by step: where to look and what to see.",
        "hunt rigs/clean-week.yaml lead-vocal dead",
        "hunt rigs/clean-week.yaml 12 noise",
    ),
    "walk": (
        "Walk the checklist with the crew, and sign a go or a no-go.",
        "walk rigs/clean-week.yaml",
        "walk rigs/clean-week.yaml --checklist short-walk --by Sam",
    ),
    "history": ("List or show a house's walks, and check their seals.", "history", "history rigs/clean-week.yaml"),
    "handover": (
        "Tell next week's crew what changed, what is open, what failed.",
        "handover rigs/clean-week.yaml",
        "handover rigs/faulty-week.yaml --since rigs/clean-week.yaml",
        "handover rigs/clean-week.yaml --format html --into handover.html",
    ),
    "sheet": (
        "Print the sheets: boxes, console, monitors, circuits, labels.",
        "sheet rigs/clean-week.yaml --only boxes",
        "sheet rigs/clean-week.yaml --format html --into sheets.html",
    ),
    "picture": (
        "Draw the rig as SVG, with the findings where they are.",
        "picture rigs/faulty-week.yaml chain --into chain.svg",
        "picture rigs/faulty-week.yaml lead-vocal --into lead-vocal.svg",
    ),
    "rules": ("List the rules, explain one, or write your own.",),
    "models": ("List the equipment models that a rig may use.", "models"),
    "schema": (
        "Print the JSON Schema of rig files, for editors, or the page.",
        "schema --into rig.schema.json",
        "schema --page",
        "schema house-rule --page",
    ),
}


def in_examples(examples: Iterable[str]) -> str:
    """Return the examples as a paragraph that the help does not fill."""
    return "\b\nExamples, in the folder of the demo house:\n" + "\n".join(
        f"  rigwalk {example}" for example in examples
    )
