"""A plan made true: the openings as they are to be cut."""

from dataclasses import replace
from typing import Any, Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.dissolve import steiner
from pastecheck.geometry.outlines import rounded
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.geometry.width import turned_rectangles
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.measurements.remade import remade
from pastecheck.openings import GeometryArray, Openings, Shapes
from pastecheck.ragged import distinct_rows
from pastecheck.trim.panes import pane_places_mm
from pastecheck.trim.plan import Plan
from pastecheck.units import NM_PER_MM

_COLUMNS: Final = ("shape", "x_nm", "y_nm", "line", "label")


class Made(NamedTuple):
    """Openings, and which opening of the layer before each of them is of."""

    openings: Openings
    origin: IntArray
    """Shape (new,), sorted."""


def made(m: Measurements, plan: Plan) -> Made:
    """Openings as planned, in the order of those that they are made of."""
    changed = replace(Changed.as_drawn(m), inset_mm=plan.inset_mm)
    openings = _rounded(remade(changed).openings, plan.corner_mm)
    return _split(m, openings, plan)


def measured(m: Measurements, found: Made) -> Measurements:
    """The new openings in the same foil, on the same board."""
    board = m.board.some(found.origin)
    return Measurements(found.openings, m.foil, m.limits, sheet=m.sheet, board=board)


def _rounded(openings: Openings, corner_mm: FloatArray) -> Openings:
    """Rectangles with corners of a radius; each distinct one once."""
    rows = np.flatnonzero(corner_mm > 0)
    if not len(rows):
        return openings
    radius_nm = np.rint(corner_mm[rows] * NM_PER_MM).astype(np.int64)
    kinds = distinct_rows(np.column_stack([openings.shape[rows], radius_nm]))
    shapes, kind = openings.shapes, openings.shape[rows[kinds.first]]
    sides = turned_rectangles(shapes.core[kind], shapes.radius_mm[kind], shapes.tolerance_mm[kind])
    radius_mm = np.minimum(radius_nm[kinds.first] / NM_PER_MM, sides.width_mm / 2)
    half_mm = np.column_stack([sides.length_mm, sides.width_mm]) / 2 - radius_mm[:, None]
    middle_mm = shapely.get_coordinates(shapely.centroid(shapes.core[kind]))
    half_mm = np.where(half_mm < 1e-9, 0.0, half_mm)
    core = Rectangles(middle_mm, half_mm, np.nan_to_num(sides.direction_rad)).drawn()
    shape = openings.shape.copy()
    shape[rows] = len(openings.shapes) + kinds.inverse
    return replace(openings, shapes=_with(openings.shapes, core, radius_mm), shape=shape)


def _split(m: Measurements, openings: Openings, plan: Plan) -> Made:
    """Panes in place of openings; like ones share their shape."""
    rows = np.flatnonzero(plan.is_split)
    origin = np.arange(len(openings))
    if not len(rows):
        return Made(openings, origin)
    pane_mm, turn_rad = plan.pane_mm[rows], m.rectangles.direction_rad[rows]
    table = np.column_stack([pane_mm, turn_rad])
    _, first, kind = np.unique(table, axis=0, return_index=True, return_inverse=True)
    half_mm = pane_mm[first] / 2
    core = Rectangles(np.zeros((len(first), 2)), half_mm, turn_rad[first]).drawn()
    of_panes = [
        pane_places_mm(plan.panes[row], plan.pane_mm[row], float(plan.web_mm[row])) for row in rows.tolist()
    ]
    count = np.array([len(places) for places in of_panes])
    opening = np.repeat(rows, count)
    seen = m.rectangles.rows(opening)
    place_nm = np.rint((seen.middle_mm + seen.told(np.concatenate(of_panes))) * NM_PER_MM).astype(np.int64)
    panes = {
        "shape": len(openings.shapes) + np.repeat(kind.reshape(-1), count),
        "x_nm": place_nm[:, 0],
        "y_nm": place_nm[:, 1],
        "line": openings.line[opening],
        "label": openings.label[opening],
    }
    kept = np.flatnonzero(~plan.is_split)
    origin = np.concatenate([kept, opening])
    order = np.argsort(origin, kind="stable")
    columns: dict[str, Any] = {
        name: np.concatenate([getattr(openings, name)[kept], panes[name]])[order] for name in _COLUMNS
    }
    shapes = _with(openings.shapes, core, np.zeros(len(core)))
    return Made(replace(openings, shapes=shapes, **columns), origin[order])


def _with(shapes: Shapes, core: GeometryArray, radius_mm: FloatArray) -> Shapes:
    """Shapes, and behind them some that are exact."""
    area_mm2, perimeter_mm = steiner(core, radius_mm)
    new = Shapes(
        rounded(core, radius_mm),
        core,
        radius_mm,
        np.zeros(len(core)),
        area_mm2,
        perimeter_mm,
        shapely.get_coordinates(shapely.centroid(core)),
        shapely.bounds(core).reshape(-1, 4) + np.outer(radius_mm, [-1, -1, 1, 1]),
    )
    columns = {
        name: np.concatenate([getattr(shapes, name), getattr(new, name)])
        for name in Shapes.__dataclass_fields__
    }
    return Shapes(**columns)
