"""Film between two parts of one opening, how narrow and how slender; and what to do about it."""

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
    PLUS,
    RING,
    ROUNDED,
    Read,
    U,
    flash,
    read,
)

NOTCH = region((0, 0), (1, 0), (1, 1), (0.6, 1), (0.6, 0.7), (0.4, 0.7), (0.4, 1), (0, 1))
V_NOTCH = region((0, 0), (1, 0), (1, 1), (0.712237, 1), (0.5, 0.5), (0.287763, 1), (0, 1))
WIDE_NOTCH = region((0, 0), (2, 0), (2, 1), (1.4, 1), (1.4, 0.3), (0.7, 0.3), (0.7, 1), (0, 1))
"""0.7 mm wide."""
TWO_NOTCHES = region(
    (0, 0),
    (2, 0),
    (2, 1),
    (1.45, 1),
    (1.45, 0.2),
    (1.2, 0.2),
    (1.2, 1),
    (0.6, 1),
    (0.6, 0.7),
    (0.4, 0.7),
    (0.4, 1),
    (0, 1),
)
"""One of 0.2 x 0.3 and one of 0.25 x 0.8 mm."""


def tongue(*drawn: str, reach: float = 0.225) -> Read:
    return read("film-tongue", *drawn, reach=reach)


def slenderness(*drawn: str) -> Read:
    return read("tongue-slenderness", *drawn)


@pytest.mark.parametrize(
    ("drawn", "width_mm", "slender"),
    [
        pytest.param(U, 0.3, 0.65 / 0.3, id="U"),
        pytest.param(COMB, 0.1, 7.0, id="comb"),
        pytest.param(NOTCH, 0.2, 1.5, id="notch"),
        pytest.param(TWO_NOTCHES, 0.2, 0.8 / 0.25, id="two notches: the narrower one, the slenderer one"),
        pytest.param(V_NOTCH, math.nan, math.nan, id="V of 46 degrees"),
        pytest.param(WIDE_NOTCH, math.nan, math.nan, id="wider than 0.6 mm"),
        pytest.param(ELL, math.nan, math.nan, id="L"),
        pytest.param(PLUS, math.nan, math.nan, id="plus"),
        pytest.param(DUMBBELL, math.nan, math.nan, id="dumbbell 1 mm long"),
        pytest.param(BOW_TIE, math.nan, math.nan, id="bow tie"),
        pytest.param(RING, math.nan, math.nan, id="ring"),
        pytest.param(ROUNDED, math.nan, math.nan, id="rounded slot"),
        pytest.param(HALF_DISC, math.nan, math.nan, id="half disc"),
        pytest.param(flash("C,0.4"), math.nan, math.nan, id="circle"),
    ],
)
def test_a_tongue_is_as_worked_out_by_hand(drawn: str, width_mm: float, slender: float) -> None:
    for found, expected in ((tongue(drawn), width_mm), (slenderness(drawn), slender)):
        assert found.value == pytest.approx(
            expected, abs=float(np.nan_to_num(found.readings.error[0])) + 1e-7, nan_ok=True
        )


def test_the_mouth_of_a_c_ring_is_a_tongue() -> None:
    assert tongue(C_RING).value == pytest.approx(0.2, abs=1e-7)
    # walls at y = +-0.1 from root(0.5² - 0.1²) = 0.4899 to root(0.8² - 0.1²) = 0.7937: 0.3038 / 0.2; the
    # inner circle faces the mouth a little farther, as far as 1.2 widths reach
    found = slenderness(C_RING)
    assert found.value == pytest.approx(0.3038 / 0.2, abs=0.05)


def test_a_dumbbell_with_a_short_bar_has_a_tongue_on_either_side() -> None:
    # squares of 1 mm, 0.2 mm apart, on a bar of 0.3: two slots 0.35 deep
    short = DUMBBELL.replace("X-1000000", "X-600000").replace("X1000000", "X600000").replace("3X0.3", "2X0.3")
    assert tongue(short).value == pytest.approx(0.2)
    assert slenderness(short).value == pytest.approx(0.35 / 0.2, abs=5e-3)


def test_wider_tongues_are_read_if_a_limit_asks_for_them() -> None:
    assert math.isnan(tongue(WIDE_NOTCH, reach=0.6).value)
    assert tongue(WIDE_NOTCH, reach=0.75).value == pytest.approx(0.7)


def test_an_opening_in_the_slot_of_another_leaves_the_tongue_as_it_is() -> None:
    dot = "%ADD20C,0.1*%\nD20*\nX500000Y800000D03*"
    assert tongue(U, dot).readings.values.tolist() == pytest.approx([0.3, math.nan], nan_ok=True)


def test_a_tongue_is_told_where_it_is_narrowest_and_where_it_is_slenderest() -> None:
    assert tongue(TWO_NOTCHES).place_mm[0, 0] == pytest.approx(0.5)
    assert slenderness(TWO_NOTCHES).place_mm[0, 0] == pytest.approx(1.325)


# ------------------------------------------------------------------------------------------------- wishes


def test_a_notch_is_to_be_filled_or_drawn_wider_where_the_opening_has_room() -> None:
    # the notch of 0.2 x 0.3 mm: 0.06 mm2; beside it 0.4 mm are left, of which 0.05 may go
    assert tongue(NOTCH).advice(0.25) == (
        "draw the notch 0.250 mm wide, or fill the notch: the opening grows by 0.0600 mm2"
    )


def test_a_notch_beside_narrow_arms_is_to_be_filled() -> None:
    # arms of 0.25 on either side of a slot of 0.2 x 0.5
    narrow = region(
        (0, 0), (0.7, 0), (0.7, 0.8), (0.45, 0.8), (0.45, 0.3), (0.25, 0.3), (0.25, 0.8), (0, 0.8)
    )
    assert tongue(narrow).advice(0.24) == "fill the notch: the opening grows by 0.1000 mm2"


def test_a_slender_notch_is_to_be_cut_less_deep() -> None:
    # three widths of 0.25; filled it brings 0.25 x 0.8
    assert slenderness(TWO_NOTCHES).advice(3.0) == (
        "cut the notch no deeper than 0.750 mm, or fill it: the opening grows by 0.2000 mm2"
    )
