"""
One cause, one line: findings put together as a person would, by opening first and by check second.

Openings belong together when they are of the same size to 10 um, fail the same checks at the same level, and
want the same remedy, if in other figures; whatever component and row they are of. What two openings of one
size and component fail together, as a web, is told of the openings, and joins them; so does a row that wants
the same: it is one, with all that is wrong in it. What is joined wants the same figures too. A pair of unlike
openings is a thing of its own. Pairs that are in no row, as chips that stand close, are one cause for each
set of checks, whatever their sizes: a board has them in many, and each wants a little off the sides that face
each other. Bare lands, and the layer as a whole, stand by themselves.
"""

from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.geometry.dissolve import connected
from pastecheck.ragged import distinct_rows, distinct_runs, offsets
from pastecheck.report import Finding, LayerReport, Level, OpeningTable, steps_of_10_um
from pastecheck.reporters._told import Cause, Found, Kind, manner, told

BEFORE_ALL: Final = "registration"
"""The check whose findings come first: while the layer is shifted, much of the rest comes from that."""


class Causes(NamedTuple):
    """The worst causes, and how much is not among them."""

    shown: tuple[Cause, ...]
    more: int
    """Causes left out."""
    findings_of_more: int
    of_findings: IntArray
    """Place of each finding's cause, from 0, worst first; findings in order of the outcomes. Shape (k,)."""


class _Like(NamedTuple):
    """Which openings are alike; columns of shape (n,), equal numbers for those that are."""

    size: IntArray
    family: IntArray
    """Of one size and one component."""


class _Things(NamedTuple):
    """What failed, t things: openings that pairs join, a pair of unlike ones, or what is no opening."""

    of_finding: IntArray
    """The thing that a finding is told of. Shape (k,)."""
    finding: IntArray
    """A finding of each thing. Shape (t,)."""
    kind: IntArray
    """Shape (t,)."""


class _Grouped(NamedTuple):
    """Findings, and what each is told of."""

    found: Found
    cause: IntArray
    """Place of each finding's cause, from 0, worst first. Shape (k,)."""
    kind: IntArray
    """Of that cause. Shape (k,)."""
    row_sizes: IntArray


def causes(layer: LayerReport, at_most: int) -> Causes:
    """
    The causes behind a layer's findings: registration, errors, then what is farthest past its limit.

    Args:
        layer: A judged layer, in which all findings of one opening, or of one pair, carry the same remedy.
        at_most: How many causes to tell.

    Raises:
        ValueError: If a reading or limit is not finite, which is a defect of what found it.

    Cost:
        Findings and openings are sorted some times; each cause that is told takes a look at its own findings.
    """
    if not any(one.findings for one in layer.outcomes):
        return Causes((), 0, 0, np.zeros(0, np.int64))
    found, nth, kind, row_sizes = _grouped(layer)
    end = offsets(np.bincount(nth))
    told_of = min(at_most, len(end) - 1)
    order = np.argsort(nth, kind="stable")
    shown = tuple(
        told(layer, found, order[a:b], Kind(kind[order[a]]), row_sizes)
        for a, b in pairwise(end[: told_of + 1].tolist())
    )
    return Causes(shown, len(end) - 1 - told_of, len(nth) - int(end[told_of]), nth)


@lru_cache(maxsize=2)
def _grouped(layer: LayerReport) -> _Grouped:
    """Put together once for all reports of a layer: both sides of a board are kept."""
    found = _found(layer)
    like = _like(layer.table)
    things = _things(found, like, layer.table.row)
    cause = _cause_of_things(things, found, like, len(layer.outcomes))[things.of_finding]
    first = next((k for k, one in enumerate(layer.outcomes) if one.check == BEFORE_ALL), -1)
    nth = _rank(found, cause, first)[cause]
    return _Grouped(found, nth, things.kind[things.of_finding], _row_sizes(layer.table, like))


def _found(layer: LayerReport) -> Found:
    findings = [finding for outcome in layer.outcomes for finding in outcome.findings]
    level, _, value, limit, x_mm, y_mm, opening, other, label, _, _, _, remedy, *_ = (
        zip(*findings, strict=True) if findings else [()] * len(Finding._fields)
    )
    values, limits = np.array(value, np.float64), np.array(limit, np.float64)
    if not (np.isfinite(values).all() and np.isfinite(limits).all()):
        raise ValueError("a finding has a number that is not finite")
    scale = np.where(limits == 0, 1.0, np.abs(limits))
    texts: dict[str, int] = {}
    numbers = np.array([texts.setdefault(text, len(texts)) for text in remedy], np.int64)
    manners: dict[str, int] = {}
    of_text = [manners.setdefault(manner(text), len(manners)) for text in texts]
    return Found(
        findings,
        np.repeat(np.arange(len(layer.outcomes)), [len(outcome.findings) for outcome in layer.outcomes]),
        np.array([one is Level.ERROR for one in level], bool),
        np.round(np.abs(values - limits) / scale, 6),
        np.column_stack([x_mm, y_mm]).astype(np.float64),
        np.array([one or 0 for one in opening], np.int64) - 1,
        np.array([one or 0 for one in other], np.int64) - 1,
        np.array(label, np.object_) != "",
        numbers,
        np.array(of_text, np.int64)[numbers],
    )


