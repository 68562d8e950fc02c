"""Rounded convex shapes known by what they are drawn from, against what is merged and flattened."""

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.mending import GRID_MM
from pastecheck.geometry.outlines import FLATNESS_MM, contours
from pastecheck.geometry.rounding import Rounded, rounded_contours, rounded_unions
from tests.geometry.shapes import Drawn, column, grown, rectangle, solids

WIDTH_MM, HEIGHT_MM, RADIUS_MM = 0.8, 0.5, 0.1
NEAR_MM = 10 * GRID_MM

sizes = st.integers(100, 3000).map(lambda um: um / 1000)
shares = st.integers(10, 90).map(lambda percent: percent / 100)
turns = st.floats(0, 90)


def _unions(*groups: Sequence[Drawn]) -> Rounded:
    every = [one for group in groups for one in group]
    owner = np.repeat(np.arange(len(groups)), [len(group) for group in groups])
    core, radius_mm = column([one.core for one in every]), np.array([one.radius_mm for one in every])
    return rounded_unions(core, radius_mm, owner)


def _is_known(*group: Drawn) -> bool:
    return bool(_unions(group).known[0])


def _discs(x_mm: float, y_mm: float, radius_mm: float) -> list[Drawn]:
    return [Drawn(shapely.Point(x, y), radius_mm) for x in (-x_mm, x_mm) for y in (-y_mm, y_mm)]


def _crossed(
    width_mm: float = WIDTH_MM, height_mm: float = HEIGHT_MM, radius_mm: float = RADIUS_MM
) -> list[Drawn]:
    """A rounded rectangle of two rectangles that cross and four discs."""
    x_mm, y_mm = width_mm / 2 - radius_mm, height_mm / 2 - radius_mm
    rectangles = [rectangle(width_mm, 2 * y_mm), rectangle(2 * x_mm, height_mm)]
    return [*(Drawn(one, 0.0) for one in rectangles), *_discs(x_mm, y_mm, radius_mm)]


def _framed(width_mm: float, height_mm: float, radius_mm: float) -> list[Drawn]:
    """A rounded rectangle of one rectangle, a line with square ends along each side of it, and four discs."""
    x_mm, y_mm = width_mm / 2 - radius_mm, height_mm / 2 - radius_mm
    lines = [shapely.box(-x_mm, y - radius_mm, x_mm, y + radius_mm) for y in (-y_mm, y_mm)] + [
        shapely.box(x - radius_mm, -y_mm, x + radius_mm, y_mm) for x in (-x_mm, x_mm)
    ]
    boxes = [rectangle(2 * x_mm, 2 * y_mm), *lines]
    return [*(Drawn(one, 0.0) for one in boxes), *_discs(x_mm, y_mm, radius_mm)]


def _turned(group: Sequence[Drawn], degrees: float) -> list[Drawn]:
    """Turned and rounded to nanometres, as files write it."""
    return [
        Drawn(shapely.set_precision(shapely.affinity.rotate(core, degrees, (0, 0)), GRID_MM), radius_mm)
        for core, radius_mm in group
    ]


@pytest.mark.parametrize("drawn", [_crossed, _framed])
@given(width_mm=sizes, height_mm=sizes, share=shares, degrees=turns)
def test_a_rounded_rectangle_is_known_at_any_angle(
    drawn: Callable[..., list[Drawn]], width_mm: float, height_mm: float, share: float, degrees: float
) -> None:
    radius_mm = share * min(width_mm, height_mm) / 2
    found = _unions(_turned(drawn(width_mm, height_mm, radius_mm), degrees))
    assert found.known.tolist() == [True]
    assert found.radius_mm.tolist() == [radius_mm]
    assert found.tolerance_mm[0] <= NEAR_MM
    inner_mm2 = (width_mm - 2 * radius_mm) * (height_mm - 2 * radius_mm)
    assert math.isclose(shapely.area(found.core[0]), inner_mm2, abs_tol=10 * NEAR_MM)


def test_strokes_in_line_are_one_obround() -> None:
    found = _unions([_bar((0, 0), (0.5, 0)), _bar((0.5, 0), (0.9, 0)), Drawn(shapely.Point(0.2, 0), 0.1)])
    assert found.known.tolist() == [True]
    assert shapely.equals(found.core[0], shapely.LineString([(0, 0), (0.9, 0)]))


def _bar(begin_mm: tuple[float, float], end_mm: tuple[float, float]) -> Drawn:
    return Drawn(shapely.LineString([begin_mm, end_mm]), RADIUS_MM)


def _around(width_mm: float, height_mm: float) -> list[Drawn]:
    """Strokes along the sides of a rectangle."""
    corners = [(0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm), (0.0, height_mm), (0.0, 0.0)]
    return [_bar(*side) for side in pairwise(corners)]


