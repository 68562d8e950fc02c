"""Another foil instead of other openings."""

from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np

from pastecheck.check import ROUNDING
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements.changed import Changed
from pastecheck.remedies.aims import CLEAN, NO_ERROR, Aim
from pastecheck.remedies.proof import Proof
from pastecheck.remedies.wishes import Wanted
from pastecheck.units import UM_PER_MM

THINNEST_MM: Final = 0.05
"""Thinner foil is not proposed, for it starves most joints: `common practice, no source`."""
THICKEST: Final = 2.0
"""Foil that would have to be so many times as thick is another stencil: `common practice, no source`."""


class Foils(NamedTuple):
    """Foils that would end what is found of openings, in whole micrometres; 0 for none. Shape (n,) each."""

    at_most_um: IntArray
    at_least_um: IntArray
    thinner_warns: IntArray
    """Whether 'at most' leaves a warning."""
    thicker_warns: IntArray
    needs_advice: IntArray
    """Whether what is found does not end by that alone."""


def foils(proof: Proof, wanted: tuple[Wanted, Wanted]) -> Foils:
    """
    The thickest foil that would do for each opening, and the thinnest where it must be thicker.

    All openings are cut in one foil: one in which others break a limit that they keep now is not proposed.

    Args:
        proof: All limits in force.
        wanted: What would end all findings, and what all errors.
    """
    aims = tuple(zip((CLEAN, NO_ERROR), wanted, strict=True))
    thinner = [_thinner_um(proof, aim, of.thickest_mm) for aim, of in aims]
    thicker = [_thicker_um(proof, aim, of.thinnest_mm) for aim, of in aims]
    return Foils(
        np.where(thinner[0] > 0, thinner[0], thinner[1]),
        np.where(thicker[0] > 0, thicker[0], thicker[1]),
        ((thinner[0] == 0) & (thinner[1] > 0)).astype(np.int64),
        ((thicker[0] == 0) & (thicker[1] > 0)).astype(np.int64),
        wanted[0].needs_advice.astype(np.int64),
    )


def _thinner_um(proof: Proof, aim: Aim, thickest_mm: FloatArray) -> IntArray:
    now_um, least_um = proof.m.foil.thickness_mm * UM_PER_MM, round(THINNEST_MM * UM_PER_MM)
    with np.errstate(invalid="ignore"):
        wish_um = np.floor(np.where(np.isfinite(thickest_mm), thickest_mm, 0.0) * UM_PER_MM + ROUNDING)
        would_do = (wish_um >= least_um) & (wish_um < now_um)
    if not would_do.any():
        return np.zeros(len(thickest_mm), np.int64)
    kept_um = farthest_um(proof, aim, max(least_um, int(wish_um[would_do].min())))
    return np.where(would_do & (wish_um >= kept_um), wish_um, 0).astype(np.int64)


def _thicker_um(proof: Proof, aim: Aim, thinnest_mm: FloatArray) -> IntArray:
    now_um = proof.m.foil.thickness_mm * UM_PER_MM
    with np.errstate(invalid="ignore"):
        wish_um = np.ceil(np.where(np.isfinite(thinnest_mm), thinnest_mm, 0.0) * UM_PER_MM - ROUNDING)
        would_do = (wish_um > now_um) & (wish_um <= THICKEST * now_um)
    if not would_do.any():
        return np.zeros(len(thinnest_mm), np.int64)
    most_um = farthest_um(proof, aim, int(wish_um[would_do].max()))
    return np.where(would_do & (wish_um <= most_um), wish_um, 0).astype(np.int64)


def farthest_um(proof: Proof, aim: Aim, wanted_um: int) -> float:
    """How far the thickness may go towards a wanted one before something fails that did not."""
    if not _breaks(proof, aim, wanted_um):
        return wanted_um
    kept, broken = proof.m.foil.thickness_mm * UM_PER_MM, float(wanted_um)
    while abs(kept - broken) > 1:
        middle = round((kept + broken) / 2)
        if middle in (kept, broken):
            break
        kept, broken = (kept, middle) if _breaks(proof, aim, middle) else (middle, broken)
    return kept


def _breaks(proof: Proof, aim: Aim, thickness_um: float) -> bool:
    """Whether any reading fails in another foil that did not."""
    drawn = Changed.as_drawn(proof.m)
    changed = replace(drawn, thickness_mm=np.full_like(drawn.thickness_mm, thickness_um / UM_PER_MM))
    levels = proof.levels(changed)
    return any(
        bool(((after > held.before) & (after > aim.allowed)).any())
        for held, after in zip(proof.held, levels, strict=True)
    )
