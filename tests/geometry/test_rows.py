"""Rows of like openings: by hand, by trying all threes, and by the laws of moving, turning and order."""

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.rows import Rows, rows_of

UPRIGHT = math.pi / 2
NM_PER_MIL = 25_400
Point = tuple[float, float]


class Lying(NamedTuple):
    """An opening: place and sides in mm, direction of the long side."""

    x: float
    y: float
    width: float = 0.3
    length: float = 1.5
    direction: float = UPRIGHT
    is_round: bool = False


def rows(openings: Sequence[Lying], places_nm: IntArray | None = None) -> Rows:
    column = np.array([tuple(opening) for opening in openings], np.float64).reshape(-1, 6)
    place = np.rint(column[:, :2] * 1e6).astype(np.int64) if places_nm is None else places_nm
    direction = np.where(column[:, 5] > 0, np.nan, column[:, 4])
    return rows_of(place, column[:, 2], column[:, 3], direction, column[:, 5] > 0)


def slots(*x: float, y: float = 0.0, width: float = 0.3, length: float = 1.5) -> list[Lying]:
    """Upright slots side by side."""
    return [Lying(at, y, width, length) for at in x]


def array(
    pitch: Point, counts: tuple[int, int], width: float, *, length: float = 0.0, is_round: bool = False
) -> list[Lying]:
    """Openings in columns and rows."""
    return [
        Lying(k * pitch[0], m * pitch[1], width, length or width, UPRIGHT, is_round)
        for m in range(counts[1])
        for k in range(counts[0])
    ]


def fractions(openings: Sequence[Lying]) -> list[float]:
    return [round(float(fraction), 6) for fraction in rows(openings).fraction]


# ------------------------------------------------------------------------------------- the notes' cases


@pytest.mark.parametrize(
    ("width", "pitch", "fraction"),
    [
        (0.30, 0.50, 0.6),  # 0.30 / 0.50
        (0.25, 0.50, 0.5),
        (0.40, 0.65, 0.615385),  # 0.40 / 0.65
        (0.45, 0.65, 0.692308),
        (0.25, 0.40, 0.625),
    ],
)
def test_slots_at_an_even_pitch_are_one_row(width: float, pitch: float, fraction: float) -> None:
    found = rows(slots(*(k * pitch for k in range(6)), width=width))
    assert found.row.tolist() == [0] * 6
    assert found.order.tolist() == list(range(6))
    assert np.allclose(found.pitch_mm, pitch, rtol=0, atol=1e-9)
    assert np.allclose(found.fraction, fraction, rtol=0, atol=1e-6)
    assert found.row_count.tolist() == [6]
    assert np.allclose(found.row_direction_rad, 0, atol=1e-9)


def test_two_openings_are_no_row() -> None:
    found = rows(slots(0, 0.5))
    assert found.row.tolist() == [-1, -1]
    assert np.isnan(found.pitch_mm).all()
    assert np.isnan(found.extent_mm).all()


def test_nothing_has_no_rows() -> None:
    assert len(rows([])) == 0


def test_nine_panes_are_panes_and_no_leads() -> None:
    # 0.9 of 1.1 is 0.818 both ways
    found = rows(array((1.1, 1.1), (3, 3), 0.9))
    assert found.are_panes().all()
    assert found.are_in_grids.all()


@pytest.mark.parametrize("counts", [(3, 2), (2, 3), (4, 2)])
def test_two_rows_of_panes_are_panes(counts: tuple[int, int]) -> None:
    found = rows(array((1.1, 1.1), counts, 0.9))
    assert (found.row >= 0).all()
    assert found.are_panes().all()


def test_oblong_panes_are_panes_though_their_row_runs_across_the_long_side_only() -> None:
    # 0.8 of 1.0 is 0.8; 1.3 of 1.5 is 0.867
    found = rows(array((1.0, 1.5), (3, 2), 0.8, length=1.3))
    assert len(found) == 2
    assert found.are_panes().all()
    assert np.allclose(found.beside_mm, 1.5)
    assert np.allclose(found.beside_extent_mm, 1.3)