def test_strokes_around_that_leave_nothing_open_are_a_rounded_rectangle() -> None:
    assert _is_known(*_around(0.6, 0.2))


def test_strokes_around_that_leave_a_slit_of_ten_nanometres_are_none() -> None:
    assert not _is_known(*_around(0.6, 0.2 + 1e-5))


def test_strokes_side_by_side_whose_ends_are_scalloped_are_none() -> None:
    assert not _is_known(*(_bar((-0.3, y_mm), (0.3, y_mm)) for y_mm in (-0.15, 0.0, 0.15)))


def test_a_disc_with_smaller_ones_inside_is_the_disc() -> None:
    found = _unions([Drawn(shapely.Point(0, 0), 0.2), Drawn(shapely.Point(0.05, 0), 0.1)])
    assert found.known.tolist() == [True]
    assert shapely.equals(found.core[0], shapely.Point(0, 0))


def test_discs_at_the_corners_alone_are_none() -> None:
    assert not _is_known(*_discs(0.3, 0.2, 0.1))


@given(st.integers(0, 5), st.integers(1, 30), turns)
def test_what_is_off_by_two_tenths_of_a_micrometre_outward_is_no_rounded_shape(
    which: int, off: int, degrees: float
) -> None:
    group = _crossed()
    core, radius_mm = group[which]
    way = 0.0002 * off * np.array([1.0, 1.0])
    if which > 1:
        way *= np.sign(shapely.get_coordinates(core)[0])
    group[which] = Drawn(shapely.affinity.translate(core, *way), radius_mm)
    assert not _is_known(*_turned(group, degrees))


@pytest.mark.parametrize(("short_mm", "at_most_mm"), [(2e-6, 4e-6), (5e-5, 2e-4)])
def test_what_is_short_by_less_is_known_with_a_tolerance_that_covers_it(
    short_mm: float, at_most_mm: float
) -> None:
    group = _crossed()
    group[0] = Drawn(rectangle(WIDTH_MM - 2 * short_mm, HEIGHT_MM - 2 * RADIUS_MM), 0.0)
    found = _unions(group)
    assert found.known.tolist() == [True]
    assert short_mm <= found.tolerance_mm[0] <= at_most_mm


def test_what_is_short_by_two_tenths_of_a_micrometre_is_none() -> None:
    group = _crossed()
    group[0] = Drawn(rectangle(WIDTH_MM - 0.0004, HEIGHT_MM - 2 * RADIUS_MM), 0.0)
    assert not _is_known(*group)


@given(st.lists(st.lists(solids, min_size=1, max_size=4), min_size=1, max_size=4))
def test_groups_together_are_told_as_each_of_them_alone(groups: list[list[Drawn]]) -> None:
    groups.insert(len(groups) // 2, _crossed())
    together = _unions(*groups)
    alone = [_unions(group) for group in groups]
    assert together.known.tolist() == [bool(one.known[0]) for one in alone]
    assert together.known[(len(groups) - 1) // 2]


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(-300, 300), st.integers(-300, 300)), max_size=2))
def test_what_is_known_is_what_merging_and_flattening_leave(moves: list[tuple[int, int, int]]) -> None:
    group = _crossed()
    for which, x_nm, y_nm in moves:
        core, radius_mm = group[which]
        group[which] = Drawn(shapely.affinity.translate(core, x_nm * GRID_MM, y_nm * GRID_MM), radius_mm)
    found = _unions(group)
    merged = shapely.union_all([grown(*one) for one in group], grid_size=GRID_MM)
    if found.known[0]:
        off_mm = found.tolerance_mm[0] + 2 * FLATNESS_MM
        outline = grown(found.core[0], RADIUS_MM)
        assert shapely.covers(outline.buffer(off_mm), merged)
        assert shapely.covers(merged.buffer(off_mm), outline)
    elif not moves:
        raise AssertionError("a rounded rectangle was not known")


# ------------------------------------------------------------------------------------------------ contours

Edge = tuple[float, float, float, float, int]
"""From (x, y), about a centre (x, y), turning."""


def _known_contour(edges: Sequence[Edge], degrees: float = 0.0, step_mm: float = GRID_MM) -> Rounded:
    table = np.array(edges, np.float64)
    cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turn = np.array([[cosine, sine], [-sine, cosine]])
    point_mm, centre_mm = (
        np.rint(column @ turn / step_mm) * step_mm for column in (table[:, :2], table[:, 2:4])
    )
    contour = point_mm, centre_mm, table[:, 4].astype(np.int8), np.array([0, len(table)])
    return rounded_contours(*contour, column([shapely.Polygon(contours(*contour).vertex)]))


