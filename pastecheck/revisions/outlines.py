"""Whether two shapes are the same one, beyond what exports round."""

from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.openings import GeometryArray, Shapes

_MOST_CORNERS: Final = 2_000
"""Of outlines that are held against each other corner by corner: all against all is slow."""
_MOST_SHRUNK: Final = 20_000


def differ(one: Shapes, row: IntArray, other: Shapes, other_row: IntArray, within_mm: float) -> BoolArray:
    """
    Whether shapes differ, pair by pair.

    Told by what they are grown from where that is all the same; else by their outlines; and only where these
    lie apart somewhere by what is between them, for the tip of a notch where curves are tangent is anywhere.
    """
    grown_mm = np.abs(one.radius_mm[row] - other.radius_mm[other_row])
    cores = _about_middle(one, one.core, row), _about_middle(other, other.core, other_row)
    apart: BoolArray = ~_lie_close(*cores, within_mm - grown_mm)
    rows = np.flatnonzero(apart)
    outline = _about_middle(one, one.outline, row[rows])
    other_outline = _about_middle(other, other.outline, other_row[rows])
    far = ~_lie_close(outline, other_outline, np.full(len(rows), within_mm))
    apart[rows] = far
    apart[rows[far]] = _is_thick(shapely.symmetric_difference(outline[far], other_outline[far]), within_mm)
    return apart


def _lie_close(one: GeometryArray, other: GeometryArray, within_mm: FloatArray) -> BoolArray:
    """Whether all of either outline surely is near the other; not told of very many corners."""
    corners = np.maximum(shapely.get_num_coordinates(one), shapely.get_num_coordinates(other))
    few = np.flatnonzero(corners <= _MOST_CORNERS)
    close = np.zeros(len(one), bool)
    close[few] = shapely.hausdorff_distance(one[few], other[few]) <= within_mm[few]
    return close


def _is_thick(between: GeometryArray, within_mm: float) -> BoolArray:
    """
    Whether what is between two outlines is thicker somewhere; of very many corners, whether a piece is so.

    To shrink what has 200,000 vertices takes a minute and 5 GiB.
    """
    many = shapely.get_num_coordinates(between) > _MOST_SHRUNK
    thick = np.zeros(len(between), bool)
    thick[~many] = ~shapely.is_empty(shapely.buffer(between[~many], -within_mm / 2))
    pieces, of = shapely.get_parts(between[many], return_index=True)
    in_mean_mm = 2 * shapely.area(pieces) / np.maximum(shapely.length(pieces), 1e-9)
    thick[np.flatnonzero(many)[of[in_mean_mm > within_mm]]] = True
    return thick


def _about_middle(shapes: Shapes, column: GeometryArray, row: IntArray) -> GeometryArray:
    """Outlines, or what they are grown from, about the middles of the shapes."""
    geometry = column[row]
    middle = np.repeat(shapes.centroid_mm[row], shapely.get_num_coordinates(geometry), axis=0)
    about: GeometryArray = shapely.set_coordinates(
        geometry.copy(), shapely.get_coordinates(geometry) - middle
    )
    return about
