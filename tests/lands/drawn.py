"""Lands of layers written as Gerber statements."""

import numpy as np

from pastecheck.drawing import FloatArray
from pastecheck.lands import Lands, lands_of
from pastecheck.units import NM_PER_MM
from tests.drawn import mm_layer, read_text

PAD = ("%ADD10R,1X0.6*%", "D10*", "X0Y0D03*")
"""0.6 mm2."""
WINDOW = ("%ADD10R,1.2X0.8*%", "D10*", "X0Y0D03*")
"""0.1 mm larger on all sides."""
PEN = ("%ADD20C,0.2*%", "D20*")


def made(copper: tuple[str, ...], mask: tuple[str, ...] | None = WINDOW) -> Lands:
    """Lands of copper in a mask, both in millimetres."""
    opened = None if mask is None else read_text(mm_layer(*mask))
    return lands_of(read_text(mm_layer(*copper)), opened)


def areas_mm2(lands: Lands) -> list[float]:
    return [round(float(area), 9) for area in lands.shapes.area_mm2[lands.shape]]


def pads_mm2(lands: Lands) -> list[float]:
    return [round(float(area), 9) for area in lands.shapes.area_mm2[lands.pad]]


def middles_mm(lands: Lands) -> FloatArray:
    """Centroids. Shape (k, 2)."""
    origin = np.column_stack([lands.x_nm, lands.y_nm]) / NM_PER_MM
    return origin + lands.shapes.centroid_mm[lands.shape]


def line(*places_mm: tuple[float, float]) -> tuple[str, ...]:
    """Strokes along a path."""
    first, *others = [f"X{1e6 * x:.0f}Y{1e6 * y:.0f}" for x, y in places_mm]
    return f"{first}D02*", *(f"{one}D01*" for one in others)


def area(*corners_mm: tuple[float, float]) -> tuple[str, ...]:
    """A filled polygon."""
    return "G36*", *line(*corners_mm, corners_mm[0]), "G37*"


SEA = area((-9, -9), (9, -9), (9, 9), (-9, 9))
"""Copper all about the origin."""
