"""How large pages are, and that large ones can be used; `tests.bench.page` measures how quick they are."""

from pathlib import Path

import pytest

from tests.bench.make_layers import many_times
from tests.page.browsing import Open, expect
from tests.page.pages import made

pytestmark = pytest.mark.slow


@pytest.fixture
def logger(fixtures: Path) -> Path:
    """220 openings without its names: those that touch are one."""
    return fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr"


def test_a_page_of_2000_openings_is_small_and_of_few_elements(
    logger: Path, tmp_path: Path, open_page: Open
) -> None:
    file = tmp_path / "panel-paste-top.gbr"
    file.write_text(many_times(logger, 5, 2), encoding="utf-8")
    found = made(tmp_path, str(file))
    assert 2000 <= found.json["layers"][0]["openings"] <= 4000
    assert found.file.stat().st_size < 1_000_000
    page = open_page(found.file).page
    # what a browser draws anew in a frame goes by its elements; 2,000 openings are far fewer
    assert page.locator("svg.drawing *").count() < 2000


def test_a_page_of_20000_openings_can_still_be_used(logger: Path, tmp_path: Path, open_page: Open) -> None:
    file = tmp_path / "panel-paste-top.gbr"
    file.write_text(many_times(logger, 10, 9), encoding="utf-8")
    found = made(tmp_path, str(file))
    assert 19_000 <= found.json["layers"][0]["openings"] <= 30_000
    page = open_page(found.file).page
    assert page.locator("svg.drawing *").count() < 20_000
    page.locator("#thickness-1").focus()
    page.keyboard.press("ArrowRight")
    assert "In film of 80 um" in page.locator("#what-if-1 .result").inner_text()


def test_of_more_than_30000_openings_the_drawing_stands_still_and_the_page_says_so(
    logger: Path, tmp_path: Path, open_page: Open
) -> None:
    file = tmp_path / "panel-paste-top.gbr"
    file.write_text(many_times(logger, 15, 10), encoding="utf-8")
    found = made(tmp_path, str(file))
    assert found.json["layers"][0]["openings"] > 30_000
    opened = open_page(found.file)
    told = opened.page.locator(".findings .notice").inner_text()
    assert told.startswith("This layer is large: the drawing stands still")
    assert opened.page.locator("svg.drawing").is_visible()
    assert opened.page.locator(".what-if").count() == 0
    assert opened.page.locator(".group").count() > 0
    assert opened.said == []


def test_long_slanted_slots_do_not_keep_the_page_busy(tmp_path: Path, open_page: Open) -> None:
    # 200 slots of 424 mm, each with a box of 300 x 300 mm, which has 22,500 places of 2 x 2 mm
    slots = "".join(f"X{nth}000000Y0D02*\nX{nth + 300}000000Y300000000D01*\n" for nth in range(200))
    head = "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,Top*%\n%ADD10C,0.3*%\nD10*\n"
    file = tmp_path / "slots-paste-top.gbr"
    file.write_text(f"{head}{slots}M02*\n", encoding="ascii")
    page = open_page(made(tmp_path, str(file), "--everything").file).page
    cells = "new Places(JSON.parse(document.getElementById('numbers-1').textContent)).cells.size"
    assert page.evaluate(cells) == 0
    box = page.locator(".view").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(page.locator(".measures")).to_contain_text("0.30 x 424.56")
