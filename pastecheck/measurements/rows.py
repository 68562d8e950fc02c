"""Rows of openings, and which rows are of one part."""

from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.ladders import ladders_of_rows
from pastecheck.geometry.rows import SQUARE, Rows, rows_of
from pastecheck.geometry.width import Sides
from pastecheck.openings import Openings, Shapes
from pastecheck.units import NM_PER_MM

AS_A_CIRCLE: Final = 0.94
"""An octagon has 0.948 of the area of a circle as long as its outline, a square with corners of a quarter
of its side 0.933: of the first no side is the long one, or points along a row."""


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
