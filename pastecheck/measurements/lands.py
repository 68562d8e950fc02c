"""Openings over lands: what lies on what, how much of a land is covered, how far openings reach beyond."""

from functools import cached_property
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.overlaps import Beyond
from pastecheck.geometry.width import Sides, turned_rectangles
from pastecheck.lands import Board
from pastecheck.measurements.bare_lands import Bare, bare_lands
from pastecheck.measurements.over_lands import Near, OverLands, Overlaps
from pastecheck.measurements.shifts import SAME_SHIFT_MM, SHARE_SHIFTED, Sized, far_shift_mm
from pastecheck.measurements.thermal import are_thermal
from pastecheck.openings import Openings
from pastecheck.ragged import distinct_rows
from pastecheck.units import NM_PER_MM

LEAST_SHIFTED: Final = 3
"""Fewer openings on lands of their own tell no common shift."""
LEAST_OF_AREA: Final = 0.2
"""Areas of which openings cover less are no lands of theirs: `common practice, no source`."""

_ROUNDING: Final = 1e-9
_AS_MUCH_COVERED: Final = 1e-8
"""Lands are told from one another by how much is covered; what is reckoned from that is rounded."""
_BOX_MM: Final = 2e-6
"""Boxes about openings are whole nanometres, at most one too large."""


class Coverage(NamedTuple):
    """How much of lands is covered, of those that an opening is meant for. Shape (k,) each."""

    land: IntArray
    opening: IntArray
    """The opening that covers most of it."""
    value: FloatArray
    error: FloatArray


class Shift(NamedTuple):
    """How openings lie off the middle of their lands, all in the same way."""

    x_mm: float
    y_mm: float

    @property
    def whole_nm(self) -> tuple[int, int]:
        """The way, in whole nanometres."""
        return round(self.x_mm * NM_PER_MM), round(self.y_mm * NM_PER_MM)

    @property
    def length_mm(self) -> float:
        """How far."""
        return float(np.hypot(self.x_mm, self.y_mm))


