"""A land is what is both copper and free of mask, as far as it hangs together."""

import math

import numpy as np
import pytest

from pastecheck.errors import GerberUnsupportedError, NoOpeningsError
from pastecheck.lands import lands_of
from pastecheck.limits import Limits
from tests.drawn import mm_layer, read_text
from tests.lands.drawn import PAD, PEN, SEA, WINDOW, area, areas_mm2, line, made, middles_mm, pads_mm2


def test_a_pad_in_a_larger_window_is_the_land() -> None:
    assert areas_mm2(made(PAD)) == [0.6]


def test_a_round_pad_is_not_flattened() -> None:
    lands = made(("%ADD10C,0.6*%", "D10*", "X0Y0D03*"))
    assert lands.shapes.area_mm2[lands.shape].tolist() == [math.pi * 0.09]
    assert lands.shapes.tolerance_mm[lands.shape].tolist() == [0]


def test_in_an_area_of_copper_the_window_is_the_land() -> None:
    # 1.2 x 0.8
    assert areas_mm2(made(SEA)) == [0.96]


def test_a_round_window_in_an_area_is_not_flattened() -> None:
    lands = made(SEA, ("%ADD10C,0.6*%", "D10*", "X0Y0D03*"))
    assert lands.shapes.area_mm2[lands.shape].tolist() == [math.pi * 0.09]


def test_a_track_counts_as_far_as_it_is_free_and_is_no_part_of_the_pad() -> None:
    # from the pad's side at 0.5 to the window's at 0.6, 0.2 wide
    lands = made((*PAD, *PEN, *line((0, 0), (5, 0))))
    assert areas_mm2(lands) == [0.62]
    assert pads_mm2(lands) == [0.6]


def test_a_window_that_cuts_off_some_of_a_pad_leaves_the_rest() -> None:
    # 1 x 0.6 within 0.5 x 2
    lands = made(PAD, ("%ADD10R,0.5X2*%", "D10*", "X0Y0D03*"))
    assert areas_mm2(lands) == pads_mm2(lands) == [0.3]


def test_two_pads_in_one_window_are_two_lands() -> None:
    lands = made((*PAD, "X3000000D03*"), ("%ADD10R,9X9*%", "D10*", "X0Y0D03*"))
    assert areas_mm2(lands) == [0.6, 0.6]


def test_two_windows_over_one_pad_are_two_lands() -> None:
    mask = ("%ADD10R,0.2X2*%", "D10*", "X-300000Y0D03*", "X300000D03*")
    assert areas_mm2(made(PAD, mask)) == [0.12, 0.12]


def test_two_pads_that_a_track_joins_within_a_window_are_one_land() -> None:
    # two pads, and a track of 0.2 over the 2 mm between them
    copper = (*PAD, "X3000000D03*", *PEN, *line((0, 0), (3, 0)))
    lands = made(copper, ("%ADD10R,9X9*%", "D10*", "X0Y0D03*"))
    assert areas_mm2(lands) == [1.6]


def test_pads_that_meet_at_a_corner_are_two_lands() -> None:
    copper = (*PAD, "X1000000Y600000D03*")
    assert areas_mm2(made(copper, ("%ADD10R,9X9*%", "D10*", "X0Y0D03*"))) == [0.6, 0.6]


def test_pieces_that_abut_are_one_land() -> None:
    copper = ("%ADD10R,0.5X0.6*%", "D10*", "X-250000Y0D03*", "X250000D03*")
    assert areas_mm2(made(copper)) == [0.6]


def test_pieces_that_abut_but_for_the_rounding_of_inches_are_one_land() -> None:
    # 20 mil are 0.508 mm: at 3 digits of an inch the halves are 10 mil apart, to the nanometre
    copper = ("%ADD10R,0.508X0.6*%", "D10*", "X-254000Y0D03*", "X254001D03*")
    assert areas_mm2(made(copper)) == [pytest.approx(0.6096, abs=2e-6)]


def test_a_pad_painted_with_strokes_is_one_land() -> None:
    # a pen of 0.2 over y = -0.2, 0 and 0.2, from x = -0.4 to 0.4: 1 x 0.6 less the four round corners, and
    # two notches on either side between the round ends
    copper = (*PEN, *line((-0.4, -0.2), (0.4, -0.2), (0.4, 0), (-0.4, 0), (-0.4, 0.2), (0.4, 0.2)))
    (land,) = areas_mm2(made(copper))
    assert 0.6 - 0.04 * (4 - math.pi) < land < 0.6


def test_copper_that_was_cut_away_is_no_land() -> None:
    copper = (*SEA, "%LPC*%", "%ADD11R,2X2*%", "D11*", "X0Y0D03*", "%LPD*%", *PAD)
    assert areas_mm2(made(copper)) == [0.6]


def test_a_window_in_which_all_was_cut_away_holds_no_land() -> None:
    copper = (*SEA, "%LPC*%", "%ADD11R,2X2*%", "D11*", "X0Y0D03*")
    assert len(made(copper)) == 0


def test_what_is_clear_cuts_only_what_was_drawn_before() -> None:
    # half of the pad is cut, then a quarter is drawn again
    copper = (*PAD, "%LPC*%", *PEN[:1], *area((0, -1), (1, -1), (1, 1), (0, 1)), "%LPD*%")
    again = area((0, 0), (0.5, 0), (0.5, 0.3), (0, 0.3))
    assert areas_mm2(made(copper)) == [0.3]
    assert areas_mm2(made((*copper, *again))) == [0.45]


def test_a_cut_through_a_pad_makes_two_lands() -> None:
    copper = (*PAD, "%LPC*%", *PEN, *line((0, -1), (0, 1)))
    assert areas_mm2(made(copper)) == [0.24, 0.24]


