"""What openings are like inside and along their walls: necks, spans, tongues, islands, corners and sides."""

from functools import cached_property
from typing import Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.bends import longest_facets_mm
from pastecheck.geometry.convex_sides import sides_of_shapes
from pastecheck.geometry.corners import corner_radii
from pastecheck.geometry.discs import Discs, no_discs
from pastecheck.geometry.facing import InnerDiscs, are_convex, inner_discs
from pastecheck.geometry.islands import Within, largest_islands
from pastecheck.geometry.reshaping import narrow_film
from pastecheck.geometry.tongues import REACH_MM, Tongues, tongues
from pastecheck.openings import Openings, boxes_mm
from pastecheck.ragged import gathered
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]

_MIXED_ARCS: Final = 0.05
"""Part of a radius by which that of a flattened corner may be off; see `corner_radii`."""
_BESIDE_MM: Final = 0.01
"""The middle of a disc between two walls lies in the film there, or so near to it."""


class Across(NamedTuple):
    """How far it is across somewhere in each opening. Shape (n,) each; NaN where there is no such place."""

    width_mm: FloatArray
    error_mm: FloatArray
    place_mm: FloatArray
    """The middle of it. Shape (n, 2)."""


class Lengths(NamedTuple):
    """A length of each opening. Shape (n,) each; NaN where there is none."""

    length_mm: FloatArray
    error_mm: FloatArray
    place_mm: FloatArray
    """Shape (n, 2)."""


class TonguesOfFilm(NamedTuple):
    """What juts into each opening, held at one end only. Shape (n,) each; NaN where nothing does."""

    across: Across
    """Where it is narrowest."""
    slenderness: FloatArray
    """How long its walls run alongside each other, over its width: of the slenderest tongue."""
    slenderness_error: FloatArray
    slenderest: Across
    """Where that tongue is narrowest."""


class FilmIslands(NamedTuple):
    """The largest film that falls out of each opening. Shape (n,) each; NaN for those without holes."""

    area_mm2: FloatArray
    error_mm2: FloatArray
    place_mm: FloatArray
    """A point in the hole that holds it. Shape (n, 2)."""
    hole_mm2: FloatArray
    """Area of that hole."""


