"""Openings and the lands below them, pair by pair: what they share, how far apart they lie."""

from functools import cached_property
from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.across import boxes_across, placed_about
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.boxes import Rows, TooManyPairsError
from pastecheck.geometry.mending import GRID_MM
from pastecheck.geometry.overlaps import Beyond, beyond, common, joined_runs
from pastecheck.geometry.pairs import Apart, gaps_apart, places_apart
from pastecheck.lands import Board
from pastecheck.openings import Openings, boxes_nm
from pastecheck.ragged import Distinct, among, distinct_rows, distinct_runs, offsets, rows_of_runs
from pastecheck.units import NM_PER_MM

AS_MUCH: Final = 0.5
"""
An opening is meant for the land that it covers most of, for those that it covers half as much of, and for
those that it covers half of; what else it touches, it touches by mistake (`common practice, no source`).
"""


class Overlaps(NamedTuple):
    """Openings and lands that share an area; sorted by opening, then land. Shape (k,) each."""

    opening: IntArray
    land: IntArray
    area_mm2: FloatArray
    error_mm2: FloatArray
    inside: BoolArray
    """Whether the opening lies in the land."""
    is_own: BoolArray
    """Whether the opening is meant for the land."""


class Near(NamedTuple):
    """Openings, and the nearest land that they are not meant for. Shape (k,) each."""

    opening: IntArray
    land: IntArray
    gap_mm: FloatArray
    error_mm: FloatArray
    place_mm: FloatArray
    """Between the two. Shape (k, 2)."""