class OnLands:
    """What is asked about openings and lands, once each."""

    def __init__(self, openings: Openings, board: Board, bounds_nm: IntArray, most_pairs: int) -> None:
        """
        Look among openings with boxes of shape (n, 4), at no more pairs than said.

        Raises:
            ValueError: If the lands of the board are not known.
        """
        self._over = OverLands(openings, board, bounds_nm, most_pairs)
        self.openings = openings
        self.lands = self._over.lands
        self.is_unsure = self._over.is_unsure
        self.bounds_nm = bounds_nm

    @cached_property
    def overlaps(self) -> Overlaps:
        """What lies on what."""
        return self._over.overlaps()

    @cached_property
    def land(self) -> IntArray:
        """The land that each opening covers most of; -1 where it lies on none, or is unsure. Shape (n,)."""
        overlaps = self.overlaps
        order = np.lexsort((overlaps.land, -np.round(overlaps.area_mm2, 9), overlaps.opening))
        first = order[np.flatnonzero(np.diff(overlaps.opening[order], prepend=-1))]
        land = np.full(len(self.openings), -1, np.int64)
        land[overlaps.opening[first]] = overlaps.land[first]
        land[self.is_unsure] = -1
        return land

    @cached_property
    def share_off(self) -> FloatArray:
        """Share of each opening that lies on no land; NaN where that is unsure. Shape (n,)."""
        return np.where(self.is_unsure, np.nan, 1.0 - self._on_any_mm2 / self._area_mm2)

    @cached_property
    def share_off_error(self) -> FloatArray:
        """Bound of the error of `share_off`. Shape (n,)."""
        error_mm2 = np.zeros(len(self.openings))
        np.add.at(error_mm2, self.overlaps.opening, self.overlaps.error_mm2)
        return error_mm2 / self._area_mm2

    @cached_property
    def coverage(self) -> Coverage:
        """
        Area of openings on a land over the land's area; and what is left of them beyond a whole land.

        Paste beside a land runs onto it when it melts. So where the openings of a land, each with its share
        on this land, are larger than the land, their excess counts too; else only what lies on it.

        Of areas that the mask leaves free, those are left out that openings cover little of: the openings are
        for joints on them, not for all of them.
        """
        overlaps, count = self.overlaps, len(self.lands)
        own = np.bincount(overlaps.land[overlaps.is_own], minlength=count) > 0
        land = np.flatnonzero(own & ~self.lands.is_drilled)
        shape = self.lands.shape[land]
        land_mm2 = self.lands.shapes.area_mm2[shape]
        on_mm2, error_mm2 = (
            np.bincount(overlaps.land, weights=of, minlength=count)[land]
            for of in (overlaps.area_mm2, overlaps.error_mm2)
        )
        share = overlaps.area_mm2 / self._on_any_mm2[overlaps.opening]
        whole_mm2 = share * self._area_mm2[overlaps.opening]
        all_mm2 = np.bincount(overlaps.land, weights=whole_mm2, minlength=count)[land]
        value = on_mm2 / land_mm2 + np.maximum(all_mm2 / land_mm2 - 1.0, 0.0)
        off_mm2 = (self.lands.shapes.tolerance_mm * self.lands.shapes.perimeter_mm)[shape]
        error = 2 * (error_mm2 + value * off_mm2) / land_mm2
        kept = ~self.lands.is_area[land] | (value >= LEAST_OF_AREA)
        return Coverage(land[kept], self._most_covering[land[kept]], value[kept], error[kept])

    def lands_of(self, opening: IntArray, value: FloatArray) -> IntArray:
        """The lands whose coverage has a value, told with an opening. Shape (k,)."""
        known, asked = (
            np.column_stack([one, np.rint(of / _AS_MUCH_COVERED).astype(np.int64)])
            for one, of in ((self.coverage.opening, self.coverage.value), (opening, value))
        )
        kind = distinct_rows(np.concatenate([known, asked])).inverse
        land = np.zeros(int(kind.max(initial=-1)) + 1, np.int64)
        land[kind[: len(known)]] = self.coverage.land
        return land[kind[len(known) :]]

    @cached_property
    def is_thermal(self) -> BoolArray:
        """Whether lands carry heat away from below a part. Shape (k,)."""
        overlaps = self.overlaps
        openings = np.bincount(overlaps.land[overlaps.is_own], minlength=len(self.lands))
        return are_thermal(self.lands, self.pad_sides, self.covered, openings)

    @cached_property
    def pad_sides(self) -> Sides:
        """Sides of the distinct outlines of lands and pads. Shape (s,)."""
        shapes = self.lands.shapes
        return turned_rectangles(shapes.core, shapes.radius_mm, shapes.tolerance_mm)

    @cached_property
    def overhang(self) -> Beyond:
        """
        How far each opening reaches beyond the lands that it is meant for. Shape (n,).

        NaN where it lies on none, or over a drilled one.
        """
        return self._over.overhangs(self.overlaps)

    def nearest_others(self, reach_mm: float) -> Near:
        """
        The nearest land that each opening is not meant for, where one lies within a reach.

        Lands that are joined with its own count as its own: paste between them does no harm.

        Args:
            reach_mm: Not negative, finite.
        """
        return self._over.nearest_others(self.overlaps, reach_mm)

    @cached_property
    def shift(self) -> Shift | None:
        """
        The common shift of openings against their lands; None where there is none.

        The median of the ways from the middle of a pad to the middle of its only opening, if most lie close.
        Where there is none, or many openings lie on no land, the way to a like pad that most openings share:
        what lies on lands may lie on those of others.
        """
        near = self._near_shift
        known = ~self.is_unsure
        are_on = np.count_nonzero(self.land[known] >= 0) >= SHARE_SHIFTED * np.count_nonzero(known)
        return near if near and are_on else self._far_shift or near

    @property
    def _near_shift(self) -> Shift | None:
        overlaps = self.overlaps
        opening, land = overlaps.opening[overlaps.is_own], overlaps.land[overlaps.is_own]
        alone = (np.bincount(opening, minlength=len(self.openings))[opening] == 1) & (
            np.bincount(overlaps.land, minlength=len(self.lands))[land] == 1
        )
        opening = opening[alone]
        if len(opening) < LEAST_SHIFTED:
            return None
        way_mm = self.off_centre_mm[opening]
        median_mm = np.median(way_mm, axis=0)
        off_mm = np.hypot(*(way_mm - median_mm).T)
        if np.count_nonzero(off_mm <= SAME_SHIFT_MM + _ROUNDING) < SHARE_SHIFTED * len(off_mm):
            return None
        return Shift(*median_mm.tolist())

    @property
    def _far_shift(self) -> Shift | None:
        shapes, lands = self.openings.shapes, self.lands
        sides = turned_rectangles(shapes.core, shapes.radius_mm, shapes.tolerance_mm)
        drawn_mm, pads_mm = (
            np.column_stack([one.width_mm, one.length_mm]) for one in (sides, self.pad_sides)
        )
        pads = Sized(self._pad_middle_mm, pads_mm[lands.pad])
        way_mm = far_shift_mm(Sized(self._middle_mm, drawn_mm[self.openings.shape]), pads)
        return None if way_mm is None else Shift(*way_mm.tolist())

    @cached_property
    def off_centre_mm(self) -> FloatArray:
        """
        The way from the middle of the pad that an opening covers most of to the opening's own. Shape (n, 2).

        Middles are those of boxes. Without meaning where an opening lies on no land.
        """
        way_mm: FloatArray = self._middle_mm - self._pad_middle_mm[self.land]
        return way_mm

    @property
    def _middle_mm(self) -> FloatArray:
        """Of the box about each opening. Shape (n, 2)."""
        middle_mm: FloatArray = (self.bounds_nm[:, :2] + self.bounds_nm[:, 2:]) / 2 / NM_PER_MM
        return middle_mm

    @property
    def _pad_middle_mm(self) -> FloatArray:
        """Of the box about the pad of each land. Shape (k, 2)."""
        box_mm = self.lands.shapes.bounds_mm[self.lands.pad]
        origin_nm = np.column_stack([self.lands.pad_x_nm, self.lands.pad_y_nm])
        middle_mm: FloatArray = origin_nm / NM_PER_MM + (box_mm[:, :2] + box_mm[:, 2:]) / 2
        return middle_mm

    @cached_property
    def middle_error_mm(self) -> float:
        """How far off the middles of boxes can be."""
        tolerance_mm = [
            shapes.tolerance_mm.max(initial=0.0) for shapes in (self.openings.shapes, self.lands.shapes)
        ]
        return float(sum(tolerance_mm)) + _BOX_MM

    @cached_property
    def covered(self) -> BoolArray:
        """Whether some opening is meant for each land. Shape (k,)."""
        own = self.overlaps.is_own
        return np.bincount(self.overlaps.land[own], minlength=len(self.lands)) > 0

    @cached_property
    def bare(self) -> Bare:
        """Lands without an opening that are in a row, or one of two of a part."""
        unsure = np.zeros(len(self.lands), bool)
        unsure[self.overlaps.land[self.is_unsure[self.overlaps.opening]]] = True
        return bare_lands(self.lands, self.pad_sides, self.covered, unsure)

    @cached_property
    def places_mm(self) -> FloatArray:
        """Centroids of lands. Shape (k, 2)."""
        origin = np.column_stack([self.lands.x_nm, self.lands.y_nm]) / NM_PER_MM
        return origin + self.lands.shapes.centroid_mm[self.lands.shape]

    @cached_property
    def _most_covering(self) -> IntArray:
        """The opening that covers most of each land; -1 where there is none. Shape (k,)."""
        overlaps = self.overlaps
        order = np.lexsort((overlaps.opening, -np.round(overlaps.area_mm2, 9), overlaps.land))
        first = order[np.flatnonzero(np.diff(overlaps.land[order], prepend=-1))]
        most = np.full(len(self.lands), -1, np.int64)
        most[overlaps.land[first]] = overlaps.opening[first]
        return most

    @cached_property
    def _area_mm2(self) -> FloatArray:
        return self.openings.shapes.area_mm2[self.openings.shape]

    @cached_property
    def _on_any_mm2(self) -> FloatArray:
        """Area of each opening on all lands. Shape (n,)."""
        on_mm2 = np.zeros(len(self.openings))
        np.add.at(on_mm2, self.overlaps.opening, self.overlaps.area_mm2)
        return on_mm2
