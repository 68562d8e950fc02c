"""
What checks foresee of a changed layer: by hand, and held against measuring it.

No check may foresee better than what is then read, but for its error bound. Those that cannot foresee all say
so (`Check.foresees`); what they read is measured anew before a remedy is granted.
"""

from typing import Final

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.check import Check, Needs, Readings, Scope, Worse
from pastecheck.checks import catalogue
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.measurements.remade import remade as remade_by_us
from pastecheck.report import is_round
from tests.drawn import board
from tests.judge.layouts import random_layer
from tests.judge.remade import remade
from tests.judge.slots import Slot, measured

REACH_MM: Final = 0.5
THICKNESS_MM: Final = 0.075
MOVES: Final = 1e-3
"""The window of the open fraction moves with the middle of its opening."""

FORESEEN = [
    pytest.param(name, id=name)
    for name, check in catalogue().items()
    if check.outlook and check.needs is Needs.NOTHING and (check.foresees or name == "web-width")
]


def changed_at_random(m: Measurements, seed: int) -> Changed:
    """Most openings narrower, shorter, larger or drawn back on one side."""
    chance = np.random.default_rng(seed)
    count = len(m.openings)
    sides_mm = np.column_stack([m.length_mm, m.width_mm])
    share = chance.uniform(-0.1, 0.35, (count, 2)) * (chance.random((count, 2)) < 0.7)
    inset_mm = np.repeat((share * sides_mm / 2)[:, :, None], 2, axis=2)
    inset_mm[chance.random((count, 2)) < 0.3, 1] = 0.0
    rounds = is_round(m.width_mm, m.length_mm, m.area_mm2)
    inset_mm[rounds] = inset_mm[rounds].max(axis=(1, 2), keepdims=True)
    inset_mm[chance.random(count) < 0.4] = 0.0
    return Changed(m, inset_mm, np.full(count, m.foil.thickness_mm))


def by_pairs(readings: Readings, values: object) -> dict[tuple[int, int], float]:
    """Readings by their openings."""
    first, second = (each.tolist() for each in readings.pairs)
    return dict(zip(zip(first, second, strict=True), np.asarray(values).tolist(), strict=True))


def foreseen(check: Check, changed: Changed, readings: Readings) -> dict[tuple[int, int], float]:
    assert check.outlook
    with np.errstate(divide="ignore", invalid="ignore"):
        return by_pairs(readings, check.outlook(changed, readings))


@pytest.mark.parametrize("name", FORESEEN)
@given(st.integers(0, 2**32 - 1))
def test_nothing_better_is_foreseen_than_what_is_read(name: str, seed: int) -> None:
    check, changed = catalogue()[name], changed_at_random(random_layer(seed, THICKNESS_MM), seed)
    nearer_mm = 2 * float(changed.grown_mm.max(initial=0.0))
    before = check.measure(changed.m, Scope(check.params(), REACH_MM, nearer_mm))
    after = check.measure(remade(changed), Scope(check.params(), REACH_MM))
    known, bound = foreseen(check, changed, before), by_pairs(after, after.error)
    sign = 1 if check.worse is Worse.BELOW else -1
    loose = MOVES if name == "open-fraction" else 1e-6
    for pair, value in by_pairs(after, after.values).items():
        # a web that another opening no longer hides, and a window with one opening more, are new
        if not np.isnan(known.get(pair, np.nan)) and not np.isnan(value):
            assert sign * (known[pair] - value) <= bound[pair] + loose * (1 + abs(value)), pair


@given(st.integers(0, 2**32 - 1))
def test_a_layer_is_remade_as_others_would_draw_it(seed: int) -> None:
    changed = changed_at_random(random_layer(seed, THICKNESS_MM), seed)
    ours, theirs = remade_by_us(changed), remade(changed)
    for column in ("width_mm", "length_mm", "area_mm2", "perimeter_mm", "centroid_mm"):
        assert getattr(ours, column) == pytest.approx(getattr(theirs, column), abs=1e-5)
    assert changed.area_mm2 == pytest.approx(theirs.area_mm2, abs=1e-9)
    assert changed.perimeter_mm == pytest.approx(theirs.perimeter_mm, abs=1e-9)


# ------------------------------------------------------------------------------------------------ by hand

SIDE_BY_SIDE = [Slot(0.0, 0.0, 0.30, 1.5), Slot(0.5, 0.0, 0.30, 1.5)]


def changed(slots: list[Slot], *inset_mm: tuple[float, float, float, float], board_of: str = "") -> Changed:
    """Slots with their sides drawn in: where the length begins and ends, on its right and on its left."""
    m = measured(slots)
    if board_of:
        m = Measurements(m.openings, m.foil, board=board(m.openings, board_of, board_of))
    return Changed(m, np.array(inset_mm).reshape(-1, 2, 2), np.full(len(slots), m.foil.thickness_mm))


