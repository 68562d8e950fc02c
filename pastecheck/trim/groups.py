"""What was done, by groups of openings that were changed alike."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import floor
from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.check import NO_OPENING
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.measurements import Measurements
from pastecheck.openings import Openings
from pastecheck.ragged import distinct, distinct_rows
from pastecheck.rulesets import RuleSet, load, shipped
from pastecheck.trim import Trimmed
from pastecheck.trim.errors_of import Found
from pastecheck.trim.floors import least_width_mm, reference_mm3
from pastecheck.trim.outcome import Change, Findings, Group, Size
from pastecheck.trim.plan import Held, Plan, Why, axis_along, sides_mm
from pastecheck.trim.rows import plan_rows
from pastecheck.units import UM_PER_MM, shown

_HALF: Final = 0.5
"""Of what leads are given in metal foil: joints with less are starved (`common practice, no source`)."""
_TOO_SMALL: Final = "too small for this foil and cutter, and nothing is made larger unless --grow says so"
_SETS: Final = 4
"""So many are named of those that would do."""


class ReadBack(NamedTuple):
    """The layer as it was read back."""

    m: Measurements
    origin: IntArray
    """For each opening the one that it is of, as drawn."""
    found: Found


def groups_of(drawn: Measurements, done: Trimmed, now: ReadBack, rule_set: RuleSet) -> tuple[Group, ...]:
    """Groups of what was changed and of what was held, those of most openings first."""
    rows = np.flatnonzero((done.why != Why.UNCHANGED) | (done.held != Held.NOTHING))
    if not len(rows):
        return ()
    first = first_of_each(now.origin, len(done.why))
    count = np.bincount(now.origin, minlength=len(done.why))
    sizes = [drawn.width_mm, drawn.length_mm, now.m.width_mm[first], now.m.length_mm[first]]
    sizes.append(np.nan_to_num(done.wanted_mm))
    rounds = [_are_round(drawn), _are_round(now.m)[first]]
    micrometres = [np.rint(size * UM_PER_MM).astype(np.int64) for size in sizes]
    told = [done.why, done.held, np.where(done.held == Held.REFUSED, done.brought, 0), count]
    kinds = distinct_rows(np.column_stack([*told, *micrometres, *rounds])[rows])
    kind = np.full(len(done.why) + 1, NO_OPENING)  # the last is for what is of no opening
    kind[rows] = kinds.inverse
    number = len(kinds.first)
    findings = list(_findings((done.before, now.found), kind, number, rule_set))
    volumes = _volumes_mm3(drawn, now, kind, number, rule_set)
    references = _references_mm3(drawn, done, kind, number, rule_set)
    says = _Words(drawn, done, rule_set)
    order = np.argsort(kinds.inverse, kind="stable")
    runs = np.split(rows[order], np.cumsum(np.bincount(kinds.inverse, minlength=number))[:-1])
    groups = []
    for row, members in enumerate(runs):
        one = int(members[0])
        volume = Change(*volumes[:, row].tolist())
        reference = float(references[row])
        share = Change(volume.before / reference, volume.after / reference) if reference > 0 else None
        groups.append(
            Group(
                Why(int(done.why[one])),
                Held(int(done.held[one])),
                members,
                _components(drawn.openings, members),
                _size(drawn, one),
                _size(now.m, int(first[one])),
                int(count[members].sum()),
                volume,
                share,
                findings[row],
                says.of(members, share, volume),
            )
        )
    return tuple(sorted(groups, key=lambda group: (-len(group.rows), int(group.rows[0]))))


def findings_of_all(before: Found, now: Found, rule_set: RuleSet) -> tuple[Findings, ...]:
    """Of the whole layer, what is of no opening too."""
    numbers = [
        np.bincount(2 * found.check + found.is_error, minlength=2 * len(rule_set.rules)).reshape(-1, 2)
        for found in (before, now)
    ]
    return _told(numbers, rule_set)


def first_of_each(origin: IntArray, count: int) -> IntArray:
    """The first opening that each drawn one became. Shape (count,)."""
    order = np.argsort(origin, kind="stable")
    first: IntArray = order[np.searchsorted(origin[order], np.arange(count))]
    return first


def _are_round(m: Measurements) -> BoolArray:
    return np.asarray(shapely.get_dimensions(m.openings.shapes.core)[m.openings.shape] == 0)


def _size(m: Measurements, row: int) -> Size:
    is_round = bool(shapely.get_dimensions(m.openings.shapes.core[m.openings.shape[row]]) == 0)
    return Size(float(m.width_mm[row]), float(m.length_mm[row]), is_round)


def _components(openings: Openings, members: IntArray) -> tuple[str, ...]:
    return tuple(openings.labels[row] for row in distinct(openings.label[members]).tolist() if row)


def _findings(
    found: tuple[Found, Found], kind: IntArray, number: int, rule_set: RuleSet
) -> Iterator[tuple[Findings, ...]]:
    """Of the openings of each kind, by checks; what is between two kinds counts for both."""
    numbers = [_counted(each, kind, number, len(rule_set.rules)) for each in found]
    for row in range(number):
        yield _told([each[row] for each in numbers], rule_set)


def _counted(found: Found, kind: IntArray, number: int, rules: int) -> IntArray:
    """Warnings and errors. Shape (number, rules, 2)."""
    one, other = kind[found.first], kind[found.second]
    of = np.concatenate([one, np.where(other == one, NO_OPENING, other)])
    key = np.tile(2 * found.check + found.is_error, 2) + 2 * rules * of
    counted: IntArray = np.bincount(key[of != NO_OPENING], minlength=2 * rules * number)
    return counted.reshape(number, rules, 2)


def _told(numbers: Sequence[IntArray], rule_set: RuleSet) -> tuple[Findings, ...]:
    """By checks that find or found something; numbers of warnings and errors have shape (rules, 2)."""
    before, after = (each.tolist() for each in numbers)
    every = zip(rule_set.rules, before, after, strict=True)
    return tuple(
        Findings(rule.check, (was[1], now[1]), (was[0], now[0]))
        for rule, was, now in every
        if any(was) or any(now)
    )


def _volumes_mm3(
    drawn: Measurements, now: ReadBack, kind: IntArray, number: int, rule_set: RuleSet
) -> FloatArray:
    """Of each kind before and after. Shape (2, number)."""
    after_mm2 = np.bincount(now.origin, weights=now.m.area_mm2, minlength=len(kind) - 1).astype(np.float64)
    areas = [_summed(area_mm2, kind[:-1], number) for area_mm2 in (drawn.area_mm2, after_mm2)]
    return np.array(areas) * rule_set.foil.thickness_mm


def _summed(column: FloatArray, kind: IntArray, number: int) -> FloatArray:
    known = kind != NO_OPENING
    sums: FloatArray = np.bincount(kind[known], weights=column[known], minlength=number).astype(np.float64)
    return sums


def _references_mm3(
    drawn: Measurements, done: Trimmed, kind: IntArray, number: int, rule_set: RuleSet
) -> FloatArray:
    """What leads of each kind are given in metal foil; 0 for what is no row. Shape (number,)."""
    each_mm3 = np.zeros(len(done.why))
    reference = rule_set.trim.reference
    is_row = (done.why == Why.ROWS) | (~np.isnan(done.wanted_mm))
    rows = np.flatnonzero(is_row & drawn.are_leads & ~np.isnan(drawn.direction_rad))
    if reference is not None and len(rows):
        axis = axis_along(drawn, rows, drawn.rows.row_direction_rad[drawn.rows.row[rows]])
        along_mm = sides_mm(drawn)[rows, 1 - axis]
        each_mm3[rows] = reference_mm3(reference, drawn.rows.pitch_mm[rows], along_mm)
    return _summed(each_mm3, kind[:-1], number)


class _Words:
    """Why openings are not what was asked for."""

    def __init__(self, drawn: Measurements, done: Trimmed, rule_set: RuleSet) -> None:
        self._done, self._own = done, rule_set
        held = np.isin(done.held, (Held.WIDTH, Held.VOLUME, Held.LEFT))
        self._others = _sets_that_would_do(drawn, rule_set, done) if held.any() else {}

    def of(self, members: IntArray, share: Change | None, volume: Change) -> str:
        """Of some openings alike, with so much of what metal foil gives, and so much paste in all."""
        starves = share is not None and share.after < _HALF
        said = [
            self._held(members, volume),
            "this foil starves the joint: it gets less than half" if starves else "",
        ]
        return "; ".join(filter(None, said))

    def _held(self, members: IntArray, volume: Change) -> str:
        one = int(members[0])
        held, wanted_mm = Held(int(self._done.held[one])), float(self._done.wanted_mm[one])
        wanted = shown(wanted_mm, "mm")
        said = {
            Held.NOTHING: "",
            Held.REFUSED: self._refused(one),
            Held.NO_SIZE: "no change of its size would end its errors without bringing others",
            Held.GROWTH: _TOO_SMALL,
            Held.APART: "left as it was: as small as is asked for it would fall apart, or be gone",
            Held.NO_ROOM: f"left as it was: webs of {wanted} leave no room for openings between them",
            Held.COVERAGE: self._less(Why(int(self._done.why[one])), volume),
            Held.WIDTH: f"{wanted} was asked for, narrower than this foil and cutter can make it",
            Held.VOLUME: f"{wanted} was asked for, which would give the joint too little paste in this foil",
            Held.LEFT: f"left as it was: {wanted} was asked for, and no width suits both opening and web",
        }[held]
        if held not in {Held.WIDTH, Held.VOLUME, Held.LEFT}:
            return said
        names = (name for name, can in self._others.items() if name != self._own.name and can[members].all())
        return f"{said}; {_listed(names)}"

    def _refused(self, row: int) -> str:
        """What a change would have brought."""
        brought = int(self._done.brought[row])
        if brought < 0:
            return "a change that was asked for is left out: it would have met another opening"
        check = self._own.rules[brought].check
        return f"a change that was asked for is left out: it would have brought an error ({check})"

    def _less(self, why: Why, volume: Change) -> str:
        """That panes cover less than was asked for."""
        entry = self._own.trim.thermal if why is Why.THERMAL else self._own.trim.large
        if entry is None:
            return ""
        web, pane = (shown(size_mm, "mm") for size_mm in (entry.web_mm, entry.pane_mm))
        left = floor(100 * volume.after / volume.before)
        return (
            f"coverage of {100 * entry.coverage:.0f} % was asked for: webs of {web} between panes of at most "
            f"{pane} leave {left} %"
        )


def _sets_that_would_do(drawn: Measurements, own: RuleSet, done: Trimmed) -> Mapping[str, BoolArray]:
    """
    Of each rule set that ships the openings that it could make as wide as is asked for.

    Of leads that is what the set itself asks for, for thinner foil needs less of a gap; an entry that is the
    user's own counts for any foil. Those of the same cutter come first, then those for the same material.
    """
    found = {}
    every = [load(name) for name in shipped()]
    every.sort(key=lambda one: (one.cutter != own.cutter, one.foil.material != own.foil.material))
    are_own = own.trim.rows not in [one.trim.rows for one in every]
    for rule_set in every:
        m, plan = drawn.in_foil(rule_set.foil), Plan.of_nothing(len(drawn.openings))
        trim = replace(rule_set.trim, rows=own.trim.rows if are_own else rule_set.trim.rows)
        plan_rows(m, replace(rule_set, trim=trim), plan)
        rows = np.flatnonzero(~drawn.are_leads & (done.held == Held.WIDTH))
        asked_mm, length_mm = done.wanted_mm[rows], drawn.length_mm[rows]
        can = (plan.held == Held.NOTHING) & drawn.are_leads
        can[rows] = asked_mm >= least_width_mm(m, rule_set, rows, asked_mm, length_mm)
        found[rule_set.name] = np.asarray(can)
    return found


def _listed(names: Iterable[str]) -> str:
    every = list(names)
    more = f" and {len(every) - _SETS} more" if len(every) > _SETS else ""
    return f"what would do: {', '.join(every[:_SETS])}{more}" if every else "no foil that ships would do"
