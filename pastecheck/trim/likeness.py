"""Two layers held against each other: which openings are the same, and how far their outlines differ."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.pairs import placed
from pastecheck.openings import GeometryArray, Openings, boxes_nm
from pastecheck.ragged import distinct_rows
from pastecheck.units import NM_PER_MM

_SAME_BOX_NM: Final = 1000
"""Boxes that differ by more are not of one opening, before and after it was written."""

_APART_MM: Final = 1e-4
"""What comes nearer may be one opening when it is read again."""
_ROUNDED_MM: Final = 5e-5
"""Corners that are farther apart were not only rounded: they slid along a curve, say, which is no matter."""


class Partners(NamedTuple):
    """Openings of two layers that have nearly the same box, and share it with no other. Shape (k,) each."""

    one: IntArray
    other: IntArray


def partners(one: Openings, other: Openings) -> Partners:
    """Openings that are probably the same."""
    boxes, others = (boxes_nm(each.shapes, each.shape, each.x_nm, each.y_nm) for each in (one, other))
    tree = shapely.STRtree(np.asarray(shapely.points(others[:, :2]), object))
    row, at = tree.query(shapely.points(boxes[:, :2]), predicate="dwithin", distance=2 * _SAME_BOX_NM)
    same = (np.abs(boxes[row] - others[at]) <= _SAME_BOX_NM).all(axis=1)
    row, at = row[same], at[same]
    alone = (np.bincount(row, minlength=len(one)) == 1)[row]
    alone &= (np.bincount(at, minlength=len(other)) == 1)[at]
    return Partners(row[alone], at[alone])


class Differences(NamedTuple):
    """Area that either layer has open and the other has not, at most."""

    of_pairs_mm2: FloatArray
    """Of partners, in their order. Shape (k,)."""
    of_others_mm2: float
    """Of all openings that have no partner."""

    @property
    def in_all_mm2(self) -> float:
        """Of the layers."""
        return float(self.of_pairs_mm2.sum()) + self.of_others_mm2


def differences(one: Openings, other: Openings, same: Partners) -> Differences:
    """How far two layers are apart; openings lie apart in each."""
    of_pairs_mm2 = _of_pairs_mm2(one, other, same)
    rest = [
        outlines(each, np.setdiff1d(np.arange(len(each)), rows))
        for each, rows in ((one, same.one), (other, same.other))
    ]
    ours, theirs = (shapely.union_all(each) for each in rest)
    left = shapely.symmetric_difference(ours, theirs)
    return Differences(of_pairs_mm2, float(shapely.area(left)))


def origins(found: Openings, drawn: Openings, same: Partners | None = None) -> IntArray:
    """
    The drawn opening that each found one has most area in common with. Shape (n,).

    Args:
        found: n openings.
        drawn: Those that they are of.
        same: Openings of the two that are known to be the same.
    """
    origin = np.zeros(len(found), np.int64)
    known = np.zeros(len(found), bool)
    if same is not None:
        origin[same.one], known[same.one] = same.other, True
    rows = np.flatnonzero(~known)
    row, at = shapely.STRtree(_boxes(drawn)).query(_boxes(found)[rows])
    row = rows[row]
    shared = np.bincount(row, minlength=len(found))[row] > 1
    origin[row[~shared]] = at[~shared]
    row, at = row[shared], at[shared]
    common_mm2 = shapely.area(shapely.intersection(outlines(found, row), outlines(drawn, at)))
    order = np.argsort(common_mm2, kind="stable")
    origin[row[order]] = at[order]  # the last one written is the largest
    return origin


def touched(openings: Openings, rows: IntArray) -> BoolArray:
    """Which openings touch one of some others, or those touch it, or nearly so. Shape (n,)."""
    are = np.zeros(len(openings), bool)
    if not len(rows):
        return are
    boxes = _boxes(openings)
    near, at = shapely.STRtree(boxes).query(boxes[rows], predicate="dwithin", distance=_APART_MM * NM_PER_MM)
    first = rows[near]
    first, second = first[first != at], at[first != at]
    gap_mm = shapely.distance(outlines(openings, first), outlines(openings, second))
    are[first[gap_mm <= _APART_MM]] = are[second[gap_mm <= _APART_MM]] = True
    return are


def outlines(openings: Openings, rows: IntArray) -> GeometryArray:
    """Some openings in their places."""
    x_mm, y_mm = openings.x_nm[rows] / NM_PER_MM, openings.y_nm[rows] / NM_PER_MM
    return placed(openings.shapes.outline[openings.shape[rows]], x_mm, y_mm)


def _boxes(openings: Openings) -> GeometryArray:
    boxes = boxes_nm(openings.shapes, openings.shape, openings.x_nm, openings.y_nm)
    return np.asarray(shapely.box(*boxes.T), object)


def _of_pairs_mm2(one: Openings, other: Openings, same: Partners) -> FloatArray:
    """Each distinct pair once; exactly where corners do not tell. Shape (k,)."""
    row, at = same
    off_nm = other.x_nm[at] - one.x_nm[row], other.y_nm[at] - one.y_nm[row]
    kinds = distinct_rows(np.column_stack([one.shape[row], other.shape[at], *off_nm]))
    row, at = row[kinds.first], at[kinds.first]
    off_mm = np.column_stack([column[kinds.first] for column in off_nm]) / NM_PER_MM
    first, second = one.shape[row], other.shape[at]
    apart_mm = _corners_apart_mm(one.shapes.core[first], other.shapes.core[second], off_mm)
    apart_mm += np.abs(one.shapes.radius_mm[first] - other.shapes.radius_mm[second])
    apart_mm[(one.shapes.radius_mm[first] > 0) != (other.shapes.radius_mm[second] > 0)] = np.nan
    longer_mm = np.maximum(one.shapes.perimeter_mm[first], other.shapes.perimeter_mm[second])
    area_mm2 = apart_mm * longer_mm  # what a boundary sweeps that moves so far
    rest = np.flatnonzero(np.isnan(area_mm2))
    moved = placed(other.shapes.outline[second[rest]], *off_mm[rest].T)
    area_mm2[rest] = shapely.area(shapely.symmetric_difference(one.shapes.outline[first[rest]], moved))
    return area_mm2[kinds.inverse]


def _corners_apart_mm(one: GeometryArray, other: GeometryArray, off_mm: FloatArray) -> FloatArray:
    """
    How far the corners of solids are from those of others, these moved; NaN where they do not match.

    Shape (k,). Points, lines of two ends and polygons without holes are compared, corner by corner from the
    nearest one on.
    """
    one, other = (np.asarray(shapely.orient_polygons(each), object) for each in (one, other))
    apart_mm = np.full(len(one), np.nan)
    counts = [np.where(_is_plain(each), shapely.get_num_coordinates(each), 0) for each in (one, other)]
    alike = (counts[0] == counts[1]) & (shapely.get_dimensions(one) == shapely.get_dimensions(other))
    for count in np.unique(counts[0][alike & (counts[0] > 0)]).tolist():
        rows = np.flatnonzero(alike & (counts[0] == count))
        corners = [shapely.get_coordinates(each[rows]).reshape(len(rows), count, 2) for each in (one, other)]
        if count > 2:  # the last is the first again
            corners = [each[:, :-1] for each in corners]
        apart_mm[rows] = _apart_mm(corners[0], corners[1] + off_mm[rows][:, None])
    apart_mm[apart_mm > _ROUNDED_MM] = np.nan
    return apart_mm


def _is_plain(solids: GeometryArray) -> BoolArray:
    dimension = shapely.get_dimensions(solids)
    few = (dimension == 2) | (shapely.get_num_coordinates(solids) <= 2)
    return np.asarray(few & (shapely.get_num_interior_rings(solids) <= 0))


def _apart_mm(one: FloatArray, other: FloatArray) -> FloatArray:
    """Of corners, those of the other counted on from the nearest to the first. Shape (k,)."""
    begin = np.square(other - one[:, :1]).sum(axis=2).argmin(axis=1)
    turned = (np.arange(one.shape[1]) + begin[:, None]) % one.shape[1]
    way_mm = np.take_along_axis(other, turned[..., None], axis=1) - one
    far_mm: FloatArray = np.hypot(way_mm[..., 0], way_mm[..., 1]).max(axis=1)
    return far_mm
