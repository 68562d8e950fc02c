"""Drawing -> Openings: the table of holes to be cut."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.clusters import Clusters, clusters_of
from pastecheck.drawing import BoolArray, Drawing, FloatArray, IntArray
from pastecheck.errors import NoOpeningsError
from pastecheck.geometry.dissolve import Look, Part, column_of, dissolved, flatness_of, is_convex, steiner
from pastecheck.limits import STANDARD, Limits
from pastecheck.looks import Looks, looks_of
from pastecheck.ragged import offsets, rows_of_runs
from pastecheck.source import Diagnostic, DiagnosticLevel, Span
from pastecheck.units import NM_PER_MM, quoted, shown_um

GeometryArray = NDArray[np.object_]

SLIVER_MM2 = 0.002
"""What is smaller than this is a sliver, no opening: `common practice, no source`."""
SLIVER_MM = 0.02
"""And what is narrower than this everywhere: `common practice, no source`."""

DIAGNOSTICS: Final[dict[str, str]] = {
    "sliver": "something too small or too narrow to be an opening is left; it was left out",
    "zero-size": "something is drawn with no area; it opens nothing",
    "drawn-twice": "the same thing is drawn again at the same place; it is cut once",
    "shared-opening": "lands of different components run together into one opening",
    "crossing-contour": "a contour or macro outline crosses itself: readers differ about what lies inside",
    "coarse-format": "the file's coordinates have so few decimals that lengths near a limit cannot be told",
}
"""What is told of things drawn, by code: all are warnings but `drawn-twice`, which is a note."""

COARSE_MM = 0.0026
"""Steps of coordinates beyond which a file is coarse: four decimals of an inch are 2.54 um, and in use."""

_NM_PER_UM = 1000
_LINES_SHOWN = 8


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

    def __len__(self) -> int:
        """Number of distinct outlines."""
        return len(self.outline)


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
    in_inches: bool
    """Whether the file gives lengths in inches."""
    diagnostics: tuple[Diagnostic, ...] = ()
    """What was drawn and is no opening."""
    step_mm: float = 0.0
    """The last digit of a coordinate in the file."""

    def __post_init__(self) -> None:
        """Lock the columns, so that they can be shared without care."""
        for column in (self.shape, self.x_nm, self.y_nm, self.line, self.label):
            column.flags.writeable = False

    def __len__(self) -> int:
        """Number of openings."""
        return len(self.shape)


def cut_from(
    drawing: Drawing,
    limits: Limits = STANDARD,  # noqa: ARG001 -- being built
    *,
    everything: bool = False,  # noqa: ARG001 -- being built
) -> Openings:
    """
    The openings that a drawing leaves: what overlaps or abuts is one, what does not stays apart.

    Things that touch in a single point stay two openings. Nothing is left out without a diagnostic.

    Raises:
        NoOpeningsError: If nothing is left to cut.
    """
    looks, look = looks_of(drawing)
    clusters = clusters_of(drawing, looks, look)
    holes = _holes(drawing, looks, look, clusters)
    sliver = _is_sliver(holes.shapes)[holes.shape]
    said = (
        *_said_of_crossings(drawing, looks, look),
        *_said_of_nothing(drawing, looks, look),
        *_said_of_slivers(holes, sliver, drawing.path),
        *_said_of_repeats(drawing, clusters.again),
        *_said_of_shared(holes, drawing),
        *_said_of_steps(drawing),
    )
    if sliver.all():
        hint = "; ".join(diagnostic.text for diagnostic in said) or "check that it is the right layer"
        raise NoOpeningsError("the layer holds nothing to cut", Span(drawing.path), hint)
    order = np.flatnonzero(~sliver)
    order = order[_by_place(holes, order)]
    return replace(
        holes,
        shape=holes.shape[order],
        x_nm=holes.x_nm[order],
        y_nm=holes.y_nm[order],
        line=holes.line[order],
        label=holes.label[order],
        diagnostics=said,
    )


def _holes(drawing: Drawing, looks: Looks, look: IntArray, clusters: Clusters) -> Openings:
    """Objects that stand alone, and the parts of each distinct cluster in all its places; unsorted."""
    alone = clusters.alone
    used, shape_of_alone = np.unique(look[alone], return_inverse=True)
    parts = [_parts_of(drawing, looks, look, clusters, example) for example in clusters.example.tolist()]
    every = [part for group in parts for part in group]
    shapes = _shapes([*(looks.row(row) for row in used.tolist()), *(part.look for part in every)])

    part_count = np.array([len(group) for group in parts], np.int64)
    repeats = part_count[clusters.kind]
    instance = np.repeat(np.arange(len(clusters.kind)), repeats)
    part = rows_of_runs(offsets(part_count)[:-1][clusters.kind], repeats)
    line, label, labels = _told_of_parts(drawing, clusters, every, instance, part)
    return Openings(
        shapes,
        np.concatenate([shape_of_alone, len(used) + part]),
        np.concatenate([drawing.x_nm[alone], clusters.x_nm[instance]]),
        np.concatenate([drawing.y_nm[alone], clusters.y_nm[instance]]),
        np.concatenate([drawing.line[alone], line]),
        np.concatenate([drawing.label[alone], label]),
        labels,
        drawing.in_inches,
        step_mm=drawing.step_mm,
    )


def _parts_of(drawing: Drawing, looks: Looks, look: IntArray, clusters: Clusters, example: int) -> list[Part]:
    """What a cluster dissolves into, about the cluster's origin."""
    member = clusters.member[clusters.offset[example] : clusters.offset[example + 1]]
    dx_mm = (drawing.x_nm[member] - clusters.x_nm[example]) / NM_PER_MM
    dy_mm = (drawing.y_nm[member] - clusters.y_nm[example]) / NM_PER_MM
    return dissolved(looks.placed(look[member], dx_mm, dy_mm), drawing.dark[member])


