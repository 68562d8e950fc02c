"""What was done, by groups of openings that were changed alike."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.measurements import Measurements
from pastecheck.ragged import distinct_rows
from pastecheck.rulesets import RuleSet, load, shipped
from pastecheck.trim.errors_of import Found
from pastecheck.trim.plan import Held, Plan, Why
from pastecheck.trim.rows import plan_rows
from pastecheck.units import UM_PER_MM, shown

_SIZES: Final = 8


class Findings(NamedTuple):
    """How often a check found something of some openings, as drawn and as trimmed."""

    check: str
    errors: tuple[int, int]
    warnings: tuple[int, int]


class Group(NamedTuple):
    """Openings that were changed alike, or left alike against what was asked for."""

    why: Why
    held: Held
    rows: IntArray
    """Of the openings as drawn."""
    from_mm: tuple[float, float]
    """Width and length."""
    to_mm: tuple[float, float]
    """Of each opening that it became, if these are alike; else the mean."""
    became: int
    """How many openings they are now."""
    volume_mm3: tuple[float, float]
    """Before and after, all together."""
    findings: tuple[Findings, ...]
    says: str
    """Why it is not what was asked for, and what would do; empty where it is."""


def groups_of(
    drawn: Measurements,
    now: Measurements,
    origin: IntArray,
    outcome: tuple[IntArray, IntArray, np.ndarray[tuple[int, ...], np.dtype[np.float64]]],
    found: tuple[Found, Found],
    rule_set: RuleSet,
) -> tuple[Group, ...]:
    """
    Groups of what was changed and of what was held, those of most openings first.

    Args:
        drawn: The layer as drawn, n openings.
        now: As it was read back.
        origin: For each opening of it the one that it is of.
        outcome: Of each drawn opening why it was changed, what held it, and the width that was asked for.
        found: What was found before and after, by openings as drawn.
        rule_set: What it was judged by.
    """
    why, held, wanted_mm = outcome
    rows = np.flatnonzero((why != Why.UNCHANGED) | (held != Held.NOTHING))
    if not len(rows):
        return ()
    order = np.argsort(origin, kind="stable")
    begin = np.searchsorted(origin[order], np.arange(len(why)))
    first = order[begin]
    count = np.bincount(origin, minlength=len(why))
    sizes = [drawn.width_mm, drawn.length_mm, now.width_mm[first], now.length_mm[first]]
    table = np.column_stack(
        [why, held, count, *(np.rint(size * UM_PER_MM).astype(np.int64) for size in sizes)]
    )[rows]
    kinds = distinct_rows(table)
    thickness_mm = rule_set.foil.thickness_mm
    after_mm2 = np.bincount(origin, weights=now.area_mm2, minlength=len(why))
    others = _sets_that_would_do(drawn) if (held[rows] != Held.NOTHING).any() else {}
    groups = []
    for kind in range(len(kinds.first)):
        members = rows[kinds.inverse == kind]
        one = int(members[0])
        volumes = (float(drawn.area_mm2[members].sum()), float(after_mm2[members].sum()))
        groups.append(
            Group(
                Why(int(why[one])),
                Held(int(held[one])),
                members,
                (float(drawn.width_mm[one]), float(drawn.length_mm[one])),
                (float(now.width_mm[first[one]]), float(now.length_mm[first[one]])),
                int(count[members].sum()),
                (volumes[0] * thickness_mm, volumes[1] * thickness_mm),
                _findings(found, members, len(why), rule_set),
                _says(Held(int(held[one])), float(wanted_mm[one]), members, others, rule_set),
            )
        )
    return tuple(sorted(groups, key=lambda group: (-len(group.rows), int(group.rows[0]))))


def _findings(
    found: tuple[Found, Found], members: IntArray, count: int, rule_set: RuleSet
) -> tuple[Findings, ...]:
    """Of some openings, by checks that find or found something."""
    are = np.zeros(count + 1, bool)  # the last is for what is of no opening
    are[members] = True
    told = []
    for row, rule in enumerate(rule_set.rules):
        numbers = [_count(each, row, are) for each in found]
        if any(map(any, numbers)):
            (errors, warnings), (errors_now, warnings_now) = numbers
            told.append(Findings(rule.check, (errors, errors_now), (warnings, warnings_now)))
    return tuple(told)


def _count(found: Found, row: int, are: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> tuple[int, int]:
    its = (found.check == row) & (are[found.first] | are[found.second])
    return int(np.count_nonzero(its & found.is_error)), int(np.count_nonzero(its & ~found.is_error))


def findings_of_all(found: tuple[Found, Found], rule_set: RuleSet) -> tuple[Findings, ...]:
    """Of the whole layer, what is of no opening too."""
    count = max((int(each.second.max(initial=-1)) for each in found), default=-1) + 1
    told = []
    for row, rule in enumerate(rule_set.rules):
        numbers = [_count(each, row, np.ones(count + 1, bool)) for each in found]
        if any(map(any, numbers)):
            (errors, warnings), (errors_now, warnings_now) = numbers
            told.append(Findings(rule.check, (errors, errors_now), (warnings, warnings_now)))
    return tuple(told)


def _sets_that_would_do(drawn: Measurements) -> dict[str, set[int]]:
    """Of each rule set that ships the rows of leads that it could make as wide as it asks for."""
    found = {}
    for name in shipped():
        rule_set = load(name)
        m = Measurements(drawn.openings, rule_set.foil, drawn.limits, board=drawn.board)
        plan = Plan.of_nothing(len(drawn.openings))
        plan_rows(m, rule_set, plan)
        found[name] = set(np.flatnonzero((plan.held == Held.NOTHING) & drawn.are_leads).tolist())
    return found


def _says(
    held: Held, wanted_mm: float, members: IntArray, others: dict[str, set[int]], rule_set: RuleSet
) -> str:
    if held is Held.NOTHING:
        return ""
    if held is Held.REFUSED:
        return "left as it was: the change would have brought an error"
    wanted = shown(wanted_mm, "mm")
    reason = {
        Held.WIDTH: f"{wanted} was asked for, narrower than this foil and cutter can make it",
        Held.VOLUME: f"{wanted} was asked for, which would give the joint too little paste in this foil",
        Held.LEFT: f"left as it was: {wanted} was asked for, and no width suits both opening and web",
    }[held]
    would_do = [name for name, rows in others.items() if rows.issuperset(members.tolist())]
    would_do = [name for name in would_do if name != rule_set.name]
    return f"{reason}; {_listed(would_do)}"


def _listed(names: Sequence[str]) -> str:
    return f"these sets can: {', '.join(names[:_SIZES])}" if names else "no foil that ships can"