def _rounded_rectangle(width_mm: float, height_mm: float, r: float, *, clockwise: bool = False) -> list[Edge]:
    x, y = width_mm / 2, height_mm / 2
    edges: list[Edge] = [
        (-x + r, -y, 0, 0, 0),
        (x - r, -y, x - r, -y + r, 1),
        (x, -y + r, 0, 0, 0),
        (x, y - r, x - r, y - r, 1),
        (x - r, y, 0, 0, 0),
        (-x + r, y, -x + r, y - r, 1),
        (-x, y - r, 0, 0, 0),
        (-x, -y + r, -x + r, -y + r, 1),
    ]
    if not clockwise:
        return edges
    return [(px, -py, cx, -cy, -turn) for px, py, cx, cy, turn in edges]


@pytest.mark.parametrize("clockwise", [False, True])
@given(width_mm=sizes, height_mm=sizes, share=shares, degrees=turns)
def test_a_rounded_rectangle_drawn_as_a_contour_is_known_at_any_angle(
    *, clockwise: bool, width_mm: float, height_mm: float, share: float, degrees: float
) -> None:
    radius_mm = share * min(width_mm, height_mm) / 2
    edges = _rounded_rectangle(width_mm, height_mm, radius_mm, clockwise=clockwise)
    found = _known_contour(edges, degrees)
    assert found.known.tolist() == [True]
    assert math.isclose(found.radius_mm[0], radius_mm, abs_tol=NEAR_MM)
    assert found.tolerance_mm[0] <= 2 * NEAR_MM
    inner_mm2 = (width_mm - 2 * radius_mm) * (height_mm - 2 * radius_mm)
    assert math.isclose(shapely.area(found.core[0]), inner_mm2, abs_tol=10 * NEAR_MM)


@pytest.mark.parametrize(
    ("edges", "core"),
    [
        pytest.param([(1, 0, 0, 0, 1)], shapely.Point(0, 0), id="a circle of one arc"),
        pytest.param([(1, 0, 0, 0, -1), (-1, 0, 0, 0, -1)], shapely.Point(0, 0), id="a circle of two"),
        pytest.param(
            [(0, -1, 0, 0, 0), (2, -1, 2, 0, 1), (2, 1, 0, 0, 0), (0, 1, 0, 0, 1)],
            shapely.LineString([(0, 0), (2, 0)]),
            id="an obround",
        ),
    ],
)
def test_circles_and_obrounds_drawn_as_contours_are_known(edges: list[Edge], core: shapely.Geometry) -> None:
    found = _known_contour(edges)
    assert found.known.tolist() == [True]
    assert shapely.equals(found.core[0], core)
    assert found.radius_mm.tolist() == [1.0]


@pytest.mark.parametrize(
    "edges",
    [
        pytest.param([(1, 0, 0, 0, 1), (-1, 0, 0, 0, 0)], id="a half disc"),
        pytest.param(
            [(-1, 0, 0, 0, 0), (1, 0, 0, 0, 0), (1, 2, 0, 2, -1), (-1, 2, 0, 0, 0)], id="a bite of a square"
        ),
        pytest.param(
            [(0, -1, 0, 0, 0), (2, -1, 2, 0, 1), (2, 1, 0, 0, 0), (0, 1, 0, 0, 0)], id="one round end"
        ),
        pytest.param(
            [(0, -1, 0, 0, 0), (2, -0.5, 2, 0, 1), (2, 0.5, 0, 0, 0), (0, 1, 0, 0, 1)], id="a taper"
        ),
        pytest.param(
            [(1, 0, 0, 0, 1), (-1, 0, 0, 0, 1), (1, 0, 0, 0, 1), (-1, 0, 0, 0, 1)], id="twice round a circle"
        ),
    ],
)
def test_other_contours_with_arcs_are_none(edges: list[Edge]) -> None:
    assert not _known_contour(edges).known[0]


def test_a_contour_in_coarse_steps_is_no_rounded_rectangle() -> None:
    # turned by 30 degrees and rounded to whole micrometres, its places are off by half of one
    assert not _known_contour(_rounded_rectangle(0.8, 0.5, 0.1), 30, 0.001).known[0]


@given(sizes, sizes, shares, turns, st.sampled_from([1e-6, 1e-5, 2e-5]))
def test_a_contour_leaves_what_it_is_known_as_by_less_than_its_tolerance(
    width_mm: float, height_mm: float, share: float, degrees: float, step_mm: float
) -> None:
    radius_mm = share * min(width_mm, height_mm) / 2
    found = _known_contour(_rounded_rectangle(width_mm, height_mm, radius_mm), degrees, step_mm)
    true = shapely.affinity.rotate(rectangle(width_mm - 2 * radius_mm, height_mm - 2 * radius_mm), degrees)
    if found.known[0]:
        off_mm = shapely.hausdorff_distance(found.core[0], true) + abs(found.radius_mm[0] - radius_mm)
        assert off_mm <= found.tolerance_mm[0] + 2 * step_mm  # the file is off itself
