"""Close pairs against brute force, gaps against flattened outlines, places of webs by hand."""

import math
from itertools import combinations

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.boxes import TooManyPairsError, close_boxes
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.pairs import (
    Apart,
    cores_apart,
    gaps,
    gaps_apart,
    nearest_places,
    placed,
    places_apart,
)
from tests.geometry.shapes import Drawn, GeometryArray, column, grown, hull, rectangle, solids

Box = tuple[int, int, int, int]
Columns = tuple[GeometryArray, FloatArray]
ROUNDING = 1e-9

places = st.integers(-60, 60)
sizes = st.one_of(st.integers(0, 5), st.integers(0, 5), st.integers(0, 100), st.integers(1000, 10**6))
boxes = st.builds(lambda x, y, w, h: (x, y, x + w, y + h), places, places, sizes, sizes)
even_reaches = st.integers(0, 20).map(lambda half: 2 * half)


def _table(of: list[Box], scale: int = 1) -> IntArray:
    return np.array(of, np.int64).reshape(-1, 4) * scale


def _found(of: list[Box], reach_nm: int, scale: int = 1) -> list[tuple[int, int]]:
    first, second = close_boxes(_table(of, scale), reach_nm)
    return list(zip(first.tolist(), second.tolist(), strict=True))


def _apart(one: Box, other: Box) -> int:
    """How far boxes lie apart in x or y, whichever is more; negative where they overlap."""
    return max(other[0] - one[2], one[0] - other[2], other[1] - one[3], one[1] - other[3])


def _by_force(of: list[Box], reach_nm: int) -> list[tuple[int, int]]:
    return [(i, j) for i, j in combinations(range(len(of)), 2) if _apart(of[i], of[j]) <= reach_nm]


@given(st.lists(boxes, max_size=25), even_reaches)
def test_close_boxes_are_those_that_brute_force_finds(of: list[Box], reach_nm: int) -> None:
    assert _found(of, reach_nm) == _by_force(of, reach_nm)


@given(st.lists(boxes, max_size=12), st.integers(0, 20).map(lambda half: 2 * half + 1))
def test_an_odd_reach_counts_as_the_next_even_one(of: list[Box], reach_nm: int) -> None:
    assert _found(of, reach_nm) == _by_force(of, reach_nm + 1)


@given(st.lists(boxes, max_size=12))
def test_boxes_of_a_real_layer_are_no_different(of: list[Box]) -> None:
    # a step of 10 um: the frame of a metre stands among openings of tenths of a millimetre
    assert _found(of, 100_000, scale=10_000) == _by_force(of, 10)


def test_boxes_exactly_as_far_apart_as_the_reach_are_close() -> None:
    assert _found([(0, 0, 10, 10), (17, 0, 20, 10)], 7) == [(0, 1)]
    assert _found([(0, 0, 10, 10), (18, 0, 20, 10)], 6) == []


def test_boxes_that_only_share_a_corner_touch() -> None:
    assert _found([(0, 0, 10, 10), (10, 10, 20, 20)], 0) == [(0, 1)]


def test_a_frame_around_many_small_boxes_meets_each_and_each_only_once() -> None:
    frame = [(0, 0, 10**8, 10**8)]
    small = [(k * 10**6, k * 10**6, k * 10**6 + 10, k * 10**6 + 10) for k in range(1, 50)]
    assert _found(frame + small, 0) == [(0, k) for k in range(1, 50)]


@given(st.lists(boxes, min_size=2, max_size=25), st.integers(0, 60))
def test_more_pairs_than_are_wanted_are_refused_with_a_bound_that_would_do(of: list[Box], most: int) -> None:
    count = len(_by_force(of, 0))
    if count <= most:
        assert len(close_boxes(_table(of), most=most).first) == count
        return
    with pytest.raises(TooManyPairsError) as refused:
        close_boxes(_table(of), most=most)
    assert len(close_boxes(_table(of), most=refused.value.bound).first) == count


def test_boxes_all_across_each_other_are_refused_before_their_pairs_take_memory() -> None:
    # 1e6 boxes make 5e11 pairs, which would take 8 TB
    step = np.arange(1_000_000)[:, None]
    with pytest.raises(TooManyPairsError):
        close_boxes(np.array([[0, 0, 10**7, 10**7]]) + step, most=2_000_000)


