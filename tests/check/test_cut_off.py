"""A file that was not saved whole is never a go: what is plugged in is not heard."""

from __future__ import annotations

from pathlib import Path

import pytest

import lint
from lint.check.engine import check_file
from lint.check.finding import Verdict

DEMO = Path(lint.__file__).parent / "demo"
ALONE = """\
rig_format: 1
devices: {desk: {model: console-16}}
mixes: {house: {kind: house, width: stereo, takes: {channels: [1-16]}}}
feeds: {desk/out: {7-8: house}}
destinations:
  left:  {kind: house-loudspeaker, plugged_into: desk/out/7, expects: house.left}
  right: {kind: house-loudspeaker, plugged_into: desk/out/8, expects: house.right}
sources:
"""


def cut(path: Path, lines: int) -> Path:
    """Write eight microphones on eight channels, of which the last lines are missing."""
    sources = [f"  mic-{n}: {{kind: dynamic-microphone, plugged_into: desk/in/{n}}}\n" for n in range(1, 9)]
    channels = [f"  {n}: {{carries: mic-{n}, patched_from: desk/in/{n}}}\n" for n in range(1, 9)]
    rows = [*sources, "channels:\n", *channels]
    path.write_text(ALONE + "".join(rows[:lines]))
    return path


# After “channels:” itself nothing stands, which is refused.
@pytest.mark.parametrize("lines", [*range(1, 9), *range(10, 14)])
def test_a_rig_cut_off_before_half_of_its_channels_is_no_go(lines: int, tmp_path: Path) -> None:
    checked = check_file(cut(tmp_path / "rig.yaml", lines))
    assert checked.verdict is Verdict.NO_GO
    (finding,) = checked.findings
    assert finding.rule == "source-unheard"
    assert "was saved whole" in finding.cures[-1].text


@pytest.mark.parametrize(("lines", "verdict"), [(14, Verdict.GO_WITH_CAUTIONS), (17, Verdict.GO)])
def test_a_microphone_too_many_is_a_caution(lines: int, verdict: Verdict, tmp_path: Path) -> None:
    assert check_file(cut(tmp_path / "rig.yaml", lines)).verdict is verdict


def test_a_week_of_a_house_that_ends_before_its_channels_is_no_go(tmp_path: Path) -> None:
    (tmp_path / "house.yaml").write_bytes((DEMO / "house.yaml").read_bytes())
    week = (DEMO / "rigs" / "clean-week.yaml").read_text().replace("../house.yaml", "house.yaml")
    (tmp_path / "week.yaml").write_text(week.partition("\nchannels:")[0] + "\n")
    checked = check_file(tmp_path / "week.yaml")
    assert checked.verdict is Verdict.NO_GO
    assert "28 of 36 sources that are plugged in are heard nowhere" in checked.findings[0].message
