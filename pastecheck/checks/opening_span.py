"""
Opening span: widest place inside the opening.

What: the diameter of the largest disc that fits in the opening. A slot reads its width, however long it is.

Why: where nothing carries the squeegee it dips in and scoops the paste out of the middle, and long edges of
film lift. Large openings are divided into panes by webs.

How: in closed form for circles, obrounds and rounded rectangles; in convex outlines by moving all sides
inward until nothing is left; else from the vertices of the medial axis.

Cannot see: how stiff the squeegee is, and which way it goes.
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
    Redraws,
    Scope,
    Unit,
    Wish,
    Worse,
    region,
)
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import shown

_WEB_MM: Final = 0.4
"""Web between panes, as wide as people cut it in film by knife: `common practice, no source`."""
_LARGEST_PANE_MM: Final = 3.0
"""Panes are no larger either way: `common practice, no source`."""
_RECTANGULAR: Final = 0.9
"""An outline that fills so much of its rectangle can be drawn as panes."""
_LEAST_PANE_MM: Final = 0.5
_ROUNDING: Final = 1e-9


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Span of each opening."""
    span_mm, error_mm, place_mm = m.insides.spans
    return Readings.of_each(span_mm, error_mm + ROUNDING, place_mm)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """In words: panes no larger than the limit, and the share of the opening that they leave open."""
    rows = failed.opening
    sizes = np.column_stack([m.width_mm[rows], m.length_mm[rows], m.area_mm2[rows]]).round(6)
    kinds, kind = np.unique(sizes, axis=0, return_inverse=True)
    most_mm = min(limit, _LARGEST_PANE_MM)
    texts = [_in_words((width, length), area, most_mm) for width, length, area in kinds.tolist()]
    return Wish(advice=np.array(texts, np.object_)[kind.reshape(-1)])


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """The width of a rectangle; in other outlines at most by the larger factor."""
    rows = readings.opening
    across = changed.width_mm[rows] / changed.m.width_mm[rows]
    stretched = changed.most_factor[rows]
    return readings.values * np.where(changed.m.are_rounded_rectangles[rows], across, stretched)


def _in_words(sides_mm: tuple[float, float], area_mm2: float, most_mm: float) -> str:
    """Panes for one opening; no figures where it is no rectangle, nothing where the limit leaves no panes."""
    web = f"webs of {shown(_WEB_MM, 'mm')}"
    whole_mm2 = math.prod(sides_mm)
    if most_mm < _LEAST_PANE_MM:
        return ""
    if area_mm2 < _RECTANGULAR * whole_mm2:
        return f"divide it by {web} into panes of at most {shown(most_mm, 'mm')}"
    count = [math.ceil((side + _WEB_MM) / (most_mm + _WEB_MM) - _ROUNDING) for side in sides_mm]
    pane = [(side + _WEB_MM) / n - _WEB_MM for side, n in zip(sides_mm, count, strict=True)]
    share = math.prod(count) * math.prod(pane) / whole_mm2
    size = f"{shown(pane[0], 'mm').removesuffix(' mm')} x {shown(pane[1], 'mm')}"
    return f"cut it as {count[0]} x {count[1]} panes of {size} with {web}, {100 * share:.0f} % of its area"


CHECK = Check(
    title="Opening span",
    quantity="opening span",
    unit=Unit.MM,
    worse=Worse.ABOVE,
    definition="diameter of the largest disc inside the opening (our own definition)",
    error_bound="float rounding for standard shapes; else 0.2 um, and 0.4 um where curves are flattened; "
    "farther where two curves meet almost as tangents: 0.1 um over the cosine of half their turn",
    measure=measure,
    wish=wish,
    outlook=outlook,
    redraws=Redraws.OPENING,
    examples=(
        Example("a rectangle of 3 x 4 mm", "%ADD10R,3X4*%\nD10*\nX0Y0D03*", (3.0,)),
        Example("a circle of 5 mm", "%ADD10C,5*%\nD10*\nX0Y0D03*", (5.0,)),
        Example("a slot of 1 x 10 mm", "%ADD10R,1X10*%\nD10*\nX0Y0D03*", (1.0,)),
        Example(
            "an L of 6 x 6 mm with arms of 2 mm: r = (2 - r) root 2",
            region((0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6)),
            (2.3431458,),
        ),
    ),
)
