"""
A layer corrected as its rule set asks: what is changed, and that no change brings an error.

What is planned is made and measured; where an error is new, the openings it is of are left as they were, with
the row they are in. Then it is planned again on what came out, until nothing is to be changed: so trimming a
trimmed layer changes nothing. What is relative to the drawn size is done once: `marks` tell that it was.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from functools import partial
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.openings import Openings
from pastecheck.rulesets import RuleSet
from pastecheck.trim.circles import plan_circles
from pastecheck.trim.corners import plan_corners
from pastecheck.trim.errors import plan_errors
from pastecheck.trim.errors_of import Found, found_in, openings_found_by, with_new_errors
from pastecheck.trim.islands import plan_islands
from pastecheck.trim.likeness import touched
from pastecheck.trim.marks import not_done_before
from pastecheck.trim.others import plan_chips, plan_selected
from pastecheck.trim.panes import plan_panes
from pastecheck.trim.plan import Held, Plan, Why
from pastecheck.trim.proof import as_written
from pastecheck.trim.rows import plan_rows
from pastecheck.trim.table import Made, made, measured

__all__ = ["Held", "Trimmed", "Why", "trimmed"]

_ROUNDS: Final = 20
"""Leads made like their neighbours may make longer rows, pieces get round corners; then nothing is new."""
_TRIES: Final = 6
"""After so many a plan is made anew, without what was to blame for errors."""
MAY: Final = -2
"""In place of the rule by which a change is refused: it is not."""
MEETS: Final = -1
"""As well: its opening would have met another."""
_ONCE: Final = frozenset({Why.CHIPS, Why.THERMAL, Why.LARGE, Why.SELECTED})
"""Reasons of what is done once."""
_LESS: Final = (Held.WIDTH, Held.VOLUME, Held.COVERAGE)
"""What was noted of changes that were then refused as a whole."""


@dataclass(frozen=True, eq=False, slots=True)
class Trimmed:
    """What became of n openings."""

    openings: Openings
    """As they are to be cut."""
    origin: IntArray
    """For each of them the one that it is of, as drawn."""
    why: IntArray
    """Of each drawn opening, a `Why`. Shape (n,)."""
    held: IntArray
    """What kept its change from what was asked for, a `Held`. Shape (n,)."""
    wanted_mm: FloatArray
    """The width that was asked for, where something held it. Shape (n,)."""
    brought: IntArray
    """Where a change was refused: the rule that it would have broken, or `MEETS`; else `MAY`. Shape (n,)."""
    before: Found
    """What is found in the layer as drawn."""


def trimmed(
    m: Measurements, rule_set: RuleSet, marks: Collection[str] = (), path: str = "the layer"
) -> Trimmed:
    """
    The openings that a rule set asks for.

    Args:
        m: The layer as drawn.
        rule_set: What is to be changed, and the limits that changes keep.
        marks: What the layer says was done to it already, as of `marks_in`.
        path: Of the layer, for errors.

    Raises:
        PastecheckError: If openings would not be the same when they are written and read.
    """
    rule_set = replace(rule_set, trim=not_done_before(rule_set.trim, marks))
    count = len(m.openings)
    why, held, wanted_mm = np.zeros(count, np.int64), np.zeros(count, np.int64), np.full(count, np.nan)
    now = _as_written(Made(m.openings, np.arange(count)), m, path)
    layer = measured(m, now)
    found = found_in(layer, rule_set, now.origin)
    refused = np.full((len(Why), count), MAY)
    once = rule_set.trim.done_once
    for _ in range(_ROUNDS):
        plan = _planned(layer, rule_set, now.origin, refused != MAY)
        _note(plan, now.origin, held, wanted_mm)
        if not plan.is_changed.any():
            if not once:
                break
            # what is done once may have been to blame for what others were refused
            once, rule_set, refused = {}, _without_once(rule_set), _once_more(refused)
            continue
        reason = plan.why
        plan, then, brings = _without_new_errors(layer, rule_set, plan, now, found, path)
        guilty = np.flatnonzero(brings != MAY)
        refused[reason[guilty], now.origin[guilty]] = brings[guilty]
        if then is None:
            continue
        rows = now.origin[plan.is_changed]
        why[rows] = np.where(why[rows] == Why.UNCHANGED, plan.why[plan.is_changed], why[rows])
        now, layer, found = then
        once, rule_set, refused = {}, _without_once(rule_set), _once_more(refused)
    brought = refused.max(axis=0)
    told_less = (held == Held.NOTHING) | ((why == Why.UNCHANGED) & np.isin(held, _LESS))
    held = np.where((brought != MAY) & told_less, Held.REFUSED, held)
    before = found_in(m, rule_set, np.arange(count))
    return Trimmed(now.openings, now.origin, why, held, wanted_mm, brought, before)


def _once_more(refused: IntArray) -> IntArray:
    """Refusals of what is done once stay; all else may be tried again."""
    kept = refused.copy()
    kept[[why for why in Why if why not in _ONCE]] = MAY
    return kept


def _without_once(rule_set: RuleSet) -> RuleSet:
    return replace(rule_set, trim=rule_set.trim.without(rule_set.trim.done_once))


class _State(NamedTuple):
    """A layer on the way."""

    made: Made
    """Its openings, and for each the one that it is of, as drawn."""
    m: Measurements
    found: Found


def _planned(m: Measurements, rule_set: RuleSet, origin: IntArray, refused: BoolArray) -> Plan:
    """
    All that the rule set asks for, less what was refused.

    Errors are mended where nothing else is left to do, for that may have ended them.

    Args:
        m: The layer as it is by now.
        rule_set: What is asked for.
        origin: Of each opening, as drawn.
        refused: By reason and opening as drawn.
    """
    plan = Plan.of_nothing(len(m.openings))
    for planner in _PLANNERS:
        planner(m, rule_set, plan)
        plan = plan.without(refused[plan.why, origin])
    if not plan.is_changed.any():
        plan_errors(m, rule_set, plan)
        plan = plan.without(refused[plan.why, origin])
    return plan


def _note(plan: Plan, origin: IntArray, held: IntArray, wanted_mm: FloatArray) -> None:
    """What holds openings, told by those as drawn; what was told first stays."""
    rows = np.flatnonzero(plan.held)
    rows = rows[held[origin[rows]] == Held.NOTHING]
    held[origin[rows]], wanted_mm[origin[rows]] = plan.held[rows], plan.wanted_mm[rows]


def _plan_selected(m: Measurements, rule_set: RuleSet, plan: Plan) -> None:
    if rule_set.trim.selected:
        needs = any(entry.failed for entry in rule_set.trim.selected)
        plan_selected(m, rule_set, plan, openings_found_by(m, rule_set) if needs else {})


_PLANNERS: Final[tuple[Callable[[Measurements, RuleSet, Plan], None], ...]] = (
    plan_rows,
    plan_panes,
    plan_chips,
    _plan_selected,
    plan_circles,
    plan_islands,
    plan_corners,
)
"""Each writes into the plan what its entry asks for, of openings that nothing is planned for yet."""


def _without_new_errors(
    m: Measurements, rule_set: RuleSet, plan: Plan, now: Made, before: Found, path: str
) -> tuple[Plan, _State | None, IntArray]:
    """
    What of a plan brings no error, what it makes, and what the changes that are to blame would have brought.

    Where these are not soon told from the others, None is made, and those known to blame are told. Where
    nobody is to blame, as for an error of the layer as a whole, all are.
    """
    brings = np.full(len(m.openings), MAY)
    for _ in range(_TRIES):
        if not plan.is_changed.any():
            break
        meant = made(m, plan)
        if (touching := _touching(meant, plan)).any():
            brings[touching] = MEETS
            plan = plan.without(touching)
            continue
        then = _as_written(meant, m, path)
        layer = measured(m, then)
        after = found_in(layer, rule_set, now.origin[then.origin])
        guilty = _to_blame(m, plan, now, before, after, partial(_by_writing_alone, m, rule_set, now, path))
        if guilty is None:
            return plan, _State(Made(then.openings, now.origin[then.origin]), layer, after), brings
        brings = np.maximum(brings, guilty)
        plan = plan.without(guilty != MAY)
    return plan.without(brings != MAY), None, brings


def _to_blame(
    m: Measurements, plan: Plan, now: Made, before: Found, after: Found, by_writing: Callable[[], Found]
) -> IntArray | None:
    """
    Which changes bring new errors, as of `_guilty`; all of them, where errors are of none. Shape (n,).

    None where there are no new errors, or only such as writing alone brings.
    """
    new = with_new_errors(before, after)
    if new is None:
        return None
    guilty = _guilty(m, plan, now, after, new)
    if (guilty != MAY).any():
        return guilty
    new = _both(new, with_new_errors(by_writing(), after))
    return None if new is None else np.where(plan.is_changed, after.check[new].max(), MAY)


def _touching(meant: Made, plan: Plan) -> BoolArray:
    """Which changes make openings reach others, so that the two would be one. Shape (n,)."""
    reaches = (plan.why == Why.CIRCLES) | (plan.inset_mm < 0).any(axis=(1, 2))
    rows = np.flatnonzero(reaches[meant.origin])
    are = np.zeros(len(reaches), bool)
    are[meant.origin[touched(meant.openings, rows)]] = True
    return np.asarray(are & reaches)


def _as_written(then: Made, m: Measurements, path: str) -> Made:
    """
    What is judged is what will be read, also before anything is changed.

    A file in inches rounds lengths; and what is known more exactly when it is read again, by smaller steps or
    without curves, has less slack at a limit. What that alone would bring is no new error of a change.
    """
    found, of = as_written(then.openings, m.limits, path)
    return Made(found, then.origin[of])


def _by_writing_alone(m: Measurements, rule_set: RuleSet, now: Made, path: str) -> Found:
    """What is found in a layer that is written once more, nothing changed: curves may become chords."""
    then = _as_written(Made(m.openings, np.arange(len(m.openings))), m, path)
    return found_in(measured(m, then), rule_set, now.origin[then.origin])


def _both(one: BoolArray, other: BoolArray | None) -> BoolArray | None:
    """What is of both; None where nothing is."""
    both = np.zeros(len(one), bool) if other is None else one & other
    return both if both.any() else None


def _guilty(m: Measurements, plan: Plan, now: Made, after: Found, new: BoolArray) -> IntArray:
    """
    Which changes are given up: those of openings with new errors, and of the rows they are in. Shape (n,).

    For each the rule of which it would bring an error; `MAY` for all others.
    """
    bad = np.full(int(now.origin.max()) + 2, MAY)  # the last is for what is of no opening
    for opening in (after.first[new], after.second[new]):
        np.maximum.at(bad, opening, after.check[new])
    bad[-1] = MAY
    guilty = np.where(plan.is_changed, bad[now.origin], MAY)
    row = m.row_of_part
    with_row = np.full(int(row.max(initial=-1)) + 2, MAY)
    np.maximum.at(with_row, row, guilty)
    with_row[-1] = MAY
    return np.where(plan.is_changed, np.maximum(guilty, with_row[row]), MAY)
