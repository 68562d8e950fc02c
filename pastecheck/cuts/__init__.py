"""
The outlines of a layer's openings as SVG (version 1.1: from memory) at 1:1, for the program of a cutter.

Each opening is one path, none is cut twice, and everything stands in the file in the order in which it is to
be cut, in groups that say so. There is nothing in it that is not cut: what a person has to know stands in
title and description, and in `notes`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from pastecheck.cuts.furniture import coupon_paths, frame_paths, mark_paths
from pastecheck.cuts.layout import Layout, laid_out
from pastecheck.cuts.notes import Job, caution_of, notes_of, title_of
from pastecheck.cuts.order import SizeClass, size_classes
from pastecheck.cuts.page import Page
from pastecheck.cuts.paths import Cuts, Paths, TextArray, paths_of
from pastecheck.cuts.rings import Rings, rings_of
from pastecheck.cuts.starts import Starts, first_edges, overcuts_um, starts_of
from pastecheck.cuts.svg import Group, document
from pastecheck.drawing import IntArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct_rows, within_runs
from pastecheck.rulesets import Cutting, OutlineSettings
from pastecheck.units import NM_PER_MM

__all__ = ["BOTTOM", "CutFile", "Job", "cut_file"]

BOTTOM: Final = "bottom"
_MIRROR: Final = np.array([[-1, 0], [0, 1]])
_QUARTER_TURN: Final = np.array([[0, -1], [1, 0]])
_NO_WEB_MM: Final = np.inf
_NM_PER_UM: Final = 1000


@dataclass(frozen=True, eq=False, slots=True)
class CutFile:
    """A file for the cutter."""

    width_mm: float
    """Of the page."""
    height_mm: float
    notes: tuple[str, ...]
    """What the person who cuts has to know, for the terminal; the file says it as well."""
    warnings: tuple[str, ...]
    """What could not be as it was asked for; among the notes, too."""
    order: IntArray
    """Rows of the openings, as they are cut. Shape (n,)."""
    title: str
    groups: tuple[Group, ...]

    def chunks(self) -> Iterator[str]:
        """The text of the file, in pieces; equal input gives equal bytes."""
        return document(self.width_mm, self.height_mm, self.title, self.notes, self.groups)


def cut_file(
    m: Measurements,
    side: str,
    settings: OutlineSettings,
    cutting: Cutting | None = None,
    job: Job | None = None,
) -> CutFile:
    """
    The file for the cutter.

    Args:
        m: The layer, with its foil, and the sheet where one is known.
        side: top, bottom or unknown; only the bottom is mirrored.
        settings: What the file is to hold.
        cutting: How the cutter is set; by that lengths are scaled.
        job: What the file says of where it is from.

    Raises:
        TooMuchError: If more openings lie close together than are looked at.
    """
    is_mirrored = side == BOTTOM
    low_x, low_y, high_x, high_y = _whole_um(m)
    scale = np.array([1.0, 1.0]) if cutting is None else np.array([cutting.scale_x, cutting.scale_y])
    layout = laid_out(((high_x - low_x) / NM_PER_MM, (high_y - low_y) / NM_PER_MM), settings, m.sheet, scale)
    page = Page(*layout.page_mm, scale)
    classes = size_classes(m.width_mm, m.bounds_nm / NM_PER_MM, settings.hop_mm)
    matrix = _QUARTER_TURN if layout.is_turned else np.eye(2, dtype=np.int64)
    matrix = matrix @ _MIRROR if is_mirrored else matrix
    paths = _opening_paths(m, page, _place_nm(m, layout, page, matrix), matrix, settings)
    groups = _groups(page, layout, classes, paths, settings)
    notes = notes_of(m, side, layout, classes, settings, cutting)
    return CutFile(
        width_mm=page.width_mm,
        height_mm=page.height_mm,
        notes=(*(job.lines if job else ()), *notes, caution_of(job)),
        warnings=layout.notes,
        order=np.concatenate([one.openings for one in classes]),
        title=title_of(side, job),
        groups=groups,
    )


def _whole_um(m: Measurements) -> tuple[int, int, int, int]:
    """The box about all openings in nanometres, to whole micrometres outward, so that the page is even."""
    box = m.bounds_nm
    low = box[:, :2].min(axis=0) // _NM_PER_UM * _NM_PER_UM
    high = -(-box[:, 2:].max(axis=0) // _NM_PER_UM) * _NM_PER_UM
    low_x, low_y, high_x, high_y = np.concatenate([low, high]).tolist()
    return low_x, low_y, high_x, high_y


def _place_nm(m: Measurements, layout: Layout, page: Page, matrix: IntArray) -> IntArray:
    """Where the origin of each opening's shape lies, from the middle of the page, not yet scaled."""
    corners = np.reshape(_whole_um(m), (2, 2)) @ matrix.T
    to_nm = np.rint((np.array(layout.openings[:2]) - page.middle_mm) * NM_PER_MM).astype(np.int64)
    origin = np.column_stack([m.openings.x_nm, m.openings.y_nm]) @ matrix.T
    place: IntArray = origin - corners.min(axis=0) + to_nm
    return place


