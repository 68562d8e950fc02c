"""Foil, and what checks ask about a layer's openings: shared columns, each computed once on first asking."""

from copy import copy
from dataclasses import replace
from functools import cached_property

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.density import OpenFraction, open_fraction
from pastecheck.geometry.density import Placed as Outlines
from pastecheck.geometry.overlaps import Beyond
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.geometry.rows import Rows
from pastecheck.geometry.vertices import turning
from pastecheck.geometry.width import Sides, turned_rectangles
from pastecheck.lands import NOTHING_KNOWN, Board
from pastecheck.limits import STANDARD, Limits
from pastecheck.measurements.couples import Parts, Placed, parts_of_two_lands
from pastecheck.measurements.edges import beyond_board
from pastecheck.measurements.foil import Foil, Sheet
from pastecheck.measurements.frames import are_rounded_rectangles, rectangles_of
from pastecheck.measurements.insides import Insides
from pastecheck.measurements.lands import OnLands, Shift
from pastecheck.measurements.rows import FINE_PITCH_MM, are_leads, fraction_error, row_of_part, rows_among
from pastecheck.measurements.slenderness import SLENDER_TO_MM, SlenderFinder, SlenderWebs, Stroke
from pastecheck.measurements.webs import WebFinder, Webs
from pastecheck.openings import Openings
from pastecheck.units import NM_PER_MM

__all__ = ["FINE_PITCH_MM", "SLENDER_TO_MM", "Foil", "Measurements", "Sheet", "Webs"]


