"""
Rounded convex shapes known by what they are drawn from: nothing is merged, no curve is flattened.

Rounded rectangles come as macros of rectangles and discs, and as contours with arcs. A layer may have tens of
thousands of sizes of them, and to merge and to measure the flattened curves of each takes a millisecond.
"""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, CodeArray, FloatArray, IntArray
from pastecheck.geometry.dissolve import GRID_MM, steiner
from pastecheck.geometry.outlines import (
    FLATNESS_MM,
    arcs_between,
    convex_cores,
    corners_of,
    gathered,
    inscribed,
    neighbours,
)
from pastecheck.ragged import within_runs

GeometryArray = NDArray[np.object_]

_SLACKS_MM = (2 * GRID_MM, FLATNESS_MM)
"""Macros say lengths to the nanometre, as a rule; what is farther off is tried again."""
_SAMPLES = 4
"""Places on each edge of a contour, its beginning and three more: no two are more than 90 degrees apart."""
_OFF_BETWEEN = 5
"""
A contour leaves the rounded shape by at most so many times what its places do.

Say that all places are off by e at most. Along a straight edge the distance from the convex core is a convex
function, at most r + e at its ends and at least r - e in its middle, so nowhere below r - 3 e. On an arc of
radius r about a corner c of the core, each place has a line through it, with a normal u, that keeps off the
core by r - e: so the core reaches beyond c along u by at most 2 e, and u is so near to the way from c to the
place that r cos(between) >= r - 2 e. Along a way between two such u the core reaches beyond c by at most
2 e / cos 45 degrees, which leaves r - 4 e; along one outside of them r - e - 2 e - 2 e are left.
"""


class Rounded(NamedTuple):
    """Which of several things are rounded convex shapes; elsewhere the columns mean nothing. Shape (g,)."""

    known: BoolArray
    core: GeometryArray
    """Points, lines or convex polygons, in mm."""
    radius_mm: FloatArray
    tolerance_mm: FloatArray
    """How far core and radius can be from what was drawn."""


def rounded_unions(core: GeometryArray, radius_mm: FloatArray, owner: IntArray) -> Rounded:
    """
    Groups of solids that together are all points within a radius of a convex core.

    The candidate has the largest radius, and the hull of the cores of that radius as its core. Nothing lies
    outside if no corner of any solid does. Nothing is missing if all that the solids without their rounding
    leave of the candidate without its own lies in the discs about its corners, which are there.

    Args:
        core: What was drawn; cores with a radius are convex. Shape (n,).
        radius_mm: Shape (n,).
        owner: Group of each, sorted, from 0 without a gap. Shape (n,).
    """
    begin = np.flatnonzero(np.diff(owner, prepend=-1))
    largest_mm = np.maximum.reduceat(radius_mm, begin)
    found = Rounded(np.zeros(len(begin), bool), np.full(len(begin), None), largest_mm, np.zeros(len(begin)))
    for slack_mm in _SLACKS_MM:
        tried = ~found.known & (largest_mm > 2 * slack_mm)
        rows = np.flatnonzero(tried[owner])
        if len(rows):
            group, of_group = np.unique(owner[rows], return_inverse=True)
            known, hull = _are_rounded(core[rows], radius_mm[rows], of_group, slack_mm)
            found.known[group] = known
            found.core[group[known]] = hull[known]
            found.tolerance_mm[group] = slack_mm + GRID_MM
    return found


def _are_rounded(
    core: GeometryArray, radius_mm: FloatArray, owner: IntArray, slack_mm: float
) -> tuple[BoolArray, GeometryArray]:
    """Whether each group is a rounded shape but for a slack, and its core."""
    largest_mm = np.maximum.reduceat(radius_mm, np.flatnonzero(np.diff(owner, prepend=-1)))
    widest = radius_mm >= largest_mm[owner] - slack_mm
    corner, of = shapely.get_coordinates(core[widest], return_index=True)
    hull = convex_cores(corner, owner[widest][of])
    corner, of = shapely.get_coordinates(core, return_index=True)
    reach_mm = shapely.distance(shapely.points(corner), hull[owner[of]]) + radius_mm[of]
    known = np.ones(len(hull), bool)
    known[owner[of[reach_mm > largest_mm[owner[of]] + slack_mm]]] = False
    rows = np.flatnonzero(known & (shapely.get_dimensions(hull) > 0))  # a point is covered by its own disc
    if len(rows):
        of_known = np.flatnonzero(np.isin(owner, rows))
        within = np.searchsorted(rows, owner[of_known])
        known[rows] = _are_filled(
            hull[rows], largest_mm[rows] - slack_mm, core[of_known], radius_mm[of_known], within
        )
    return known, hull


