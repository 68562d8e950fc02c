"""Turned bounding rectangles against turning in small steps."""

import math
import random as random_module

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import FloatArray
from pastecheck.geometry.outlines import rounded
from pastecheck.geometry.width import Sides, turned_rectangles
from tests.geometry.shapes import Drawn, column, cores, hull, polygons, radii_mm, rectangle, solids

ROUNDING = 1e-9


def _sides(core: shapely.Geometry, radius_mm: float = 0.0, tolerance_mm: float = 0.0) -> Sides:
    return turned_rectangles(column([core]), np.array([radius_mm]), np.array([tolerance_mm]))


def _width_and_length(core: shapely.Geometry, radius_mm: float = 0.0) -> tuple[float, float]:
    sides = _sides(core, radius_mm)
    return float(sides.width_mm[0]), float(sides.length_mm[0])


def _turned(core: shapely.Geometry, radius_mm: float, steps: int = 7200) -> FloatArray:
    """Sides of the bounding rectangle at angles from 0 to 90 degrees. Shape (steps, 2)."""
    points = shapely.get_coordinates(core)
    angle = np.arange(steps) * (math.pi / 2 / steps)
    x = np.outer(np.cos(angle), points[:, 0]) + np.outer(np.sin(angle), points[:, 1])
    y = np.outer(np.cos(angle), points[:, 1]) - np.outer(np.sin(angle), points[:, 0])
    sides: FloatArray = np.column_stack([np.ptp(x, axis=1), np.ptp(y, axis=1)]) + 2 * radius_mm
    return sides


@given(cores, st.one_of(st.just(0.0), radii_mm))
def test_no_angle_gives_a_smaller_rectangle(core: shapely.Geometry, radius_mm: float) -> None:
    width_mm, length_mm = _width_and_length(core, radius_mm)
    assert width_mm * length_mm <= _turned(core, radius_mm).prod(axis=1).min() + ROUNDING


@given(cores, st.one_of(st.just(0.0), radii_mm))
def test_some_angle_gives_the_rectangle(core: shapely.Geometry, radius_mm: float) -> None:
    wanted = _width_and_length(core, radius_mm)
    # a step is 0.0125 degrees: in half of one, a corner at most 5.7 mm from another moves by 0.6 um
    off = np.abs(np.sort(_turned(core, radius_mm), axis=1) - wanted).max(axis=1)
    assert off.min() <= 1e-3


@given(solids, st.integers(0, 359))
def test_turning_an_outline_changes_neither_area_of_the_rectangle_nor_reading(
    solid: Drawn, degrees: int
) -> None:
    core = shapely.affinity.rotate(solid.core, degrees, origin=(0, 0))
    before, after = (_width_and_length(c, solid.radius_mm) for c in (solid.core, core))
    assert math.isclose(math.prod(before), math.prod(after), rel_tol=ROUNDING)


@pytest.mark.parametrize("degrees", [0, 30, 45, 90, 123])
def test_a_rectangle_reads_its_sides_at_any_angle(degrees: int) -> None:
    turned = shapely.affinity.rotate(rectangle(0.25, 1.5), degrees)
    assert np.allclose(_width_and_length(turned), (0.25, 1.5), rtol=0, atol=ROUNDING)


@pytest.mark.parametrize(
    ("core", "radius_mm", "expected"),
    [
        pytest.param(hull([(0, 0)]), 0.2, (0.4, 0.4), id="circle"),
        pytest.param(hull([(0, 0), (300, 400)]), 0.125, (0.25, 0.75), id="obround"),  # 0.5 + 2 x 0.125
        pytest.param(rectangle(0.3, 0.5), 0.1, (0.5, 0.7), id="rounded rectangle"),
    ],
)
def test_standard_shapes_read_their_sides(
    core: shapely.Geometry, radius_mm: float, expected: tuple[float, float]
) -> None:
    assert np.allclose(_width_and_length(core, radius_mm), expected, rtol=0, atol=ROUNDING)


