"""The end of a command's own help: how it is called, in the folder of the demo house."""

from __future__ import annotations

from collections.abc import Iterable


def in_examples(examples: Iterable[str]) -> str:
    """Return the examples as a paragraph that the help does not fill."""
    return "\b\nExamples, in the folder of the demo house:\n" + "\n".join(
        f"  rigwalk {example}" for example in examples
    )
