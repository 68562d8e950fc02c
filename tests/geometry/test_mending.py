"""Outlines that cross themselves: what lies inside an odd number of times, and how often they may."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import FloatArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.mending import GRID_MM, mended
from pastecheck.limits import Limits
from tests.geometry.shapes import column

corners = st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=4, max_size=14)


def _mended(ring: list[tuple[int, int]] | FloatArray, limits: Limits | None = None) -> shapely.Geometry:
    outlines = column([shapely.Polygon(ring)])
    result: shapely.Geometry = mended(outlines, limits or Limits())[0]
    return result


@given(corners, st.integers(0, 6))
def test_what_a_ray_leaves_across_an_odd_number_of_sides_is_inside(
    ring: list[tuple[int, int]], back: int
) -> None:
    ring = ring + ring[-2:0:-1][:back]  # part of the way back along itself
    whole = _mended(ring)
    if shapely.is_empty(whole):
        return
    assert shapely.is_valid(whole)
    place = np.random.default_rng(len(ring)).uniform(-9, 9, (60, 2))
    begin, end = np.array(ring, float), np.roll(np.array(ring, float), -1, axis=0)
    clear = shapely.distance(shapely.points(place), shapely.LineString([*ring, ring[0]])) > 10 * GRID_MM
    for x, y in place[clear].tolist():
        up = (begin[:, 1] > y) != (end[:, 1] > y)
        a, b = begin[up], end[up]
        right = a[:, 0] + (y - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1]) > x
        assert shapely.contains_xy(whole, x, y) == (np.count_nonzero(right) % 2 == 1)


def test_what_goes_round_three_times_is_there_once() -> None:
    square = [(0, 0), (10, 0), (10, 10), (0, 10)]
    assert shapely.area(_mended(square * 3)) == 100.0


def _star(points: int) -> FloatArray:
    """Each point joined with those that lie farthest: each side crosses all but its 2 neighbours."""
    angle = np.arange(points) * (2 * np.pi * (points // 2) / points)
    ring: FloatArray = np.column_stack([np.cos(angle), np.sin(angle)])
    return ring


def test_a_star_of_many_points_keeps_every_other_ring_of_its_facets() -> None:
    # 151 points: 151 x 148 / 2 = 11,174 crossings. Facets from tip to centre lie inside 1, 2, ... 75 times
    star = _mended(_star(151), Limits(crossings=11_174))
    assert (
        shapely.get_num_geometries(star) == 151 * 37 + 1
    )  # rings of 151 facets at odd counts, and the middle


def test_crossing_oneself_too_often_is_refused_with_the_count() -> None:
    # a star of 301 points: 301 x (301 - 3) / 2 = 44,849 crossings
    with pytest.raises(TooMuchError, match=r"crosses itself 44849 times; at most 10000"):
        _mended(_star(301))
    with pytest.raises(TooMuchError) as refused:
        _mended(_star(301), Limits(overlaps=1000))
    assert "--limit overlaps=" in refused.value.hint
