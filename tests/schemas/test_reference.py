"""The reference in schemas/README.md, held against the schemas: every example is built, every key is in its table."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from closed import closed
from jsonschema import Draft202012Validator

from lint.check.catalogue import Catalogue, load_catalogue
from lint.check.engine import check_file
from lint.check.example import BASE, check_example
from lint.check.finding import Verdict
from lint.read.document import Document
from lint.read.load import load_map
from lint.read.parse import parse
from lint.read.schema import require_valid, schema
from lint.report.json_report import check_json, rig_json
from lint.rig.model import Models, bundled_names
from lint.rig.rig import LINE_KINDS, PHANTOM_KINDS
from lint.walk.kinds import EVERY_KIND
from lint.walk.rig_fields import RIG_FIELDS
from lint.walk.template import build_template, bundled_checklists, load_template

ROOT = Path(__file__).parents[2]
README = (ROOT / "schemas" / "README.md").read_text(encoding="utf-8")
# Those that describe themselves: the page names them, `rigwalk schema` prints them.
OTHER_REPORTS = (
    "whatif-report",
    "spares-report",
    "hunt-report",
    "trace-report",
    "history-report",
    "rules-report",
    "models-report",
)
SCHEMAS = (
    "rig",
    "model",
    "checklist",
    "check-report",
    "handover-report",
    *OTHER_REPORTS,
)
MODELS = sorted((ROOT / "lint" / "models").glob("*.yaml"))
CHECKLISTS = sorted((ROOT / "checklists").glob("*.yaml"))


def _fenced(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def _marked(marker: str) -> list[str]:
    """The yaml blocks whose first line is the comment `# marker`."""
    return [block for block in _fenced("yaml") if re.match(rf"# {marker}$", block, re.MULTILINE)]


def _files() -> dict[str, str]:
    """The blocks marked `# file: PATH`, which belong together."""
    found = (re.match(r"# file: (\S+)\n", block) for block in _fenced("yaml"))
    return {match[1]: match.string for match in found if match}


def _parts(text: str, level: int) -> dict[str, str]:
    """Split by headings of one level: what stands below each, up to the next of any level at or above it."""
    pieces = re.split(rf"^(#{{2,{level}}}) (.+)$", text, flags=re.MULTILINE)
    return {pieces[index + 1]: pieces[index + 2] for index in range(1, len(pieces), 3)}


def _rows(section: str) -> list[list[str]]:
    """The cells of the table rows of a section, without heads and rules."""
    lines = [line for line in section.splitlines() if line.startswith("|")]
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return [row for row in rows if row[0] not in ("key", "field", "written", "kind", "file") and row[0].strip("-")]


def _first(row: list[str]) -> str:
    match = re.search(r"`([^`]+)`", row[0])
    return match[1] if match else ""


SECTIONS = _parts(README, 3)


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_catalogue()


# -- the schemas themselves ------------------------------------------------------------------------------------


def _subschemas(part: Any, trail: str = "#") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every map inside a schema that is a schema itself, with its JSON Pointer."""
    if isinstance(part, list):
        for index, entry in enumerate(part):
            yield from _subschemas(entry, f"{trail}/{index}")
    elif isinstance(part, dict):
        yield trail, part
        for key, value in part.items():
            if key in ("properties", "patternProperties", "$defs"):
                for name, entry in value.items():
                    yield from _subschemas(entry, f"{trail}/{key}/{name}")
            elif isinstance(value, dict | list) and key not in ("enum", "required", "const", "type"):
                yield from _subschemas(value, f"{trail}/{key}")