def test_a_triangle_reads_the_smallest_height_when_all_rectangles_are_equal() -> None:
    # sides 3, 4, 5: on each side the rectangle has an area of twice the triangle, 12; heights 4, 3 and 2.4
    assert np.allclose(_width_and_length(hull([(0, 0), (3000, 0), (0, 4000)])), (2.4, 5), rtol=0, atol=1e-9)


def test_an_l_reads_the_rectangle_around_it() -> None:
    # upright 2 x 2 = 4; along the slope of the hull: 3 / sqrt 2 x 4 / sqrt 2 = 6
    outline = shapely.Polygon([(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)])
    assert np.allclose(_width_and_length(outline), (2, 2), rtol=0, atol=ROUNDING)


def test_what_is_exact_has_no_error() -> None:
    assert _sides(rectangle(1, 2)).error_mm.tolist() == [0.0]


def test_a_flattened_outline_is_off_by_no_more_than_both_its_sides() -> None:
    assert _sides(rectangle(1, 2), tolerance_mm=1e-4).error_mm.tolist() == [2e-4]


def test_where_another_rectangle_is_as_small_the_narrower_one_is_read() -> None:
    # the triangle of sides 3, 4, 5 again: 2.4 x 5 and 3 x 4 have equal areas, so that 0.1 um decides
    sides = _sides(hull([(0, 0), (3000, 0), (0, 4000)]), tolerance_mm=1e-4)
    assert math.isclose(sides.width_mm[0], 2.4, rel_tol=ROUNDING)
    assert sides.error_mm.tolist() == [2e-4]


@given(polygons, st.sampled_from([1e-4, 1e-3]), st.randoms(use_true_random=False))
def test_the_reading_is_never_lenient_and_below_only_where_rectangles_are_tied(
    core: shapely.Polygon, tolerance_mm: float, random: "random_module.Random"
) -> None:
    sides = _sides(core, tolerance_mm=tolerance_mm)
    moved = shapely.Polygon(
        [
            (x + tolerance_mm * math.cos(angle), y + tolerance_mm * math.sin(angle))
            for x, y in core.exterior.coords[:-1]
            for angle in (random.uniform(0, 2 * math.pi),)
        ]
    )
    width_mm, _ = _width_and_length(moved)
    # never lenient; and lower only by another rectangle that is as small within the tolerance
    assert sides.width_mm[0] <= width_mm + sides.error_mm[0] + ROUNDING
    assert width_mm <= _widest_as_small(core, tolerance_mm) + sides.error_mm[0] + ROUNDING


def _widest_as_small(core: shapely.Polygon, tolerance_mm: float) -> float:
    """Largest short side of rectangles about a core, at any angle, that the tolerance could make smallest."""
    angle = np.linspace(0, np.pi / 2, 2001)
    corners = shapely.get_coordinates(core)
    along = np.ptp(corners @ np.stack([np.cos(angle), np.sin(angle)]), axis=0)
    across = np.ptp(corners @ np.stack([-np.sin(angle), np.cos(angle)]), axis=0)
    short, area = np.minimum(along, across), along * across
    # each of two outlines within the tolerance has sides 2 tolerances longer at most; and so has the smallest
    as_small = area <= area.min() + 8 * tolerance_mm * (along + across + 4 * tolerance_mm)
    return float(short[as_small].max())


def test_many_outlines_read_as_each_by_itself() -> None:
    some = [Drawn(rectangle(1, 2), 0.0), Drawn(hull([(0, 0)]), 0.1), Drawn(hull([(0, 0), (500, 0)]), 0.2)]
    every = turned_rectangles(
        column([core for core, _ in some]), np.array([r for _, r in some]), np.zeros(len(some))
    )
    alone = [_width_and_length(*solid) for solid in some]
    assert list(zip(every.width_mm.tolist(), every.length_mm.tolist(), strict=True)) == alone


