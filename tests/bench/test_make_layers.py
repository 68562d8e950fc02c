from collections.abc import Callable

import pytest

from pastecheck import gerber
from pastecheck.openings import cut_from
from tests.bench.make_layers import odd, overlapping, own_sizes, panel

Maker = Callable[[int, int], bytes]
MAKERS = (panel, overlapping, own_sizes, odd)


@pytest.mark.parametrize("count", [1, 200, 4_321])
def test_a_panel_flashes_each_opening_once(count: int) -> None:
    assert panel(count).count(b"D03*") == count


@pytest.mark.parametrize("make", MAKERS)
@pytest.mark.parametrize("count", [1, 2_203])
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
