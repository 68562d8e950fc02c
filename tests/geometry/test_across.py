"""Boxes of one set against those of another, and what of a large outline lies in many boxes."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.across import boxes_across, clipped, placed_about
from pastecheck.geometry.boxes import TooManyPairsError
from tests.geometry.shapes import column

NONE = np.zeros((0, 4), np.int64)
numbers = st.integers(-50, 50)
boxes = st.lists(
    st.tuples(numbers, numbers, st.integers(0, 30), st.integers(0, 30)).map(
        lambda one: (one[0], one[1], one[0] + one[2], one[1] + one[3])
    ),
    max_size=30,
).map(lambda some: np.array(some, np.int64).reshape(-1, 4))


@given(boxes, boxes)
def test_pairs_are_those_that_every_two_tried_give(one: np.ndarray, other: np.ndarray) -> None:
    found = boxes_across(one, other, 10_000)
    wanted = [
        (i, j)
        for i, a in enumerate(one.tolist())
        for j, b in enumerate(other.tolist())
        if a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]
    ]
    assert list(zip(found.first.tolist(), found.second.tolist(), strict=True)) == wanted


def test_boxes_that_touch_at_a_corner_meet() -> None:
    found = boxes_across(np.array([[0, 0, 1, 1]]), np.array([[1, 1, 2, 2], [2, 2, 3, 3]]), 9)
    assert (found.first.tolist(), found.second.tolist()) == ([0], [0])


def test_too_many_pairs_are_told_before_they_take_memory() -> None:
    many = np.tile(np.array([[0, 0, 1, 1]]), (2000, 1))
    with pytest.raises(TooManyPairsError) as caught:
        boxes_across(many, many, 1000)
    assert caught.value.bound == 4_000_000


@pytest.mark.parametrize(("one", "other"), [(NONE, NONE), (NONE, np.array([[0, 0, 1, 1]]))])
def test_nothing_meets_nothing(one: np.ndarray, other: np.ndarray) -> None:
    assert len(boxes_across(one, other, 9).first) == 0


def wavy(corners: int) -> shapely.Polygon:
    """A disc of 50 mm whose edge swings by 1 mm, and a hole of as many corners."""
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    reach = 50 + np.sin(300 * angle)
    edge = np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])
    return shapely.Polygon(edge, [edge / 2])


@pytest.mark.parametrize("corners", [300, 9_000])
def test_what_lies_in_a_box_is_what_intersection_gives(corners: int) -> None:
    random = np.random.default_rng(corners)
    low = random.uniform(-60, 55, (200, 2))
    around = np.concatenate([low, low + random.uniform(0.1, 9, (200, 2))], axis=1)
    outline = wavy(corners)
    found = clipped(outline, around)
    wanted = shapely.intersection(outline, shapely.box(*around.T))
    assert np.allclose(shapely.area(found), shapely.area(wanted), rtol=0, atol=1e-9)
    assert shapely.is_valid(found).all()
    assert (shapely.area(shapely.symmetric_difference(found, wanted)) < 1e-9).all()


def test_what_only_touches_a_box_is_empty() -> None:
    (found,) = clipped(shapely.box(0, 0, 1, 1), np.array([[1.0, 0.0, 2.0, 1.0]]))
    assert shapely.is_empty(found)


def test_an_outline_that_touches_a_box_and_reaches_into_it_leaves_its_area_only() -> None:
    # an L along two sides of the box: one arm reaches in, the other touches
    outline = shapely.Polygon([(0, 0), (3, 0), (3, 1), (1, 1), (1, 3), (0, 3)])
    (found,) = clipped(outline, np.array([[1.0, 0.5, 4.0, 4.0]]))
    assert found.area == pytest.approx(1.0)
    assert shapely.get_type_id(found) == shapely.GeometryType.POLYGON


def test_small_outlines_are_placed_whole_and_large_ones_about_the_window() -> None:
    outline = column([shapely.box(0, 0, 1, 1), wavy(9_000)])
    window = np.array([[9.0, 9.0, 11.0, 11.0]] * 2)
    small, large = placed_about(outline, np.array([0, 1]), np.array([[10.0, 10.0]] * 2), window)
    assert small.bounds == (10, 10, 11, 11)
    # the disc's hole of 25 mm about (10, 10) holds the window
    assert large.is_empty
