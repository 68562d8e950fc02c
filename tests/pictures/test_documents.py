"""A picture as a file: its size on paper, what stands below it, what is read aloud."""

import re
from xml.etree import ElementTree as ET

import pytest

from pastecheck.pictures import on_paper, picture_of
from pastecheck.pictures.documents import MARGIN_MM
from tests.drawn import cut
from tests.pictures.judged import judged
from tests.pictures.read_back import named, paths_of, size_mm
from tests.pictures.test_marks import SLOTS

SVG = "{http://www.w3.org/2000/svg}"
TWO = "%ADD10R,1X1*%\nD10*\nX0Y0D03*\nX40000000Y10000000D03*"
"""Openings of 1 mm, 40 and 10 mm apart."""


def test_it_is_as_large_on_paper_as_what_it_shows() -> None:
    paper = on_paper([picture_of(cut(TWO))], "a layer")
    # 41 mm from edge to edge, and a margin on both sides
    assert paper.size_mm[0] == pytest.approx(41 + 2 * MARGIN_MM)
    assert size_mm(paper.text) == pytest.approx(paper.size_mm, abs=1e-3)
    outlines = [ring for path in named(paths_of(paper.text), "outlines") for ring in path.rings()]
    assert max(ring[:, 0].max() for ring in outlines) - min(ring[:, 0].min() for ring in outlines) == (
        pytest.approx(41, abs=1e-3)
    )


def test_two_sides_stand_side_by_side_and_apart() -> None:
    picture = picture_of(cut(TWO))
    paper = on_paper([picture, picture], "a board")
    one, other = named(paths_of(paper.text), "outlines")
    # each 41 mm wide and with two margins, and a margin between them
    assert other.path.bbox()[0] - one.path.bbox()[0] == pytest.approx(41 + 3 * MARGIN_MM, abs=1e-3)


def test_a_small_layer_has_room_for_what_stands_below_it() -> None:
    paper = on_paper([picture_of(cut("%ADD10C,0.3*%\nD10*\nX0Y0D03*"))], "a layer")
    assert paper.size_mm[0] == 14


def test_letters_below_a_wide_picture_are_legible_though_the_other_is_narrow() -> None:
    wide = picture_of(cut("%ADD10R,1X1*%\nD10*\nX0Y0D03*\nX195000000Y0D03*"))
    narrow = picture_of(cut("%ADD10R,1X1*%\nD10*\nX0Y0D03*"))
    alone, both = (on_paper(pictures, "a board") for pictures in ([wide], [wide, narrow]))
    # 196 mm and margins are 200 mm; beside it film of 0.6 times as much, and a margin between
    assert alone.size_mm[0] == pytest.approx(200)
    assert both.size_mm[0] == pytest.approx(200 + MARGIN_MM + 120)
    # by the narrower frame: 0.6 times as high as those of the wide one alone
    high, low = (max(map(float, re.findall(r"scale\(([\d.]+)\)", each.text))) for each in (alone, both))
    assert low / high == pytest.approx(0.6, abs=1e-3)
    _, square = named(paths_of(both.text), "outlines")
    x, _, far_x, _ = square.path.bbox()
    assert (x + far_x) / 2 == pytest.approx(200 + MARGIN_MM + 60, abs=1e-3)


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    text = on_paper([picture_of(cut(TWO))], "a layer").text
    # 45 mm wide: of 100, 50, 20, ... the first that takes no more than 0.6 of that
    assert re.findall(r'd="M[^"]*v[\d.]+h(\d+)v', text) == ["20"]


def test_it_says_what_it_shows_to_those_who_hear_it_read() -> None:
    root = ET.fromstring(on_paper([judged(SLOTS).picture()], "paste-top.gbr").text)
    assert root.get("role") == "img"
    words = {element.get("id"): element.text for element in root.iter() if element.get("id")}
    assert [words[name] for name in (root.get("aria-labelledby") or "").split()] == [
        "paste-top.gbr",
        "top, seen from above; 2 openings; errors in 1 place",
    ]


@pytest.mark.parametrize(
    ("side", "seen", "words"),
    [
        ("top", "as drawn", "top, seen from above"),
        ("bottom", "as drawn", "bottom, seen through the board"),
        ("bottom", "mirrored", "bottom, seen from below"),
        ("unknown", "as drawn", "as the file has it"),
    ],
)
def test_it_says_which_way_it_is_seen(side: str, seen: str, words: str) -> None:
    picture = picture_of(cut(TWO), side=side, is_mirrored=seen == "mirrored")
    assert f">{words}; 2 openings<" in on_paper([picture], "a layer").text


def test_a_hostile_name_is_text() -> None:
    name = '</title><script>alert("1")</script>&amp;'
    root = ET.fromstring(on_paper([picture_of(cut(TWO))], name).text)
    assert root.findtext(f"{SVG}title") == name
    assert not list(root.iter(f"{SVG}script"))


def test_what_may_not_stand_in_a_document_is_left_out_of_its_title() -> None:
    root = ET.fromstring(on_paper([picture_of(cut(TWO))], "a\x1b[31m\udc80\u202e.gbr").text)
    assert root.findtext(f"{SVG}title") == "a\ufffd[31m\ufffd\ufffd.gbr"


def test_nothing_is_loaded_or_run() -> None:
    text = on_paper([judged(SLOTS).picture()], "a layer").text
    assert not re.search(r"<(script|image|foreignObject|a)\b|url\(|@import|\son\w+=", text)
    assert set(re.findall(r'href="([^"])', text)) == {"#"}


def test_paper_is_light_though_the_screen_is_dark() -> None:
    style = on_paper([picture_of(cut(TWO))], "a layer").text.split("<style>")[1]
    light, dark = style.split("@media screen and (prefers-color-scheme:dark)")
    assert "#fbfaf7" in light
    assert "#14191d" in dark
