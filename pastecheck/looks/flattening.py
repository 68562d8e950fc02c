"""How many vertices curves become, told before they are made: a circle of metres has thousands."""

import numpy as np

from pastecheck.drawing import Drawing, FloatArray, IntArray, Kind
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.limits import Limits
from pastecheck.ragged import distinct, distinct_rows, rows_of_runs
from pastecheck.units import NM_PER_MM


def refuse_many_vertices(drawing: Drawing, limits: Limits) -> None:
    """
    Refuse a drawing whose distinct looks would have more vertices than a limit allows.

    Raises:
        TooMuchError: If they would.
    """
    count = _of_flashes(drawing) + _of_strokes(drawing) + _of_contours(drawing)
    if count > limits.vertices:
        what = f"curves would become {count:.0f} vertices, flattened to {FLATNESS_MM * 1000} um"
        raise TooMuchError(f"{what}; at most {limits.vertices} are made", "vertices", int(count) + 1)


def _of_turns(radius_mm: FloatArray, turn_rad: float = 2 * np.pi) -> FloatArray:
    """About how many chords arcs become: the flatness is a sixth of the radius times their angle squared."""
    chords: FloatArray = turn_rad * np.sqrt(radius_mm / (6 * FLATNESS_MM)) + 4
    return chords


def _of_apertures(drawing: Drawing) -> FloatArray:
    """Vertices of each aperture. Shape (apertures,)."""
    marks = [[mark for one in aperture.primitives for mark in one.marks] for aperture in drawing.apertures]
    owner = np.repeat(np.arange(len(marks)), [len(of_one) for of_one in marks])
    every = [mark for of_one in marks for mark in of_one]
    radius_mm = np.array([mark.radius_mm for mark in every], np.float64)
    corners = np.array([len(mark.core_mm) for mark in every], np.float64)
    count: FloatArray = np.zeros(len(marks))
    np.add.at(count, owner, corners + (radius_mm > 0) * _of_turns(radius_mm))
    return count


def _of_flashes(drawing: Drawing) -> float:
    used = distinct(drawing.what[drawing.kind == Kind.FLASH])
    return float(_of_apertures(drawing)[used].sum()) if len(used) else 0.0


def _of_strokes(drawing: Drawing) -> float:
    """The round ends of each distinct stroke, and both sides of arcs."""
    strokes = drawing.strokes
    used = distinct(drawing.what[drawing.kind == Kind.STROKE])
    if not len(used):
        return 0.0
    rows = np.column_stack(
        [strokes.aperture[used], strokes.end_nm[used], strokes.centre_nm[used], strokes.turn[used]]
    )
    used = used[distinct_rows(rows).first]
    arc = used[strokes.turn[used] != 0]
    radius_mm = np.hypot(*strokes.centre_nm[arc].T) / NM_PER_MM
    pens = _of_apertures(drawing)
    return float(pens[strokes.aperture[used]].sum() + 2 * _of_turns(radius_mm + 1).sum())


def _of_contours(drawing: Drawing) -> float:
    contours = drawing.contours
    used = distinct(drawing.what[drawing.kind == Kind.REGION])
    if not len(used):
        return 0.0
    edge = rows_of_runs(contours.offset[:-1][used], np.diff(contours.offset)[used])
    arc = edge[contours.turn[edge] != 0]
    to_centre: IntArray = contours.centre_nm[arc] - contours.point_nm[arc]
    return float(len(edge) + _of_turns(np.hypot(*to_centre.T) / NM_PER_MM).sum())
