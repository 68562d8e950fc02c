"""
Copper and solder mask of one side -> the table of lands.

A land is a connected part of what is both copper and free of mask: copper alone merges with tracks and pours.
Each opening of the mask is a window, and only what is seen in windows is looked at, so that no pour is ever
merged as a whole; windows that look the same are one kind.

Without a mask only flashes count, as if the mask were open over them and nowhere else; what lies on other
copper is not known to lie on a land, nor to lie off all.
"""

from dataclasses import replace
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, Drawing, Kind
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.uniting import Work
from pastecheck.lands import profile
from pastecheck.lands.gathering import areas_mm2, gathered
from pastecheck.lands.parts import Parts, Sources, parts_of
from pastecheck.lands.profile import Profile, profile_of
from pastecheck.lands.table import NOTHING_KNOWN, Board, Lands
from pastecheck.lands.windows import Windows, windows_of
from pastecheck.limits import STANDARD, Limits
from pastecheck.looks import looks_of
from pastecheck.openings import Openings, cut_from
from pastecheck.source import Diagnostic, DiagnosticLevel, Documented, Span

__all__ = [
    "DIAGNOSTICS",
    "ERRORS",
    "NOTHING_KNOWN",
    "Board",
    "Lands",
    "Profile",
    "lands_of",
    "profile_of",
    "unsure_below",
]

WITHOUT_MASK: Final = "lands-without-mask"

DIAGNOSTICS: Final[dict[str, Documented]] = {
    WITHOUT_MASK: Documented(
        "no mask was named with the copper, so how it is drawn tells what is land: flashed pads are, areas "
        "and tracks are not",
        "name the solder mask of the same side too: --mask FILE",
    ),
    **profile.DIAGNOSTICS,
}

ERRORS: Final = profile.ERRORS

MOST_UNSURE: Final = 0.1
"""
Without a mask, share of an opening on copper that was not flashed beyond which its land is not known: a pad
that was drawn as an area may have a flashed via in it (`common practice, no source`).
"""


def lands_of(copper: Drawing, mask: Drawing | None, limits: Limits = STANDARD) -> Lands:
    """
    Lands of one side of a board.

    Args:
        copper: The copper of that side.
        mask: Its solder mask, drawn as openings; without it only flashed pads are lands.
        limits: How much is taken at most.

    Raises:
        NoOpeningsError: If the mask opens nothing (or, without one, nothing is flashed).
        GerberUnsupportedError: If a limit is passed.
    """
    said: tuple[Diagnostic, ...] = ()
    if mask is None:
        mask = _flashes_of(copper)
        text = "without a mask only flashed pads count as lands, not areas or tracks; add --mask FILE"
        said = (Diagnostic(WITHOUT_MASK, DiagnosticLevel.NOTE, text, Span(copper.path)),)
    return replace(
        gathered(*_seen(copper, cut_from(mask, limits, everything=True), limits)), diagnostics=said
    )


def unsure_below(copper: Drawing, openings: Openings, limits: Limits = STANDARD) -> BoolArray:
    """
    Whether, without a mask, nobody knows if openings of a paste layer lie on lands. Shape (n,).

    They are those with more than `MOST_UNSURE` of their area on copper that was not flashed.

    Raises:
        GerberUnsupportedError: If a limit is passed.
    """
    seen_mm2, flashed_mm2 = (
        areas_mm2(*_seen(drawing, openings, limits)) for drawing in (copper, _flashes_of(copper))
    )
    own_mm2 = openings.shapes.area_mm2[openings.shape]
    unsure: BoolArray = seen_mm2 - flashed_mm2 > MOST_UNSURE * own_mm2
    return unsure


def _seen(copper: Drawing, mask: Openings, limits: Limits) -> tuple[Windows, Parts, Sources]:
    """What of the copper is seen in each opening of a mask."""
    try:
        looks, look = looks_of(copper, limits)
        windows = windows_of(mask, copper, looks, look, limits)
        work = Work(limits, len(copper.strokes.turn) + len(copper.contours.turn))
        sources = Sources(mask, copper, looks, look)
        return windows, parts_of(windows, sources, work), sources
    except TooMuchError as found:
        raise found.in_file(copper.path) from None


def _flashes_of(drawing: Drawing) -> Drawing:
    """What is flashed dark, as if the mask were open there."""
    flashed: BoolArray = (drawing.kind == Kind.FLASH) & drawing.dark
    return drawing.some(np.flatnonzero(flashed))
