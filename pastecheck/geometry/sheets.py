"""How the openings lie on a sheet: margins, whether they fit, and the smallest sheet that takes them."""

from typing import NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray


class Fit(NamedTuple):
    """How much is to spare on a sheet, and whether the layer has to be turned by 90 degrees for it."""

    spare_mm: float
    is_turned: bool


def sheet_fit(extent_mm: tuple[float, float], usable_mm: tuple[float, float], margin_mm: float) -> Fit:
    """
    What is to spare of the usable sides after extent and both margins, in the narrower direction.

    The better of both orientations; as it lies where both are as good. Negative: too small by so much.

    Args:
        extent_mm: Of the openings, or of the board where its outline is known.
        usable_mm: Sides of the area that can be cut.
        margin_mm: Wanted on all sides.

    Example:
        >>> sheet_fit((100, 160), (210 - 20, 297 - 20), 15)
        Fit(spare_mm=60, is_turned=False)
    """
    (x, y), (across, along) = extent_mm, usable_mm
    straight = min(across - x, along - y) - 2 * margin_mm
    turned = min(across - y, along - x) - 2 * margin_mm
    return Fit(turned, is_turned=True) if turned > straight else Fit(straight, is_turned=False)


def smallest_sheet_mm(
    extent_mm: tuple[float, float], margin_mm: float, unusable_mm: float
) -> tuple[float, float]:
    """Sides of the smallest sheet, the short one first: extent, margins, and what is unusable at edges."""
    short, long = sorted(extent_mm)
    more = 2 * (margin_mm + unusable_mm)
    return short + more, long + more


def centred_mm(
    bounds_mm: tuple[float, float, float, float], usable_mm: tuple[float, float]
) -> tuple[float, float, float, float]:
    """
    Usable area of a sheet with the openings in its middle, turned by 90 degrees where that leaves more.

    Args:
        bounds_mm: Extent of all openings: min x, min y, max x, max y.
        usable_mm: Sides of the area that can be cut.

    Returns:
        Min x, min y, max x, max y, in the coordinates of the layer.
    """
    low_x, low_y, high_x, high_y = bounds_mm
    across, along = usable_mm
    if sheet_fit((high_x - low_x, high_y - low_y), usable_mm, 0.0).is_turned:
        across, along = along, across
    middle_x, middle_y = (low_x + high_x) / 2, (low_y + high_y) / 2
    return middle_x - across / 2, middle_y - along / 2, middle_x + across / 2, middle_y + along / 2


def edge_margins_mm(bounds_mm: FloatArray, area_mm: tuple[float, float, float, float]) -> FloatArray:
    """
    Distance of each opening from the edge of an area, as of a usable sheet or a board; negative beyond it.

    The board may be given by its box where its outline is a rectangle; an opening beyond a side is so far
    out as its farthest point.

    Args:
        bounds_mm: Boxes of openings: min x, min y, max x, max y. Shape (n, 4).
        area_mm: The same of the area.

    Returns:
        Exact for the boxes. Shape (n,).
    """
    area = np.array(area_mm)
    margins: FloatArray = np.minimum(bounds_mm[:, :2] - area[:2], area[2:] - bounds_mm[:, 2:]).min(axis=1)
    return margins