class OverLands:
    """Finds pairs of openings and lands; what is expensive is done once for each distinct pair."""

    def __init__(self, openings: Openings, board: Board, bounds_nm: IntArray, most_pairs: int) -> None:
        """
        Look among openings with boxes of shape (n, 4), at no more pairs than said.

        Raises:
            ValueError: If the lands of the board are not known.
        """
        if board.lands is None:
            raise ValueError("the lands of the board are not known")
        self.openings = openings
        self.lands = board.lands
        self._without_mask = board.is_unsure is not None
        self.is_unsure = np.zeros(len(openings), bool) if board.is_unsure is None else board.is_unsure
        """Whether openings lie on copper that is not known for land or none. Shape (n,)."""
        self.bounds_nm = bounds_nm
        self._most_pairs = most_pairs

    def overlaps(self) -> Overlaps:
        """What lies on what."""
        first, second = self._near(0.0)
        kinds, apart = self._distinct(first, second)
        on, under = self.openings.shapes, self.lands.shapes
        shared = common(np.concatenate([on.outline, under.outline]), apart)
        one, other = apart.one, apart.other - len(on)
        area_mm2 = np.where(shared.one_inside, on.area_mm2[one], shared.area_mm2)
        area_mm2 = np.where(shared.other_inside, under.area_mm2[other], area_mm2)
        # where two outlines are cut, corners may be rounded to whole nanometres
        flat_mm = np.maximum(np.maximum(on.flatness_mm[one], under.flatness_mm[other]), GRID_MM)
        flat_mm = np.where(shared.one_inside, on.tolerance_mm[one], flat_mm)
        flat_mm = np.where(shared.other_inside, under.tolerance_mm[other], flat_mm)
        kept = np.flatnonzero(area_mm2[kinds.inverse] > 0)
        opening, land, kind = first[kept], second[kept], kinds.inverse[kept]
        is_own = self._is_own(opening, land, area_mm2[kind])
        is_own &= ~self.is_unsure[opening]
        error_mm2 = flat_mm * shared.edge_mm
        return Overlaps(opening, land, area_mm2[kind], error_mm2[kind], shared.one_inside[kind], is_own)

    def _is_own(self, opening: IntArray, land: IntArray, area_mm2: FloatArray) -> BoolArray:
        """Whether openings are meant for the lands that they overlap."""
        most_mm2 = np.zeros(len(self.openings))
        np.maximum.at(most_mm2, opening, area_mm2)
        land_mm2 = self.lands.shapes.area_mm2[self.lands.shape[land]]
        own: BoolArray = area_mm2 >= AS_MUCH * np.minimum(most_mm2[opening], land_mm2)
        return own

    def overhangs(self, overlaps: Overlaps) -> Beyond:
        """As `OnLands.overhang`."""
        count = len(self.openings)
        reach_mm = np.full(count, np.nan)
        found = Beyond(reach_mm, np.zeros(count), self._centres_mm())
        reach_mm[overlaps.opening[overlaps.inside]] = 0.0
        drilled = np.zeros(count, bool)
        drilled[overlaps.opening[self.lands.is_drilled[overlaps.land]]] = True
        rows = np.flatnonzero(overlaps.is_own & (np.isnan(reach_mm) & ~drilled)[overlaps.opening])
        opening, begin = np.unique(overlaps.opening[rows], return_index=True)
        if len(opening):
            offset = np.append(begin, len(rows))
            for column, values in zip(found, self._beyond(opening, overlaps.land[rows], offset), strict=True):
                column[opening] = values
        reach_mm[drilled] = np.nan
        return found

    def _beyond(self, opening: IntArray, land: IntArray, offset: IntArray) -> Beyond:
        """How far openings reach beyond their lands, runs of `land`; once for each distinct arrangement."""
        count = np.diff(offset)
        owner = np.repeat(opening, count)
        dx, dy = self._way_nm(owner, land)
        order = np.lexsort((dy, dx, self.lands.shape[land], np.repeat(np.arange(len(count)), count)))
        pattern = np.column_stack([self.openings.shape[owner], self.lands.shape[land], dx, dy])[order]
        kinds = distinct_runs(pattern, offset)
        size = count[kinds.first]
        at = order[rows_of_runs(offset[:-1][kinds.first], size)]
        outline = self.openings.shapes.outline[self.openings.shape[opening[kinds.first]]]
        around_mm = np.repeat(shapely.bounds(outline).reshape(-1, 4), size, axis=0)
        room_mm = np.hypot(*(around_mm[:, 2:] - around_mm[:, :2]).T)
        window_mm = around_mm + room_mm[:, None] * np.array([-1, -1, 1, 1])
        way_mm = np.column_stack([dx[at], dy[at]]) / NM_PER_MM
        lands = placed_about(self.lands.shapes.outline, self.lands.shape[land[at]], way_mm, window_mm)
        found = beyond(outline, joined_runs(lands, offsets(size)))
        flat_mm = self.lands.shapes.flatness_mm[self.lands.shape[land]]
        off_mm = (
            np.maximum.reduceat(flat_mm, offset[:-1])
            + self.openings.shapes.flatness_mm[self.openings.shape[opening]]
        )
        origin_mm = np.column_stack([self.openings.x_nm, self.openings.y_nm])[opening] / NM_PER_MM
        place_mm = found.place_mm[kinds.inverse] + origin_mm
        return Beyond(found.reach_mm[kinds.inverse], found.loose_mm[kinds.inverse] + off_mm, place_mm)

    def nearest_others(self, overlaps: Overlaps, reach_mm: float) -> Near:
        """As `OnLands.nearest_others`."""
        on_land = np.zeros(len(self.openings), bool)
        on_land[overlaps.opening[overlaps.is_own]] = True
        first, second = self._near(reach_mm)
        count, joined = len(self.lands), self.lands.joined
        own = (overlaps.opening * count + joined[overlaps.land])[overlaps.is_own]
        kept = on_land[first] & ~among(first * count + joined[second], own)
        if self._without_mask:  # without a mask a bare land may be a via that is covered
            kept &= among(second, overlaps.land[overlaps.is_own])
        first, second = first[kept], second[kept]
        kinds, apart = self._distinct(first, second)
        on, under = self.openings.shapes, self.lands.shapes
        core, radius_mm = (
            np.concatenate([on.core, under.core]),
            np.concatenate([on.radius_mm, under.radius_mm]),
        )
        of_kind_mm = np.maximum(gaps_apart(core, radius_mm, apart, reach_mm), 0.0)
        gap_mm = of_kind_mm[kinds.inverse]
        order = np.lexsort((second, gap_mm, first))
        nearest = order[np.flatnonzero(np.diff(first[order], prepend=-1))]
        nearest = nearest[gap_mm[nearest] <= reach_mm]
        used, kind = np.unique(kinds.inverse[nearest], return_inverse=True)
        place_mm = places_apart(core, radius_mm, apart.rows(used), of_kind_mm[used])[kind]
        opening, land = first[nearest], second[nearest]
        error_mm = on.tolerance_mm[self.openings.shape[opening]] + under.tolerance_mm[self.lands.shape[land]]
        origin_mm = np.column_stack([self.openings.x_nm, self.openings.y_nm])[opening] / NM_PER_MM
        return Near(opening, land, gap_mm[nearest], error_mm, place_mm + origin_mm)

    def _centres_mm(self) -> FloatArray:
        """Centroids of openings. Shape (n, 2)."""
        origin = np.column_stack([self.openings.x_nm, self.openings.y_nm]) / NM_PER_MM
        return origin + self.openings.shapes.centroid_mm[self.openings.shape]

    def _near(self, reach_mm: float) -> Rows:
        """Openings and lands whose boxes lie within reach."""
        reach_nm = int(np.ceil(reach_mm * NM_PER_MM))
        grown = self.bounds_nm + reach_nm * np.array([-1, -1, 1, 1])
        try:
            return boxes_across(grown, self._land_boxes_nm, self._most_pairs)
        except TooManyPairsError as found:
            what = f"up to {found.bound} pairs of openings and lands are near each other"
            raise TooMuchError(f"{what}; at most {self._most_pairs} are", "neighbours", found.bound) from None

    @cached_property
    def _land_boxes_nm(self) -> IntArray:
        lands = self.lands
        return boxes_nm(lands.shapes, lands.shape, lands.x_nm, lands.y_nm)

    def _way_nm(self, opening: IntArray, land: IntArray) -> tuple[IntArray, IntArray]:
        """From origins of openings to those of lands."""
        dx = self.lands.x_nm[land] - self.openings.x_nm[opening]
        return dx, self.lands.y_nm[land] - self.openings.y_nm[opening]

    def _distinct(self, opening: IntArray, land: IntArray) -> tuple[Distinct, Apart]:
        """Distinct pairs; rows of lands' shapes stand behind those of openings."""
        dx, dy = self._way_nm(opening, land)
        one, other = self.openings.shape[opening], len(self.openings.shapes) + self.lands.shape[land]
        kinds = distinct_rows(np.column_stack([one, other, dx, dy]))
        row = kinds.first
        return kinds, Apart(one[row], other[row], dx[row] / NM_PER_MM, dy[row] / NM_PER_MM)
