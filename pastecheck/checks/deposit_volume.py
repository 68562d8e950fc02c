"""
Deposit volume: paste that the opening leaves on the board.

What: area x thickness x transfer efficiency. The efficiency, the share of the opening's volume that ends up
on the land, is 1 unless the rule set gives a table of it against the area ratio (`transfer-efficiency`): the
user's own estimate, from weighing or from a microscope. Between its pairs it is linear, beyond them constant.
The totals of a layer, in the JSON report and on the terminal, give the mass of all deposits as well; for it a
rule set may give the density of the paste in g/cm3 (`density-g-cm3`).

The command `films` holds the same volume against the usual paste of a part: its opening printed 1:1 in the
usual foil (`usual-foil`); in a row of fine leads `usual-of-pitch` of the pitch; of a thermal land
`usual-of-thermal`. A foil that prints less than `least-share` of it is too thin.

Why: it is the paste that makes the joint, and what deposits of one part have in common tells how evenly it
will be soldered.

How: the area as the check area-ratio has it.

Cannot see: what really came out. No curve of transfer efficiency that was measured in film, and none with
numbers for any foil, is to hand: so none ships, and the rule sets set no limit. Hand prints with soft film
come out thicker than the film. Slump, and paste that the squeegee scoops out, are not in it.
"""

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed

MOST: Final = 1.5
"""No more than the opening holds, and half as much again where the print stands higher than the foil."""
_TURNS: Final = 60
_OTHER_FOIL: Final = 16.0
"""No foil is looked for that is so many times as thick, or as thin."""


@dataclass(frozen=True, slots=True)
class Params:
    """How much of an opening's volume ends up on the land: the user's estimate."""

    transfer_efficiency: tuple[tuple[float, float], ...] = ((0.0, 1.0),)
    """Pairs of area ratio and efficiency, in ascending order of the ratio."""
    density_g_cm3: float = 4.14
    """
    Of the paste. The default is Indium's for 87.75 % SAC305 (Calculating Solder Paste Usage): by
    1 / density = share / 7.4 + (1 - share) / 1, with the metal's and the flux's densities.
    """
    usual_foil_mm: float = 0.125
    """Foil that joints are used to: steel of 125 um (`common practice, no source`)."""
    usual_of_pitch: float = 0.48
    """
    Of the pitch that is open in a row of fine leads: stencil makers' 0.24 mm at 0.5 mm, 0.19 mm at 0.4 mm.
    """
    usual_of_thermal: float = 0.55
    """Of a thermal land: from the 50 to 80 % of data sheets, in steel of 125 um."""
    least_share: float = 0.5
    """Of the usual paste, below which joints starve (`common practice, no source`)."""

    def __post_init__(self) -> None:
        """Refuse what is no table of efficiencies, and what cannot be usual."""
        ratios, efficiencies = (
            zip(*self.transfer_efficiency, strict=True) if self.transfer_efficiency else ((), ())
        )
        if not self.density_g_cm3 > 0:
            raise ValueError("expected a density of the paste above 0 g/cm3, such as 4.14")
        if not ratios or any(after <= before for before, after in pairwise(ratios)):
            raise ValueError("expected area ratios in ascending order, each once")
        if not all(0 <= efficiency <= MOST for efficiency in efficiencies):
            raise ValueError(f"expected transfer efficiencies from 0 to {MOST}, 1 being all of the opening")
        if not (self.usual_foil_mm > 0 and self.usual_of_pitch > 0 and self.usual_of_thermal > 0):
            raise ValueError("expected a usual foil, and usual shares of pitch and thermal land, above 0")

    def efficiency(self, area_ratio: FloatArray) -> FloatArray:
        """Of openings with some area ratio. Shape (k,)."""
        ratios, efficiencies = np.array(self.transfer_efficiency).T
        found: FloatArray = np.interp(area_ratio, ratios, efficiencies)
        return found

    @property
    def steepest(self) -> float:
        """The most that the efficiency changes for each 1 of area ratio."""
        ratios, efficiencies = np.array(self.transfer_efficiency).T
        return float(np.abs(np.diff(efficiencies) / np.diff(ratios)).max(initial=0.0))

    def thinnest_mm(self, height_mm: FloatArray, over_mm: FloatArray) -> FloatArray:
        """
        The thinnest foil that prints so much; infinite where none does. Shape (k,).

        The volume over the area is T e(o / T), with o the area over the perimeter. Between two pairs of the
        table e is a + b r, so it is a T + b o there: T is found in closed form on each stretch.

        Args:
            height_mm: What is wanted: volume over area of the opening, not negative. Shape (k,).
            over_mm: Area of each opening over its perimeter. Shape (k,).

        Example:
            >>> half = Params(((0.5, 0.5), (1.0, 1.0)))
            >>> half.thinnest_mm(np.array([0.05, 0.1, 0.5]), np.array([0.1, 0.1, 0.1]))
            array([0.05, 0.1 , 1.  ])
        """
        ratios, efficiencies = np.array(self.transfer_efficiency).T
        steps = np.diff(efficiencies) / np.diff(ratios)
        slope = np.concatenate([[0.0], steps, [0.0]])
        begin, end = np.append(0.0, ratios), np.append(ratios, np.inf)
        level = np.append(efficiencies[0], efficiencies) - slope * np.append(ratios[0], ratios)
        thinnest_mm = np.full(len(height_mm), np.inf)
        for low, high, a, b in zip(begin, end, level, slope, strict=True):
            with np.errstate(divide="ignore", invalid="ignore"):
                thickness_mm = (height_mm - b * over_mm) / a
                ratio = over_mm / thickness_mm
            there = (thickness_mm > 0) & (ratio >= low * (1 - ROUNDING)) & (ratio <= high * (1 + ROUNDING))
            thinnest_mm[there] = np.minimum(thinnest_mm[there], thickness_mm[there])
        return np.where(height_mm <= 0, 0.0, thinnest_mm)


