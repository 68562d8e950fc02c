"""Short layers for tests, and what is asked of them."""

import numpy as np

from pastecheck import gerber
from pastecheck.drawing import Drawing, FloatArray, IntArray, Mark
from pastecheck.limits import STANDARD, Limits
from pastecheck.openings import cut_from

HEAD = ("%FSLAX46Y46*%", "%MOMM*%")


def read(*lines: str, head: tuple[str, ...] = HEAD, limits: Limits = STANDARD) -> Drawing:
    """What lines draw, behind a header of 4.6 digits in millimetres and before M02."""
    return gerber.read("\n".join([*head, *lines, "M02*\n"]).encode(), "layer.gbr", limits)


def flashes(drawing: Drawing) -> list[tuple[float, float]]:
    """Places of objects in mm."""
    return list(zip((drawing.x_nm / 1e6).tolist(), (drawing.y_nm / 1e6).tolist(), strict=True))


def marks(drawing: Drawing, aperture: int = 0) -> list[Mark]:
    """The marks of an aperture, whatever primitive they are of."""
    return [mark for primitive in drawing.apertures[aperture].primitives for mark in primitive.marks]


def corners(mark: Mark) -> list[tuple[float, float]]:
    """Core of a mark, rounded to the nanometre and without negative zeros."""
    return [(float(x), float(y)) for x, y in np.round(mark.core_mm, 6) + 0.0]


def areas(drawing: Drawing) -> FloatArray:
    """Areas of the openings that a drawing leaves, in mm2."""
    openings = cut_from(drawing)
    area: FloatArray = openings.shapes.area_mm2[openings.shape]
    return area


def contour(drawing: Drawing, number: int = 0) -> IntArray:
    """Corners of a contour about its first point, in nm. Shape (k, 2)."""
    begin, end = drawing.contours.offset[number : number + 2].tolist()
    return drawing.contours.point_nm[begin:end]


def signed_area(drawing: Drawing, number: int = 0) -> float:
    """Of a contour with straight edges, in mm2, by the shoelace formula: positive counter-clockwise."""
    x, y = (contour(drawing, number) / 1e6).T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)
