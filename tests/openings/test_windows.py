"""Lands with windows: what was drawn before a clear thing is gone where that lies."""

from math import pi

import pytest

from pastecheck.geometry.mending import GRID_MM
from tests.drawn import areas_mm2, codes_of, cut

# a land of 4 x 4 on line 6 with a window of 3 x 3 on line 9; what follows is drawn from line 11
WINDOW = (
    "%ADD10R,4X4*%",
    "%ADD11R,3X3*%",
    "D10*",
    "X0Y0D03*",
    "%LPC*%",
    "D11*",
    "X0Y0D03*",
    "%LPD*%",
    "%ADD12R,1X1*%",
    "D12*",
)


def test_an_opening_in_a_window_is_no_piece_of_the_land() -> None:
    openings = cut(*WINDOW, "X0Y0D03*")
    assert sorted(areas_mm2(openings)) == pytest.approx([1.0, 7.0])
    assert sorted(openings.line.tolist()) == [6, 13]
    assert codes_of(openings) == []


@pytest.mark.parametrize(
    ("x_nm", "areas"),
    [
        pytest.param(999_000, [1.0, 7.0], id="a micrometre beside the edge"),
        pytest.param(1_000_000, [8.0], id="along the edge"),
        pytest.param(1_500_000, [7.5], id="half across the edge"),
    ],
)
def test_an_opening_at_the_edge_of_a_window_joins_the_land_if_it_touches(
    x_nm: int, areas: list[float]
) -> None:
    assert sorted(areas_mm2(cut(*WINDOW, f"X{x_nm}Y0D03*"))) == pytest.approx(areas)


def test_what_is_cleared_within_a_window_cuts_only_what_was_drawn_in_it() -> None:
    # a disc of 0.5 out of the square of 1 x 1 in the window, whose curve the land knows nothing of
    openings = cut(*WINDOW, "X0Y0D03*", "%LPC*%", "%ADD13C,0.5*%", "D13*", "X0Y0D03*")
    assert sorted(areas_mm2(openings)) == pytest.approx([1 - pi / 16, 7.0], rel=1e-6)
    assert openings.shapes.tolerance_mm.min() <= GRID_MM


def test_what_fills_a_window_again_joins_the_land() -> None:
    assert areas_mm2(cut(*WINDOW, "D11*", "X0Y0D03*")).tolist() == pytest.approx([16.0])


def test_windows_within_windows_leave_frames_within_frames() -> None:
    # 16 - 9, then 1 - 0.25 in the window of the first, then 0.01 in that of the second
    inner = (
        "%ADD13R,0.5X0.5*%",
        "%ADD14R,0.1X0.1*%",
        "%LPC*%",
        "D13*",
        "X0Y0D03*",
        "%LPD*%",
        "D14*",
        "X0Y0D03*",
    )
    assert sorted(areas_mm2(cut(*WINDOW, "X0Y0D03*", *inner))) == pytest.approx([0.01, 0.75, 7.0])
