"""Foil within openings that hangs on nothing: filled where it is small, held by webs where it is large."""

from collections.abc import Sequence
from functools import partial
from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.measurements import Measurements
from pastecheck.openings import GeometryArray, Openings
from pastecheck.rulesets import RuleSet
from pastecheck.rulesets.trims import IslandTrim
from pastecheck.trim.likeness import outlines
from pastecheck.trim.plan import Held, Outline, Plan, Why

_LARGE_MM: Final = 2.0
"""An island that is larger across is held by four webs, else by three (as film-island advises)."""
_FIRST_RAD: Final = np.pi / 4
"""Webs stand off the axes, along which boards and their leads lie (`common practice, no source`)."""


def plan_islands(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """
    Write into the plan what becomes of openings with holes.

    An island that is small falls out whatever is done: where openings may grow, it is drawn open. A larger
    one is held by webs, which cut its opening in parts. Where other openings lie in a hole nothing is done.
    """
    entry, errors = rule_set.trim.islands, rule_set.trim.errors
    has_holes = shapely.get_num_interior_rings(m.openings.shapes.outline) > 0
    if entry is None or not has_holes.any():
        return
    rows = np.flatnonzero(has_holes[m.openings.shape] & plan.is_free)
    rows = rows[_are_empty(m.openings, rows)]
    may_grow = errors is not None and errors.grow
    of_hole_mm2 = _largest_and_smallest_mm2(m.openings.shapes.outline[m.openings.shape[rows]])
    fills = (of_hole_mm2[:, 1] < entry.smaller_than_mm2) & may_grow
    shape = m.openings.shape
    plan.redraw(shape, rows[fills], partial(_filled, m, entry), Why.ISLANDS)
    large = ~fills & (of_hole_mm2[:, 0] >= entry.smaller_than_mm2)
    rows = rows[large]
    has_room = plan.cut_up(shape, rows, partial(_parts, m, entry), Why.ISLANDS)
    plan.hold(rows[~has_room], Held.NO_ROOM, entry.web_mm)


def _are_empty(openings: Openings, rows: IntArray) -> BoolArray:
    """Whether no other opening lies in a hole of some openings. Shape (k,)."""
    if not len(rows):
        return np.zeros(0, bool)
    every = outlines(openings, np.arange(len(openings)))
    filled = np.asarray(shapely.polygons(shapely.get_exterior_ring(every[rows])), object)
    row, _ = shapely.STRtree(every).query(filled, predicate="intersects")
    return np.asarray(np.bincount(row, minlength=len(rows)) == 1)


def _largest_and_smallest_mm2(outline: GeometryArray) -> FloatArray:
    """Of the holes of each outline. Shape (k, 2)."""
    holes = [[shapely.Polygon(ring).area for ring in one.interiors] for one in outline]
    return np.array([(max(each), min(each)) for each in holes]).reshape(-1, 2)


def _filled(m: Measurements, entry: IslandTrim, rows: IntArray) -> Sequence[Outline]:
    """Without their small holes, about the origin of some openings."""
    shapes, kinds = m.openings.shapes, m.openings.shape[rows]
    made = []
    for outline, tolerance_mm in zip(shapes.outline[kinds], shapes.tolerance_mm[kinds].tolist(), strict=True):
        kept = [ring for ring in outline.interiors if shapely.Polygon(ring).area >= entry.smaller_than_mm2]
        made.append(Outline(shapely.Polygon(outline.exterior, kept), 0.0, tolerance_mm))
    return made


def _parts(m: Measurements, entry: IslandTrim, rows: IntArray) -> Sequence[GeometryArray]:
    """What webs through the large holes leave, about the origin of some openings."""
    outline = m.openings.shapes.outline[m.openings.shape[rows]]
    parts = [shapely.get_parts(one - _webs(one, entry)) for one in outline]
    return [each[~shapely.is_empty(each)] for each in parts]


def _webs(outline: shapely.Polygon, entry: IslandTrim) -> shapely.Geometry:
    """Bars from the middle of each large hole to beyond the outline."""
    reach_mm = float(np.hypot(*np.ptp(shapely.get_coordinates(outline), axis=0)))
    bars: list[shapely.Geometry] = []
    for hole in map(shapely.Polygon, outline.interiors):
        if hole.area < entry.smaller_than_mm2:
            continue
        middle_mm = shapely.get_coordinates(hole.centroid)
        count = 4 if np.sqrt(4 * hole.area / np.pi) > _LARGE_MM else 3
        turn_rad = _FIRST_RAD + np.arange(count) * 2 * np.pi / count
        way_mm = np.column_stack([np.cos(turn_rad), np.sin(turn_rad)]) * reach_mm / 2
        half_mm = np.tile([reach_mm / 2, entry.web_mm / 2], (count, 1))
        bars.extend(Rectangles(middle_mm + way_mm, half_mm, turn_rad).drawn())
    return shapely.union_all(bars)
