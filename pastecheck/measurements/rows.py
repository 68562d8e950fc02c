"""Rows of openings, and which rows are of one part."""

from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.ladders import ladders_of_rows
from pastecheck.geometry.rows import SQUARE, Rows, rows_of
from pastecheck.geometry.width import Sides
from pastecheck.openings import Openings, Shapes
from pastecheck.ragged import distinct_rows, offsets
from pastecheck.units import NM_PER_MM

AS_A_CIRCLE: Final = 0.94
"""An octagon has 0.948 of the area of a circle as long as its outline, a square with corners of a quarter
of its side 0.933: of the first no side is the long one, or points along a row."""
FINE_PITCH_MM: Final = 0.665
"""
Rows up to 0.65 mm, or 26 mil where a file rounds to a mil. Leads of wider ones leave more than 0.235 mm.
"""
LEAST_OF_PART: Final = 3
"""So many openings of a row bear one label, if it is a row of that part's leads."""

_PLACES_MM: Final = 1e-6
"""Centroids are rounded to a nanometre."""


def are_round(shapes: Shapes, sides: Sides) -> BoolArray:
    """Which distinct outlines are so nearly round that their direction means nothing. Shape (s,)."""
    compact = 4 * np.pi * shapes.area_mm2 / shapes.perimeter_mm**2
    round_: BoolArray = (compact > AS_A_CIRCLE) & (sides.length_mm < SQUARE * sides.width_mm)
    return round_


def places_nm(centroid_mm: FloatArray) -> IntArray:
    """Centroids in whole nanometres, by which rows are found. Shape (n, 2)."""
    return np.rint(centroid_mm * NM_PER_MM).astype(np.int64)


def rows_among(openings: Openings, centroid_mm: FloatArray, sides: Sides) -> Rows:
    """
    Rows of like openings.

    Args:
        openings: n openings.
        centroid_mm: Their centroids. Shape (n, 2).
        sides: Of their distinct outlines. Shape (s,).
    """
    shape = openings.shape
    direction_rad = np.nan_to_num(sides.direction_rad)
    return rows_of(
        places_nm(centroid_mm),
        sides.width_mm[shape],
        sides.length_mm[shape],
        direction_rad[shape],
        are_round(openings.shapes, sides)[shape],
    )


def row_of_part(rows: Rows, openings: Openings, centroid_mm: FloatArray, sides: Sides) -> IntArray:
    """
    Number of the row that a reader sees: rows on one ladder are one, though leads between are missing.

    Shape (n,); -1 where an opening is in no row.
    """
    size_mm = np.column_stack([sides.width_mm, sides.length_mm])[openings.shape]
    ladder = np.append(ladders_of_rows(rows, places_nm(centroid_mm), size_mm), -1)
    return ladder[rows.row]


def are_leads(rows: Rows, label: IntArray, land: IntArray | None = None) -> BoolArray:
    """
    Which openings are in a row of leads: not balls of a grid, not panes, not chips side by side.

    What is wide and close, at a pitch above 0.65 mm, could be chips or panes as well: it is taken for leads
    only where three of a row bear one label and lie on lands of their own.

    Args:
        rows: Of n openings.
        label: 0 where it is not known of which part an opening is; else three of its row have the same.
            Shape (n,).
        land: Number of the land each lies on, negative for none; None where lands are not known. Openings
            that share one are panes. Shape (n,).
    """
    in_row = np.flatnonzero(rows.row >= 0)
    kinds = distinct_rows(np.column_stack([rows.row[in_row], label[in_row]])).inverse
    of_one_part, has_label = np.zeros(len(label), bool), label > 0
    of_one_part[in_row] = np.bincount(kinds)[kinds] >= LEAST_OF_PART
    panes, on_own_land = rows.are_panes(), np.zeros(len(label), bool)
    if land is not None:
        on = np.flatnonzero(land >= 0)
        panes[on] = np.bincount(land[on])[land[on]] > 1
        on_own_land[on] = ~panes[on]
    with np.errstate(invalid="ignore"):
        leads: BoolArray = (rows.pitch_mm <= FINE_PITCH_MM) & (of_one_part | ~has_label)
    leads |= of_one_part & has_label & on_own_land
    return leads & ~rows.are_in_grids & ~panes


def fraction_error(rows: Rows, openings: Openings, width_error_mm: FloatArray) -> FloatArray:
    """
    How far `rows.fraction` can be off. Shape (n,); NaN where an opening is in no row.

    A pitch is off by no more than the places that it is fitted to: by their rounding, and where unlike
    outlines are flattened also by how far that can move their centroids, perimeter x tolerance / area of
    what reaches as far as the outline.
    """
    shapes = openings.shapes
    reach_mm = np.hypot(*(shapes.bounds_mm[:, 2:] - shapes.bounds_mm[:, :2]).T)
    off_mm = shapes.tolerance_mm * shapes.perimeter_mm / shapes.area_mm2 * reach_mm
    of_member = openings.shape[rows.member]
    row_off_mm = np.zeros(len(rows))
    if len(rows):
        begin = offsets(rows.row_count)[:-1]
        lowest, highest = (keep.reduceat(of_member, begin) for keep in (np.minimum, np.maximum))
        farthest_mm = np.maximum.reduceat(off_mm[of_member], begin)
        row_off_mm = _PLACES_MM + np.where(lowest == highest, 0.0, farthest_mm)
    pitch_off_mm = np.append(row_off_mm, np.nan)[rows.row]
    error: FloatArray = (width_error_mm + rows.fraction * pitch_off_mm) / rows.pitch_mm
    return error
