"""Turned rectangles: ways between them by hand, and held against shapely at any place and angle."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.rectangles import Rectangles, ways_between

PLACES = st.integers(-3000, 3000).map(lambda um: um / 1000)
SIDES = st.integers(0, 3000).map(lambda um: um / 1000)


def one(x: float, y: float, along: float, across: float, degrees: float = 0.0) -> Rectangles:
    half = np.array([[along / 2, across / 2]])
    return Rectangles(np.array([[x, y]]), half, np.array([math.radians(degrees)]))


def way(first: Rectangles, second: Rectangles) -> list[float]:
    found: list[float] = ways_between(first, second)[0].tolist()
    return found


def test_the_way_between_level_rectangles_is_straight_ahead() -> None:
    # 2 x 1 about the origin, 2 x 1 about (3, 0.2): from x = 1 to x = 2
    assert way(one(0, 0, 2, 1), one(3, 0.2, 2, 1)) == pytest.approx([1.0, 0.0])


def test_the_way_from_corner_to_corner_goes_aside_as_well() -> None:
    # unit squares 1.2 apart both ways: corners (0.2, 0.2) apart
    assert way(one(0, 0, 1, 1), one(1.2, 1.2, 1, 1)) == pytest.approx([0.2, 0.2])


def test_a_rectangle_turned_by_a_quarter_is_as_wide_as_it_is_long() -> None:
    # upright it reaches from x = 2.5 to x = 3.5, and the other one to x = 1
    assert way(one(0, 0, 2, 1), one(3, 0, 2, 1, 90)) == pytest.approx([1.5, 0.0])


def test_the_way_to_a_corner_that_points_at_a_side() -> None:
    # a unit square on its corner, half its diagonal 0.7071, about (2, 0)
    assert way(one(0, 0, 1, 1), one(2, 0, 1, 1, 45)) == pytest.approx([1.5 - math.sqrt(0.5), 0.0])


def test_rectangles_that_cross_without_a_corner_inside_meet() -> None:
    assert way(one(0, 0, 4, 1), one(0.1, 0.1, 4, 1, 80)) == [0.0, 0.0]


def test_a_point_is_seen_from_the_nearest_of_a_rectangle() -> None:
    # turned by 90 degrees, along is up: (0.5, 3) lies 2 beyond the end, and not beside
    seen = one(0, 0, 2, 1, 90).outside(np.array([[0.5, 3.0]]))
    assert seen[0].tolist() == pytest.approx([2.0, 0.0])


def test_rectangles_are_drawn_as_polygons_lines_and_points() -> None:
    thin = Rectangles(np.zeros((3, 2)), np.array([[1.0, 0.5], [1.0, 0.0], [0.0, 0.0]]), np.zeros(3))
    drawn = thin.drawn()
    assert shapely.get_type_id(drawn).tolist() == [3, 1, 0]
    assert shapely.area(drawn).tolist() == [2.0, 0.0, 0.0]
    assert shapely.length(drawn).tolist() == [6.0, 2.0, 0.0]


@given(
    st.tuples(PLACES, PLACES),
    st.lists(st.tuples(SIDES, SIDES), min_size=2, max_size=2),
    st.tuples(*[st.one_of(st.sampled_from([0.0, 30.0, 90.0, 180.0]), st.floats(0, 180))] * 2),
)
def test_the_way_is_as_long_as_the_distance_of_the_outlines(
    at: tuple[float, float], sides: list[tuple[float, float]], degrees: tuple[float, float]
) -> None:
    first, second = one(0, 0, *sides[0], degrees[0]), one(*at, *sides[1], degrees[1])
    outlines = [shapely.convex_hull(shapely.multipoints(each.corners_mm()[0])) for each in (first, second)]
    assert math.hypot(*way(first, second)) == pytest.approx(shapely.distance(*outlines), abs=1e-9)
