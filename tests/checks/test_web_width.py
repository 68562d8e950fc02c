"""Which pairs of openings have a web between them."""

import numpy as np
import pytest

from pastecheck import gerber
from pastecheck.measurements import Foil, Measurements
from pastecheck.openings import cut_from

REACH_MM = 2.0


def _measured(*statements: str) -> Measurements:
    """A layer in millimetres, format 4.6."""
    text = "\n".join(["%FSLAX46Y46*%", "%MOMM*%", *statements, "M02*", ""])
    openings = cut_from(gerber.read(text.encode(), "layer.gbr"))
    return Measurements(openings, Foil("film", "polyester", 0.1))


def _webs(*statements: str) -> list[tuple[int, int, float]]:
    """Rows and width of each web."""
    webs = _measured(*statements).webs_within(REACH_MM)
    gaps_mm = np.round(webs.gap_mm, 6).tolist()
    return list(zip(webs.first.tolist(), webs.second.tolist(), gaps_mm, strict=True))


@pytest.mark.parametrize(
    "aperture",
    ["R,0.1X1", "O,0.1X1", "C,0.1", "P,0.141421356X4X45"],
    ids=["slot", "obround", "circle", "square"],
)
@pytest.mark.parametrize("mirrored", [False, True], ids=["left to right", "right to left"])
def test_in_a_row_of_equal_openings_only_neighbours_have_a_web(aperture: str, *, mirrored: bool) -> None:
    columns = (0, 300000, 600000, 900000)
    drawn = [f"X{-x if mirrored else x}Y0D03*" for x in columns]
    assert _webs(f"%ADD10{aperture}*%", "D10*", *drawn) == [(0, 1, 0.2), (1, 2, 0.2), (2, 3, 0.2)]


def test_a_column_of_slots_is_no_different() -> None:
    drawn = [f"X0Y{y}D03*" for y in (0, 300000, 600000)]
    assert _webs("%ADD10R,1X0.1*%", "D10*", *drawn) == [(0, 1, 0.2), (1, 2, 0.2)]


def test_an_opening_beside_the_shortest_line_leaves_the_web_as_it_is() -> None:
    # squares of 0.2 at x = 0 and 0.6, and one above between them at (0.3, 0.25): 0.1 and 0.05 to each of them
    drawn = ["X0Y0D03*", "X600000Y0D03*", "X300000Y250000D03*"]
    assert _webs("%ADD10R,0.2X0.2*%", "D10*", *drawn) == [(0, 1, 0.4), (0, 2, 0.111803), (1, 2, 0.111803)]


def _triangle(*corners_um: tuple[int, int]) -> list[str]:
    first, *others = [f"X{x * 1000}Y{y * 1000}" for x, y in corners_um]
    return ["G36*", f"{first}D02*", "G01*", *(f"{corner}D01*" for corner in [*others, first]), "G37*"]


def test_openings_that_touch_in_a_point_do_not_hide_each_other_from_a_third() -> None:
    # two wedges whose tips meet at the origin, and a square of 0.2 whose left side is at x = 0.2
    low = _triangle((0, 0), (-1000, -1000), (-1000, -500))
    high = _triangle((0, 0), (-1000, 500), (-1000, 1000))
    square = ["%ADD10R,0.2X0.2*%", "D10*", "X300000Y0D03*"]
    # rows by place: low, square, high
    assert _webs(*square, *low, *high) == [(0, 1, 0.2), (0, 2, 0.0), (1, 2, 0.2)]


@pytest.mark.parametrize("reach_mm", [-0.1, float("inf"), float("nan")])
def test_webs_are_looked_for_within_a_length_only(reach_mm: float) -> None:
    with pytest.raises(ValueError, match="reach_mm must be a length"):
        _measured("%ADD10R,1X1*%", "D10*", "X0Y0D03*").webs_within(reach_mm)


def test_a_shorter_reach_asked_for_later_gives_fewer_webs() -> None:
    m = _measured("%ADD10R,0.1X1*%", "D10*", "X0Y0D03*", "X300000Y0D03*", "X900000Y0D03*")
    assert [len(m.webs_within(reach_mm).first) for reach_mm in (0.3, 0.6, 0.1, 0.3)] == [1, 2, 0, 1]