def measure(m: Measurements, scope: Scope[Params]) -> Readings:
    """Volume of each deposit."""
    thickness_mm, params = m.foil.thickness_mm, scope.params
    efficiency = params.efficiency(m.area_ratio)
    area_error_mm2 = m.perimeter_mm * m.openings.shapes.tolerance_mm[m.openings.shape]
    off = area_error_mm2 * efficiency + m.area_mm2 * params.steepest * m.area_ratio_error
    readings = Readings.of_each(m.area_mm2 * thickness_mm * efficiency, thickness_mm * off + ROUNDING)
    return replace(readings, params=params)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """The width and the foil at the limit, the efficiency being what it is at that size."""
    params = failed.params
    assert isinstance(params, Params)  # noqa: S101 - of our own readings
    is_small = failed.values < limit
    width_mm = _width_mm(m, failed, limit, params)
    thickness_mm = _thickness_mm(m, failed, limit, params)
    return Wish(
        width_mm=np.where(is_small, width_mm, np.nan),
        narrowed_mm=np.where(is_small, np.nan, width_mm),
        thinnest_mm=np.where(is_small, thickness_mm, np.nan),
        thickness_mm=np.where(is_small, np.nan, thickness_mm),
    )


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Of the new area, and the efficiency at the new area ratio."""
    params, rows = readings.params, readings.opening
    assert isinstance(params, Params)  # noqa: S101 - of our own readings
    area_mm2, thickness_mm = changed.area_mm2[rows], changed.thickness_mm[rows]
    ratio = area_mm2 / (changed.perimeter_mm[rows] * thickness_mm)
    return area_mm2 * thickness_mm * params.efficiency(ratio)


def _width_mm(m: Measurements, failed: Readings, limit: float, params: Params) -> FloatArray:
    """Width of a rectangle as long, or of a square, that holds as much; NaN where it prints less, or more."""
    rows = failed.opening
    drawn_mm, length_mm = m.width_mm[rows], m.length_mm[rows]
    factor = limit / np.maximum(failed.values, ROUNDING)
    width_mm = np.where(
        drawn_mm * factor <= length_mm, drawn_mm * factor, np.sqrt(drawn_mm * length_mm * factor)
    )
    long_mm = np.maximum(length_mm, width_mm)
    ratio = m.area_ratio[rows] * width_mm * long_mm / (width_mm + long_mm)
    ratio *= (drawn_mm + length_mm) / (drawn_mm * length_mm)
    changed = params.efficiency(ratio) / params.efficiency(m.area_ratio[rows])
    reached = np.where(factor > 1, changed >= 1 - ROUNDING, changed <= 1 + ROUNDING)
    return np.where(reached, width_mm, np.nan)


def _thickness_mm(m: Measurements, failed: Readings, limit: float, params: Params) -> FloatArray:
    """Foil with which as much is printed; NaN where there is none near, for thick foil releases less."""
    rows = failed.opening
    area_mm2, over = m.area_mm2[rows], m.area_ratio[rows] * m.foil.thickness_mm
    least_mm, most_mm = m.foil.thickness_mm / _OTHER_FOIL, m.foil.thickness_mm * _OTHER_FOIL
    thickness_mm = np.full(len(rows), m.foil.thickness_mm)
    for _ in range(_TURNS):
        printed_mm2 = area_mm2 * params.efficiency(over / thickness_mm)
        thickness_mm = np.clip(limit / np.maximum(printed_mm2, ROUNDING), least_mm, most_mm)
    volume_mm3 = area_mm2 * thickness_mm * params.efficiency(over / thickness_mm)
    return np.where(np.abs(volume_mm3 - limit) <= 1e-6 * limit, thickness_mm, np.nan)


CHECK = Check(
    title="Deposit volume",
    quantity="deposit volume",
    unit=Unit.MM3,
    worse=Worse.BOTH,
    definition=(
        "area x thickness x transfer efficiency: TI SLDA021B, Stencil Design section, for the volume of an "
        "opening; the efficiency is the user's estimate"
    ),
    error_bound="float rounding for standard shapes; else 0.1 um x perimeter x thickness",
    measure=measure,
    wish=wish,
    outlook=outlook,
    params=Params,
    examples=(
        Example("a slot of 0.25 x 1.5 mm in 75 um", "%ADD10R,0.25X1.5*%\nD10*\nX0Y0D03*", (0.028125,), 0.075),
        Example("a circle of 0.4 mm in 100 um", "%ADD10C,0.4*%\nD10*\nX0Y0D03*", (0.0125664,), 0.1),
        Example(
            "a circle of 14 mil in 5 mil, 769.7 cubic mil",
            "%ADD10C,0.3556*%\nD10*\nX0Y0D03*",
            (0.0126130,),
            0.127,
        ),
    ),
)
