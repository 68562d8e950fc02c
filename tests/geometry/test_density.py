"""Open fraction: the notes' cases, sums by hand, and areas clipped by another library."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.density import OpenFraction, Placed, open_fraction

Box = tuple[int, int, int, int]
"""Centre and sides, in um; sides even."""


def columns(boxes: Sequence[Box]) -> tuple[IntArray, IntArray, FloatArray]:
    column = np.array(boxes, np.int64).reshape(-1, 4) * 1000
    place, half = column[:, :2], column[:, 2:] // 2
    area = column[:, 2:].prod(axis=1) / 1e12
    return place, np.concatenate([place - half, place + half], axis=1), area


def of_rectangles(boxes: Sequence[Box]) -> OpenFraction:
    return open_fraction(*columns(boxes))


def grid(pitch: int, side: int) -> list[Box]:
    return [(pitch * k, pitch * m, side, side) for m in range(5) for k in range(5)]


def test_squares_of_1_mm_at_pitch_2_open_a_quarter_of_the_window() -> None:
    # about the centre all 25 lie within 4.5 mm: 25 of 100; about a corner 3 x 3: 9 of 100
    value = of_rectangles(grid(2000, 1000)).value.reshape(5, 5)
    assert math.isclose(value[2, 2], 0.25)
    assert math.isclose(value[0, 0], 0.09)


def test_long_slots_at_pitch_1_open_half_of_the_window() -> None:
    # 0.5 x 10 at 1: nine whole ones and two halves of 5 mm2
    slots = [(1000 * k, 0, 500, 10_000) for k in range(11)]
    assert math.isclose(of_rectangles(slots).value[5], 0.5)


def test_fewer_than_six_openings_read_nothing() -> None:
    five = [(500 * k, 0, 300, 300) for k in range(5)]
    assert np.isnan(of_rectangles(five).value).all()
    # the sixth 5.0 mm from the first lies on the edge of its window, and counts
    six = of_rectangles([*five, (5000, 0, 300, 300)])
    # 5 x 0.09 and half of the sixth
    assert math.isclose(six.value[0], 0.00495)
    assert np.isnan(of_rectangles([*five, (5002, 0, 300, 300)]).value[0])


def test_no_openings_have_no_windows() -> None:
    assert len(of_rectangles([]).value) == 0


def test_rectangles_are_exact() -> None:
    assert (of_rectangles(grid(1500, 800)).error == 0).all()


def test_a_frame_counts_where_it_crosses_the_window() -> None:
    # a bar of 1 x 200 through a field of six squares of 1 mm; its centre 80 mm off
    field = [(2000 * k, 0, 1000, 1000) for k in range(-2, 3)] + [(0, 2000, 1000, 1000)]
    value = of_rectangles([*field, (80_000, -3000, 200_000, 1000)]).value
    # about the middle one: 4 whole squares and 2 more, less nothing; the bar 10 x 1
    assert math.isclose(value[2], 0.06 + 0.10)


def test_another_window_may_be_asked_for() -> None:
    place, bounds, area = columns(grid(2000, 1000))
    assert math.isclose(
        open_fraction(place, bounds, area, window_mm=4.0, least=1).value[12], (1 + 4 * 0.5 + 4 * 0.25) / 16
    )


micrometres = st.integers(0, 10_000).map(lambda half: 2 * half)
sides = st.one_of(st.integers(1, 600), st.integers(600, 12_000)).map(lambda half: 2 * half)
boxes = st.lists(st.tuples(micrometres, micrometres, sides, sides), min_size=1, max_size=25)


def clipped(boxes: Sequence[Box], shapes: Sequence[shapely.Geometry]) -> list[float]:
    """The same by the areas that another library cuts off; overlaps count twice, as openings are apart."""
    found = []
    for x, y, _, _ in boxes:
        window = (x / 1000 - 5, y / 1000 - 5, x / 1000 + 5, y / 1000 + 5)
        inside = sum(abs(x - a) <= 5000 and abs(y - b) <= 5000 for a, b, _, _ in boxes)
        area = sum(shapely.clip_by_rect(shape, *window).area for shape in shapes)
        found.append(area / 100 if inside >= 6 else math.nan)
    return found


@given(boxes)
def test_rectangles_are_clipped_at_the_edge_of_the_window(boxes: list[Box]) -> None:
    shapes = [
        shapely.box((x - w / 2) / 1000, (y - h / 2) / 1000, (x + w / 2) / 1000, (y + h / 2) / 1000)
        for x, y, w, h in boxes
    ]
    assert np.allclose(of_rectangles(boxes).value, clipped(boxes, shapes), rtol=0, atol=1e-9, equal_nan=True)


@given(boxes)
def test_the_error_covers_discs_and_diamonds_at_the_edge(boxes: list[Box]) -> None:
    square = [(x, y, w, w) for x, y, w, _ in boxes]
    place, bounds, _ = columns(square)
    discs = [
        shapely.Point(x / 1000, y / 1000).buffer(w / 2000, quad_segs=[1, 8][k % 2])
        for k, (x, y, w, _) in enumerate(square)
    ]
    found = open_fraction(place, bounds, np.array([disc.area for disc in discs]))
    off = np.abs(found.value - clipped(square, discs))
    assert (np.isnan(off) | (off <= found.error + 1e-9)).all()
    assert (np.isnan(off) == np.isnan(found.error)).all()


def test_a_raster_counts_as_many_open_points() -> None:
    # three sizes scattered; points every 0.02 mm: each of some 60 edges is off by at most half a point
    random = np.random.default_rng(4)
    centre = random.permutation(400)[:40]
    scattered = [
        (int(c % 20) * 1000, int(c // 20) * 1000, *random.integers(100, 400, 2).tolist()) for c in centre
    ]
    scattered = [(x, y, 2 * w, 2 * h) for x, y, w, h in scattered]
    place, bounds, area = columns(scattered)
    found = open_fraction(place, bounds, area).value
    at = np.arange(500) * 0.02 - 4.99
    for row in range(0, 40, 7):
        x, y = (place[row, axis] / 1e6 + at for axis in (0, 1))
        open_ = np.zeros((500, 500), bool)
        for low_x, low_y, high_x, high_y in (bounds / 1e6).tolist():
            open_ |= np.outer((y > low_y) & (y < high_y), (x > low_x) & (x < high_x))
        if not np.isnan(found[row]):
            assert abs(open_.mean() - found[row]) <= 0.003


@given(boxes, st.integers(-(10**6), 10**6), st.integers(-(10**6), 10**6), st.booleans())
def test_moving_and_turning_a_quarter_change_nothing(
    boxes: list[Box],
    dx: int,
    dy: int,
    turned: bool,  # noqa: FBT001 -- drawn
) -> None:
    moved = [(-y + dy, x + dx, h, w) if turned else (x + dx, y + dy, w, h) for x, y, w, h in boxes]
    before, after = of_rectangles(boxes).value, of_rectangles(moved).value
    assert np.allclose(before, after, rtol=0, atol=1e-9, equal_nan=True)


@pytest.mark.parametrize("shift", [0, 4_999_999])
def test_the_grid_that_finds_openings_leaves_no_trace(shift: int) -> None:
    place, bounds, area = columns(grid(2000, 1000))
    far = np.array([shift, -shift])
    found = open_fraction(place + far, bounds + np.tile(far, 2), area).value
    assert np.allclose(found, of_rectangles(grid(2000, 1000)).value, rtol=0, atol=1e-12)


def turned_square(side_um: int) -> shapely.Polygon:
    """A square that stands on a corner, in a box of that side, with a hole of half its size."""
    half = side_um / 2000
    corners = np.array([(half, 0), (0, half), (-half, 0), (0, -half)])
    return shapely.Polygon(corners, [corners / 2])


@given(boxes, st.integers(-(10**6), 10**6))
def test_outlines_are_clipped_exactly_where_that_matters(boxes: list[Box], dx: int) -> None:
    # half of half the box is open, less what the hole takes: 3/8; worth clipping above 0.26 mm
    # 3/8 x 5/8 w2 > 8 sides x 0.002: w > 0.262
    square = [(x, y, max(w, 264), max(w, 264)) for x, y, w, _ in boxes]
    place, bounds, _ = columns(square)
    outline = np.array([turned_square(w) for _, _, w, _ in square], np.object_)
    at = np.array([[dx * 1000, 0]])
    placed = Placed(outline, np.arange(len(square)), place + at)
    found = open_fraction(place + at, bounds + np.tile(at, 2), shapely.area(outline), placed)
    shapes = [
        shapely.affinity.translate(o, x / 1000, y / 1000)
        for o, (x, y, _, _) in zip(outline, square, strict=True)
    ]
    assert np.allclose(found.value, clipped(square, shapes), rtol=0, atol=1e-9, equal_nan=True)
    assert np.nanmax(found.error, initial=0) == 0


def test_outlines_of_very_many_sides_are_clipped_exactly_too() -> None:
    # A frame of 60 x 60 mm, 8 mm wide, its walls wavy, about openings of 1 mm: windows inside of its walls,
    # across them, and within the frame.
    t = np.linspace(0, 2 * np.pi, 1000, endpoint=False)
    wave = 1 + 0.002 * np.sin(200 * t)
    ring = np.column_stack([np.cos(t), np.sin(t)]) / np.abs([np.cos(t), np.sin(t)]).max(axis=0)[:, None]
    frame = shapely.Polygon(30 * wave[:, None] * ring, [(22 * wave[:, None] * ring)[::-1]])
    square = [(x, 0, 1000, 1000) for x in range(0, 40_000, 1500)]
    place, bounds, area = columns(square)
    box = np.array([np.rint(np.array(frame.bounds) * 1e6).astype(np.int64)])
    outline = np.array([frame, shapely.box(-0.5, -0.5, 0.5, 0.5)], np.object_)
    placed = Placed(outline, np.append(0, np.ones(len(square), np.int64)), np.vstack([[[0, 0]], place]))
    at = np.vstack([[[0, 0]], place])
    found = open_fraction(at, np.vstack([box, bounds]), np.append(frame.area, area), placed, least=1)
    for (x, y), value in zip(at / 1e6, found.value, strict=True):
        window = shapely.box(x - 5, y - 5, x + 5, y + 5)
        squares = sum(window.intersection(shapely.box(*one / 1e6)).area for one in bounds)
        assert value == pytest.approx((window.intersection(frame).area + squares) / 100, abs=1e-6)
    assert found.error.max() == 0


def test_what_is_not_worth_clipping_stays_in_the_error() -> None:
    # discs of 0.4 have some hundred sides: pi / 4 (1 - pi / 4) of 0.16 is 0.027 mm2
    square = [(500 * k, 0, 400, 400) for k in range(31)]
    place, bounds, _ = columns(square)
    disc = shapely.Point(0, 0).buffer(0.2, quad_segs=32)
    placed = Placed(np.array([disc], np.object_), np.zeros(31, np.int64), place)
    area = np.full(31, disc.area)
    found, plain = open_fraction(place, bounds, area, placed), open_fraction(place, bounds, area)
    assert found.error.tolist() == plain.error.tolist()
    # about the middle one the eleventh to both sides crosses the edge
    assert math.isclose(plain.error[15], 2 * disc.area * (1 - disc.area / 0.16) / 100, rel_tol=1e-6)