def test_many_large_boxes_among_many_small_ones_are_those_that_brute_force_finds() -> None:
    random = np.random.default_rng(11)
    count, large = 3000, 1100  # more pairs than are tried one by one
    low = random.integers(0, 10**8, (count, 2))
    size = random.integers(10**5, 2 * 10**5, (count, 2))
    size[random.permutation(count)[:large], random.integers(0, 2, large)] *= 60  # bars, upright or lying
    table = np.concatenate([low, low + size], axis=1)
    meet = (table[:, None, :2] <= table[None, :, 2:]).all(axis=2)
    first, second = np.nonzero(np.triu(meet & meet.T, k=1))
    found = close_boxes(table)
    assert len(first) > large
    assert np.array_equal(found.first, first)
    assert np.array_equal(found.second, second)


@pytest.mark.parametrize("count", [0, 1])
def test_fewer_than_two_boxes_have_no_pairs(count: int) -> None:
    assert _found([(0, 0, 1, 1)] * count, 10) == []


def test_moved_geometries_keep_their_form() -> None:
    moved = placed(column([rectangle(2, 1), hull([(0, 0)])]), np.array([3.0, 1.0]), np.array([4.0, 2.0]))
    assert moved[0].bounds == (2.0, 3.5, 4.0, 4.5)
    assert moved[1].coords[0] == (1.0, 2.0)


def _pair(one: Drawn, other: Drawn, dx_mm: float, dy_mm: float) -> tuple[Columns, Columns]:
    """Columns of one row for a solid and another that is moved."""
    moved = shapely.affinity.translate(other.core, dx_mm, dy_mm)
    return (column([one.core]), np.array([one.radius_mm])), (column([moved]), np.array([other.radius_mm]))


@given(solids, solids)
def test_a_gap_is_that_between_the_flattened_outlines(one: Drawn, other: Drawn) -> None:
    left, right = _pair(one, other, 9.0, 1.0)  # cores reach 2 mm, radii 2 mm: always apart
    flat_mm = grown(left[0][0], one.radius_mm).distance(grown(right[0][0], other.radius_mm))
    assert abs(gaps(*left, *right)[0] - flat_mm) <= 2 * FLATNESS_MM


def test_a_gap_between_circles_needs_no_outlines() -> None:
    left, right = _pair(Drawn(hull([(0, 0)]), 0.2), Drawn(hull([(0, 0)]), 0.3), 0.6, 0.8)
    assert math.isclose(gaps(*left, *right)[0], 0.5, rel_tol=ROUNDING)  # hypot(0.6, 0.8) - 0.2 - 0.3


def test_rounded_solids_that_overlap_have_a_negative_gap() -> None:
    left, right = _pair(Drawn(hull([(0, 0)]), 0.2), Drawn(hull([(0, 0)]), 0.2), 0.3, 0.0)
    assert math.isclose(gaps(*left, *right)[0], -0.1, rel_tol=ROUNDING)


@given(solids, solids)
def test_the_narrowest_place_is_the_same_from_both_sides(one: Drawn, other: Drawn) -> None:
    left, right = _pair(one, other, 9.0, 1.0)
    assert np.allclose(nearest_places(*left, *right), nearest_places(*right, *left), rtol=0, atol=ROUNDING)


@given(solids, solids)
def test_the_narrowest_place_is_half_a_gap_from_either_side(one: Drawn, other: Drawn) -> None:
    left, right = _pair(one, other, 9.0, 1.0)
    place = shapely.Point(nearest_places(*left, *right)[0])
    half_mm = gaps(*left, *right)[0] / 2
    from_sides = [place.distance(core[0]) - radius_mm[0] for core, radius_mm in (left, right)]
    # corners within 1 nm of the shortest distance count as nearest, so the place may be off by as much
    assert np.allclose(from_sides, half_mm, rtol=0, atol=2e-6)


