"""
Thermal coverage: area of the openings on a thermal land over its area.

What: as land-coverage, with all panes on the land together, for lands that carry heat away from below a part.
Their pad is 1.5 mm wide and 3 mm2 large at least, and they are printed in several openings, or lie between
the leads of their part (two pairs of like lands, each the mirror of the other about the middle). Large lands
of connectors, coils and tabs are none, and are judged by land-coverage.

Why: too much solder below the middle of a part lifts it off its leads; too little leaves voids and no way for
the heat.

How: as land-coverage.

Cannot see: which other pad a data sheet's percentage is of, as of the part's own metal; vias that drain the
solder; and what the part needs.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, Needs, Readings, Redraws, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import UM_PER_MM, shown

_WANTED: Final = ((0.050, 0.75), (0.075, 0.70), (0.100, 0.65), (0.125, 0.55))
"""Coverage to aim at in foils of some thickness: the same height of paste (`common practice, no source`)."""
_LARGEST_PANE_MM: Final = 3.0
_STEP_UM: Final = 5


@dataclass(frozen=True, slots=True)
class Params:
    """What panes are cut with."""

    pane_web_mm: float = 0.4
    """Web between panes."""


def measure(m: Measurements, scope: Scope[Params]) -> Readings:
    """Coverage of each thermal land."""
    found = m.on_lands.coverage
    rows = np.flatnonzero(m.on_lands.is_thermal[found.land])
    return Readings(found.value[rows], found.error[rows] + ROUNDING, found.opening[rows], params=scope.params)


def wish(m: Measurements, failed: Readings, _limit: float) -> Wish:
    """Panes for the land, in words."""
    on_lands = m.on_lands
    pad = on_lands.lands.pad[on_lands.lands_of(failed.opening, failed.values)]
    sides_mm = np.column_stack([on_lands.pad_sides.width_mm[pad], on_lands.pad_sides.length_mm[pad]]).round(6)
    share = float(np.interp(m.foil.thickness_mm, *np.array(_WANTED).T))
    web_mm = failed.params.pane_web_mm if isinstance(failed.params, Params) else Params().pane_web_mm
    kinds, kind = np.unique(sides_mm, axis=0, return_inverse=True)
    texts = [_in_words((width, length), share, web_mm) for width, length in kinds.tolist()]
    return Wish(advice=np.array(texts, np.object_)[kind.reshape(-1)])


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """With what all its openings grow by, as far as there is land, and less what they lose."""
    return changed.coverage(readings.opening, readings.values)


def _in_words(sides_mm: tuple[float, float], share: float, web_mm: float) -> str:
    """Panes that cover a share of a land; fewer than two each way only where webs would take too much."""
    scale = math.sqrt(share)
    count = [max(2, math.ceil(scale * side / _LARGEST_PANE_MM)) for side in sides_mm]
    while max(count) > 1 and any(
        scale * side + (n - 1) * web_mm > side for side, n in zip(sides_mm, count, strict=True)
    ):
        count = [
            n - 1 if scale * side + (n - 1) * web_mm > side else n
            for side, n in zip(sides_mm, count, strict=True)
        ]
    pane = [_stepped(scale * side / n) for side, n in zip(sides_mm, count, strict=True)]
    covered = math.prod(count) * math.prod(pane) / math.prod(sides_mm)
    size = f"{shown(pane[0], 'mm').removesuffix(' mm')} x {shown(pane[1], 'mm')}"
    if max(count) == 1:
        return f"print one opening of {size}: {100 * covered:.0f} % of the land"
    webs = f"webs of at least {shown(web_mm, 'mm')}"
    return f"print {count[0]} x {count[1]} panes of {size} with {webs}: {100 * covered:.0f} % of the land"


def _stepped(length_mm: float) -> float:
    """Rounded down to what people draw."""
    return math.floor(length_mm * UM_PER_MM / _STEP_UM + 1e-6) * _STEP_UM / UM_PER_MM


def _panes(size: str, places_nm: tuple[int, ...]) -> str:
    flashes = [f"X{x}Y{y}D03*" for y in places_nm for x in places_nm]
    return "\n".join([f"%ADD10R,{size}*%", "D10*", *flashes])


def _leads(size: str) -> str:
    """What is in the middle, and two leads above and two below it."""
    flashes = [f"X{x}Y{y}D03*" for y in (-2_300_000, 2_300_000) for x in (-250_000, 250_000)]
    return "\n".join([f"%ADD11R,{size}*%", "D10*", "X0Y0D03*", "D11*", *flashes])


CHECK = Check(
    title="Thermal coverage",
    quantity="thermal coverage",
    unit=Unit.RATIO,
    worse=Worse.BOTH,
    definition=(
        "area of all openings on the land / land area, for lands of 1.5 mm and 3 mm2 at least that have "
        "several, or lie between leads (our own definition)"
    ),
    error_bound="as land-coverage",
    measure=measure,
    wish=wish,
    outlook=outlook,
    redraws=Redraws.LAND,
    foresees=False,
    params=Params,
    needs=Needs.LANDS,
    examples=(
        Example(
            "four panes of 1.08 mm on a land of 2.45 mm: 4.6656 / 6.0025",
            _panes("1.08X1.08", (-640_000, 640_000)),
            (0.7772761,),
            land="%ADD10R,2.45X2.45*%\nD10*\nX0Y0D03*",
            mask="%ADD10R,2.55X2.55*%\nD10*\nX0Y0D03*",
        ),
        Example(
            "four panes of 1.29 mm on a land of 3.1 mm: 6.6564 / 9.61",
            _panes("1.29X1.29", (-845_000, 845_000)),
            (0.6926535,),
            land="%ADD10R,3.1X3.1*%\nD10*\nX0Y0D03*",
            mask="%ADD10R,3.2X3.2*%\nD10*\nX0Y0D03*",
        ),
        Example(
            "one opening over a whole land of 3 mm, opened by the mask in an area, between four leads",
            "%ADD10R,3X3*%\n" + _leads("0.25X0.8"),
            (1.0,),
            land="%ADD10R,5X3.4*%\n" + _leads("0.3X0.8"),
            mask="%ADD10R,3X3*%\n" + _leads("0.4X0.9"),
        ),
        Example(
            "one opening over a land of 3 mm by itself is no thermal one's",
            "%ADD10R,3X3*%\nD10*\nX0Y0D03*",
            (),
            land="%ADD10R,3X3*%\nD10*\nX0Y0D03*",
            mask="%ADD10R,3X3*%\nD10*\nX0Y0D03*",
        ),
    ),
)
