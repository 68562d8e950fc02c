"""Parts of two lands, as chips are: which two openings belong together."""

from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.couples import couples_of_kinds, facing_couples
from pastecheck.geometry.neighbours import Things
from pastecheck.geometry.rows import SQUARE
from pastecheck.ragged import Distinct

FACING_REACH_MM: Final = 2.2
"""Centres of the lands of an 0805 lie some 1.9 mm apart (`common practice, no source`)."""
NAMED_REACH_MM: Final = 3.5
"""Those of a 1206 some 3 mm; what is larger does not stand up (`common practice, no source`)."""


class Parts(NamedTuple):
    """What lies on the two lands of parts: k parts."""

    first: IntArray
    """An opening on the one land. Shape (k,), sorted."""
    second: IntArray
    """An opening on the other, a higher row."""
    area_mm2: FloatArray
    """Of all openings on each land. Shape (k, 2)."""
    error_mm2: FloatArray
    """Shape (k, 2)."""
    place_mm: FloatArray
    """Middle between the two. Shape (k, 2)."""


@dataclass(frozen=True, eq=False, slots=True)
class Placed:
    """Openings as their parts are told by; columns of shape (n,)."""

    place_mm: FloatArray
    """Shape (n, 2)."""
    width_mm: FloatArray
    length_mm: FloatArray
    direction_rad: FloatArray
    """Of the long side; NaN where an opening is round."""
    area_mm2: FloatArray
    area_error_mm2: FloatArray
    label: IntArray
    """0 where it is not known of which part an opening is."""

    def rows(self, rows: IntArray) -> "Placed":
        """Some of the openings."""
        return Placed(
            self.place_mm[rows],
            self.width_mm[rows],
            self.length_mm[rows],
            self.direction_rad[rows],
            self.area_mm2[rows],
            self.area_error_mm2[rows],
            self.label[rows],
        )


def parts_of_two_lands(placed: Placed, land: IntArray | None = None) -> Parts:
    """
    Openings that are the two of one part: so its label says, or they are like and alone with each other.

    Openings on one land count as one, as panes do: with their area together, where their middle is.

    Args:
        placed: n openings.
        land: Number of the land each lies on, negative for none; None where lands are not known. Shape (n,).
    """
    on = _lands(len(placed.label), land)
    one = _joined(placed, on)
    named = np.flatnonzero(one.label > 0)
    nameless = np.flatnonzero(one.label == 0)
    x_mm, y_mm = one.place_mm[named].T.copy()
    by_name = couples_of_kinds(x_mm, y_mm, one.label[named], NAMED_REACH_MM)
    alone = facing_couples(_things(one.rows(nameless)), FACING_REACH_MM)
    both = np.concatenate(
        [np.stack([rows[each] for each in found]) for rows, found in ((named, by_name), (nameless, alone))],
        axis=1,
    )
    opening = np.sort(on.first[both], axis=0)
    both = on.inverse[opening]
    order = np.argsort(opening[0])
    opening, both = opening[:, order], both[:, order]
    area_mm2, error_mm2 = one.area_mm2[both].T, one.area_error_mm2[both].T
    return Parts(opening[0], opening[1], area_mm2, error_mm2, one.place_mm[both].mean(axis=0))


def _things(placed: Placed) -> Things:
    x_mm, y_mm = placed.place_mm.T.copy()
    is_round = np.isnan(placed.direction_rad)
    direction_rad = np.nan_to_num(placed.direction_rad)
    is_square = placed.length_mm < SQUARE * placed.width_mm
    return Things(x_mm, y_mm, placed.width_mm, placed.length_mm, direction_rad, is_round, is_square)


def _lands(count: int, land: IntArray | None) -> Distinct:
    """Openings by what they lie on; each that lies on none by itself."""
    rows = np.arange(count)
    if land is None:
        return Distinct(rows, rows)
    kind = np.where(land >= 0, land, land.max(initial=0) + 1 + rows)
    _, first, inverse = np.unique(kind, return_index=True, return_inverse=True)
    return Distinct(first, inverse)


def _joined(placed: Placed, on: Distinct) -> Placed:
    """What lies on each land, as one opening, its sides along those of the first."""
    first = placed.rows(on.first)
    if len(on.first) == len(on.inverse):
        return first
    area = np.asarray(np.bincount(on.inverse, placed.area_mm2), np.float64)
    error = np.asarray(np.bincount(on.inverse, placed.area_error_mm2), np.float64)
    place = np.column_stack(
        [np.bincount(on.inverse, weights=placed.area_mm2 * xy) / area for xy in placed.place_mm.T]
    )
    lengthwise = np.nan_to_num(first.direction_rad)[on.inverse]
    turn = np.nan_to_num(placed.direction_rad) - lengthwise
    sides = [
        _extents(
            placed, on, lengthwise + quarter, np.abs(np.cos(turn - quarter)), np.abs(np.sin(turn - quarter))
        )
        for quarter in (0.0, np.pi / 2)
    ]
    length_is_across = sides[1] > sides[0]
    return replace(
        first,
        place_mm=place,
        width_mm=np.minimum(*sides),
        length_mm=np.maximum(*sides),
        direction_rad=first.direction_rad + np.where(length_is_across, np.pi / 2, 0.0),
        area_mm2=area,
        area_error_mm2=error,
    )


def _extents(
    placed: Placed, on: Distinct, way_rad: FloatArray, of_length: FloatArray, of_width: FloatArray
) -> FloatArray:
    """How far what lies on each land reaches in a direction, of each its own."""
    middle = placed.place_mm[:, 0] * np.cos(way_rad) + placed.place_mm[:, 1] * np.sin(way_rad)
    half = (of_length * placed.length_mm + of_width * placed.width_mm) / 2
    low, high = np.full(len(on.first), np.inf), np.full(len(on.first), -np.inf)
    np.minimum.at(low, on.inverse, middle - half)
    np.maximum.at(high, on.inverse, middle + half)
    extent: FloatArray = high - low
    return extent