def test_copper_that_only_touches_a_window_is_no_land() -> None:
    copper = ("%ADD10R,1X0.6*%", "D10*", "X1100000Y0D03*")  # its side lies on the window's
    assert len(made(copper)) == 0


def test_a_hair_of_copper_at_the_edge_of_a_window_is_no_land() -> None:
    # an area that reaches 10 um into the window, beside the pad
    copper = (*PAD, *area((0.59, -1), (3, -1), (3, 1), (0.59, 1)))
    assert areas_mm2(made(copper)) == [0.6]


def test_what_was_drawn_by_itself_is_a_land_however_small() -> None:
    assert len(made(("%ADD10C,0.03*%", "D10*", "X0Y0D03*"))) == 1


def test_what_is_drawn_twice_is_one_land() -> None:
    lands = made((*PAD, "X0Y0D03*"))
    assert areas_mm2(lands) == pads_mm2(lands) == [0.6]


def test_a_large_area_is_looked_at_only_about_the_window() -> None:
    # 2,000 corners along y = 0 between -50 and 50 that swing by 0.1: half of the window is below
    wave = [(0.05 * k - 50, 0.1 * (k % 2) - 0.05) for k in range(2001)]
    (land,) = areas_mm2(made(area(*wave, (50, -50), (-50, -50))))
    assert land == pytest.approx(0.48, abs=1e-6)


def test_windows_that_look_the_same_share_their_outline() -> None:
    copper = (*PAD, *PEN, *line((0, 0), (5, 0)))
    repeated = ("%SRX9Y9I20J20*%", *copper[1:3], "%SR*%")
    tracks = ("%SRX9Y9I20J20*%", *copper[4:], "%SR*%")
    mask = (WINDOW[0], "%SRX9Y9I20J20*%", *WINDOW[1:], "%SR*%")
    lands = made((copper[0], copper[3], *repeated, *tracks), mask)
    assert len(lands) == 81
    assert len(np.unique(lands.shape)) == 1
    assert set(areas_mm2(lands)) == {0.62}


def test_lands_are_sorted_by_place() -> None:
    copper = (*PAD, "X0Y5000000D03*", "X-5000000Y0D03*")
    lands = made(copper, ("%ADD10R,99X99*%", "D10*", "X0Y0D03*"))
    assert middles_mm(lands).tolist() == [[-5, 0], [0, 0], [0, 5]]


def test_columns_are_locked() -> None:
    with pytest.raises(ValueError, match="read-only"):
        made(PAD).x_nm[0] = 1


def test_lands_can_be_moved() -> None:
    moved = made(PAD).moved(1_000_000, -2_000_000)
    assert middles_mm(moved).tolist() == [[1, -2]]
    assert (moved.pad_x_nm.tolist(), moved.pad_y_nm.tolist()) == ([1_000_000], [-2_000_000])


def test_a_land_knows_its_component() -> None:
    copper = (PAD[0], "D10*", "%TO.P,R1,1*%", "X0Y0D03*", "%TD*%")
    lands = made(copper)
    assert [lands.labels[row] for row in lands.label.tolist()] == ["R1"]


# ------------------------------------------------------------------------------------------------ no mask


def test_without_a_mask_flashes_are_lands_and_nothing_else() -> None:
    copper = (*PAD, *PEN, *line((0, 0), (5, 0)), *area((20, 0), (30, 0), (30, 9)))
    lands = made(copper, None)
    assert areas_mm2(lands) == [0.6]
    assert [said.code for said in lands.diagnostics] == ["lands-without-mask"]


def test_without_a_mask_flashes_that_overlap_are_one_land() -> None:
    # two pads of 1 x 0.6 shifted by (0.5, 0)
    assert areas_mm2(made((*PAD, "X500000D03*"), None)) == [0.9]


def test_without_a_mask_a_hole_that_is_cut_later_counts() -> None:
    copper = ("%ADD10C,1*%", "%ADD11C,0.5*%", "D10*", "X0Y0D03*", "%LPC*%", "D11*", "X0Y0D03*")
    lands = made(copper, None)
    assert areas_mm2(lands) == [pytest.approx(math.pi * (0.25 - 0.0625), rel=1e-6)]
    assert lands.is_drilled.tolist() == [True]


def test_with_a_mask_nothing_is_said() -> None:
    assert made(PAD).diagnostics == ()


# ------------------------------------------------------------------------------------------------- refusals


def test_a_mask_that_opens_nothing_is_refused() -> None:
    with pytest.raises(NoOpeningsError):
        made(PAD, ("%ADD10C,1*%",))


def test_more_things_in_windows_than_the_limit_are_refused() -> None:
    copper = mm_layer("%ADD10R,1X1*%", "D10*", "%SRX10Y10I0.1J0.1*%", "X0Y0D03*", "%SR*%")
    mask = read_text(mm_layer("%ADD10R,3X3*%", "D10*", "X0Y0D03*"))
    with pytest.raises(GerberUnsupportedError, match="things of copper") as refused:
        lands_of(read_text(copper), mask, Limits(overlaps=50))
    assert "--limit overlaps=" in refused.value.hint


def test_round_pads_in_one_window_are_not_flattened() -> None:
    lands = made(("%ADD10C,0.3*%", "D10*", "X0Y0D03*", "X500000D03*"), ("%ADD10R,9X9*%", "D10*", "X0Y0D03*"))
    assert lands.shapes.radius_mm[lands.shape].tolist() == [0.15, 0.15]
    assert lands.shapes.tolerance_mm[lands.shape].tolist() == [0, 0]