@pytest.mark.parametrize(
    ("one", "other", "dx_mm", "dy_mm", "place_mm"),
    [
        # sides at x = 0.125 and 0.375 face each other from y = -0.75 to 0.75
        pytest.param(*[Drawn(rectangle(0.25, 1.5), 0.0)] * 2, 0.5, 0.0, (0.25, 0.0), id="side by side"),
        # the second is moved up by 1: they face each other from y = 0.25 to 0.75
        pytest.param(*[Drawn(rectangle(0.25, 1.5), 0.0)] * 2, 0.5, 1.0, (0.25, 0.5), id="shifted"),
        # a short one beside a long one, at y = 0.5: from y = 0.4 to 0.6
        pytest.param(
            Drawn(rectangle(0.25, 1.5), 0.0),
            Drawn(rectangle(0.25, 0.2), 0.0),
            0.5,
            0.5,
            (0.25, 0.5),
            id="short",
        ),
        # corners at (0.5, 0.5) and (0.7, 0.7)
        pytest.param(*[Drawn(rectangle(1, 1), 0.0)] * 2, 1.2, 1.2, (0.6, 0.6), id="corner to corner"),
        # circles of radius 0.1 at x = 0 and 0.3 at x = 1: film from 0.1 to 0.7
        pytest.param(
            Drawn(hull([(0, 0)]), 0.1), Drawn(hull([(0, 0)]), 0.3), 1.0, 0.0, (0.4, 0.0), id="unequal circles"
        ),
        # obrounds of 0.2 x 1.2 upright, 0.5 apart: middle lines from y = -0.5 to 0.5
        pytest.param(*[Drawn(hull([(0, -500), (0, 500)]), 0.1)] * 2, 0.5, 0.0, (0.25, 0.0), id="obrounds"),
    ],
)
def test_the_place_of_a_web_is_in_the_middle_of_the_sides_that_face_each_other(
    one: Drawn, other: Drawn, dx_mm: float, dy_mm: float, place_mm: tuple[float, float]
) -> None:
    left, right = _pair(one, other, dx_mm, dy_mm)
    assert np.allclose(nearest_places(*left, *right), [place_mm], rtol=0, atol=ROUNDING)


# -------------------------------------------------------------------------------------- many pairs at once


def _waves(vertices: int) -> shapely.Polygon:
    """A ring about (0, 0) of radius 10, in waves of 0.1, with a hole of radius 8."""
    angle = np.arange(vertices) * (2 * math.pi / vertices)
    reach = 10 + 0.1 * (np.arange(vertices) % 2)
    shell = np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])
    return shapely.Polygon(shell, [0.8 * shell])


@pytest.mark.parametrize("vertices", [16, 4_000])
@pytest.mark.parametrize("way", [1, -1])
def test_gaps_to_an_outline_of_any_number_of_vertices_are_those_of_each_pair(vertices: int, way: int) -> None:
    # discs in a grid: inside the hole, across the ring, within it and outside
    x_mm, y_mm = (axis.ravel() for axis in np.meshgrid(np.linspace(-12, 12, 25), np.linspace(-12, 12, 25)))
    core, radius_mm = column([_waves(vertices), shapely.Point(0, 0)]), np.array([0.0, 0.2])
    ring, disc = np.zeros(len(x_mm), np.int64), np.ones(len(x_mm), np.int64)
    pairs = Apart(*((ring, disc) if way == 1 else (disc, ring)), way * x_mm, way * y_mm)
    found = gaps_apart(core, radius_mm, pairs, 0.5)
    expected = shapely.distance(core[0], shapely.points(x_mm, y_mm)) - 0.2
    near = expected <= 0.5
    assert 0 < np.count_nonzero(near) < len(near)
    assert np.allclose(found[near], expected[near], rtol=0, atol=1e-12)
    assert (found[~near] > 0.5).all()


def test_a_line_inside_a_neighbour_of_many_corners_has_no_distance_from_it() -> None:
    angle = np.linspace(0, 6, 3_000)
    core = column([shapely.LineString(np.column_stack([angle, np.sin(angle)])), _waves(1_000).buffer(30)])
    rows = np.zeros(200, np.int64)
    pairs = Apart(rows, rows + 1, np.linspace(-1, 1, 200), np.zeros(200))
    assert (gaps_apart(core, np.zeros(2), pairs, 0.5) == 0).all()


