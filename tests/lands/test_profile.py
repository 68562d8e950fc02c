"""The board is what closed lines of its outline enclose, by their middles."""

import math

import pytest
import shapely

from pastecheck.errors import GerberUnsupportedError, InputError
from pastecheck.lands import Profile, profile_of
from pastecheck.openings import GeometryArray
from tests.drawn import mm_layer, read_text
from tests.lands.drawn import area, line

PEN = ("%ADD10C,0.2*%", "D10*")


def profile(*drawn: str) -> Profile:
    return profile_of(read_text(mm_layer(*PEN, *drawn)))


def frame(low: float, high: float) -> tuple[str, ...]:
    """A square."""
    return line((low, low), (high, low), (high, high), (low, high), (low, low))


def areas_mm2(outlines: GeometryArray) -> list[float]:
    return sorted(round(float(one), 6) for one in shapely.area(outlines))


def test_the_middle_of_the_pen_is_the_edge() -> None:
    assert areas_mm2(profile(*frame(0, 50)).boards) == [2500]


def test_strokes_may_come_in_any_order_and_direction() -> None:
    sides = [line((50, 50), (50, 0)), line((0, 0), (50, 0)), line((0, 50), (0, 0)), line((50, 50), (0, 50))]
    assert areas_mm2(profile(*(one for side in sides for one in side)).boards) == [2500]


def test_arcs_are_as_exact_as_areas_of_openings() -> None:
    # a full circle of 10 mm, flattened at equal area
    assert areas_mm2(profile("G75*", "G03*", "X5000000Y0D02*", "X5000000Y0I-5000000J0D01*").boards) == [
        pytest.approx(25 * math.pi, rel=1e-5)
    ]


def test_a_filled_outline_counts_by_its_edge() -> None:
    assert areas_mm2(profile(*area((0, 0), (50, 0), (50, 40), (0, 40))).boards) == [2000]


def test_what_lies_inside_is_cut_out_and_what_lies_in_that_is_board_again() -> None:
    found = profile(*frame(0, 50), *frame(10, 40), *frame(20, 30))
    assert areas_mm2(found.boards) == [100, 2500]
    assert areas_mm2(found.cutouts) == [900]


def test_boards_apart_are_boards() -> None:
    assert areas_mm2(profile(*frame(0, 10), *frame(20, 50)).boards) == [100, 900]


def test_boards_that_share_an_edge_are_one() -> None:
    found = profile(*frame(0, 50), *line((25, 0), (25, 50)))
    assert (areas_mm2(found.boards), areas_mm2(found.cutouts)) == ([2500], [])


def test_lines_that_are_drawn_twice_change_nothing() -> None:
    assert areas_mm2(profile(*frame(0, 50), *frame(0, 50)).boards) == [2500]


def test_ends_that_miss_each_other_by_a_hair_are_taken_to_meet() -> None:
    # the last corner is 0.03 off the first
    found = profile(*line((0, 0), (50, 0), (50, 50), (0, 50), (0, 0.03)))
    assert areas_mm2(found.boards) == [pytest.approx(2500, abs=0.01)]


def test_an_end_that_misses_the_side_of_a_line_is_too() -> None:
    found = profile(*line((0, -9), (0, 50), (50, 50), (50, 0), (0.03, 0)))
    assert areas_mm2(found.boards) == [pytest.approx(2500, abs=0.01)]


def test_a_curve_of_short_pieces_keeps_its_shape() -> None:
    # a circle of 10 mm in 2,000 chords of 0.016 mm: ends of neighbours lie closer than what is taken to meet
    corners = [
        (5 * math.cos(2 * math.pi * k / 2000), 5 * math.sin(2 * math.pi * k / 2000)) for k in range(2000)
    ]
    assert areas_mm2(profile(*line(*corners, corners[0])).boards) == [pytest.approx(25 * math.pi, rel=1e-4)]


def test_lines_that_enclose_nothing_are_told_and_passed_over() -> None:
    found = profile(*frame(0, 50), *line((60, 0), (60, 50)))
    assert areas_mm2(found.boards) == [2500]
    (said,) = found.diagnostics
    assert (said.code, said.level.value) == ("loose-lines", "note")
    assert "50.000 mm" in said.text


def test_flashes_and_what_is_clear_are_no_edge() -> None:
    found = profile(*frame(0, 50), "X25000000Y25000000D03*", "%LPC*%", *frame(10, 20))
    assert (areas_mm2(found.boards), areas_mm2(found.cutouts)) == ([2500], [])


@pytest.mark.parametrize(
    ("drawn", "says"),
    [
        (
            line((0, 0), (50, 0), (50, 50), (0, 50), (0, 1)),
            r"no line of the outline closes: one begins at \(0",
        ),
        (("X0Y0D03*",), "the outline draws no line and no area"),
    ],
)
def test_an_outline_that_closes_nowhere_is_refused(drawn: tuple[str, ...], says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        profile(*drawn)
    assert caught.value.code == "open-outline"


def test_lines_across_one_another_beyond_all_sense_are_refused() -> None:
    hatched = ("%SRX2000Y1I0.000001J0*%", *line((0, 0), (50, 50)), "%SR*%")
    with pytest.raises(GerberUnsupportedError, match="lines of the outline lie across each other"):
        profile(*hatched)