def _like(table: OpeningTable) -> _Like:
    width, length = steps_of_10_um(table.width_mm), steps_of_10_um(table.length_mm)
    size = (width << 33) | (length << 1) | table.is_round
    return _Like(size, distinct_rows(np.column_stack([size, table.label])).inverse)


def _row_sizes(table: OpeningTable, like: _Like) -> IntArray:
    """A number for the like openings of a component in a row (or in none), and how many. Shape (n, 2)."""
    row = distinct_rows(np.column_stack([like.family, table.row])).inverse
    return np.column_stack([row, np.bincount(row)[row]])


# -------------------------------------------------------------------------------------- what belongs together


def _things(found: Found, like: _Like, row: IntArray) -> _Things:
    n, count = len(like.family), len(found.findings)
    is_pair, is_bare = found.second >= 0, found.first < 0
    is_within = is_pair & (like.family[found.first] == like.family[found.second])
    within = np.flatnonzero(is_within)
    both = np.stack([found.first[within], found.second[within]])
    thing = connected(n, *np.concatenate([both, _in_rows(found, like, row)], axis=1))[found.first]
    across = np.flatnonzero(is_pair & ~is_within)
    pair = np.sort(np.column_stack([found.first[across], found.second[across]]), axis=1)
    thing[across] = n + distinct_rows(pair).inverse
    bare = np.flatnonzero(is_bare)
    alike = np.column_stack([found.rule[bare], found.is_error[bare], found.remedy[bare]])
    thing[bare] = n + count + distinct_rows(alike).inverse
    present, example, of_finding = np.unique(thing, return_index=True, return_inverse=True)
    kind = np.where(present < n, Kind.OPENINGS, np.where(present < n + count, Kind.PAIRS, Kind.PLACES))
    is_loose = np.ones(len(present), bool)
    is_loose[of_finding[~is_pair | (row[found.first] >= 0) | (row[found.second] >= 0)]] = False
    kind[is_loose] = Kind.LOOSE_PAIRS
    return _Things(of_finding.astype(np.int64), example.astype(np.int64), kind.astype(np.int64))


def _in_rows(found: Found, like: _Like, row: IntArray) -> IntArray:
    """Openings that follow each other among those of a row and component that want the same. Shape (2, k)."""
    alone = np.flatnonzero((found.second < 0) & (found.first >= 0))
    alone = alone[row[found.first[alone]] >= 0]
    opening = found.first[alone]
    kind = distinct_rows(np.column_stack([row[opening], like.family[opening], found.remedy[alone]])).inverse
    order = np.lexsort((opening, kind))
    opening, kind = opening[order], kind[order]
    follows = np.flatnonzero(kind[1:] == kind[:-1])
    return np.stack([opening[follows], opening[follows + 1]])


def _cause_of_things(things: _Things, found: Found, like: _Like, rules: int) -> IntArray:
    """Number of the cause of each thing. Shape (t,)."""
    first, second = found.first[things.finding], found.second[things.finding]
    is_opening, is_pair = things.kind == Kind.OPENINGS, things.kind == Kind.PAIRS
    one, other = like.size[first], like.size[second]
    key = (
        things.kind,
        np.where(is_opening, one, np.where(is_pair, np.minimum(one, other), 0)),
        np.where(is_pair, np.maximum(one, other), 0),
        found.is_named[things.finding],
        _signatures(found, things, rules),
    )
    return distinct_rows(np.column_stack(key)).inverse


def _signatures(found: Found, things: _Things, rules: int) -> IntArray:
    """Equal numbers for things that fail the same checks at the same levels, and mostly want the same."""
    thing = things.of_finding
    of_pairs = np.bincount(thing, weights=found.second >= 0)[thing] > 0
    remedy = np.where(of_pairs, found.remedy, 1 + int(found.remedy.max()) + found.manner)
    remedy[things.kind[thing] == Kind.LOOSE_PAIRS] = 0
    marks = 2 * found.rule + found.is_error, 2 * rules + remedy
    many = 1 + int(marks[1].max())
    both = np.sort(np.concatenate([thing * many + mark for mark in marks]))
    of_thing, mark = np.divmod(both[np.append(True, np.diff(both) > 0)], many)
    return distinct_runs(mark[:, None], offsets(np.bincount(of_thing))).inverse


def _rank(found: Found, cause: IntArray, before_all: int) -> IntArray:
    """Place of each cause, worst first; among equals the larger one."""
    kinds = int(cause.max()) + 1
    error, ahead = np.zeros(kinds, bool), np.zeros(kinds, bool)
    past, first = np.zeros(kinds), np.full(kinds, len(cause))
    np.logical_or.at(error, cause, found.is_error)
    np.logical_or.at(ahead, cause, found.rule == before_all)
    np.maximum.at(past, cause, np.where(found.is_error == error[cause], found.past, 0.0))
    np.minimum.at(first, cause, np.arange(len(cause)))
    order = np.lexsort((first, -np.bincount(cause), -past, ~error, ~ahead))
    place = np.empty(kinds, np.int64)
    place[order] = np.arange(kinds)
    return place
