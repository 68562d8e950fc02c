"""Arcs found again in chords."""

import time

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import FloatArray
from pastecheck.geometry.arcs import Ring, straight, with_arcs
from pastecheck.geometry.outlines import FLATNESS_MM, contours, polygons, rounded


def disc(x: float, y: float, radius_mm: float) -> shapely.Polygon:
    """A disc as outlines are flattened."""
    found: shapely.Polygon = rounded(np.array([shapely.Point(x, y)]), np.array([radius_mm]))[0]
    return found


def ring_of(outline: shapely.Geometry) -> Ring:
    corner_mm = np.round(shapely.get_coordinates(shapely.get_exterior_ring(outline)), 6)
    return with_arcs(corner_mm[:-1])


def drawn(ring: Ring) -> shapely.Polygon:
    """The ring, flattened anew."""
    chains = contours(
        ring.corner_mm,
        np.nan_to_num(ring.centre_mm),
        ring.turn.astype(np.int8),
        np.array([0, len(ring.turn)]),
    )
    found: shapely.Polygon = polygons(chains)[0]
    return found


def radii(ring: Ring) -> FloatArray:
    arcs = ring.turn != 0
    found: FloatArray = np.hypot(*(ring.corner_mm - ring.centre_mm)[arcs].T)
    return found


@pytest.mark.parametrize("radius_mm", [0.05, 0.2, 1.0, 10.0])
def test_a_disc_is_found_whole(radius_mm: float) -> None:
    ring = ring_of(disc(0.3, -0.2, radius_mm))
    assert ring.turn.tolist() == [1, 1, 1, 1]
    # and as large as it was: its vertices had been moved outward by half the flatness
    assert radii(ring) == pytest.approx(radius_mm, abs=FLATNESS_MM / 100)
    assert ring.centre_mm == pytest.approx(np.tile([0.3, -0.2], (4, 1)), abs=FLATNESS_MM / 100)


@pytest.mark.parametrize("sweep_deg", [10, 45, 90, 180, 270])
def test_an_arc_with_its_ends_where_they_were_keeps_its_radius_and_the_area(sweep_deg: int) -> None:
    # a sector: two straight sides and the arc, which is cut in two beyond half a turn
    sweep = np.radians(sweep_deg)
    corner_mm = 0.7 * np.array([[0.0, 0.0], [1.0, 0.0], [np.cos(sweep), np.sin(sweep)]])
    chains = contours(corner_mm, np.zeros((3, 2)), np.array([0, 1, 0], np.int8), np.array([0, 3]))
    ring = with_arcs(np.round(chains.vertex, 6))
    assert sorted(ring.turn.tolist()) == [0, 0, *[1] * (2 if sweep_deg > 180 else 1)]
    # a nanometre, to which vertices are rounded, moves the middle of a flat arc by 8 / sweep² of it
    assert radii(ring) == pytest.approx(0.7, abs=2e-6 * max(1.0, 8 / sweep**2))
    # pi r² sweep / 360
    assert drawn(ring).area == pytest.approx(0.49 * sweep / 2, abs=1e-6)


def test_what_another_disc_cut_off_keeps_its_arc_up_to_the_corner() -> None:
    # two arcs of 360 - 2 x 36.87 = 286 degrees, of two parts each, and no chord beside them
    ring = ring_of(shapely.orient_polygons(shapely.union(disc(0, 0, 0.5), disc(0.8, 0, 0.5))))
    assert ring.turn.tolist() == [1, 1, 1, 1]


def test_a_hollow_turns_the_other_way() -> None:
    bite = shapely.difference(shapely.box(-1, -1, 1, 0), disc(0, 0, 0.5))
    ring = ring_of(shapely.orient_polygons(bite))
    assert sorted(ring.turn.tolist()) == [-1, *[0] * 5]


@pytest.mark.parametrize("corners", [3, 4, 5, 8, 12, 30])
def test_a_polygon_is_no_circle(corners: int) -> None:
    angle = np.arange(corners) / corners * 2 * np.pi
    corner_mm = 0.5 * np.column_stack([np.cos(angle), np.sin(angle)])
    ring = with_arcs(corner_mm)
    assert not ring.turn.any()
    assert np.array_equal(np.sort(ring.corner_mm, axis=0), np.sort(straight(corner_mm).corner_mm, axis=0))


@pytest.mark.parametrize(("turn_rad", "arcs"), [(0.06, 1), (0.04, 0)])
def test_chords_that_are_more_than_their_arc_would_be_flattened_to_stay_chords(
    turn_rad: float, arcs: int
) -> None:
    # three chords of radius 0.1; a chord turns by root(6 x 0.1 um / 0.1 mm) = 0.077: so the arc over three of
    # 0.06 takes 0.18 / 0.077 = 2.3, so three; that over three of 0.04 takes 1.6, and two are no arc again
    angle = np.pi / 2 - turn_rad * np.arange(3, -1, -1)
    corner_mm = 0.1 * np.column_stack([np.cos(angle), np.sin(angle)])
    ring = with_arcs(np.concatenate([corner_mm, [[-1.0, 0.1], [-1.0, -1.0], [corner_mm[0, 0], -1.0]]]))
    assert int(np.abs(ring.turn).sum()) == arcs


def test_two_arcs_that_go_over_into_each_other_are_two() -> None:
    half = shapely.intersection(disc(0, 0, 0.5), shapely.box(-1, -1, 1, 0))
    other = shapely.intersection(disc(-0.1, 0, 0.4), shapely.box(-1, 0, 1, 1))
    third = shapely.intersection(disc(0.1, 0, 0.4), shapely.box(-1, 0, 1, 1))
    found = radii(ring_of(shapely.union_all([half, other, third])))
    assert {round(one, 2) for one in found.tolist()} == {0.4, 0.5}


@given(
    st.lists(
        st.tuples(st.integers(-20, 20), st.integers(-20, 20), st.integers(2, 20)), min_size=1, max_size=6
    )
)
def test_with_its_arcs_an_outline_stays_within_twice_the_flatness(discs: list[tuple[int, int, int]]) -> None:
    union = shapely.union_all([disc(x / 20, y / 20, r / 20) for x, y, r in discs])
    for part in shapely.get_parts(shapely.orient_polygons(union)):
        outline = shapely.polygons(shapely.get_exterior_ring(part))
        ring = ring_of(outline)
        found = drawn(ring)
        off_mm2 = shapely.symmetric_difference(found, outline, grid_size=1e-7).area
        assert off_mm2 <= 2 * FLATNESS_MM * outline.length + 1e-6
        assert len(ring.turn) <= 4 * 2 * len(discs) * 3


def test_arcs_of_a_contour_of_very_many_are_found_in_time_that_grows_with_them() -> None:
    # half discs of radius 0.1 mm on a bar: 2500 take 0.7 s, and with a look at all vertices for each 7 s
    discs = [disc(0.3 * k, 0.0, 0.1) for k in range(2500)]
    outline = shapely.union_all([shapely.box(-1, -1, 800, 0), *discs])
    begun = time.process_time()
    ring = ring_of(outline)
    seconds = time.process_time() - begun
    assert (ring.turn != 0).sum() == 2500
    assert seconds < 2.5