def _told_of_parts(
    drawing: Drawing, clusters: Clusters, parts: list[Part], instance: IntArray, part: IntArray
) -> tuple[IntArray, IntArray, tuple[str, ...]]:
    """First line and label of each part in each of its places; and all labels, some of several components."""
    if not len(part):
        return part, part, drawing.labels
    count = np.array([len(one.members) for one in parts], np.int64)
    member = np.concatenate([one.members for one in parts])
    rows = rows_of_runs(offsets(count)[:-1][part], count[part])
    begin = offsets(count[part])[:-1]
    thing = clusters.member[np.repeat(clusters.offset[instance], count[part]) + member[rows]]
    line = np.minimum.reduceat(drawing.line[thing], begin)
    label = drawing.label[thing]
    highest = np.maximum.reduceat(label, begin)
    lowest = np.minimum.reduceat(np.where(label, label, np.iinfo(np.int64).max), begin)
    labels = dict.fromkeys(drawing.labels)
    for row in np.flatnonzero((lowest < highest) & (highest > 0)).tolist():
        both = {drawing.labels[k] for k in label[begin[row] : begin[row] + count[part[row]]].tolist() if k}
        labels.setdefault("+".join(sorted(both)))
        highest[row] = list(labels).index("+".join(sorted(both)))
    return line, highest, tuple(labels)


def _shapes(looks: list[Look]) -> Shapes:
    """The table of distinct outlines."""
    outline = column_of([look.outline for look in looks])
    solid = np.array([look.core is not None and is_convex(look) for look in looks], dtype=bool)
    core = np.where(solid, column_of([look.core for look in looks]), outline)
    radius_mm = np.where(solid, [look.radius_mm for look in looks], 0.0)
    tolerance_mm = np.where(
        solid, [look.tolerance_mm for look in looks], [flatness_of(look) for look in looks]
    )
    area_mm2, perimeter_mm = steiner(core, radius_mm)
    bounds_mm = shapely.bounds(core).reshape(-1, 4) + np.outer(radius_mm, [-1, -1, 1, 1])
    centroid_mm = shapely.get_coordinates(shapely.centroid(outline))
    return Shapes(outline, core, radius_mm, tolerance_mm, area_mm2, perimeter_mm, centroid_mm, bounds_mm)


def _is_sliver(shapes: Shapes) -> BoolArray:
    """Whether a shape is too small or too narrow everywhere to be an opening. Shape (s,)."""
    sliver = shapes.area_mm2 < SLIVER_MM2
    # what is narrower than a width everywhere has at most half its perimeter times that width
    thin = np.flatnonzero(~sliver & (shapes.area_mm2 < SLIVER_MM * shapes.perimeter_mm))
    sliver[thin] = shapely.is_empty(shapely.buffer(shapes.outline[thin], -SLIVER_MM / 2))
    return sliver


