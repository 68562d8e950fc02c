"""Balls across an opening, over those that should be; and what to do about it."""

import math

import numpy as np
import pytest

from pastecheck.checks.powder_fit import Params
from pastecheck.measurements.powder import LARGEST_BALL_MM, finer_types, powder_type
from tests.checks.readings import BOW_TIE, DUMBBELL, ROUNDED, TRAPEZOID, Read, flash, read


def fit(drawn: str, **params: float) -> Read:
    return read("powder-fit", drawn, params=Params(**params))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("drawn", "powder", "expected"),
    [
        pytest.param(flash("R,0.19X1.5"), 4, 1.0, id="slot of 0.19"),
        pytest.param(flash("R,0.2X1.5"), 3, 0.2 / 0.225, id="slot of 0.2, type 3"),  # 0.889
        pytest.param(flash("C,0.3"), 4, 0.3 / 0.304, id="circle of 0.3"),  # 0.987
        pytest.param(flash("C,0.275"), 4, 0.275 / 0.304, id="circle of 0.275"),  # 0.905
        pytest.param(flash("O,0.19X0.8"), 4, 1.0, id="obround"),
        pytest.param(ROUNDED, 4, 0.3 / 0.19, id="rounded slot"),
        pytest.param(flash("P,0.4X8"), 4, 0.4 * math.cos(math.pi / 8) / 0.19, id="octagon: not round"),
        pytest.param(BOW_TIE, 4, 0.2 / 0.19, id="bow tie: its waist"),
        pytest.param(TRAPEZOID, 4, 0.2448480 / 0.19, id="trapezoid: its narrow end"),
        pytest.param(DUMBBELL, 4, 0.3 / 0.19, id="dumbbell: its bar"),
    ],
)
def test_a_fit_is_as_worked_out_by_hand(drawn: str, powder: int, expected: float) -> None:
    found = fit(drawn, powder_type=powder)
    assert abs(found.value - expected) <= found.readings.error[0] + 1e-7


# From an octagon (0.948) to a circle: a polygon of n corners has 4 pi A / P² = (pi / n) / tan(pi / n). It is
# above 0.97 from 11 on, where it is 0.9727; ten have 0.9669.
@pytest.mark.parametrize(("corners", "balls"), [(10, 5), (11, 8)])
def test_a_polygon_is_round_from_eleven_corners_on(corners: int, balls: int) -> None:
    found = fit(flash(f"P,0.4X{corners}"))
    across = min(found.m.width_mm[0], found.m.insides.necks.width_mm[0])
    assert found.value == pytest.approx(across / (balls * 0.038))


@pytest.mark.parametrize(
    ("powder", "least_mm", "least_round_mm"),
    [
        # standards: 5 and 8 of the largest balls of each type
        (3, 0.225, 0.360),
        (4, 0.190, 0.304),
        (5, 0.125, 0.200),
        (6, 0.075, 0.120),
        (7, 0.055, 0.088),
        (8, 0.040, 0.064),
    ],
)
def test_the_smallest_openings_of_each_type_fit_just(
    powder: int, least_mm: float, least_round_mm: float
) -> None:
    assert fit(flash(f"R,{least_mm}X1"), powder_type=powder).value == pytest.approx(1.0)
    assert fit(flash(f"C,{least_round_mm}"), powder_type=powder).value == pytest.approx(1.0)


def test_other_numbers_of_balls_and_another_largest_ball_may_be_asked_for() -> None:
    assert fit(flash("R,0.2X1"), balls=4).value == pytest.approx(0.2 / (4 * 0.038))
    assert fit(flash("C,0.2"), balls_round=5).value == pytest.approx(0.2 / (5 * 0.038))
    assert fit(flash("R,0.2X1"), largest_ball_mm=0.04).value == pytest.approx(1.0)


@pytest.mark.parametrize("params", [{"powder_type": 2}, {"powder_type": 9}, {"balls": 0}, {"balls_round": 0}])
def test_what_is_no_powder_is_refused(params: dict[str, int]) -> None:
    with pytest.raises(ValueError, match="expected"):
        Params(**params)


def test_another_type_brings_its_own_balls_and_keeps_how_many_are_wanted() -> None:
    params = Params(powder_type=4, balls=6, largest_ball_mm=0.04).of_type(5)
    assert (params.balls, params.ball_mm) == (6, 0.025)
    with pytest.raises(ValueError, match="expected a powder-type"):
        params.of_type(9)


# ------------------------------------------------------------------------------------------------- powder


@pytest.mark.parametrize("text", ["4", " 4 ", "T4", "t 4", "type 4", "Type 4"])
def test_a_type_is_read_as_people_write_it(text: str) -> None:
    assert powder_type(text) == 4


@pytest.mark.parametrize("text", ["", "2", "9", "44", "four", "4.5", "-4", "4\x1b[31m"])
def test_a_type_that_is_not_known_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="expected a powder type, one of 3, 4, 5, 6, 7, 8") as refused:
        powder_type(text)
    assert "\x1b" not in str(refused.value)


def test_finer_types_have_smaller_balls() -> None:
    assert finer_types(LARGEST_BALL_MM[4]) == [5, 6, 7, 8]
    assert finer_types(0.04) == [4, 5, 6, 7, 8]
    assert finer_types(0.008) == []


# ------------------------------------------------------------------------------------------------- wishes


def test_the_next_finer_type_that_fits_is_told() -> None:
    # 0.19 mm hold five balls of 25 um with room to spare, 0.1 mm only those of 15 um
    assert fit(flash("R,0.18X1")).advice(1.0) == "use powder of type 5, with balls of at most 25 um"
    assert fit(flash("R,0.1X1")).advice(1.0) == "use powder of type 6, with balls of at most 15 um"
    assert fit(flash("C,0.25")).advice(1.0) == "use powder of type 5, with balls of at most 25 um"


def test_a_circle_whose_square_holds_five_balls_is_to_be_cut_as_one() -> None:
    # 0.25 root(pi) / 2 = 0.222 mm hold five balls of 38 um
    found = read("powder-fit", flash("C,0.25"), thickness_mm=0.075)
    assert found.wish(1.0).square_mm == pytest.approx([0.221557], abs=1e-6)
    # 0.213 mm do not hold five of 45 um
    coarse = read("powder-fit", flash("C,0.24"), params=Params(powder_type=3), thickness_mm=0.075)
    assert coarse.wish(1.0).square_mm == pytest.approx([math.nan], nan_ok=True)
    assert coarse.advice(1.0) == "use powder of type 5, with balls of at most 25 um"


def test_where_no_powder_is_fine_enough_none_is_told() -> None:
    assert fit(flash("R,0.03X1")).advice(1.0) == ""


def test_the_width_that_holds_the_balls_is_wished_for() -> None:
    for drawn, wanted in ((flash("R,0.15X1"), 0.19), (flash("C,0.25"), 0.304)):
        width_mm = fit(drawn).wish(1.0).width_mm
        assert width_mm is not None
        assert width_mm[0] == pytest.approx(wanted)


def test_no_width_is_wished_for_where_a_neck_holds_too_few() -> None:
    width_mm = fit(BOW_TIE).wish(1.2).width_mm
    assert width_mm is not None
    assert np.isnan(width_mm).all()