@pytest.mark.parametrize("inner", [100, 300])
def test_rings_of_many_corners_around_each_other_are_as_far_apart_as_each_pair(inner: int) -> None:
    rings = [shapely.affinity.scale(_waves(4_000), 1.03**n, 1.03**n) for n in range(12)]
    core = column([_waves(4_000), *(shapely.Polygon(ring.exterior, [ring.interiors[0]]) for ring in rings)])
    other = np.arange(1, len(core))
    pairs = Apart(np.zeros_like(other), other, np.full(len(other), inner / 10), np.zeros(len(other)))
    found = gaps_apart(core, np.zeros(len(core)), pairs, 50.0)
    expected = [shapely.distance(core[0], shapely.affinity.translate(one, inner / 10)) for one in core[1:]]
    assert np.allclose(found, expected, rtol=0, atol=1e-12)


def test_an_outline_inside_a_neighbour_has_no_distance_from_it() -> None:
    core, radius_mm = column([_waves(400), rectangle(30, 30)]), np.zeros(2)
    rows = np.zeros(2_000, np.int64)
    pairs = Apart(rows, rows + 1, np.linspace(-1, 1, 2_000), np.zeros(2_000))
    assert (gaps_apart(core, radius_mm, pairs, 0.5) == 0).all()


@given(st.lists(solids, min_size=2, max_size=6), st.integers(-3000, 3000), st.integers(-3000, 3000))
def test_cores_apart_are_as_far_apart_as_the_second_moved(several: list[Drawn], x: int, y: int) -> None:
    core, radius_mm = column([one.core for one in several]), np.array([one.radius_mm for one in several])
    one, other = np.arange(len(several) - 1), np.arange(1, len(several))
    pairs = Apart(one, other, np.full(len(one), x / 1000), np.full(len(one), y / 1000))
    moved = placed(core[other], pairs.dx_mm, pairs.dy_mm)
    expected = gaps(core[one], radius_mm[one], moved, radius_mm[other])
    assert np.allclose(
        shapely.distance(*cores_apart(core, pairs)), shapely.distance(core[one], moved), atol=1e-9
    )
    assert np.allclose(gaps_apart(core, radius_mm, pairs, 1.0), expected, rtol=0, atol=1e-9)


@pytest.mark.parametrize("vertices", [16, 4_000])
@pytest.mark.parametrize("way", [1, -1])
def test_places_beside_an_outline_of_any_number_of_vertices_are_those_of_each_pair(
    vertices: int, way: int
) -> None:
    # discs of 0.2 in the middle of the hole, and 0.05 to 0.45 from its edge and from the outer one
    angle = np.linspace(0, 6, 50)
    reach_mm = np.where(np.arange(50) % 2, 7.55, 10.55)
    x_mm, y_mm = reach_mm * np.cos(angle), reach_mm * np.sin(angle)
    core, radius_mm = column([_waves(vertices), shapely.Point(0, 0)]), np.array([0.0, 0.2])
    ring, disc = np.zeros(50, np.int64), np.ones(50, np.int64)
    pairs = Apart(*((ring, disc) if way == 1 else (disc, ring)), way * x_mm, way * y_mm)
    moved = placed(core[pairs.other], pairs.dx_mm, pairs.dy_mm)
    radii = radius_mm[pairs.one], radius_mm[pairs.other]
    expected = nearest_places(core[pairs.one], radii[0], moved, radii[1])
    found = places_apart(core, radius_mm, pairs, gaps_apart(core, radius_mm, pairs, 3.0))
    assert np.allclose(found, expected, rtol=0, atol=1e-9)


def test_the_place_between_outlines_of_many_corners_is_where_they_are_nearest() -> None:
    # two combs of 400 teeth, 3 mm apart but for one tooth of 1 mm more at x = 100.5: 2 mm from y = 12 to 14
    def comb(base: float, tips: float) -> shapely.Polygon:
        teeth = [(x + dx, y) for x in range(400) for dx, y in ((0, base), (0, tips), (1, tips), (1, base))]
        far = base + 2 * (base - tips)
        return shapely.Polygon([*teeth, (400, far), (0, far)])

    lower, upper = comb(9, 11), comb(16, 14)
    tooth = shapely.box(100.25, 10, 100.75, 12)
    whole = shapely.union(lower, tooth)
    place = nearest_places(column([whole]), np.zeros(1), column([upper]), np.zeros(1))
    assert place[0] == pytest.approx([100.5, 13.0])
