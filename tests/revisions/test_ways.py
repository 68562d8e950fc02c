"""The common way of a layer, found among what was added, removed and changed."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import IntArray
from pastecheck.revisions.ways import Placed, common_way

MM = 1_000_000
SIZES = np.array([[300, 300], [200, 1000], [500, 550], [150, 800]]) * 1000


def placed(place_mm: object, kind: object = 0) -> Placed:
    place_nm = np.rint(np.array(place_mm, np.float64).reshape(-1, 2) * MM).astype(np.int64)
    return Placed(place_nm, SIZES[np.broadcast_to(np.array(kind, np.int64), len(place_nm))])


def moved(layer: Placed, x_mm: float, y_mm: float) -> Placed:
    return layer._replace(place_nm=layer.place_nm + np.rint(np.array([x_mm, y_mm]) * MM).astype(np.int64))


def some(layer: Placed, rows: IntArray) -> Placed:
    return Placed(layer.place_nm[rows], layer.size_nm[rows])


def grid(columns: int, rows: int, pitch_mm: float) -> Placed:
    x, y = np.meshgrid(np.arange(columns) * pitch_mm, np.arange(rows) * pitch_mm)
    return placed(np.column_stack([x.ravel(), y.ravel()]))


def scattered(count: int, seed: int = 1) -> Placed:
    random = np.random.default_rng(seed)
    return placed(random.uniform(0, 80, (count, 2)), random.integers(0, 4, count))


@pytest.mark.parametrize(
    "way_mm", [(0.0, 0.0), (12.7, 12.7), (-12.7, 0.0), (0.5, 0.0), (12.5, 12.5), (0.002, 0.0)]
)
def test_a_grid_of_like_openings_tells_its_way_by_its_edges(way_mm: tuple[float, float]) -> None:
    # A pitch farther on all but one row lie upon each other again.
    layer = grid(40, 30, 0.5)
    assert common_way(layer, moved(layer, *way_mm)) == tuple(round(one * MM) for one in way_mm)


def test_of_a_grid_that_lost_a_row_nothing_has_moved() -> None:
    layer = grid(40, 30, 0.5)
    assert common_way(layer, some(layer, np.arange(40, 1200))) == (0, 0)


@given(st.integers(1, 60), st.integers(-30_000, 30_000), st.integers(-30_000, 30_000), st.data())
def test_a_layer_that_lost_some_and_got_others_is_found_again(
    count: int, x_um: int, y_um: int, data: st.DataObject
) -> None:
    layer = scattered(count)
    kept = np.array(sorted(data.draw(st.sets(st.integers(0, count - 1), min_size=-(-2 * count // 3)))))
    there = moved(some(layer, kept), x_um / 1000, y_um / 1000)
    new = scattered(len(kept) // 4, seed=2)
    both = Placed(
        np.concatenate([there.place_nm, new.place_nm]), np.concatenate([there.size_nm, new.size_nm])
    )
    assert common_way(layer, both) == (x_um * 1000, y_um * 1000)


def test_a_layer_of_which_everything_was_made_smaller_is_found_again() -> None:
    layer = scattered(50)
    smaller = moved(layer._replace(size_nm=layer.size_nm * 9 // 10), 12.7, 12.7)
    assert common_way(layer, smaller) == (12_700_000, 12_700_000)


def test_what_was_rounded_is_found_to_the_middle_of_its_errors() -> None:
    layer = scattered(500)
    rounded = layer._replace(place_nm=np.rint((layer.place_nm + 12_700_000) / 2540).astype(np.int64) * 2540)
    way = common_way(layer, rounded)
    assert way is not None
    assert np.abs(np.array(way) - 12_700_000).max() < 300  # the median of 500 errors of up to 1270 nm


def test_another_layer_is_not_found_again() -> None:
    assert common_way(scattered(60), scattered(60, seed=2)) is None


def test_a_layer_without_openings_is_not_found_again() -> None:
    assert common_way(placed([]), scattered(5)) is None
    assert common_way(scattered(5), placed([])) is None


def test_the_way_back_is_the_way_turned_round() -> None:
    one, other = scattered(40), moved(some(scattered(40), np.arange(5, 40)), 3.3, -2.2)
    assert common_way(one, other) == (3_300_000, -2_200_000)
    assert common_way(other, one) == (-3_300_000, 2_200_000)


def test_of_a_panel_one_board_lies_where_it_lay() -> None:
    board = scattered(50)
    panel = Placed(
        np.concatenate([board.place_nm, moved(board, 100, 0).place_nm, moved(board, 200, 0).place_nm]),
        np.concatenate([board.size_nm] * 3),
    )
    assert common_way(panel, moved(board, 100, 0)) == (0, 0)
