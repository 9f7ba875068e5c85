"""Pages against the outside: HTML by html5lib in strict mode (WHATWG's parsing algorithm: every parse error raises),
SVG as XML by expat, and contrast by the formulas of WCAG 2.2 (definitions "relative luminance" and "contrast ratio";
success criteria 1.4.3, 4.5 to 1 for text, and 1.4.11, 3 to 1 for lines and marks; 1.4.6 asks 7 to 1), and targets by its
2.5.8, at least 24 by 24 CSS px, and 2.5.5, 44 (second-hand: reference/checklist-design.md 6).
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import html5lib
import pytest

import lint
from lint.check.engine import Checked, check_file
from lint.page.as_html import STYLE, page_html
from lint.page.page import Label, Labels, Line, Page, Picture, Section, Table, Words
from lint.picture import svg
from lint.picture.draw import drawn
from lint.sheet.book import sheet_book

ROOT = Path(__file__).parents[2]
WEEKS = sorted((Path(lint.__file__).parent / "demo" / "rigs").glob("*.yaml")) + sorted(
    ROOT.glob("tests/clean/*/rigs/*.yaml")
)
NASTY = "</title><script>alert(1)</script><img src=x onerror=alert(1)>\"'&amp; ]]> \u202egnp.exe\x1b[2J\x00 --> <!--"
VOID = {"meta"}


@pytest.fixture(scope="module")
def checked() -> dict[str, Checked]:
    return {str(path): check_file(path) for path in WEEKS}


def parsed(text: str) -> ElementTree.Element:
    """Parse by the HTML standard; in strict mode the first parse error raises."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)


def test_every_sheet_of_every_rig_is_html_without_an_error(checked: dict[str, Checked]) -> None:
    assert len(checked) > 12
    for row in checked.values():
        tree = parsed(page_html(sheet_book(row)))
        assert tree.find("head/title").text
        assert tree.attrib["lang"] == "en"


def nasty_page() -> Page:
    blocks = (
        Table(NASTY, (NASTY, "b"), ((NASTY, NASTY), ("", "")), NASTY, tick=True),
        Words(NASTY, (NASTY, "→ " + NASTY)),
        Line(NASTY, ((NASTY, NASTY),), NASTY),
        Picture(NASTY, svg.Drawing("a", 100, NASTY, NASTY).finished(), NASTY),
        Labels(NASTY, (Label(NASTY, NASTY, NASTY),)),
    )
    return Page(NASTY, NASTY, (Section("x", NASTY, blocks), Section("y", NASTY, blocks[:1])), (NASTY,))


def test_whatever_a_name_holds_it_is_text() -> None:
    text = page_html(nasty_page())
    tree = parsed(text)
    names = {element.tag if isinstance(element.tag, str) else "" for element in tree.iter()}
    assert "script" not in names
    assert "img" not in names
    assert not [element for element in tree.iter() if any(key.startswith("on") for key in element.attrib)]
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069]", text)
    assert NASTY.split("</title>")[1][:20] in "".join(tree.itertext())


def test_a_page_needs_nothing_from_elsewhere(checked: dict[str, Checked]) -> None:
    text = page_html(sheet_book(next(iter(checked.values()))))
    tree = parsed(text)
    assert not re.search(r"url\(|@import|https?://(?!www\.w3\.org/2000/svg)", text)
    assert not [element for element in tree.iter() if {"src", "srcset", "data"} & set(element.attrib)]
    links = [element.attrib["href"] for element in tree.iter("a")]
    ids = {element.attrib["id"] for element in tree.iter() if "id" in element.attrib}
    assert links
    assert all(link.startswith("#") and link[1:] in ids for link in links)


def test_a_page_is_built_so_that_a_screen_reader_finds_its_way(checked: dict[str, Checked]) -> None:
    # WCAG 2.2: 1.1.1 text alternatives, 1.3.1 structure, 2.4.1 and 2.4.6 headings, 3.1.1 language, 4.1.1 unique ids.
    tree = parsed(page_html(sheet_book(checked[str(WEEKS[1])])))
    ids = [element.attrib["id"] for element in tree.iter() if "id" in element.attrib]
    assert len(ids) == len(set(ids))
    assert len(list(tree.iter("h1"))) == 1
    levels = [int(element.tag[1]) for element in tree.iter() if element.tag in ("h1", "h2", "h3")]
    assert all(after - before <= 1 for before, after in pairwise(levels))
    pictures = list(tree.iter("{http://www.w3.org/2000/svg}svg"))
    assert len(pictures) == 3
    for picture in pictures:
        assert picture.attrib["role"] == "img"
        assert set(picture.attrib["aria-labelledby"].split()) <= set(ids)
    assert all("scope" in cell.attrib for cell in tree.iter("th"))
    for section in tree.iter("section"):
        assert section.attrib["aria-labelledby"] in ids


