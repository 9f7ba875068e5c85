"""What the package names at its top, which programs and rules may hold on to."""

import pickle
import shutil
import subprocess
import sys
from pathlib import Path

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


def test_what_can_not_be_read_is_told_by_a_process_of_a_pool_too(tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text("rig_format: 1\ndevices: {desk: {modle: console-32}}\n", encoding="utf-8")
    with pytest.raises(lint.CannotReadError) as caught:
        lint.check_file(tmp_path / "rig.yaml")
    copied = pickle.loads(pickle.dumps(caught.value))
    assert (copied.problems, str(copied)) == (caught.value.problems, str(caught.value))


def test_a_catalogue_with_the_rules_of_a_house_serves_its_other_rigs(tmp_path: Path) -> None:
    house = tmp_path / "hall"
    shutil.copytree(Path(str(lint.__file__)).parent / "demo", house)
    first = lint.check_file(house / "rigs" / "clean-week.yaml")
    again = lint.check_file(house / "rigs" / "faulty-week.yaml", first.catalogue)
    assert again.catalogue.failures == ()
    assert again.findings == lint.check_file(house / "rigs" / "faulty-week.yaml").findings
