"""What has no mains says so in its row of a walk: a box, what is behind it, a loudspeaker, the circuit itself."""

from __future__ import annotations

from pathlib import Path

from lint.check.engine import check_file
from lint.walk.kinds import rows_of

DEMO = Path(__file__).parents[2] / "lint" / "demo"


def titles(tmp_path: Path, kind: str, week: str) -> dict[str, str]:
    import shutil

    shutil.copytree(DEMO, tmp_path / "hall", dirs_exist_ok=True)
    file = tmp_path / "hall" / "rigs" / "dark.yaml"
    file.write_text(f"rig_format: 1\nextends: clean-week.yaml\n{week}", encoding="utf-8")
    return {row.key: str(row.fields["title"]) for row, _ in rows_of(kind, check_file(file))}


GALLERY = "power: {circuits: {gallery: {dark: true}}}\n"


def test_a_box_its_sources_and_its_circuit_say_that_they_are_dark(tmp_path: Path) -> None:
    boxes = titles(tmp_path, "boxes", GALLERY)
    assert boxes["loft-box"] == "loft-box (choir gallery) [loft-box has no mains: its circuit gallery is dark]"
    assert boxes["east-box"] == "east-box (stage right)"
    assert titles(tmp_path, "sources", GALLERY)["soprano"].endswith(
        "[loft-box has no mains: its circuit gallery is dark]"
    )
    assert titles(tmp_path, "sources", GALLERY)["kick"] == "kick"
    assert titles(tmp_path, "circuits", GALLERY)["gallery"].endswith("[the circuit gallery is dark]")


def test_a_box_with_a_dead_socket_and_what_is_plugged_in_there_say_so(tmp_path: Path) -> None:
    week = "dead: {loft-box/in/1: crackles, loft-box/in/8: no signal}\n"
    assert titles(tmp_path, "boxes", week)["loft-box"].endswith(
        " [loft-box/in/1 is dead (crackles); loft-box/in/8 is dead (no signal)]"
    )
    sources = titles(tmp_path, "sources", week)
    assert sources["soprano"].endswith("[loft-box/in/1 is dead (crackles)]")
    assert not any("dead" in title for name, title in sources.items() if name != "soprano")


def test_a_loudspeaker_on_a_dark_circuit_says_so_and_without_one_nothing_is_said(tmp_path: Path) -> None:
    week = "destinations: {house-left: {circuit: porch}}\npower: {circuits: {porch: {volts: 230, dark: true}}}\n"
    rows = titles(tmp_path, "loudspeakers", week)
    assert "[house-left has no mains: its circuit porch is dark]" in rows["house-left"]
    assert not any("mains" in title for title in titles(tmp_path, "loudspeakers", "").values())
