"""Another size for an opening, or another foil."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from pastecheck.check import ROUNDING, TextArray
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import Foil, Measurements
from pastecheck.remedies.aims import (
    Aim,
    Failure,
    if_it_warns,
    keeps_limits,
    preferred,
    put_in_words,
    stepped_um,
    whole_um,
    wish_of,
    without_unit,
    word_for,
)
from pastecheck.report import is_round
from pastecheck.units import UM_PER_MM, shown, shown_um

MOST_GROWTH_MM: Final = 0.5
"""An opening that would have to grow by more is another part, not a remedy: `common practice, no source`."""
THINNEST_FOIL_MM: Final = 0.05
"""Thinner foil is not proposed, for it starves most joints: `common practice, no source`."""


def of_openings(
    m: Measurements, aims: Sequence[Aim], failures: Sequence[Failure], instead: str
) -> tuple[IntArray, TextArray]:
    """Rows of the openings that failed a check of single openings, and what to do about each."""
    failed = [failure.failed.opening for failure in failures]
    rows = np.unique(np.concatenate([np.zeros(0, np.int64), *failed]))
    wishes = [_largest(m, aim, failures, rows) for aim in aims]
    sizes_um = preferred(*_wider_um(m, aims, rows, [width_mm for width_mm, _ in wishes]))
    foil_um = preferred(*(_thinner_um(m.foil, thickness_mm) for _, thickness_mm in wishes))
    wished = np.isfinite(wishes[0]).any(axis=0)
    is_error = np.zeros(len(rows), bool)
    for failure in failures:
        is_error[np.searchsorted(rows, failure.failed.opening[failure.is_error])] = True
    needs_thinner = np.isfinite(wishes[0][1])
    many = len(np.unique(m.openings.shape[rows[needs_thinner]])) > 1

    def say(figures: list[int]) -> str:
        width_um, length_um, wider_warns, thickness_um, thinner_warns, looks_round, wished, is_error = figures
        changes = []
        if width_um:
            changes.append(_size(width_um, length_um, looks_round) + if_it_warns(wider_warns))
        if thickness_um:
            thinner = f"use {word_for(m.foil)} no thicker than {shown_um(thickness_um / UM_PER_MM)}"
            changes.insert(0 if many else 1, thinner + if_it_warns(thinner_warns))
        if changes or not wished:
            return ", or ".join(changes)
        if is_error:
            return f"no change of this opening would do here: {instead}"
        return "cut a trial piece first: no change of this opening ends this without another finding"

    looks_round = is_round(m.width_mm[rows], m.length_mm[rows], m.area_mm2[rows])
    return rows, put_in_words(np.column_stack([sizes_um, foil_um, looks_round, wished, is_error]), say)


def _size(width_um: int, length_um: int, looks_round: int) -> str:
    width, length = shown(width_um / UM_PER_MM, "mm"), shown(length_um / UM_PER_MM, "mm")
    return f"enlarge to {width} across" if looks_round else f"widen to {without_unit(width)} x {length}"


def _largest(
    m: Measurements, aim: Aim, failures: Sequence[Failure], rows: IntArray
) -> tuple[FloatArray, FloatArray]:
    """
    The width and the thickness of foil that would end all findings of an opening; shape (k,) each.

    Not finite where there is none, or where a check cannot be helped by it.
    """
    width_mm, thickness_mm = np.full(len(rows), -np.inf), np.full(len(rows), np.inf)
    for failure in failures:
        concerned = failure.is_for(aim)
        at = np.searchsorted(rows, failure.failed.opening[concerned])
        wish = wish_of(m, failure, aim)
        if wish.width_mm is not None and wish.thickness_mm is not None:
            with np.errstate(invalid="ignore"):  # NaN is what cannot be helped, and stays
                np.maximum.at(width_mm, at, wish.width_mm[concerned])
                np.minimum.at(thickness_mm, at, wish.thickness_mm[concerned])
    return width_mm, thickness_mm


def _wider_um(
    m: Measurements, aims: Sequence[Aim], rows: IntArray, wishes_mm: Sequence[FloatArray]
) -> list[IntArray]:
    """Width and length of wider openings for each aim, 0 where that is not possible. Shape (k, 2) each."""
    drawn_mm = m.width_mm[rows]
    sizes_um, growths_mm = [], []
    for aim, wish_mm in zip(aims, wishes_mm, strict=True):
        width_um = stepped_um(np.where(np.isfinite(wish_mm), wish_mm, 0.0), upward=True)
        length_um = np.maximum(whole_um(m.length_mm[rows]), width_um)
        width_mm, length_mm = width_um / UM_PER_MM, length_um / UM_PER_MM
        growth_mm = width_mm - drawn_mm
        grows = (growth_mm > ROUNDING) & (growth_mm <= MOST_GROWTH_MM)
        grows &= keeps_limits(m, aim, rows, width_mm, length_mm)
        growths_mm.append(np.where(grows, growth_mm, 0.0))
        sizes_um.append(np.column_stack([width_um, length_um]))
    most_mm = float(np.max(growths_mm, initial=0.0))
    if most_mm == 0:
        return [np.zeros_like(size_um) for size_um in sizes_um]
    web_mm = _nearest_web_mm(m, aims[0].web_mm + most_mm)[rows]
    for aim, size_um, growth_mm in zip(aims, sizes_um, growths_mm, strict=True):
        left_mm = web_mm - growth_mm
        has_room = (growth_mm > 0) & (left_mm > 0) & (left_mm >= aim.web_mm - ROUNDING)
        size_um[~has_room] = 0
    return sizes_um


def _nearest_web_mm(m: Measurements, reach_mm: float) -> FloatArray:
    """Distance to the nearest other opening; infinite beyond the reach. Shape (n,)."""
    web_mm = np.full(len(m.openings), np.inf)
    webs = m.webs_within(reach_mm)
    for opening in (webs.first, webs.second):
        np.minimum.at(web_mm, opening, webs.gap_mm)
    return web_mm


def _thinner_um(foil: Foil, wish_mm: FloatArray) -> IntArray:
    """The thickest foil that would do, to 1 um; 0 where there is none. Shape (k, 1)."""
    finite_mm = np.where(np.isfinite(wish_mm), wish_mm, 0.0)
    thickness_um = np.floor(finite_mm * UM_PER_MM + ROUNDING).astype(np.int64)
    is_one = (thickness_um >= THINNEST_FOIL_MM * UM_PER_MM) & (thickness_um < foil.thickness_mm * UM_PER_MM)
    return np.where(is_one, thickness_um, 0)[:, None]
