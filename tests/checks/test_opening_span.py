"""The widest place inside an opening; and what to do about it."""

import math

import pytest

from pastecheck.check import region
from tests.checks.readings import HALF_DISC, PLUS, RING, TRIANGLE, ellipse, flash, read

LARGE_ELL = region((0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6))


@pytest.mark.parametrize(
    ("drawn", "expected_mm"),
    [
        pytest.param(flash("R,3X4"), 3.0, id="rectangle"),
        pytest.param(flash("C,5"), 5.0, id="circle"),
        pytest.param(flash("R,1X10"), 1.0, id="slot"),
        pytest.param(flash("O,1X10"), 1.0, id="obround"),
        # about (r, r), through the inner corner: r = (2 - r) root 2
        pytest.param(LARGE_ELL, 4 * math.sqrt(2) / (1 + math.sqrt(2)), id="L"),
        # about the middle, through the four inner corners
        pytest.param(PLUS, 0.3 * math.sqrt(2), id="plus"),
        pytest.param(TRIANGLE, 0.5773501, id="triangle"),
        pytest.param(RING, 0.3, id="ring"),
        pytest.param(HALF_DISC, 1.0, id="half disc"),
        pytest.param(ellipse(2, 1), 1.0, id="ellipse"),
    ],
)
def test_a_span_is_as_worked_out_by_hand(drawn: str, expected_mm: float) -> None:
    found = read("opening-span", drawn)
    # the ellipse is drawn with 720 corners, its sides 2.4 nm within
    assert abs(found.value - expected_mm) <= found.readings.error[0] + 3e-6


# ------------------------------------------------------------------------------------------------- wishes


def test_a_large_land_is_to_be_cut_as_panes() -> None:
    # (3.1 - 0.4) / 2 = 1.35; 4 x 1.35² of 3.1² are 75.9 %
    assert read("opening-span", flash("R,3.1X3.1")).advice(3.06) == (
        "cut it as 2 x 2 panes of 1.350 x 1.350 mm with webs of 0.400 mm, 76 % of its area"
    )


def test_a_long_opening_gets_panes_that_are_no_longer_than_they_may_be_wide() -> None:
    # along 10 mm four panes: (10 - 3 x 0.4) / 4 = 2.2; 8 x 1.4 x 2.2 of 32 mm2
    assert read("opening-span", flash("R,3.2X10")).advice(3.06) == (
        "cut it as 2 x 4 panes of 1.400 x 2.200 mm with webs of 0.400 mm, 77 % of its area"
    )


def test_an_odd_opening_is_to_be_divided_in_general_words() -> None:
    assert read("opening-span", LARGE_ELL).advice(2.0) == (
        "divide it by webs of 0.400 mm into panes of at most 2.000 mm"
    )


def test_a_limit_that_leaves_no_panes_gets_no_advice() -> None:
    assert read("opening-span", flash("R,1X1")).advice(0.4) == ""