class Insides:
    """Of each distinct outline that openings have, on first asking; gathered for the openings."""

    def __init__(self, openings: Openings) -> None:
        """Look at the outlines of some openings."""
        self._openings = openings
        shapes = openings.shapes
        is_used = np.zeros(len(shapes), bool)
        is_used[openings.shape] = True
        used = np.flatnonzero(is_used)
        self._outline, self._core = shapes.outline[used], shapes.core[used]
        self._radius_mm, self._tolerance_mm = shapes.radius_mm[used], shapes.tolerance_mm[used]
        self._kind: IntArray = (np.cumsum(is_used) - 1)[openings.shape]
        """Which of these each opening has. Shape (n,)."""
        self._tongues: dict[float, TonguesOfFilm] = {}

    @cached_property
    def necks(self) -> Across:
        """The narrowest place inside each opening: the smallest disc that faces, as `inner_discs` has it."""
        return self._gathered(self._discs.narrowest)

    @cached_property
    def spans(self) -> Across:
        """The widest place inside each opening: the largest disc."""
        return self._gathered(self._discs.largest)

    def tongues_within(self, reach_mm: float) -> TonguesOfFilm:
        """Tongues of film not wider than a reach; those of up to 0.6 mm are looked for in any case."""
        reach_mm = max(reach_mm, REACH_MM)
        if reach_mm not in self._tongues:
            self._tongues[reach_mm] = self._found_tongues(reach_mm)
        return self._tongues[reach_mm]

    def _found_tongues(self, reach_mm: float) -> TonguesOfFilm:
        rows = np.flatnonzero(~are_convex(self._core))
        found = tongues(self._outline[rows], self._tolerance_mm[rows], reach_mm)
        narrowest, slenderest = no_discs(len(self._core)), no_discs(len(self._core))
        narrowest.put(rows, found.narrowest)
        slenderest.put(rows, found.slenderest)
        slenderness = np.full((2, len(self._core)), np.nan)
        slenderness[:, rows] = found.slenderness, _slenderness_error(self._outline[rows], found)
        value, error = (gathered(column, self._kind) for column in slenderness)
        return TonguesOfFilm(self._gathered(narrowest), value, error, self._gathered(slenderest))

    def film_at_mm2(self, rows: IntArray, place_mm: FloatArray, width_mm: FloatArray) -> FloatArray:
        """
        Area of the film beside openings that a disc does not reach, as it hangs together at a place.

        Args:
            rows: Openings. Shape (k,).
            place_mm: A place between two walls of each. Shape (k, 2).
            width_mm: Diameter of the disc. Shape (k,).

        Cost:
            Grows with k: it is meant for distinct outlines that failed.
        """
        film = narrow_film(self._outline[self._kind[rows]], width_mm)
        point = shapely.points(place_mm - _origins_mm(self._openings)[rows])
        there = shapely.dwithin(film.polygon, np.asarray(point, np.object_)[film.owner], _BESIDE_MM)
        grown_mm2 = np.zeros(len(rows))
        np.add.at(grown_mm2, film.owner[there], shapely.area(film.polygon[there]))
        return grown_mm2

    @cached_property
    def corner_radius_mm(self) -> FloatArray:
        """Smallest radius over convex corners; 0 where one is sharp, NaN where there is none. Shape (n,)."""
        return gathered(self._corner_radius_mm, self._kind)

    @cached_property
    def corner_radius_error_mm(self) -> FloatArray:
        """Bound of its error: more than the tolerance only where it is read from facets. Shape (n,)."""
        of_facets_mm = np.nan_to_num(self._corner_radius_mm - self._radius_mm)
        mixed_mm = np.where(self._tolerance_mm > 0, _MIXED_ARCS * of_facets_mm, 0.0)
        return gathered(self._tolerance_mm + mixed_mm, self._kind)

    @cached_property
    def sides(self) -> Lengths:
        """The shortest side of each opening, as a trailing blade meets it."""
        found = sides_of_shapes(self._core, self._radius_mm, self._outline)
        # either end lies where two walls meet that turn by 60 degrees at least
        error_mm = gathered(4 * self._tolerance_mm, self._kind)
        return Lengths(gathered(found.length_mm, self._kind), error_mm, self._placed(found.place_mm))

    @cached_property
    def islands(self) -> FilmIslands:
        """The largest film that falls out of each opening."""
        openings = self._openings
        has_hole = shapely.get_num_interior_rings(self._outline) > 0
        holder = np.flatnonzero(has_hole[self._kind])
        if not len(holder):
            return FilmIslands(
                *(np.broadcast_to(np.nan, shape) for shape in _shapes_of_columns(len(openings)))
            )
        columns = FilmIslands(*(np.full(shape, np.nan) for shape in _shapes_of_columns(len(openings))))
        inside, pairs = _within(openings, self._kind, holder)
        found = largest_islands(self._outline, self._kind[holder], pairs)
        off_mm2 = (openings.shapes.tolerance_mm * openings.shapes.perimeter_mm)[openings.shape]
        error = off_mm2[holder] + np.bincount(pairs.holder, off_mm2[inside], minlength=len(holder))
        columns.area_mm2[holder] = found.area_mm2
        columns.error_mm2[holder] = error
        columns.place_mm[holder] = found.place_mm + _origins_mm(openings)[holder]
        columns.hole_mm2[holder] = found.hole_mm2
        return columns

    @cached_property
    def _discs(self) -> InnerDiscs:
        return inner_discs(self._core, self._radius_mm, self._tolerance_mm)

    @cached_property
    def _corner_radius_mm(self) -> FloatArray:
        return corner_radii(self._core, self._radius_mm)

    def _gathered(self, discs: Discs) -> Across:
        place_mm = self._placed((discs.begin_mm + discs.end_mm) / 2)
        width_mm, error_mm = (gathered(each, self._kind) for each in (discs.diameter_mm, discs.error_mm))
        return Across(width_mm, error_mm, place_mm)

    def _placed(self, of_shape_mm: FloatArray) -> FloatArray:
        """Points of outlines, where the openings have them. Shape (n, 2)."""
        place_mm = gathered(of_shape_mm, self._kind)
        return place_mm if np.isnan(of_shape_mm).all() else place_mm + _origins_mm(self._openings)


def _origins_mm(openings: Openings) -> FloatArray:
    return np.column_stack([openings.x_nm, openings.y_nm]) / NM_PER_MM


def _shapes_of_columns(count: int) -> tuple[tuple[int, ...], ...]:
    return (count,), (count,), (count, 2), (count,)


def _within(openings: Openings, kind: IntArray, holder: IntArray) -> tuple[IntArray, Within]:
    """Openings whose boxes lie in those of holders, rows of the table, and the pairs they make."""
    origin = _origins_mm(openings)
    box = boxes_mm(openings.shapes, openings.shape, openings.x_nm, openings.y_nm)
    middle = np.asarray(shapely.points((box[:, :2] + box[:, 2:]) / 2), np.object_)
    tree = shapely.STRtree(np.asarray(shapely.box(*box[holder].T), np.object_))
    inside, at = tree.query(middle)
    outer = box[holder[at]]
    kept = (box[inside, :2] >= outer[:, :2]).all(axis=1) & (box[inside, 2:] <= outer[:, 2:]).all(axis=1)
    kept &= inside != holder[at]
    inside, at = inside[kept], at[kept]
    return inside, Within(at, kind[inside], origin[inside] - origin[holder[at]])


def _slenderness_error(outline: GeometryArray, found: Tongues) -> FloatArray:
    """
    How far slenderness can be off. Shape (s,).

    Each end of a wall lies within half a facet of where it is on the curve; and what is near enough to face
    goes with the width, so that length and width are off by the same part at most.
    """
    error = np.full(len(outline), np.nan)
    rows = np.flatnonzero(~np.isnan(found.slenderness))
    width_mm, off_mm = found.slenderest.diameter_mm[rows], found.slenderest.error_mm[rows]
    facet_mm = longest_facets_mm(outline[rows])
    error[rows] = (facet_mm + 2 * found.slenderness[rows] * off_mm) / width_mm
    return error
