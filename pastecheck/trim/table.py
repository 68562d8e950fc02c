"""A plan made true: the openings as they are to be cut."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.measurements.remade import remade
from pastecheck.openings import Openings, Shapes
from pastecheck.ragged import distinct_rows, offsets, rows_of_runs
from pastecheck.trim.offsets import alike
from pastecheck.trim.panes import pane_places_mm
from pastecheck.trim.plan import NOT_SO, Outline, Plan
from pastecheck.units import NM_PER_MM

_GRID_MM: Final = 1e-6
"""Where outlines cross is known to this: files have six decimals."""


class Made(NamedTuple):
    """Openings, and which opening of the layer before each of them is of."""

    openings: Openings
    origin: IntArray
    """Shape (new,), sorted."""


def made(m: Measurements, plan: Plan) -> Made:
    """Openings as planned, in the order of those that they are made of."""
    openings = _redrawn(with_sides_moved(m, plan.inset_mm), plan)
    new = [_panes(m, openings, plan), _pieces(openings, plan)]
    kept = np.flatnonzero(~plan.has_panes & (plan.cut == NOT_SO))
    shapes, parts = openings.shapes, [_New(kept, openings.columns(kept))]
    for outlines, part in new:
        columns = {**part.columns, "shape": part.columns["shape"] + len(shapes)}
        shapes = _with(shapes, outlines)
        parts.append(_New(part.origin, columns))
    origin = np.concatenate([part.origin for part in parts])
    order = np.argsort(origin, kind="stable")
    merged: dict[str, Any] = {
        name: np.concatenate([part.columns[name] for part in parts])[order] for name in parts[0].columns
    }
    return Made(replace(openings, shapes=shapes, **merged), origin[order])


def measured(m: Measurements, found: Made) -> Measurements:
    """The new openings in the same foil, on the same board."""
    board = m.board.some(found.origin)
    return Measurements(found.openings, m.foil, m.limits, sheet=m.sheet, board=board)


class _New(NamedTuple):
    """Some openings, by columns, and which opening each is of."""

    origin: IntArray
    columns: Mapping[str, IntArray]


def with_sides_moved(m: Measurements, inset_mm: FloatArray) -> Openings:
    """
    Openings whose sides alone are moved.

    Args:
        m: The layer.
        inset_mm: As `Changed.inset_mm`.
    """
    return _within_drawn(m, remade(replace(Changed.as_drawn(m), inset_mm=inset_mm)).openings, inset_mm)


def _within_drawn(m: Measurements, openings: Openings, inset_mm: FloatArray) -> Openings:
    """
    Openings made smaller without what reaches past those drawn, where nothing is to grow.

    A chamfer, an arm or a round end that is stretched towards one side, or not about its own middle, comes
    to lie a little beyond where it was; so does a circle made an obround. Where nothing does, outlines stay
    as they are.
    """
    shrinks = (inset_mm != 0).any(axis=(1, 2)) & (inset_mm >= 0).all(axis=(1, 2))
    rows = np.flatnonzero(shrinks)
    kinds = distinct_rows(np.column_stack([m.openings.shape[rows], openings.shape[rows]]))
    first = rows[kinds.first]
    drawn = m.openings.shapes.outline[m.openings.shape[first]]
    kind = openings.shape[first]
    stretched, flatness_mm = openings.shapes.outline[kind], openings.shapes.flatness_mm[kind]
    past_mm2 = shapely.area(shapely.difference(stretched, drawn))
    off_mm = np.where(m.are_rounded_rectangles[first], FLATNESS_MM, _GRID_MM)  # those are curves drawn anew
    reaches = np.flatnonzero(past_mm2 > off_mm * shapely.length(drawn))
    within = shapely.intersection(stretched[reaches], drawn[reaches], grid_size=_GRID_MM)
    made: list[Outline] = []
    for row, one in zip(reaches.tolist(), within, strict=True):
        if (outline := alike(one, drawn[row])) is not None:
            kind[row] = len(openings.shapes) + len(made)
            made.append(Outline(outline, 0.0, float(flatness_mm[row])))
    shape = openings.shape.copy()
    shape[rows] = kind[kinds.inverse]
    return replace(openings, shapes=_with(openings.shapes, made), shape=shape)


def _redrawn(openings: Openings, plan: Plan) -> Openings:
    """New outlines in place of old ones; like ones share them."""
    rows = np.flatnonzero(plan.redrawn != NOT_SO)
    if not len(rows):
        return openings
    shape = openings.shape.copy()
    shape[rows] = len(openings.shapes) + plan.redrawn[rows]
    return replace(openings, shapes=_with(openings.shapes, plan.outlines), shape=shape)


def _panes(m: Measurements, openings: Openings, plan: Plan) -> tuple[list[Outline], _New]:
    """Panes in place of openings; like ones share their shape."""
    rows = np.flatnonzero(plan.has_panes)
    turn_rad = m.rectangles.direction_rad[rows]
    table = np.column_stack([plan.pane_mm[rows], turn_rad, plan.web_mm[rows], plan.panes[rows]])
    _, first, kind = np.unique(table, axis=0, return_index=True, return_inverse=True)
    kind = kind.reshape(-1)
    half_mm = plan.pane_mm[rows[first]] / 2
    core = Rectangles(np.zeros((len(first), 2)), half_mm, turn_rad[first]).drawn()
    places = [
        pane_places_mm(plan.panes[row], plan.pane_mm[row], float(plan.web_mm[row]))
        for row in rows[first].tolist()
    ]
    count = np.array([len(one) for one in places], np.int64)
    begin = offsets(count)
    opening = np.repeat(rows, count[kind])
    at_mm = np.concatenate([np.zeros((0, 2)), *places])[rows_of_runs(begin[kind], count[kind])]
    seen = m.rectangles.rows(opening)
    place_nm = np.rint((seen.middle_mm + seen.told(at_mm)) * NM_PER_MM).astype(np.int64)
    columns = openings.columns(opening)
    columns |= {"shape": np.repeat(kind, count[kind]), "x_nm": place_nm[:, 0], "y_nm": place_nm[:, 1]}
    return [Outline(one, 0.0, 0.0) for one in core], _New(opening, columns)


def _pieces(openings: Openings, plan: Plan) -> tuple[list[Outline], _New]:
    """Pieces in place of openings."""
    rows = np.flatnonzero(plan.cut != NOT_SO)
    count = np.array([len(one) for one in plan.pieces], np.int64)
    begin, kind = offsets(count), plan.cut[rows]
    opening = np.repeat(rows, count[kind])
    columns = openings.columns(opening) | {"shape": rows_of_runs(begin[kind], count[kind])}
    return [Outline(one, 0.0, FLATNESS_MM) for every in plan.pieces for one in every], _New(opening, columns)


def _with(shapes: Shapes, outlines: Sequence[Outline]) -> Shapes:
    """Shapes, and behind them some more."""
    if not outlines:
        return shapes
    core = np.array([one.core for one in outlines], object)
    radius_mm = np.array([one.radius_mm for one in outlines])
    tolerance_mm = np.array([one.tolerance_mm for one in outlines])
    return shapes.and_more(Shapes.grown(core, radius_mm, tolerance_mm))
