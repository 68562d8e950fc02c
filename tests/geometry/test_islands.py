"""Film that hangs on nothing: by hand, and against differences of polygons."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.islands import Islands, Within, largest_islands
from pastecheck.geometry.outlines import rounded
from tests.geometry.shapes import column, hull, rectangle


def disc(radius_mm: float, x: float = 0.0) -> shapely.Geometry:
    outline = rounded(column([hull([(0, 0)])]), np.array([radius_mm]))[0]
    assert isinstance(outline, shapely.Polygon)
    return shapely.affinity.translate(outline, x)


RING = shapely.difference(disc(0.8), disc(0.5))


def islands(outline: shapely.Geometry, inner: Sequence[shapely.Geometry] = ()) -> Islands:
    """What one outline holds, others lying where they are drawn."""
    pairs = Within(np.zeros(len(inner), np.int64), np.arange(len(inner)) + 1, np.zeros((len(inner), 2)))
    return largest_islands(column([outline, *inner]), np.zeros(1, np.int64), pairs)


def island(outline: shapely.Geometry, inner: Sequence[shapely.Geometry] = ()) -> float:
    return float(islands(outline, inner).area_mm2[0])


@pytest.mark.parametrize(
    ("outline", "inner", "expected"),
    [
        pytest.param(RING, [], math.pi * 0.25, id="ring"),  # 0.7854
        pytest.param(shapely.difference(rectangle(1, 1), rectangle(0.2, 0.2)), [], 0.04, id="square hole"),
        pytest.param(RING, [disc(0.2)], math.pi * (0.25 - 0.04), id="ring with a dot"),  # 0.6597
        pytest.param(shapely.difference(RING, shapely.box(0, -0.1, 1, 0.1)), [], math.nan, id="C"),
        pytest.param(rectangle(1, 1), [], math.nan, id="no hole"),
        # a ring in the hole: the film between the two falls out apart from that within the inner ring
        pytest.param(
            RING, [shapely.difference(disc(0.3), disc(0.2))], math.pi * (0.25 - 0.09), id="ring in a ring"
        ),
        # and a dot in the inner ring takes nothing more
        pytest.param(
            RING,
            [disc(0.1), shapely.difference(disc(0.3), disc(0.2))],
            math.pi * (0.25 - 0.09),
            id="dot in a ring in a ring",
        ),
    ],
)
def test_islands_by_hand(outline: shapely.Geometry, inner: list[shapely.Geometry], expected: float) -> None:
    # flattening keeps areas
    assert np.allclose(island(outline, inner), expected, rtol=1e-9, atol=0, equal_nan=True)


def test_the_larger_of_two_holes_is_read_less_what_lies_in_it() -> None:
    # holes of 0.6 x 0.6 and 0.5 x 0.5; an opening of 0.4 x 0.4 in the larger leaves 0.20, the other 0.25
    holes = [
        shapely.affinity.translate(rectangle(0.6, 0.6), -0.5),
        shapely.affinity.translate(rectangle(0.5, 0.5), 0.5),
    ]
    plate = shapely.difference(rectangle(3, 1), shapely.union_all(column(holes)))
    assert math.isclose(island(plate), 0.36)
    assert math.isclose(island(plate, [shapely.affinity.translate(rectangle(0.4, 0.4), -0.5)]), 0.25)


def test_a_hole_is_told_by_its_place_and_size() -> None:
    plate = shapely.difference(rectangle(3, 1), shapely.affinity.translate(rectangle(0.4, 0.5), 0.7))
    found = islands(plate)
    assert found.hole_mm2[0] == pytest.approx(0.2)
    assert abs(found.place_mm[0, 0] - 0.7) < 0.2
    assert abs(found.place_mm[0, 1]) < 0.25


def test_each_placed_outline_reads_its_own() -> None:
    outlines = column([rectangle(1, 1), RING, shapely.difference(disc(1), disc(0.9)), disc(0.3), disc(0.2)])
    # a square, two rings, the second with a dot of 0.2, and a wide ring with dots of 0.3 and of 0.2 at 0.6
    holder = np.array([0, 1, 1, 2])
    offset_mm = np.array([[0, 0], [0, 0], [0.6, 0]])
    found = largest_islands(outlines, holder, Within(np.array([2, 3, 3]), np.array([4, 3, 4]), offset_mm))
    wanted = [math.nan, math.pi * 0.25, math.pi * (0.25 - 0.04), math.pi * (0.81 - 0.09 - 0.04)]
    assert np.allclose(found.area_mm2, wanted, rtol=1e-9, atol=0, equal_nan=True)


def test_an_opening_may_touch_the_wall_of_its_hole() -> None:
    # a square that stands with one corner on the wall
    plate = shapely.difference(rectangle(3, 3), rectangle(2, 2))
    diamond = shapely.Polygon([(1, 0), (0.5, 0.5), (0, 0), (0.5, -0.5)])
    assert math.isclose(island(plate, [diamond]), 3.5)


def test_no_outlines_have_no_islands() -> None:
    none = np.zeros(0, np.int64)
    assert len(largest_islands(column([]), none, Within(none, none, np.zeros((0, 2)))).area_mm2) == 0


@given(
    st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), max_size=12, unique=True), st.integers(0, 90)
)
def test_islands_are_what_a_difference_leaves(places: list[tuple[int, int]], degrees: int) -> None:
    hole = rectangle(5, 5)
    frame = shapely.difference(rectangle(6, 6), hole)
    inner = [
        shapely.affinity.rotate(shapely.box(x - 2.3, y - 2.3, x - 1.7, y - 1.7), degrees, origin=(0, 0))
        for x, y in places
    ]
    turned = shapely.affinity.rotate(frame, degrees, origin=(0, 0))
    left = shapely.difference(
        hole, shapely.union_all(column([shapely.box(x - 2.3, y - 2.3, x - 1.7, y - 1.7) for x, y in places]))
    )
    assert math.isclose(island(turned, inner), left.area, rel_tol=1e-9)
