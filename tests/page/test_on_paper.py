"""The job sheet as it comes out on paper: lengths measured in the PDF, pages counted, nothing cut off."""

import re
import zlib
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from tests.page.browsing import Open, expect
from tests.page.pages import made

pytestmark = pytest.mark.slow

MM_PER_POINT = 25.4 / 72
HEAD = "%FSLAX46Y46*%\n%MOMM*%\n"
ONE_SQUARE = HEAD + "{function}%ADD10R,0.5X0.5*%\nD10*\nX0Y0D03*\nM02*\n"
NOTHING = HEAD + "{function}M02*\n"
FUNCTION = "%TF.FileFunction,Paste,{side}*%\n"


def layer(folder: Path, text: str, side: str) -> str:
    file = folder / f"{side}-paste.gbr"
    function = FUNCTION.format(side=side) if side else ""
    file.write_text(text.format(function=function), encoding="ascii")
    return str(file)


def level_lines_mm(pdf: bytes) -> Iterator[float]:
    """Lengths of all level lines of a document, as its pages have them."""
    for packed in re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.DOTALL):
        try:
            words = zlib.decompress(packed).decode("latin-1").split()
        except zlib.error:
            continue  # a font or a picture that is packed otherwise
        yield from (length for length in level_lines_of(words))


def level_lines_of(words: list[str]) -> Iterator[float]:
    """Those of one page: moves and lines, each place by the transformations in force."""
    now, kept = np.eye(3), []
    last = np.zeros(3)
    for nth, word in enumerate(words):
        if word == "q":
            kept.append(now)
        elif word == "Q":
            now = kept.pop() if kept else np.eye(3)
        elif word == "cm":
            a, b, c, d, e, f = map(float, words[nth - 6 : nth])
            now = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ now
        elif word in {"m", "l"} and re.fullmatch(r"[-.\d]+", words[nth - 2]):
            at = np.array([float(words[nth - 2]), float(words[nth - 1]), 1]) @ now
            if word == "l" and abs(at[1] - last[1]) < 0.01:
                yield float(abs(at[0] - last[0])) * MM_PER_POINT
            last = at


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type /Page\s", pdf))


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_line_of_100_mm_is_as_long_in_the_document_that_is_printed(
    size: str, tmp_path: Path, open_page: Open
) -> None:
    page = open_page(made(tmp_path, layer(tmp_path, ONE_SQUARE, "Top")).file).page
    pdf = page.pdf(format=size, prefer_css_page_size=False)
    nearest = min(level_lines_mm(pdf), key=lambda length: abs(length - 100))
    # whoever holds a ruler against it looks for a tenth of a millimetre
    assert nearest == pytest.approx(100, abs=0.005)


def test_a_layer_with_nothing_to_cut_takes_no_paper(tmp_path: Path, fixtures: Path, open_page: Open) -> None:
    board = tmp_path / "board"
    board.mkdir()
    layer(board, ONE_SQUARE, "Bot")
    layer(board, NOTHING, "Top")
    page = open_page(made(tmp_path, str(board), status=2).file).page
    assert page.locator("article.layer").count() == 2
    assert pages(page.pdf(format="A4")) == 1


def test_the_sheet_of_a_layer_of_unknown_side_is_not_said_to_be_seen_from_the_squeegees(
    tmp_path: Path, open_page: Open
) -> None:
    page = open_page(made(tmp_path, layer(tmp_path, ONE_SQUARE, ""), "--as-paste").file).page
    expect(page.locator(".job figcaption")).to_contain_text("As the file has it")
    expect(page.locator(".job svg.sheet")).not_to_have_attribute("aria-label", re.compile(r"\. Seen from"))


def test_the_squeegees_arrow_stays_within_a_narrow_sheet(tmp_path: Path, open_page: Open) -> None:
    # two leads with a slender web between them, along which the squeegee goes
    leads = "%ADD11R,0.3X3*%\nD11*\nX0Y10000000D03*\nX550000Y10000000D03*"
    text = ONE_SQUARE.replace("X0Y0D03*", f"X0Y0D03*\nX300000000Y0D03*\n{leads}")
    page = open_page(made(tmp_path, layer(tmp_path, text, "Top")).file).page
    sheet = page.locator(".job rect.sheet").bounding_box()
    arrow = page.locator(".job path.squeegee:not(.under)").bounding_box()
    assert sheet is not None
    assert arrow is not None
    assert sheet["y"] <= arrow["y"]
    assert arrow["y"] + arrow["height"] <= sheet["y"] + sheet["height"]


def test_paper_is_white_for_who_likes_it_dark(tmp_path: Path, open_page: Open) -> None:
    page = open_page(made(tmp_path, layer(tmp_path, ONE_SQUARE, "Top")).file, color_scheme="dark").page
    page.emulate_media(media="print")
    # where a page names no colour of its own, what lies below it has that of the scheme
    assert page.evaluate("getComputedStyle(document.documentElement).colorScheme") == "light"
