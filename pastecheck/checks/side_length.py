"""
Side length: shortest side of the opening, as a trailing blade meets it.

What: the shortest stretch of outline between two neighbouring corners. A corner is a stretch of at most
0.08 mm that turns 60 degrees or more one way; its place is where the sides before and after it meet, so that
a rounded corner counts as a sharp one. Between corners a side turns less than 30 degrees. Sides below 0.05 mm
are ignored: no knife repeats them. A circle has no corner, and reads its radius. Walls of holes count too.

Why: a drag knife trails behind the point that it swivels about, by 0.25 to 0.30 mm. On a side that is shorter
it has not swung round before the next corner comes, on a circle with a smaller radius it never does: the plug
is twisted out, and the corner or the circle is ragged. A laser has no such limit.

How: from the outlines of openings, in facets; those of curves are told from corners by how they turn.

Cannot see: how the cutter corrects for the offset of its blade, and that some cut circles as polygons. Where
two arcs meet at just 60 degrees, their facets tell whether it is a corner.
"""

import math
from typing import Final

import numpy as np

from pastecheck.check import (
    ROUNDING,
    Check,
    Example,
    NoParams,
    Readings,
    Scope,
    Unit,
    Wish,
    Worse,
    region,
    worded,
)
from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.measurements.squares import squares_mm
from pastecheck.units import shown

_DIGITS: Final = 6


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Shortest side of each opening."""
    length_mm, error_mm, place_mm = m.insides.sides
    return Readings.of_each(length_mm, error_mm + ROUNDING, place_mm)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """
    For a circle a square of equal area, or twice the limit across; for a rectangle the limit across.

    For all others in words: the step drawn straight.
    """
    rows = failed.opening
    width_mm, length_mm = m.width_mm[rows], m.length_mm[rows]
    is_circle = _is(failed.values, width_mm / 2) & _is(length_mm, width_mm)
    is_width = _is(failed.values, width_mm) & _is(m.area_mm2[rows], width_mm * length_mm)
    wider_mm = np.where(is_circle, 2 * limit, np.where(is_width, limit, np.nan))
    figures = np.column_stack([is_circle | is_width, failed.values]).round(_DIGITS)
    return Wish(width_mm=wider_mm, square_mm=squares_mm(m, rows, limit), advice=worded(figures, _in_words))


def _in_words(figures: list[float]) -> str:
    has_width, step_mm = figures
    return "" if has_width else f"draw the step of {shown(step_mm, 'mm')} straight"


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """The side of a rectangle, the radius of a circle; those of other outlines by the smaller factor."""
    rows = readings.opening
    across = changed.width_mm[rows] / changed.m.width_mm[rows]
    stretched = changed.least_factor[rows]
    return readings.values * np.where(changed.m.are_rounded_rectangles[rows], across, stretched)


def _is(one: FloatArray, other: FloatArray) -> BoolArray:
    """Whether figures are the same but for rounding and flattening."""
    same: BoolArray = np.abs(one - other) <= 1e-3 * np.abs(other)
    return same


CHECK = Check(
    title="Side length",
    quantity="side length",
    unit=Unit.MM,
    worse=Worse.BELOW,
    definition="shortest stretch of outline between two corners (our own definition)",
    error_bound="float rounding for straight sides and circles; 0.4 um at flattened curves",
    measure=measure,
    wish=wish,
    outlook=outlook,
    examples=(
        Example("a slot of 0.25 x 1.5 mm", "%ADD10R,0.25X1.5*%\nD10*\nX0Y0D03*", (0.25,)),
        Example(
            "a rectangle of 0.3 x 0.8 mm with corners of 0.075 mm, made of bars and discs",
            "%AMROUNDED*21,1,0.3,0.65,0,0,0*21,1,0.15,0.8,0,0,0*1,1,0.15,0.075,0.325*1,1,0.15,-0.075,0.325*"
            "1,1,0.15,0.075,-0.325*1,1,0.15,-0.075,-0.325*%\n%ADD10ROUNDED*%\nD10*\nX0Y0D03*",
            (0.3,),
        ),
        Example(
            "a step of 0.1 mm in a side of 1 mm",
            region((0, 0), (1, 0), (1, 0.6), (0.5, 0.6), (0.5, 0.5), (0, 0.5)),
            (0.1,),
        ),
        Example(
            "a square of 1 mm with a chamfer of 0.1 mm: a corner all the same",
            region((0, 0), (1, 0), (1, 0.9), (0.9, 1), (0, 1)),
            (1.0,),
        ),
        Example("a circle of 0.35 mm: its radius", "%ADD10C,0.35*%\nD10*\nX0Y0D03*", (0.175,)),
        Example("an obround: two sides that never meet", "%ADD10O,0.25X0.8*%\nD10*\nX0Y0D03*", (math.nan,)),
        Example("an octagon: 45 degrees are no corner", "%ADD10P,0.54X8*%\nD10*\nX0Y0D03*", (math.nan,)),
    ),
)
