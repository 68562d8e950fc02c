"""A changed layer as a layer of its own, to be measured as if it had been drawn so."""

from dataclasses import replace
from functools import cached_property
from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import IntArray
from pastecheck.geometry.nearby import near_some
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.geometry.rows import Rows
from pastecheck.geometry.width import Sides, turned_rectangles
from pastecheck.measurements import Measurements, Webs
from pastecheck.measurements.changed import Changed
from pastecheck.measurements.couples import Parts
from pastecheck.measurements.rows import are_round
from pastecheck.measurements.rows_again import like_changed, with_rows_again
from pastecheck.openings import GeometryArray, Openings, Shapes, boxes_nm
from pastecheck.ragged import distinct_rows
from pastecheck.units import NM_PER_MM

_SAME_MM: Final = 1e-9
"""Places that differ by less are the same: float rounding only."""


def remade(changed: Changed) -> Measurements:
    """
    The layer with all its changes made, in the foil that it was to be cut in.

    Openings keep their rows, so that readings of both layers can be compared. Of rectangles, circles and
    obrounds the new outlines are exact; others are stretched as they are drawn.
    """
    return Remade(changed) if changed.is_changed.any() else changed.m


class Remade(Measurements):
    """A layer with changes made. Of what takes long only that is measured again which they can have moved."""

    def __init__(self, changed: Changed) -> None:
        """As it would be with the changes made."""
        m = changed.m
        super().__init__(_cut_anew(changed), m.foil, m.limits, sheet=m.sheet, board=m.board)
        self._drawn = m
        self._rows = np.flatnonzero(changed.is_changed)

    @cached_property
    def _sides(self) -> Sides:
        """Of each outline by itself."""
        shapes, drawn = self.openings.shapes, self._drawn._sides  # noqa: SLF001 - of our own kind
        new = slice(len(drawn.width_mm), None)
        found = turned_rectangles(shapes.core[new], shapes.radius_mm[new], shapes.tolerance_mm[new])
        return Sides(*(np.concatenate(each) for each in zip(drawn, found, strict=True)))

    @cached_property
    def rows(self) -> Rows:
        """As of any layer, in another order; only what is like a changed opening can be in new ones."""
        openings, shapes = self.openings, self.openings.shapes
        are_changed = np.zeros(len(shapes), bool)
        for shape in (openings.shape, self._drawn.openings.shape):
            are_changed[shape[self._rows]] = True
        like = like_changed(self._sides, are_round(shapes, self._sides), are_changed)
        some = np.flatnonzero(like[openings.shape])
        return with_rows_again(self._drawn.rows, some, self.some(some).rows)

    def webs_within(self, reach_mm: float) -> Webs:
        """
        As of any layer.

        A web goes by its two openings, and by a third that lies within reach of both. So where not both lie
        within reach of one that has changed, it is what it was; where both do, all that could lie between
        them lies within reach of those.
        """
        reach_nm = int(np.ceil(reach_mm * NM_PER_MM))
        drawn_nm = self._drawn.bounds_nm
        near = near_some(drawn_nm, np.concatenate([drawn_nm[self._rows], self._boxes_nm]), reach_nm)
        near[self._rows] = True
        around = near_some(drawn_nm, np.concatenate([drawn_nm[near], self._boxes_nm]), reach_nm)
        around[near] = True
        some = np.flatnonzero(around)
        again = self.some(some).webs_within(reach_mm)
        again = again._replace(first=some[again.first], second=some[again.second])
        drawn = self._drawn.webs_within(reach_mm)
        again = again.rows(near[again.first] & near[again.second])
        drawn = drawn.rows(~(near[drawn.first] & near[drawn.second]))
        webs = [np.concatenate(each) for each in zip(drawn, again, strict=True)]
        order = np.lexsort((webs[1], webs[0]))
        return Webs(*(column[order] for column in webs))

    @cached_property
    def parts_of_two_lands(self) -> Parts:
        """
        As of any layer.

        Where no lands are known, two openings are of one part by their label and by the places of all that
        bear it; where they bear none, by all openings without one. All other parts are what they were, but
        for their areas.
        """
        if self.board.lands is not None:
            return super().parts_of_two_lands
        drawn, label = self._drawn.parts_of_two_lands, self.openings.label
        shapes, rows = self.openings.shapes, self._rows
        now, before = (m.openings.shape[rows] for m in (self, self._drawn))
        moved = (np.abs(shapes.centroid_mm[now] - shapes.centroid_mm[before]) > _SAME_MM).any(axis=1)
        again = np.zeros(len(self.openings.labels), bool)
        again[label[rows[moved]]] = True
        again[0] = bool((label[rows] == 0).any())
        some = np.flatnonzero(again[label])
        found = self.some(some).parts_of_two_lands
        kept = np.flatnonzero(~again[label[drawn.first]])
        first = np.concatenate([drawn.first[kept], some[found.first]])
        order = np.argsort(first)
        second = np.concatenate([drawn.second[kept], some[found.second]])[order]
        place_mm = np.concatenate([drawn.place_mm[kept], found.place_mm])[order]
        first = first[order]
        shape = self.openings.shape[np.column_stack([first, second])]
        error_mm2 = shapes.tolerance_mm * shapes.perimeter_mm
        return Parts(first, second, shapes.area_mm2[shape], error_mm2[shape], place_mm)

    @property
    def bounds_nm(self) -> IntArray:
        """As of any layer; not kept, as it is seldom asked for."""
        bounds_nm = self._drawn.bounds_nm.copy()
        bounds_nm[self._rows] = self._boxes_nm
        return bounds_nm

    @property
    def _boxes_nm(self) -> IntArray:
        """About what has changed. Shape (k, 4)."""
        openings, rows = self.openings, self._rows
        return boxes_nm(openings.shapes, openings.shape[rows], openings.x_nm[rows], openings.y_nm[rows])

    def some(self, rows: IntArray) -> Measurements:
        """As of any layer; what was measured of outlines holds for them."""
        fewer = super().some(rows)
        fewer.__dict__["_sides"] = self._sides
        return fewer


def _cut_anew(changed: Changed) -> Openings:
    """Each distinct change of each distinct outline once."""
    openings = changed.m.openings
    rows = np.flatnonzero(changed.is_changed)
    kinds = distinct_rows(np.column_stack([openings.shape[rows], changed.inset_nm_of(rows)]))
    shape = openings.shape.copy()
    shape[rows] = len(openings.shapes) + kinds.inverse
    return replace(openings, shapes=_with(openings.shapes, changed, rows[kinds.first]), shape=shape)


def _with(shapes: Shapes, changed: Changed, rows: IntArray) -> Shapes:
    """All outlines, and those of some changed openings."""
    m = changed.m
    drawn, plain = m.openings.shape[rows], m.are_rounded_rectangles[rows]
    core, radius_mm = _stretched(shapes.outline[drawn], changed, rows), np.zeros(len(rows))
    origin_mm = np.column_stack([m.openings.x_nm, m.openings.y_nm])[rows] / NM_PER_MM
    cores = changed.cores_of(rows)
    cores = cores._replace(middle_mm=cores.middle_mm - origin_mm)
    core[plain] = cores.rows(np.flatnonzero(plain)).drawn()
    radius_mm[plain] = changed.radius_of(rows[plain])
    tolerance_mm = shapes.tolerance_mm[drawn] * np.maximum(changed.most_factor[rows], 1.0)
    return shapes.and_more(Shapes.grown(core, radius_mm, tolerance_mm))


def _stretched(outline: GeometryArray, changed: Changed, rows: IntArray) -> GeometryArray:
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
