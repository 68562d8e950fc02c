"""
Copper told from paste by what is drawn: tracks that lead from pads, and areas poured around pads.

Both are signs that no paste layer has by intention. A mask cannot be told from paste by what is drawn, for
both open the same pads; nor can copper whose pads are painted and whose areas are small.
"""

from typing import Final

import numpy as np

from pastecheck.drawing import Aperture, BoolArray, Drawing, FloatArray, IntArray, Kind
from pastecheck.ragged import distinct
from pastecheck.units import NM_PER_MM

LEAST_PADS: Final = 5
"""Pads with tracks that make copper. A target may be a dot with rays, and a sheet has four of them."""
LEAST_PADS_SHARE: Final = 0.02
"""And their share of all flashes, so that a mark for each of some thousand openings stays a mark."""
LEAST_POUR: Final = 0.25
"""Share of the layer's extent that one contour fills to be a pour."""
LEAST_AROUND: Final = 10
"""Other things drawn within the extent of a pour: a large land has none."""
LEAST_AROUND_SHARE: Final = 0.1


def tracks_or_pours(drawing: Drawing) -> str:
    """
    What makes a drawing copper, in words; "" where nothing does.

    The limits are ours. Of 116 paste layers of real boards none has a single pad with a track, nor a contour
    that fills a fiftieth of its extent; of 39 copper layers 37 have one or the other.

    Example:
        >>> from pastecheck import gerber
        >>> pads = "".join(f"X{k}000000Y0D03*" for k in range(8))
        >>> tracks = "".join(f"X{k}000000Y0D02*X{k}500000Y5000000D01*" for k in range(6))
        >>> text = "%FSLAX46Y46*%%MOMM*%%ADD10C,1*%%ADD11C,0.2*%D10*" + pads + "D11*" + tracks + "M02*"
        >>> tracks_or_pours(gerber.read(text.encode(), "any.gbr"))
        'tracks lead from 6 of its 8 pads'
    """
    flashes = np.flatnonzero((drawing.kind == Kind.FLASH) & drawing.dark)
    pads = _pads_with_tracks(drawing, flashes)
    if pads >= max(LEAST_PADS, LEAST_PADS_SHARE * len(flashes)):
        return f"tracks lead from {pads} of its {len(flashes)} pads"
    around, area_mm2 = _pour(drawing)
    return f"one area of {area_mm2:.0f} mm2 is poured around {around} other things" if around else ""


def _pads_with_tracks(drawing: Drawing, flashes: IntArray) -> int:
    """How many flashed pads have a stroke that ends in their centre, leaves them and is narrower."""
    strokes = np.flatnonzero((drawing.kind == Kind.STROKE) & drawing.dark)
    if not len(flashes) or not len(strokes):
        return 0
    size_mm = np.array([_size_mm(aperture) for aperture in drawing.apertures])
    row = drawing.what[strokes]
    reach_nm = drawing.strokes.end_nm[row]
    length_mm = np.hypot(*reach_nm.T) / NM_PER_MM
    pen_mm = size_mm[drawing.strokes.aperture[row]].max(axis=1)
    start_nm = np.column_stack([drawing.x_nm[strokes], drawing.y_nm[strokes]])
    ends = _as_numbers(np.concatenate([start_nm, start_nm + reach_nm]))
    places, pad = np.unique(
        _as_numbers(np.column_stack([drawing.x_nm[flashes], drawing.y_nm[flashes]])), return_index=True
    )
    found = np.minimum(np.searchsorted(places, ends), len(places) - 1)
    pad_mm = size_mm[drawing.what[flashes[pad[found]]]]
    leaves: BoolArray = np.tile(length_mm, 2) > np.hypot(*pad_mm.T) / 2
    narrower = np.tile(pen_mm, 2) < pad_mm.min(axis=1)
    return len(distinct(found[(places[found] == ends) & leaves & narrower]))


def _as_numbers(point_nm: IntArray) -> np.ndarray[tuple[int], np.dtype[np.complex128]]:
    """Points as complex numbers, which can be sorted and looked up; exact, for places have below 53 bits."""
    numbers: np.ndarray[tuple[int], np.dtype[np.complex128]] = point_nm[:, 0] + 1j * point_nm[:, 1]
    return numbers


def _size_mm(aperture: Aperture) -> FloatArray:
    """Width and height of an aperture; a block's are 0, as its parts are objects of their own."""
    marks = [mark for primitive in aperture.primitives for mark in primitive.marks if mark.adds]
    if not marks:
        return np.zeros(2)
    low = np.min([mark.core_mm.min(axis=0) - mark.radius_mm for mark in marks], axis=0)
    high = np.max([mark.core_mm.max(axis=0) + mark.radius_mm for mark in marks], axis=0)
    return np.asarray(high - low, dtype=np.float64)


def _pour(drawing: Drawing) -> tuple[int, float]:
    """How many other dark things lie in the box of the largest contour, and its area; 0 if it is no pour."""
    regions = np.flatnonzero((drawing.kind == Kind.REGION) & drawing.dark)
    if not len(regions):
        return 0, 0.0
    area_mm2 = _areas_mm2(drawing)
    region = int(regions[np.argmax(area_mm2[drawing.what[regions]])])
    largest_mm2 = float(area_mm2[drawing.what[region]])
    dark = np.flatnonzero(drawing.dark)
    place_nm = np.column_stack([drawing.x_nm, drawing.y_nm])
    offset = drawing.contours.offset[drawing.what[region] :][:2]
    contour_nm = drawing.contours.point_nm[offset[0] : offset[1]] + place_nm[region]
    low, high = contour_nm.min(axis=0), contour_nm.max(axis=0)
    extent_mm = (np.maximum(place_nm.max(axis=0), high) - np.minimum(place_nm.min(axis=0), low)) / NM_PER_MM
    around = int(((place_nm[dark] >= low) & (place_nm[dark] <= high)).all(axis=1).sum()) - 1
    is_pour = largest_mm2 >= LEAST_POUR * float(extent_mm.prod())
    return (
        (around, largest_mm2)
        if is_pour and around >= max(LEAST_AROUND, LEAST_AROUND_SHARE * len(dark))
        else (0, 0.0)
    )


def _areas_mm2(drawing: Drawing) -> FloatArray:
    """Areas within the corners of contours; arcs count as their chords."""
    offset = drawing.contours.offset
    following = np.arange(1, len(drawing.contours.point_nm) + 1)
    following[offset[1:] - 1] = offset[:-1]
    x_mm, y_mm = (drawing.contours.point_nm / NM_PER_MM).T
    twice_mm2 = x_mm * y_mm[following] - x_mm[following] * y_mm
    return np.abs(np.add.reduceat(twice_mm2, offset[:-1])) / 2
