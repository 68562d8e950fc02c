"""Boxes of one set that meet boxes of another, and parts of large outlines within many boxes."""

from collections.abc import Iterator
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.boxes import Rows, TooManyPairsError
from pastecheck.geometry.pairs import placed

GeometryArray = NDArray[np.object_]

_AT_ONCE: Final = 1_000_000
"""About so many pairs are looked up at a time, so that too many are told before they take memory."""
_MANY_VERTICES: Final = 500
"""Of larger outlines only what lies about a window is placed there."""
_ROOM_MM: Final = 0.001
"""And so much more, so that no cut lies on the edge of the window."""
_SMALL: Final = 2_000
"""An outline of no more vertices is clipped as it is: it takes longer to halve it."""


def boxes_across(one_nm: IntArray, other_nm: IntArray, most: int) -> Rows:
    """
    Pairs of a box of one set and a box of another that meet; touching counts.

    Args:
        one_nm: Min x, min y, max x, max y. Shape (n, 4).
        other_nm: As well. Shape (m, 4).
        most: How many pairs are wanted at most.

    Returns:
        Rows of the one set and of the other. Shape (k,) each, sorted by the first, then the second.

    Raises:
        TooManyPairsError: If there are more.

    Cost:
        Boxes of the one set are looked up in a tree of the other.
    """
    none = np.zeros(0, np.int64)
    if not len(one_nm) or not len(other_nm):
        return Rows(none, none)
    boxes = polygons_of_boxes(one_nm.astype(np.float64))
    tree = shapely.STRtree(polygons_of_boxes(other_nm.astype(np.float64)))
    found: list[IntArray] = []
    count, begin, end = 0, 0, max(1, _AT_ONCE // len(other_nm))
    while begin < len(boxes):
        row, met = tree.query(boxes[begin:end])
        found.append(np.stack([row + begin, met]))
        count += len(row)
        if count > most:
            raise TooManyPairsError(len(one_nm) * len(other_nm))
        step = max(1, int((end - begin) * min(16.0, _AT_ONCE / (len(row) + 1))))
        begin, end = end, end + step
    first, second = np.concatenate(found, axis=1).astype(np.int64)
    order = np.lexsort((second, first))
    return Rows(first[order], second[order])


def polygons_of_boxes(bounds: FloatArray) -> GeometryArray:
    """Boxes as polygons. Shape (n,), from min x, min y, max x, max y of shape (n, 4)."""
    return np.asarray(shapely.box(bounds[:, 0], bounds[:, 1], bounds[:, 2], bounds[:, 3]), dtype=object)


def placed_about(
    outline: GeometryArray, row: IntArray, way_mm: FloatArray, window_mm: FloatArray
) -> GeometryArray:
    """
    Outlines where they lie; of large ones only what lies about a window, and a little more.

    Args:
        outline: Distinct outlines. Shape (s,).
        row: Row of `outline`. Shape (k,).
        way_mm: Where each is to lie. Shape (k, 2).
        window_mm: Min x, min y, max x, max y, where it then matters. Shape (k, 4).
    """
    large = shapely.get_num_coordinates(outline)[row] > _MANY_VERTICES
    near = np.empty(len(row), dtype=object)
    near[~large] = outline[row[~large]]
    box = window_mm + _ROOM_MM * np.array([-1, -1, 1, 1]) - np.tile(way_mm, 2)
    rows = np.flatnonzero(large)
    rows = rows[np.argsort(row[rows], kind="stable")]
    for some in np.split(rows, np.flatnonzero(np.diff(row[rows])) + 1):
        if len(some):
            near[some] = clipped(outline[row[some[0]]], box[some])
    return placed(near, way_mm[:, 0], way_mm[:, 1])


def clipped(outline: shapely.Geometry, boxes_mm: FloatArray) -> GeometryArray:
    """
    What of an outline lies in each of many boxes: polygons, multipolygons, or empty.

    Args:
        outline: Polygon or multipolygon, valid.
        boxes_mm: Min x, min y, max x, max y. Shape (n, 4).

    Returns:
        Shape (n,).

    Cost:
        The outline is cut in halves for halves of the boxes, again and again: vertices x log n where boxes
        lie spread over it.
    """
    result = np.full(len(boxes_mm), shapely.Polygon(), dtype=object)
    for part, rows in _halved(outline, boxes_mm, np.arange(len(boxes_mm))):
        result[rows] = shapely.intersection(part, polygons_of_boxes(boxes_mm[rows]))
    mixed = shapely.get_type_id(result) == shapely.GeometryType.GEOMETRYCOLLECTION
    for row in np.flatnonzero(mixed).tolist():
        parts = np.asarray(shapely.get_parts([result[row]]), dtype=object)
        result[row] = shapely.union_all(parts[shapely.get_dimensions(parts) == 2])
    flat = shapely.get_dimensions(result) < 2
    result[flat] = shapely.Polygon()
    return result


def _halved(
    outline: shapely.Geometry, boxes_mm: FloatArray, rows: IntArray
) -> Iterator[tuple[shapely.Geometry, IntArray]]:
    """Small parts of an outline, each with the boxes whose part of the outline it holds."""
    left = [(outline, rows)]
    while left:
        part, some = left.pop()
        if len(some) < 2 or shapely.get_num_coordinates(part) <= _SMALL:
            yield part, some
            continue
        box = boxes_mm[some]
        middle = box[:, :2] + box[:, 2:]
        axis = int(np.argmax(np.ptp(middle, axis=0)))
        order = some[np.argsort(middle[:, axis], kind="stable")]
        for half in (order[: len(order) // 2], order[len(order) // 2 :]):
            around = *boxes_mm[half, :2].min(axis=0), *boxes_mm[half, 2:].max(axis=0)
            left.append((shapely.intersection(part, shapely.box(*around)), half))
