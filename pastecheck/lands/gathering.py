"""Parts of each kind of window in all their places -> the table of lands."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, Drawing, FloatArray, IntArray, Kind
from pastecheck.geometry.dissolve import Look, column_of, connected
from pastecheck.geometry.pairs import placed
from pastecheck.lands.parts import OF_WINDOW, Outlines, Parts, Sources
from pastecheck.lands.purposes import purposes_of
from pastecheck.lands.table import Lands
from pastecheck.lands.windows import Windows
from pastecheck.openings import SLIVER_MM, SLIVER_MM2, Shapes
from pastecheck.openings.holes import shapes_of
from pastecheck.ragged import offsets, rows_of_runs
from pastecheck.units import NM_PER_MM, UM_PER_MM

LEAST_HOLE: Final = 0.05
"""Share of a land that its holes are if it is drilled; small vias in a thermal land are less."""

_MOST_OF_IT: Final = 0.5
"""What was drawn for a land is at least so much of it; the rest is of tracks that leave it."""
_MUCH_LARGER: Final = 4.0
"""A contour so many times as large as what the mask shows of it is an area (`common practice, no source`)."""


def areas_mm2(windows: Windows, parts: Parts, sources: Sources) -> FloatArray:
    """Area of all copper in each opening of the mask. Shape (n,)."""
    used, row = np.unique(parts.land.shape, return_inverse=True)
    outline = column_of([_look(one, parts, sources).outline for one in used.tolist()])
    of_part = shapely.area(outline)[row]
    of_kind = np.bincount(parts.kind, weights=of_part, minlength=len(windows.kinds.first))
    area_mm2 = np.zeros(len(sources.mask))
    area_mm2[windows.mask] = of_kind[windows.kinds.inverse]
    return area_mm2


class _Places(NamedTuple):
    """Each part in each of its places. Shape (k,) each."""

    window: IntArray
    part: IntArray


class _Owned(NamedTuple):
    """Things of copper, and the land that each lies in. Shape (q,) each."""

    thing: IntArray
    land: IntArray


def gathered(windows: Windows, parts: Parts, sources: Sources) -> Lands:
    """All lands; hairs of copper that the mask lays bare are none (see `SLIVER_MM2`)."""
    used, row = np.unique(np.concatenate([parts.land.shape, parts.pad.shape]), return_inverse=True)
    shapes = shapes_of([_look(one, parts, sources) for one in used.tolist()])
    land = Outlines(row[: len(parts.kind)], parts.land.origin)
    pad = Outlines(row[len(parts.kind) :], parts.pad.origin)
    places = _places(windows, parts, ~_is_hair(shapes, used < len(sources.looks.outline))[land.shape])
    order, xy, pad_xy = _in_order(shapes, land, pad, places, (windows, sources))
    places = _Places(places.window[order], places.part[order])
    owned = _owned(windows, parts, places)
    purpose = sources.drawing.purpose[owned.thing]
    area_mm2 = shapely.area(sources.looks.outline)[sources.look[owned.thing]]
    purposes = purposes_of(sources.drawing.purposes, purpose, area_mm2, owned.land, len(order))
    shape = land.shape[places.part]
    has_hole = _have_holes(shapes, shape, xy)
    label = np.zeros(len(order), np.int64)
    np.maximum.at(label, owned.land, sources.drawing.label[owned.thing])
    return Lands(
        shapes=shapes,
        shape=shape,
        x_nm=xy[:, 0].copy(),
        y_nm=xy[:, 1].copy(),
        pad=pad.shape[places.part],
        pad_x_nm=pad_xy[:, 0].copy(),
        pad_y_nm=pad_xy[:, 1].copy(),
        is_area=~_are_drawn(owned, sources.drawing, area_mm2, shapes.area_mm2[shape]),
        is_drilled=purposes.is_drilled | has_hole,
        takes_no_paste=purposes.takes_no_paste | has_hole,
        joined=_joined(owned, sources.drawing, len(order)),
        label=label,
        labels=sources.drawing.labels,
    )


def _look(row: int, parts: Parts, sources: Sources) -> Look:
    """An outline by its row, as `Outlines` counts them."""
    if row < len(sources.looks.outline):
        return sources.looks.row(row)
    if row >= sources.first_made:
        return parts.made[row - sources.first_made]
    of_mask, at = sources.mask.shapes, row - len(sources.looks.outline)
    return Look(
        of_mask.outline[at], of_mask.core[at], float(of_mask.radius_mm[at]), float(of_mask.tolerance_mm[at])
    )


def _is_hair(shapes: Shapes, drawn: BoolArray) -> BoolArray:
    """Whether an outline is too small or narrow for a land, and nothing that was drawn by itself."""
    hair = (shapes.area_mm2 < SLIVER_MM2) & ~drawn
    thin = np.flatnonzero(~hair & (shapes.area_mm2 < SLIVER_MM * shapes.perimeter_mm))
    hair[thin] = shapely.is_empty(shapely.buffer(shapes.outline[thin], -SLIVER_MM / 2))
    return hair


def _places(windows: Windows, parts: Parts, kept: BoolArray) -> _Places:
    """The parts that are kept, in each window of their kind."""
    kinds = len(windows.kinds.first)
    rows = np.flatnonzero(kept)
    count = np.bincount(parts.kind[rows], minlength=kinds)
    ordered = rows[np.argsort(parts.kind[rows], kind="stable")]
    repeats = count[windows.kinds.inverse]
    window = np.repeat(np.arange(len(windows.mask)), repeats)
    return _Places(window, ordered[rows_of_runs(offsets(count)[:-1][windows.kinds.inverse], repeats)])


def _in_order(
    shapes: Shapes, land: Outlines, pad: Outlines, places: _Places, of: tuple[Windows, Sources]
) -> tuple[IntArray, IntArray, IntArray]:
    """Order of lands by place as openings have it; and origins of lands and pads, in that order."""
    windows, sources = of
    xy, pad_xy = (_origins_nm(one, places, windows, sources) for one in (land, pad))
    shape = land.shape[places.part]
    centre_um = np.rint((xy / NM_PER_MM + shapes.centroid_mm[shape]) * UM_PER_MM).astype(np.int64)
    order = np.lexsort((shapes.area_mm2[shape], centre_um[:, 0], centre_um[:, 1]))
    return order, xy[order], pad_xy[order]


def _origins_nm(outlines: Outlines, places: _Places, windows: Windows, sources: Sources) -> IntArray:
    """Where the outlines of parts lie. Shape (k, 2)."""
    origin = outlines.origin[places.part]
    opening = windows.mask[places.window]
    xy = np.column_stack([sources.mask.x_nm[opening], sources.mask.y_nm[opening]])
    of_member = np.flatnonzero(origin != OF_WINDOW)
    thing = windows.member[windows.offset[places.window[of_member]] + origin[of_member]]
    xy[of_member] = np.column_stack([sources.drawing.x_nm[thing], sources.drawing.y_nm[thing]])
    return xy


def _owned(windows: Windows, parts: Parts, places: _Places) -> _Owned:
    """Things of copper in lands: of a window that is all one land, all that can be seen in it."""
    begin = np.searchsorted(parts.part, np.arange(len(parts.kind)))
    count = np.searchsorted(parts.part, np.arange(len(parts.kind)), side="right") - begin
    repeats = count[places.part]
    land = np.repeat(np.arange(len(places.part)), repeats)
    member = parts.member[rows_of_runs(begin[places.part], repeats)]
    thing = windows.member[windows.offset[np.repeat(places.window, repeats)] + member]
    alone = np.bincount(places.window, minlength=len(windows.mask)) == 1
    land_of = np.zeros(len(windows.mask), np.int64)
    land_of[places.window] = np.arange(len(places.window))
    seen = alone[windows.seen_in]
    return _Owned(
        np.concatenate([thing, windows.seen[seen]]),
        np.concatenate([land, land_of[windows.seen_in[seen]]]),
    )


def _are_drawn(owned: _Owned, drawing: Drawing, area_mm2: FloatArray, land_mm2: FloatArray) -> BoolArray:
    """
    Whether something was drawn for lands: a flash, or a contour that is not much larger than what is seen.

    Args:
        owned: Things of copper in lands.
        drawing: The copper.
        area_mm2: Of each thing, all of it. Shape (q,).
        land_mm2: Of each land. Shape (k,).
    """
    share = area_mm2 / land_mm2[owned.land]
    kind = drawing.kind[owned.thing]
    drawn = (kind == Kind.FLASH) | ((kind == Kind.REGION) & (share <= _MUCH_LARGER))
    drawn &= share >= _MOST_OF_IT
    found: BoolArray = np.bincount(owned.land[drawn], minlength=len(land_mm2)) > 0
    return found


def _joined(owned: _Owned, drawing: Drawing, lands: int) -> IntArray:
    """Lowest land that each is joined with by one thing, or through others. Shape (k,)."""
    # a clear thing may cut in two what was drawn before it
    whole = owned.thing > np.flatnonzero(~drawing.dark).max(initial=-1)
    thing, land = owned.thing[whole], owned.land[whole]
    order = np.lexsort((land, thing))
    thing, land = thing[order], land[order]
    same = np.flatnonzero(thing[1:] == thing[:-1])
    return connected(lands, land[same], land[same + 1])


def _have_holes(shapes: Shapes, shape: IntArray, xy_nm: IntArray) -> BoolArray:
    """Whether lands have a hole of some size in which no other land lies."""
    holes = np.zeros(len(shape), bool)
    rings = shapely.get_num_interior_rings(shapes.outline)
    within_mm2 = _area_of_holes_mm2(shapes)
    rows = np.flatnonzero(
        (rings > 0)[shape] & (within_mm2 >= LEAST_HOLE * (shapes.area_mm2 + within_mm2))[shape]
    )
    if not len(rows):
        return holes
    holes[rows] = True
    centre_mm = xy_nm / NM_PER_MM + shapes.centroid_mm[shape]
    filled = shapely.polygons(shapely.get_exterior_ring(shapes.outline[shape[rows]]))
    around = placed(np.asarray(filled, dtype=object), *(xy_nm[rows] / NM_PER_MM).T)
    tree = shapely.STRtree(np.asarray(shapely.points(centre_mm), dtype=object))
    row, other = tree.query(around, predicate="intersects")
    holes[rows[row[other != rows[row]]]] = False
    return holes


def _area_of_holes_mm2(shapes: Shapes) -> FloatArray:
    """Area of the holes of each outline. Shape (s,)."""
    filled = np.asarray(shapely.polygons(shapely.get_exterior_ring(shapes.outline)), dtype=object)
    return np.maximum(shapely.area(filled) - shapely.area(shapes.outline), 0.0)
