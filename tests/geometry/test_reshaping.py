"""Outlines stretched, less what is narrow, and with narrow film filled."""

import math

import numpy as np
import pytest
import shapely
import shapely.affinity
from shapely.geometry import Polygon, box

from pastecheck.geometry.reshaping import narrow_film, stretched, wide_parts
from tests.geometry.shapes import column, rectangle

DUMBBELL = shapely.union_all([box(0, 0, 1, 1), box(1, 0.35, 2, 0.65), box(2, 0, 3, 1)])
U = shapely.difference(box(0, 0, 1, 1), box(0.35, 0.35, 0.65, 1.1))
ELL = shapely.union(box(0, 0, 1, 0.3), box(0, 0, 0.3, 1))


@pytest.mark.parametrize("degrees", [0.0, 30.0, 90.0, 123.4])
def test_an_outline_is_stretched_across_a_direction_only(degrees: float) -> None:
    slot = shapely.affinity.rotate(rectangle(1.5, 0.25), degrees, origin=(0, 0))
    (wider,) = stretched(column([slot]), np.array([math.radians(degrees)]), np.array([2.0]))
    wanted = shapely.affinity.rotate(rectangle(1.5, 0.5), degrees, origin=(0, 0))
    assert shapely.area(shapely.symmetric_difference(wider, wanted)) < 1e-12


def test_what_is_wide_enough_stays_with_its_corners() -> None:
    found = wide_parts(column([ELL, DUMBBELL, rectangle(0.2, 2)]), np.array([0.35, 0.35, 0.35]))
    assert found.owner.tolist() == [1, 1]
    left, right = sorted(found.polygon.tolist(), key=lambda part: float(part.bounds[0]))
    assert shapely.area(shapely.symmetric_difference(left, box(0, 0, 1, 1))) < 1e-9
    assert shapely.area(shapely.symmetric_difference(right, box(2, 0, 3, 1))) < 1e-9


def test_a_spur_goes_and_the_rest_stays() -> None:
    spur = shapely.union(box(0, 0, 1, 1), box(0.45, 0.9, 0.55, 1.3))
    (left,) = wide_parts(column([spur]), 0.2).polygon
    assert shapely.area(shapely.symmetric_difference(left, box(0, 0, 1, 1))) < 1e-9


def test_film_in_a_slot_is_found_and_that_in_an_inner_corner_is_not() -> None:
    found = narrow_film(column([ELL, U]), np.array([0.35, 0.35]))
    assert found.owner.tolist() == [1]
    assert shapely.area(shapely.symmetric_difference(found.polygon[0], box(0.35, 0.35, 0.65, 1))) < 1e-9


def test_film_in_a_hole_is_of_no_matter() -> None:
    holed = Polygon(box(0, 0, 1, 1).exterior, [box(0.4, 0.4, 0.6, 0.6).exterior])
    assert not len(narrow_film(column([holed]), 0.35).polygon)


def test_nothing_is_left_of_no_outlines() -> None:
    assert not len(wide_parts(column([]), np.zeros(0)).polygon)
    assert not len(narrow_film(column([]), np.zeros(0)).polygon)
