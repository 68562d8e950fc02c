"""A layer as it would be with some of its openings changed in size, or in another foil."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.alongside import NEAR_GAPS
from pastecheck.geometry.pairs import Apart
from pastecheck.geometry.rectangles import Rectangles, ways_between
from pastecheck.geometry.rows import Rows
from pastecheck.geometry.web_lengths import web_lengths
from pastecheck.measurements import Measurements
from pastecheck.measurements.rows import are_leads
from pastecheck.measurements.slenderness import SlenderWebs
from pastecheck.ragged import distinct_rows
from pastecheck.units import NM_PER_MM

_SAME_MM = 1e-12
_WHOLE = 1 - 1e-9
"""So much of a land is all of it."""


def are_moved(inset_mm: FloatArray, by_more_than_mm: float = 0.0) -> BoolArray:
    """Which openings have a side that is moved, as `Changed.inset_mm`. Shape (n,)."""
    sides_mm = [inset_mm[:, axis, end] for axis in (0, 1) for end in (0, 1)]
    return np.asarray(np.logical_or.reduce([np.abs(side_mm) > by_more_than_mm for side_mm in sides_mm]))


@dataclass(frozen=True, eq=False)
class Changed:
    """
    Openings changed in size, each about its own axes, those of its turned bounding rectangle.

    Circles, obrounds and rectangles with corners of one radius stay what they are: round ends stay round,
    other corners keep their radius as far as there is room. All other outlines are stretched with their
    rectangle. Columns have shape (n,), in order of the openings table. What cannot be known without drawing
    the outline is bounded to the worse side, and says so.
    """

    m: Measurements
    inset_mm: FloatArray
    """
    How far each side of the rectangle is drawn in; negative where it is moved outward. Shape (n, 2, 2).

    By axis and end: `[:, 0]` takes from the length, at its beginning and its end as `direction_rad` runs;
    `[:, 1]` from the width, on the right and on the left of that direction.
    """
    thickness_mm: FloatArray
    """Of the foil. Shape (n,): what would do for one opening need not do for the next."""

    @staticmethod
    def as_drawn(m: Measurements) -> "Changed":
        """Nothing changed."""
        count = len(m.openings)
        unmoved_mm, thickness_mm = np.zeros(()), np.array(m.foil.thickness_mm)
        return Changed(m, np.broadcast_to(unmoved_mm, (count, 2, 2)), np.broadcast_to(thickness_mm, (count,)))

    @cached_property
    def is_changed(self) -> BoolArray:
        """Whether an opening has another size or place."""
        return are_moved(self.inset_mm, _SAME_MM)

    @property
    def width_mm(self) -> FloatArray:
        """Narrow side."""
        return self._with(self.m.width_mm, np.minimum(*self._sides_mm.T))

    @property
    def length_mm(self) -> FloatArray:
        """Long side."""
        return self._with(self.m.length_mm, np.maximum(*self._sides_mm.T))

    @property
    def factor(self) -> FloatArray:
        """New sides over those drawn, along and across. Shape (n, 2)."""
        return self._with(np.ones((len(self.is_changed), 2)), self._factor)

    @property
    def least_factor(self) -> FloatArray:
        """By which outlines are stretched the one way or the other, the smaller."""
        return self._with(np.ones(len(self.is_changed)), np.minimum(*self._factor.T))

    @property
    def most_factor(self) -> FloatArray:
        """The larger."""
        return self._with(np.ones(len(self.is_changed)), np.maximum(*self._factor.T))

    @property
    def grown_mm(self) -> FloatArray:
        """How far a point of the outline has moved outward at most."""
        return self._with(np.zeros(len(self.is_changed)), self._grown_of(self._rows))

    @property
    def area_mm2(self) -> FloatArray:
        """Area less holes."""
        rows, (width_mm, length_mm) = self._rows, np.sort(self._sides_mm).T
        corners_mm2 = (4 - np.pi) * self.radius_of(rows) ** 2
        drawn_mm2 = self.m.area_mm2[rows]
        stretched_mm2 = drawn_mm2 * np.minimum(*self._factor.T) * np.maximum(*self._factor.T)
        plain = self.m.are_rounded_rectangles[rows]
        return self._with(self.m.area_mm2, np.where(plain, width_mm * length_mm - corners_mm2, stretched_mm2))

    @property
    def perimeter_mm(self) -> FloatArray:
        """Length of all walls; of outlines that are stretched the most that it can be."""
        rows, (width_mm, length_mm) = self._rows, np.sort(self._sides_mm).T
        corners_mm = (8 - 2 * np.pi) * self.radius_of(rows)
        stretched_mm = self.m.perimeter_mm[rows] * np.maximum(*self._factor.T)
        plain = self.m.are_rounded_rectangles[rows]
        return self._with(
            self.m.perimeter_mm, np.where(plain, 2 * (width_mm + length_mm) - corners_mm, stretched_mm)
        )

    @property
    def radius_mm(self) -> FloatArray:
        """Of the corners of rectangles and circles."""
        return self.radius_of(np.arange(len(self.is_changed)))

    def sides_of(self, rows: IntArray) -> FloatArray:
        """Side that was the length, and side that was the width, of some openings. Shape (k, 2)."""
        drawn_mm = np.column_stack([self.m.length_mm[rows], self.m.width_mm[rows]])
        inset_mm = self.inset_mm[rows]
        sides_mm: FloatArray = drawn_mm - (inset_mm[:, :, 0] + inset_mm[:, :, 1])
        return sides_mm

    def radius_of(self, rows: IntArray) -> FloatArray:
        """Of the corners of rectangles and circles."""
        drawn_mm = self.m.openings.shapes.radius_mm[self.m.openings.shape[rows]]
        half_mm: FloatArray = np.maximum(np.minimum(*self.sides_of(rows).T), 0.0) / 2
        has_round_ends = drawn_mm >= self.m.width_mm[rows] / 2 * (1 - 1e-6)
        return np.where(has_round_ends, half_mm, np.minimum(drawn_mm, half_mm))

    def core_radius_of(self, rows: IntArray) -> FloatArray:
        """What `cores_of` are within the radius of; 0 for all that is stretched."""
        return np.where(self.m.are_rounded_rectangles[rows], self.radius_of(rows), 0.0)

    def cores_of(self, rows: IntArray) -> Rectangles:
        """What is left of rectangles without that radius, a line or a point too; else the rectangle about."""
        drawn, inset_mm = self.m.rectangles.rows(rows), self.inset_mm[rows]
        shift_mm = (inset_mm[:, :, 0] - inset_mm[:, :, 1]) / 2
        half_mm = np.maximum(self.sides_of(rows) / 2 - self.core_radius_of(rows)[:, None], 0.0)
        return Rectangles(drawn.middle_mm + drawn.told(shift_mm), half_mm, drawn.direction_rad)

    def gap_mm(self, first: IntArray, second: IntArray, now_mm: FloatArray) -> FloatArray:
        """
        Distance of openings; at least so much, where one of them is stretched. Shape (k,).

        Args:
            first: Rows of openings. Shape (k,).
            second: Rows of others.
            now_mm: Their distance as drawn.
        """
        gap_mm = now_mm.copy()
        rows = np.flatnonzero(self.is_changed[first] | self.is_changed[second])
        one, other = first[rows], second[rows]
        ways_mm = ways_between(self.cores_of(one), self.cores_of(other))
        radii_mm = self.core_radius_of(one) + self.core_radius_of(other)
        of_rectangles_mm = np.maximum(np.hypot(*ways_mm.T) - radii_mm, 0.0)
        moved_mm = self._moved_of(one) + self._moved_of(other)
        plain = self.m.are_rounded_rectangles
        gap_mm[rows] = np.where(
            plain[one] & plain[other],
            of_rectangles_mm,
            np.maximum(of_rectangles_mm, now_mm[rows] - moved_mm),
        )
        return gap_mm

    def drawn_back_mm(self, rows: IntArray, place_mm: FloatArray) -> FloatArray:
        """
        How much farther openings stay off places outside of them; negative where they come nearer.

        Args:
            rows: Rows of openings. Shape (k,).
            place_mm: A place for each. Shape (k, 2).
        """
        way_mm = self.m.rectangles.rows(rows).outside(place_mm)
        length_mm = np.hypot(*way_mm.T)
        with np.errstate(invalid="ignore"):
            share = np.nan_to_num(np.abs(way_mm) / length_mm[:, None])
        end = (way_mm > 0).astype(np.int64)
        inset_mm = np.stack([self.inset_mm[rows, axis, end[:, axis]] for axis in (0, 1)], axis=1)
        back_mm = (np.maximum(inset_mm, 0.0) * share).max(axis=1)
        grown_mm = self._grown_of(rows)
        return np.where(grown_mm > _SAME_MM, -grown_mm, back_mm)

    def web_length_mm(self, webs: SlenderWebs, gap_mm: FloatArray) -> FloatArray:
        """
        How far openings run alongside each other; at most, where one of them is stretched. Shape (k,).

        Args:
            webs: As drawn; k of them.
            gap_mm: Their new width. Shape (k,).
        """
        changed = self.is_changed[webs.first] | self.is_changed[webs.second]
        plain = self.m.are_rounded_rectangles
        with np.errstate(divide="ignore", invalid="ignore"):
            wider = np.fmax(gap_mm / webs.gap_mm, 1.0)
        most_factor = self.most_factor
        longer = np.maximum(most_factor[webs.first], most_factor[webs.second])
        most = webs.length_mm * wider * np.maximum(longer, 1.0)
        length_mm = np.where(changed, most, webs.length_mm)
        rows = np.flatnonzero(changed & (gap_mm > 0))
        if len(rows):
            first, second = webs.first[rows], webs.second[rows]
            of_rectangles_mm = self._alongside_mm(first, second, gap_mm[rows])
            longest_mm = np.fmax(of_rectangles_mm, length_mm[rows])
            length_mm[rows] = np.where(plain[first] & plain[second], of_rectangles_mm, longest_mm)
        return length_mm

    def _alongside_mm(self, first: IntArray, second: IntArray, gap_mm: FloatArray) -> FloatArray:
        """As `web_length_mm`, between rectangles; once for each distinct pair."""
        openings = self.m.openings
        way_nm = openings.x_nm[second] - openings.x_nm[first], openings.y_nm[second] - openings.y_nm[first]
        insets_nm = [self.inset_nm_of(rows) for rows in (first, second)]
        pairs = openings.shape[first], openings.shape[second], *way_nm
        kinds = distinct_rows(np.column_stack([*pairs, *insets_nm]))
        rows = kinds.first
        both = np.concatenate([first[rows], second[rows]])
        core, count = self.cores_of(both), len(rows)
        origin_mm = np.tile(core.middle_mm[:count], (2, 1))
        core = core._replace(middle_mm=core.middle_mm - origin_mm)
        apart = Apart(np.arange(count), count + np.arange(count), np.zeros(count), np.zeros(count))
        near_mm = NEAR_GAPS * gap_mm[rows]
        length_mm: FloatArray = web_lengths(core.drawn(), self.core_radius_of(both), apart, near_mm)
        return length_mm[kinds.inverse]

    @cached_property
    def rows(self) -> Rows:
        """The rows as drawn, filled by what their openings are now."""
        drawn = self.m.rows
        return replace(
            drawn,
            extent_mm=self._side_mm(drawn.extent_mm),
            beside_extent_mm=self._side_mm(drawn.beside_extent_mm),
        )

    @cached_property
    def are_leads(self) -> BoolArray:
        """As `Measurements.are_leads`."""
        return are_leads(self.rows, self.m.openings.label, self.m.land)

    def _side_mm(self, drawn_mm: FloatArray) -> FloatArray:
        """What has become of the side that was as long. Shape (n,)."""
        rows, sides_mm = self._rows, self._sides_mm
        was_mm = drawn_mm[rows]
        off_mm = np.abs(np.column_stack([self.m.length_mm[rows], self.m.width_mm[rows]]) - was_mm[:, None])
        side_mm = np.where(off_mm[:, 0] < off_mm[:, 1], sides_mm[:, 0], sides_mm[:, 1])
        return self._with(drawn_mm, np.where(np.isnan(was_mm), was_mm, side_mm))

    def coverage(self, opening: IntArray, value: FloatArray) -> FloatArray:
        """
        How much of lands would be covered, as `OnLands.coverage` has it, but for lands with a new opening.

        What an opening loses is taken from its lands by the shares that lie on them; what it gains counts on
        a land that is covered whole, or that is as large as the opening then is.

        Args:
            opening: Of the openings on each land the one that covers most of it. Shape (k,).
            value: The coverage as drawn. Shape (k,).
        """
        on_lands = self.m.on_lands
        land, overlaps = on_lands.lands_of(opening, value), on_lands.overlaps
        gained_mm2 = self.area_mm2 - self.m.area_mm2
        pad = on_lands.lands.pad[overlaps.land]
        sides_mm = np.column_stack([on_lands.pad_sides.length_mm, on_lands.pad_sides.width_mm])[pad]
        own_mm = np.column_stack([self.length_mm, self.width_mm])[overlaps.opening]
        fits = (own_mm <= sides_mm + _SAME_MM).all(axis=1)
        on_any_mm2 = np.bincount(overlaps.opening, weights=overlaps.area_mm2, minlength=len(gained_mm2))
        gained_mm2 = gained_mm2[overlaps.opening] * overlaps.area_mm2 / on_any_mm2[overlaps.opening]
        count = len(on_lands.lands)
        sure_mm2, perhaps_mm2 = (
            np.bincount(overlaps.land, weights=np.where(kept, gained_mm2, 0.0), minlength=count)[land]
            for kept in (fits | (gained_mm2 < 0), ~fits & (gained_mm2 >= 0))
        )
        land_mm2 = on_lands.lands.shapes.area_mm2[on_lands.lands.shape[land]]
        return value + (sure_mm2 + np.where(value >= _WHOLE, perhaps_mm2, 0.0)) / land_mm2

    def grown_about_mm2(self, window_mm: float) -> FloatArray:
        """
        Area that all openings in a window about each one grow by, and perhaps some more. Shape (n,).

        Counted in squares of half a window, by middles: those about an opening's own hold its window.
        """
        square = np.floor(self.m.centroid_mm / (window_mm / 2)).astype(np.int64)
        square -= square.min(axis=0)
        stride = int(square[:, 1].max()) + 3
        number = square[:, 0] * stride + square[:, 1]
        known, of_opening = np.unique(number, return_inverse=True)
        grown_mm2 = np.bincount(of_opening, weights=np.maximum(self.area_mm2 - self.m.area_mm2, 0.0))
        about_mm2 = np.zeros(len(known))
        for step in (dx * stride + dy for dx in (-1, 0, 1) for dy in (-1, 0, 1)):
            at = np.minimum(np.searchsorted(known, known + step), len(known) - 1)
            about_mm2 += np.where(known[at] == known + step, grown_mm2[at], 0.0)
        return about_mm2[of_opening]

    def inset_nm_of(self, rows: IntArray) -> IntArray:
        """How far sides are drawn in, in whole nanometres. Shape (k, 4)."""
        return np.rint(self.inset_mm[rows].reshape(-1, 4) * NM_PER_MM).astype(np.int64)

    @cached_property
    def _rows(self) -> IntArray:
        """Openings that have changed. Shape (k,)."""
        return np.flatnonzero(self.is_changed)

    @cached_property
    def _sides_mm(self) -> FloatArray:
        """Of those. Shape (k, 2)."""
        return self.sides_of(self._rows)

    @cached_property
    def _factor(self) -> FloatArray:
        """Of those. Shape (k, 2)."""
        drawn_mm = np.column_stack([self.m.length_mm[self._rows], self.m.width_mm[self._rows]])
        factor: FloatArray = self._sides_mm / drawn_mm
        return factor

    def _with(self, drawn: FloatArray, new: FloatArray) -> FloatArray:
        """A column of all openings, with what is new of those that have changed: put together when asked."""
        column = drawn.copy()
        column[self._rows] = new
        return column

    def _grown_of(self, rows: IntArray) -> FloatArray:
        inset_mm = self.inset_mm[rows]
        outward_mm = np.maximum(-np.minimum(inset_mm[:, :, 0], inset_mm[:, :, 1]), 0.0)
        grown_mm: FloatArray = np.hypot(outward_mm[:, 0], outward_mm[:, 1])
        return grown_mm

    def _moved_of(self, rows: IntArray) -> FloatArray:
        """How much nearer to something a point of the outline can have come."""
        stretched_mm = np.hypot(*np.abs(self.inset_mm[rows]).max(axis=2).T)
        return np.where(self.m.are_rounded_rectangles[rows], self._grown_of(rows), stretched_mm)
