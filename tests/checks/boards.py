"""Checks of lands, board and sheet, read from layers that are written as Gerber statements."""

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from pastecheck.check import Readings, Scope
from pastecheck.checks import catalogue
from pastecheck.measurements import Foil, Measurements, Sheet
from tests.drawn import board, cut

Place = tuple[float, float]


class Layers(NamedTuple):
    """Drawing commands of the layers of one side."""

    paste: str
    land: str = ""
    mask: str = ""
    outline: str = ""


def flashes(aperture: str, *places_mm: Place, number: int = 10) -> str:
    """One aperture at some places."""
    drawn = [f"X{1e6 * x:.0f}Y{1e6 * y:.0f}D03*" for x, y in places_mm]
    return "\n".join([f"%ADD{number}{aperture}*%", f"D{number}*", *drawn])


def stroke(pen: str, *path_mm: Place, number: int = 20) -> str:
    """A path drawn with a pen."""
    first, *others = [f"X{1e6 * x:.0f}Y{1e6 * y:.0f}" for x, y in path_mm]
    return "\n".join(
        [f"%ADD{number}{pen}*%", f"D{number}*", f"{first}D02*", *(f"{one}D01*" for one in others)]
    )


def row(count: int, pitch_mm: float, x_mm: float = 0.0, y_mm: float = 0.0) -> list[Place]:
    """Places to the right of one another."""
    return [(x_mm + k * pitch_mm, y_mm) for k in range(count)]


def measured(layers: Layers, thickness_mm: float = 0.1, sheet: Sheet | None = None) -> Measurements:
    openings = cut(layers.paste)
    known = board(openings, layers.land, layers.mask, layers.outline)
    foil = Foil("film", "polyester", thickness_mm)
    return Measurements(openings, foil, sheet=sheet, board=known)


def readings(check_id: str, m: Measurements, reach: float = 1.0, **params: Any) -> Readings:
    """What a check reads with some settings."""
    check = catalogue()[check_id]
    return check.measure(m, Scope(check.params(**params), reach))


def reads(check_id: str, layers: Layers, reach: float = 1.0, **params: Any) -> list[float]:
    """As `readings`, the values alone, to ten digits."""
    found = readings(check_id, measured(layers), reach, **params)
    return [round(value, 10) for value in found.values.tolist()]


def holds(found: Readings, wanted: Sequence[float]) -> bool:
    """Whether readings are what is wanted, each within its own bound."""
    pairs = zip(found.values.tolist(), found.error.tolist(), wanted, strict=True)
    return all(abs(value - true) <= error for value, error, true in pairs)


def wishes(check_id: str, m: Measurements, limit: float) -> list[str]:
    """What a check advises where all its readings are past a limit."""
    advice = catalogue()[check_id].wish(m, readings(check_id, m), limit).advice
    return [] if advice is None else advice.tolist()


def lens_mm2(r: float, s: float, d: float) -> float:
    """
    Area that two circles have in common whose middles are apart by d.

    r² acos((d² + r² - s²) / 2dr) + s² acos((d² + s² - r²) / 2ds) - half the root of
    (-d + r + s)(d + r - s)(d - r + s)(d + r + s).
    """
    root = math.sqrt((-d + r + s) * (d + r - s) * (d - r + s) * (d + r + s))
    one = r * r * math.acos((d * d + r * r - s * s) / (2 * d * r))
    other = s * s * math.acos((d * d + s * s - r * r) / (2 * d * s))
    return one + other - root / 2