def test_three_panes_in_a_line_cannot_be_told_from_leads() -> None:
    assert not rows(array((1.1, 1.1), (3, 1), 0.9)).are_panes().any()


def test_two_rows_of_leads_far_apart_are_no_panes() -> None:
    # opposite lands of a part: 1.5 of 6 is 0.25
    found = rows(slots(0, 0.5, 1, 1.5) + slots(0, 0.5, 1, 1.5, y=6.0))
    assert len(found) == 2
    assert not found.are_panes().any()


def test_balls_of_a_grid_are_in_rows_of_two_directions_and_no_panes() -> None:
    found = rows(array((0.8, 0.8), (4, 4), 0.4, is_round=True))
    assert found.are_in_grids.all()
    assert not found.are_panes().any()
    assert np.allclose(found.fraction, 0.5)
    # neighbours are nearer than those at 45 degrees
    assert np.allclose(found.pitch_mm, 0.8)
    assert set(found.row_count[found.row].tolist()) == {4}


def test_an_edge_that_is_not_full_belongs_to_its_grid() -> None:
    # a grid of 4 x 4 less a corner: 2 of the 3 left in its first row cross others
    balls = array((0.8, 0.8), (4, 4), 0.4, is_round=True)[1:]
    assert rows(balls).are_in_grids.all()


def test_balls_in_three_directions_are_a_grid_too() -> None:
    # three in a triangle, each side a row of 3 at 0.6
    height = 0.6 * math.sqrt(3) / 2
    balls = [
        Lying(0.6 * k + 0.3 * m, height * m, 0.3, 0.3, 0, is_round=True)
        for m in range(5)
        for k in range(5 - m)
    ]
    found = rows(balls)
    assert np.allclose(found.pitch_mm, 0.6, atol=1e-6)
    assert found.are_in_grids.all()


# ------------------------------------------------------------------------------------------- like or not


def test_the_row_of_a_turned_part_is_found_at_any_angle() -> None:
    for degrees in range(0, 180, 7):
        t = math.radians(degrees)
        turned = [
            Lying(0.5 * k * math.cos(t), 0.5 * k * math.sin(t), 0.3, 1.5, t + UPRIGHT) for k in range(4)
        ]
        found = rows(turned)
        assert found.row.tolist() == [0, 0, 0, 0], degrees
        assert np.allclose(found.fraction, 0.6, atol=1e-5)


def test_a_row_runs_across_the_long_side_only() -> None:
    # end to end: no lead stands so
    assert rows([Lying(0, 1.0 * k, 0.3, 0.8) for k in range(5)]).row.max() == -1


def test_what_is_nearly_square_may_lie_in_a_row_either_way() -> None:
    # 0.52 / 0.50 is 1.04; along the long side it fills 0.52 of 0.8
    assert fractions([Lying(0, 0.8 * k, 0.5, 0.52) for k in range(3)]) == [0.65] * 3
    assert fractions([Lying(0.8 * k, 0, 0.5, 0.52) for k in range(3)]) == [0.625] * 3


def test_squares_do_not_lie_in_a_row_corner_to_corner() -> None:
    assert rows([Lying(0.8 * k, 0.8 * k, 0.4, 0.4) for k in range(4)]).row.max() == -1


@pytest.mark.parametrize("turn", [0.0, UPRIGHT])
def test_either_side_of_a_square_may_be_called_the_long_one(turn: float) -> None:
    squares = [Lying(0.8 * k, 0, 0.4, 0.4, UPRIGHT + (turn if k % 2 else 0.0)) for k in range(4)]
    assert rows(squares).row.tolist() == [0, 0, 0, 0]


def test_a_wide_end_land_ends_a_row() -> None:
    found = rows([*slots(0, 0.5, 1.0, 1.5), Lying(2.0, 0, 0.35, 1.5)])
    assert found.row.tolist() == [0, 0, 0, 0, -1]


