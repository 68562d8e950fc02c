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
from pastecheck.geometry.dissolve import steiner
from pastecheck.geometry.mending import GRID_MM
from pastecheck.geometry.outlines import (
    FLATNESS_MM,
    arcs_between,
    convex_cores,
    corners_of,
    gathered,
    inscribed,
    neighbours,
    sides_grown,
)
from pastecheck.ragged import among, offsets, rows_of_runs, within_runs

GeometryArray = NDArray[np.object_]

_SLACKS_MM = (2 * GRID_MM, FLATNESS_MM)
"""Macros say lengths to the nanometre, as a rule; what is farther off is tried again."""
_AT_ONCE = 5_000
"""Groups that are looked at at once: more are no faster, and what is made on the way takes memory."""
_NO_AREA_MM2 = 1e-12
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
    outside if no corner of any solid does. Nothing is missing if the solids fill the candidate but for discs
    about its corners, for those are there.

    Args:
        core: What was drawn; cores with a radius are convex. Shape (n,).
        radius_mm: Shape (n,).
        owner: Group of each, sorted, from 0 without a gap. Shape (n,).
    """
    begin = np.flatnonzero(np.diff(owner, prepend=-1))
    size = np.diff(np.append(begin, len(owner)))
    largest_mm = np.maximum.reduceat(radius_mm, begin)
    nothing = np.full(len(begin), None, dtype=object)
    found = Rounded(np.zeros(len(begin), bool), nothing, largest_mm, np.zeros(len(begin)))
    for slack_mm in _SLACKS_MM:
        tried = np.flatnonzero(~found.known & (largest_mm > 2 * slack_mm))
        for groups in np.split(tried, range(_AT_ONCE, len(tried), _AT_ONCE)):
            if len(groups):
                rows = rows_of_runs(begin[groups], size[groups])
                within = np.repeat(np.arange(len(groups)), size[groups])
                known, hull = _are_rounded(core[rows], radius_mm[rows], within, slack_mm)
                found.known[groups] = known
                found.core[groups[known]] = hull[known]
                found.tolerance_mm[groups] = slack_mm + GRID_MM
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
    filled = shapely.get_dimensions(hull) == 0  # a point is in the middle of its disc
    polygon, of = _without_rounding(core, radius_mm, owner)
    # the first takes a fifth of the time of the second, and suffices for the macros that most programs write
    for are_filled in (_filled_side_by_side, _filled_together):
        left = np.flatnonzero(known & ~filled)
        of_left = np.flatnonzero(among(of, left))
        if len(of_left):
            within = np.searchsorted(left, of[of_left])
            filled[left] = are_filled(hull[left], largest_mm[left] - slack_mm, polygon[of_left], within)
    return known & filled, hull


def _without_rounding(
    core: GeometryArray, radius_mm: FloatArray, owner: IntArray
) -> tuple[GeometryArray, IntArray]:
    """Polygons inscribed in solids, cores themselves where they have no radius; and the group of each."""
    polygon = np.flatnonzero(radius_mm == 0)
    bar = np.flatnonzero((radius_mm > 0) & (shapely.get_dimensions(core) > 0))
    order = np.argsort(np.concatenate([owner[polygon], owner[bar]]), kind="stable")
    every = np.concatenate([core[polygon], inscribed(core[bar], radius_mm[bar])])
    return every[order], np.concatenate([owner[polygon], owner[bar]])[order]


def _filled_side_by_side(
    hull: GeometryArray, radius_mm: FloatArray, polygon: GeometryArray, owner: IntArray
) -> BoolArray:
    """Whether each hull, and the strip along each of its sides, lies in one convex polygon of its group."""
    grown = sides_grown(hull, radius_mm)
    count = np.diff(grown.offset)
    of = np.flatnonzero(shapely.area(shapely.convex_hull(polygon)) <= shapely.area(polygon) + _NO_AREA_MM2)
    corner = rows_of_runs(grown.offset[owner[of]], count[owner[of]])  # of each polygon all of the hull
    chain = offsets(count[owner[of]])
    against = np.repeat(polygon[of], count[owner[of]])
    begins, ends, stays = (
        shapely.distance(np.asarray(shapely.points(place), dtype=object)[corner], against) <= GRID_MM
        for place in (grown.leaving, grown.arriving, grown.corner)
    )
    after = neighbours(chain, 1)
    strip = np.zeros(len(grown.corner), bool)
    strip[corner[begins & stays & (ends & stays)[after]]] = True
    whole = shapely.get_dimensions(hull) == 1
    if len(of):
        whole[owner[of[np.logical_and.reduceat(stays, chain[:-1])]]] = True
    filled: BoolArray = whole & np.logical_and.reduceat(strip, grown.offset[:-1])
    return filled


def _filled_together(
    hull: GeometryArray, radius_mm: FloatArray, polygon: GeometryArray, owner: IntArray
) -> BoolArray:
    """Whether what the polygons leave of each hull and its radius lies in discs about its corners."""
    rest = inscribed(hull, radius_mm)
    turn = within_runs(np.bincount(owner, minlength=len(hull)))
    for nth in range(int(turn.max(initial=-1)) + 1):
        rows = np.flatnonzero(turn == nth)
        rest[owner[rows]] = shapely.difference(rest[owner[rows]], polygon[rows])
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
    known = (tolerance_mm <= FLATNESS_MM) & goes_round
    known[known] = shapely.is_valid(outline[known])  # not of all, for one of 200,000 corners takes seconds
    return Rounded(known, hull, radius_mm, tolerance_mm)
