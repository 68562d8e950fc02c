"""
The narrowest that an opening may be made: the error limits of width, neck and both ratios, in closed form.

With the other side kept: of a rectangle of sides w and l, corners of radius r, in foil of thickness T,

    area ratio  (w l - k r2) / ((2 w + 2 l - c r) T) >= a,  k = 4 - pi, c = 8 - 2 pi,

is linear in w where r stays as it is, and quadratic where the ends are round (r = w / 2). Other outlines are
stretched: their area goes with w, and their perimeter is not longer than it was.
"""

from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.rulesets import RuleSet
from pastecheck.rulesets.trims import ReferenceTrim

CUT_MM2: Final = 4 - np.pi
"""What four round corners of radius 1 take of the area."""
_CUT_MM: Final = 8 - 2 * np.pi
"""And of the perimeter."""
ROUND: Final = 1 - 1e-6
"""Corners of so much of half the width are round ends."""
_ABOVE: Final = 1 + 1e-5
"""What is made to keep a limit keeps it by so much, for places are rounded when they are written."""
_AT: Final = 1 - 1e-9
"""What is at a limit passes."""
_HALVINGS: Final = 40
WIDTH_CHECKS: Final = ("opening-width", "neck-width")


def error_limit(rule_set: RuleSet, check: str) -> float:
    """Below which a check finds an error; 0 where it finds none."""
    limits = [rule.error_below for rule in rule_set.rules if rule.check == check]
    return max((limit for limit in limits if limit is not None), default=0.0)


def least_width_mm(
    m: Measurements, rule_set: RuleSet, rows: IntArray, across_mm: FloatArray, along_mm: FloatArray
) -> FloatArray:
    """
    The least that one side of openings may be, the other being kept. Shape (k,).

    Args:
        m: The layer.
        rule_set: Its error limits.
        rows: Openings. Shape (k,).
        across_mm: The side that is to be changed, as it is.
        along_mm: The other.
    """
    plain_mm = max(error_limit(rule_set, check) for check in WIDTH_CHECKS)
    aspect_mm = error_limit(rule_set, "aspect-ratio") * m.foil.thickness_mm
    ratio_mm = error_limit(rule_set, "area-ratio") * m.foil.thickness_mm
    return np.maximum(max(plain_mm, aspect_mm), _of_area_ratio(m, rows, ratio_mm, across_mm, along_mm))


def _of_area_ratio(
    m: Measurements, rows: IntArray, ratio_mm: float, across_mm: FloatArray, along_mm: FloatArray
) -> FloatArray:
    """As `least_width_mm`; the ratio is that of area to perimeter."""
    radius_mm = m.openings.shapes.radius_mm[m.openings.shape[rows]]
    with np.errstate(divide="ignore", invalid="ignore"):
        straight = (ratio_mm * (2 * along_mm - _CUT_MM * radius_mm) + CUT_MM2 * radius_mm**2) / (
            along_mm - 2 * ratio_mm
        )
        straight = np.where(along_mm > 2 * ratio_mm, straight, np.inf)
        # round ends: (k / 4) w2 - (l - a T (2 - c / 2)) w + 2 a T l <= 0
        b = along_mm - ratio_mm * (2 - _CUT_MM / 2)
        root = b**2 - 2 * CUT_MM2 * ratio_mm * along_mm
        round_ends = np.where((root >= 0) & (b > 0), (b - np.sqrt(root)) / (CUT_MM2 / 2), np.inf)
        stretched = across_mm * ratio_mm * m.perimeter_mm[rows] / m.area_mm2[rows]
    of_rectangle = np.where((straight >= 2 * radius_mm) & (radius_mm < across_mm / 2), straight, round_ends)
    return np.where(m.are_rounded_rectangles[rows], of_rectangle, stretched)


def as_far_as_limits(
    m: Measurements, rule_set: RuleSet, rows: IntArray, drawn_mm: FloatArray, asked_mm: FloatArray
) -> FloatArray:
    """
    How far rectangles may go from the sides that they have to those asked for: 1 is all the way. Shape (k,).

    Both ratios and the width only shrink on the way, so it is halved until it is known. -1 where a rectangle
    is below the limits as it is.

    Args:
        m: The layer.
        rule_set: Its error limits.
        rows: Rectangles, slots and circles. Shape (k,).
        drawn_mm: Their length and width. Shape (k, 2).
        asked_mm: As well; more than 0.
    """
    thickness_mm, radius_mm = m.foil.thickness_mm, m.openings.shapes.radius_mm[m.openings.shape[rows]]
    narrowest_mm = max(
        *(error_limit(rule_set, check) for check in WIDTH_CHECKS),
        error_limit(rule_set, "aspect-ratio") * thickness_mm,
    )
    ratio_mm = error_limit(rule_set, "area-ratio") * thickness_mm
    has_round_ends = radius_mm >= drawn_mm[:, 1] / 2 * ROUND

    def above(far: FloatArray, slack: float) -> BoolArray:
        length_mm, width_mm = (drawn_mm + far[:, None] * (asked_mm - drawn_mm)).T
        corner_mm = np.where(has_round_ends, width_mm / 2, np.minimum(radius_mm, width_mm / 2))
        area_mm2 = length_mm * width_mm - CUT_MM2 * corner_mm**2
        walls_mm = 2 * (length_mm + width_mm) - _CUT_MM * corner_mm
        fits = (width_mm >= narrowest_mm * slack) & (area_mm2 >= ratio_mm * walls_mm * slack)
        return np.asarray(fits)

    none, whole = np.zeros(len(rows)), np.ones(len(rows))
    low, high = none, whole
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        fits = above(middle, _ABOVE)
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    far = np.where(above(whole, _AT), 1.0, low)
    return np.where(above(none, _AT), far, -1.0)


def reference_mm3(reference: ReferenceTrim, pitch_mm: FloatArray, along_mm: FloatArray) -> FloatArray:
    """The volume that a lead is given in metal foil. Shape (k,)."""
    return reference.share_of_pitch * pitch_mm * along_mm * reference.thickness_mm


def least_of_volume_mm(
    m: Measurements, rows: IntArray, wanted_mm3: FloatArray, across_mm: FloatArray, along_mm: FloatArray
) -> FloatArray:
    """The side at which openings hold so much paste, the other being kept. Shape (k,)."""
    area_mm2 = wanted_mm3 / m.foil.thickness_mm
    radius_mm = m.openings.shapes.radius_mm[m.openings.shape[rows]]
    straight = (area_mm2 + CUT_MM2 * radius_mm**2) / along_mm
    # round ends: w l - (k / 4) w2 = A
    root = np.maximum(along_mm**2 - CUT_MM2 * area_mm2, 0.0)
    round_ends = (along_mm - np.sqrt(root)) / (CUT_MM2 / 2)
    stretched = across_mm * area_mm2 / m.area_mm2[rows]
    of_rectangle = np.where((straight >= 2 * radius_mm) & (radius_mm < across_mm / 2), straight, round_ends)
    return np.where(m.are_rounded_rectangles[rows], of_rectangle, stretched)