def test_lands_that_differ_by_no_more_than_20_um_are_like() -> None:
    found = rows([*slots(0, 0.5, 1.0, 1.5), Lying(2.0, 0, 0.32, 1.52)])
    assert found.row.tolist() == [0] * 5
    assert found.extent_mm.tolist() == [0.3, 0.3, 0.3, 0.3, 0.32]


@pytest.mark.parametrize(("degrees", "row"), [(1.9, 0), (2.1, -1)])
def test_directions_within_2_degrees_are_like(degrees: float, row: int) -> None:
    leads = slots(0, 0.5, 1.0)
    leads[1] = leads[1]._replace(direction=UPRIGHT + math.radians(degrees))
    assert rows(leads).row.tolist() == [row] * 3


def test_directions_on_both_sides_of_a_half_turn_are_like() -> None:
    level = [Lying(0, 0.5 * k, 0.3, 1.5, (0.001 if k % 2 else -0.001) % math.pi) for k in range(4)]
    assert rows(level).row.tolist() == [0] * 4


def test_a_round_opening_is_not_like_a_square_one() -> None:
    # a square first land among round ones
    lands = [Lying(1.27 * k, 0, 0.9, 0.9, UPRIGHT, is_round=k > 0) for k in range(5)]
    assert rows(lands).row.tolist() == [-1, 0, 0, 0, 0]


# ------------------------------------------------------------------------------------------ even or not


def test_a_missing_lead_ends_a_row() -> None:
    found = rows(slots(0, 0.5, 1.0, 2.0, 2.5, 3.0))
    assert found.row.tolist() == [0, 0, 0, 1, 1, 1]


def test_a_row_steps_over_none_of_its_kind() -> None:
    # 0, 1 and 2 are even, but 0.4 stands between
    assert rows(slots(0, 0.4, 1.0, 2.0, length=1.0)).row.tolist() == [-1, -1, -1, -1]


@pytest.mark.parametrize(("pitch", "row"), [(0.249, -1), (0.25, 0), (1.4, 0), (1.401, -1)])
def test_the_pitch_of_a_row_is_between_its_limits(pitch: float, row: int) -> None:
    assert rows(slots(*(k * pitch for k in range(4)), width=0.15)).row.tolist() == [row] * 4


@pytest.mark.parametrize(("off", "row"), [(0.0449, 0), (0.0451, -1)])
def test_three_are_even_if_they_lie_within_30_um_of_a_ladder(off: float, row: int) -> None:
    # the middle one is moved by d: a second difference of 2 d, and a third of that is it off its ladder
    assert rows(slots(0, 0.5 + off, 1.0)).row.tolist() == [row] * 3


def test_a_row_that_leans_is_one_up_to_60_um_a_step() -> None:
    assert rows([Lying(0.5 * k, 0.059 * k) for k in range(5)]).row.tolist() == [0] * 5
    assert rows([Lying(0.5 * k, 0.061 * k) for k in range(5)]).row.max() == -1


def test_where_the_pitch_changes_the_shared_opening_takes_the_smaller() -> None:
    # 0.50 up to the fifth, then 0.54: a second difference of 0.04 is within 0.09, but no ladder fits all
    x = [*(0.5 * k for k in range(5)), *(2.0 + 0.54 * k for k in range(1, 6))]
    found = rows(slots(*x))
    assert np.allclose(found.pitch_mm[:5], 0.50, atol=1e-6)
    assert np.allclose(found.pitch_mm[5:], 0.54, atol=1e-6)
    assert found.row_count.tolist() == [5, 6]


def test_openings_on_an_arc_lie_in_rows_piece_by_piece() -> None:
    # on a circle of 4 mm at 0.5: a chain of three is 0.5² / 4 = 0.0625 off straight: a third is within 0.03
    balls = [
        Lying(4 * math.cos(a), 4 * math.sin(a), 0.3, 0.3, 0, is_round=True) for a in np.arange(20) * 0.125
    ]
    found = rows(balls)
    assert (found.row >= 0).all()
    assert np.allclose(found.pitch_mm, 0.5, atol=2e-3)


