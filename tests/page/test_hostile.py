"""Text of files stays text, whatever it says."""

from pathlib import Path

import pytest

from tests.page.browsing import Open
from tests.page.pages import made

pytestmark = pytest.mark.slow

MARKUP = "<img src=x onerror=alert(1)>"
SCRIPT = "</script><script>document.title=1</script>"
QUOTES = "\"' onmouseover='alert(1)"


def hostile() -> str:
    """Narrow slots of components whose names are markup; commas would end an attribute's field."""
    slots = "".join(
        f"%TO.C,{name}*%\nD10*\nX{2000000 * nth}Y0D03*\n" for nth, name in enumerate((MARKUP, SCRIPT, QUOTES))
    )
    apertures = "%TA.AperFunction,<b>Pad</b>*%\n%ADD10R,0.1X1*%\n"
    return f"%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,Top*%\n{apertures}{slots}M02*\n"


def test_names_of_components_are_shown_as_they_are_written(tmp_path: Path, open_page: Open) -> None:
    file = tmp_path / "<i>paste-top.gbr"
    file.write_text(hostile(), encoding="ascii")
    opened = open_page(made(tmp_path, str(file)).file)
    page = opened.page
    asked = len(opened.asked)
    told = page.locator(".findings").inner_text()
    for name in (MARKUP, SCRIPT, QUOTES):
        assert name in told
    assert "<i>paste-top.gbr" in page.locator("header.verdict").inner_text()
    page.locator(".group a.fly").first.click()
    page.wait_for_timeout(500)
    assert page.locator("img, i, b").count() == 0
    assert page.title().startswith("May I cut")
    page.keyboard.press("Tab")
    page.locator("#view-1").focus()
    for _ in range(3):
        page.keyboard.press(".")
        assert "Opening" in page.locator(".measures").inner_text()
    assert page.locator("img, i, b").count() == 0
    assert (len(opened.asked), opened.said) == (asked, [])


def test_the_policy_lets_no_other_script_run_and_nothing_be_fetched(tmp_path: Path, open_page: Open) -> None:
    file = tmp_path / "paste-top.gbr"
    file.write_text(hostile(), encoding="ascii")
    page = made(tmp_path, str(file)).file
    text = page.read_text(encoding="utf-8")
    page.write_text(
        text.replace(
            "</main>",
            "</main><script>document.title='taken'</script><p id='p' onclick=\"document.title='taken'\">x</p>"
            "<img src='https://example.org/x.png' onerror=\"document.title='taken'\">",
        ),
        encoding="utf-8",
    )
    opened = open_page(page)
    opened.page.locator("#p").click()
    assert opened.page.title() != "taken"
    assert any("Content Security Policy" in text for text in opened.said)


def test_a_long_name_of_a_component_widens_nothing(tmp_path: Path, open_page: Open) -> None:
    file = tmp_path / "paste-top.gbr"
    head = "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,Top*%\n%ADD10R,0.1X1*%\nD10*\n"
    file.write_text(f"{head}%TO.C,{'A' * 300}*%\nX0Y0D03*\nM02*\n", encoding="ascii")
    found = made(tmp_path, str(file))
    for width in (390, 1440):
        page = open_page(found.file, viewport={"width": width, "height": 844}).page
        assert page.evaluate("document.documentElement.scrollWidth") == width
