"""
Copper and solder mask of one side -> the table of lands.

A land is a connected part of what is both copper and free of mask: copper alone merges with tracks and pours.
Each opening of the mask is a window, and only what is seen in windows is looked at, so that no pour is ever
merged as a whole; windows that look the same are one kind.

Without a mask only flashes count, as if the mask were open over them and nowhere else.
"""

from dataclasses import replace
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, Drawing, Kind
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.uniting import Work
from pastecheck.lands import profile
from pastecheck.lands.gathering import gathered
from pastecheck.lands.parts import Sources, parts_of
from pastecheck.lands.profile import Profile, profile_of
from pastecheck.lands.table import NOTHING_KNOWN, Board, Lands
from pastecheck.lands.windows import windows_of
from pastecheck.limits import STANDARD, Limits
from pastecheck.looks import looks_of
from pastecheck.openings import cut_from
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
    opened = cut_from(mask, limits, everything=True)
    try:
        looks, look = looks_of(copper, limits)
        windows = windows_of(opened, copper, looks, look, limits)
        work = Work(limits, len(copper.strokes.turn) + len(copper.contours.turn))
        sources = Sources(opened, copper, looks, look)
        return replace(gathered(windows, parts_of(windows, sources, work), sources), diagnostics=said)
    except TooMuchError as found:
        raise found.in_file(copper.path) from None


def _flashes_of(drawing: Drawing) -> Drawing:
    """What is flashed dark, as if the mask were open there."""
    flashed: BoolArray = (drawing.kind == Kind.FLASH) & drawing.dark
    rows = np.flatnonzero(flashed)
    columns = ("kind", "what", "dark", "x_nm", "y_nm", "label", "purpose", "line")
    return replace(drawing, **{name: getattr(drawing, name)[rows] for name in columns})
