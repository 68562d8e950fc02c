"""
Neck width: narrowest place inside the opening.

What: the diameter of the smallest disc in the opening that touches two walls across from each other. Walls
across are parallel to within a degree where the disc touches them, as in a waist, or the disc sits in the
narrow end of a taper of up to 20 degrees: where a wall closes it, or where its walls bend together by more.
A corner sharper than that, between sides of 0.05 mm and more, is a neck of 0. Corners that are blunter, sharp
or rounded, are none. Where nothing else faces it is the largest disc. It does not apply where it only repeats
the opening width.

Why: the blade, the powder and the release all meet at the narrowest place. Between two halves of an opening
that hang together by a neck the plug tears there, and paste skips it.

How: in closed form for circles, obrounds and rounded rectangles; in convex outlines by moving all sides
inward until they meet; else from the vertices of the medial axis, and from each inner corner to what lies
nearest across from it. Where two curves meet almost as tangents the error is larger: 0.1 um over the cosine
of half their turn.

Cannot see: how long the neck is. Where walls bend together it counts only if that is narrower than 0.9 of
all else, for every oval narrows towards its ends.
"""

import math
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.check import (
    ROUNDING,
    Check,
    Example,
    NoParams,
    Readings,
    Scope,
    TextArray,
    Unit,
    Wish,
    Worse,
    region,
)
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.geometry.facing import are_convex, necks
from pastecheck.geometry.reshaping import stretched, wide_parts
from pastecheck.geometry.width import turned_rectangles
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import shown

GeometryArray = NDArray[np.object_]

