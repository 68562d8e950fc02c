"""Contours that cross themselves are told: readers differ about their area. Those that only touch are not."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.openings import Openings
from tests.drawn import areas_mm2, codes_of, cut

Point = tuple[float, float]
SQUARE: list[Point] = [(0, 0), (10, 0), (10, 10), (0, 10)]
DIAMOND: list[Point] = [(1, 5), (5, 1), (9, 5), (5, 9)]
"""Within the square; its area is half of 8 x 8."""


def at(point: Point) -> str:
    return f"X{round(point[0] * 1e6)}Y{round(point[1] * 1e6)}"


def region(points: list[Point]) -> list[str]:
    """A region of one contour with straight edges."""
    return [
        "G36*",
        f"{at(points[0])}D02*",
        "G01*",
        *(f"{at(p)}D01*" for p in [*points[1:], points[0]]),
        "G37*",
    ]


def of(points: list[Point]) -> Openings:
    return cut(*region(points))


def outline(points: list[Point]) -> Openings:
    """A flash of a macro with one outline."""
    numbers = ",".join(f"{x},{y}" for x, y in [*points, points[0]])
    return cut("%AMM*", f"4,1,{len(points)},{numbers},0*%", "%ADD10M*%", "D10*", "X0Y0D03*")


BOW_TIE: list[Point] = [(0, 0), (10, 10), (10, 0), (0, 10)]
TWICE_ROUND = SQUARE + SQUARE
PENTAGRAM: list[Point] = [(math.cos(0.8 * k * math.pi), math.sin(0.8 * k * math.pi)) for k in range(5)]
LOOP: list[Point] = [(0, 0), (10, 0), (10, 10), (4, 10), (4, -2), (2, -2), (2, 10), (0, 10)]
"""A comb that reaches out of the square through its lower side."""
CROSSING = (BOW_TIE, TWICE_ROUND, PENTAGRAM, LOOP)

CUT_IN: list[Point] = [
    (0, 5),
    (0, 0),
    (10, 0),
    (10, 10),
    (0, 10),
    (0, 5),
    *DIAMOND[:1],
    *DIAMOND[:0:-1],
    (1, 5),
]
"""The square round about, then over a bridge and round the diamond the other way."""
ISLAND: list[Point] = [
    (0, 0),
    (10, 0),
    (10, 10),
    (0, 10),
    (0, 5),
    (-1, 5),
    (-5, 9),
    (-9, 5),
    (-5, 1),
    (-1, 5),
    (0, 5),
]
"""The square, and a diamond outside of it at the end of a bridge without area."""
PINCHED: list[Point] = [(0, 0), (5, 0), (5, 5), (10, 5), (10, 10), (5, 10), (5, 5), (0, 5)]
"""Two squares of 5 x 5 that touch in a corner, round both in the same direction."""
SPIKE: list[Point] = [(0, 0), (10, 0), (10, 10), (10, 15), (10, 10), (0, 10)]
"""A side that runs out and back on itself."""
TOUCHING = ((CUT_IN, 68.0), (ISLAND, 132.0), (PINCHED, 50.0), (SPIKE, 100.0), (SQUARE, 100.0))


@pytest.mark.parametrize("points", CROSSING)
@pytest.mark.parametrize("draw", [of, outline])
def test_a_contour_that_crosses_itself_is_told(
    draw: Callable[[list[Point]], Openings], points: list[Point]
) -> None:
    assert "crossing-contour" in codes_of(draw(points))


@pytest.mark.parametrize(("points", "area_mm2"), TOUCHING)
def test_a_contour_that_only_touches_itself_is_cut_as_it_is(points: list[Point], area_mm2: float) -> None:
    for openings in (of(points), of(points[::-1]), outline(points)):
        assert codes_of(openings) == []
        assert areas_mm2(openings).sum() == pytest.approx(area_mm2)


def test_a_cut_in_along_arcs_is_no_crossing() -> None:
    # a disc of radius 2 mm with a hole of 1 mm: 3 pi
    openings = cut(
        "G75*", "G36*", "X2000000Y0D02*", "G03*", "X2000000Y0I-2000000J0D01*", "G01*", "X1000000D01*", "G02*",
        "X1000000Y0I-1000000J0D01*", "G01*", "X2000000D01*", "G37*",
    )  # fmt: skip
    assert codes_of(openings) == []
    assert areas_mm2(openings).sum() == pytest.approx(3 * math.pi, rel=1e-4)


def test_a_hole_on_a_bridge_that_goes_round_as_the_disc_does_is_told() -> None:
    openings = cut(
        "G75*", "G36*", "X2000000Y0D02*", "G03*", "X2000000Y0I-2000000J0D01*", "G01*", "X1000000D01*", "G03*",
        "X1000000Y0I-1000000J0D01*", "G01*", "X2000000D01*", "G37*",
    )  # fmt: skip
    assert codes_of(openings) == ["crossing-contour"]


def test_a_cut_in_that_leaves_a_slanted_side_where_whole_nanometres_allow_is_no_crossing() -> None:
    # (10/3, 1) lies on the side from (0, 0) to (10, 3), and is a third of a nanometre off as it is written
    begin = (3.333333, 1.0)
    hole: list[Point] = [(3.0, 2.0), (3.0, 3.0), (4.0, 3.0), (4.0, 2.0), (3.0, 2.0)]
    openings = of([(0, 0), begin, *hole, begin, (10, 3), (10, 10), (0, 10)])
    assert codes_of(openings) == []
    # 100 less the triangle under the side, 10 x 3 / 2, less the hole
    assert areas_mm2(openings).sum() == pytest.approx(84, abs=1e-4)


def test_every_line_that_draws_a_crossing_contour_is_told_once() -> None:
    openings = cut(*region(BOW_TIE), *region(SQUARE), *region([(x + 20, y) for x, y in BOW_TIE]))
    (said,) = (one for one in openings.diagnostics if one.code == "crossing-contour")
    assert said.span.line == 6
    assert said.text.startswith("2 things drawn with a contour that crosses itself")
    assert said.text.endswith("drawn at lines 6, 22")


@given(st.lists(st.floats(0.5, 10), min_size=3, max_size=30), st.floats(0, 360))
def test_a_star_shaped_contour_never_crosses_itself(reach_mm: list[float], turn: float) -> None:
    angle = [math.radians(turn) + 2 * math.pi * k / len(reach_mm) for k in range(len(reach_mm))]
    points = [(r * math.cos(a), r * math.sin(a)) for r, a in zip(reach_mm, angle, strict=True)]
    assert "crossing-contour" not in codes_of(of(points))


@given(st.permutations(range(9)))
def test_what_turns_by_another_area_than_it_covers_is_told(order: list[int]) -> None:
    # corners of a regular nonagon in any order: the shoelace formula gives the covered area without crossings
    points = [(math.cos(2 * math.pi * k / 9), math.sin(2 * math.pi * k / 9)) for k in order]
    pairs = zip(points, [*points[1:], points[0]], strict=True)
    turning_mm2 = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2
    openings = of(points)
    differs = abs(areas_mm2(openings).sum() - turning_mm2) > 0.01  # slivers may be left out
    assert not differs or "crossing-contour" in codes_of(openings)
