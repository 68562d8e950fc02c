"""A cause as it is told: how many openings, of which components, where, what failed, what to do."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.report import Finding, LayerReport, Level, OpeningTable, is_round, steps_of_10_um


class Kind(IntEnum):
    """What a cause is told of."""

    OPENINGS = 0
    PAIRS = 1
    """Of unlike openings, or of two components."""
    PLACES = 2
    """Bare lands, or the layer as a whole."""


class Size(NamedTuple):
    """Outline of an opening in the fewest words that tell it from others."""

    width_mm: float
    length_mm: float
    is_round: bool


class Rows(NamedTuple):
    """The rows that openings are in."""

    number: int
    openings: int
    """How many of the openings are in them."""
    least_pitch_mm: float
    largest_pitch_mm: float
    are_grid: bool
    """Whether most of them cross."""


class Failed(NamedTuple):
    """A check of a cause."""

    worst: Finding
    findings: int
    errors: int
    """How many of the findings are errors."""


@dataclass(frozen=True, slots=True)
class Cause:
    """What a person would mend in one go."""

    level: Level
    kind: Kind
    count: int
    """Openings, pairs of them, or places."""
    among: int
    """Openings alike in the same rows (or in none) of the same components, whether they failed or not."""
    title: str
    """Of the check that is farthest past its limit."""
    components: tuple[str, ...]
    """In natural order; of a pair both, joined by +. Empty where the file names none."""
    rows: Rows | None
    sizes: tuple[Size, ...]
    """Of the openings; of a pair both, where they differ."""
    failed: tuple[Failed, ...]
    """Each check that failed; errors first, then in the order of the rule set."""
    within_mm: tuple[float, float, float, float]
    """Where they are: min x, min y, max x, max y."""
    remedies: tuple[str, ...]
    """What to do, that of the worst finding first; one, unless neighbours on a row want unlike changes."""


def told(layer: LayerReport, findings: Sequence[Finding], kind: Kind, row_sizes: IntArray) -> Cause:
    """
    The cause that findings have in common.

    Args:
        layer: The layer that they are of.
        findings: In order of the outcomes, the worst of each check first.
        kind: What they are told of.
        row_sizes: Number of each opening's row, and how many openings are in it. Shape (n, 2).
    """
    failed = _failed(findings)
    worst = failed[0].worst
    table = layer.table
    openings = _openings(findings)
    x_mm, y_mm = [finding.x_mm for finding in findings], [finding.y_mm for finding in findings]
    count, among = len(findings), len(findings)
    if kind is Kind.OPENINGS:
        count = len(openings)
        _, one_of_row = np.unique(row_sizes[openings, 0], return_index=True)
        among = int(row_sizes[openings[one_of_row], 1].sum())
    elif kind is Kind.PAIRS:
        count = among = len({frozenset((finding.opening, finding.other)) for finding in findings})
    return Cause(
        level=worst.level,
        kind=kind,
        count=count,
        among=among,
        title=next(outcome.title for outcome in layer.outcomes if outcome.check == worst.check),
        components=_components(table, findings, openings, kind),
        rows=_rows(table, openings) if kind is Kind.OPENINGS else None,
        sizes=_sizes(table, worst),
        failed=failed,
        within_mm=(min(x_mm), min(y_mm), max(x_mm), max(y_mm)),
        remedies=_remedies(failed, findings),
    )


def distinct(numbers: IntArray) -> IntArray:
    """Numbers in order, each once; by sorting, for the hashing of numpy's `unique` takes five times that."""
    ordered = np.sort(numbers)
    return ordered[np.diff(ordered, prepend=-2) > 0]  # rows begin at -1


def _openings(findings: Iterable[Finding]) -> IntArray:
    """Rows of all openings, each once, in order."""
    rows = [row for finding in findings for row in (finding.opening, finding.other) if row is not None]
    return distinct(np.array(rows, np.int64)) - 1


def _failed(findings: Sequence[Finding]) -> tuple[Failed, ...]:
    of_checks: dict[str, list[Finding]] = {}
    for finding in findings:
        of_checks.setdefault(finding.check, []).append(finding)
    every = [
        Failed(some[0], len(some), sum(finding.level is Level.ERROR for finding in some))
        for some in of_checks.values()
    ]
    return tuple(sorted(every, key=lambda one: one.worst.level is not Level.ERROR))


def _remedies(failed: Sequence[Failed], findings: Sequence[Finding]) -> tuple[str, ...]:
    every = [*(one.worst.remedy for one in failed), *(finding.remedy for finding in findings)]
    return tuple(text for text in dict.fromkeys(every) if text)


def _components(
    table: OpeningTable, findings: Sequence[Finding], openings: IntArray, kind: Kind
) -> tuple[str, ...]:
    if kind is Kind.OPENINGS:
        names = {table.labels[row] for row in distinct(table.label[openings]).tolist()}
    else:
        names = {finding.label for finding in findings}
    return tuple(sorted(names - {""}, key=natural))


def natural(name: str) -> tuple[list[tuple[int, str]], str]:
    """A key by which U2 comes before U10."""
    parts = re.findall(r"0*([0-9]+)|([^0-9]+)", name)
    return [(len(digits), digits or text) for digits, text in parts], name


def _rows(table: OpeningTable, openings: IntArray) -> Rows | None:
    """None where none of the openings is in a row."""
    in_rows = openings[table.row[openings] >= 0]
    if not len(in_rows):
        return None
    pitch_mm = table.pitch_mm[in_rows]
    return Rows(
        number=len(distinct(table.row[in_rows])),
        openings=len(in_rows),
        least_pitch_mm=float(pitch_mm.min()),
        largest_pitch_mm=float(pitch_mm.max()),
        are_grid=bool(2 * np.count_nonzero(table.in_grid[in_rows]) > len(in_rows)),
    )


def _sizes(table: OpeningTable, finding: Finding) -> tuple[Size, ...]:
    """Of the opening; of a pair both, the smaller first, unless they are of one size."""
    rows = [row - 1 for row in (finding.opening, finding.other) if row is not None]
    width_mm, length_mm = table.width_mm[rows], table.length_mm[rows]
    looks_round = is_round(width_mm, length_mm, table.area_mm2[rows])
    kinds = np.column_stack([steps_of_10_um(width_mm), steps_of_10_um(length_mm), looks_round]).tolist()
    distinct = {tuple(kind): k for k, kind in enumerate(kinds)}
    return tuple(
        Size(float(width_mm[k]), float(length_mm[k]), bool(looks_round[k]))
        for _, k in sorted(distinct.items())
    )
