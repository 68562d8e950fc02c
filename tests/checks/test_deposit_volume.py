"""What an opening leaves on the board; and the size or foil that leaves as much as is wanted."""

import math

import numpy as np
import pytest

from pastecheck.checks.deposit_volume import Params
from pastecheck.drawing import FloatArray
from tests.checks.readings import RING, Read, flash, read

SLOT = flash("R,0.25X1.5")
TABLE = ((0.5, 0.6), (0.66, 0.8), (0.8, 1.0))


def volume(drawn: str, thickness_mm: float, table: tuple[tuple[float, float], ...] = ((0.0, 1.0),)) -> Read:
    return read("deposit-volume", drawn, params=Params(transfer_efficiency=table), thickness_mm=thickness_mm)


def only(column: FloatArray | None) -> float:
    assert column is not None
    (figure,) = column.tolist()
    return float(figure)


@pytest.mark.parametrize(
    ("drawn", "thickness_mm", "expected_mm3"),
    [
        pytest.param(SLOT, 0.075, 0.028125, id="slot"),
        pytest.param(flash("C,0.4"), 0.1, 0.0125664, id="circle"),
        pytest.param(flash("C,0.3556"), 0.127, 0.0126130, id="circle of 14 mil in 5 mil"),
        pytest.param(RING, 0.1, math.pi * (0.64 - 0.25) * 0.1, id="ring"),
    ],
)
def test_a_volume_is_as_worked_out_by_hand(drawn: str, thickness_mm: float, expected_mm3: float) -> None:
    found = volume(drawn, thickness_mm)
    assert abs(found.value - expected_mm3) <= found.readings.error[0] + 5e-8


# A square of side s has an area ratio of s / 4 T: in 0.125 mm 0.2 has 0.4, 0.25 has 0.5, 0.29 has 0.58,
# 0.33 has 0.66, 0.4 has 0.8, 1.0 has 2.
@pytest.mark.parametrize(
    ("side_mm", "efficiency"), [(0.2, 0.6), (0.25, 0.6), (0.29, 0.7), (0.33, 0.8), (0.4, 1.0), (1.0, 1.0)]
)
def test_the_efficiency_is_linear_between_the_pairs_of_its_table(side_mm: float, efficiency: float) -> None:
    found = volume(flash(f"R,{side_mm}X{side_mm}"), 0.125, TABLE)
    assert found.value == pytest.approx(side_mm**2 * 0.125 * efficiency, abs=1e-9)


@pytest.mark.parametrize(
    "table",
    [(), ((0.6, 0.9), (0.5, 0.8)), ((0.5, 0.8), (0.5, 0.9)), ((0.5, -0.1),), ((0.5, 1.6),)],
    ids=["empty", "descending", "twice", "negative", "too large"],
)
def test_what_is_no_table_of_efficiencies_is_refused(table: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValueError, match="expected"):
        Params(transfer_efficiency=table)


def test_paste_without_mass_is_refused() -> None:
    with pytest.raises(ValueError, match="expected a density"):
        Params(density_g_cm3=0.0)


# ------------------------------------------------------------------------------------------------- wishes


def test_more_paste_comes_from_a_wider_slot_or_a_thicker_foil() -> None:
    # 0.0375 instead of 0.028125: 4 / 3 of the width, or of the thickness
    wish = volume(SLOT, 0.075).wish(0.0375)
    assert only(wish.width_mm) == pytest.approx(0.25 * 4 / 3)
    assert only(wish.thinnest_mm) == pytest.approx(0.1)
    assert math.isnan(only(wish.narrowed_mm))
    assert math.isnan(only(wish.thickness_mm))


def test_less_paste_comes_from_a_narrower_slot_or_a_thinner_foil() -> None:
    wish = volume(SLOT, 0.075).wish(0.01875)
    assert only(wish.narrowed_mm) == pytest.approx(0.25 * 2 / 3)
    assert only(wish.thickness_mm) == pytest.approx(0.05)
    assert math.isnan(only(wish.width_mm))
    assert math.isnan(only(wish.thinnest_mm))


def test_a_circle_grows_both_ways() -> None:
    # four times the paste from twice the diameter
    found = volume(flash("C,0.4"), 0.1)
    assert only(found.wish(4 * found.value).width_mm) == pytest.approx(0.8)


def test_a_thicker_foil_that_releases_less_is_reckoned_with() -> None:
    # a square of 0.33 in 0.125 has a ratio of 0.66, and prints 0.8; one fifth more takes thicker foil, which
    # prints less of it
    found = volume(flash("R,0.33X0.33"), 0.125, TABLE)
    thinnest_mm = only(found.wish(1.05 * found.value).thinnest_mm)
    again = volume(flash("R,0.33X0.33"), thinnest_mm, TABLE)
    assert again.value == pytest.approx(1.05 * found.value, rel=1e-5)


def test_no_foil_is_wished_for_where_none_would_print_as_much() -> None:
    # beyond a ratio of 0.5 the efficiency falls to nothing
    steep = ((0.4, 0.0), (0.66, 0.8))
    found = volume(flash("R,0.33X0.33"), 0.125, steep)
    assert math.isnan(only(found.wish(3 * found.value).thinnest_mm))


def test_a_wider_opening_that_would_print_less_is_not_wished_for() -> None:
    falling = ((0.5, 1.0), (1.0, 0.1))
    found = volume(flash("R,0.25X1.5"), 0.125, falling)
    assert np.isnan(only(found.wish(1.5 * found.value).width_mm))
