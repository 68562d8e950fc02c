"""The table of looks, and the columns it is gathered in."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.dissolve import Look, column_of
from pastecheck.geometry.outlines import Chains, neighbours, rounded
from pastecheck.geometry.pairs import placed
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]


@dataclass(frozen=True, eq=False, slots=True)
class Looks:
    """Distinct looks, each about its own origin; all columns have shape (k,)."""

    outline: GeometryArray
    """Polygon or multipolygon in mm; empty where nothing has an area."""
    core: GeometryArray
    """None where a look is no solid."""
    radius_mm: FloatArray
    tolerance_mm: FloatArray
    bounds_nm: IntArray
    """Shape (k, 4), never too small."""
    whole: BoolArray
    """Whether the outline is one polygon, so that it can be an opening by itself."""
    crosses: BoolArray
    """Whether a contour or a macro's outline crosses itself, so that readers differ about its area."""

    def row(self, k: int) -> Look:
        """One look."""
        return Look(self.outline[k], self.core[k], float(self.radius_mm[k]), float(self.tolerance_mm[k]))

    def placed(self, rows: IntArray, x_mm: FloatArray, y_mm: FloatArray) -> list[Look]:
        """Looks moved to their places. Shape (k,)."""
        outline, core = placed(self.outline[rows], x_mm, y_mm), self.core[rows]
        solid = shapely.is_geometry(core)
        core[solid] = placed(core[solid], x_mm[solid], y_mm[solid])
        radius_mm, tolerance_mm = self.radius_mm[rows].tolist(), self.tolerance_mm[rows].tolist()
        return [Look(*one) for one in zip(outline, core, radius_mm, tolerance_mm, strict=True)]


class Columns(NamedTuple):
    """Looks of one kind, as in `Looks`."""

    outline: GeometryArray
    core: GeometryArray
    radius_mm: FloatArray
    tolerance_mm: FloatArray
    crosses: BoolArray

    def take(self, rows: IntArray) -> "Columns":
        """Some of them."""
        columns: Iterable[Any] = self
        return Columns(*(column[rows] for column in columns))

    def put(self, rows: IntArray, looks: "Columns") -> None:
        """Others in place of some of them."""
        for column, values in zip(self, looks, strict=True):
            column[rows] = values


def columns_of(looks: Sequence[Look]) -> Columns:
    """Looks that were made one by one."""
    return Columns(
        column_of([look.outline for look in looks]),
        column_of([look.core for look in looks]),
        np.array([look.radius_mm for look in looks], np.float64),
        np.array([look.tolerance_mm for look in looks], np.float64),
        np.zeros(len(looks), bool),
    )


def nothings(count: int) -> Columns:
    """Looks of things without an area."""
    return columns_of([Look(shapely.Polygon(), None, 0.0, 0.0)] * count)


def solids(core: GeometryArray, radius_mm: FloatArray) -> Columns:
    """Looks that are exact: only their pictures are flattened."""
    has_area = (radius_mm > 0) | (shapely.area(core) > 0)
    return Columns(
        rounded(core, radius_mm),
        only(core, has_area),
        radius_mm,
        np.zeros(len(core)),
        np.zeros(len(core), bool),
    )


def only(core: GeometryArray, kept: BoolArray) -> GeometryArray:
    """The cores that are kept, None in place of the others."""
    result = np.full(len(core), None, object)
    result[kept] = core[kept]
    return result


def joined(columns: Sequence[Columns]) -> Columns:
    """One behind the other."""
    if not columns:
        return nothings(0)
    return Columns(*(np.concatenate(column) for column in zip(*columns, strict=True)))


def table_of(columns: Columns) -> Looks:
    """The columns, with what they tell at once."""
    outline, core, radius_mm, tolerance_mm, crosses = columns
    solid = shapely.is_geometry(core)
    reach_mm = np.where(solid, radius_mm, tolerance_mm)[
        :, None
    ]  # a flattened curve may lie within the true one
    box = shapely.bounds(np.where(solid, core, outline)).reshape(-1, 4)
    box = np.nan_to_num(np.concatenate([box[:, :2] - reach_mm, box[:, 2:] + reach_mm], axis=1)) * NM_PER_MM
    bounds_nm = np.concatenate([np.floor(box[:, :2]) - 1, np.ceil(box[:, 2:]) + 1], axis=1).astype(np.int64)
    whole = (shapely.get_type_id(outline) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(outline)
    return Looks(outline, core, radius_mm, tolerance_mm, bounds_nm, whole, crosses)


def crossing(rings: Chains, outline: GeometryArray, slack_mm: float) -> BoolArray:
    """
    Whether rings enclose another area by the way they turn than by their mended outlines (odd counts inside).

    Cut-ins, whose sides run there and back along the same line, have the same area either way.

    Args:
        rings: Corners, in mm; the last one of each leads to its first. Length k.
        outline: What the rings were made into. Shape (k,).
        slack_mm: How far the rings may be from what was drawn.
    """
    begin, after = rings.offset[:-1], rings.vertex[neighbours(rings.offset, 1)]
    if not len(begin):
        return np.zeros(0, bool)
    (x, y), (next_x, next_y) = rings.vertex.T, after.T
    turning_mm2 = np.abs(np.add.reduceat(x * next_y - next_x * y, begin)) / 2
    length_mm = np.add.reduceat(np.hypot(next_x - x, next_y - y), begin)
    crosses: BoolArray = np.abs(turning_mm2 - shapely.area(outline)) > slack_mm * length_mm
    return crosses