def test_openings_on_a_whole_circle_are_all_in_rows() -> None:
    # 60 round openings at 0.5 about a middle: the chain closes in itself
    radius = 0.25 / math.sin(math.pi / 60)
    balls = [
        Lying(
            radius * math.cos(k * math.tau / 60),
            radius * math.sin(k * math.tau / 60),
            0.3,
            0.3,
            0,
            is_round=True,
        )
        for k in range(60)
    ]
    found = rows(balls)
    assert (found.row >= 0).all()
    assert np.allclose(found.pitch_mm, 0.5, atol=2e-3)


def test_staggered_rows_are_rows_each() -> None:
    staggered = slots(0, 0.8, 1.6, 2.4, length=0.5) + slots(0.4, 1.2, 2.0, 2.8, y=0.7, length=0.5)
    found = rows(staggered)
    assert np.allclose(found.pitch_mm, 0.8)
    assert found.row.tolist() == [0] * 4 + [1] * 4


def test_of_two_rows_the_smaller_pitch_is_read() -> None:
    # the corner of an angle of squares, at 0.6 one way and 0.8 the other
    squares = [Lying(0.6 * k, 0, 0.3, 0.3) for k in range(4)] + [
        Lying(0, 0.8 * k, 0.3, 0.3) for k in range(1, 4)
    ]
    found = rows(squares)
    assert np.allclose(found.pitch_mm, [0.6] * 4 + [0.8] * 3)
    assert found.row_count.tolist() == [4, 4]
    assert found.other_row.tolist() == [1, -1, -1, -1, -1, -1, -1]
    # one opening of seven in rows of two directions makes no grid
    assert not found.are_in_grids.any()


@pytest.mark.parametrize("pitch", [0.4, 0.5, 0.65, 0.8, 1.27])
def test_a_row_of_a_file_rounded_to_mils_is_the_row_of_the_exact_file(pitch: float) -> None:
    exact = slots(*(k * pitch for k in range(25)), width=0.2)
    place = np.array([[opening.x * 1e6, 0] for opening in exact])
    place = np.rint(place / NM_PER_MIL).astype(np.int64) * NM_PER_MIL
    found = rows(exact, place)
    assert found.row.tolist() == [0] * 25
    assert found.order.tolist() == list(range(25))
    # 25 places, each off by at most half a mil: far less than that over the length
    assert np.allclose(found.pitch_mm, pitch, rtol=0, atol=0.0254 / 24)


@pytest.mark.parametrize("is_round", [True, False])
def test_members_stand_in_the_order_of_their_row(is_round: bool) -> None:  # noqa: FBT001 -- a parameter
    lands = [Lying(x, 0, 0.4, 0.4, 0, is_round) for x in (1.6, 0.0, 2.4, 0.8)]
    found = rows(lands)
    assert found.order.tolist() == [2, 0, 3, 1]
    assert found.member.tolist() == [1, 3, 0, 2]


# ----------------------------------------------------------------------------------- by trying all threes

SIZES = ((0.15, 0.6), (0.16, 0.61), (0.2, 0.2), (0.25, 0.9))
CELL = 0.3
"""Steps of 1, 2, 3 and 4 cells are within the limits of a pitch, and so are all steps askew up to 1.342."""


@st.composite
def layouts(draw: st.DrawFn, kinds: Sequence[str] = ("slots", "squares", "balls")) -> list[Lying]:
    """A dozen openings on a lattice of 0.3 mm, in two sizes."""
    kind = draw(st.sampled_from(kinds))
    most = 9 if kind == "balls" else 14
    cell = st.integers(0, 5)
    places = draw(st.lists(st.tuples(cell, cell), min_size=1, max_size=most, unique=True))
    openings = []
    for x, y in places:
        width, length = draw(st.sampled_from(SIZES[:2] + SIZES[3:])) if kind == "slots" else SIZES[2]
        direction = draw(st.sampled_from([0.0, UPRIGHT]))
        openings.append(Lying(x * CELL, y * CELL, width, length, direction, is_round=kind == "balls"))
    return openings


