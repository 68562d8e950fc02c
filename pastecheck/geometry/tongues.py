"""Tongues: what juts into outlines from outside, held at one end only."""

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.discs import (
    Discs,
    Touched,
    all_of,
    best_of,
    ends_of_tapers,
    facing_discs,
    no_discs,
)
from pastecheck.geometry.facing import are_convex
from pastecheck.geometry.reshaping import narrow_film
from pastecheck.geometry.tongue_walls import wall_lengths
from pastecheck.geometry.touching import medial
from pastecheck.geometry.walls import Walls, chunks_of, outer, walls_of

GeometryArray = NDArray[np.object_]

REACH_MM = 0.6
"""Tongues wider than this are of no interest: `common practice, no source`."""

_SIDES_AT_ONCE = 50_000
_ROUNDING_MM = 1e-6
_BESIDE_MM = 0.01
"""The middle of a disc lies in the film of its tongue, or so near to it."""
_WIDER = 1.2
"""A tongue reaches as far as it is no wider than so many of its narrowest widths."""


class Tongues(NamedTuple):
    """What juts into outlines from outside; NaN where nothing does. Shape (s,) each."""

    narrowest: Discs
    slenderest: Discs
    """The narrowest place of that tongue that is longest for its width."""
    slenderness: FloatArray
    """How long its two walls run alongside each other, over its width."""


class _Found(NamedTuple):
    """The narrowest disc of each outline, and every disc in those that have one."""

    walls: Walls
    narrowest: Discs
    every: Touched


def tongues(outline: GeometryArray, tolerance_mm: FloatArray, reach_mm: float = REACH_MM) -> Tongues:
    """
    The smallest disc of kind A, B or E outside each outline that touches its outer ring on both sides.

    And of all its tongues the slenderest.

    Args:
        outline: Polygons in mm; their holes are of no matter. Shape (s,).
        tolerance_mm: How far each can be from the true outline. Shape (s,).
        reach_mm: Largest diameter that is of interest.

    Returns:
        Diameters as exact as those of `inner_discs`, and slenderness, whose length ends at whole facets of
        flattened arcs; NaN where there is none within reach.

    Cost:
        As of `inner_discs`; and one turn for each tongue of the outline that has most.
    """
    rings = outer(outline)
    rows = np.flatnonzero(~are_convex(rings))
    narrowest, slenderest = no_discs(len(outline)), no_discs(len(outline))
    slenderness = np.full(len(outline), np.nan)
    for chunk in chunks_of(shapely.get_num_coordinates(rings[rows]).astype(np.int64), _SIDES_AT_ONCE):
        part = rows[chunk]
        found = _found(rings[part], tolerance_mm[part], reach_mm)
        slender, worst = _slenderest(rings[part], tolerance_mm[part], found)
        narrowest.put(part, found.narrowest)
        slenderest.put(part, slender)
        slenderness[part] = worst
    return Tongues(narrowest, slenderest, slenderness)


def _found(rings: GeometryArray, tolerance_mm: FloatArray, reach_mm: float) -> _Found:
    """Discs outside rings."""
    walls = walls_of(rings, outside=True)
    axis = medial(walls, np.full(len(rings), reach_mm / 2 + _ROUNDING_MM))
    ends = ends_of_tapers(axis.vertices)
    narrowest = best_of(facing_discs(walls, axis), walls, tolerance_mm)
    narrowest.put_ends(best_of([ends], walls, tolerance_mm))
    has_one = ~np.isnan(narrowest.diameter_mm)
    every = all_of([*facing_discs(walls, axis, has_one), ends])
    return _Found(walls, narrowest, every.rows(has_one[every.region]))


def _slenderest(rings: GeometryArray, tolerance_mm: FloatArray, found: _Found) -> tuple[Discs, FloatArray]:
    """One tongue of each ring after another, the narrowest first; what lies in it is no further one."""
    slenderest, slenderness = no_discs(len(rings)), np.full(len(rings), np.nan)
    disc, left = found.narrowest, found.every
    rows = np.flatnonzero(~np.isnan(disc.diameter_mm))
    while len(rows):
        disc = disc.rows(rows)
        length_mm = wall_lengths(rings[rows], disc.diameter_mm, disc.begin_mm, disc.end_mm)
        found_here = length_mm / disc.diameter_mm
        more = ~(slenderness[rows] >= found_here)
        slenderest.put(rows[more], disc.rows(more))
        slenderness[rows[more]] = found_here[more]
        left = left.rows(~_lie_in(rings[rows], disc, left, rows))
        disc = best_of([left], found.walls, tolerance_mm)
        rows = np.flatnonzero(~np.isnan(disc.diameter_mm))
    return slenderest, slenderness


def _lie_in(rings: GeometryArray, tongue: Discs, discs: Touched, rows: IntArray) -> BoolArray:
    """Which discs lie in tongues, of one of which each is the narrowest place; all of them have one."""
    nth = np.searchsorted(rows, discs.region)
    film = narrow_film(rings, _WIDER * tongue.diameter_mm)
    middle = np.asarray(shapely.points((tongue.begin_mm + tongue.end_mm) / 2), np.object_)
    there = shapely.dwithin(film.polygon, middle[film.owner], _BESIDE_MM)
    of_tongue = np.full(len(rings), shapely.MultiPolygon(), np.object_)
    shapely.multipolygons(film.polygon[there], indices=film.owner[there], out=of_tongue)
    place = np.asarray(shapely.points((discs.begin_mm + discs.end_mm) / 2), np.object_)
    within: BoolArray = shapely.dwithin(of_tongue[nth], place, _BESIDE_MM)
    return within | shapely.dwithin(middle[nth], place, _BESIDE_MM)