def _are_filled(
    hull: GeometryArray,
    radius_mm: FloatArray,
    core: GeometryArray,
    core_radius_mm: FloatArray,
    owner: IntArray,
) -> BoolArray:
    """Whether discs about the corners of each hull, and the solids of its group, fill it and its radius."""
    rest = inscribed(hull, radius_mm)
    cover, of = _without_rounding(core, core_radius_mm)
    of = owner[of]
    turn = within_runs(np.bincount(of, minlength=len(hull)))
    for nth in range(int(turn.max(initial=-1)) + 1):
        rows = np.flatnonzero(turn == nth)
        rest[of[rows]] = shapely.difference(rest[of[rows]], cover[rows])
    rest = shapely.buffer(rest, -GRID_MM, join_style="mitre")  # what abuts but for rounding
    part, of = shapely.get_parts(rest, return_index=True)
    part, of = part[~shapely.is_empty(part)], of[~shapely.is_empty(part)]
    corner, offset = corners_of(hull)
    corners = gathered(corner, np.repeat(np.arange(len(hull)), np.diff(offset)))
    lines = shapely.shortest_line(corners[of], shapely.centroid(part))
    nearest = shapely.get_coordinates(lines).reshape(-1, 2, 2)[:, 0]
    vertex, of_part = shapely.get_coordinates(part, return_index=True)
    outside = np.hypot(*(vertex - nearest[of_part]).T) > radius_mm[of[of_part]]
    filled = np.ones(len(hull), bool)
    filled[of[of_part[outside]]] = False
    return filled


def _without_rounding(core: GeometryArray, radius_mm: FloatArray) -> tuple[GeometryArray, IntArray]:
    """Polygons inscribed in solids, and the row of each: the core itself where it has no radius."""
    polygon = np.flatnonzero(radius_mm == 0)
    bar = np.flatnonzero((radius_mm > 0) & (shapely.get_dimensions(core) > 0))
    row = np.concatenate([polygon, bar])
    order = np.argsort(row)
    return np.concatenate([core[polygon], inscribed(core[bar], radius_mm[bar])])[order], row[order]


def rounded_contours(
    point_mm: FloatArray, centre_mm: FloatArray, turn: CodeArray, offset: IntArray, outline: GeometryArray
) -> Rounded:
    """
    Contours, each with an arc, whose every edge runs along the edge of a rounded convex shape.

    All arcs have its radius, and their centres are the corners of its core.

    Args:
        point_mm: Columns as of `outlines.contours`.
        centre_mm: As well.
        turn: As well.
        offset: As well.
        outline: The contours with their arcs flattened. Shape (c,).
    """
    count = np.diff(offset)
    owner = np.repeat(np.arange(len(count)), count)
    arcs = arcs_between(point_mm, point_mm[neighbours(offset, 1)], centre_mm, turn)
    arc = np.flatnonzero(turn)
    radius_mm = np.zeros(len(count))
    np.maximum.at(radius_mm, owner[arc], arcs.first_mm[arc])
    hull = convex_cores(centre_mm[arc], owner[arc])
    off_mm = np.zeros(len(count))
    for ends_mm in (arcs.first_mm, arcs.last_mm):
        np.maximum.at(off_mm, owner[arc], np.abs(ends_mm[arc] - radius_mm[owner[arc]]))
    for share in np.arange(_SAMPLES) / _SAMPLES:
        angle = arcs.begin_rad + share * arcs.sweep_rad
        reach_mm = arcs.first_mm + share * (arcs.last_mm - arcs.first_mm)
        on_arc = centre_mm + reach_mm[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
        on_line = point_mm + share * (point_mm[neighbours(offset, 1)] - point_mm)
        place = shapely.points(np.where((turn != 0)[:, None], on_arc, on_line))
        np.maximum.at(off_mm, owner, np.abs(shapely.distance(place, hull[owner]) - radius_mm[owner]))
    tolerance_mm = _OFF_BETWEEN * off_mm + GRID_MM
    area_mm2, perimeter_mm = steiner(hull, radius_mm)
    goes_round = np.abs(shapely.area(outline) - area_mm2) <= tolerance_mm * perimeter_mm
    known = (tolerance_mm <= FLATNESS_MM) & goes_round & shapely.is_valid(outline)
    return Rounded(known, hull, radius_mm, tolerance_mm)
