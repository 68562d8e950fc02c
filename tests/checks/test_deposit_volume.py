"""What an opening leaves on the board; and the size or foil that leaves as much as is wanted."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

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


# A square of 0.4 mm: area over perimeter is 0.1 mm. By the table all comes out in 0.125 mm and less, 0.6
# of it in 0.2 mm and more; at ratios r between 0.5 and 0.66 it is 0.6 + 1.25 (r - 0.5).
@pytest.mark.parametrize(
    ("height_mm", "thinnest_mm"),
    [
        pytest.param(0.05, 0.05, id="ratio 2: all of it"),
        pytest.param(0.125, 0.125, id="ratio 0.8: all of it still"),
        pytest.param(0.12121212, 0.12121212, id="ratio 0.825"),
        # -0.025 T + 0.125 = 0.12 at T = 0.2; from there 0.6 T
        pytest.param(0.18, 0.3, id="ratio 0.33: 0.6 of it"),
    ],
)
def test_the_thinnest_foil_that_prints_a_height_is_as_worked_out_by_hand(
    height_mm: float, thinnest_mm: float
) -> None:
    found = Params(transfer_efficiency=TABLE).thinnest_mm(np.array([height_mm]), np.array([0.1]))
    assert found == pytest.approx([thinnest_mm], abs=1e-7)


@given(
    steps=st.lists(st.tuples(st.floats(0.05, 0.5), st.floats(0.0, 1.5)), min_size=1, max_size=4),
    height_mm=st.floats(0.01, 0.3),
)
def test_no_thinner_foil_prints_a_height(steps: list[tuple[float, float]], height_mm: float) -> None:
    ratios = np.cumsum([step for step, _ in steps])
    params = Params(transfer_efficiency=tuple(zip(ratios.tolist(), [e for _, e in steps], strict=True)))
    (found,) = params.thinnest_mm(np.array([height_mm]), np.array([0.1]))
    foils = np.linspace(1e-3, min(found, 3.0), 500)
    printed = foils * params.efficiency(0.1 / foils)
    assert (printed[:-1] < height_mm + 1e-9).all()
    if np.isfinite(found):
        assert found * params.efficiency(np.array([0.1 / found])) == pytest.approx([height_mm], rel=1e-6)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Params(usual_foil_mm=0.0),
        lambda: Params(usual_of_pitch=0.0),
        lambda: Params(usual_of_thermal=0.0),
    ],
    ids=["foil", "pitch", "thermal"],
)
def test_what_is_usual_is_more_than_nothing(wrong: Callable[[], Params]) -> None:
    with pytest.raises(ValueError, match="above 0"):
        wrong()