def _opening_paths(
    m: Measurements, page: Page, place_nm: IntArray, matrix: IntArray, settings: OutlineSettings
) -> TextArray:
    """Path data of each opening. What is equal but for its place is written once."""
    shapes = m.openings.shapes
    drawn = rings_of(shapes.outline, shapes.core, shapes.radius_mm, shapes.tolerance_mm)
    starts = starts_of(m, drawn, settings.overcut_mm)
    rings, moved_to = drawn.turned_over(matrix)
    kinds = distinct_rows(np.column_stack([m.openings.shape, moved_to[starts.edge], starts.overcut_um]))
    shape, edge, overcut_um = (
        column[kinds.first] for column in (m.openings.shape, moved_to[starts.edge], starts.overcut_um)
    )
    paths = _of_kinds(rings, shape, Starts(edge, overcut_um), page, settings.overcut_mm)
    begin_nm = page.scaled_nm(place_nm) + paths.begin_nm[kinds.inverse]
    found: TextArray = page.begins(begin_nm) + paths.data[kinds.inverse]
    return found


def _of_kinds(rings: Rings, shape: IntArray, starts: Starts, page: Page, overcut_mm: float) -> Paths:
    """Paths of shapes: their holes, which are loose when the opening is out, and then their outer rings."""
    count = np.diff(rings.shape)[shape]
    thing, nth = np.repeat(np.arange(len(shape)), count), within_runs(count)
    backward = count[thing] - 1 - nth
    ring = rings.shape[:-1][shape][thing] + backward
    edge = first_edges(rings, np.arange(len(rings.ring) - 1))[ring]
    overcut_um = overcuts_um(rings.length_mm[edge], np.full(len(ring), _NO_WEB_MM), overcut_mm)
    is_outer = backward == 0
    edge[is_outer], overcut_um[is_outer] = starts.edge, starts.overcut_um
    return paths_of(rings, Cuts(ring, edge, overcut_um), thing, page.scale)


def _groups(
    page: Page, layout: Layout, classes: list[SizeClass], paths: TextArray, settings: OutlineSettings
) -> tuple[Group, ...]:
    """All that is cut, in order."""
    overcut_mm = settings.overcut_mm
    found: list[tuple[str, list[str]]] = []
    if layout.coupon:
        found.append(("coupon", coupon_paths(page, layout.coupon, overcut_mm)))
    found += [(f"openings {one.name}", paths[one.openings].tolist()) for one in classes]
    if layout.marks:
        found.append(("registration marks", mark_paths(page, layout.marks, overcut_mm)))
    if layout.frame:
        found.append(("frame", frame_paths(page, layout.frame, overcut_mm)))
    return tuple(Group(number, name, tuple(each)) for number, (name, each) in enumerate(found, 1))