def _declared(name: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every subschema that is a statement of its own, not the condition of an `if` or what follows from it."""
    for trail, part in _subschemas(schema(name)):
        if not re.search(r"/(if|then)(/|$)", trail):
            yield trail, part


@pytest.mark.parametrize("name", SCHEMAS)
def test_a_schema_is_valid_by_its_metaschema(name: str) -> None:
    assert schema(name)["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema(name))


@pytest.mark.parametrize("name", SCHEMAS)
def test_a_schema_of_what_people_write_is_closed_and_one_of_a_report_is_open(name: str) -> None:
    """A slip of the pen is told; a program that keeps the schema of a report takes the keys that are added later."""
    owners = [(trail, part) for trail, part in _declared(name) if "properties" in part or "patternProperties" in part]
    assert len(owners) > 3
    is_closed = {part.get("additionalProperties") is False for _, part in owners}
    assert is_closed == {not name.endswith("-report")}


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_property_has_a_description(name: str) -> None:
    whole = schema(name)

    def described(part: dict[str, Any]) -> bool:
        named = whole["$defs"].get(part.get("$ref", "").removeprefix("#/$defs/"), {})
        return bool(part.get("description") or named.get("description"))

    properties = [
        (f"{trail}/{key}", entry)
        for trail, part in _declared(name)
        for key, entry in part.get("properties", {}).items()
    ]
    assert len(properties) > 10
    assert [trail for trail, entry in properties if not described(entry)] == []


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_reference_names_a_definition_and_every_definition_is_used(name: str) -> None:
    whole = schema(name)
    used = {part["$ref"].removeprefix("#/$defs/") for _, part in _subschemas(whole) if "$ref" in part}
    assert used <= {*whole["$defs"], "#"}  # "#": a report within the report
    assert set(whole["$defs"]) - used == set()


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_a_bundled_model_fits_its_schema_and_is_built(path: Path, tmp_path: Path) -> None:
    require_valid(load_map(path), "model")
    # As a house's own file it is also held against what no schema can say.
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / path.name).write_text(path.read_text(encoding="utf-8"), encoding="utf-8")
    model = Models(tmp_path).get(path.stem)
    assert model is not None
    assert model.title != path.stem
    assert model == Models(None).get(path.stem)


def test_all_bundled_models_were_looked_at() -> None:
    assert tuple(path.stem for path in MODELS) == bundled_names() != ()


@pytest.mark.parametrize("path", CHECKLISTS, ids=lambda path: path.stem)
def test_a_bundled_checklist_fits_its_schema_and_is_built(path: Path) -> None:
    require_valid(load_map(path), "checklist")
    assert load_template(path.stem, None).phases


def test_all_bundled_checklists_were_looked_at() -> None:
    assert tuple(path.stem for path in CHECKLISTS) == bundled_checklists() != ()


# -- the examples ----------------------------------------------------------------------------------------------


def test_every_yaml_block_is_of_a_known_kind() -> None:
    kinds = [block.splitlines()[0] for block in _fenced("yaml")]
    known = re.compile(r"# (base|rig|model|checklist|extension|report|file: \S+)$")
    assert [kind for kind in kinds if not known.match(kind)] == []
    assert len(kinds) > 15


def test_the_base_rig_is_the_one_that_the_examples_are_merged_onto() -> None:
    (base,) = _marked("base")
    assert base == "# base\n" + BASE


@pytest.mark.parametrize("fragment", _marked("rig"))
def test_a_rig_example_fits_the_schema_and_is_no_no_go(fragment: str, catalogue: Catalogue) -> None:
    checked = check_example(fragment, catalogue)
    told = [finding.message for finding in checked.findings if finding.rule != "phantom-while-patching"]
    standing = [
        finding.message for finding in checked.findings if finding.weight.value != "note" and not finding.waived
    ]
    assert checked.verdict is not Verdict.NO_GO, told
    # An example that raises a caution would teach a bad habit; phantom power that is in use always raises one.
    assert len(standing) <= 1, told


def test_the_waiver_example_waives(catalogue: Catalogue) -> None:
    (fragment,) = [block for block in _marked("rig") if "waivers:" in block]
    findings = check_example(fragment, catalogue).findings
    assert [finding.rule for finding in findings if finding.waived] == ["source-unheard"]
    assert not [finding for finding in findings if finding.rule.startswith("waiver-")]


def test_the_files_that_extend_each_other_merge_as_told(tmp_path: Path, catalogue: Catalogue) -> None:
    written = _files()
    assert set(written) == {"house.yaml", "rigs/sunday.yaml"}
    for name, text in written.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    checked = check_file(tmp_path / "rigs" / "sunday.yaml", catalogue)
    rig = checked.resolved.rig
    assert set(rig.sources) == {"lectern", "solo"}
    assert {number for _, number in rig.channels} == {1, 3}
    box = rig.devices["west-box"]
    assert (box.location, box.model.name, box.output_bank) == ("gallery", "stage-box-16x8", "1-8")
    assert checked.verdict is not Verdict.NO_GO
    assert not rig.idle_removals


@pytest.mark.parametrize("text", _marked("model"))
def test_a_model_example_is_read_as_a_house_reads_it(text: str, tmp_path: Path) -> None:
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "own.yaml").write_text(text, encoding="utf-8")
    model = Models(tmp_path).get("own")
    assert model is not None
    assert model.ports


@pytest.mark.parametrize("text", _marked("extension"))
def test_an_extension_of_a_checklist_is_read_as_a_house_reads_it(tmp_path: Path, text: str) -> None:
    (tmp_path / "checklists").mkdir()
    (tmp_path / "checklists" / "ours.yaml").write_text(text, encoding="utf-8")
    ids = [item.id for item in load_template("ours", tmp_path).phases[0].items]
    assert ids == [
        "mains-leads", "residual-current-device", "hung-and-stacked", "faders-before-power", "heating",
        "loads-and-reels", "walkways", "power-on",
    ]  # fmt: skip


@pytest.mark.parametrize("text", _marked("checklist"))
def test_a_checklist_example_is_read_as_a_house_reads_it(text: str) -> None:
    data, marks = parse(text, "own.yaml")
    assert isinstance(data, dict)
    template = build_template("own", Document(data, marks, ("own.yaml",), ()))
    assert [item.id for phase in template.phases for item in phase.items] == ["earths", "banks", "house-noise"]


def test_the_report_example_is_what_is_printed(catalogue: Catalogue) -> None:
    (fragment,) = _marked("report")
    (shown,) = _fenced("json")
    assert shown == check_json([rig_json(check_example(fragment, catalogue))], []) + "\n"
    Draft202012Validator(closed("check-report")).validate(json.loads(shown))


# -- the tables ------------------------------------------------------------------------------------------------

_RIG = schema("rig")
_MODEL = schema("model")
_CHECKLIST = schema("checklist")
_REPORT = schema("check-report")
_HANDOVER = schema("handover-report")
_RIG_DEFS, _MODEL_DEFS, _CHECKLIST_DEFS, _REPORT_DEFS = (
    whole["$defs"] for whole in (_RIG, _MODEL, _CHECKLIST, _REPORT)
)
_PAIR = next(iter(_RIG["properties"]["pairs"]["patternProperties"].values()))
# Which objects of the schemas each section of the page has in its tables.


def _one(section: dict[str, Any]) -> dict[str, Any]:
    """Return what a map of names holds under each name."""
    (entry,) = section["patternProperties"].values()
    return entry


_AMPLIFIER = _one(_RIG["properties"]["amplifiers"])
_OUTPUT = _one(_AMPLIFIER["properties"]["outputs"])
TABLES: dict[str, tuple[dict[str, Any], ...]] = {
    "Sections": (_RIG,),
    "Event": (_RIG["properties"]["event"],),
    "Clock": (_RIG["properties"]["clock"],),
    "Devices": (_RIG_DEFS["device"],),
    "Cables": (_RIG_DEFS["cable"],),
    "Sources": (_RIG_DEFS["source"],),
    "Pairs": (_PAIR,),
    "Channels": (_RIG_DEFS["channel"],),
    "Mixes": (_RIG_DEFS["mix"], _RIG_DEFS["mix"]["properties"]["takes"], _RIG_DEFS["send"]),
    "Effects": (_RIG_DEFS["effects"],),
    "Feeds": (_RIG_DEFS["feed"]["else"],),
    "Destinations": (_RIG_DEFS["destination"],),
    "Consoles": (_RIG_DEFS["console_parts"],),
    "Splits": (_RIG_DEFS["split"],),
    "Power": (
        _RIG["properties"]["power"],
        _RIG_DEFS["circuit"],
        _one(_RIG_DEFS["circuit"]["properties"]["loads"]),
        _RIG_DEFS["circuit"]["properties"]["run"],
    ),
    "Amplifiers": (_AMPLIFIER, _OUTPUT, _OUTPUT["properties"]["loudspeakers"]["items"]),
    "Acoustics": (_RIG["properties"]["acoustics"],),
    "Wireless": (_RIG["properties"]["wireless"],),
    "Sound levels": (_RIG["properties"]["sound_levels"], _RIG_DEFS["exposure"]),
    "Remote control": (_one(_RIG["properties"]["remote_control"]),),
    "Console memory": (_one(_RIG["properties"]["console_memory"]),),
    "Gear": (_one(_RIG["properties"]["gear"]),),
    "Crew": (_RIG["properties"]["crew"],),
    "Rules": (_RIG_DEFS["rule_setting"],),
    "Waivers": (_RIG_DEFS["waiver"],),
    "Model": (_MODEL,),
    "Model sockets": (_MODEL_DEFS["sockets"],),
    "Model link": (_MODEL_DEFS["link"],),
    "Checklist": (_CHECKLIST,),
    "Checklist phase": (_CHECKLIST_DEFS["phase"],),
    "Checklist item": (_CHECKLIST_DEFS["item"],),
    "Checklist safety": (_CHECKLIST_DEFS["safety"],),
    "Checklist measure": (_CHECKLIST_DEFS["measure"],),
    "Report": (_REPORT,),
    "Report rig": (_REPORT_DEFS["rig"],),
    "Report rule": (_REPORT_DEFS["rule"],),
    "Report unchecked": (_REPORT_DEFS["rig"]["properties"]["unchecked"]["items"],),
    "Report switched off": (_REPORT_DEFS["rig"]["properties"]["switched_off"]["items"],),
    "Report set lower": (_REPORT_DEFS["rig"]["properties"]["set_lower"]["items"],),
    "Report finding": (_REPORT_DEFS["finding"],),
    "Report place": (_REPORT_DEFS["place"],),
    "Report waived": (_REPORT_DEFS["finding"]["properties"]["waived"],),
    "Report unreadable": (_REPORT_DEFS["unreadable"],),
    "Handover": (_HANDOVER,),
    "Handover event": (_HANDOVER["properties"]["event"],),
    **{f"Handover {name}": (part,) for name, part in _HANDOVER["$defs"].items()},
}


@pytest.mark.parametrize("title", TABLES)
def test_a_table_has_every_key_of_its_schema_and_no_other(title: str) -> None:
    wanted = {key for part in TABLES[title] for key in part["properties"]}
    found = [_first(row) for row in _rows(SECTIONS[title])]
    if title == "Sources":  # the second table there is of the kinds
        found = [key for key in found if key not in _RIG_DEFS["source"]["properties"]["kind"]["enum"]]
    if title == "Sections":
        assert "`extends`" in SECTIONS[title]
    assert sorted(found) == sorted(wanted)


# In the other sections it is said in words: all of a report is there, and in a split it goes by its kind.
_SAYS_MUST = [
    title for title in TABLES if title not in ("Sections", "Splits") and not title.startswith(("Report", "Handover"))
]


@pytest.mark.parametrize("title", _SAYS_MUST)
def test_a_table_says_what_must_be_there(title: str) -> None:
    wanted = {key for part in TABLES[title] for key in part.get("required", ())}
    said = {_first(row) for row in _rows(SECTIONS[title]) if "(must be there)" in row[0]}
    assert said == wanted


@pytest.mark.parametrize("title", TABLES)
def test_a_section_names_every_value_that_can_be_chosen(title: str) -> None:
    parts = [entry for part in TABLES[title] for entry in part["properties"].values()]
    parts += [_RIG_DEFS["on_off"]] if title == "Channels" else []
    values = {value for entry in parts for value in entry.get("enum", ())}
    assert {value for value in values if f"`{value}`" not in SECTIONS[title]} == set()


def test_every_property_of_every_schema_is_on_the_page() -> None:
    covered = {id(part) for parts in TABLES.values() for part in parts}
    for name in (name for name in SCHEMAS if name not in OTHER_REPORTS):
        for trail, part in _declared(name):
            if "properties" in part and id(part) not in covered:
                missing = {key for key in part["properties"] if f"`{key}`" not in README}
                assert missing == set(), trail


def test_the_kinds_that_need_phantom_power_are_those_of_the_program() -> None:
    said: dict[str, str] = {}
    for row in _rows(SECTIONS["Sources"]):
        for kind in re.findall(r"`([^`]+)`", row[0]):
            said[kind] = row[1]
    kinds = _RIG_DEFS["source"]["properties"]["kind"]["enum"]
    assert {kind for kind in kinds if said[kind].startswith("phantom")} == PHANTOM_KINDS
    assert {kind for kind in kinds if "line level" in said[kind]} == LINE_KINDS


def test_the_fields_of_the_rows_are_those_of_the_program() -> None:
    pieces = re.split(r"^\*\*`(\w+)`\*\*", SECTIONS["Fields of the rows"], flags=re.MULTILINE)
    tables = {
        word: {_first(row): row[1] for row in _rows(text)}
        for word, text in zip(pieces[1::2], pieces[2::2], strict=True)
    }
    wanted = {"rig": RIG_FIELDS, **{kind.word: kind.fields for kind in EVERY_KIND.values()}}
    assert {word: set(table) for word, table in tables.items()} == {
        word: set(fields) for word, fields in wanted.items()
    }
    for word, fields in wanted.items():
        for name, field in fields.items():
            assert tables[word][name].startswith(field.meaning)


def test_every_link_on_the_page_leads_somewhere() -> None:
    prose = re.sub(r"^```.*?^```$", "", README, flags=re.MULTILINE | re.DOTALL)
    titles = re.findall(r"^#+ (.+)$", prose, re.MULTILINE)
    anchors = {title.lower().replace(" ", "-") for title in titles}
    assert len(anchors) == len(titles)
    links = re.findall(r"\]\(([^)]+)\)", README)
    assert [link for link in links if link.startswith("#") and link[1:] not in anchors] == []
    assert [link for link in links if not link.startswith("#") and not (ROOT / "schemas" / link).exists()] == []
