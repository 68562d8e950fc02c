"""How far paste stays off lands of others."""

import pytest

from tests.checks.boards import Layers, flashes, measured, readings, reads, row, stroke, wishes

HALL = flashes("R,30X30", (0, 0))


def test_circles_are_not_flattened() -> None:
    # balls of 0.3 at 0.5, openings of 0.25: 0.5 - 0.125 - 0.15 less 0.1
    places = row(2, 0.5)
    layers = Layers(flashes("C,0.25", *places), flashes("C,0.3", *places), HALL)
    assert reads("land-clearance", layers) == [0.125, 0.125]


def test_the_registration_can_be_set() -> None:
    places = row(2, 0.5)
    layers = Layers(flashes("C,0.25", *places), flashes("C,0.3", *places), HALL)
    assert reads("land-clearance", layers, registration_mm=0.05) == [0.175, 0.175]


def test_it_is_looked_for_only_as_far_as_it_could_fail() -> None:
    places = row(2, 0.5)
    layers = Layers(flashes("C,0.25", *places), flashes("C,0.3", *places), HALL)
    assert reads("land-clearance", layers, reach=0.12) == []
    assert readings("land-clearance", measured(layers), 0.12).examined == 2


def test_lands_without_openings_count_too() -> None:
    # a bare land of 0.3, 0.2 off the opening of the other
    layers = Layers(flashes("R,0.3X1", (0, 0)), flashes("R,0.3X1", (0, 0), (0.5, 0)), HALL)
    assert reads("land-clearance", layers) == [0.1]


def test_without_a_mask_a_bare_land_may_be_a_via_under_it_and_does_not_count() -> None:
    bare = Layers(flashes("R,0.3X1", (0, 0)), flashes("R,0.3X1", (0, 0), (0.5, 0)))
    assert reads("land-clearance", bare) == []
    both = Layers(flashes("R,0.3X1", (0, 0), (0.5, 0)), bare.land)
    assert reads("land-clearance", both) == [0.1, 0.1]


def test_the_nearest_land_is_read() -> None:
    layers = Layers(flashes("R,0.3X1", (0, 0)), flashes("R,0.3X1", (0, 0), (0.5, 0), (-0.45, 0)), HALL)
    assert reads("land-clearance", layers) == [0.05]


def test_the_place_lies_between_the_two() -> None:
    m = measured(Layers(flashes("R,0.3X1", (0, 0)), flashes("R,0.3X1", (0, 0), (0.5, 0)), HALL))
    found = readings("land-clearance", m)
    assert found.place_mm is not None
    assert found.place_mm.tolist() == [[pytest.approx(0.25), pytest.approx(0)]]


def test_lands_that_a_track_joins_need_none() -> None:
    # a track about both: out of the window below, and in again
    places = row(2, 0.5)
    track = stroke("C,0.1", (0, 0), (0.5, 0))
    mask = flashes("R,0.32X1.1", *places)  # it does not show the track
    layers = Layers(flashes("R,0.3X1", *places), flashes("R,0.3X1", *places) + "\n" + track, mask)
    assert reads("land-clearance", layers) == []


def test_an_opening_over_two_lands_is_meant_for_both() -> None:
    layers = Layers(flashes("R,0.8X1", (0.25, 0)), flashes("R,0.3X1", (0, 0), (0.5, 0)), HALL)
    assert reads("land-clearance", layers) == []


def test_an_opening_on_no_land_is_not_measured() -> None:
    layers = Layers(flashes("R,0.3X1", (0, 0), (9.4, 0)), flashes("R,0.3X1", (0, 0), (9, 0)), HALL)
    assert reads("land-clearance", layers) == []


def test_in_a_row_a_width_is_wished_for_and_beside_it_an_edge() -> None:
    places = row(2, 0.4)
    across = measured(Layers(flashes("R,0.3X1", *places), flashes("R,0.3X1", *places), HALL))
    # 0.1 apart less 0.1
    assert wishes("land-clearance", across, 0.04) == ["", ""]
    ends = [(0.0, 0.0), (0.0, 1.1)]
    along = measured(Layers(flashes("R,0.3X1", *ends), flashes("R,0.3X1", *ends), HALL))
    assert (
        wishes("land-clearance", along, 0.04)
        == ["draw the edge that faces the other land back by 0.040 mm"] * 2
    )
