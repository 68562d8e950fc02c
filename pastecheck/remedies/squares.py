"""Circles that may be cut as squares of equal area: the layer with these squares in it is judged."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from pastecheck.check import worded
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.nearby import near_some
from pastecheck.measurements import Measurements
from pastecheck.measurements.squares import as_square
from pastecheck.openings import Openings, Shapes
from pastecheck.ragged import distinct_rows
from pastecheck.remedies.aims import FAILS, PASSES, WARNS, Failure, Wishes
from pastecheck.remedies.second_look import Judge
from pastecheck.units import NM_PER_MM

_DIGITS = 6


def with_squares(
    m: Measurements, failures: Sequence[Failure], wishes: Sequence[Wishes], judge: Judge
) -> list[Wishes]:
    """
    What was wished for, with advice to cut circles as squares where those break no other limit.

    All that would be squares are judged together, their sides along the axes, with what is near them. One is
    refused where an opening fails worse by any check than it did as a circle, alone or with another.
    """
    side_mm = np.full(len(m.openings), np.nan)
    for failure, wish in zip(failures, wishes, strict=True):
        rows = np.flatnonzero(np.isfinite(wish.square_mm))
        side_mm[failure.failed.opening[rows]] = wish.square_mm[rows]
    rows = np.flatnonzero(np.isfinite(side_mm))
    if not len(rows):
        return list(wishes)
    is_kept = np.isfinite(side_mm) & ~_fail_worse(m, rows, side_mm[rows], failures, judge)
    return [
        _advised(wish, is_kept[failure.failed.opening])
        for failure, wish in zip(failures, wishes, strict=True)
    ]


def _advised(wish: Wishes, is_kept: BoolArray) -> Wishes:
    """With a square in place of other advice."""
    rows = np.flatnonzero(is_kept & np.isfinite(wish.square_mm))
    advice = wish.advice.copy()
    advice[rows] = worded(wish.square_mm[rows, None].round(_DIGITS), lambda row: as_square(row[0]))
    return wish._replace(advice=advice)


def _fail_worse(
    m: Measurements, rows: IntArray, side_mm: FloatArray, failures: Sequence[Failure], judge: Judge
) -> BoolArray:
    """Openings that fail worse with the squares in the layer. Shape (n,)."""
    checked = [row for row, one in enumerate(failures) if one.limits and not one.check.of_layer]
    reach_mm = max((one.scope.loosest_below for one in failures if one.failed.other is not None), default=0.0)
    near = near_some(m.bounds_nm, m.bounds_nm[rows], int(np.ceil(reach_mm * NM_PER_MM)))
    near[rows] = True
    some = np.flatnonzero(near)
    anew = Measurements(
        _cut_as_squares(m.openings, rows, side_mm), m.foil, m.limits, sheet=m.sheet, board=m.board
    )
    worse = np.zeros(len(near), bool)
    for row, after in zip(checked, judge(anew.some(some), checked), strict=True):
        if after.is_of_openings and failures[row].is_of_openings:
            was, is_now = np.full((2, len(near)), PASSES)
            _raise(was, failures[row], np.arange(len(near)))
            _raise(is_now, after, some)
            worse |= is_now > was
    return worse


def _raise(level: IntArray, failure: Failure, rows: IntArray) -> None:
    """Note how badly each opening fails, alone or with another."""
    for opening in failure.failed.pairs:
        np.maximum.at(level, rows[opening], np.where(failure.is_error, FAILS, WARNS))


def _cut_as_squares(openings: Openings, rows: IntArray, side_mm: FloatArray) -> Openings:
    """The layer with some circles drawn as squares, each distinct one once."""
    shapes = openings.shapes
    kinds = distinct_rows(np.column_stack([openings.shape[rows], side_mm.view(np.int64)]))
    side, circle = side_mm[kinds.first], openings.shape[rows[kinds.first]]
    middle = shapes.centroid_mm[circle]
    bounds = np.concatenate([middle - side[:, None] / 2, middle + side[:, None] / 2], axis=1)
    square = np.asarray(shapely.box(*bounds.T), np.object_)
    new = Shapes.grown(square, np.zeros(len(side)), shapes.tolerance_mm[circle])
    shape = openings.shape.copy()
    shape[rows] = len(shapes) + kinds.inverse
    return replace(openings, shapes=shapes.and_more(new), shape=shape)
