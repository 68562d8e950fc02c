"""The sheet that the job sheet draws: the user's own where it is known, and how the layer is laid on it."""

import re
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.page.pages import made

HEAD = "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,Top*%\n%ADD10R,1X1*%\nD10*\n"
FLAT = HEAD + "X500000Y500000D03*\nX99500000Y39500000D03*\nM02*\n"
"""Openings within 100 x 40 mm."""
SLENDER = HEAD + "%ADD11R,0.3X3*%\nD11*\nX0Y0D03*\nX550000Y0D03*\nM02*\n"
"""Leads with a web between them, 0.25 mm wide and 3 mm long."""
LONGEST = 100.0
"""Side of the drawn sheet."""


class Sheet(NamedTuple):
    """What is drawn, and said of it."""

    boxes: dict[str, tuple[float, float]]
    """Width and height of each rectangle by its class, in units of the drawing."""
    turn: str
    arrows: list[str]
    told: str
    """How it is laid."""
    caption: str


def sheet_of(folder: Path, layer: str, sheet: str = "") -> Sheet:
    file, rules = folder / "paste-top.gbr", folder / "mine.yaml"
    file.write_text(layer, encoding="ascii")
    rules.write_text(f"title: mine\nextends: polyester-75-knife\n{sheet}", encoding="ascii")
    page = made(folder, str(file), rules=str(rules)).text
    (drawn,) = re.findall(r'<svg class="sheet".*?</svg>', page, re.DOTALL)
    boxes = re.findall(r'<rect class="(\w+)" .*? width="([\d.]+)" height="([\d.]+)"', drawn)
    (turn,) = re.findall(r'<use href="#drawn-1" transform="(.*?)scale', drawn)
    (told,) = re.findall(r"<dt>lay it</dt><dd>(.*?)</dd>", page)
    (caption,) = re.findall(r"<figcaption>(Seen from.*?)</figcaption>", page)
    return Sheet(
        {name: (float(width), float(height)) for name, width, height in boxes},
        turn.strip(),
        re.findall(r'<path class="squeegee" d="(.*?)"', drawn),
        told,
        caption,
    )


def test_without_a_sheet_of_ones_own_the_smallest_is_drawn_and_said_to_be_that(tmp_path: Path) -> None:
    found = sheet_of(tmp_path, FLAT)
    # 15 mm about 100 x 40 mm
    assert found.boxes["sheet"] == pytest.approx((LONGEST, LONGEST * 70 / 130), abs=0.01)
    assert "margin" not in found.boxes
    assert found.told == (
        "in the middle of a sheet of 130 x 70 mm, the smallest that does, not turned: 15.0 mm bare on the "
        "left and right, 15.0 mm above and below (the rule set names none)"
    )


def test_ones_own_sheet_is_drawn_with_its_margin_and_the_openings_in_it_turned_where_they_have_to_be(
    tmp_path: Path,
) -> None:
    found = sheet_of(tmp_path, FLAT, "sheet: {width: 100 mm, height: 200 mm, unusable: 5 mm}\n")
    scale = LONGEST / 200
    assert found.boxes["sheet"] == pytest.approx((100 * scale, 200 * scale))
    assert found.boxes["margin"] == pytest.approx((90 * scale, 190 * scale))
    # turned: 40 mm wide and 100 mm high
    assert found.boxes["openings"] == pytest.approx((40 * scale, 100 * scale))
    assert found.turn == "rotate(-90)"
    assert found.told == (
        "in the middle of your sheet of 100 x 200 mm, turned by 90 degrees to the left: 30.0 mm bare on the "
        "left and right, 50.0 mm above and below (a file of trim --outlines says itself where it lies)"
    )
    assert "Dashed: 5 mm at each edge are out of the cutter" in found.caption


def test_what_fits_as_it_is_drawn_is_not_turned(tmp_path: Path) -> None:
    found = sheet_of(tmp_path, FLAT, "sheet: {width: 297 mm, height: 210 mm}\n")
    assert found.turn == ""
    assert found.boxes["openings"] == pytest.approx((LONGEST * 100 / 297, LONGEST * 40 / 297), abs=0.01)
    assert "margin" not in found.boxes


def test_a_sheet_that_is_too_small_is_told_and_drawn_as_it_is(tmp_path: Path) -> None:
    found = sheet_of(tmp_path, FLAT, "sheet: {width: 80 mm, height: 80 mm, unusable: 5 mm}\n")
    assert found.boxes["openings"][0] == pytest.approx(LONGEST * 100 / 80)
    assert found.told == ("not on your sheet of 80 x 80 mm: openings would lie beyond what can be cut of it")


def test_where_any_way_of_the_squeegee_will_do_no_arrow_is_drawn(tmp_path: Path) -> None:
    found = sheet_of(tmp_path, FLAT)
    assert found.arrows == []
    assert found.caption.endswith("The squeegee may go any way.")


def test_the_arrow_turns_with_the_layer(tmp_path: Path) -> None:
    # the web lies along y: up and down on a sheet that is higher than wide, left and right on the other
    upright, lying = (
        sheet_of(tmp_path, SLENDER, f"sheet: {{width: {size[0]} mm, height: {size[1]} mm}}\n")
        for size in ((100, 200), (200, 100))
    )
    assert (upright.turn, lying.turn) == ("", "rotate(-90)")
    ways = []
    for found in (upright, lying):
        (arrow,) = found.arrows
        x, y, to_x, to_y = map(float, re.findall(r"-?[\d.]+", arrow)[:4])
        ways.append((abs(to_x - x) > 1, abs(to_y - y) > 1))
        assert found.caption.endswith("The arrow is the way of the squeegee, there and back.")
    assert ways == [(False, True), (True, False)]


@pytest.mark.parametrize(("rules", "word"), [("polyester-75-knife", "film"), ("stainless-100-laser", "foil")])
def test_a_foil_of_metal_is_not_called_film(tmp_path: Path, rules: str, word: str) -> None:
    file = tmp_path / "paste-top.gbr"
    file.write_text(FLAT, encoding="ascii")
    page = made(tmp_path, str(file), rules=rules).text
    body = page.partition("</head>")[2].partition("<script")[0]
    assert f"<dt>{word}</dt>" in body
    assert f'aria-label="The {word}, drawn to scale' in body
    assert f"Openings that fail, by {word} thickness" in body
    assert f"{word}: leftmost to rightmost" in body
    # what checks do is told in the words of `explain`, for all foils
    body = re.sub(r'<section class="looked-at".*?</section>', "", body, flags=re.DOTALL)
    told = re.sub(r"<code>.*?</code>|<[^>]*>", " ", body)
    assert ("film" in told.lower()) == (word == "film")
