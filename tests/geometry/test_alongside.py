"""Lengths along which outlines face each other: cases worked out by hand, laws, and a count of points."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, box

from pastecheck.drawing import FloatArray
from pastecheck.geometry.alongside import NEAR_GAPS, Stretches, union_lengths
from pastecheck.geometry.outlines import convex_core
from pastecheck.geometry.pairs import Apart
from pastecheck.geometry.web_lengths import web_lengths
from tests.geometry.outlines import any_polygons
from tests.geometry.shapes import Drawn, column, polygons

ROUNDING_MM = 1e-9


def gap_mm(one: Drawn, other: Drawn) -> float:
    return float(shapely.distance(one.core, other.core)) - one.radius_mm - other.radius_mm


def lengths_mm(pairs: Sequence[tuple[Drawn, Drawn]]) -> FloatArray:
    """Lengths of the webs between solids where they are."""
    solids = [solid for pair in pairs for solid in pair]
    rows = np.arange(0, len(solids), 2)
    still = np.zeros(len(rows))
    return web_lengths(
        column([solid.core for solid in solids]),
        np.array([solid.radius_mm for solid in solids]),
        Apart(rows, rows + 1, still, still),
        NEAR_GAPS * np.array([gap_mm(*pair) for pair in pairs]),
    )


def length_mm(one: Drawn, other: Drawn) -> float:
    return float(lengths_mm([(one, other)])[0])


def sharp(core: shapely.Geometry) -> Drawn:
    return Drawn(core, 0.0)


def turned(drawn: Drawn, degrees: float) -> Drawn:
    """Turned about a place that lies in neither."""
    return Drawn(shapely.affinity.rotate(drawn.core, degrees, origin=(1, 1)), drawn.radius_mm)


def skewed(degrees: float) -> tuple[Drawn, Drawn]:
    """Long walls from a corner 0.1 apart, the one turned away from the other."""
    upper = shapely.affinity.rotate(box(0, 0.1, 20, 1), degrees, origin=(0, 0.1))
    return sharp(box(0, -1, 20, 0)), sharp(upper)


SLOT = sharp(box(0, 0, 0.25, 1.5))


@pytest.mark.parametrize("degrees", [0, 30, 90])
@pytest.mark.parametrize(
    ("pair", "expected"),
    [
        pytest.param((SLOT, sharp(box(0.5, 0, 0.75, 1.5))), 1.5 / 0.25, id="slots"),
        # Beside 1.0 that overlaps, as far as 1.2 gaps reach past the corner: 0.25 root(1.44 - 1).
        pytest.param(
            (SLOT, sharp(box(0.5, 0.5, 0.75, 2))), (1.0 + 0.25 * math.sqrt(0.44)) / 0.25, id="shifted slots"
        ),
        pytest.param((SLOT, sharp(box(0.5, 0.4, 0.75, 0.7))), 0.3 / 0.25, id="short beside long"),
        # The wall comes 1.2 x 0.1 away after 0.02 / sin t: 0.2 gaps over sin t.
        *(
            pytest.param(skewed(t), 0.2 / math.sin(math.radians(t)), id=f"skewed by {t} degrees")
            for t in (2, 5, 10)
        ),
        # 2 R acos((p² + R² - (R + 1.2 g)²) / (2 p R)), p = 0.8, R = 0.25, g = 0.3.
        pytest.param(
            (Drawn(Point(0, 0), 0.25), Drawn(Point(0.8, 0), 0.25)),
            0.5 * math.acos((0.64 + 0.0625 - 0.61**2) / 0.4) / 0.3,
            id="circles",
        ),
        # Corners 0.2 root 2 = g apart: a side faces the other's corner up to 60 degrees off, or 1.2 g away:
        # 0.2 ahead, so aside at most root((1.2 g)² - 0.04) = 0.27423, of which 0.2 come before the corner.
        pytest.param(
            (sharp(box(0, 0, 1, 1)), sharp(box(1.2, 1.2, 2, 2))),
            2 * (math.sqrt(1.44 * 0.08 - 0.04) - 0.2) / (0.2 * math.sqrt(2)),
            id="corner to corner",
        ),
    ],
)
def test_a_web_is_as_slender_as_worked_out_by_hand(
    pair: tuple[Drawn, Drawn], expected: float, degrees: float
) -> None:
    one, other = (turned(drawn, degrees) for drawn in pair)
    assert length_mm(one, other) / gap_mm(one, other) == pytest.approx(expected, abs=1e-9)
    assert length_mm(other, one) == pytest.approx(length_mm(one, other), abs=ROUNDING_MM)


def test_obrounds_face_each_other_along_their_sides_and_a_part_of_their_ends() -> None:
    # Sides of 1 at 0.3. On an end at angle a, (0.1 cos a, 0.1 sin a) from its centre, 0.5 from the other's:
    # 1.2 x 0.3 + 0.1 = 0.46 from it where 0.26 - 0.1 cos a = 0.2116, a = 61.06 degrees;
    # 60 degrees off where 0.5 cos(a + 30) = 0.1 sin 60, a = 50.03 degrees: that ends it.
    end = math.acos(0.1 * math.sin(math.pi / 3) / 0.5) - math.pi / 6
    one = Drawn(convex_core(np.array([[0.0, 0], [0, 1]])), 0.1)
    other = Drawn(convex_core(np.array([[0.5, 0], [0.5, 1]])), 0.1)
    assert length_mm(one, other) == pytest.approx(1 + 2 * 0.1 * end, abs=ROUNDING_MM)


def test_a_slot_in_a_hollow_faces_both_its_sides() -> None:
    # A U about a bar, 0.1 away: of the bar 0.4 on either side, its end of 0.2, and past the corners of the
    # mouth 0.1 root(1.44 - 1) twice. Of the U the same, and as much again past the corners of the bar.
    hollow = shapely.difference(box(0, 0, 1, 1), box(0.3, 0.5, 0.7, 1))
    assert length_mm(sharp(hollow), sharp(box(0.4, 0.6, 0.6, 1.1))) == pytest.approx(
        0.4 + 0.4 + 0.2 + 0.2 * math.sqrt(0.44)
    )


def test_pairs_of_all_kinds_are_measured_side_by_side() -> None:
    pairs = [
        (SLOT, sharp(box(0.5, 0, 0.75, 1.5))),
        (Drawn(Point(0, 0), 0.25), Drawn(Point(0.8, 0), 0.25)),
        (sharp(any_hollow := shapely.difference(box(0, 0, 1, 1), box(0.4, 0.5, 0.6, 1))), SLOT_ASIDE),
    ]
    assert isinstance(any_hollow, shapely.Polygon)
    found = lengths_mm(pairs)
    assert found == pytest.approx([length_mm(one, other) for one, other in pairs])


SLOT_ASIDE = sharp(box(1.2, 0, 1.5, 1))


def test_no_pairs_have_no_lengths() -> None:
    assert len(lengths_mm([])) == 0


def test_an_outline_may_be_one_of_many_pairs_and_lie_anywhere() -> None:
    # A comb of 200 teeth 0.3 apart, and above each an upright slot 0.25 away from its tip, 0.1 wide: they
    # face each other along all of the tip, 0.1, and the slot along as much.
    teeth = [(x + dx, y) for x in np.arange(200) * 0.3 for dx, y in ((0, 0), (0, 1), (0.1, 1), (0.1, 0))]
    comb = shapely.Polygon([(0, -1), *teeth, (60, -1)])
    slot = box(0, 1.25, 0.1, 2)
    rows = np.arange(200)
    way_mm: FloatArray = rows.astype(np.float64) * -0.3
    pairs = Apart(0 * rows, 0 * rows + 1, way_mm, 0 * way_mm)
    found = web_lengths(column([slot, comb]), np.zeros(2), pairs, np.full(200, 0.3))
    assert found == pytest.approx(np.full(200, 0.1), abs=ROUNDING_MM)
    alone = [sharp(shapely.affinity.translate(slot, 0.3 * row)) for row in range(3)]
    assert found[:3] == pytest.approx([length_mm(each, sharp(comb)) for each in alone], abs=ROUNDING_MM)


def test_what_is_covered_twice_counts_once() -> None:
    parts = Stretches(np.array([2, 0, 2, 2]), np.array([0.0, 5, 1, 7]), np.array([3.0, 6, 2, 8]))
    piece, length = union_lengths(parts)
    assert np.bincount(piece, weights=length).tolist() == [1.0, 0.0, 4.0]


def points_facing(one: shapely.Polygon, other: shapely.Polygon, gap: float, step_mm: float) -> float:
    """The definition, for points a step apart, each with its nearest point."""
    ring = np.asarray(shapely.orient_polygons(one).exterior.coords)
    length = 0.0
    for begin, end in pairwise(ring):
        extent = math.dist(begin, end)
        count = math.ceil(extent / step_mm)
        points = begin + ((np.arange(count) + 0.5) / count)[:, None] * (end - begin)
        nearest = shapely.get_coordinates(shapely.shortest_line(shapely.points(points), other))
        way: FloatArray = nearest.reshape(-1, 2, 2)[:, 1] - points
        outward = np.array([end[1] - begin[1], begin[0] - end[0]]) / extent
        away = np.hypot(*way.T)
        length += extent / count * np.count_nonzero((away <= 1.2 * gap) & (way @ outward >= away / 2))
    return length


apart = st.floats(0.05, 0.5)


convex_polygons = polygons.filter(lambda polygon: polygon.area > 0.05)


@given(convex_polygons, convex_polygons, apart)
def test_convex_outlines_face_each_other_as_a_count_of_points_says(
    one: shapely.Polygon, two: shapely.Polygon, gap: float
) -> None:
    # one to the left of the other: they lie apart by at least the gap
    moved = shapely.affinity.translate(two, one.bounds[2] - two.bounds[0] + gap)
    gap = float(shapely.distance(one, moved))
    step_mm = 0.004
    counted = min(points_facing(one, moved, gap, step_mm), points_facing(moved, one, gap, step_mm))
    # each stretch is counted to half a step at either end; a convex side has one, of few sides
    sides = max(len(one.exterior.coords), len(moved.exterior.coords))
    assert length_mm(sharp(one), sharp(moved)) == pytest.approx(counted, abs=step_mm * sides)


@given(any_polygons, any_polygons, st.integers(1, 359))
def test_turning_and_mirroring_change_no_length(
    one: shapely.Polygon, two: shapely.Polygon, degrees: int
) -> None:
    moved = shapely.affinity.translate(two, one.bounds[2] - two.bounds[0] + 0.2)
    before = length_mm(sharp(one), sharp(moved))
    after = [
        sharp(shapely.affinity.scale(turned(sharp(each), degrees).core, -1, 1, origin=(0, 0)))
        for each in (one, moved)
    ]
    assert length_mm(*after) == pytest.approx(before, abs=1e-6)
