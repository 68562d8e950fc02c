"""Direction of the long side: by hand, and against the measuring of rectangles by trying all corners."""

import math

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.directions import LongSides, long_sides
from pastecheck.geometry.outlines import rounded
from pastecheck.geometry.width import turned_rectangles
from tests.geometry.shapes import column, cores, hull, polygons, radii_mm, rectangle


def sides(core: shapely.Geometry, radius_mm: float = 0.0, tolerance_mm: float = 0.0) -> LongSides:
    return long_sides(column([core]), np.array([radius_mm]), np.array([tolerance_mm]))


@given(
    st.lists(st.tuples(cores, st.one_of(st.just(0.0), radii_mm)), min_size=1, max_size=5),
    st.sampled_from([0, 1e-4]),
)
def test_the_sides_are_those_found_by_trying_all_corners(
    solids: list[tuple[shapely.Geometry, float]], tolerance_mm: float
) -> None:
    core, radius = column([core for core, _ in solids]), np.array([radius for _, radius in solids])
    found = long_sides(core, radius, np.full(len(solids), tolerance_mm))
    tried = turned_rectangles(core, radius, np.full(len(solids), tolerance_mm))
    assert np.allclose(found.width_mm, tried.width_mm, rtol=0, atol=1e-9)
    assert np.allclose(found.length_mm, tried.length_mm, rtol=0, atol=1e-9)


@given(polygons)
def test_the_extent_along_the_direction_is_the_length_and_across_it_the_width(core: shapely.Polygon) -> None:
    found = sides(core)
    upright = shapely.affinity.rotate(core, -found.direction_rad[0], origin=(0, 0), use_radians=True)
    min_x, min_y, max_x, max_y = upright.bounds
    assert math.isclose(max_x - min_x, found.length_mm[0], abs_tol=1e-9)
    assert math.isclose(max_y - min_y, found.width_mm[0], abs_tol=1e-9)


@pytest.mark.parametrize("degrees", [0, 30, 45, 90, 123, 179])
@pytest.mark.parametrize("radius_mm", [0.0, 0.075])
def test_a_slot_lies_as_it_is_turned(degrees: int, radius_mm: float) -> None:
    slot = shapely.affinity.rotate(rectangle(1.5, 0.25), degrees)
    assert math.isclose(np.degrees(sides(slot, radius_mm).direction_rad[0]), degrees, abs_tol=1e-9)


def test_an_obround_lies_along_its_middle_line() -> None:
    # 0.3 to the right and 0.4 up
    assert math.isclose(sides(hull([(0, 0), (300, 400)]), 0.1).direction_rad[0], math.atan2(4, 3))


def test_a_disc_has_no_direction() -> None:
    assert np.isnan(sides(hull([(0, 0)]), 0.2).direction_rad).all()


@given(st.integers(0, 179))
def test_a_flattened_rounded_slot_lies_within_a_hundredth_of_a_degree(degrees: int) -> None:
    outline = rounded(column([rectangle(1.35, 0.1)]), np.array([0.075]))[0]
    turned = shapely.affinity.rotate(outline, degrees, origin=(0, 0))
    off = (np.degrees(sides(turned, 0.0, 1e-4).direction_rad[0]) - degrees) % 180
    assert min(off, 180 - off) <= 0.01


def test_no_outlines_have_no_sides() -> None:
    assert len(long_sides(column([]), np.zeros(0), np.zeros(0)).width_mm) == 0
