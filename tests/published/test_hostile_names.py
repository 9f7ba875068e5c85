"""Names by somebody hostile, through every form, and in a real browser: nothing runs, nothing is hidden or turned round.

Against Chromium where it is installed (Debian's package), and OWASP's page on CSV injection: no cell may begin with
= + - @ after white space, unless it is a number.
"""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from lint.check.engine import Checked, check_file
from lint.check.example import BASE
from lint.handover.handover import make_handover
from lint.handover.page import handover_page
from lint.page.as_csv import page_csv
from lint.page.as_html import page_html
from lint.page.as_markdown import page_markdown
from lint.page.as_text import page_text
from lint.page.plain import shown
from lint.picture.draw import drawn
from lint.read.problem import CannotReadError
from lint.sheet.book import sheet_book

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
RUN = "document.title='taken over'"
HOSTILE = [
    f"<script>{RUN}</script>",
    f'"><img src=x onerror="{RUN}">',
    f"</style></title><svg onload={RUN}>",
    "=HYPERLINK(1)",
    "@SUM(1)",
    "+1+1",
    "a\u200bb",
    "\u3164 \u00ad",
    "\U000e0041x",
]
# What turns text round or moves the cursor is refused by the reader already, and never gets as far as a page.
REFUSED = ["\u202egnp.exe", "a\u2066c", "\x1b[2J", "\uffffx"]
UNSEEN = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff\U000e0000-\U000e0fff]")


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> tuple[Checked, Path]:
    """A rig in which everything that is free text is hostile, and one to compare it with."""
    folder = tmp_path_factory.mktemp("hostile")
    names = [json.dumps(name, ensure_ascii=max(name) < "\U00010000") for name in HOSTILE]
    week = (
        f"rig_format: 1\nextends: house.yaml\nevent: {{name: {names[0]}}}\ncrew: {{lead: {names[1]}, stage: {names[3]}}}\n"
        f"devices: {{west-box: {{label: {names[2]}, location: {names[6]}}}, east-box: {{location: {names[1]}}}}}\n"
        f"cables: {{trunk: {{label: {names[0]}}}}}\n"
        f"sources: {{lead-vocal: {{label: {names[3]}, cable: {names[4]}}}, choir: {{label: {names[1]}, cable: {names[8]}}}}}\n"
        f"channels: {{1: {{label: {names[5]}}}, 2: {{label: {names[0]}}}, 3: {{label: {names[7]}}}}}\n"
        f"mixes: {{singer-mon: {{label: {names[2]}}}}}\n"
        f"destinations: {{singer-wedge: {{label: {names[0]}, location: {names[4]}, cable: {names[2]}}}}}\n"
        f"gear: {{stands: {{state: borrowed, what: {names[1]}, who: {names[2]}, note: {names[3]}}}}}\n"
        f"waivers: [{{rule: source-unheard, about: choir, because: {names[0]}, by: {names[1]}, until: 2030-01-01}}]\n"
    )
    (folder / "house.yaml").write_text(BASE, encoding="utf-8")
    (folder / "week.yaml").write_text(week, encoding="utf-8")
    return check_file(folder / "week.yaml"), folder


def pages(hostile: tuple[Checked, Path]) -> dict[str, str]:
    checked, folder = hostile
    book = sheet_book(checked)
    handed = handover_page(make_handover(checked, folder / "house.yaml", checked.resolved.rig.waivers[0].until))
    return {
        "sheets.html": page_html(book),
        "handover.html": page_html(handed),
        **{f"{what}.svg": drawn(checked, what) for what in ("chain", "stage", "signals", "choir")},
    }


def test_no_form_hides_or_turns_round_anything(hostile: tuple[Checked, Path]) -> None:
    checked, folder = hostile
    for page in (
        sheet_book(checked),
        handover_page(make_handover(checked, folder / "house.yaml", checked.resolved.rig.waivers[0].until)),
    ):
        for text in (page_html(page), page_markdown(page), page_text(page, 80)):
            assert not UNSEEN.search(text)
            assert "\ufffd" in text  # what can't be seen is shown as such
    for text in pages(hostile).values():
        assert not UNSEEN.search(text)


@pytest.mark.parametrize("key", ["boxes", "console", "outputs", "monitors", "circuits", "labels"])
def test_no_cell_of_a_csv_file_is_a_formula(key: str, hostile: tuple[Checked, Path]) -> None:
    page = sheet_book(hostile[0]).only(key)
    if not page.sections:
        return
    cells = [cell for row in csv.reader(io.StringIO(page_csv(page))) for cell in row]
    assert cells
    numbers = re.compile(r"[-+]?[0-9]+([.,][0-9]+)?")
    assert not [cell for cell in cells if re.match(r"\s*[=+\-@]", cell) and not numbers.fullmatch(cell)]
    if key == "boxes":
        assert any("'=HYPERLINK" in cell or "“=HYPERLINK" in cell for cell in cells)


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
@pytest.mark.parametrize(
    "name", ["control", "sheets.html", "handover.html", "chain.svg", "signals.svg", "stage.svg", "choir.svg"]
)
def test_nothing_runs_in_a_browser(name: str, hostile: tuple[Checked, Path], tmp_path: Path) -> None:
    # The control is what an unescaped name would do: if it did not show, the others would prove nothing.
    text = f"<title>a</title>{HOSTILE[0]}" if name == "control" else pages(hostile)[name]
    if name.endswith(".svg"):
        text = f"<title>a</title>{text}"  # as part of a page, where a script would run
    path = tmp_path / "page.html"
    path.write_text(text, encoding="utf-8")
    command = [
        str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
        f"--user-data-dir={tmp_path / 'profile'}", "--virtual-time-budget=2000", "--dump-dom", path.as_uri(),
    ]  # fmt: skip
    dumped = subprocess.run(command, capture_output=True, text=True, timeout=90, check=False).stdout
    title = re.search(r"<title>(.*?)</title>", dumped, re.DOTALL)
    assert title is not None
    assert (title[1] == "taken over") is (name == "control")
    if name != "control":
        assert not re.search(r"<(script|img|iframe|object|embed)\b", dumped)
        assert not re.search(r"<[a-z][^>]*\son[a-z]+\s*=", dumped)


def test_what_is_hidden_is_shown_by_a_sign() -> None:
    assert [shown(name) for name in HOSTILE[6:]] == ["a\ufffdb", "\ufffd \ufffd", "\ufffdx"]
    assert shown("a\uffffb\ufffe") == "a\ufffdb\ufffd"  # no characters at all, in Unicode, YAML and XML
    assert [shown(name) for name in REFUSED] == ["\ufffdgnp.exe", "a\ufffdc", "\ufffd[2J", "\ufffdx"]


@pytest.mark.parametrize("name", REFUSED)
def test_what_could_forge_a_screen_is_refused_with_its_place(name: str, tmp_path: Path) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(f"{BASE}event: {{name: {json.dumps(name)}}}\n", encoding="utf-8")
    with pytest.raises(CannotReadError, match=r"rig\.yaml:\d+:\d+: .*(character)"):
        check_file(path)
