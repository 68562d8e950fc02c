"""Clusters -> openings: what stands alone and what each group merges into, and how it was drawn."""

from dataclasses import dataclass

import numpy as np
import shapely

from pastecheck.clusters import Clusters
from pastecheck.drawing import Aperture, BoolArray, Drawing, IntArray, Kind
from pastecheck.geometry.dissolve import Look, Part, column_of, dissolved, flatness_of, is_convex, steiner
from pastecheck.geometry.uniting import Work
from pastecheck.limits import STANDARD, Limits
from pastecheck.looks import Looks
from pastecheck.openings.attributes import Pieces, attached_to
from pastecheck.openings.table import Openings, Shapes
from pastecheck.ragged import offsets, rows_of_runs
from pastecheck.units import NM_PER_MM


@dataclass(frozen=True, eq=False, slots=True)
class Drawn:
    """How each distinct outline was drawn; all columns have shape (s,)."""

    pen_nm: IntArray
    """Widest aperture where strokes alone drew it, else 0."""
    flashed: BoolArray
    """Whether it is one flash that nothing touches."""
    pieces: IntArray
    """How many dark objects lie in it."""


def holes_of(
    drawing: Drawing, looks: Looks, look: IntArray, clusters: Clusters, limits: Limits = STANDARD
) -> tuple[Openings, Drawn]:
    """Objects that stand alone, and the parts of each distinct cluster in all its places; unsorted."""
    alone = clusters.alone
    used, shape_of_alone = np.unique(look[alone], return_inverse=True)
    work = Work(limits, len(drawing.strokes.turn) + len(drawing.contours.turn))
    parts = [
        _parts_of(drawing, looks, look, clusters, example, work) for example in clusters.example.tolist()
    ]
    every = [part for group in parts for part in group]
    shapes = shapes_of([*(looks.row(row) for row in used.tolist()), *(part.look for part in every)])

    part_count = np.array([len(group) for group in parts], np.int64)
    repeats = part_count[clusters.kind]
    instance = np.repeat(np.arange(len(clusters.kind)), repeats)
    part = rows_of_runs(offsets(part_count)[:-1][clusters.kind], repeats)
    pieces = _pieces_of(clusters, every, instance, part)
    line, label, labels = _told_of_parts(drawing, pieces)
    attached = attached_to(drawing, clusters, pieces, (label, labels), limits)
    holes = Openings(
        shapes,
        np.concatenate([shape_of_alone, len(used) + part]),
        np.concatenate([drawing.x_nm[alone], clusters.x_nm[instance]]),
        np.concatenate([drawing.y_nm[alone], clusters.y_nm[instance]]),
        np.concatenate([drawing.line[alone], line]),
        np.concatenate([drawing.label[alone], label]),
        labels,
        *attached,
        drawing.in_inches,
        step_mm=drawing.step_mm,
    )
    example = np.zeros(len(used), np.int64)
    example[shape_of_alone] = alone
    return holes, _drawn(drawing, clusters, example, parts)


def _drawn(drawing: Drawing, clusters: Clusters, alone: IntArray, parts: list[list[Part]]) -> Drawn:
    """How shapes were drawn: first those of single objects, then the parts of each kind of cluster."""
    members = [
        clusters.member[clusters.offset[example] + part.members]
        for example, group in zip(clusters.example.tolist(), parts, strict=True)
        for part in group
    ]
    thing = np.concatenate([alone, *members])
    pieces = np.array([1] * len(alone) + [len(of_part) for of_part in members], np.int64)
    if not len(thing):
        return Drawn(pieces, np.zeros(0, bool), pieces)
    begin = offsets(pieces)[:-1]
    stroke = drawing.kind[thing] == Kind.STROKE
    pen_nm = np.zeros(len(thing), np.int64)
    pen_nm[stroke] = _pens_nm(drawing, drawing.strokes.aperture[drawing.what[thing[stroke]]])
    return Drawn(
        np.where(np.logical_and.reduceat(stroke, begin), np.maximum.reduceat(pen_nm, begin), 0),
        (drawing.kind[thing[begin]] == Kind.FLASH) & (np.arange(len(pieces)) < len(alone)),
        pieces,
    )


def _pens_nm(drawing: Drawing, aperture: IntArray) -> IntArray:
    """How wide apertures are that draw strokes, the longer way of those that are not round."""
    used, inverse = np.unique(aperture, return_inverse=True)
    wide_nm = [_width_nm(drawing.apertures[row]) for row in used.tolist()]
    return np.array(wide_nm, np.int64)[inverse]


def _width_nm(aperture: Aperture) -> int:
    mark = aperture.primitives[0].marks[0]
    return round((2 * mark.radius_mm + float(np.ptp(mark.core_mm, axis=0).max())) * NM_PER_MM)


def _parts_of(
    drawing: Drawing, looks: Looks, look: IntArray, clusters: Clusters, example: int, work: Work
) -> list[Part]:
    """What a cluster dissolves into, about the cluster's origin."""
    member = clusters.member[clusters.offset[example] : clusters.offset[example + 1]]
    work.expect(looks.outline, look[member])
    dx_mm = (drawing.x_nm[member] - clusters.x_nm[example]) / NM_PER_MM
    dy_mm = (drawing.y_nm[member] - clusters.y_nm[example]) / NM_PER_MM
    return dissolved(looks.placed(look[member], dx_mm, dy_mm), drawing.dark[member], work)


def _pieces_of(clusters: Clusters, parts: list[Part], instance: IntArray, part: IntArray) -> Pieces:
    """The dark objects in each part, in each of its places."""
    if not len(part):
        return Pieces(part, part)
    count = np.array([len(one.members) for one in parts], np.int64)
    member = np.concatenate([one.members for one in parts])
    rows = rows_of_runs(offsets(count)[:-1][part], count[part])
    thing = clusters.member[np.repeat(clusters.offset[instance], count[part]) + member[rows]]
    return Pieces(thing, offsets(count[part])[:-1])


def _told_of_parts(drawing: Drawing, pieces: Pieces) -> tuple[IntArray, IntArray, tuple[str, ...]]:
    """First line and label of each part in each of its places; and all labels, some of several components."""
    thing, begin = pieces
    if not len(begin):
        return begin, begin, drawing.labels
    line = np.minimum.reduceat(drawing.line[thing], begin)
    label = drawing.label[thing]
    highest = np.maximum.reduceat(label, begin)
    lowest = np.minimum.reduceat(np.where(label, label, np.iinfo(np.int64).max), begin)
    end = np.append(begin[1:], len(thing))
    row_of = {text: row for row, text in enumerate(drawing.labels)}
    for row in np.flatnonzero((lowest < highest) & (highest > 0)).tolist():
        both = {drawing.labels[k] for k in label[begin[row] : end[row]].tolist() if k}
        highest[row] = row_of.setdefault("+".join(sorted(both)), len(row_of))
    return line, highest, tuple(row_of)


def shapes_of(looks: list[Look]) -> Shapes:
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
