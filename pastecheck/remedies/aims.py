"""What failed, how bad a reading is, and what a change must reach."""

from collections.abc import Iterable, Mapping
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pastecheck.check import NO_OPENING, Check, Readings, Scope, TextArray
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Foil, Measurements
from pastecheck.rulesets import RuleSet

LevelArray = NDArray[np.int8]
"""How bad readings are: `PASSES`, `WARNS` or `FAILS`."""
PASSES: Final = 0
WARNS: Final = 1
FAILS: Final = 2


class Aim(NamedTuple):
    """How far a change is to go."""

    allowed: int
    """The level of readings that is good enough."""

    @property
    def names(self) -> tuple[str, ...]:
        """Of the limits that must be kept."""
        return ("error", "warn") if self.allowed == PASSES else ("error",)


CLEAN: Final = Aim(PASSES)
"""Nothing is found any more."""
NO_ERROR: Final = Aim(WARNS)
"""It still warns."""


class Failure(NamedTuple):
    """The readings of one check, and which of them are past a limit, worst first; columns of shape (k,)."""

    check: Check
    scope: Scope[Any]
    """What the check was told."""
    limits: Mapping[str, float]
    """Of the rule, as `RuleOutcome.limits`."""
    rounding: float
    """How far a reading may be past a limit and still pass, besides its error."""
    readings: Readings
    """All of them."""
    rows: IntArray
    """Which of them failed."""
    failed: Readings
    """Those."""
    is_error: BoolArray
    is_below: BoolArray
    """Whether a reading is past a limit from below, not one from above."""

    @property
    def slack(self) -> FloatArray:
        """How far each of all readings may be past a limit and still pass."""
        return self.readings.error + self.rounding

    def concerned(self, aim: Aim) -> IntArray:
        """Rows of the failed readings that have to change."""
        return np.flatnonzero(self.is_error | (aim.allowed == PASSES))

    @property
    def is_of_openings(self) -> bool:
        """Whether readings are of openings, one or two each; those of a check all are, or none is."""
        return not bool((self.readings.opening == NO_OPENING).any())

    @property
    def was_measured(self) -> bool:
        """Whether there was something to measure, and all that it takes; or what is near was looked for."""
        return len(self.readings.values) > 0 or self.readings.examined is not None

    def limit(self, aim: Aim, *, is_below: bool) -> float:
        """The limit that readings must keep; NaN where there is none."""
        side = "below" if is_below else "above"
        found = [self.limits[f"{name}_{side}"] for name in aim.names if f"{name}_{side}" in self.limits]
        return (max(found) if is_below else min(found)) if found else np.nan

    def levels(self, values: FloatArray, slack: FloatArray) -> LevelArray:
        """How bad readings are, as the judge has it; they pass where the check does not apply."""
        level = np.full(len(values), PASSES, np.int8)
        for name in sorted(self.limits, reverse=True):  # of warnings first: what fails has no other level
            limit = self.limits[name]
            past = values < limit - slack if name.endswith("_below") else values > limit + slack
            level[past] = FAILS if name.startswith("error") else WARNS
        return level

    def wishes(self, m: Measurements, aim: Aim) -> "Wishes":
        """What the check wishes for the failed readings."""
        count = len(self.failed.values)
        width, narrowed, give_way, thickness, thinnest, square = np.full((6, count), np.nan)
        advice = np.full(count, "", np.object_)
        found = Wishes(width, narrowed, give_way, thickness, thinnest, square, advice)
        concerned = self.concerned(aim)
        for is_below in (True, False):
            rows = concerned[self.is_below[concerned] == is_below]
            limit = self.limit(aim, is_below=is_below)
            if not len(rows) or np.isnan(limit):
                continue
            granted = self.check.wish(m, self.failed.rows(rows), limit)
            for name, column in zip(Wishes._fields, found, strict=True):
                wished = getattr(granted, name)
                if wished is not None:
                    column[rows] = wished
        return found


class Wishes(NamedTuple):
    """As `check.Wish`, every column there; NaN, or empty, where a reading need not change or cannot."""

    width_mm: FloatArray
    narrowed_mm: FloatArray
    give_way_mm: FloatArray
    thickness_mm: FloatArray
    thinnest_mm: FloatArray
    square_mm: FloatArray
    advice: TextArray

    def rows(self, rows: IntArray) -> "Wishes":
        """Some of them."""
        columns: Iterable[Any] = self
        return Wishes(*(column[rows] for column in columns))

    @property
    def are_of_size(self) -> BoolArray:
        """Whether a change of size was wished for."""
        figures = np.stack([self.width_mm, self.narrowed_mm, self.give_way_mm])
        return np.asarray(np.isfinite(figures).any(axis=0))


def word_for(foil: Foil) -> str:
    """What the user calls the foil."""
    return "film" if "film" in foil.name.lower() else "foil"


def instead_of(rule_set: RuleSet) -> str:
    """What is left to do where no change of openings would do."""
    if "laser" not in rule_set.cutter.lower():
        finer = "laser-cut film or steel foil"
    else:
        finer = "laser-cut steel foil" if word_for(rule_set.foil) == "film" else "electroformed foil"
    return f"use {finer}, or paste this part by hand"
