"""How far openings reach beyond their lands."""

import math

import numpy as np
import pytest

from tests.checks.boards import Layers, flashes, holds, measured, readings, reads, stroke, wishes

HALL = flashes("R,30X30", (0, 0))
PAD = flashes("R,0.6X1.2", (0, 0))


@pytest.mark.parametrize("way", [(0.1, 0), (0, -0.1), (0.06, 0.08)])
def test_a_shift_is_read_as_its_length_at_a_round_corner_and_along_sides(way: tuple[float, float]) -> None:
    # circles of one size: the farthest point is a shift away from the edge
    m = measured(Layers(flashes("C,0.6", way), flashes("C,0.6", (0, 0)), HALL))
    assert holds(readings("land-overhang", m), [0.1])


@pytest.mark.parametrize("d", [0.0, 0.05, 0.2])
def test_of_circles_it_is_the_shift_and_what_the_radius_has_more(d: float) -> None:
    m = measured(Layers(flashes("C,0.8", (d, 0)), flashes("C,0.6", (0, 0)), HALL))
    assert holds(readings("land-overhang", m), [d + 0.1])


def test_a_square_over_a_circle_reaches_out_at_its_corners() -> None:
    m = measured(Layers(flashes("R,0.6X0.6", (0, 0)), flashes("C,0.6", (0, 0)), HALL))
    assert holds(readings("land-overhang", m), [0.3 * math.sqrt(2) - 0.3])


def test_the_place_is_the_farthest_point() -> None:
    m = measured(Layers(flashes("R,0.6X1.2", (0.1, 0.2)), PAD, HALL))
    found = readings("land-overhang", m)
    assert found.place_mm is not None
    assert found.place_mm.tolist() == [[pytest.approx(0.4), pytest.approx(0.8)]]


def test_a_track_that_the_mask_leaves_free_is_land() -> None:
    # the opening is 0.1 longer than the pad, all of it over the track
    copper = PAD + "\n" + stroke("R,0.6X0.6", (0, 0), (0, 5))
    layers = Layers(flashes("R,0.6X1.3", (0, 0.05)), copper, HALL)
    assert reads("land-overhang", layers) == [0.0]


def test_a_neighbour_that_the_opening_touches_does_not_count_as_its_land() -> None:
    # 0.05 onto the next land, and over the gap of 0.1 to it: 0.15 off its own
    lands = flashes("R,0.6X1.2", (0, 0), (0.7, 0))
    assert reads("land-overhang", Layers(flashes("R,0.75X1.2", (0.075, 0)), lands, HALL)) == [0.15]


def test_an_opening_over_the_hole_of_a_plated_land_has_none() -> None:
    assert np.isnan(
        reads("land-overhang", Layers(flashes("C,1.4", (0, 0)), flashes("C,1X0.5", (0, 0)), HALL))
    ).all()


def test_an_opening_on_no_land_has_none() -> None:
    assert np.isnan(reads("land-overhang", Layers(flashes("C,1", (9, 9)), PAD, HALL))).all()


def test_an_opening_off_its_land_is_moved_and_one_that_is_larger_shrunk() -> None:
    shifted = measured(Layers(flashes("R,0.6X1.2", (0.3, 0)), PAD, HALL))
    larger = measured(Layers(flashes("R,1X1.2", (0, 0)), PAD, HALL))
    assert wishes("land-overhang", shifted, 0.1) == ["move it onto its land, by (-0.300, 0.000) mm"]
    assert wishes("land-overhang", larger, 0.1) == ["shrink it to its land, 0.600 x 1.200 mm"]