def read(name: str, layer: Changed) -> list[float]:
    """What a check foresees, in order of its readings."""
    check = catalogue()[name]
    readings = check.measure(layer.m, Scope(check.params(), REACH_MM))
    return list(foreseen(check, layer, readings).values())


def test_a_slot_that_is_narrowed_keeps_its_length() -> None:
    # 0.30 less 0.02 and 0.03 is 0.25 wide: area 0.375, perimeter 3.5
    layer = changed([Slot(0.0, 0.0, 0.30, 1.5)], (0.0, 0.0, 0.02, 0.03))
    assert (layer.width_mm[0], layer.length_mm[0]) == pytest.approx((0.25, 1.5))
    assert (layer.area_mm2[0], layer.perimeter_mm[0]) == pytest.approx((0.375, 3.5))


def test_a_circle_stays_one() -> None:
    layer = changed([Slot(0.0, 0.0, 0.40)], (0.05, 0.05, 0.05, 0.05))
    assert (layer.width_mm[0], layer.radius_mm[0]) == pytest.approx((0.30, 0.15))
    assert layer.area_mm2[0] == pytest.approx(np.pi * 0.15**2)


def test_the_side_that_was_the_longer_one_may_become_the_shorter_one() -> None:
    layer = changed([Slot(0.0, 0.0, 0.30, 0.32)], (0.02, 0.02, 0.0, 0.0))
    assert (layer.width_mm[0], layer.length_mm[0]) == pytest.approx((0.28, 0.30))


def test_a_web_grows_by_what_both_sides_are_drawn_back() -> None:
    # upright: the direction is up, so left is towards -x. The left slot's right side, the right one's left
    layer = changed(SIDE_BY_SIDE, (0.0, 0.0, 0.01, 0.0), (0.0, 0.0, 0.0, 0.02))
    assert read("web-width", layer) == pytest.approx([0.23])


def test_a_web_does_not_grow_by_what_is_taken_off_the_far_sides() -> None:
    layer = changed(SIDE_BY_SIDE, (0.0, 0.0, 0.0, 0.05), (0.0, 0.0, 0.05, 0.0))
    assert read("web-width", layer) == pytest.approx([0.20])


def test_a_web_is_as_slender_as_its_new_sides_make_it() -> None:
    # 1.5 long and 0.25 wide instead of 0.20
    layer = changed(SIDE_BY_SIDE, (0.0, 0.0, 0.025, 0.025), (0.0, 0.0, 0.025, 0.025))
    assert read("web-slenderness", layer) == pytest.approx([6.0])


def test_a_row_fills_less_of_its_pitch_until_it_is_not_judged_any_more() -> None:
    # 0.33 at 0.5: 0.66. Narrowed to 0.28 it leaves 0.22, below 0.235: 0.56; to 0.26 it leaves 0.24
    row = [Slot(0.5 * k, 0.0, 0.33, 1.5) for k in range(3)]
    some, more = ((0.0, 0.0, inset, inset) for inset in (0.025, 0.035))
    assert read("pitch-fraction", changed(row, *[some] * 3)) == pytest.approx([0.56] * 3)
    assert np.isnan(read("pitch-fraction", changed(row, *[more] * 3))).all()


LAND = "%ADD10R,0.4X1.6*%\nD10*\nX0Y0D03*"


def test_a_land_is_covered_by_as_much_more_as_the_opening_grows_upon_it() -> None:
    # 0.3 x 1.5 of 0.4 x 1.6 is 0.703; 0.35 x 1.5 is 0.820
    layer = changed([Slot(0.0, 0.0, 0.30, 1.5)], (0.0, 0.0, -0.025, -0.025), board_of=LAND)
    assert read("land-coverage", layer) == pytest.approx([0.525 / 0.64])


def test_a_land_is_covered_by_no_more_where_the_opening_grows_beyond_it() -> None:
    layer = changed([Slot(0.0, 0.0, 0.30, 1.5)], (0.0, 0.0, -0.1, -0.1), board_of=LAND)
    assert read("land-coverage", layer) == pytest.approx([0.45 / 0.64])


def test_paste_gets_no_higher_where_an_opening_shrinks() -> None:
    # 0.2 x 1.5 of 0.64 mm2, 75 um thick
    layer = changed([Slot(0.0, 0.0, 0.30, 1.5)], (0.0, 0.0, 0.05, 0.05), board_of=LAND)
    assert read("deposit-height", layer) == pytest.approx([0.3 / 0.64 * 0.075])


def test_thinner_foil_raises_ratios_and_lowers_the_paste() -> None:
    layer = changed([Slot(0.0, 0.0, 0.30, 1.5)], (0.0, 0.0, 0.0, 0.0), board_of=LAND)
    thin = Changed(layer.m, layer.inset_mm, np.array([0.05]))
    assert read("aspect-ratio", thin) == pytest.approx([6.0])
    assert read("area-ratio", thin) == pytest.approx([0.45 / (3.6 * 0.05)])
    assert read("deposit-height", thin) == pytest.approx([0.45 / 0.64 * 0.05])
