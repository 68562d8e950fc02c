"""The shortest side as a blade meets it; and what to do about it."""

import math

import numpy as np
import pytest

from pastecheck.check import region
from tests.checks.readings import ELL, HALF_DISC, RING, ROUNDED, TRIANGLE, Read, ellipse, flash, read

STEP = region((0, 0), (1, 0), (1, 0.6), (0.5, 0.6), (0.5, 0.5), (0, 0.5))


def side(*drawn: str, thickness_mm: float = 0.1) -> Read:
    return read("side-length", *drawn, thickness_mm=thickness_mm)


@pytest.mark.parametrize(
    ("drawn", "expected_mm"),
    [
        pytest.param(flash("R,0.25X1.5"), 0.25, id="rectangle"),
        pytest.param(ROUNDED, 0.30, id="rounded rectangle"),
        pytest.param(STEP, 0.10, id="step"),
        pytest.param(region((0, 0), (1, 0), (1, 0.95), (0.95, 1), (0, 1)), 1.0, id="chamfer of 0.05"),
        pytest.param(region((0, 0), (1, 0), (1, 0.9), (0.9, 1), (0, 1)), 1.0, id="chamfer of 0.1"),
        # cut off by 0.3 the corner is two corners of 45 degrees, which are none: sides of 1 mm are left
        pytest.param(region((0, 0), (1, 0), (1, 0.7), (0.7, 1), (0, 1)), 1.0, id="chamfer of 0.3"),
        pytest.param(flash("C,0.35"), 0.175, id="circle"),
        pytest.param(RING, 0.5, id="ring: the wall of its hole"),
        pytest.param(flash("P,0.54X8"), math.nan, id="octagon"),
        pytest.param(flash("P,0.5X6"), 0.25, id="hexagon"),
        pytest.param(flash("O,0.25X0.8"), math.nan, id="obround"),
        pytest.param(ellipse(2, 1), math.nan, id="ellipse"),
        pytest.param(TRIANGLE, 1.0, id="triangle"),
        pytest.param(ELL, 0.3, id="L"),
        pytest.param(HALF_DISC, 2.0, id="half disc: its diameter"),
        # steps of 0.049 are below what a knife repeats
        pytest.param(
            region((0, 0), (1, 0), (1, 0.549), (0.5, 0.549), (0.5, 0.5), (0, 0.5)), 0.5, id="small step"
        ),
    ],
)
def test_a_side_is_as_worked_out_by_hand(drawn: str, expected_mm: float) -> None:
    found = side(drawn)
    bound = float(np.nan_to_num(found.readings.error[0])) + 1e-6
    assert found.value == pytest.approx(expected_mm, abs=bound, nan_ok=True)


def test_a_side_is_told_where_it_is() -> None:
    assert side(STEP).place_mm[0] == pytest.approx([0.5, 0.55])


# ------------------------------------------------------------------------------------------------- wishes


def test_a_circle_is_to_be_cut_as_a_square_of_equal_area() -> None:
    # 0.35 root(pi) / 2
    assert side(flash("C,0.35")).wish(0.195).square_mm == pytest.approx([0.31018], abs=1e-5)


def test_or_to_be_as_large_as_a_blade_can_follow() -> None:
    width_mm = side(flash("C,0.35")).wish(0.195).width_mm
    assert width_mm is not None
    assert width_mm[0] == pytest.approx(0.39)


def test_a_circle_whose_square_would_be_too_small_itself_is_not_to_be_cut_as_one() -> None:
    # 0.886 x 0.21 = 0.186
    assert side(flash("C,0.21")).wish(0.195).square_mm == pytest.approx([math.nan], nan_ok=True)


def test_a_circle_whose_square_would_not_release_is_not_to_be_cut_as_one() -> None:
    # 0.35 / (4 x 0.125) is 0.7, 0.886 of which 0.62
    assert side(flash("C,0.35"), thickness_mm=0.125).advice(0.195) == ""


def test_a_narrow_rectangle_is_to_be_wider() -> None:
    wish = side(flash("R,0.15X1")).wish(0.195)
    assert wish.width_mm is not None
    assert wish.advice is not None
    assert (wish.width_mm[0], wish.advice[0]) == (0.195, "")


def test_a_step_is_to_be_drawn_straight() -> None:
    found = side(STEP)
    assert found.advice(0.195) == "draw the step of 0.100 mm straight"
    width_mm = found.wish(0.195).width_mm
    assert width_mm is not None
    assert math.isnan(width_mm[0])
