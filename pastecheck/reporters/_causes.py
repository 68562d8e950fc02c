"""
One cause, one line: findings put together as a person would, by opening first and by check second.

Openings, or pairs of openings, belong together when they are of one component, of the same size to 10 um,
fail the same checks at the same level, and want the same remedy.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.ragged import distinct_rows
from pastecheck.report import Finding, LayerReport, Level, OpeningTable, steps_of_10_um


class Size(NamedTuple):
    """Outline of an opening in the fewest words that tell it from others."""

    width_mm: float
    length_mm: float
    is_round: bool


@dataclass(frozen=True, slots=True)
class Cause:
    """What a person would mend in one go."""

    level: Level
    count: int
    """Openings, or pairs of them."""
    of_pairs: bool
    label: str
    """Component, or components joined by +; empty where the file names none."""
    sizes: tuple[Size, ...]
    """Of the openings; of a pair both, where they differ."""
    worst: tuple[Finding, ...]
    """The worst finding of each check that failed; errors first, then in the order of the rule set."""
    within_mm: tuple[float, float, float, float]
    """Where they are: min x, min y, max x, max y."""
    remedy: str


class Causes(NamedTuple):
    """The worst causes, and how much is not among them."""

    shown: tuple[Cause, ...]
    more: int
    """Causes left out."""
    findings_of_more: int


class _Columns(NamedTuple):
    """The findings of a layer in order of the rule set; columns of shape (k,)."""

    rule: IntArray
    is_error: BoolArray
    past: FloatArray
    """How far past the limit, as a share of it."""
    thing: IntArray
    """Number of the opening or pair; (t,) things."""


def causes(layer: LayerReport, at_most: int) -> Causes:
    """
    The causes behind a layer's findings: errors first, then what is farthest past its limit.

    Args:
        layer: A judged layer, in which all findings of one opening, or of one pair, carry the same remedy.
        at_most: How many causes to tell.
    """
    findings = [finding for outcome in layer.outcomes for finding in outcome.findings]
    if not findings:
        return Causes((), 0, 0)
    columns = _columns(layer, findings)
    cause = _cause_of_things(layer.table, findings, columns)[columns.thing]
    ranked = _ranked(columns, cause)
    rows = [np.flatnonzero(cause == one) for one in ranked[:at_most].tolist()]
    shown = tuple(_told(layer.table, findings, columns, some) for some in rows)
    return Causes(shown, len(ranked) - len(rows), len(findings) - sum(map(len, rows)))


def _columns(layer: LayerReport, findings: Sequence[Finding]) -> _Columns:
    value = np.array([finding.value for finding in findings])
    limit = np.array([finding.limit for finding in findings])
    scale = np.where(limit == 0, 1.0, np.abs(limit))
    return _Columns(
        np.repeat(np.arange(len(layer.outcomes)), [len(outcome.findings) for outcome in layer.outcomes]),
        np.array([finding.level is Level.ERROR for finding in findings]),
        np.round(np.abs(value - limit) / scale, 6),
        distinct_rows(np.column_stack(_openings(findings))).inverse,
    )


def _openings(findings: Sequence[Finding]) -> tuple[IntArray, IntArray]:
    """Rows of both openings of each finding; the second is -1 where there is none."""
    first = np.array([finding.opening for finding in findings], np.int64) - 1
    second = np.array([finding.other or 0 for finding in findings], np.int64) - 1
    return first, second


def _cause_of_things(table: OpeningTable, findings: Sequence[Finding], columns: _Columns) -> IntArray:
    """Number of the cause of each thing. Shape (t,)."""
    failed = np.zeros(columns.thing.max() + 1, np.int64)
    bit = 2 * columns.rule + columns.is_error  # room for 31 checks
    np.bitwise_or.at(failed, columns.thing, np.int64(1) << bit)
    _, example = np.unique(columns.thing, return_index=True)
    some = [findings[row] for row in example.tolist()]
    size = _sizes(table)
    first, second = _openings(some)
    one, other = size[first], np.where(second < 0, -1, size[second])
    texts: dict[str, int] = {}
    label = np.array([texts.setdefault(finding.label, len(texts)) for finding in some], np.int64)
    remedy = np.array([texts.setdefault(finding.remedy, len(texts)) for finding in some], np.int64)
    key = (np.minimum(one, other), np.maximum(one, other), label, remedy, failed)
    return distinct_rows(np.column_stack(key)).inverse


def _sizes(table: OpeningTable) -> IntArray:
    """Width, length and roundness of each opening as one number. Shape (n,)."""
    width, length = steps_of_10_um(table.width_mm), steps_of_10_um(table.length_mm)
    return (width << 33) | (length << 1) | table.is_round


def _ranked(columns: _Columns, cause: IntArray) -> IntArray:
    """Causes, worst first; among equals the larger one."""
    kinds = cause.max() + 1
    error, past, first = np.zeros(kinds, bool), np.zeros(kinds), np.full(kinds, len(cause))
    np.logical_or.at(error, cause, columns.is_error)
    np.maximum.at(past, cause, np.where(columns.is_error == error[cause], columns.past, 0.0))
    np.minimum.at(first, cause, np.arange(len(cause)))
    return np.lexsort((first, -np.bincount(cause), -past, ~error))


def _told(table: OpeningTable, findings: Sequence[Finding], columns: _Columns, rows: IntArray) -> Cause:
    """The cause that these findings have in common."""
    _, at = np.unique(columns.rule[rows], return_index=True)
    of_checks = [findings[row] for row in rows[at].tolist()]
    worst = sorted(of_checks, key=lambda finding: finding.level is not Level.ERROR)
    x_mm = [findings[row].x_mm for row in rows.tolist()]
    y_mm = [findings[row].y_mm for row in rows.tolist()]
    return Cause(
        level=worst[0].level,
        count=len(np.unique(columns.thing[rows])),
        of_pairs=worst[0].other is not None,
        label=worst[0].label,
        sizes=_sizes_of(table, worst[0]),
        worst=tuple(worst),
        within_mm=(min(x_mm), min(y_mm), max(x_mm), max(y_mm)),
        remedy=worst[0].remedy,
    )


def _sizes_of(table: OpeningTable, finding: Finding) -> tuple[Size, ...]:
    """Of the opening; of a pair both, the smaller first, unless they are of one size."""
    rows = [row - 1 for row in (finding.opening, finding.other) if row is not None]
    distinct = dict(zip(_sizes(table)[rows].tolist(), rows, strict=True))
    return tuple(
        Size(float(table.width_mm[row]), float(table.length_mm[row]), bool(table.is_round[row]))
        for _, row in sorted(distinct.items())
    )
