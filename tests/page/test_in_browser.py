"""The page as a reader meets it: in a real browser, from disk."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.page.browsing import Open, expect
from tests.page.pages import Made, made

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.slow

AS_OPENED = """() => {
    document.querySelector('nav a[data-layer="2"]').click();
    for (const filters of document.querySelectorAll('.filters')) {
        for (const field of filters.querySelectorAll('.component, .check')) field.value = '';
        for (const box of filters.querySelectorAll('[type=checkbox]')) box.checked = true;
        filters.dispatchEvent(new Event('input'));
    }
    for (const view of document.querySelectorAll('.view')) {
        for (const key of ['Escape', '0']) view.dispatchEvent(new KeyboardEvent('keydown', { key }));
    }
    document.activeElement.blur();
    scrollTo(0, 0);
}"""


NEXT_FRAME = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
"""The drawing follows what was done at the next frame; then there is one more."""


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory, fixtures: Path) -> Made:
    """The fixture board with all its files: two layers, both with errors; 59 and 382 openings."""
    folder = fixtures / "boards" / "greenhouse-logger-a"
    beside = [
        word
        for side in ("top", "bottom")
        for option, layer in (("--land", "copper"), ("--mask", "mask"))
        for word in (option, str(folder / f"greenhouse-logger-{layer}-{side}.gbr"))
    ]
    outline = str(folder / "greenhouse-logger-outline.gbr")
    return made(tmp_path_factory.mktemp("page"), str(folder), *beside, "--outline", outline)


@pytest.fixture(scope="module")
def kept(board: Made, open_for_all: Open) -> "Page":
    """Its page in a window, for all tests; it flies without delay."""
    return open_for_all(board.file, reduced_motion="reduce").page


@pytest.fixture
def page(kept: "Page") -> "Page":
    """That page as it was when it was opened."""
    kept.emulate_media(media="null")
    kept.mouse.move(0, 0)
    kept.evaluate(AS_OPENED)
    return kept


def seen(page: "Page", layer: int = 2) -> tuple[float, ...]:
    """The part of the drawing that is seen."""
    page.evaluate(NEXT_FRAME)
    box = page.locator(f"#layer-{layer} svg.drawing").get_attribute("viewBox") or ""
    return tuple(map(float, box.split()))


def test_it_asks_for_nothing_but_itself_and_nothing_goes_wrong(board: Made, open_page: Open) -> None:
    opened = open_page(board.file)
    opened.page.locator("#layer-2 .group a.fly").first.click()
    opened.page.wait_for_timeout(500)
    # and a flight has ended there, at the opening of J2 at (56.80, 34.50)
    assert seen(opened.page)[2] < 5
    assert opened.asked == [board.file.as_uri()]
    assert opened.said == []


def test_the_answer_is_the_first_thing_that_is_read(page: "Page") -> None:
    assert page.locator("h1:visible").inner_text() == "Do not cut this"
    assert page.locator(".ask").inner_text() == "May I cut this? no"


def test_the_worse_layer_is_shown_and_the_other_is_a_click_away(page: "Page") -> None:
    expect(page.locator("#layer-2")).to_be_visible()
    expect(page.locator("#layer-1")).to_be_hidden()
    page.get_by_role("link", name="bottom").click()
    expect(page.locator("#layer-1")).to_be_visible()
    expect(page.locator("#layer-2")).to_be_hidden()
    assert seen(page, 1)[2] > 40


def test_a_layer_with_warnings_is_shown_before_one_with_nothing(tmp_path: Path, open_page: Open) -> None:
    head = "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,"
    # 0.2 mm is below 0.215, of which this rule set warns, and above 0.167
    for side, width in (("Bot", 1), ("Top", 0.2)):
        text = f"{head}{side}*%\n%ADD10R,{width}X1*%\nD10*\nX0Y0D03*\nM02*\n"
        (tmp_path / f"{side}.gbr").write_text(text, encoding="ascii")
    page = open_page(made(tmp_path, str(tmp_path)).file).page
    expect(page.locator("h1:visible")).to_have_text("Cut it with care")


def test_the_film_is_drawn_whole_at_first_and_zooms_by_button_key_and_wheel(
    page: "Page",
) -> None:
    all_of_it = seen(page)
    # openings reach from 1.1 to 58.2 and from 2.575 to 37.7, as expected.json says; y is downward
    assert all_of_it[0] < 1.1
    assert all_of_it[0] + all_of_it[2] > 58.2
    assert all_of_it[1] < -37.7
    assert all_of_it[1] + all_of_it[3] > -2.575
    view = page.locator("#view-2")
    page.locator("#layer-2").get_by_role("button", name="Zoom in").click()
    assert seen(page)[2] == pytest.approx(all_of_it[2] / 1.5, rel=1e-4)
    view.focus()
    page.keyboard.press("-")
    assert seen(page)[2] == pytest.approx(all_of_it[2] / 1.5 * 1.4, rel=1e-4)
    page.keyboard.press("0")
    assert seen(page) == pytest.approx(all_of_it, abs=1e-4)
    view.hover()
    page.mouse.wheel(0, -400)
    assert seen(page)[2] < 0.6 * all_of_it[2]


def test_dragging_moves_the_film_by_as_much_as_the_hand(page: "Page") -> None:
    before = seen(page)
    box = page.locator("#view-2").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 100, y + 50, steps=4)
    page.mouse.up()
    after = seen(page)
    per_pixel = before[2] / box["width"]
    assert after[0] - before[0] == pytest.approx(100 * per_pixel, rel=0.02)
    assert after[1] - before[1] == pytest.approx(-50 * per_pixel, rel=0.02)


def test_a_finding_is_flown_to(page: "Page") -> None:
    page.locator("#layer-2 .group a.fly").first.click()
    box = seen(page)
    # the opening of J2 at (56.80, 34.50)
    assert box[2] < 5
    assert box[0] < 56.8 < box[0] + box[2]
    assert box[1] < -34.5 < box[1] + box[3]
    told = page.locator("#layer-2 .measures").inner_text()
    assert "of J2" in told
    assert "area ratio 0.51 is below 0.60" in told


def test_keys_lead_through_the_findings(page: "Page") -> None:
    page.locator("#view-2").focus()
    page.keyboard.press("n")
    expect(page.locator("#layer-2 .group").nth(0)).to_have_class("group error flown-to")
    page.keyboard.press("n")
    expect(page.locator("#layer-2 .group").nth(1)).to_have_class("group error flown-to")
    page.keyboard.press("p")
    expect(page.locator("#layer-2 .group").nth(0)).to_have_class("group error flown-to")


def test_findings_are_filtered_by_check_level_and_component(board: Made, page: "Page") -> None:
    shown = page.locator("#layer-2 .group:visible")
    groups = board.json["layers"][1]["groups"]
    assert shown.count() == len(groups)
    page.locator("#layer-2 select.check").select_option("web-width")
    # all that have a web-width finding, by the JSON
    wanted = [group for group in groups if any(one["check"] == "web-width" for one in group["checks"])]
    assert shown.count() == len(wanted) > 0
    page.locator("#layer-2 select.check").select_option("")
    warnings = page.locator("#layer-2").get_by_role("checkbox", name="warnings")
    warnings.uncheck()
    assert shown.count() == sum(group["level"] == "error" for group in groups)
    warnings.check()
    page.locator("#layer-2 input.component").fill("u2")
    assert shown.count() == sum("U2" in group["components"] for group in groups)


def marks(page: "Page") -> int:
    """Places that are marked on the film, by what is drawn."""
    halos = page.locator("#layer-2 svg.drawing .halo:visible").evaluate_all(
        "paths => paths.map((path) => path.getAttribute('d'))"
    )
    return sum(path.lower().count("m") for path in halos)


def test_what_is_not_listed_is_not_marked_on_the_film(board: Made, page: "Page") -> None:
    layer = board.json["layers"][1]
    new = [one for rule in layer["rules"] for one in rule["findings"]]
    # each place of a finding once, to the micrometre, and none of those of the layer as a whole
    every = {tuple(round(side, 3) for side in one["at_mm"]): one for one in new if one["opening"]}
    said = page.locator("#layer-2 .shown")
    assert marks(page) == len(every)
    assert "marks" not in said.inner_text()
    page.locator("#layer-2").get_by_role("checkbox", name="errors").uncheck()
    warned = {number for number, group in enumerate(layer["groups"], 1) if group["level"] == "warning"}
    left = {tuple(round(side, 3) for side in one["at_mm"]) for one in new if one["group"] in warned}
    assert 0 < len(left) < len(every)
    assert marks(page) == len(left)
    expect(said).to_have_text(f"2 of 7 groups shown; {len(left)} of {len(every)} marks in the drawing")
    # nothing has the colour of an error any more, nor a line or a figure of one
    assert page.locator("#layer-2 svg.drawing .error:visible").count() == 0
    page.locator("#layer-2").get_by_role("checkbox", name="errors").check()
    assert marks(page) == len(every)
    assert page.locator("#layer-2 svg.drawing .outlines.error").count() > 0


def test_a_component_is_found_in_the_film_though_nothing_is_wrong_with_it(
    page: "Page",
) -> None:
    page.locator("#layer-2 input.component").fill("C30")
    expect(page.locator("#layer-2 .shown")).to_contain_text("2 openings of components that begin so")
    assert seen(page)[2] < 20
    assert (page.locator("#layer-2 .over .hits").get_attribute("d") or "").count("M") == 2


def test_pointing_tells_the_measures_and_a_click_keeps_them(page: "Page") -> None:
    panel = page.locator("#layer-2 .measures")
    expect(panel).to_be_hidden()
    page.locator("#layer-2 input.component").fill("C30")
    box = seen(page)
    view = page.locator("#view-2").bounding_box()
    assert view is not None
    path = page.locator("#layer-2 .over .hits").get_attribute("d") or ""
    left, top = map(float, path[1 : path.index("h")].split())
    at = [(left + 0.2 - box[0]) / box[2] * view["width"], (top + 0.2 - box[1]) / box[3] * view["height"]]
    page.mouse.move(view["x"] + at[0], view["y"] + at[1])
    expect(panel).to_contain_text("of C30")
    page.mouse.move(view["x"] + 2, view["y"] + view["height"] - 4)
    expect(panel).to_be_hidden()
    page.mouse.click(view["x"] + at[0], view["y"] + at[1])
    page.mouse.move(view["x"] + 2, view["y"] + view["height"] - 4)
    expect(panel).to_contain_text("of C30")
    panel.get_by_role("button", name="Close").click()
    expect(panel).to_be_hidden()


def test_the_measures_do_not_hide_what_they_tell_of_and_say_first_what_is_wrong(page: "Page") -> None:
    panel = page.locator("#layer-2 .measures")
    # one far on the left of the film, one on the right
    for component in ("J1", "J2"):
        page.locator("#layer-2 input.component").fill(component)
        page.keyboard.press("Escape")
        page.locator("#view-2").focus()
        page.keyboard.press(".")
        page.keyboard.press("0")
        seen(page)
        expect(panel).to_contain_text(f"of {component}")
        told, pinned = panel.bounding_box(), page.locator("#layer-2 .over .pinned").bounding_box()
        assert told is not None
        assert pinned is not None
        assert pinned["x"] + pinned["width"] < told["x"] or told["x"] + told["width"] < pinned["x"]
        page.keyboard.press("Escape")
    page.locator("#layer-2 input.component").fill("")
    page.locator("#layer-2 .group a.fly").first.click()
    told_in_order = panel.inner_text()
    assert told_in_order.index("is below") < told_in_order.index("line of the file")


def test_all_is_there_without_a_script(board: Made, open_page: Open) -> None:
    page = open_page(board.file, java_script_enabled=False).page
    expect(page.locator("#layer-1")).to_be_visible()
    expect(page.locator("#layer-2 svg.drawing")).to_be_visible()
    expect(page.locator("#layer-2 .tools")).to_be_hidden()
    groups = sum(len(layer["groups"]) for layer in board.json["layers"])
    assert page.locator(".group:visible").count() == groups
    expect(page.locator("#layer-2 .job")).to_be_visible()


def test_the_job_sheet_takes_one_page_of_paper_for_each_layer(page: "Page") -> None:
    for size in ("A4", "Letter"):
        paper = page.pdf(format=size, prefer_css_page_size=False)
        assert paper.count(b"/Type /Page\n") + paper.count(b"/Type /Page ") == 2


def test_the_ruler_on_paper_is_100_mm_long(page: "Page") -> None:
    page.emulate_media(media="print")
    box = page.locator("#layer-2 svg.ruler").bounding_box()
    assert box is not None
    # 384 units wide, of which an inch has 96; `test_on_paper` measures the line itself
    assert box["width"] == 384
    expect(page.locator("#layer-2 .findings")).to_be_hidden()
    expect(page.locator("#layer-1 .job")).to_be_visible()


def test_figures_beside_narrow_webs_are_drawn_as_lines(page: "Page") -> None:
    style = "use => { const style = getComputedStyle(use); return [style.fill, style.strokeWidth]; }"
    assert page.locator("#layer-2 .figures use:not(.rim)").first.evaluate(style) == ["none", "0.8px"]


def test_keys_lead_from_opening_to_opening(page: "Page") -> None:
    page.locator("#view-2").focus()
    told = []
    for key in (".", ".", ","):
        page.keyboard.press(key)
        told.append(page.locator("#layer-2 .measures strong").inner_text())
    assert told[0] == told[2] != told[1]
    page.keyboard.press("Escape")
    expect(page.locator("#layer-2 .measures")).to_be_hidden()


def test_a_phone_shows_the_answer_first_and_nothing_beyond_its_edge(board: Made, open_page: Open) -> None:
    phone = open_page(board.file, viewport={"width": 390, "height": 844}, has_touch=True).page
    expect(phone.locator("h1:visible")).to_be_in_viewport()
    assert phone.evaluate("document.documentElement.scrollWidth") == 390


def test_the_bottom_is_seen_from_below_and_places_are_those_of_the_file(page: "Page") -> None:
    page.get_by_role("link", name="bottom").click()
    page.locator("#layer-1 .group a.fly").first.click()
    box = seen(page, 1)
    # the web of C62 and Q1 at (47.42, 32.00): on the left of what is seen from below
    assert box[0] < -47.42 < box[0] + box[2]
    assert box[1] < -32 < box[1] + box[3]
    expect(page.locator("#layer-1 .measures")).to_contain_text("(46.95, 32.00) mm")
    # Q1 is the one at the smaller x, and so on the right here
    view = page.locator("#view-1").bounding_box()
    assert view is not None
    page.keyboard.press("Escape")
    page.mouse.move(
        view["x"] + view["width"] / 2 + 0.4 / box[2] * view["width"], view["y"] + view["height"] / 2
    )
    expect(page.locator("#layer-1 .measures strong")).to_contain_text("of Q1")


def test_the_job_sheet_warns_of_blades_paste_fumes_and_heat(page: "Page") -> None:
    told = page.locator("#layer-2 .caution").inner_text()
    for word in ("blades", "paste", "fumes", "Hot plates", "data sheets", "rules where you work"):
        assert word in told


def test_who_skips_ahead_gets_to_the_findings_of_the_layer_shown(board: Made, open_page: Open) -> None:
    page = open_page(board.file).page
    for number in "21":
        page.locator(f"nav.layers a[data-layer='{number}']").click()
        page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
        page.locator("a.skip").focus()
        page.keyboard.press("Enter")
        expect(page.locator(":target")).to_have_id(f"findings-{number}")
        expect(page.locator(":target")).to_be_visible()


def test_a_long_word_of_the_file_does_not_widen_the_page(tmp_path: Path, open_page: Open) -> None:
    file = tmp_path / "paste.gbr"
    word = "Solder" * 12
    drawn = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,0.5X0.5*%\nD10*\nX0Y0D03*\nM02*\n"
    file.write_text(f"G04 Layer: {word}PasteTop*\n{drawn}", encoding="ascii")
    page = open_page(made(tmp_path, str(file)).file, viewport={"width": 320, "height": 640}).page
    assert page.evaluate("document.documentElement.scrollWidth") == 320


def test_long_tables_of_findings_scroll_by_themselves(page: "Page") -> None:
    rows = page.locator("#layer-2 .group .rows").nth(3)
    page.locator("#layer-2 .group details > summary").nth(3).click()
    box = rows.bounding_box()
    assert box is not None
    # 24 rem of 16 pixels
    assert box["height"] <= 384
    page.locator("#layer-2 .group details > summary").nth(3).click()
