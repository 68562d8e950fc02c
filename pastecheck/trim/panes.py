"""Large openings as panes with webs between them. Done once, not again."""

from collections.abc import Sequence
from functools import partial
from typing import Final

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.rectangles import Rectangles
from pastecheck.measurements import Measurements
from pastecheck.openings import GeometryArray
from pastecheck.rulesets import RuleSet
from pastecheck.rulesets.trims import PaneTrim
from pastecheck.trim.offsets import Area, drawn_in
from pastecheck.trim.plan import Held, Outline, Plan, Why, sides_mm
from pastecheck.trim.solving import NEAR, solved
from pastecheck.trim.steps import stepped_down
from pastecheck.units import NM_PER_MM, shown

_LEADS_MM: Final = 2.5
"""Leads lie no farther from the edge of the opening below their part."""
_MIRRORED_MM: Final = 0.1
_LIKE_MM: Final = 0.02
_LEAST_PAIRS: Final = 2
_LEAST_MM2: Final = 3.0
_ROUNDING_MM: Final = 1e-6
_FILLED: Final = 0.25
"""Panes at the rim with less of their room are left out (common practice, no source)."""
_SHORT: Final = 1e-3
"""What curves that are flattened may lack is no lack of room."""


def plan_panes(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    """Write into the plan which rectangles become panes: those on thermal lands, and other large ones."""
    thermal, large = rule_set.trim.thermal, rule_set.trim.large
    if thermal is not None:
        rows = _rows_of(m, thermal, plan, _LEAST_MM2)
        _split(m, thermal, rows[_are_thermal(m, rows)], Why.THERMAL, plan)
    if large is not None:
        rows = _rows_of(m, large, plan, 0.0)
        if m.board.lands is not None:
            rows = rows[~_are_thermal(m, rows)]
        _split(m, large, rows, Why.LARGE, plan)


def _rows_of(m: Measurements, entry: PaneTrim, plan: Plan, least_mm2: float) -> IntArray:
    fits = plan.is_free & ~m.are_leads
    fits &= (m.width_mm >= entry.wider_than_mm - _ROUNDING_MM) & (m.area_mm2 >= least_mm2 - _ROUNDING_MM)
    fits &= m.length_mm >= entry.longer_than_mm - _ROUNDING_MM
    others = fits & ~m.are_rounded_rectangles
    if others.any():  # wide somewhere, not only about
        fits[others] = m.insides.spans.width_mm[others] >= entry.wider_than_mm - _ROUNDING_MM
    return np.flatnonzero(fits)


def _are_thermal(m: Measurements, rows: IntArray) -> BoolArray:
    """Whether openings lie alone on thermal lands; if lands are not known: between leads of their part."""
    if m.board.lands is None:
        return _mirrored_pairs(m, rows) >= _LEAST_PAIRS
    land = m.on_lands.land[rows]
    openings = np.bincount(np.maximum(m.on_lands.land, 0), minlength=len(m.board.lands))
    alone = openings[np.maximum(land, 0)] == 1
    is_thermal: BoolArray = (land >= 0) & alone & m.on_lands.is_thermal[np.maximum(land, 0)]
    return is_thermal


def _mirrored_pairs(m: Measurements, rows: IntArray) -> IntArray:
    """How many pairs of like openings lie opposite each other about the middles of some. Shape (k,)."""
    middle_mm = m.rectangles.middle_mm
    points = np.asarray(shapely.points(middle_mm), object)
    tree = shapely.STRtree(points)
    reach_mm = np.hypot(*(sides_mm(m)[rows] / 2).T) + _LEADS_MM
    about = shapely.box(*(middle_mm[rows] - reach_mm[:, None]).T, *(middle_mm[rows] + reach_mm[:, None]).T)
    row, near = tree.query(about)
    smaller = m.area_mm2[near] < m.area_mm2[rows[row]] / 2
    row, near = row[smaller], near[smaller]
    mirrored = np.asarray(shapely.points(2 * middle_mm[rows[row]] - middle_mm[near]), object)
    at, opposite = tree.query(mirrored, predicate="dwithin", distance=_MIRRORED_MM)
    off_mm = np.abs(sides_mm(m)[near[at]] - sides_mm(m)[opposite])
    found = np.unique(at[(off_mm <= _LIKE_MM).all(axis=1) & (near[at] != opposite)])
    return np.bincount(row[found], minlength=len(rows)) // 2


def _split(m: Measurements, entry: PaneTrim, rows: IntArray, why: Why, plan: Plan) -> None:
    """Rectangles as panes like themselves; other outlines, and round ends, cut by webs and drawn in."""
    count = _count(sides_mm(m)[rows], entry)
    if (panes := int(count.prod(axis=1).sum())) > m.limits.objects:
        what = f"there would be {panes} panes of at most {shown(entry.pane_mm, 'mm')}"
        what += f"; at most {m.limits.objects} are made"
        raise TooMuchError(what, "objects", panes)
    has_room = ((_room_mm(sides_mm(m)[rows], count, entry) > entry.web_mm) | (count == 1)).all(axis=1)
    plan.hold(rows[~has_room], Held.NO_ROOM, entry.web_mm)
    rows = rows[has_room]
    plain = m.are_rounded_rectangles[rows] & ~np.isnan(m.direction_rad[rows])
    plain[plain] = _like_panes(m, entry, rows[plain], why, plan)
    rows = rows[~plain]
    has_room = plan.cut_up(m.openings.shape, rows, partial(_cells, m, entry), why)
    plan.hold(rows[~has_room], Held.NO_ROOM, entry.web_mm)
    rows = rows[has_room]
    left_mm2 = np.array([shapely.area(one).sum() for one in plan.pieces])[plan.cut[rows]]
    plan.hold(rows[left_mm2 < entry.coverage * m.area_mm2[rows] * (1 - _SHORT)], Held.COVERAGE)


def _count(drawn_mm: FloatArray, entry: PaneTrim) -> IntArray:
    """How many panes along and across. Shape (k, 2)."""
    return np.maximum(np.ceil(drawn_mm / entry.pane_mm - _ROUNDING_MM).astype(np.int64), 1)


def _room_mm(drawn_mm: FloatArray, count: IntArray, entry: PaneTrim) -> FloatArray:
    """What webs leave to each pane, along and across. Shape (k, 2)."""
    return (drawn_mm - (count - 1) * entry.web_mm) / count


def _like_panes(m: Measurements, entry: PaneTrim, rows: IntArray, why: Why, plan: Plan) -> BoolArray:
    """
    Plan panes of the proportions of their opening; where webs leave less room one way, more the other way.

    Which openings have room for them. Shape (k,).
    """
    drawn_mm = sides_mm(m)[rows]
    count = _count(drawn_mm, entry)
    room_mm = _room_mm(drawn_mm, count, entry)
    cell_mm = drawn_mm / count
    wanted_mm2 = entry.coverage * m.area_mm2[rows] / count.prod(axis=1)  # round corners are no area
    pane_mm = np.minimum(cell_mm * np.sqrt(wanted_mm2 / cell_mm.prod(axis=1))[:, None], room_mm)
    other_mm = wanted_mm2[:, None] / pane_mm[:, ::-1]
    pane_mm = stepped_down(np.minimum(np.maximum(pane_mm, other_mm), room_mm), entry.step_mm)
    pane_mm -= np.where(pane_mm > room_mm, entry.step_mm, 0.0)
    margin_mm = (drawn_mm - count * pane_mm - (count - 1) * entry.web_mm) / 2
    corner_mm = m.openings.shapes.radius_mm[m.openings.shape[rows]]
    within_mm = np.maximum(corner_mm[:, None] - margin_mm, 0.0)
    has_room = np.hypot(*within_mm.T) <= corner_mm + _ROUNDING_MM
    is_short = room_mm.prod(axis=1) < wanted_mm2 * (1 - NEAR)
    plan.hold(rows[has_room & is_short], Held.COVERAGE)
    rows, pane_mm, count = rows[has_room], pane_mm[has_room], count[has_room]
    plan.panes[rows], plan.pane_mm[rows], plan.web_mm[rows] = count, pane_mm, entry.web_mm
    plan.why[rows] = why
    return np.asarray(has_room)


def _cells(m: Measurements, entry: PaneTrim, rows: IntArray) -> Sequence[GeometryArray]:
    """What is left of some outlines between webs, drawn in so that it covers what is asked for."""
    shapes, kinds = m.openings.shapes, m.openings.shape[rows]
    turn_rad = np.nan_to_num(m.direction_rad[rows])
    origin_mm = np.column_stack([m.openings.x_nm, m.openings.y_nm])[rows] / NM_PER_MM
    middle_mm = m.rectangles.middle_mm[rows] - origin_mm
    drawn_mm = sides_mm(m)[rows]
    count = _count(drawn_mm, entry)
    made = []
    for row, kind in enumerate(kinds.tolist()):
        side_mm = (drawn_mm[row] - (count[row] - 1) * entry.web_mm) / count[row]
        places_mm = pane_places_mm(count[row], side_mm, entry.web_mm)
        turn = np.full(len(places_mm), turn_rad[row])
        cells = Rectangles(np.zeros_like(places_mm), np.tile(side_mm / 2, (len(turn), 1)), turn)
        cells = cells._replace(middle_mm=middle_mm[row] + cells.told(places_mm))
        solid = Outline(shapes.core[kind], float(shapes.radius_mm[kind]), 0.0)
        made.append(_covering(solid, _well_filled(drawn_in(solid, 0.0), cells.drawn()), entry.coverage))
    return made


def _well_filled(outline: Area, cells: GeometryArray) -> shapely.Geometry:
    """Cells that an outline fills well, in one; what it has of the others would be slivers, hard to cut."""
    filled = shapely.area(shapely.intersection(outline, cells)) / shapely.area(cells)
    return shapely.union_all(cells[filled >= min(_FILLED, filled.max())])


def _covering(solid: Outline, cells: shapely.Geometry, coverage: float) -> GeometryArray:
    """Pieces of an outline within cells; its walls are drawn in until the pieces cover so much of it."""
    outline = drawn_in(solid, 0.0)
    wanted_mm2 = coverage * outline.area
    inward_mm = np.zeros(1)
    if (outline & cells).area > wanted_mm2:
        widest_mm = np.sqrt([outline.area / np.pi])  # no disc within it is larger

        def left_mm2(by_mm: FloatArray) -> FloatArray:
            return np.array([(drawn_in(solid, by_mm.item()) & cells).area])

        inward_mm = solved(left_mm2, np.array([wanted_mm2]), widest_mm)
    return np.asarray(shapely.get_parts(drawn_in(solid, inward_mm.item()) & cells), object)


def pane_places_mm(count: IntArray, pane_mm: FloatArray, web_mm: float) -> FloatArray:
    """Middles of panes about the middle of their opening, along and across it. Shape (panes, 2)."""
    along, across = (
        (np.arange(number) - (number - 1) / 2) * (side + web_mm)
        for number, side in zip(count.tolist(), pane_mm.tolist(), strict=True)
    )
    return np.stack(np.meshgrid(along, across, indexing="ij"), axis=-1).reshape(-1, 2)