def _by_place(holes: Openings, rows: IntArray) -> IntArray:
    """Order of openings by the row, then the column of their centroids, in whole micrometres."""
    shape = holes.shape[rows]
    centroid_nm = np.rint(holes.shapes.centroid_mm[shape] * NM_PER_MM).astype(np.int64)
    x_um = (holes.x_nm[rows] + centroid_nm[:, 0] + _NM_PER_UM // 2) // _NM_PER_UM
    y_um = (holes.y_nm[rows] + centroid_nm[:, 1] + _NM_PER_UM // 2) // _NM_PER_UM
    return np.lexsort((holes.line[rows], holes.shapes.area_mm2[shape], x_um, y_um))


def _said_of_slivers(holes: Openings, sliver: BoolArray, path: str) -> tuple[Diagnostic, ...]:
    lines = np.unique(holes.line[sliver])
    if not len(lines):
        return ()
    what = f"{_many(np.count_nonzero(sliver), 'sliver')} left out as no opening"
    rule = f"area below {SLIVER_MM2} mm2 or narrower than {SLIVER_MM} mm everywhere"
    text = f"{what} ({rule}); drawn at {_listed(lines)}"
    return (Diagnostic("sliver", DiagnosticLevel.WARNING, text, Span(path, int(lines[0]), 1)),)


def _said_of_nothing(drawing: Drawing, looks: Looks, look: IntArray) -> tuple[Diagnostic, ...]:
    empty = shapely.is_empty(looks.outline)[look]
    lines = np.unique(drawing.line[empty])
    if not len(lines):
        return ()
    text = (
        f"{_many(np.count_nonzero(empty), 'thing')} drawn with no area, opening nothing, at {_listed(lines)}"
    )
    return (Diagnostic("zero-size", DiagnosticLevel.WARNING, text, Span(drawing.path, int(lines[0]), 1)),)


def _said_of_crossings(drawing: Drawing, looks: Looks, look: IntArray) -> tuple[Diagnostic, ...]:
    crossing = looks.crosses[look]
    lines = np.unique(drawing.line[crossing])
    if not len(lines):
        return ()
    what = f"{_many(np.count_nonzero(crossing), 'thing')} drawn with a contour that crosses itself"
    text = f"{what}, of which what lies inside an odd number of times was taken; drawn at {_listed(lines)}"
    span = Span(drawing.path, int(lines[0]), 1)
    return (Diagnostic("crossing-contour", DiagnosticLevel.WARNING, text, span),)


def _said_of_repeats(drawing: Drawing, again: IntArray) -> tuple[Diagnostic, ...]:
    lines = np.unique(drawing.line[again])
    if not len(lines):
        return ()
    text = f"{_many(len(again), 'thing')} drawn again at the same place, cut once, at {_listed(lines)}"
    return (Diagnostic("drawn-twice", DiagnosticLevel.NOTE, text, Span(drawing.path, int(lines[0]), 1)),)


def _said_of_shared(holes: Openings, drawing: Drawing) -> tuple[Diagnostic, ...]:
    """Openings that features of several components have run together into: they are likely no intention."""
    shared = np.flatnonzero(holes.label >= len(drawing.labels))
    if not len(shared):
        return ()
    names = [quoted(holes.labels[row]) for row in np.unique(holes.label[shared]).tolist()]
    more = f" and {len(names) - _LINES_SHOWN} more" if len(names) > _LINES_SHOWN else ""
    what = f"{_many(len(shared), 'opening')} joining lands of different components"
    lines = _listed(np.unique(holes.line[shared]))
    text = f"{what} ({', '.join(names[:_LINES_SHOWN])}{more}), which will be one deposit; drawn at {lines}"
    span = Span(drawing.path, int(holes.line[shared].min()), 1)
    return (Diagnostic("shared-opening", DiagnosticLevel.WARNING, text, span),)


def _said_of_steps(drawing: Drawing) -> tuple[Diagnostic, ...]:
    if drawing.step_mm <= COARSE_MM:
        return ()
    text = f"coordinates come in steps of {shown_um(drawing.step_mm)}: lengths may be off by as much"
    return (Diagnostic("coarse-format", DiagnosticLevel.WARNING, text, Span(drawing.path, 1, 1)),)


def _many(count: int | np.integer, what: str) -> str:
    return f"{count} {what}{'s' if count != 1 else ''}"


def _listed(lines: IntArray) -> str:
    shown = ", ".join(str(line) for line in lines[:_LINES_SHOWN].tolist())
    more = f" and {len(lines) - _LINES_SHOWN} more" if len(lines) > _LINES_SHOWN else ""
    return f"line{'s' if len(lines) > 1 else ''} {shown}{more}"