class Measurements:
    """
    Columns of a layer; every one has shape (n,), in order of the openings table.

    Measured for each distinct shape or pair, then gathered. `*_error` columns bound the distance from the
    layer as drawn.
    """

    def __init__(
        self,
        openings: Openings,
        foil: Foil,
        limits: Limits = STANDARD,
        *,
        sheet: Sheet | None = None,
        board: Board = NOTHING_KNOWN,
    ) -> None:
        """Measure openings as they are to be cut in a foil, as many pairs of them as limits allow."""
        self.openings = openings
        self.foil = foil
        self.limits = limits
        self.sheet = sheet
        self.board = board

    @cached_property
    def area_mm2(self) -> FloatArray:
        """Area less holes; exact, or within tolerance x perimeter where curves are flattened."""
        return self.openings.shapes.area_mm2[self.openings.shape]

    @cached_property
    def perimeter_mm(self) -> FloatArray:
        """Length of all walls, those of holes too."""
        return self.openings.shapes.perimeter_mm[self.openings.shape]

    @cached_property
    def width_mm(self) -> FloatArray:
        """Short side of the turned bounding rectangle of smallest area (at a tie the smaller short side)."""
        return self._sides.width_mm[self.openings.shape]

    @cached_property
    def length_mm(self) -> FloatArray:
        """Long side of that rectangle."""
        return self._sides.length_mm[self.openings.shape]

    @cached_property
    def direction_rad(self) -> FloatArray:
        """Of that side, in [0, pi); of a square of either, NaN for a circle."""
        return self._sides.direction_rad[self.openings.shape]

    @cached_property
    def width_error_mm(self) -> FloatArray:
        """Bound of the error of `width_mm`; 0 where it is exact."""
        return self._sides.error_mm[self.openings.shape]

    @cached_property
    def rectangles(self) -> Rectangles:
        """That rectangle of each opening, in its place."""
        return rectangles_of(self.openings, self._sides)

    @cached_property
    def are_rounded_rectangles(self) -> BoolArray:
        """Whether openings are rectangles, corners rounded or not; circles and obrounds too."""
        return are_rounded_rectangles(self.openings.shapes, self._sides)[self.openings.shape]

    @cached_property
    def area_ratio(self) -> FloatArray:
        """Area over wall area, the wall being the perimeter times the thickness."""
        return self.area_mm2 / (self.perimeter_mm * self.foil.thickness_mm)

    @cached_property
    def area_ratio_error(self) -> FloatArray:
        """
        Bound of the error of `area_ratio`; 0 where it is exact.

        An outline off by t moves the area by at most P t, and the perimeter by t for each radian it turns and
        by what is lost in cusps.
        """
        return self.area_ratio * self._share_off[self.openings.shape]

    @cached_property
    def _share_off(self) -> FloatArray:
        """How far off area over perimeter can be, as a share of it. Shape (s,)."""
        shapes = self.openings.shapes
        inexact = np.flatnonzero(shapes.tolerance_mm > 0)
        off_mm = np.zeros(len(shapes))
        turned = turning(shapes.outline[inexact])
        off_mm[inexact] = turned.total_rad * shapes.tolerance_mm[inexact] + turned.lost_mm
        area_part = shapes.perimeter_mm * shapes.tolerance_mm / shapes.area_mm2
        off: FloatArray = area_part + off_mm / shapes.perimeter_mm
        return off

    @cached_property
    def centroid_mm(self) -> FloatArray:
        """Centroids. Shape (n, 2)."""
        origin = np.column_stack([self.openings.x_nm, self.openings.y_nm]) / NM_PER_MM
        return origin + self.openings.shapes.centroid_mm[self.openings.shape]

    @cached_property
    def bounds_nm(self) -> IntArray:
        """Boxes about the openings, at most 1 nm too large. Shape (n, 4)."""
        of_shape = self.openings.shapes.bounds_mm * NM_PER_MM
        box = np.concatenate([np.floor(of_shape[:, :2]), np.ceil(of_shape[:, 2:])], axis=1).astype(np.int64)
        x_nm, y_nm = self.openings.x_nm, self.openings.y_nm
        return box[self.openings.shape] + np.column_stack([x_nm, y_nm, x_nm, y_nm])

    @cached_property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Extent of all openings: min x, min y, max x, max y."""
        low, high = self.bounds_nm[:, :2].min(axis=0), self.bounds_nm[:, 2:].max(axis=0)
        return (
            float(low[0] / NM_PER_MM),
            float(low[1] / NM_PER_MM),
            float(high[0] / NM_PER_MM),
            float(high[1] / NM_PER_MM),
        )

    def webs_within(self, reach_mm: float) -> Webs:
        """
        Webs not wider than a reach: pairs of openings, and the shortest distance between the two.

        Openings that touch in a point have a web of 0. Pairs with a third opening on their shortest line are
        no web.

        Args:
            reach_mm: Largest width that is of interest. Not negative, finite.

        Raises:
            ValueError: If reach_mm is negative or not finite.
            TooMuchError: If more pairs lie within reach than are read.
        """
        return self._web_finder.within(reach_mm)

    def slender_webs(self, reach_mm: float) -> SlenderWebs:
        """Webs as of `webs_within`, with their length over their width."""
        return self._slender_finder.within(reach_mm)

    def web_places_mm(self, first: IntArray, second: IntArray) -> FloatArray:
        """Middle of the narrowest place of each web. Shape (k, 2)."""
        return self._web_finder.places_mm(first, second)

    @cached_property
    def rows(self) -> Rows:
        """Rows of three or more like openings: `row`, `order`, `pitch_mm`, `extent_mm` and more of each."""
        return rows_among(self.openings, self.centroid_mm, self._sides)

    @cached_property
    def row_of_part(self) -> IntArray:
        """Number of the row as a reader sees it: one, though leads are missing in it; -1 for none."""
        return row_of_part(self.rows, self.openings, self.centroid_mm, self._sides)

    @cached_property
    def are_leads(self) -> BoolArray:
        """Whether openings are in a row of leads, and no balls, panes or chips side by side."""
        return are_leads(self.rows, self.openings.label, self.land)

    @cached_property
    def fraction_error(self) -> FloatArray:
        """Bound of the error of `rows.fraction`."""
        return fraction_error(self.rows, self.openings, self.width_error_mm)

    @cached_property
    def parts_of_two_lands(self) -> Parts:
        """Which two openings are those of one part, as of a chip."""
        shapes = self.openings.shapes
        error_mm2 = (shapes.tolerance_mm * shapes.perimeter_mm)[self.openings.shape]
        sides = self.width_mm, self.length_mm, self.direction_rad
        placed = Placed(self.centroid_mm, *sides, self.area_mm2, error_mm2, self.openings.label)
        return parts_of_two_lands(placed, self.land)

    def open_fraction(self, window_mm: float, least: int) -> OpenFraction:
        """Share of a square window about each opening that is cut away; NaN with fewer openings in it."""
        if (window_mm, least) in self._open_fractions:
            return self._open_fractions[window_mm, least]
        openings = self.openings
        outlines = Outlines(
            openings.shapes.outline, openings.shape, np.column_stack([openings.x_nm, openings.y_nm])
        )
        middle_nm = (self.bounds_nm[:, :2] + self.bounds_nm[:, 2:]) // 2
        found = open_fraction(middle_nm, self.bounds_nm, self.area_mm2, outlines, window_mm, least)
        self._open_fractions[window_mm, least] = found
        return found

    @cached_property
    def _open_fractions(self) -> dict[tuple[float, int], OpenFraction]:
        """What was measured already, by window and least number."""
        return {}

    @cached_property
    def stroke(self) -> Stroke | None:
        """The way for the squeegee: along the slender webs; None where there is none to mind."""
        return self._slender_finder.stroke()

    @cached_property
    def insides(self) -> Insides:
        """Necks, spans, tongues and islands of film, corners and sides."""
        return Insides(self.openings)

    @cached_property
    def on_lands(self) -> OnLands:
        """
        What lies on what, where the lands of the board are known.

        Raises:
            ValueError: If they are not.
        """
        return OnLands(self.openings, self.board, self.bounds_nm, self.limits.neighbours)

    @cached_property
    def land(self) -> IntArray | None:
        """The land that each opening covers most of, -1 for none. Shape (n,); None if lands are unknown."""
        return None if self.board.lands is None else self.on_lands.land

    @cached_property
    def shift(self) -> Shift | None:
        """How all openings lie off their lands, where they do, as the layers were given."""
        return self.on_lands.shift

    def in_foil(self, foil: Foil, sheet: Sheet | None = None) -> "Measurements":
        """The same openings in another foil, with all that was measured of them and does not depend on it."""
        other = copy(self)
        other.foil, other.sheet = foil, sheet
        for column in ("area_ratio", "area_ratio_error"):
            other.__dict__.pop(column, None)
        return other

    def some(self, rows: IntArray) -> "Measurements":
        """The layer with some of its openings only. Shape (k,), ascending."""
        fewer = self.openings.some(rows)
        return Measurements(fewer, self.foil, self.limits, sheet=self.sheet, board=self.board.some(rows))

    def registered(self) -> "Measurements":
        """The same layer with the lands moved under its openings, where all lie off in the same way."""
        if self.shift is None or self.board.lands is None:
            return self
        moved = copy(self)
        moved.__dict__.pop("on_lands", None)
        moved.__dict__.pop("land", None)
        moved.board = replace(self.board, lands=self.board.lands.moved(*self.shift.whole_nm))
        return moved

    @cached_property
    def beyond_board(self) -> Beyond:
        """
        How far each opening reaches beyond the board, where its outline is known. Shape (n,).

        Raises:
            ValueError: If it is not.
        """
        if self.board.profile is None:
            raise ValueError("the outline of the board is not known")
        return beyond_board(self.openings, self.bounds_nm, self.board.profile)

    @cached_property
    def _slender_finder(self) -> SlenderFinder:
        return SlenderFinder(self.openings, self._web_finder)

    @cached_property
    def _web_finder(self) -> WebFinder:
        return WebFinder(self.openings, self.bounds_nm, self.limits.neighbours)

    @cached_property
    def _sides(self) -> Sides:
        shapes = self.openings.shapes
        return turned_rectangles(shapes.core, shapes.radius_mm, shapes.tolerance_mm)
