"""`trim --page`: the page of the corrected layer, and what was changed in it."""

import json
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from tests.cli.layers import GOOD
from tests.page.pages import made
from tests.trim.conftest import FIXTURES, Trim

BOARD = str(FIXTURES / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr")
RULES = ("--rules", "polyester-75-knife")


def leads(*more: str) -> str:
    """Six leads of 0.3 x 1.5 at a pitch of 0.5, to be narrowed; aperture 11 is a square of 2 mm."""
    places = [f"X{500000 * nth}Y0D03*" for nth in range(6)]
    head = "%FSLAX46Y46*%", "%MOMM*%", "%ADD10R,0.3X1.5*%", "%ADD11R,2X2*%", "D10*"
    return "\n".join([*head, *places, *more, "M02*", ""])


def page() -> str:
    """The page's source."""
    return Path("page.html").read_text(encoding="utf-8")


def told() -> str:
    """What the page tells of changes, as text."""
    (section,) = re.findall(r'<section class="changes".*?</section>', page(), re.DOTALL)
    text = unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", section)))
    return text.replace("\N{RIGHTWARDS ARROW}", "->")


def numbers() -> dict[str, Any]:
    """What the script of the page goes by."""
    (text,) = re.findall(r'id="numbers-1">(.*?)</script>', page())
    found: dict[str, Any] = json.loads(text)
    return found


def test_the_page_reports_on_the_result_and_says_what_the_terminal_says(trim: Trim) -> None:
    said = trim(BOARD, *RULES, "--out", "out.gbr", "--page", "page.html")
    on_page = told()
    terminal = re.sub(r"\s+", " ", said.out)
    lines = re.findall(r'<a class="fly" href="#film-1">(\d+ opening.*?)</a>', page())
    assert len(lines) == len(said.document["groups"]) >= 4
    for line in map(unescape, lines):
        assert line.replace("\N{RIGHTWARDS ARROW}", "->") in terminal
    assert "48 openings of U1, 0.30 x 1.50 mm -> 0.25 x 1.50 mm: " in on_page
    assert "pitch-fraction: 48 warnings -> 0; web-width: 44 warnings -> 0" in on_page
    assert "Findings as drawn -> as trimmed" in on_page
    assert "proof: read back and judged again: 382 openings, none lost, none merged" in on_page
    assert "written to out.gbr" in on_page
    # and is the report on the result
    assert said.document["verdict"] == "fail"
    assert "May I cut out.gbr: no</title>" in page()
    assert f"out.gbr, trimmed from {BOARD}</p>" in page()
    area = said.document["volume_mm3"]["after"] / 0.075
    assert f"<dd>{area:.1f} mm2</dd>" in page()


def test_openings_are_drawn_as_they_were_and_as_they_are(trim: Trim) -> None:
    Path("paste.gbr").write_text(leads("D11*", "X9000000D03*"), encoding="ascii")
    trim("paste.gbr", *RULES, "--as-paste", "--out", "out.gbr", "--page", "page.html")
    (changed,) = re.findall(r'<path class="was" d="([^"]*)"', page())
    then = page().partition('<g class="then">')[2].partition("</svg>")[0]
    # sides in steps of 0.1 um: 20000 wide, and six of 3000
    assert any("20000" in path for path in re.findall(r'<path class="outlines" d="([^"]*)"', then))
    assert changed.lower().count("m") == 6
    assert changed.count("h3000") == changed.count("h-3000") == 6
    found = numbers()["changed"]
    assert found["group"] == [1, 1, 1, 1, 1, 1, 0]
    assert found["size"] == [1, 1, 1, 1, 1, 1, 0]
    assert found["sizes"] == ["", "0.30 x 1.50 mm"]
    # the boxes of all six: from -0.15 to 2.65, and from -0.75 to 0.75
    assert 'data-within="-0.1500 -0.7500 2.6500 0.7500"' in page()


def test_panes_know_the_opening_that_they_were(trim: Trim) -> None:
    layer = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,8X8*%\nD10*\nX0Y0D03*\nM02*\n"
    Path("paste.gbr").write_text(layer, encoding="ascii")
    said = trim("paste.gbr", *RULES, "--as-paste", "--also", "large", "--dry-run", "--page", "page.html")
    panes = said.document["openings"]["after"]
    assert panes > 1
    assert numbers()["changed"]["group"] == [1] * panes
    assert numbers()["changed"]["sizes"] == ["", "8.00 x 8.00 mm"]


def test_a_trial_has_a_page_too(trim: Trim) -> None:
    Path("paste.gbr").write_text(leads(), encoding="ascii")
    said = trim("paste.gbr", *RULES, "--as-paste", "--dry-run", "--page", "page.html")
    assert said.status == 0
    assert not Path("out.gbr").exists()
    assert "a trial: nothing was written" in told()


def test_where_nothing_is_to_be_changed_nothing_is_drawn_twice(trim: Trim) -> None:
    Path("paste.gbr").write_bytes(GOOD)
    trim("paste.gbr", *RULES, "--dry-run", "--page", "page.html")
    assert "Nothing was changed" in told()
    assert 'class="was' not in page()
    assert 'class="states' not in page()


def test_the_page_of_check_tells_of_no_changes(tmp_path: Path) -> None:
    file = tmp_path / "paste-top.gbr"
    file.write_text(leads(), encoding="ascii")
    text = made(tmp_path, str(file)).text
    for word in ('class="changes"', 'class="states', 'class="was', '"changed":'):
        assert word not in text


def test_the_same_page_comes_of_the_same_files(trim: Trim) -> None:
    Path("paste.gbr").write_text(leads(), encoding="ascii")
    arguments = ("paste.gbr", *RULES, "--as-paste", "--out", "out.gbr", "--page", "page.html", "--force")
    trim(*arguments)
    first = page()
    trim(*arguments)
    assert page() == first


def test_names_of_files_and_components_stay_text(trim: Trim) -> None:
    named = "%TO.C,</script><script>alert(1)</script>*%"
    head, _, tail = leads().partition("D10*")
    Path("<b>paste.gbr").write_text(f"{head}{named}\nD10*{tail}", encoding="ascii")
    trim("<b>paste.gbr", *RULES, "--as-paste", "--out", "<i>out.gbr", "--page", "page.html")
    assert "</script><script>alert" in told()
    assert page().count("<script") == 2
    assert "<b>" not in page()
    assert "<i>" not in page()


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        (("--out", "out.gbr", "--page", "-"), "--page names no file (name a file: only reports go"),
        (("--out", "out.gbr", "--page", "there.html"), "there is a file 'there.html' already (name anoth"),
        (("--dry-run", "--page", "there.html"), "there is a file 'there.html' already (name anoth"),
        (("--out", "out.gbr", "--page", "out.gbr"), "two reports would go to 'out.gbr' (give each a f"),
        (("--out", "out.gbr", "--page", "paste.gbr"), "'paste.gbr' is read, and would be overwritten"),
        (("--dry-run", "--page", "paste.gbr", "--force"), "'paste.gbr' is read, and would be overwritten"),
        (("--out", "out.gbr", "--page", "no/page.html"), "has no folder to stand in"),
    ],
)
def test_pages_go_nowhere_else(trim: Trim, arguments: tuple[str, ...], complaint: str) -> None:
    Path("paste.gbr").write_bytes(GOOD)
    Path("there.html").write_text("mine", encoding="utf-8")
    said = trim("paste.gbr", *RULES, *arguments)
    assert said.status == 2
    assert complaint in said.err
    assert Path("there.html").read_text(encoding="utf-8") == "mine"
    assert sorted(path.name for path in Path().iterdir()) == ["paste.gbr", "there.html"]
