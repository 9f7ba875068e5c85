"""Equipment models: the bundled ones, and what a house writes itself."""

from __future__ import annotations

from pathlib import Path

import pytest
from rigs import BASE, problems, rig

from lint.read.load import load_map
from lint.read.schema import require_valid
from lint.rig.model import BUNDLED, Models, _require_sense, bundled_names


def house(folder: Path, text: str) -> Path:
    (folder / "models").mkdir(exist_ok=True)
    (folder / "models" / "own-box.yaml").write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize("name", bundled_names())
def test_every_bundled_model_fits_the_schema_and_makes_sense(name: str) -> None:
    document = load_map(BUNDLED / f"{name}.yaml")
    require_valid(document, "model")
    _require_sense(document)
    model = Models(None).get(name)
    assert model is not None
    assert (model.kind == "console") == bool(model.links) == (model.chain is None)
    assert name.startswith(model.kind)


BOX = "model_format: 1\nkind: stage-box\nchain: {slots: {48000: 48}}\n"
WRONG = [
    ("model_format: 1\nkind: stage-box\n", "models/own-box.yaml:1:1: `chain` is missing"),
    ("model_format: 1\nkind: mixer\n", "models/own-box.yaml:2:7: kind: found 'mixer', expected console, stage-box or other"),
    (BOX + "inputs: {count: -1}", "models/own-box.yaml:4:17: inputs/count: found -1, expected at least 0"),
    (BOX + "inputs: {cuont: 8}", "models/own-box.yaml:4:10: inputs: `cuont` is not known here; did you mean 'count'?"),
    (BOX + "outputs: {count: 8, addressed: by-selector}", "models/own-box.yaml:4:1: outputs: `selector` is missing"),
    (BOX + "inputs: {count: 8, phantom: groups}", "models/own-box.yaml:4:1: inputs: `phantom_group_size` is missing"),
    (
        "model_format: 1\nkind: stage-box\nchain: {slots: {48k: 48}}",
        "models/own-box.yaml:3:17: chain/slots: '48k' can't stand here; expected a sample rate in hertz, such as 48000",
    ),
    ("model_format: 1\nkind: stage-box\nchain: {slots: {}}", "models/own-box.yaml:3:9: chain/slots: found an empty map, expected at least 1 entries"),
    (
        BOX + "outputs: {count: 8, addressed: by-selector, selector: [1-8, 16-9]}",
        "models/own-box.yaml:4:61: found the range 16-9, which runs backwards; expected 9-16",
    ),
    (
        BOX + "outputs: {count: 8, addressed: by-selector, selector: [1-8, 9-12]}",
        "models/own-box.yaml:4:61: the position 9-12 holds 4 slots, but there are 8 sockets",
    ),
    (
        BOX + "links: {link-1: {slots: {48000: 48}}}",
        "models/own-box.yaml:4:1: a box has the ports upstream and downstream of its `chain`; `links` are a console's",
    ),
    (
        "model_format: 1\nkind: console\nchain: {slots: {48000: 48}}",
        "models/own-box.yaml:3:1: a console has `links`; a `chain` is what a stage box passes on",
    ),
    (
        "model_format: 1\nkind: console\nlinks: {in: {slots: {48000: 48}}}",
        "models/own-box.yaml:3:9: a link port can't be called 'in': addresses such as desk/in/1 mean something else",
    ),
    ("- a", "models/own-box.yaml:1:1: the file holds a list or a single value; expected a map such as `rig_format: 1`"),
    ("kind: [", "models/own-box.yaml:1:8: is not readable as YAML here while parsing a flow node: expected node content; "
     "look at the indentation, the colons and the brackets on this line and the one before"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), WRONG, ids=[row[1][:60] for row in WRONG])
def test_a_model_with_a_mistake_is_told_in_its_own_file(tmp_path: Path, text: str, message: str) -> None:
    told = problems(BASE, "devices: {west-box: {model: own-box}}", house(tmp_path, text))
    assert [line.replace(f"{tmp_path}/", "") for line in told] == [message]


def test_a_house_may_write_a_bundled_model_anew(tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "stage-box-8x8.yaml").write_text(BOX + "inputs: {count: 3}", encoding="utf-8")
    assert rig(BASE, house=tmp_path).devices["east-box"].model.inputs.count == 3


def test_what_a_short_model_means(tmp_path: Path) -> None:
    own = rig(BASE, "devices: {new: {model: own-box}}", house(tmp_path, BOX)).devices["new"].model
    assert (own.inputs.count, own.outputs.count, own.title, own.sample_rates_hz) == (0, 0, "own-box", (44100, 48000))
    assert own.ports == ("upstream", "downstream")


def test_phantom_groups_are_counted_from_the_first_socket(tmp_path: Path) -> None:
    text = BOX + "inputs: {count: 10, phantom: groups, phantom_group_size: 4}"
    inputs = rig(BASE, "devices: {new: {model: own-box}}", house(tmp_path, text)).devices["new"].model.inputs
    assert [list(inputs.phantom_group(number)) for number in (1, 4, 5, 10)] == [
        [1, 2, 3, 4],
        [1, 2, 3, 4],
        [5, 6, 7, 8],
        [9, 10],
    ]


def test_an_unknown_model_is_told_with_the_nearest(tmp_path: Path) -> None:
    assert problems(BASE, "devices: {east-box: {model: stage-box-8x}}", house(tmp_path, BOX)) == [
        "week.yaml:1:29: devices/east-box/model: no model is called 'stage-box-8x'; did you mean 'stage-box-8x8'?"
    ]
    assert problems(BASE, "devices: {east-box: {model: owns-box}}", house(tmp_path, BOX)) == [
        "week.yaml:1:29: devices/east-box/model: no model is called 'owns-box'; did you mean 'own-box'?"
    ]