def like(a: Lying, b: Lying) -> bool:
    """As the notes define it, kinds kept apart."""
    sides = abs(a.width - b.width) <= 0.02 + 1e-6 and abs(a.length - b.length) <= 0.02 + 1e-6
    turn = abs(a.direction - b.direction) % math.pi
    same = min(turn, math.pi - turn) <= math.radians(2)
    return sides and (a.is_round or square(a) or same)


def square(a: Lying) -> bool:
    return not a.is_round and a.length < 1.05 * a.width


def is_along(a: Lying, dx: float, dy: float) -> bool:
    """Whether a step leads across the long side of an opening."""
    axes = [a.direction + UPRIGHT, *([a.direction] if square(a) else [])]
    return a.is_round or any(abs(dy * math.cos(t) - dx * math.sin(t)) <= 0.06 + 1e-6 for t in axes)


def neighbours(openings: Sequence[Lying]) -> set[tuple[int, int]]:
    """Pairs, both ways, that are like, lie along each other, and have none of their kind between."""

    def meet(i: int, j: int) -> bool:
        dx, dy = openings[j].x - openings[i].x, openings[j].y - openings[i].y
        along = is_along(openings[i], dx, dy) and is_along(openings[j], dx, dy)
        return i != j and like(openings[i], openings[j]) and along and math.hypot(dx, dy) <= 1.46 + 1e-6

    def hides(i: int, m: int, j: int) -> bool:
        (mx, my), (jx, jy) = ((openings[k].x - openings[i].x, openings[k].y - openings[i].y) for k in (m, j))
        ahead = mx * jx + my * jy
        beside = abs(mx * jy - my * jx) / math.hypot(jx, jy)
        return (
            meet(i, m)
            and ahead > 0
            and math.hypot(mx, my) < math.hypot(jx, jy) - 1e-9
            and beside <= 0.06 + 1e-6
        )

    def side_of(i: int, m: int, j: int) -> int:
        """On which side of the way to the other a round one lies that is between the two; 0 if it is not."""
        (mx, my), (jx, jy) = ((openings[k].x - openings[i].x, openings[k].y - openings[i].y) for k in (m, j))
        nearer = max(math.hypot(mx, my), math.hypot(mx - jx, my - jy)) < 0.82 * math.hypot(jx, jy)
        return int(np.sign(mx * jy - my * jx)) if openings[i].is_round and meet(i, m) and nearer else 0

    every = range(len(openings))
    seen = {
        (i, j)
        for i, j in itertools.permutations(every, 2)
        if meet(i, j)
        and not any(hides(i, m, j) for m in every if m not in {i, j})
        and not {-1, 1} <= {side_of(i, m, j) for m in every if m not in {i, j}}
    }
    return {(i, j) for i, j in seen if (j, i) in seen}


def smallest_pitches(openings: Sequence[Lying]) -> list[float]:
    """For each opening the smallest pitch of the threes it is in; NaN for none."""
    pairs = neighbours(openings)
    pitch = [math.inf] * len(openings)
    for (i, j), (j2, k) in itertools.product(pairs, pairs):
        if j != j2 or i == k:
            continue
        a, b, c = openings[i], openings[j], openings[k]
        off = math.hypot(a.x - 2 * b.x + c.x, a.y - 2 * b.y + c.y) / 3
        step = math.hypot(c.x - a.x, c.y - a.y) / 2
        if off <= 0.03 + 1e-6 and 0.25 - 1e-6 <= step <= 1.4 + 1e-6:
            for one in (i, j, k):
                pitch[one] = min(pitch[one], step)
    return [value if value < math.inf else math.nan for value in pitch]


