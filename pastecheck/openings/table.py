"""The table of openings, and of the distinct outlines they have."""

from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import AttributeSet, FloatArray, IntArray
from pastecheck.geometry.dissolve import steiner
from pastecheck.geometry.outlines import FLATNESS_MM, rounded
from pastecheck.source import Diagnostic
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]


@dataclass(frozen=True, eq=False, slots=True)
class Shapes:
    """
    The distinct outlines of a layer, each about its own origin; all columns have s rows.

    Every shape is the set of points within `radius_mm` of `core`. A circle is a point with a radius, an
    obround a line, a rounded rectangle a rectangle; everything else is a polygon with radius 0. So area,
    perimeter, width and distance of standard shapes need no flattened curve.
    """

    outline: GeometryArray
    """Polygons in mm, curves flattened to `tolerance_mm`."""
    core: GeometryArray
    """Points, lines or polygons in mm."""
    radius_mm: FloatArray
    tolerance_mm: FloatArray
    """How far core and radius can be from the true outline: 0 where they are exact."""
    area_mm2: FloatArray
    perimeter_mm: FloatArray
    centroid_mm: FloatArray
    """Shape (s, 2)."""
    bounds_mm: FloatArray
    """Shape (s, 4): min x, min y, max x, max y."""

    @property
    def flatness_mm(self) -> FloatArray:
        """How far each outline, curves flattened, can be from the true one. Shape (s,)."""
        return np.where(self.radius_mm > 0, np.maximum(self.tolerance_mm, FLATNESS_MM), self.tolerance_mm)

    @staticmethod
    def grown(core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray) -> "Shapes":
        """All that there is to know of outlines, from cores and radii. Shape (s,) each."""
        area_mm2, perimeter_mm = steiner(core, radius_mm)
        return Shapes(
            rounded(core, radius_mm),
            core,
            radius_mm,
            tolerance_mm,
            area_mm2,
            perimeter_mm,
            shapely.get_coordinates(shapely.centroid(core)),
            shapely.bounds(core).reshape(-1, 4) + np.outer(radius_mm, [-1, -1, 1, 1]),
        )

    def and_more(self, others: "Shapes") -> "Shapes":
        """These, and others behind them."""
        columns = {
            name: np.concatenate([getattr(self, name), getattr(others, name)])
            for name in Shapes.__dataclass_fields__
        }
        return Shapes(**columns)

    def __len__(self) -> int:
        """Number of distinct outlines."""
        return len(self.outline)


def boxes_mm(shapes: Shapes, shape: IntArray, x_nm: IntArray, y_nm: IntArray) -> FloatArray:
    """Boxes about outlines in their places: min x, min y, max x, max y. Shape (n, 4)."""
    place_mm = np.column_stack([x_nm, y_nm]) / NM_PER_MM
    placed_mm: FloatArray = shapes.bounds_mm[shape] + np.tile(place_mm, 2)
    return placed_mm


def boxes_nm(shapes: Shapes, shape: IntArray, x_nm: IntArray, y_nm: IntArray) -> IntArray:
    """Boxes about outlines in their places, at most 1 nm too large. Shape (n, 4)."""
    of_shape = shapes.bounds_mm * NM_PER_MM
    box = np.concatenate([np.floor(of_shape[:, :2]), np.ceil(of_shape[:, 2:])], axis=1).astype(np.int64)
    placed: IntArray = box[shape] + np.column_stack([x_nm, y_nm, x_nm, y_nm])
    return placed


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What was drawn and merged, and taken for no opening, for one reason."""

    code: str
    """Of the diagnostic that tells it."""
    count: int
    area_mm2: float


_COLUMNS: Final = ("shape", "x_nm", "y_nm", "line", "label", "of_object", "of_aperture")


@dataclass(frozen=True, eq=False, slots=True)
class Openings:
    """Holes to be cut, sorted by place; all columns have n rows and are locked."""

    shapes: Shapes
    shape: IntArray
    """Row of `shapes`."""
    x_nm: IntArray
    """Place of the outline's origin."""
    y_nm: IntArray
    line: IntArray
    """Line of the file where the opening is first drawn, from 1."""
    label: IntArray
    """Row of `labels`; row 0 is the empty text."""
    labels: tuple[str, ...]
    of_object: IntArray
    """Row of `object_sets`; row 0 is the empty set."""
    of_aperture: IntArray
    """Row of `aperture_sets`; row 0 is the empty set."""
    object_sets: tuple[AttributeSet, ...]
    """Attributes of objects, those that tell the label too; of an opening in pieces those of all pieces."""
    aperture_sets: tuple[AttributeSet, ...]
    """The same, of apertures and regions."""
    in_inches: bool
    """Whether the file gives lengths in inches."""
    diagnostics: tuple[Diagnostic, ...] = ()
    """What was drawn and is no opening."""
    step_mm: float = 0.0
    """The last digit of a coordinate in the file, or in the one that it was made from."""
    left_out: tuple[LeftOut, ...] = ()
    """With the openings: every separate outline with an area that the layer draws."""

    def __post_init__(self) -> None:
        """Lock the columns, so that they can be shared without care."""
        for name in _COLUMNS:
            getattr(self, name).flags.writeable = False

    def columns(self, rows: IntArray) -> dict[str, Any]:
        """The columns of some of the openings, by name. Shape (k,) each."""
        return {name: getattr(self, name)[rows] for name in _COLUMNS}

    def some(self, rows: IntArray) -> "Openings":
        """Some of the openings, in the order that is given. Shape (k,)."""
        return replace(self, **self.columns(rows))

    def unnamed(self) -> "Openings":
        """The same without labels and attributes."""
        nothing = np.zeros(len(self), np.int64)
        return replace(
            self,
            label=nothing,
            of_object=nothing,
            of_aperture=nothing,
            labels=("",),
            object_sets=((),),
            aperture_sets=((),),
        )

    def named_as(self, others: "Openings", row: IntArray) -> "Openings":
        """The same with labels and attributes of others, each of the row that is given. Shape (n,)."""
        return replace(
            self,
            label=others.label[row],
            of_object=others.of_object[row],
            of_aperture=others.of_aperture[row],
            labels=others.labels,
            object_sets=others.object_sets,
            aperture_sets=others.aperture_sets,
        )

    def __len__(self) -> int:
        """Number of openings."""
        return len(self.shape)
