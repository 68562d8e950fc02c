"""Layers cut to files, and read back."""

from dataclasses import replace
from typing import Any

from pastecheck.cuts import CutFile, cut_file
from pastecheck.measurements import Measurements, Sheet
from pastecheck.rulesets import Cutting, OutlineSettings, Pass
from tests.cuts import reading
from tests.drawn import FOIL, cut

PLAIN = OutlineSettings(coupon=False, marks=False, frame=False)
SLOTS = ("%ADD10R,0.25X1.5*%", "D10*", *(f"X{500_000 * column}Y0D03*" for column in range(7)))
"""Seven slots of 0.25 x 1.5 mm at a pitch of 0.5 mm."""


def layer(*drawn: str, sheet: Sheet | None = None) -> Measurements:
    return Measurements(cut(*drawn), FOIL, sheet=sheet)


def scaled(x: float, y: float) -> Cutting:
    return Cutting((Pass(),), scale_x=x, scale_y=y)


def file_of(m: Measurements, side: str = "top", cutting: Cutting | None = None, **said: Any) -> CutFile:
    return cut_file(m, side, replace(PLAIN, **said), cutting)


def text_of(file: CutFile) -> str:
    return "".join(file.chunks())


def laid(m: Measurements, side: str = "top", cutting: Cutting | None = None, **said: Any) -> reading.Sheet:
    return reading.read(text_of(file_of(m, side, cutting, **said)))