@pytest.mark.parametrize("path", WEEKS, ids=lambda path: path.stem)
def test_every_picture_is_well_formed_xml_with_a_title_and_a_description(
    path: Path, checked: dict[str, Checked]
) -> None:
    row = checked[str(path)]
    names = [
        "chain",
        "stage",
        *(console.name for console in row.resolved.rig.consoles),
        *list(row.resolved.rig.sources)[:4],
    ]
    for name in names:
        tree = ElementTree.fromstring(drawn(row, name))
        space = "{http://www.w3.org/2000/svg}"
        assert tree.tag == f"{space}svg"
        assert tree.find(f"{space}title").text
        assert tree.find(f"{space}desc").text
        _, _, width, height = map(float, tree.attrib["viewBox"].split())
        for shape in tree.iter(f"{space}rect"):
            assert float(shape.attrib.get("x", 0)) + float(shape.attrib["width"]) <= width + 0.5, name
            assert float(shape.attrib.get("y", 0)) + float(shape.attrib["height"]) <= height + 0.5, name


def luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    digits = "".join(digit * 2 for digit in digits) if len(digits) == 3 else digits
    parts = [int(digits[index : index + 2], 16) / 255 for index in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_gives_the_ratios_that_wcag_names() -> None:
    assert contrast("#000", "#fff") == 21
    # #767676 on white is the lightest grey that passes 4.5 to 1 (commonly quoted, from memory).
    assert contrast("#767676", "#fff") >= 4.5 > contrast("#777777", "#fff")


def test_text_and_lines_stand_out_from_the_paper() -> None:
    """R23 (reference/checklist-design.md 7): contrast on screen and paper, which are set in the same colours."""
    style = STYLE.read_text(encoding="utf-8")
    named = dict(re.findall(r"--(\w+): (#[0-9a-f]{3,6})", style))
    assert set(named) == {"ink", "soft", "paper", "rule", "band"}
    for colour in ("ink", "soft"):
        for ground in ("paper", "band"):
            assert contrast(named[colour], named[ground]) >= 7
    assert contrast(named["rule"], named["paper"]) >= 3
    links = set(re.findall(r"color: (#[0-9a-f]{3,6})", style))
    assert links
    assert all(contrast(colour, named["paper"]) >= 7 for colour in links)
    for ground in ("#fff", svg.PALE):
        assert contrast(svg.INK, ground) >= 7
        assert contrast(svg.SOFT, ground) >= 7


def test_what_can_be_pressed_is_large_enough_for_a_finger(checked: dict[str, Checked]) -> None:
    """R23: the links of the contents are the only targets of a page, and each is 44 px high and at least 24 wide."""
    style = STYLE.read_text(encoding="utf-8")
    (rule,) = re.findall(r"^nav a \{([^}]*)\}", style, re.MULTILINE)
    sizes = {name: int(size) for name, size in re.findall(r"(min-width|min-height): (\d+)px", rule)}
    assert "display: inline-flex" in rule, "an inline box would take no height"
    assert sizes["min-width"] >= 24 and sizes["min-height"] >= 44
    for row in checked.values():
        tree = parsed(page_html(sheet_book(row)))
        pressed = [
            each for each in tree.iter() if each.tag in ("a", "button", "input", "select", "summary", "textarea")
        ]
        assert pressed and pressed == list(tree.find("body/header/nav").iter("a"))


def test_no_picture_uses_another_colour(checked: dict[str, Checked]) -> None:
    for row in checked.values():
        for name in ("chain", "stage", row.resolved.rig.consoles[0].name):
            colours = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]+)"', drawn(row, name)))
            assert colours <= {svg.INK, svg.SOFT, svg.PALE, "#fff", "#767676"}
