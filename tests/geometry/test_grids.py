"""Boxes in a grid of cells: what windows hold is what every two tried give, and each box comes once."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import FloatArray
from pastecheck.geometry.grids import Grid

steps = st.integers(0, 120)
box = st.tuples(steps, steps, st.integers(1, 60), st.integers(1, 60))
window = st.tuples(st.integers(-60, 180), st.integers(-60, 180))


def bounds(boxes: list[tuple[int, int, int, int]]) -> FloatArray:
    x, y, width, height = np.array(boxes, np.float64).reshape(-1, 4).T
    return np.stack([x, y, x + width, y + height])


@given(st.lists(box, min_size=1, max_size=30), st.lists(window, max_size=6), st.sampled_from([12, 50, 200]))
def test_windows_hold_every_box_that_reaches_into_them_once(
    boxes: list[tuple[int, int, int, int]], places: list[tuple[int, int]], side: int
) -> None:
    low_x, low_y, high_x, high_y = all_nm = bounds(boxes)
    weight = np.ldexp(1.0, np.arange(len(boxes)))  # each sum of them tells which they are
    grid = Grid(all_nm, (all_nm[:2] + all_nm[2:]) / 2, weight, side)
    low = np.array(places, np.float64).reshape(-1, 2).T
    cells = grid.cells(low, low + side)
    between, touching = grid.between_edges(cells), grid.touching(cells)
    at_edges = [pairs for pairs, _ in grid.at_edges(cells)]
    for row, (x, y) in enumerate(places):
        meets = (low_x < x + side) & (high_x > x) & (low_y < y + side) & (high_y > y)
        near = np.concatenate([found[pairs == row] for pairs, found in at_edges])
        assert len(np.unique(near)) == len(near)
        assert between[row] + weight[near[meets[near]]].sum() == weight[meets].sum()
        near = touching[1][touching[0] == row]
        assert len(np.unique(near)) == len(near)
        assert set(np.flatnonzero(meets)) <= set(near)


@given(st.lists(box, min_size=1, max_size=30), st.lists(window, max_size=6))
def test_middles_are_never_counted_too_many(
    boxes: list[tuple[int, int, int, int]], places: list[tuple[int, int]]
) -> None:
    all_nm = bounds(boxes)
    middle = (all_nm[:2] + all_nm[2:]) / 2
    grid = Grid(all_nm, middle, np.ones(len(boxes)), 50)
    low = np.array(places, np.float64).reshape(-1, 2).T
    count = grid.middles_at_least(grid.cells(low, low + 50))
    inside = (middle[:, None] >= low[:, :, None]) & (middle[:, None] <= low[:, :, None] + 50)
    assert (count <= inside.all(axis=0).sum(axis=1)).all()
