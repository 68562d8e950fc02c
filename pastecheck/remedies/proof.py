"""A changed layer held against all limits in force: which openings may not change so."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

import numpy as np

from pastecheck.check import Check, Readings
from pastecheck.drawing import BoolArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.remedies.aims import FAILS, PASSES, WARNS, Aim, Failure, LevelArray, Wishes

_LEAST_MM: Final = 0.02
"""What is narrower is no opening."""


class _Held(NamedTuple):
    """All readings of one check, as far as a change could make them fail."""

    check: Check
    failure: Failure
    readings: Readings
    before: LevelArray
    """Their levels as drawn."""
    must: BoolArray
    """Whether a change is to mend a reading that fails: else advice will."""
    failed: IntArray
    """Which of the readings failed, in the order of `Failure.failed`."""


class Objections(NamedTuple):
    """What speaks against a change. Shape (n,) each."""

    against: BoolArray
    """Openings that may not change so."""
    check: IntArray
    """Row of the first check that objects; -1 for none."""


@dataclass(frozen=True, eq=False, slots=True)
class Proof:
    """All readings of a layer, and what becomes of them."""

    m: Measurements
    held: tuple[_Held, ...]

    def levels(self, changed: Changed) -> tuple[LevelArray, ...]:
        """Of all readings of each check, in a changed layer."""
        return tuple(_levels(held, changed) for held in self.held)

    def keeps(self, aim: Aim) -> Callable[[Changed, IntArray], BoolArray]:
        """Tells which of some openings of a changed layer keep the limits of single openings."""
        alone = Proof(self.m, tuple(held for held in self.held if held.readings.other is None))

        def kept(changed: Changed, rows: IntArray) -> BoolArray:
            against = changed.width_mm < _LEAST_MM
            concerned = np.zeros(len(against), bool)
            concerned[rows] = True
            for held in alone.about(concerned).held:
                level = _levels(held, changed)
                against[held.readings.opening[(level > held.before) & (level > aim.allowed)]] = True
            return ~against[rows]

        return kept

    def levels_of(self, failure: Failure, levels: Sequence[LevelArray]) -> LevelArray:
        """Of the failed readings of one check, of the levels of all. Shape (k,)."""
        for held, level in zip(self.held, levels, strict=True):
            if held.failure is failure:
                return level[held.failed]
        return np.where(failure.is_error, FAILS, WARNS).astype(np.int8)

    def about(self, openings: BoolArray) -> "Proof":
        """Only what concerns some of the openings. Shape (n,)."""
        held = []
        for one in self.held:
            first, second = one.readings.pairs
            rows = np.flatnonzero(openings[first] | openings[second])
            readings, before, must = one.readings.rows(rows), one.before[rows], one.must[rows]
            held.append(_Held(one.check, one.failure, readings, before, must, rows[:0]))
        return Proof(self.m, tuple(held))

    def objections(
        self,
        changed: Changed,
        levels: Sequence[LevelArray],
        aims: Sequence[tuple[Aim, BoolArray]],
        *,
        to_what_is_left: bool = True,
    ) -> Objections:
        """
        Which changed openings break a limit, or do not mend what they are to mend.

        Args:
            changed: The layer as it would be.
            levels: Of its readings, as of `levels`.
            aims: Which openings are to reach which aim. Columns of shape (n,).
            to_what_is_left: Whether what is not mended counts.
        """
        is_changed = changed.is_changed
        against = is_changed & (changed.width_mm < _LEAST_MM)
        check = np.full(len(against), -1, np.int64)
        for row, (held, every) in enumerate(zip(self.held, levels, strict=True)):
            fails = np.flatnonzero(every)
            after, before, must = every[fails], held.before[fails], held.must[fails] & to_what_is_left
            first, second = (opening[fails] for opening in held.readings.pairs)
            mine = is_changed[first] | is_changed[second]
            for aim, have_it in aims:
                unmended = must & mine & (before > aim.allowed)
                bad = np.flatnonzero((after > aim.allowed) & ((after > before) | unmended))
                blamed = np.concatenate([first[bad], second[bad]])
                if not mine[bad].all():  # it goes by what is about it, and who that is cannot be told
                    blamed = np.arange(len(is_changed))
                blamed = blamed[is_changed[blamed] & have_it[blamed]]
                against[blamed] = True
                check[blamed] = np.where(check[blamed] < 0, row, check[blamed])
        return Objections(against, check)


def _levels(held: _Held, changed: Changed) -> LevelArray:
    if held.check.outlook is None:
        return held.before
    with np.errstate(divide="ignore", invalid="ignore"):
        values = held.check.outlook(changed, held.readings)
    return held.failure.levels(values, held.readings.error + held.failure.rounding)


def proof(m: Measurements, failures: Sequence[Failure], wishes: Sequence[Wishes], nearer_mm: float) -> Proof:
    """
    What is needed to judge changes.

    Args:
        m: The layer as drawn.
        failures: All checks in force.
        wishes: What each wishes for, so that nothing is found any more.
        nearer_mm: How much nearer openings may come to one another: checks of what is near look farther.
    """
    held = [
        _held(m, failure, wish, nearer_mm)
        for failure, wish in zip(failures, wishes, strict=True)
        if failure.limits and failure.is_of_openings and failure.was_measured
    ]
    return Proof(m, tuple(held))


def _held(m: Measurements, failure: Failure, wish: Wishes, nearer_mm: float) -> _Held:
    readings, failed = failure.readings, failure.rows
    if readings.examined is not None and nearer_mm > 0:
        readings, failed = _farther(m, failure, nearer_mm)
    must = np.zeros(len(readings.values), bool)
    # what no change of size moves is not to be mended by one
    must[failed] = (wish.are_of_size | (wish.advice == "")) & (failure.check.outlook is not None)
    before = np.full(len(must), PASSES, np.int8)
    before[failed] = np.where(failure.is_error, FAILS, WARNS)
    return _Held(failure.check, failure, readings, before, must, failed)


def _farther(m: Measurements, failure: Failure, nearer_mm: float) -> tuple[Readings, IntArray]:
    """The readings of a check that looks farther than it need, and which of them failed."""
    readings = failure.check.measure(m, replace(failure.scope, nearer_mm=nearer_mm))
    count = len(m.openings)
    known, among = (one * count + other for one, other in (failure.failed.pairs, readings.pairs))
    order = np.argsort(among, kind="stable")
    return readings, order[np.searchsorted(among[order], known)]