@pytest.mark.parametrize("seed", range(5))
def test_hulls_of_many_corners_are_measured_as_if_every_corner_was_tried(seed: int) -> None:
    # an ellipse of 500 corners at no even angles, turned: each corner against each direction of a side
    random = np.random.default_rng(seed)
    angle = np.sort(random.uniform(0, 2 * math.pi, 500))
    oval = shapely.Polygon(np.column_stack([3 * np.cos(angle), random.uniform(0.001, 3) * np.sin(angle)]))
    core = shapely.affinity.rotate(oval, random.uniform(0, 360))
    corner = shapely.get_coordinates(shapely.convex_hull(core))
    side = np.diff(corner, axis=0)
    side /= np.hypot(*side.T)[:, None]
    along, across = (np.ptp(corner @ way.T, axis=0) for way in (side, side[:, ::-1] * [-1, 1]))
    best = int((along * across).argmin())
    assert _width_and_length(core) == pytest.approx(sorted([along[best], across[best]]), abs=ROUNDING)


def test_a_hull_of_a_hundred_thousand_corners_takes_no_square_of_memory() -> None:
    # 1e5 x 1e5 numbers would take 80 GB
    angle = np.arange(100_000) * (2 * math.pi / 100_000)
    disc = shapely.Polygon(np.column_stack([np.cos(angle), np.sin(angle)]))
    assert _width_and_length(disc) == pytest.approx((2.0, 2.0))


@given(polygons)
def test_the_extent_along_the_direction_is_the_length_and_across_it_the_width(core: shapely.Polygon) -> None:
    found = _sides(core)
    upright = shapely.affinity.rotate(core, -found.direction_rad[0], origin=(0, 0), use_radians=True)
    min_x, min_y, max_x, max_y = upright.bounds
    assert math.isclose(max_x - min_x, found.length_mm[0], abs_tol=1e-9)
    assert math.isclose(max_y - min_y, found.width_mm[0], abs_tol=1e-9)


@pytest.mark.parametrize("degrees", [0, 30, 45, 90, 123, 179])
@pytest.mark.parametrize("radius_mm", [0.0, 0.075])
def test_a_slot_lies_as_it_is_turned(degrees: int, radius_mm: float) -> None:
    slot = shapely.affinity.rotate(rectangle(1.5, 0.25), degrees)
    assert math.isclose(np.degrees(_sides(slot, radius_mm).direction_rad[0]), degrees, abs_tol=1e-9)


def test_an_obround_lies_along_its_middle_line() -> None:
    # 0.3 to the right and 0.4 up
    assert math.isclose(_sides(hull([(0, 0), (300, 400)]), 0.1).direction_rad[0], math.atan2(4, 3))


def test_a_disc_has_no_direction() -> None:
    assert np.isnan(_sides(hull([(0, 0)]), 0.2).direction_rad).all()


@given(st.integers(0, 179))
def test_a_flattened_rounded_slot_lies_within_a_hundredth_of_a_degree(degrees: int) -> None:
    outline = rounded(column([rectangle(1.35, 0.1)]), np.array([0.075]))[0]
    turned = shapely.affinity.rotate(outline, degrees, origin=(0, 0))
    off = (np.degrees(_sides(turned, 0.0, 1e-4).direction_rad[0]) - degrees) % 180
    assert min(off, 180 - off) <= 0.01


def test_no_outlines_have_no_sides() -> None:
    assert len(turned_rectangles(column([]), np.zeros(0), np.zeros(0)).width_mm) == 0


def test_a_rectangle_between_two_tied_ones_is_in_the_error() -> None:
    # a drawing of it with corners moved by up to 1 um has a rectangle 0.91338 wide, along a side that is
    # turned a little; along the sides as they are, the narrowest tied one is 0.91542 wide
    corners = [(0, 1041), (0, -623), (-691, 0), (640, 645)]
    sides = _sides(hull(corners), tolerance_mm=1e-3)
    assert sides.width_mm[0] == pytest.approx(0.91542, abs=1e-5)
    assert 0.91542 - 0.91338 <= sides.error_mm[0] <= 0.01
