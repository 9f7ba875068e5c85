"""What the package names at its top, which programs and rules may hold on to."""

import subprocess
import sys

import pytest

import lint

EVERY_WAY = """
import lint
for name in {names!r}:
    getattr(lint, name)
from lint import *
assert {{name: globals()[name] for name in lint.__all__}} == {{name: getattr(lint, name) for name in lint.__all__}}
print(*(name for name in lint.__all__ if type(globals()[name]).__name__ == "module"))
"""


@pytest.mark.parametrize("names", [lint.__all__, lint.__all__[::-1], ["check_file"], ["ResolvedRig", "resolve_rig"]])
def test_a_name_is_the_same_thing_in_whatever_order_they_are_asked_for(names: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-c", EVERY_WAY.format(names=names)], capture_output=True, text=True, check=True
    )
    assert not done.stdout.strip()


def test_help_shows_every_name() -> None:
    done = subprocess.run([sys.executable, "-c", "import lint; help(lint)"], capture_output=True, text=True, check=True)
    assert [name for name in lint.__all__ if f"{name}(" not in done.stdout and f" {name}" not in done.stdout] == []
    assert set(lint.__all__) <= set(dir(lint))
