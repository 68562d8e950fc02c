"""What is cut besides the openings: a coupon, registration marks, the frame."""

from typing import Final

import numpy as np
import shapely

from pastecheck.cuts.hopping import hopping
from pastecheck.cuts.layout import COUPON_MM, MARK_MM, Box
from pastecheck.cuts.page import Page
from pastecheck.cuts.paths import Cuts, paths_of
from pastecheck.cuts.rings import rings_of
from pastecheck.cuts.starts import first_edges, last_edges, overcuts_um
from pastecheck.drawing import FloatArray
from pastecheck.openings import GeometryArray
from pastecheck.units import NM_PER_MM

# the coupon: common practice, no source
SLOT_MM: Final = (0.25, 1.5)
SLOTS: Final = 5
PITCH_MM: Final = 0.5
SQUARE_MM: Final = 0.5
SQUARES: Final = 3
LARGE_MM: Final = 10.0
DISC_MM: Final = MARK_MM[1]

_ABOVE_LINE_MM: Final = COUPON_MM[1] - LARGE_MM
_SQUARES_AT_MM: Final = 15.0
_SQUARES_APART_MM: Final = 2.5
_SLOTS_AT_MM: Final = 27.5


def coupon_paths(page: Page, place: Box, overcut_mm: float) -> list[str]:
    """
    A coupon as paths: slots at a pitch, small squares, a large one, and a line, in this order.

    Args:
        page: What it lies on.
        place: Where; upright where that is higher than wide.
        overcut_mm: As of the openings.
    """
    slots = [_box(_SLOTS_AT_MM + row * PITCH_MM, _ABOVE_LINE_MM, *SLOT_MM) for row in range(SLOTS)]
    slots = [slots[row] for row in hopping(shapely.bounds(np.array(slots)), PITCH_MM).tolist()]
    squares = [
        _box(_SQUARES_AT_MM + row * _SQUARES_APART_MM, _ABOVE_LINE_MM, SQUARE_MM, SQUARE_MM)
        for row in range(SQUARES)
    ]
    large = _box(0.0, _ABOVE_LINE_MM, LARGE_MM, LARGE_MM)
    line = shapely.linestrings([(0.0, 0.0), (COUPON_MM[0], 0.0)])
    *closed, line = _laid(np.array([*slots, *squares, large, line], dtype=object), place)
    web_mm = np.full(len(closed), _SQUARES_APART_MM - SQUARE_MM)
    web_mm[:SLOTS] = PITCH_MM - SLOT_MM[0]
    outlines = np.array(closed, dtype=object)
    return [*closed_paths(page, outlines, np.zeros(len(closed)), web_mm, overcut_mm), _line(page, line)]


def mark_paths(page: Page, corners: Box, overcut_mm: float) -> list[str]:
    """
    Registration marks: discs in three corners, and a triangle in the lower left one.

    The triangle has its right angle at its lower left and its long side below, and no mirror image of it lies
    like that however it is turned: so it tells one side of the foil from the other.
    """
    low_x, low_y, high_x, high_y = corners
    across, along = MARK_MM[0] / 2, MARK_MM[1] / 2
    triangle = shapely.polygons(
        [(low_x - across, low_y - along), (low_x + across, low_y - along), (low_x - across, low_y + along)]
    )
    middles = shapely.points([(high_x, low_y), (high_x, high_y), (low_x, high_y)])
    core = np.array([triangle, *middles], dtype=object)
    radius_mm = np.array([0.0, *[DISC_MM / 2] * len(middles)])
    return closed_paths(page, core, radius_mm, np.full(len(core), np.inf), overcut_mm)


def frame_paths(page: Page, frame: Box, overcut_mm: float) -> list[str]:
    """The line that cuts the foil out of the sheet."""
    outline = np.array([shapely.box(*frame)], dtype=object)
    return closed_paths(page, outline, np.zeros(1), np.full(1, np.inf), overcut_mm)


def closed_paths(
    page: Page, core: GeometryArray, radius_mm: FloatArray, web_mm: FloatArray, overcut_mm: float
) -> list[str]:
    """
    All that lies within a radius of cores as paths, in the order given.

    Args:
        page: What they lie on.
        core: Points or polygons without holes, in mm from the page's lower left corner. Shape (k,).
        radius_mm: Shape (k,).
        web_mm: To the nearest other. Shape (k,).
        overcut_mm: What is asked for.
    """
    about_middle = _moved(core, -page.middle_mm)
    rings = rings_of(about_middle, about_middle, radius_mm, np.zeros(len(core)))
    rows = np.arange(len(core))
    # slots side by side begin at their ends
    edge = np.where(web_mm < PITCH_MM, last_edges(rings, rows), first_edges(rings, rows))
    cuts = Cuts(rows, edge, overcuts_um(rings.length_mm[edge], web_mm, overcut_mm))
    paths = paths_of(rings, cuts, rows, page.scale)
    found: list[str] = (page.begins(paths.begin_nm) + paths.data).tolist()
    return found


def _line(page: Page, line: shapely.Geometry) -> str:
    ends_nm = np.rint((shapely.get_coordinates(line) - page.middle_mm) * NM_PER_MM).astype(np.int64)
    begin, end = page.begins(page.scaled_nm(ends_nm)).tolist()
    return f"{begin}{end.replace('M', 'L')}"


def _laid(every: GeometryArray, place: Box) -> GeometryArray:
    """Things that are drawn from the origin, x along, in their place; upright ones have x and y changed."""
    is_upright = place[3] - place[1] > place[2] - place[0]
    lying = shapely.transform(every, lambda at: at[:, ::-1]) if is_upright else every
    return _moved(np.asarray(lying, dtype=object), np.array(place[:2]))


def _moved(every: GeometryArray, by_mm: FloatArray) -> GeometryArray:
    return np.asarray(shapely.transform(every, lambda at: at + by_mm), dtype=object)


def _box(low_x: float, low_y: float, across: float, along: float) -> shapely.Polygon:
    return shapely.box(low_x, low_y, low_x + across, low_y + along)
