"""Unions of many polygons, and those that are refused as they get too complicated."""

import numpy as np
import pytest
import shapely

from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.uniting import Work, united
from pastecheck.limits import Limits
from tests.geometry.shapes import GeometryArray, column


def _bars(count: int, apart: float, wide: float) -> GeometryArray:
    """As many upright bars as level ones, each of them 100 mm long."""
    at = [k * apart for k in range(count)]
    upright = [shapely.box(x, 0, x + wide, 100) for x in at]
    return column([*upright, *(shapely.box(0, y, 100, y + wide) for y in at)])


def test_a_grid_of_bars_is_their_areas_less_what_they_share() -> None:
    # 50 + 50 bars of 100 x 1, and 50 x 50 squares of 1 x 1 that they share
    assert shapely.area(united(_bars(50, apart=2, wide=1), Work())) == 100 * 100 - 2500


def test_bars_beside_each_other_make_one_area_without_a_vertex_between() -> None:
    whole = united(_bars(100, apart=1, wide=1), Work())
    assert shapely.area(whole) == 10_000
    assert shapely.get_num_coordinates(shapely.simplify(whole, 0)) == 5


def test_a_fine_grid_is_refused_before_all_of_it_is_made() -> None:
    # 500 x 500 crossings leave four corners each: 1,000,000 vertices of bars that have 5,000
    with pytest.raises(TooMuchError, match=r"vertices more than were drawn; at most 100000") as refused:
        united(_bars(500, apart=0.2, wide=0.01), Work())
    assert "--limit tangle=" in refused.value.hint


def test_large_outlines_almost_on_one_another_are_united_as_exactly_as_others() -> None:
    # 80 discs of 300 corners, each turned by 1/80 of a corner: a star of 24,000 tips. From a tip a side runs
    # inwards, up to the side of the next one half way between them, at apothem / cos(pi / 300 - turn / 2)
    turn = 2 * np.pi / 300 / 80
    angle = np.arange(300) * (2 * np.pi / 300)
    discs = [
        shapely.Polygon(np.column_stack([20 * np.cos(angle + nth * turn), 20 * np.sin(angle + nth * turn)]))
        for nth in range(80)
    ]
    whole = united(column(discs), Work(Limits(tangle=10_000_000)))
    assert shapely.is_valid(whole)
    valley = 20 * np.cos(np.pi / 300) / np.cos(np.pi / 300 - turn / 2)
    # rounding moves no edge by more than a nanometre: 126 mm x 1 nm
    assert shapely.area(whole) == pytest.approx(24_000 * 20 * valley * np.sin(turn / 2), abs=1.3e-4)


def test_the_limit_can_be_raised() -> None:
    grid = _bars(60, apart=1, wide=0.5)
    with pytest.raises(TooMuchError):
        united(grid, Work(Limits(tangle=1000)))
    assert shapely.area(united(grid, Work(Limits(tangle=100_000)))) == pytest.approx(2 * 60 * 50 - 900)


def test_an_opening_drawn_with_too_much_is_refused() -> None:
    # 2 x 400 bars of 5 vertices, and what is left of them in each step
    with pytest.raises(TooMuchError, match="more than 10000 vertices are merged"):
        united(_bars(400, apart=0.2, wide=0.2), Work(Limits(merged=10_000)))
