"""A changed layer as a layer of its own, to be measured as if it had been drawn so."""

from dataclasses import replace

import numpy as np
import shapely

from pastecheck.geometry.dissolve import steiner
from pastecheck.geometry.outlines import rounded
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.openings import GeometryArray, Openings, Shapes
from pastecheck.ragged import distinct_rows
from pastecheck.units import NM_PER_MM


def remade(changed: Changed) -> Measurements:
    """
    The layer with all its changes made, in the foil that it was to be cut in.

    Openings keep their rows, so that readings of both layers can be compared. Of rectangles, circles and
    obrounds the new outlines are exact; others are stretched as they are drawn.
    """
    m = changed.m
    openings = _cut_anew(changed) if changed.is_changed.any() else m.openings
    return Measurements(openings, m.foil, m.limits, sheet=m.sheet, board=m.board)


def _cut_anew(changed: Changed) -> Openings:
    """Each distinct change of each distinct outline once."""
    openings = changed.m.openings
    rows = np.flatnonzero(changed.is_changed)
    inset_nm = np.rint(changed.inset_mm[rows].reshape(-1, 4) * NM_PER_MM).astype(np.int64)
    kinds = distinct_rows(np.column_stack([openings.shape[rows], inset_nm]))
    shape = openings.shape.copy()
    shape[rows] = len(openings.shapes) + kinds.inverse
    return replace(openings, shapes=_with(openings.shapes, changed, rows[kinds.first]), shape=shape)


def _with(shapes: Shapes, changed: Changed, rows: np.ndarray[tuple[int, ...], np.dtype[np.int64]]) -> Shapes:
    """All outlines, and those of some changed openings."""
    m = changed.m
    drawn, plain = m.openings.shape[rows], m.are_rounded_rectangles[rows]
    core, radius_mm = _stretched(shapes.outline[drawn], changed, rows), np.zeros(len(rows))
    origin_mm = np.column_stack([m.openings.x_nm, m.openings.y_nm])[rows] / NM_PER_MM
    cores = changed.cores.rows(rows)
    cores = cores._replace(middle_mm=cores.middle_mm - origin_mm)
    core[plain] = cores.rows(np.flatnonzero(plain)).drawn()
    radius_mm[plain] = changed.radius_mm[rows[plain]]
    area_mm2, perimeter_mm = steiner(core, radius_mm)
    outline = core.copy()
    outline[radius_mm > 0] = rounded(core[radius_mm > 0], radius_mm[radius_mm > 0])
    new = Shapes(
        outline,
        core,
        radius_mm,
        shapes.tolerance_mm[drawn] * np.maximum(changed.most_factor[rows], 1.0),
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


def _stretched(
    outline: GeometryArray, changed: Changed, rows: np.ndarray[tuple[int, ...], np.dtype[np.int64]]
) -> GeometryArray:
    """Outlines stretched with their rectangles, about the origins of their openings."""
    m = changed.m
    origin_mm = np.column_stack([m.openings.x_nm, m.openings.y_nm])[rows] / NM_PER_MM
    place_mm, owner = shapely.get_coordinates(outline, return_index=True)
    drawn = m.rectangles.rows(rows)
    of_vertex = Rectangles(drawn.middle_mm - origin_mm, drawn.half_mm, drawn.direction_rad).rows(owner)
    seen_mm = of_vertex.seen(place_mm - of_vertex.middle_mm) * changed.factor[rows][owner]
    shift_mm = (changed.inset_mm[rows, :, 0] - changed.inset_mm[rows, :, 1]) / 2
    moved_mm = of_vertex.middle_mm + of_vertex.told(seen_mm + shift_mm[owner])
    stretched: GeometryArray = shapely.set_coordinates(outline.copy(), moved_mm)
    return stretched