@given(layouts())
def test_pitches_are_those_found_by_trying_all_threes(openings: list[Lying]) -> None:
    assert np.allclose(rows(openings).pitch_mm, smallest_pitches(openings), rtol=0, atol=1e-6, equal_nan=True)


def shaken(openings: Sequence[Lying], shakes: Sequence[Point]) -> list[Lying]:
    return [o._replace(x=o.x + dx, y=o.y + dy) for o, (dx, dy) in zip(openings, shakes, strict=False)]


shakes = st.lists(st.tuples(*[st.integers(-10, 10).map(lambda um: um / 1000)] * 2), min_size=14, max_size=14)
"""10 um both ways: two centres stay within 0.06 beside each other, three within 0.03 of a ladder."""


@given(layouts(), shakes)
def test_shaken_by_10_um_the_same_openings_are_in_rows(openings: list[Lying], by: list[Point]) -> None:
    moved = shaken(openings, by)
    assert (rows(moved).row >= 0).tolist() == [not math.isnan(pitch) for pitch in smallest_pitches(moved)]


# -------------------------------------------------------------------------------------------------- laws


def read(found: Rows) -> FloatArray:
    """What does not depend on where, how turned and in which order openings are told. Shape (n, 4)."""
    in_rows = np.where(found.row >= 0, found.row_count[found.row] if len(found) else 0, 0)
    return np.column_stack([found.pitch_mm, found.fraction, in_rows, found.are_in_grids])


def agree(one: FloatArray, other: FloatArray) -> bool:
    # a pitch is known to the rounding of places to 1 nm
    return bool(np.allclose(one, other, rtol=0, atol=1e-4, equal_nan=True))


@given(layouts(), shakes, st.integers(-(10**9), 10**9), st.integers(-(10**9), 10**9))
def test_moving_a_layer_changes_no_reading(openings: list[Lying], by: list[Point], dx: int, dy: int) -> None:
    moved = shaken(openings, by)
    place = np.rint(np.array([[o.x * 1e6, o.y * 1e6] for o in moved])).astype(np.int64)
    assert agree(read(rows(moved, place)), read(rows(moved, place + np.array([dx, dy]))))


@given(layouts(), shakes, st.floats(0, 360))
def test_turning_a_layer_changes_no_reading(openings: list[Lying], by: list[Point], degrees: float) -> None:
    t = math.radians(degrees)
    moved = shaken(openings, by)
    turned = [
        o._replace(
            x=o.x * math.cos(t) - o.y * math.sin(t),
            y=o.x * math.sin(t) + o.y * math.cos(t),
            direction=(o.direction + t) % math.pi,
        )
        for o in moved
    ]
    assert agree(read(rows(moved)), read(rows(turned)))


@given(layouts(), shakes)
def test_mirroring_a_layer_changes_no_reading(openings: list[Lying], by: list[Point]) -> None:
    moved = shaken(openings, by)
    mirrored = [o._replace(x=-o.x, direction=(-o.direction) % math.pi) for o in moved]
    assert agree(read(rows(moved)), read(rows(mirrored)))


@given(layouts(), shakes, st.randoms(use_true_random=False))
def test_the_order_of_openings_changes_no_reading(
    openings: list[Lying], by: list[Point], random: object
) -> None:
    moved = shaken(openings, by)
    order = list(range(len(moved)))
    random.shuffle(order)  # type: ignore[attr-defined]
    assert agree(read(rows(moved))[order], read(rows([moved[k] for k in order])))


@given(layouts())
def test_each_row_names_its_members(openings: list[Lying]) -> None:
    found = rows(openings)
    begin = np.cumsum(found.row_count) - found.row_count
    for opening in np.flatnonzero(found.row >= 0):
        row = found.row[opening]
        assert found.member[begin[row] + found.order[opening]] == opening
    assert (found.row_count >= 3).all()


def test_ten_thousand_openings_in_one_row_are_one_row() -> None:
    found = rows(slots(*(0.5 * k for k in range(10_000))))
    assert found.row_count.tolist() == [10_000]
