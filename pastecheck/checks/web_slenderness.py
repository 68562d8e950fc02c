"""
Web slenderness: length of the film between two openings over its width.

What: l / g. The width g is the shortest distance of the two openings (see web-width). The length l is how far
their outlines run alongside each other: on each, the pieces within 1.2 g of the other whose outward normal is
within 60 degrees of the way to the nearest point there; the smaller sum of the two. Read for webs up to 0.5
mm (`gaps-up-to`); openings that touch have none.

Why: a web is a beam held at both ends. Pushed sideways by the squeegee, or pulled by the blade, it bends by a
share of its width that grows with the fourth power of l / g: long webs between fine-pitch openings are
dragged before short ones of the same width. The limit goes with the fourth root of stiffness times thickness.

How: exactly, from the straight sides and arcs of the outlines, once for each distinct pair of openings.

Cannot see: which way the squeegee moves (the job sheet proposes one), and nicked corners. Two narrow places
of one pair are added up.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import SLENDER_TO_MM, Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.measurements.slenderness import SlenderWebs

ADVICE: Final = "print and weed along the web"


@dataclass(frozen=True, slots=True)
class Params:
    """Which webs are read."""

    gaps_up_to_mm: float = SLENDER_TO_MM


def measure(m: Measurements, scope: Scope[Params]) -> Readings:
    """Slenderness of each web."""
    webs = m.slender_webs(scope.params.gaps_up_to_mm + scope.nearer_mm)
    examined = len(m.openings) if len(m.openings) > 1 else 0
    values = np.where(webs.gap_mm > scope.params.gaps_up_to_mm + ROUNDING, np.nan, webs.slenderness)
    return Readings(values, webs.error + ROUNDING, webs.first, webs.second, examined, params=scope)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """Each of the two openings gives way by half of what is missing to length / limit."""
    webs = _webs_of(m, failed)
    give_way_mm = (webs.length_mm / limit - webs.gap_mm) / 2
    return Wish(give_way_mm=give_way_mm, advice=np.full(len(give_way_mm), ADVICE, np.object_))


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Of the new distance, and of how far the new outlines run alongside each other."""
    webs, reach_mm = _webs_of(changed.m, readings), _told(readings).params.gaps_up_to_mm
    gap_mm = changed.gap_mm(webs.first, webs.second, webs.gap_mm)
    length_mm = changed.web_length_mm(webs, gap_mm)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where((gap_mm > 0) & (gap_mm <= reach_mm + ROUNDING), length_mm / gap_mm, np.nan)


def _webs_of(m: Measurements, readings: Readings) -> SlenderWebs:
    """The web of each reading."""
    told, n = _told(readings), len(m.openings)
    webs = m.slender_webs(told.params.gaps_up_to_mm + told.nearer_mm)
    first, second = readings.pairs
    return webs.rows(np.searchsorted(webs.first * n + webs.second, first * n + second))


def _told(readings: Readings) -> Scope[Params]:
    return readings.params if isinstance(readings.params, Scope) else Scope(Params())


def _pair(aperture: str, dx: float, dy: float = 0.0, other: str = "") -> str:
    drawn = [f"%ADD10{aperture}*%", f"%ADD11{other or aperture}*%", "D10*", "X0Y0D03*"]
    return "\n".join([*drawn, "D11*", f"X{1e6 * dx:.0f}Y{1e6 * dy:.0f}D03*"])


CHECK = Check(
    title="Web slenderness",
    quantity="web slenderness",
    unit=Unit.RATIO,
    worse=Worse.ABOVE,
    definition="length along which two openings face each other / web width (our own definition)",
    error_bound=(
        "1e-9 of the reading between standard shapes; else what 0.1 um for each flattened outline, and a"
        " facet at either end, can make of it"
    ),
    measure=measure,
    wish=wish,
    outlook=outlook,
    params=Params,
    examples=(
        Example("two slots of 0.25 x 1.5 mm, 0.25 mm apart: 1.5 / 0.25", _pair("R,0.25X1.5", 0.5), (6.0,)),
        Example(
            "the same, shifted lengthwise by 0.5 mm: 1.0 and 0.25 root(1.2² - 1) past the corner, over 0.25",
            _pair("R,0.25X1.5", 0.5, 0.5),
            (4.6633250,),
        ),
        Example(
            "a slot of 0.3 mm beside one of 1.5 mm, 0.25 mm apart: 0.3 / 0.25",
            _pair("R,0.25X1.5", 0.5, 0.1, "R,0.25X0.3"),
            (1.2,),
        ),
        Example(
            "circles of 0.5 mm, 0.3 mm apart: 2 R acos((p² + R² - (R + 1.2 g)²) / (2 p R)) / g",
            _pair("C,0.5", 0.8),
            (0.9980372,),
        ),
        Example(
            "squares corner to corner, (0.2, 0.2) apart: 2 (root(1.2² g² - 0.2²) - 0.2) / g, g = 0.2 root 2",
            _pair("R,1X1", 1.2, 1.2),
            (0.5248584,),
        ),
        Example("squares whose corners touch", _pair("R,1X1", 1.0, 1.0), (math.nan,)),
        Example("slots 0.6 mm apart", _pair("R,0.25X1.5", 0.85), ()),
    ),
)
