"""Openings and the edges of the board."""

import numpy as np
import shapely

from pastecheck.drawing import IntArray
from pastecheck.geometry.across import clipped, polygons_of_boxes
from pastecheck.geometry.overlaps import Beyond, beyond
from pastecheck.geometry.pairs import placed
from pastecheck.lands import Profile
from pastecheck.openings import Openings
from pastecheck.ragged import among
from pastecheck.units import NM_PER_MM


def beyond_board(openings: Openings, bounds_nm: IntArray, profile: Profile) -> Beyond:
    """
    How far each opening reaches beyond the board, 0 inside. Shape (n,).

    A cut-out in which openings lie is none: it is a board drawn in the frame of a panel.

    Args:
        openings: n openings.
        bounds_nm: Boxes about them. Shape (n, 4).
        profile: What the outline of the board encloses.
    """
    boxes = polygons_of_boxes(bounds_nm / NM_PER_MM)
    area = _area(profile, boxes)
    shapely.prepare(area)
    count = len(openings)
    reach_mm, loose_mm = np.zeros(count), openings.shapes.flatness_mm[openings.shape]
    place_mm = (bounds_nm[:, :2] + bounds_nm[:, 2:]) / 2 / NM_PER_MM
    rows = np.flatnonzero(~shapely.contains_properly(area, boxes))
    if len(rows):
        shape = openings.shape[rows]
        x_mm, y_mm = openings.x_nm[rows] / NM_PER_MM, openings.y_nm[rows] / NM_PER_MM
        outline = placed(openings.shapes.outline[shape], x_mm, y_mm)
        # what is nearest to any point of an opening is no farther than to its nearest one, and across it
        size_mm = np.hypot(*(bounds_nm[rows, 2:] - bounds_nm[rows, :2]).T) / NM_PER_MM
        reach = shapely.distance(area, outline) + 2 * size_mm
        window_mm = bounds_nm[rows] / NM_PER_MM + reach[:, None] * np.array([-1, -1, 1, 1])
        found = beyond(outline, clipped(area, window_mm))
        reach_mm[rows], place_mm[rows] = found.reach_mm, found.place_mm
        loose_mm[rows] += found.loose_mm
    return Beyond(reach_mm, loose_mm, place_mm)


def _area(profile: Profile, boxes: "np.ndarray[tuple[int], np.dtype[np.object_]]") -> shapely.Geometry:
    """The boards, less what is cut out of them."""
    opened, _ = shapely.STRtree(profile.cutouts).query(boxes, predicate="within")[::-1]
    are_boards = among(np.arange(len(profile.cutouts)), opened)
    boards = shapely.union_all(np.concatenate([profile.boards, profile.cutouts[are_boards]]))
    return shapely.difference(boards, shapely.union_all(profile.cutouts[~are_boards]))
