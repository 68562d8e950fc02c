"""
What a layer file drew, in columns.

The reader ends here and geometry starts here: numbers and codes, nothing of either. A drawing is a list of
objects in drawing order. An object is a flash, a stroke (one straight or circular piece) or one contour of
a region, placed in whole nanometres; what it looks like stands in a table of its kind.
"""

from dataclasses import dataclass, replace
from enum import IntEnum
from typing import Any, Final, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pastecheck.source import Diagnostic

FloatArray: TypeAlias = NDArray[np.float64]
IntArray: TypeAlias = NDArray[np.int64]
CodeArray: TypeAlias = NDArray[np.int8]
BoolArray: TypeAlias = NDArray[np.bool_]


class Kind(IntEnum):
    """The three ways in which a layer file draws."""

    FLASH = 0
    STROKE = 1
    REGION = 2


class Attribute(NamedTuple):
    """One attribute command: `TF`, `TA`, `TO` or `TD`, a name and values, escapes decoded."""

    kind: str
    name: str
    values: tuple[str, ...]


AttributeSet: TypeAlias = tuple[Attribute, ...]
"""Attributes that are attached to something: of one kind, each name once, in order."""


class Mark(NamedTuple):
    """
    A piece of an aperture: every point within `radius_mm` of a core.

    One core point with a radius is a disc, two are a bar with round ends, three or more are a closed polygon
    (last point not repeated, either direction, simple). Rectangles and polygons have radius 0; a rectangle
    or a square-ended line is a core of four points.
    """

    core_mm: FloatArray
    """Shape (k, 2), about the aperture's origin, transforms applied."""
    radius_mm: float
    adds: bool
    """Whether the mark adds to what its primitive has so far, or cuts it away."""


class Primitive(NamedTuple):
    """Marks composed in order from nothing, then added to or cut from the aperture so far."""

    adds: bool
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Aperture:
    """A drawing tool with its mirroring, rotation and scaling already applied."""

    number: int
    """The D-code."""
    name: str
    """C, R, O, P or the macro's name."""
    primitives: tuple[Primitive, ...]
    line: int
    """Where it is defined."""


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """
    Pieces drawn with an aperture, each about its own starting point; rows need not differ.

    `turn` is 0 for a straight piece, 1 for a counter-clockwise arc, -1 for a clockwise one. An arc whose end
    is its start is a full circle. Centres are relative to the start too and are 0 where there is no arc.
    """

    aperture: IntArray
    """Row of `Drawing.apertures`. Shape (s,). Such an aperture has one primitive of one mark."""
    end_nm: IntArray
    """Shape (s, 2)."""
    centre_nm: IntArray
    """Shape (s, 2)."""
    turn: CodeArray
    """Shape (s,)."""


@dataclass(frozen=True, slots=True, eq=False)
class Contours:
    """
    Closed contours of regions, each about its own first point, which is (0, 0) and not repeated.

    Row k of the point columns is a vertex and the edge that leaves it for the next vertex of its contour
    (from the last vertex: to the first). `turn` and `centre_nm` describe that edge as in `Strokes`, the
    centre being relative to the contour's first point. A contour of one row is a full circle.
    """

    offset: IntArray
    """Contour c has the rows offset[c] to offset[c + 1]. Shape (c + 1,)."""
    point_nm: IntArray
    """Shape (v, 2)."""
    centre_nm: IntArray
    """Shape (v, 2)."""
    turn: CodeArray
    """Shape (v,)."""


_COLUMNS: Final = (
    "kind",
    "what",
    "dark",
    "x_nm",
    "y_nm",
    "label",
    "purpose",
    "of_object",
    "of_aperture",
    "line",
)


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """A layer file as objects in drawing order. All object columns have shape (n,) and are locked."""

    kind: CodeArray
    """A `Kind` for each object."""
    what: IntArray
    """Row of `apertures`, `strokes` or `contours`, by kind."""
    dark: BoolArray
    """False where the object removes what was drawn before it."""
    x_nm: IntArray
    """Flash point, start of the stroke or first point of the contour."""
    y_nm: IntArray
    label: IntArray
    """Row of `labels`; row 0 is the empty text."""
    purpose: IntArray
    """Row of `purposes`; row 0 is the empty text."""
    of_object: IntArray
    """Row of `object_sets`; row 0 is the empty set."""
    of_aperture: IntArray
    """Row of `aperture_sets`; row 0 is the empty set."""
    line: IntArray
    """Line of the file that draws it, from 1. Copies (blocks, step and repeat) keep their original's."""
    apertures: tuple[Aperture, ...]
    strokes: Strokes
    contours: Contours
    labels: tuple[str, ...]
    """Component references."""
    purposes: tuple[str, ...]
    """Values of .AperFunction, such as `SMDPad,CuDef`: what apertures and regions are for."""
    object_sets: tuple[AttributeSet, ...]
    """Distinct sets of object attributes (TO), those that tell the label too."""
    aperture_sets: tuple[AttributeSet, ...]
    """Distinct sets of attributes of apertures and regions (TA), those that tell the purpose too."""
    path: str
    function: str
    """Value of .FileFunction, such as `Paste,Top`, or ""."""
    in_inches: bool
    """Whether the file gives lengths in inches; its coordinates are then rounded to no round millimetres."""
    diagnostics: tuple[Diagnostic, ...]
    step_mm: float = 0.0
    """
    The last digit of a coordinate, or of one that the layer was made from: no place is nearer to what was
    meant than half of it.
    """

    def __post_init__(self) -> None:
        """Lock the columns, so that they can be shared without care."""
        for name in _COLUMNS:
            getattr(self, name).flags.writeable = False

    def some(self, rows: IntArray) -> "Drawing":
        """Some of the objects, in order. Shape (k,)."""
        columns: dict[str, Any] = {name: getattr(self, name)[rows] for name in _COLUMNS}
        return replace(self, **columns)

    def __len__(self) -> int:
        """Number of objects."""
        return len(self.kind)
