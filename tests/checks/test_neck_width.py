"""The narrowest place inside an opening, from Gerber to reading; and what to do about it."""

import math

import numpy as np
import pytest

from pastecheck.check import region
from tests.checks.readings import (
    BOW_TIE,
    C_RING,
    COMB,
    DUMBBELL,
    ELL,
    HALF_DISC,
    HOME_PLATE,
    PLUS,
    RING,
    ROUNDED,
    TRAPEZOID,
    TRIANGLE,
    Read,
    U,
    ellipse,
    flash,
    read,
)


def neck(*drawn: str, thickness_mm: float = 0.1) -> Read:
    return read("neck-width", *drawn, thickness_mm=thickness_mm)


def _pencil(taper_deg: float, tip_deg: float) -> str:
    """Walls 1 mm long that taper to 0.2 mm, and from there to a tip."""
    wide = 0.1 + math.tan(math.radians(taper_deg / 2))
    return region(
        (0, -wide), (1, -0.1), (1 + 0.1 / math.tan(math.radians(tip_deg / 2)), 0), (1, 0.1), (0, wide)
    )


@pytest.mark.parametrize(
    ("drawn", "expected_mm"),
    [
        pytest.param(DUMBBELL, 0.3, id="dumbbell"),
        pytest.param(PLUS, 0.3, id="plus"),
        pytest.param(ELL, 0.3, id="L"),
        pytest.param(U, 0.35, id="U"),  # its bottom and arms
        pytest.param(COMB, 0.3, id="comb"),  # its back
        pytest.param(BOW_TIE, 0.2, id="bow tie"),
        pytest.param(RING, 0.3, id="ring"),
        pytest.param(C_RING, 0.3, id="C ring"),
        pytest.param(TRAPEZOID, 0.2448480, id="trapezoid"),
        pytest.param(TRIANGLE, 0.5773501, id="triangle"),
        # a disc of 0.6 with a bar 0.2 wide that leads out of it
        pytest.param(
            "%ADD10C,0.6*%\n%ADD11R,0.2X1*%\nD10*\nX0Y0D03*\nD11*\nX0Y500000D03*", 0.2, id="keyhole"
        ),
        # arms of a T: the bar is 0.25 thick, the stem 0.2
        pytest.param("%ADD10R,1X0.25*%\n%ADD11R,0.2X1*%\nD10*\nX0Y0D03*\nD11*\nX0Y-500000D03*", 0.2, id="T"),
        # walls 5 and 15 degrees from the axis: 0.2 cos 5 / cos 10
        pytest.param(_pencil(10, 30), 0.2023125, id="pencil"),
        pytest.param(_pencil(0, 30), math.nan, id="pencil with parallel walls: as wide as the opening"),
        pytest.param(flash("R,0.25X1.5"), math.nan, id="slot"),
        pytest.param(flash("O,0.25X0.8"), math.nan, id="obround"),
        pytest.param(flash("C,0.4"), math.nan, id="circle"),
        pytest.param(ROUNDED, math.nan, id="rounded slot"),
        pytest.param(flash("P,0.5X8"), math.nan, id="octagon"),
        pytest.param(HOME_PLATE, math.nan, id="home plate"),
        pytest.param(HALF_DISC, math.nan, id="half disc"),
        pytest.param(ellipse(2, 1), math.nan, id="ellipse"),
    ],
)
def test_a_neck_is_as_worked_out_by_hand(drawn: str, expected_mm: float) -> None:
    found = neck(drawn).readings
    assert np.isnan(found.values[0]) == math.isnan(expected_mm)
    if not math.isnan(expected_mm):
        assert abs(found.values[0] - expected_mm) <= found.error[0] + 5e-8


def test_a_pentagon_reads_the_largest_disc_in_it() -> None:
    # corners on a circle of 1 mm: twice the apothem, cos 36 degrees
    assert neck(flash("P,1X5")).value == pytest.approx(math.cos(math.radians(36)), abs=1e-6)


@pytest.mark.parametrize(("neck_mm", "is_told"), [(0.2970, True), (0.2990, True), (0.2999, False)])
def test_a_neck_a_little_narrower_than_the_opening_is_told(neck_mm: float, *, is_told: bool) -> None:
    # an opening may be wide enough by a hair, and its neck not: the two must not be taken for one
    h = neck_mm / 2
    waisted = region((-0.5, -0.15), (0, -h), (0.5, -0.15), (0.5, 0.15), (0, h), (-0.5, 0.15))
    assert neck(waisted).value == pytest.approx(neck_mm if is_told else math.nan, abs=1e-6, nan_ok=True)


