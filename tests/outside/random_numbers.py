"""What the writers of random layers share: features that are switched on, and numbers that never coincide."""

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from hypothesis import strategies as st

T = TypeVar("T")

GOLDEN = 0.6180339887498949


class Feature(StrEnum):
    """What a layer may hold beyond flashes of C, R, O and upright P, straight strokes, regions, polarity."""

    INCHES = "lengths in inches"
    FEW_DECIMALS = "formats with 3 to 5 decimals"
    TRAILING = "trailing zeros left out, deprecated"
    TURNED_POLYGON = "P with a rotation"
    HOLE = "round holes in standard apertures"
    RECTANGULAR_HOLE = "rectangular holes, deprecated"
    ZERO_SIZE = "circles without a diameter"
    MACRO = "macros of primitives 1, 4, 20 and 21"
    MACRO_POLYGON = "macro primitive 5"
    MACRO_THERMAL = "macro primitive 7"
    MACRO_MOIRE = "macro primitive 6, deprecated"
    MACRO_VECTOR = "macro primitive 2, deprecated"
    MACRO_LOWER_LEFT = "macro primitive 22, deprecated"
    OFF_CENTRE = "macro primitives 5, 6 and 7 that are turned about a point outside their centre"
    MACRO_CUT = "macro primitives that cut"
    MACRO_ARITHMETIC = "parameters, variables and arithmetic in macros"
    MACRO_MANY = "macros with variables beyond $9"
    MACRO_MINUS = "signs before parentheses, and negative numbers within expressions"
    MACRO_UNDEFINED = "variables that nothing defines, in macros"
    ARC = "arcs with a round pen"
    FULL_CIRCLE = "arcs that end where they began"
    QUADRANT = "G74 arcs, deprecated"
    RECTANGULAR_PEN = "strokes with R, deprecated"
    CONVEX_PEN = "strokes with O and P"
    REGION_ARC = "regions with arcs"
    CUT_IN = "contours with cut-ins"
    CLEAR = "LPC"
    MIRROR = "LM"
    ROTATE = "LR"
    SCALE = "LS"
    TURNED_PEN = "strokes drawn with a pen that is mirrored, turned or scaled"
    REPEAT = "SR"
    REPEAT_FROM_ANYWHERE = "SR closed with a current point away from (0, 0)"
    BLOCK = "AB"
    TURNED_BLOCK = "blocks flashed mirrored, turned or scaled, and such flashes within"
    CLEAR_BLOCK = "LPC within AB, and blocks flashed under LPC"
    MODAL_COORDINATE = "a coordinate that does not change left out"
    MODAL_OPERATION = "D01 left out after D01, deprecated"
    COMMENT = "comments and attributes"
    LEGACY = "G54 G70 G71 G90 IN LN and neutral AS IR MI OF SF IP, deprecated"
    JOINED = "G01 and D01 in one statement, deprecated"
    STYLE = "other line ends, or none"
    SHORT_CODE = "G1, D1 and plus signs"
    SHARED_BLOCK = "several commands between two percent signs, deprecated"


EVERYTHING = frozenset(Feature)

TURNS = frozenset({Feature.MIRROR, Feature.ROTATE, Feature.SCALE})

SUBJECTS = {
    "everything": EVERYTHING,
    "apertures": frozenset(
        {Feature.HOLE, Feature.RECTANGULAR_HOLE, Feature.TURNED_POLYGON, Feature.ZERO_SIZE, Feature.INCHES}
    )
    | TURNS,
    "macros": frozenset(one for one in Feature if one.name.startswith("MACRO"))
    | {Feature.OFF_CENTRE, Feature.INCHES},
    "paths": frozenset(
        {
            Feature.ARC,
            Feature.FULL_CIRCLE,
            Feature.QUADRANT,
            Feature.RECTANGULAR_PEN,
            Feature.CONVEX_PEN,
            Feature.TURNED_PEN,
            Feature.REGION_ARC,
            Feature.CUT_IN,
            Feature.CLEAR,
            Feature.MODAL_COORDINATE,
            Feature.MODAL_OPERATION,
        }
    )
    | TURNS,
    "copies": frozenset(
        {
            Feature.MACRO,
            Feature.CLEAR,
            Feature.REPEAT,
            Feature.REPEAT_FROM_ANYWHERE,
            Feature.BLOCK,
            Feature.TURNED_BLOCK,
            Feature.CLEAR_BLOCK,
        }
    )
    | TURNS,
    "writing": frozenset(
        {
            Feature.INCHES,
            Feature.FEW_DECIMALS,
            Feature.TRAILING,
            Feature.ARC,
            Feature.REGION_ARC,
            Feature.CLEAR,
            Feature.MODAL_COORDINATE,
            Feature.MODAL_OPERATION,
            Feature.COMMENT,
            Feature.LEGACY,
            Feature.JOINED,
            Feature.STYLE,
            Feature.SHORT_CODE,
            Feature.SHARED_BLOCK,
        }
    ),
}
"""Features that have to do with one another: a layer of fewer kinds of things holds more of each."""


@dataclass
class Choices:
    """Draws what is random of a layer, and scales lengths to the unit of the file."""

    draw: st.DrawFn
    features: frozenset[Feature]
    unit_mm: float = 1.0
    drawn: int = 0

    def has(self, *features: Feature) -> bool:
        """Whether all these features may be used."""
        return self.features.issuperset(features)

    def may(self, *features: Feature) -> bool:
        """Whether something is done, for which all these features are needed."""
        return self.has(*features) and self.draw(st.booleans())

    def between(self, low: float, high: float) -> float:
        """A number that differs from any other, so that things seldom touch by a hair; low ones first."""
        self.drawn += 1
        whole = self.draw(st.integers(0, 63))
        return low + (high - low) * (whole + self.drawn * GOLDEN % 1.0) / 64

    def length(self, low_mm: float, high_mm: float) -> float:
        """In the unit of the file."""
        return self.between(low_mm, high_mm) / self.unit_mm

    def size(self, low_mm: float = 0.3, high_mm: float = 2.0) -> str:
        return f"{self.length(low_mm, high_mm):.6f}"

    def count(self, low: int, high: int) -> int:
        return self.draw(st.integers(low, high))

    def one_of(self, *which: T) -> T:
        return self.draw(st.sampled_from(which))
