"""What outlines have in common, and how far one reaches beyond others."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.overlaps import LOOSE_MM, beyond, common, joined_runs
from pastecheck.geometry.pairs import Apart
from tests.geometry.outlines import any_polygons
from tests.geometry.shapes import column

ways = st.tuples(st.integers(-1500, 1500), st.integers(-1500, 1500))


def apart(dx_mm: float, dy_mm: float) -> Apart:
    return Apart(np.array([0]), np.array([1]), np.array([dx_mm]), np.array([dy_mm]))


@given(any_polygons, any_polygons, ways)
def test_the_area_is_that_of_the_intersection(
    one: shapely.Polygon, other: shapely.Polygon, way: tuple[int, int]
) -> None:
    dx, dy = way[0] / 1000, way[1] / 1000
    found = common(column([one, other]), apart(dx, dy))
    moved = shapely.transform(other, lambda xy: np.add(xy, (dx, dy)))
    # what cuts outlines may round corners to whole nanometres
    nm_mm2 = 1e-6 * (one.length + other.length)
    assert found.area_mm2[0] == pytest.approx(shapely.area(shapely.intersection(one, moved)), abs=nm_mm2)
    assert found.one_inside[0] == shapely.covers(moved, one)
    assert found.other_inside[0] == shapely.covers(one, moved)


def test_what_lies_inside_is_told_whichever_has_more_corners() -> None:
    square, disc = shapely.box(-2, -2, 2, 2), shapely.Point(0, 0).buffer(1, 64)
    for outlines, inside in (([disc, square], (True, False)), ([square, disc], (False, True))):
        found = common(column(outlines), apart(0, 0))
        assert (found.one_inside[0], found.other_inside[0]) == inside
        assert found.area_mm2[0] == disc.area


def test_of_a_very_large_outline_only_what_is_near_is_looked_at() -> None:
    wave = [(0.05 * k - 50, 0.1 * (k % 2) - 0.05) for k in range(2001)]
    large = shapely.Polygon([*wave, (50, -50), (-50, -50)])
    found = common(column([shapely.box(-1, -1, 1, 1), large]), apart(0, 0))
    assert found.area_mm2[0] == pytest.approx(2.0, abs=1e-9)
    assert not found.one_inside[0]


def reach(outline: shapely.Geometry, others: shapely.Geometry) -> float:
    found = beyond(column([outline]), column([others]))
    assert 0 <= found.loose_mm[0] <= 1.1 * LOOSE_MM
    distance = shapely.distance(shapely.Point(found.place_mm[0]), others)
    assert distance == pytest.approx(found.reach_mm[0], abs=1e-6) or found.reach_mm[0] == 0
    return float(found.reach_mm[0])


SQUARE = shapely.box(0, 0, 1, 1)


@pytest.mark.parametrize(
    ("outline", "others", "wanted"),
    [
        pytest.param(shapely.box(0.2, 0.2, 0.8, 0.8), SQUARE, 0.0, id="inside"),
        pytest.param(SQUARE, SQUARE, 0.0, id="the same"),
        pytest.param(shapely.box(0.1, 0, 1.1, 1), SQUARE, 0.1, id="shifted"),
        pytest.param(shapely.box(-0.05, -0.05, 1.05, 1.05), SQUARE, 0.05 * math.sqrt(2), id="larger"),
        pytest.param(shapely.box(3, 0, 4, 1), SQUARE, 3.0, id="apart"),
        # an L with arms 1 wide: the farthest point of the whole square is its outer corner
        pytest.param(
            shapely.box(0, 0, 2, 2),
            shapely.Polygon([(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)]),
            1.0,
            id="beside an L",
        ),
        # between two squares 0.4 apart the farthest points lie in the middle, on no corner
        pytest.param(
            shapely.box(0, 0, 2.4, 1),
            shapely.MultiPolygon([SQUARE, shapely.box(1.4, 0, 2.4, 1)]),
            0.2,
            id="between two",
        ),
        # within a frame the farthest point is the middle, on no edge
        pytest.param(
            shapely.box(0, 0, 3, 3), shapely.box(0, 0, 3, 3) - shapely.box(1, 1, 2, 2), 0.5, id="in a frame"
        ),
    ],
)
def test_the_farthest_point_is_found(
    outline: shapely.Geometry, others: shapely.Geometry, wanted: float
) -> None:
    assert reach(outline, others) == pytest.approx(wanted, abs=LOOSE_MM)


@given(any_polygons, any_polygons, ways)
def test_no_point_of_a_fine_grid_is_farther(
    one: shapely.Polygon, other: shapely.Polygon, way: tuple[int, int]
) -> None:
    moved = shapely.transform(other, lambda xy: np.add(xy, np.array(way) / 1000))
    found = beyond(column([one]), column([moved]))
    low_x, low_y, high_x, high_y = one.bounds
    x, y = np.meshgrid(np.linspace(low_x, high_x, 40), np.linspace(low_y, high_y, 40))
    points = np.asarray(shapely.points(x.ravel(), y.ravel()), dtype=object)
    inside = points[shapely.covers(one, points)]
    farthest = shapely.distance(inside, moved).max(initial=0.0)
    assert farthest <= found.reach_mm[0] + found.loose_mm[0] + 1e-9
    if found.reach_mm[0]:
        place = shapely.Point(found.place_mm[0])
        assert shapely.distance(place, one) < 1e-6
        assert shapely.distance(place, moved) == pytest.approx(found.reach_mm[0], abs=1e-6)


def test_nothing_reaches_beyond_nothing() -> None:
    assert len(beyond(column([]), column([])).reach_mm) == 0


def test_runs_become_one_geometry_each() -> None:
    first, second = joined_runs(column([SQUARE, SQUARE, shapely.box(2, 0, 3, 1)]), np.array([0, 1, 3]))
    assert first.equals(SQUARE)
    assert shapely.get_num_geometries(second) == 2