def test_a_neck_is_told_where_it_is() -> None:
    found = neck(BOW_TIE, flash("R,1X1").replace("X0Y0", "X5000000Y1000000"))
    assert found.place_mm[0] == pytest.approx([0.0, 0.0], abs=1e-6)


def test_equal_openings_read_the_same_wherever_they_lie() -> None:
    found = neck(
        "%AMB*4,1,4,-0.5,-0.25,0,-0.1,0.5,-0.25,0.5,0.25,-0.5,-0.25,0*%\n%ADD10B*%\nD10*\n%SRX30Y30I2J2*%\nX0Y0D03*\n%SR*%"
    )
    assert len(found.readings.values) == 900
    assert len(np.unique(found.readings.values)) == 1


# ------------------------------------------------------------------------------------------------- wishes


def test_an_outline_without_inner_corners_is_widened_until_its_neck_passes() -> None:
    found = neck(TRAPEZOID)
    width_mm = found.wish(0.26).width_mm
    assert width_mm is not None
    # all of it stretched by so much across: the same trapezoid, 0.24 w / 0.3 to w wide
    half = width_mm[0] / 2
    wider = region((0, -0.8 * half), (1.5, -half), (1.5, half), (0, 0.8 * half))
    assert 0.26 <= neck(wider).value <= 0.262


def test_to_widen_a_triangle_across_its_height_is_tried_and_told_not_to_help() -> None:
    # its incircle 0.577 grows slower than its height
    width_mm = neck(TRIANGLE).wish(0.65).width_mm
    assert width_mm is not None
    assert np.isnan(width_mm).all()


def test_halves_that_stand_alone_are_to_be_drawn_as_two_openings() -> None:
    assert neck(DUMBBELL).advice(0.35) == "draw it as 2 openings of 1.000 x 1.000 mm without what joins them"


def test_halves_that_lie_too_close_are_not_to_be_drawn_apart() -> None:
    # squares of 1 mm on a bar 0.3 mm long: two openings would have a web of 0.3, below 1.25 x 0.35
    near = DUMBBELL.replace("X-1000000", "X-650000").replace("X1000000", "X650000").replace("3X0.3", "2X0.3")
    assert neck(near).value == pytest.approx(0.3)
    assert neck(near).advice(0.35) == ""


def test_halves_that_would_not_release_are_not_to_be_drawn_apart() -> None:
    # squares of 0.4 mm in 0.2 mm of foil have an area ratio of 0.5
    small = DUMBBELL.replace("R,1X1", "R,0.4X0.4").replace("3X0.3", "2X0.15")
    assert neck(small, thickness_mm=0.2).advice(0.2) == ""
    assert neck(small, thickness_mm=0.1).advice(0.2).startswith("draw it as 2 openings of 0.400 x 0.400 mm")


def test_a_spur_is_to_be_left_out() -> None:
    # 0.1 x 0.3 mm on a square of 1 mm: 0.03 of 1.03 mm2
    spur = "%ADD10R,1X1*%\n%ADD11R,0.1X0.6*%\nD10*\nX0Y0D03*\nD11*\nX0Y500000D03*"
    assert neck(spur).advice(0.2) == "leave out what is narrower than 0.200 mm, 2.9 % of its area"


def test_an_arm_that_is_most_of_the_opening_is_not_to_be_left_out() -> None:
    lollipop = "%ADD10R,0.3X0.3*%\n%ADD11R,0.1X2*%\nD10*\nX0Y0D03*\nD11*\nX0Y1000000D03*"
    assert neck(lollipop).advice(0.2) == ""


@pytest.mark.parametrize("share", [0.8, 0.95, 0.99, 0.999, 0.9999])
@pytest.mark.parametrize("radius_mm", [0.15, 0.5, 1.0, 2.0])
def test_the_error_holds_where_curves_meet_almost_as_tangents(radius_mm: float, share: float) -> None:
    # two circles with their middles apart by some share of the diameter meet in a chord; the smaller it is,
    # the farther are its ends off where their flattened walls cross
    apart_nm = round(2e6 * radius_mm * share)
    found = read("neck-width", f"%ADD10C,{2 * radius_mm}*%\nD10*\nX0Y0D03*\nX{apart_nm}D03*")
    chord_mm = 2 * math.sqrt(radius_mm**2 - (apart_nm / 2e6) ** 2)
    assert abs(found.value - chord_mm) <= found.readings.error[0]
