"""What of openings lies on no land."""

import math

from tests.checks.boards import Layers, flashes, holds, lens_mm2, measured, readings, reads, wishes

HALL = flashes("R,30X30", (0, 0))


def test_an_opening_over_two_lands_is_off_between_them() -> None:
    layers = Layers(flashes("R,1X1", (0, 0)), flashes("R,0.4X1", (-0.3, 0), (0.3, 0)), HALL)
    assert reads("off-land", layers) == [0.2]


AREA = "G36*\nX-9000000Y-9000000D02*\nX9000000D01*\nY9000000D01*\nX-9000000D01*\nY-9000000D01*\nG37*"


def test_without_a_mask_an_opening_on_an_area_of_copper_is_not_known_to_be_off() -> None:
    via = flashes("C,0.3", (0, 0))
    found = reads("off-land", Layers(flashes("R,1X1", (0, 0), (20, 0)), AREA + "\n" + via))
    assert math.isnan(found[0])
    assert found[1] == 1.0


def test_what_a_via_has_of_an_area_without_a_mask_is_no_coverage() -> None:
    layers = Layers(flashes("R,1X1", (0, 0)), AREA + "\n" + flashes("C,0.3", (0, 0)))
    assert reads("land-coverage", layers) == []
    assert math.isnan(reads("land-overhang", layers)[0])
    assert reads("missing-opening", layers) == []


def test_circles_are_read_to_their_bound() -> None:
    m = measured(Layers(flashes("C,0.4", (0.3, 0)), flashes("C,0.5", (0, 0)), HALL))
    area_mm2 = lens_mm2(0.2, 0.2, 1e-9)
    assert holds(readings("off-land", m), [1 - lens_mm2(0.2, 0.25, 0.3) / area_mm2])


def test_what_is_all_off_is_perhaps_no_parts_and_what_is_partly_off_moved() -> None:
    m = measured(Layers(flashes("R,1X1", (0, 0), (0.8, 5)), flashes("R,1X1", (0, 5)), HALL))
    alone, partly = wishes("off-land", m, 0.1)
    assert alone.startswith("leave it out if it is no part's")
    assert partly.startswith("move it onto its land")
