"""Small checks to read rule sets for: one of each unit and side that matter, and one with settings."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pastecheck.check import Check, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.measurements import Measurements


@dataclass(frozen=True, slots=True)
class RowParams:
    """One setting of each kind that a rule can hold."""

    gaps_below_mm: float
    window_mm2: float = 1.0
    share: float = 0.5
    powder_type: int = 4
    thermal: bool = False
    habit: str = "squares"
    efficiency: tuple[tuple[float, float], ...] = ((0.0, 1.0),)

    def __post_init__(self) -> None:
        if self.share > 1:
            raise ValueError(f"share must be 0 to 1, got {self.share}")


def _measure(m: Measurements, _scope: Scope[object]) -> Readings:
    return Readings.of_each(np.zeros(len(m.openings)))


def _wish(_m: Measurements, _failed: Readings, _limit: float) -> Wish:
    return Wish()


def _check(unit: Unit, worse: Worse, params: type = NoParams) -> Check:
    return Check(
        title="a check",
        quantity="a quantity",
        unit=unit,
        worse=worse,
        definition="our own",
        error_bound="none",
        measure=_measure,
        wish=_wish,
        examples=(),
        params=params,
    )


CATALOGUE: Mapping[str, Check] = {
    "area-ratio": _check(Unit.RATIO, Worse.BELOW),
    "web-width": _check(Unit.MM, Worse.BELOW),
    "film-island": _check(Unit.MM2, Worse.ABOVE),
    "deposit-volume": _check(Unit.MM3, Worse.BOTH),
    "pitch-fraction": _check(Unit.RATIO, Worse.ABOVE, RowParams),
}
