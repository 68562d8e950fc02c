"""How much of a land its openings cover."""

import math

import pytest

from pastecheck.check import region
from tests.checks.boards import (
    Layers,
    flashes,
    holds,
    lens_mm2,
    measured,
    readings,
    reads,
    row,
    stroke,
    wishes,
)

PAD = flashes("R,0.3X1.5", (0, 0))
FREE = flashes("R,0.4X1.6", (0, 0))
HALL = flashes("R,30X30", (0, 0))


def test_circles_are_not_flattened() -> None:
    layers = Layers(flashes("C,0.4", (0, 0)), flashes("C,0.5", (0, 0)), HALL)
    assert reads("land-coverage", layers) == [0.64]


@pytest.mark.parametrize("d", [0.06, 0.1, 0.2, 0.3, 0.4])
def test_circles_that_lie_across_each_other_share_a_lens_to_within_the_bound(d: float) -> None:
    m = measured(Layers(flashes("C,0.4", (d, 0)), flashes("C,0.5", (0, 0)), HALL))
    assert holds(readings("land-coverage", m), [lens_mm2(0.2, 0.25, d) / (math.pi * 0.0625)])


def test_turned_openings_and_lands_are_rectangles_all_the_same() -> None:
    turned = "%LR30*%\n"
    layers = Layers(turned + flashes("R,0.25X1.5", (0, 0)), turned + PAD, turned + FREE)
    assert reads("land-coverage", layers) == [round(0.25 / 0.3, 10)]


def test_the_stub_of_a_track_is_part_of_the_land() -> None:
    # the mask shows 0.05 of a track of 0.2: 0.01 more than 0.45
    layers = Layers(flashes("R,0.3X1.5", (0, 0)), PAD + "\n" + stroke("C,0.2", (0, 0), (0, 9)), FREE)
    assert reads("land-coverage", layers) == [round(0.45 / 0.46, 10)]


def test_an_opening_counts_on_each_land_with_what_lies_there() -> None:
    # 0.5 of 1 mm on the left, 0.3 on the right; the openings are smaller than their lands
    lands = flashes("R,1X1", (0, 0), (1.2, 0))
    layers = Layers(flashes("R,1X0.5", (0.5, 0)), lands, HALL)
    assert reads("land-coverage", layers) == [0.25, 0.15]


def test_a_land_that_an_opening_only_touches_is_not_measured() -> None:
    layers = Layers(flashes("R,1.2X1", (0, 0)), flashes("R,1X1", (0, 0), (1.05, 0)), HALL)
    assert len(reads("land-coverage", layers)) == 1


def test_what_lies_beyond_a_land_that_is_not_all_covered_is_not_lost() -> None:
    # 0.28 x 2.0 on 0.3 x 1.25: 0.35 / 0.375 on the land, and 0.56 / 0.375 - 1 beyond a whole land
    layers = Layers(flashes("R,0.28X2", (0, 0)), flashes("R,0.3X1.25", (0, 0)), HALL)
    assert reads("land-coverage", layers) == [round(0.35 / 0.375 + 0.56 / 0.375 - 1, 10)]


def test_a_plated_hole_is_not_measured() -> None:
    assert reads("land-coverage", Layers(flashes("C,1", (0, 0)), flashes("C,1X0.5", (0, 0)), HALL)) == []


def test_without_a_mask_an_area_of_copper_is_no_land() -> None:
    area = "G36*\nX-9000000Y-9000000D02*\nX9000000D01*\nY9000000D01*\nX-9000000D01*\nY-9000000D01*\nG37*"
    paste = flashes("R,0.3X1.5", (0, 0), (5, 5))
    assert reads("land-coverage", Layers(paste, area + "\n" + PAD)) == [1.0]
    # what lies beside the pad may lie on a land, or not
    off = reads("off-land", Layers(paste, area + "\n" + PAD))
    assert off[0] == 0
    assert math.isnan(off[1])


AREA = "G36*\nX-9000000Y-9000000D02*\nX9000000D01*\nY9000000D01*\nX-9000000D01*\nY-9000000D01*\nG37*"


def test_an_area_that_the_mask_leaves_free_is_not_starved_by_a_joint_on_it() -> None:
    # 0.3 mm2 of 16, as the grounded end of a chip beside a shield
    layers = Layers(flashes("R,0.5X0.6", (0, 0)), AREA, flashes("R,4X4", (0, 0)))
    assert reads("land-coverage", layers) == []
    assert reads("deposit-height", layers) == []


def test_a_land_that_the_mask_cuts_out_of_an_area_is_covered_as_any_other() -> None:
    # 0.3 mm2 of 0.8
    layers = Layers(flashes("R,0.5X0.6", (0, 0)), AREA, flashes("R,0.8X1", (0, 0)))
    assert reads("land-coverage", layers) == [0.375]


def test_a_pad_that_was_drawn_is_starved_however_little_is_covered() -> None:
    # 0.3 mm2 of 16
    for pad in (flashes("R,4X4", (0, 0)), region((-2, -2), (2, -2), (2, 2), (-2, 2))):
        layers = Layers(flashes("R,0.5X0.6", (0, 0)), pad, flashes("R,5X5", (0, 0)))
        assert reads("land-coverage", layers) == [0.01875]


def test_a_row_is_read_land_by_land() -> None:
    places = row(5, 0.5)
    layers = Layers(flashes("R,0.25X1.5", *places), flashes("R,0.3X1.5", *places), HALL)
    assert reads("land-coverage", layers) == [round(0.25 / 0.3, 10)] * 5


def test_a_land_without_an_opening_is_not_measured() -> None:
    assert len(reads("land-coverage", Layers(PAD, flashes("R,0.3X1.5", (0, 0), (9, 0)), HALL))) == 1


def test_two_openings_on_a_land_that_starves_are_asked_for_more_in_words() -> None:
    m = measured(Layers(flashes("R,0.3X0.3", (0, -0.5), (0, 0.5)), PAD, FREE))
    # 0.18 of 0.45 is 0.4; half as much again would be 0.6
    assert wishes("land-coverage", m, 0.6) == ["print 50 % more on this land, which is 0.300 x 1.500 mm"]


def test_one_opening_is_asked_for_a_width_within_its_land() -> None:
    m = measured(Layers(flashes("R,0.15X1.5", (0, 0)), PAD, FREE))
    assert wishes("land-coverage", m, 0.6) == [""]
