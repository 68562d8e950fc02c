"""Changes that would end errors and break other limits: how far they could go, and what stops them."""

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements.changed import Changed, are_moved
from pastecheck.remedies.aims import NO_ERROR
from pastecheck.remedies.foils import THINNEST_MM, farthest_um
from pastecheck.remedies.proof import Objections, Proof
from pastecheck.remedies.proposals import Proposal
from pastecheck.remedies.steps import STEP_MM, whole_um
from pastecheck.units import UM_PER_MM

NOTHING: Final = -1
A_WISH: Final = -2


class Conflicts(NamedTuple):
    """Shape (n,) each; widths and foil in whole micrometres, 0 where nothing is to be told."""

    wanted_um: IntArray
    """Width at which the errors that are found would end."""
    allowed_um: IntArray
    """How far towards it the opening can go; or what its other errors wish for."""
    stops: IntArray
    """The check that stops it, as a row of `Proof.held`; `A_WISH` for the other errors, or `NOTHING`."""
    at_most_um: IntArray
    """The thickest foil in which nothing would stop it."""


@dataclass(frozen=True, eq=False, slots=True)
class _Trial:
    """Changes that were not granted, made in part with all that were."""

    proof: Proof
    granted: Changed
    inset_mm: FloatArray
    unit: IntArray

    def changed(self, share: FloatArray | float, thickness_mm: FloatArray) -> Changed:
        """The layer with shares of the changes, in some foil. Shape (n,) each."""
        shares = np.broadcast_to(share, self.unit.shape)[:, None, None]
        inset_mm = self.granted.inset_mm + self.inset_mm * shares
        return Changed(self.proof.m, inset_mm, thickness_mm)

    def objections(self, share: FloatArray | float, thickness_mm: FloatArray) -> Objections:
        """New errors in it, told of all of a unit."""
        changed = self.changed(share, thickness_mm)
        aims = [(NO_ERROR, np.ones(len(self.unit), bool))]
        found = self.proof.objections(changed, self.proof.levels(changed), aims, to_what_is_left=False)
        tried = are_moved(self.inset_mm)
        check = np.full(len(self.unit), NOTHING)
        np.maximum.at(check, self.unit, np.where(found.against & tried, found.check, NOTHING))
        check = np.where(tried, check[self.unit], NOTHING)
        return Objections(check != NOTHING, check)


def conflicts(
    proof: Proof, proposed: Proposal, granted: Changed, unit: IntArray, is_error: BoolArray
) -> Conflicts:
    """
    Why no change is granted to openings that have errors.

    Args:
        proof: All limits in force.
        proposed: What would end errors.
        granted: What was granted.
        unit: Openings that change together have equal numbers. Shape (n,).
        is_error: Which openings have errors.
    """
    m, foil_mm = proof.m, granted.thickness_mm
    left = is_error & ~granted.is_changed
    grown, shrunk = (Changed(m, inset_mm, foil_mm) for inset_mm in (proposed.grown_mm, proposed.shrunk_mm))
    least_mm = np.full(len(unit), np.inf)
    np.minimum.at(least_mm, unit, np.where(shrunk.is_changed, shrunk.width_mm, np.inf))
    are_both = left & grown.is_changed & np.isfinite(least_mm[unit])
    tried = left & ~are_both & proposed.inset_mm[:, 1].any(axis=1)
    trial = _Trial(proof.about(tried), granted, proposed.inset_mm * tried[:, None, None], unit)
    wanted_mm = trial.changed(1.0, foil_mm).width_mm
    found = trial.objections(1.0, foil_mm) if tried.any() else Objections(tried, np.full(len(unit), NOTHING))
    stopped = found.against
    allowed_mm = _allowed_mm(trial, stopped, wanted_mm)
    return Conflicts(
        whole_um(np.select([are_both, stopped], [grown.width_mm, wanted_mm], 0.0)),
        whole_um(np.select([are_both, stopped], [least_mm[unit], allowed_mm], 0.0)),
        np.where(are_both, A_WISH, found.check),
        _foil_um(proof, trial, stopped & (wanted_mm < m.width_mm)),
    )


def _allowed_mm(trial: _Trial, stopped: BoolArray, wanted_mm: FloatArray) -> FloatArray:
    """The width nearest to the wanted one, in steps, that nothing speaks against. Shape (n,)."""
    drawn_mm, foil_mm = trial.proof.m.width_mm, trial.granted.thickness_mm
    whole_mm = np.where(stopped, wanted_mm - drawn_mm, 0.0)
    stops, kept = np.zeros(len(stopped)), np.ceil(np.abs(whole_mm) / STEP_MM)
    while (kept - stops > 1).any():
        steps = np.floor((kept + stops) / 2)
        share = np.divide(steps * STEP_MM, np.abs(whole_mm), out=np.ones_like(whole_mm), where=stopped)
        against = trial.objections(np.maximum(1 - share, 0.0), foil_mm).against
        kept, stops = np.where(against, kept, steps), np.where(against, steps, stops)
    allowed_mm: FloatArray = wanted_mm - np.sign(whole_mm) * kept * STEP_MM
    return allowed_mm


def _foil_um(proof: Proof, trial: _Trial, stopped: BoolArray) -> IntArray:
    """The thickest foil in which nothing would speak against the whole change; 0 for none. Shape (n,)."""
    now_um = trial.granted.thickness_mm * UM_PER_MM
    thinnest_um = np.full(len(stopped), round(THINNEST_MM * UM_PER_MM))
    if not stopped.any() or (now_um <= thinnest_um).all():
        return np.zeros(len(stopped), np.int64)
    kept, stops = thinnest_um, np.ceil(now_um).astype(np.int64)
    helps = stopped & ~trial.objections(1.0, thinnest_um / UM_PER_MM).against
    for _ in range(int(np.ceil(np.log2(np.max(stops - kept) + 1))) if helps.any() else 0):
        middle = (kept + stops) // 2
        against = trial.objections(1.0, middle / UM_PER_MM).against
        kept, stops = np.where(against, kept, middle), np.where(against, middle, stops)
    least_um = farthest_um(proof, NO_ERROR, int(kept[helps].min())) if helps.any() else 0
    return np.where(helps & (kept >= least_um), kept, 0)
