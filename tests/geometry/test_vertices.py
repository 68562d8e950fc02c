"""Total turning of outlines: worked out by hand, and laws."""

import math

import numpy as np
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.vertices import turning
from tests.geometry.shapes import Drawn, column, polygons, rectangle, solids

L = shapely.Polygon([(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)])


def _turns(*outlines: shapely.Geometry) -> list[float]:
    """Total turning in full turns."""
    return [float(turned / (2 * math.pi)) for turned in turning(column(outlines)).total_rad]


def _alike(turns: list[float], expected: list[float]) -> bool:
    return bool(np.allclose(turns, expected, rtol=0, atol=1e-9))


@given(polygons)
def test_a_convex_outline_turns_once(outline: shapely.Polygon) -> None:
    assert _alike(_turns(outline), [1])


@given(solids)
def test_a_rounded_outline_turns_once(solid: Drawn) -> None:
    assert _alike(_turns(shapely.buffer(solid.core, solid.radius_mm).normalize()), [1])


def test_an_inner_corner_counts_as_an_outer_one() -> None:
    assert _alike(_turns(L), [1.5])  # five corners of 90 degrees to the left, one to the right


def test_a_hole_turns_as_well() -> None:
    assert _alike(_turns(rectangle(4, 4).difference(rectangle(2, 2))), [2])


def test_each_outline_has_its_own_turning() -> None:
    ring = rectangle(4, 4).difference(rectangle(2, 2))
    assert _alike(_turns(rectangle(1, 2), ring, L), [1, 2, 1.5])


@given(polygons, st.integers(0, 360))
def test_turning_does_not_depend_on_direction_or_angle(outline: shapely.Polygon, degrees: int) -> None:
    turned = shapely.affinity.rotate(outline, degrees)
    assert _alike(_turns(outline.reverse(), turned), _turns(outline) * 2)


def test_no_outlines_have_no_turning() -> None:
    assert len(turning(column([])).total_rad) == 0


def test_length_is_lost_only_where_outlines_meet_as_tangents() -> None:
    disc, square = shapely.Point(0, 0).buffer(0.5, quad_segs=29), shapely.box(0.5, -0.5, 1.5, 0.5)
    bar = shapely.box(-1, -0.55, 2, -0.35)
    tangent, apart = shapely.union_all([disc, square, bar]), shapely.union_all([disc, bar])
    lost_mm = turning(column([tangent, apart, square])).lost_mm
    # chords of the disc are 0.5 x 2 sin(pi / 116) = 0.0271; the contact has a cusp above and one below
    assert 2 * 2 * 0.82 * 0.01 < lost_mm[0] <= 2 * 2 * 0.82 * 0.0271 + 1e-4
    assert lost_mm[1:].tolist() == [0, 0]
