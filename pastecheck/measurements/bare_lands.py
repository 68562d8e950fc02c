"""Lands without an opening, and whether their like neighbours have one."""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.rows import rows_of
from pastecheck.geometry.width import Sides
from pastecheck.lands import Lands
from pastecheck.measurements.couples import Placed, parts_of_two_lands
from pastecheck.measurements.rows import are_round, places_nm
from pastecheck.units import NM_PER_MM

LIKE_MM: Final = 0.02
"""
Pads of the two lands of a part are alike to so much, and not round: a round one is a test point or a via
beside a pad (`common practice, no source`).
"""


class Bare(NamedTuple):
    """Lands without an opening that are in a row, or one of two of a part. Shape (k,) each."""

    land: IntArray
    share: FloatArray
    """Of the other lands of the row, or of the part, that have one."""
    compared: int
    """How many lands are in rows or pairs, bare or not."""


def bare_lands(lands: Lands, sides: Sides, covered: BoolArray, unsure: BoolArray) -> Bare:
    """
    Lands that have no opening, with the share of their like neighbours that have one.

    Rows are told as those of openings are, by what was drawn for the pads. What takes no paste has no part in
    it: vias, plated holes, test points, fiducials and edge contacts, where the copper tells them.

    Args:
        lands: k lands.
        sides: Of their distinct outlines.
        covered: Whether an opening is meant for each. Shape (k,).
        unsure: Whether that is not known; these have no part in it either. Shape (k,).
    """
    rows = np.flatnonzero(~lands.takes_no_paste & ~unsure)
    pad = lands.pad[rows]
    origin_mm = np.column_stack([lands.pad_x_nm, lands.pad_y_nm])[rows] / NM_PER_MM
    centre_mm = origin_mm + lands.shapes.centroid_mm[pad]
    round_ = are_round(lands.shapes, sides)[pad]
    direction_rad = np.where(round_, np.nan, sides.direction_rad[pad])
    width_mm, length_mm = sides.width_mm[pad], sides.length_mm[pad]
    found = rows_of(places_nm(centre_mm), width_mm, length_mm, np.nan_to_num(direction_rad), round_)
    has = covered[rows].astype(np.float64)
    share = np.full(len(rows), np.nan)
    of_member = np.repeat(np.arange(len(found)), found.row_count)
    with_opening = np.bincount(of_member, weights=has[found.member], minlength=len(found))
    in_row = np.flatnonzero(found.row >= 0)
    row = found.row[in_row]
    share[in_row] = (with_opening[row] - has[in_row]) / (found.row_count[row] - 1)
    alone = np.flatnonzero(found.row < 0)
    none_mm2 = np.zeros(len(alone))
    area_mm2 = lands.shapes.area_mm2[pad[alone]]
    sides_mm = width_mm[alone], length_mm[alone], direction_rad[alone]
    pairs = parts_of_two_lands(
        Placed(centre_mm[alone], *sides_mm, area_mm2, none_mm2, lands.label[rows[alone]])
    )
    first, second = alone[pairs.first], alone[pairs.second]
    off_mm = [np.abs(side[first] - side[second]) for side in (width_mm, length_mm)]
    like = (np.maximum(*off_mm) <= LIKE_MM) & ~round_[first] & ~round_[second]
    first, second = first[like], second[like]
    share[first], share[second] = has[second], has[first]
    bare = np.flatnonzero((has == 0) & ~np.isnan(share))
    return Bare(rows[bare], share[bare], int(np.count_nonzero(~np.isnan(share))))
