"""
Powder fit: how many of the largest balls of the paste fit across, over how many should.

What: the narrowest place of the opening (its width, or its neck where that is narrower) over the largest ball
of the powder type, over 5; over 8 where the opening is round (4 pi area / perimeter squared above 0.97).

Why: with few balls across, how many get in is a matter of chance, and so is the size of the deposit. A row of
five in a slot, eight in a circle, is what the trade asks for; 4.5 instead of 5 is called probably fine.

How: width and neck as the checks opening-width and neck-width measure them.

Cannot see: the powder in the jar. The type stands on its label; the person's own goes into the rule set as
`powder-type`, or by --powder. Where its data sheet gives another largest ball that is `largest-ball`.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, Readings, Scope, Unit, Wish, Worse, region
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.measurements.powder import LARGEST_BALL_MM, finer_types
from pastecheck.measurements.squares import squares_mm
from pastecheck.units import shown_um

ROUND: Final = 0.97
"""4 pi area / perimeter squared: 1 for a circle, 0.948 for an octagon, 0.785 for a square."""


@dataclass(frozen=True, slots=True)
class Params:
    """What powder there is, and how many balls are wanted across."""

    powder_type: int = 4
    balls: int = 5
    balls_round: int = 8
    """Across a round opening."""
    largest_ball_mm: float = 0.0
    """Instead of that of the type; 0 where the type's is taken."""

    def __post_init__(self) -> None:
        """Refuse what is no powder."""
        if self.powder_type not in LARGEST_BALL_MM:
            known = ", ".join(map(str, LARGEST_BALL_MM))
            raise ValueError(f"expected a powder-type of {known}, got {self.powder_type}")
        if min(self.balls, self.balls_round) < 1:
            raise ValueError("expected at least one ball")

    def of_type(self, powder_type: int) -> "Params":
        """The same balls wanted of another powder, as its type has them."""
        return replace(self, powder_type=powder_type, largest_ball_mm=0.0)

    @property
    def ball_mm(self) -> float:
        """The largest ball."""
        return self.largest_ball_mm or LARGEST_BALL_MM[self.powder_type]


def measure(m: Measurements, scope: Scope[Params]) -> Readings:
    """Balls across each opening over those wanted."""
    across_mm, error_mm = _across_mm(m)
    wanted_mm = scope.params.ball_mm * _balls(m.area_mm2, m.perimeter_mm, scope.params)
    readings = Readings.of_each(across_mm / wanted_mm, error_mm / wanted_mm + ROUNDING)
    return replace(readings, params=scope.params)


def _across_mm(m: Measurements) -> tuple[FloatArray, FloatArray]:
    """The narrowest place of each opening, and its error."""
    necks = m.insides.necks
    error_mm = np.where(necks.width_mm < m.width_mm, necks.error_mm, m.width_error_mm)
    return np.minimum(m.width_mm, necks.width_mm), error_mm


def _balls(area_mm2: FloatArray, perimeter_mm: FloatArray, params: Params) -> IntArray:
    """How many are wanted across each opening."""
    is_round: BoolArray = 4 * np.pi * area_mm2 / perimeter_mm**2 > ROUND
    return np.where(is_round, params.balls_round, params.balls)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """
    The width, where that is what is too small; a square; and in words the next finer type that fits.

    A square of a circle's area wants five balls across, not eight: it does where the circle does not.
    """
    params = failed.params
    assert isinstance(params, Params)  # noqa: S101 - of our own readings
    across_mm = _across_mm(m)[0][failed.opening]
    widths = across_mm >= m.width_mm[failed.opening] * (1 - 1e-3)
    wider_mm = np.full_like(across_mm, np.nan)
    width_mm = np.divide(across_mm * limit, failed.values, out=wider_mm, where=widths & (failed.values > 0))
    fitting_mm = params.ball_mm * failed.values / limit
    types = finer_types(params.ball_mm)
    balls_mm = [LARGEST_BALL_MM[kind] for kind in types]
    # types come from coarse to fine: the first that is fine enough
    nth = (np.array(balls_mm)[None, :] > fitting_mm[:, None] + ROUNDING).sum(axis=1)
    words = [
        f"use powder of type {kind}, with balls of at most {shown_um(ball)}"
        for kind, ball in zip(types, balls_mm, strict=True)
    ]
    advice = np.array([*words, ""], np.object_)[nth]
    square_mm = squares_mm(m, failed.opening, limit * params.balls * params.ball_mm)
    return Wish(width_mm=width_mm, square_mm=square_mm, advice=advice)


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Across the new width; a neck gets no narrower than by the smaller factor of the two sides."""
    params, rows, m = readings.params, readings.opening, changed.m
    assert isinstance(params, Params)  # noqa: S101 - of our own readings
    necks_mm = m.insides.necks.width_mm * changed.least_factor
    plain = m.are_rounded_rectangles
    across_mm = np.where(plain, changed.width_mm, np.minimum(changed.width_mm, necks_mm))
    # what is stretched may be as round as its shortest outline lets it be
    around_mm = np.where(plain, changed.perimeter_mm, m.perimeter_mm * changed.least_factor)
    balls = _balls(changed.area_mm2, around_mm, params)
    read = across_mm / (params.ball_mm * balls)
    return np.where(changed.is_changed[rows], read[rows], readings.values)


CHECK = Check(
    title="Powder fit",
    quantity="powder fit",
    unit=Unit.RATIO,
    worse=Worse.BELOW,
    definition=(
        "narrowest place / largest ball / 5: SMT007 Magazine July 2019 p. 34; over 8 for round openings: "
        "R. Lasky, Dispelling the five ball rule (hotwires.net)"
    ),
    error_bound="that of width or neck over the balls; float rounding for standard shapes",
    measure=measure,
    wish=wish,
    outlook=outlook,
    params=Params,
    examples=(
        Example("a slot of 0.19 mm: five balls of 38 um", "%ADD10R,0.19X1.5*%\nD10*\nX0Y0D03*", (1.0,)),
        Example("a circle of 0.3 mm: 0.3 / (8 x 0.038)", "%ADD10C,0.3*%\nD10*\nX0Y0D03*", (0.9868421,)),
        Example("a circle of 0.275 mm: 7.2 balls of 8", "%ADD10C,0.275*%\nD10*\nX0Y0D03*", (0.9046053,)),
        Example(
            "a bow tie with a waist of 0.2 mm: 0.2 / (5 x 0.038)",
            region((-0.5, -0.25), (0, -0.1), (0.5, -0.25), (0.5, 0.25), (0, 0.1), (-0.5, 0.25)),
            (1.0526316,),
        ),
    ),
)
