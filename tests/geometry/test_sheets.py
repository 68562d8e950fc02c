"""Sheets: the notes' cases by hand, and laws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.sheets import centred_mm, edge_margins_mm, sheet_fit, smallest_sheet_mm

sides = st.tuples(st.integers(1, 400), st.integers(1, 400))


@pytest.mark.parametrize(
    ("extent", "usable", "margin", "spare", "turned"),
    [
        ((80, 60), (100, 100), 10, 0, False),  # 100 - 80 - 20, and 100 - 60 - 20 = 20
        ((90, 60), (100, 100), 10, -10, False),
        # A4 less 10 on all sides: 190 - 100 - 30 = 60, 277 - 160 - 30 = 87
        ((100, 160), (190, 277), 15, 60, False),
        ((160, 100), (190, 277), 15, 60, True),
    ],
)
def test_a_layer_fits_by_what_is_to_spare(
    extent: tuple[float, float], usable: tuple[float, float], margin: float, spare: float, *, turned: bool
) -> None:
    assert sheet_fit(extent, usable, margin) == (spare, turned)


@given(sides, sides, st.integers(0, 30))
def test_turning_layer_or_sheet_changes_nothing_to_spare(
    extent: tuple[int, int], usable: tuple[int, int], margin: int
) -> None:
    spare = sheet_fit(extent, usable, margin).spare_mm
    assert sheet_fit(extent[::-1], usable, margin).spare_mm == spare
    assert sheet_fit(extent, usable[::-1], margin).spare_mm == spare


@given(sides, st.integers(0, 30), st.integers(0, 30))
def test_the_smallest_sheet_just_fits(extent: tuple[int, int], margin: int, unusable: int) -> None:
    short, long = smallest_sheet_mm(extent, margin, unusable)
    assert short <= long
    assert sheet_fit(extent, (short - 2 * unusable, long - 2 * unusable), margin).spare_mm == 0


@pytest.mark.parametrize(
    ("extent", "margin"),
    [
        ((80, 60), 10),  # (100 - 80) / 2
        ((96, 60), 2),
    ],
)
def test_openings_in_the_middle_keep_half_of_what_is_left(extent: tuple[float, float], margin: float) -> None:
    bounds = (5.0, 7.0, 5.0 + extent[0], 7.0 + extent[1])
    assert edge_margins_mm(np.array([bounds]), centred_mm(bounds, (100, 100))).tolist() == [margin]


def test_a_long_layer_is_centred_on_the_turned_sheet() -> None:
    # 10 x 80 on 100 x 50: 80 along 100
    assert centred_mm((0, 0, 10, 80), (100, 50)) == (-20, -10, 30, 90)


def test_an_opening_beyond_the_board_is_so_far_out() -> None:
    # a board 50 wide; openings to 50.2 and 50.4, and one inside
    boxes = np.array([[49.0, 5, 50.2, 6], [49.0, 5, 50.4, 6], [10, 5, 12, 6]])
    assert np.allclose(edge_margins_mm(boxes, (0, 0, 50, 40)), [-0.2, -0.4, 5.0])
