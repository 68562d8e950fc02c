from collections.abc import Callable

import pytest

from pastecheck import gerber
from pastecheck.openings import cut_from
from tests.bench.make_layers import (
    beside_land,
    framed,
    odd,
    overlapping,
    own_sizes,
    panel,
    unequal,
    waved,
)

Maker = Callable[[int, int], bytes]
WITH_LARGE = (framed, waved, beside_land)
MAKERS = (panel, overlapping, own_sizes, odd, unequal, *WITH_LARGE)


@pytest.mark.parametrize("count", [1, 200, 4_321])
def test_a_panel_flashes_each_opening_once(count: int) -> None:
    assert panel(count).count(b"D03*") == count


@pytest.mark.parametrize("make", MAKERS)
@pytest.mark.parametrize("count", [2, 2_203])
def test_as_many_openings_as_asked_for_are_left_after_merging(make: Maker, count: int) -> None:
    assert len(cut_from(gerber.read(make(count, 1), "made.gbr"))) == count


def test_a_panel_repeats_one_board_with_the_same_components() -> None:
    # a reference comes once on a board, so once for each of the three boards
    assert panel(6_000).count(b"%TO.C,R1*%") == 3


def test_one_opening_in_ten_is_drawn_as_two_features() -> None:
    # 4,000 openings on two boards, of which 2 x 200 take a second flash
    assert overlapping(4_000).count(b"D03*") == 4_400


def test_overlapping_features_change_no_component() -> None:
    said = [line for line in panel(2_000).splitlines() if line.startswith(b"%TO")]
    assert [line for line in overlapping(2_000).splitlines() if line.startswith(b"%TO")] == said


def test_three_parts_in_ten_have_apertures_of_their_own() -> None:
    # the shared footprints need about ten apertures; each resized part adds one or more
    text = own_sizes(2_000)
    parts = text.count(b"%TO.C,")
    assert 0.25 * parts < text.count(b"%ADD") < 0.6 * parts


def test_half_of_the_odd_openings_are_regions() -> None:
    text = odd(2_000)
    assert (text.count(b"D03*"), text.count(b"G37*")) == (1_000, 1_000)


@pytest.mark.parametrize("make", MAKERS)
def test_equal_arguments_give_equal_bytes(make: Maker) -> None:
    assert make(500, 7) == make(500, 7)


@pytest.mark.parametrize("make", MAKERS)
def test_another_seed_gives_another_layer(make: Maker) -> None:
    assert make(500, 7) != make(500, 8)


@pytest.mark.parametrize("make", WITH_LARGE)
def test_what_is_large_lies_around_or_beside_the_panel_it_is_added_to(make: Maker) -> None:
    assert panel(1_999, 3).removesuffix(b"M02*\n") in make(2_000, 3)


def test_a_waved_frame_has_100_000_vertices() -> None:
    # a wave has two; and the five corners of the inner side and the one that leads there
    assert waved(2).count(b"D01*") - framed(2).count(b"D01*") == 100_000 - 4


def test_sides_of_unequal_openings_differ_a_hundredfold() -> None:
    openings = cut_from(gerber.read(unequal(2_000), "made.gbr"))
    assert openings.shapes.perimeter_mm.max() > 100 * openings.shapes.perimeter_mm.min()