_REPEATS: Final = 0.999
"""
A neck of so much of the opening width is that width: between curved walls a degree from parallel lets the
disc be up to 0.04 % smaller than the widest.
"""
_WEB: Final = 1.25
"""Parts that become openings of their own lie so many limits apart: webs want a little more than necks."""
_RELEASES: Final = 0.66
"""Area ratio of such a part, as the rule sets have it from ST data sheets."""
_SPUR: Final = 0.2
"""Share of an opening that may be left out: `common practice, no source`."""
_CORNER: Final = 0.1
"""What a disc does not reach of a sharp corner has less of its square: (1 - pi / 4) / 4 in a right one."""


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Neck of each opening."""
    necks_mm, error_mm, place_mm = m.insides.necks
    repeats = necks_mm >= _REPEATS * m.width_mm - error_mm
    values = np.where(repeats, np.nan, necks_mm)
    return Readings.of_each(values, error_mm + ROUNDING, place_mm)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """
    The width at which an outline without inner corners would pass, all of it being widened alike.

    For others words: what stands alone on either side of a neck is better drawn as openings of its own, and
    a spur is better left out.
    """
    shape, first, kind = np.unique(m.openings.shape[failed.opening], return_index=True, return_inverse=True)
    width_mm = _widened_mm(m, shape, failed.opening[first], limit)
    return Wish(width_mm=width_mm[kind], advice=_advice(m, shape, limit)[kind])


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """A neck gets no narrower than by the smaller factor of the two sides."""
    return readings.values * changed.least_factor[readings.opening]


def _widened_mm(m: Measurements, shape: IntArray, rows: IntArray, limit: float) -> FloatArray:
    """Width of convex outlines if they are stretched until the neck passes; NaN where that does not help."""
    outline = m.openings.shapes.outline[shape]
    neck_mm = m.insides.necks.width_mm[rows]
    with np.errstate(divide="ignore"):
        factor = np.where(neck_mm > 0, limit / neck_mm, 1.0)
    nothing = np.zeros(len(shape))
    wider = stretched(outline, np.nan_to_num(m.direction_rad[rows]), factor)
    reached_mm = necks(wider, nothing, nothing).diameter_mm
    helps = are_convex(outline) & (factor > 1) & (reached_mm >= _REPEATS * limit)
    return np.where(helps, m.width_mm[rows] * factor / _REPEATS, np.nan)


def _advice(m: Measurements, shape: IntArray, limit: float) -> TextArray:
    """What to draw instead, for each distinct outline; empty where nothing is known."""
    outline = m.openings.shapes.outline[shape]
    parts = wide_parts(outline, limit)
    texts = [
        _in_words(whole, parts.polygon[parts.owner == row], limit, m.foil.thickness_mm)
        for row, whole in enumerate(outline.tolist())
    ]
    return np.array(texts, np.object_)


def _in_words(whole: shapely.Polygon, parts: GeometryArray, limit: float, thickness_mm: float) -> str:
    """What stands alone, drawn as openings of its own; or what is in the way, left out."""
    if len(parts) == 1:
        spurs = shapely.get_parts(shapely.difference(whole, parts[0]))
        share = shapely.area(spurs[shapely.area(spurs) > _CORNER * limit**2]).sum() / whole.area
        if 0 < share <= _SPUR:
            return f"leave out what is narrower than {shown(limit, 'mm')}, {100 * share:.1f} % of its area"
    elif len(parts) > 1 and _stand_alone(parts, limit, thickness_mm):
        size = turned_rectangles(parts, *np.zeros((2, len(parts))))
        sizes = sorted(
            f"{shown(short, 'mm').removesuffix(' mm')} x {shown(long, 'mm')}"
            for short, long in set(zip(size.width_mm.round(3), size.length_mm.round(3), strict=True))
        )
        of = f" of {' and '.join(sizes)}" if len(sizes) < 3 else ""
        return f"draw it as {len(parts)} openings{of} without what joins them"
    return ""


def _stand_alone(parts: GeometryArray, limit: float, thickness_mm: float) -> bool:
    """Whether parts release by themselves, with enough foil between them."""
    ratio = shapely.area(parts) / (shapely.length(parts) * thickness_mm)
    apart_mm = min(
        float(shapely.distance(parts[row], parts[row + 1 :]).min()) for row in range(len(parts) - 1)
    )
    return bool(ratio.min() >= _RELEASES) and apart_mm >= _WEB * limit


CHECK = Check(
    title="Neck width",
    quantity="neck width",
    unit=Unit.MM,
    worse=Worse.BELOW,
    definition="smallest disc inside that touches two walls across from each other (our own definition)",
    error_bound="float rounding for standard shapes; else 0.2 um, and 0.4 um where curves are flattened; "
    "farther where two curves meet almost as tangents: 0.1 um over the cosine of half their turn",
    measure=measure,
    wish=wish,
    outlook=outlook,
    examples=(
        Example(
            "a dumbbell: squares of 1 mm on a bar of 0.3 mm",
            "%ADD10R,1X1*%\n%ADD11R,3X0.3*%\nD10*\nX-1000000Y0D03*\nX1000000D03*\nD11*\nX0Y0D03*",
            (0.3,),
        ),
        Example(
            "circles of 1 mm, their centres 0.8 mm apart, meet in a chord of 2 root(0.5 x 0.5 - 0.4 x 0.4)",
            "%ADD10C,1*%\nD10*\nX0Y0D03*\nX800000D03*",
            (0.6,),
        ),
        Example(
            "squares of 1 mm shifted by (0.9, 0.9): their inner corners are 0.1 root 2 apart",
            "%ADD10R,1X1*%\nD10*\nX0Y0D03*\nX900000Y900000D03*",
            (0.1414214,),
        ),
        Example(
            "a plus with arms of 0.3 mm",
            "%ADD10R,1X0.3*%\n%ADD11R,0.3X1*%\nD10*\nX0Y0D03*\nD11*\nX0Y0D03*",
            (0.3,),
        ),
        Example(
            "a bow tie 0.5 mm wide with a waist of 0.2 mm",
            region((-0.5, -0.25), (0, -0.1), (0.5, -0.25), (0.5, 0.25), (0, 0.1), (-0.5, 0.25)),
            (0.2,),
        ),
        Example(
            "a trapezoid 0.24 to 0.30 mm wide, 1.5 mm long: 2 x 0.12 cos t / (1 - 0.02 cos t), tan t = 0.02",
            region((0, -0.12), (1.5, -0.15), (1.5, 0.15), (0, 0.12)),
            (0.2448480,),
        ),
        Example(
            "a triangle with sides of 1 mm: its incircle, 1 / root 3",
            region((0, 0), (1, 0), (0.5, 0.866025)),
            (0.5773501,),
        ),
        Example("a tip of 10 degrees, 1 mm long", region((0, 0), (1, -0.087489), (1, 0.087489)), (0.0,)),
        Example(
            "a home plate: the walls below its tip of 90 degrees are as far apart as the opening is wide",
            region((0, 0), (0.5, 0), (0.5, 0.5), (0.25, 0.75), (0, 0.5)),
            (math.nan,),
        ),
    ),
)
