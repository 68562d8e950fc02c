"""
How things lie on the page: the openings, the frame about them, marks in its corners, a coupon beside it.

In millimetres, x to the right and y up from the page's lower left corner, before anything is scaled.
"""

import math
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray
from pastecheck.measurements import Sheet
from pastecheck.rulesets import OutlineSettings
from pastecheck.units import UM_PER_MM

Box = tuple[float, float, float, float]
"""Min x, min y, max x, max y."""

COUPON_MM: Final = (100.0, 13.0)
"""Length of the line, and height of what stands on it."""
MARK_MM: Final = (4.0, 2.0)
"""What a registration mark takes at most."""
_GAP_MM: Final = 4.0
"""Between frame and coupon."""
_LEAST_MM: Final = 1.0
"""From openings to the frame, and beside a mark: else cuts would meet (common practice, no source)."""
_EDGE_MM: Final = 5.0
"""Of the page, where no sheet is known."""


class Layout(NamedTuple):
    """Where things lie."""

    page_mm: tuple[float, float]
    is_turned: bool
    """Whether the layer is turned by 90 degrees, counter-clockwise."""
    openings: Box
    frame: Box | None
    marks: Box | None
    """Registration marks have their middles at its corners."""
    coupon: Box | None
    """Higher than wide where it stands upright, beside the frame."""
    notes: tuple[str, ...]
    """What could not be as it was asked for."""


class _Way(NamedTuple):
    """One way to lay things out."""

    is_turned: bool
    has_coupon: bool
    is_upright: bool
    """The coupon."""
    margin_mm: float


def laid_out(
    extent_mm: tuple[float, float], settings: OutlineSettings, sheet: Sheet | None, scale: FloatArray
) -> Layout:
    """
    Things on the sheet, or on a page as large as they need where none is known.

    What does not fit is left out or made smaller, and told: first the coupon, then the margin. The openings
    are never left out: where the sheet is too small for them, the page is larger than it.

    Args:
        extent_mm: Width and height of all openings together.
        settings: What is asked for.
        sheet: What goes into the cutter.
        scale: What all will be multiplied by, in x and in y. Shape (2,).
    """
    margin_mm = settings.margin_mm
    ways = [
        _Way(turned, coupon, upright, margin_mm)
        for coupon, upright in ((settings.coupon, False), (settings.coupon, True), (False, False))
        for turned in (False, True)
    ]
    if sheet is None:
        return _placed(extent_mm, settings, ways[0], _page_mm(_size_mm(extent_mm, ways[0]), scale))
    room_mm = np.array(sheet.usable_mm) / scale
    page_mm = sheet.width_mm, sheet.height_mm
    for way in ways:
        if (_size_mm(extent_mm, way) <= room_mm).all():
            return _placed(extent_mm, settings, way, page_mm)
    return _crowded(extent_mm, settings, room_mm, page_mm)


def _crowded(
    extent_mm: tuple[float, float],
    settings: OutlineSettings,
    room_mm: FloatArray,
    page_mm: tuple[float, float],
) -> Layout:
    """On a sheet that is too small for the margin, or for the openings."""
    ways = [_Way(turned, has_coupon=False, is_upright=False, margin_mm=0.0) for turned in (False, True)]
    spare_mm = [float((room_mm - _size_mm(extent_mm, way)).min()) for way in ways]
    way, most_mm = ways[spare_mm[1] > spare_mm[0]], max(spare_mm)
    if most_mm < 0:
        x, y = (f"{side + 2 * settings.margin_mm:.1f}" for side in extent_mm)
        what = f"The sheet is too small for the openings: with margins it takes {x} x {y} mm."
        way = way._replace(margin_mm=settings.margin_mm)
        page_mm = _page_mm(_size_mm(extent_mm, way), room_mm / room_mm)
        return _placed(extent_mm, settings, way, page_mm, what)
    way = way._replace(margin_mm=math.floor(most_mm / 2 * UM_PER_MM) / UM_PER_MM)
    asked, has = (f"{margin_mm:.1f} mm" for margin_mm in (settings.margin_mm, way.margin_mm))
    what = f"The margin is {has}, not {asked}: the sheet has no room for more."
    return _placed(extent_mm, settings, way, page_mm, what)


def _size_mm(extent_mm: tuple[float, float], way: _Way) -> FloatArray:
    """What all takes. Shape (2,)."""
    size_mm = np.array(extent_mm[::-1] if way.is_turned else extent_mm) + 2 * way.margin_mm
    if not way.has_coupon:
        return size_mm
    long, high = COUPON_MM
    across, along = size_mm.tolist()
    if way.is_upright:
        return np.array([across + _GAP_MM + high, max(along, long)])
    return np.array([max(across, long), along + _GAP_MM + high])


def _placed(
    extent_mm: tuple[float, float],
    settings: OutlineSettings,
    way: _Way,
    page_mm: tuple[float, float],
    told: str = "",
) -> Layout:
    """All in the middle of the page, on whole micrometres; the coupon below the frame or right of it."""
    size_mm = _size_mm(extent_mm, way)
    across, along = _size_mm(extent_mm, way._replace(has_coupon=False)).tolist()
    x, y = np.round((np.array(page_mm) - size_mm) / 2, 3).tolist()
    long, high = COUPON_MM
    frame_x, frame_y, coupon = x, y, None
    if way.has_coupon and way.is_upright:
        frame_y = round(y + (size_mm[1] - along) / 2, 3)
        coupon = x + across + _GAP_MM, y, x + across + _GAP_MM + high, y + long
    elif way.has_coupon:
        frame_x, frame_y = round(x + (size_mm[0] - across) / 2, 3), y + high + _GAP_MM
        coupon = x, y, x + long, y + high
    frame = frame_x, frame_y, frame_x + across, frame_y + along
    has_frame, has_marks = way.margin_mm >= _LEAST_MM, way.margin_mm >= max(MARK_MM) + 2 * _LEAST_MM
    lost = {
        "the coupon": settings.coupon and not way.has_coupon,
        "the registration marks": settings.marks and not has_marks,
        "the frame": settings.frame and not has_frame,
    }
    notes = [f"There is no room for {name}." for name, is_lost in lost.items() if is_lost]
    return Layout(
        page_mm=page_mm,
        is_turned=way.is_turned,
        openings=_grown(frame, -way.margin_mm),
        frame=frame if settings.frame and has_frame else None,
        marks=_grown(frame, -way.margin_mm / 2) if settings.marks and has_marks else None,
        coupon=coupon,
        notes=(told, *notes) if told else tuple(notes),
    )


def _page_mm(size_mm: FloatArray, scale: FloatArray) -> tuple[float, float]:
    """The page about things, in whole millimetres."""
    across, along = np.ceil(size_mm * scale + 2 * _EDGE_MM).tolist()
    return across, along


def _grown(box: Box, by_mm: float) -> Box:
    low_x, low_y, high_x, high_y = box
    return low_x - by_mm, low_y - by_mm, high_x + by_mm, high_y + by_mm
