"""In what order things are cut."""

from itertools import pairwise, permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.cuts.hopping import gaps_between_mm, hopping
from pastecheck.cuts.order import size_classes
from tests.cuts.laid import SLOTS, file_of, laid, layer

INF = np.inf


def boxes(
    middles: list[tuple[float, float]], side: float = 0.2
) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    at = np.array(middles, dtype=np.float64).reshape(-1, 2)
    return np.concatenate([at - side / 2, at + side / 2], axis=1)


def in_a_row(count: int, pitch: float) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return boxes([(pitch * column, 0.0) for column in range(count)])


def test_a_long_row_is_cut_in_chains_of_the_least_stride_that_hops_far_enough() -> None:
    # boxes of 0.2 at 0.5: s apart they leave 0.5 s - 0.2; 1.2 from s = 3 on, and 9 >= 3 x 3 - 1
    assert hopping(in_a_row(9, 0.5), 1.2).tolist() == [0, 3, 6, 1, 4, 7, 2, 5, 8]


def test_a_short_row_is_cut_in_halves_by_turns() -> None:
    # 5 boxes: two apart is the most that any order can do, and 0.5 x 2 - 0.2 = 0.8 is left
    order = hopping(in_a_row(5, 0.5), 3.0)
    assert order.tolist() == [2, 0, 3, 1, 4]
    assert min(abs(one - other) for one, other in pairwise(order.tolist())) == 2


@pytest.mark.parametrize("count", range(2, 8))
def test_no_order_of_a_row_keeps_ranks_farther_apart_than_halves_by_turns(count: int) -> None:
    every = permutations(range(count))
    assert max(min(abs(one - other) for one, other in pairwise(order)) for order in every) == count // 2


@pytest.mark.parametrize("count", range(1, 12))
def test_halves_by_turns_are_as_far_apart_as_ranks_can_be(count: int) -> None:
    order = hopping(in_a_row(count, 0.5), 1000.0)
    assert sorted(order.tolist()) == list(range(count))
    assert all(abs(one - other) >= count // 2 for one, other in pairwise(order.tolist()))


def test_the_axis_in_which_things_spread_farther_is_taken() -> None:
    upright = in_a_row(9, 0.5)[:, [1, 0, 3, 2]]
    assert hopping(upright, 1.2).tolist() == hopping(in_a_row(9, 0.5), 1.2).tolist()


def test_a_long_thing_among_short_ones_is_no_neighbour_of_what_lies_beside_it() -> None:
    every = np.concatenate([in_a_row(30, 0.5), [[0.0, 0.5, 6.0, 0.7]]])
    order = hopping(every, 1.2)
    assert gaps_between_mm(every[order]).min() >= 1.2 - 1e-9


@given(
    middles=st.lists(st.tuples(st.integers(-300, 300), st.integers(-60, 60)), min_size=1, max_size=120),
    hop=st.sampled_from([0.5, 1.0, 3.0, 10.0]),
)
def test_what_follows_hops_as_far_as_was_asked_where_there_is_a_stride_that_does(
    middles: list[tuple[int, int]], hop: float
) -> None:
    every = boxes([(x / 10, y / 10) for x, y in middles])
    order = hopping(every, hop)
    assert sorted(order.tolist()) == list(range(len(every)))
    gap = gaps_between_mm(every[order]).min(initial=INF)
    for axis in (0, 1):
        low, high = np.sort(every[:, axis]), np.sort(every[:, 2 + axis])
        stride = (len(every) + 1) // 3
        if stride and (low[stride:] - high[:-stride]).min(initial=INF) >= hop:
            assert gap >= hop - 1e-9
            break
    else:
        half = max(len(every) // 2, 1)
        floor = max(
            (np.sort(every[:, a])[half:] - np.sort(every[:, 2 + a])[:-half]).min(initial=INF) for a in (0, 1)
        )
        assert gap >= min(floor, hop) - 1e-9


def test_classes_end_at_06_mm_and_are_twice_as_wide_as_the_one_before() -> None:
    width = np.array([0.05, 0.1, 0.2, 0.25, 0.59, 0.6, 0.61, 1.3, 20.0])
    found = size_classes(width, boxes([(5.0 * row, 0.0) for row in range(9)]), 3.0)
    assert [(one.name, sorted(one.openings.tolist())) for one in found] == [
        ("under 0.075 mm", [0]),
        ("0.075 to 0.15 mm", [1]),
        ("0.15 to 0.3 mm", [2, 3]),
        ("0.3 to 0.6 mm", [4]),
        ("0.6 to 1.2 mm", [5, 6]),
        ("1.2 to 2.4 mm", [7]),
        ("from 9.6 mm", [8]),
    ]


def test_a_class_in_which_nothing_can_hop_is_cut_with_its_neighbour_but_never_across_06_mm() -> None:
    # two slots side by side, 0.25 apart, squares of 0.4 mm far from both, and a large one beside them
    every = np.concatenate(
        [in_a_row(2, 0.45), boxes([(0.0, 20.0), (0.0, 40.0)], 0.4), boxes([(2.0, 0.0)], 1.0)]
    )
    small, large = size_classes(np.array([0.2, 0.2, 0.4, 0.4, 1.0]), every, 3.0)
    assert (small.name, sorted(small.openings.tolist())) == ("0.15 to 0.6 mm", [0, 1, 2, 3])
    assert small.apart_mm > 3
    assert (large.name, large.openings.tolist()) == ("0.6 to 1.2 mm", [4])


def test_a_class_begins_at_its_end_that_is_farther_from_where_the_last_one_ended() -> None:
    # the slots end at x = 12; of the two squares that at x = 0 is cut first
    every = np.concatenate([in_a_row(9, 1.5), boxes([(12.0, 2.0), (0.0, 2.0)], 1.0)])
    width = np.array([0.2] * 9 + [1.0] * 2)
    small, large = size_classes(width, every, 3.0)
    assert small.openings[-1] in {8, 5, 2, 7}
    assert gaps_between_mm(every[[small.openings[-1], large.openings[0]]])[0] > 3


def test_neighbours_in_a_row_of_leads_are_never_cut_one_after_the_other() -> None:
    file = file_of(layer(*SLOTS))
    assert all(abs(one - other) > 1 for one, other in pairwise(file.order.tolist()))
    assert "lie at least 1.250 mm apart: they are too few or too crowded for 3.000 mm" in " ".join(file.notes)


def test_small_openings_come_first_then_large_ones_marks_and_the_frame() -> None:
    m = layer(
        *SLOTS, "%ADD11R,3X3*%", "D11*", "X0Y10000000D03*", "%ADD12R,0.5X0.5*%", "D12*", "X9000000Y0D03*"
    )
    sheet = laid(m, coupon=True, marks=True, frame=True, hop_mm=1.0)
    assert list(sheet.groups) == [
        "cut-1-coupon",
        "cut-2-openings-0.15-to-0.3-mm",
        "cut-3-openings-0.3-to-0.6-mm",
        "cut-4-openings-2.4-to-4.8-mm",
        "cut-5-registration-marks",
        "cut-6-frame",
    ]
    areas = [round(found.area_mm2, 6) for found in sheet.openings]
    assert areas == [0.375] * 7 + [0.25, 9.0]
