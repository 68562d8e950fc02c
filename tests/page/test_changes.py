"""The page of a trimmed layer as a reader meets it: what was changed, before and after."""

import io
import re
from contextlib import redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from pastecheck.cli import main
from tests.page.browsing import Open, Opened, expect

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory, fixtures: Path) -> Path:
    """The top of the fixture board, trimmed: the 48 leads of U1 from 0.30 to 0.25 mm, and more."""
    folder = tmp_path_factory.mktemp("trimmed")
    layer = str(fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr")
    page = folder / "page.html"
    arguments = ["--rules", "polyester-75-knife", "--out", str(folder / "out.gbr"), "--page", str(page)]
    with redirect_stdout(io.StringIO()):
        assert main(["trim", layer, *arguments, "--fail-on", "never"]) == 0
    return page


@pytest.fixture(scope="module")
def opened(file: Path, open_for_all: Open) -> Opened:
    return open_for_all(file, reduced_motion="reduce")


@pytest.fixture
def page(opened: Opened) -> "Page":
    opened.page.get_by_role("radio", name="both").check()
    return opened.page


def test_a_group_is_flown_to_and_framed(page: "Page") -> None:
    page.get_by_role("link", name="48 openings of U1").click()
    expect(page.locator(".change").first).to_have_class("change flown-to")
    frames = page.locator(".over .of-group").get_attribute("d") or ""
    assert frames.count("M") == 48
    panel = page.locator(".measures")
    expect(panel).to_contain_text("of U1")
    # before it was trimmed, as expected.json of the board says
    told = panel.inner_text().split("\n")
    assert told[told.index("size") + 1] == "0.25 x 1.50 mm"
    assert told[told.index("as drawn") + 1] == "0.30 x 1.50 mm"


def test_openings_that_were_not_changed_have_one_size(page: "Page") -> None:
    page.locator("input.component").fill("C30")
    page.locator(".view").focus()
    page.keyboard.press("Escape")
    page.keyboard.press(".")
    expect(page.locator(".measures")).to_contain_text("C30")
    assert "as drawn" not in page.locator(".measures").inner_text()
    page.locator("input.component").fill("")


def test_keys_show_the_openings_as_they_were_as_they_are_or_both(page: "Page") -> None:
    was, then = page.locator(".was").first, page.locator(".then .openings").first
    now = page.locator("svg.drawing > [id] .openings").first

    def seen() -> tuple[bool, ...]:
        return was.is_visible(), then.is_visible(), now.is_visible()

    assert seen() == (True, False, True)
    page.get_by_role("radio", name="both").focus()
    page.keyboard.press("ArrowLeft")
    expect(page.get_by_role("radio", name="after")).to_be_checked()
    assert seen() == (False, False, True)
    page.keyboard.press("ArrowLeft")
    expect(page.get_by_role("radio", name="before")).to_be_checked()
    assert seen() == (False, True, False)


def test_what_was_found_before_is_marked_before_and_what_is_left_after(file: Path, page: "Page") -> None:
    def marked(state: str) -> tuple[int, int]:
        page.get_by_role("radio", name=state).check()
        halos = page.locator("svg.drawing .halo:visible")
        found = halos.evaluate_all(
            "paths => paths.map((path) => [path.classList[1], path.getAttribute('d')])"
        )
        every = [
            sum(d.lower().count("m") for name, d in found if name == level) for level in ("error", "warning")
        ]
        return every[0], every[1]

    legends = re.findall(r'<p class="legend">(Before|After): (.*?)</p>', file.read_text(encoding="utf-8"))
    told = {
        state: tuple(
            int(found[1]) if (found := re.search(rf"{level}s in (\d+) place", text)) else 0
            for level in ("error", "warning")
        )
        for state, text in legends
    }
    assert marked("before") == told["Before"]
    assert marked("after") == marked("both") == told["After"]
    # 44 webs of U1 were too narrow, and are no more
    assert told["Before"][1] > told["After"][1] + 40


def test_the_job_sheet_shows_the_corrected_layer_whatever_the_film_shows(page: "Page") -> None:
    page.get_by_role("radio", name="before").check()
    # `use` draws `drawn-1`, which holds what is there after; what was there before lies beside it
    assert page.locator("#drawn-1 .was").count() == 0
    assert page.locator("svg.drawing > .then .openings").count() > 0
    box = page.locator("svg.sheet use").bounding_box()
    assert box is not None
    assert box["width"] > 50


def test_without_a_script_both_are_shown_and_there_is_no_switch(file: Path, open_page: Open) -> None:
    page = open_page(file, java_script_enabled=False).page
    expect(page.locator(".states")).to_be_hidden()
    expect(page.locator(".was").first).to_be_visible()
    expect(page.locator("svg.drawing .openings").first).to_be_visible()
    assert page.locator(".change:visible").count() >= 4


def test_a_phone_shows_nothing_beyond_its_edge(file: Path, open_page: Open) -> None:
    page = open_page(file, viewport={"width": 390, "height": 844}, has_touch=True).page
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_nothing_went_wrong_and_nothing_was_fetched(file: Path, opened: Opened) -> None:
    assert opened.said == []
    assert opened.asked == [file.as_uri()]
