"""Which discs face: the angles between the places where they touch an outline."""

from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.walls import angle_between
from pastecheck.ragged import rows_of_runs

OPPOSITE_RAD: Final = np.radians(179)
"""Touch directions this far apart are opposite: two walls within a degree of parallel face each other."""
TAPER_RAD: Final = np.radians(160)
"""Touch directions this far apart belong to walls that taper by up to 20 degrees."""
APART_RAD: Final = np.radians(20)
"""Touch directions closer than this are of one wall: facets of an arc are."""
TIP_SIDE_MM: Final = 0.05
"""Sides this long make a sharp corner a tip that no blade reaches: `common practice, no source`."""
ROUNDING_RAD: Final = 1e-9

_NARROWER = 0.9
_FACET = 6.0
_TOUCHES_MM = 2 * FLATNESS_MM
_ROUNDING_MM = 1e-9
_MANY = 400
_FINE_RAD = np.radians(0.25)
_TURN_IN_STEPS = 2000


def contact_reach(radius_mm: FloatArray) -> FloatArray:
    """
    Distance from a centre within which an outline touches a disc, arcs being flattened. Shape (k,), in mm.

    Of a small disc a smaller part: else everything in a corner would touch the discs at its tip.
    """
    reach: FloatArray = radius_mm + np.minimum(_TOUCHES_MM, radius_mm / 100)
    return reach


def empty_radius(radius_mm: FloatArray) -> FloatArray:
    """
    Radius within which the disc about the middle of a waist must be empty. Shape (k,), in mm.

    A wall that turns away by a degree from a touch cuts into the disc by 1 - cos 1 degree of its radius: of a
    disc of 1 mm 0.08 um.
    """
    radius: FloatArray = radius_mm * np.cos(np.pi - OPPOSITE_RAD) - _ROUNDING_MM
    return radius


def faces(angle_rad: FloatArray) -> BoolArray:
    """
    Whether discs with three touches are opposite (A) or the end of a taper (B).

    Args:
        angle_rad: Between each two of the touch directions. Shape (k, 3).
    """
    widest, closest = angle_rad.max(axis=1), angle_rad.min(axis=1)
    taper = (widest >= TAPER_RAD - ROUNDING_RAD) & (closest >= APART_RAD - ROUNDING_RAD)
    found: BoolArray = taper | (widest >= OPPOSITE_RAD - ROUNDING_RAD)
    return found


def looseness(widest_rad: FloatArray, next_rad: FloatArray) -> FloatArray:
    """
    By how many tolerances the diameter of an end (E) between flattened walls can be off.

    The walls turn past 20 degrees somewhere along a facet. The disc grows by 2 cos 80 degrees for each mm
    along; a facet that turns by t is 6 tolerances / t long.
    """
    step_rad = np.maximum(widest_rad - next_rad, ROUNDING_RAD)
    loose: FloatArray = 2 * np.cos(TAPER_RAD / 2) * _FACET / step_rad
    return loose


def narrower(ends: FloatArray, others: FloatArray) -> BoolArray:
    """Whether ends of tapers (E) count: where there are no other discs, or wider ones. Shape (k,)."""
    counts: BoolArray = ends < _NARROWER * np.where(np.isnan(others), np.inf, others)
    return counts


def might_face(angle_rad: FloatArray) -> BoolArray:
    """Whether discs that do not face by three touches might with all that nearly touch them. Shape (k,)."""
    wide: BoolArray = angle_rad.max(axis=1) >= TAPER_RAD - np.radians(5)
    return wide & ~faces(angle_rad)


def are_ends_of_tapers(place: IntArray, direction: FloatArray, count: int) -> BoolArray:
    """
    Whether some two of a disc's touch directions are 160 degrees apart, and a third 20 degrees from both (B).

    Args:
        place: Which disc, sorted. Shape (k,).
        direction: Not of length 0. Shape (k, 2).
        count: How many discs there are.

    Returns:
        Shape (count,); False for discs without directions.
    """
    place, direction = _thinned(place, direction, count)
    size = np.bincount(place, minlength=count)
    begin = np.cumsum(size) - size
    one = np.repeat(np.arange(len(place)), size[place])
    other = rows_of_runs(begin[place], size[place])
    angle = angle_between(direction[one], direction[other])
    beside = np.bincount(one[angle < APART_RAD - ROUNDING_RAD], minlength=len(place))
    wide = angle >= TAPER_RAD - ROUNDING_RAD
    one, other = one[wide], other[wide]
    # what is beside the one is not beside the other, so a third is left if both together are not all
    ends = np.zeros(count, bool)
    ends[place[one[beside[one] + beside[other] < size[place[one]]]]] = True
    return ends


def _thinned(place: IntArray, direction: FloatArray, count: int) -> tuple[IntArray, FloatArray]:
    """Touches of discs that have very many, to a quarter of a degree: pairs of all would not end."""
    many = (np.bincount(place, minlength=count) > _MANY)[place]
    if not many.any():
        return place, direction
    angle = np.arctan2(direction[:, 1], direction[:, 0])
    step = np.where(many, np.rint(angle / _FINE_RAD), np.arange(len(place)) + _TURN_IN_STEPS)
    first = np.sort(np.unique(np.column_stack([place, step]), axis=0, return_index=True)[1])
    return place[first], direction[first]
