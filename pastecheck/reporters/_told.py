"""A cause as it is told: how many openings, of which components, where, what failed, what to do."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple, TypedDict

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.ragged import distinct, distinct_rows
from pastecheck.report import Finding, LayerReport, Level, OpeningTable, is_round, steps_of_10_um


class Kind(IntEnum):
    """What a cause is told of."""

    OPENINGS = 0
    PAIRS = 1
    """Of unlike openings, or of two components."""
    PLACES = 2
    """Bare lands, or the layer as a whole."""
    LOOSE_PAIRS = 3
    """Pairs in no row, of whatever sizes."""


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


class Found(NamedTuple):
    """The findings of a layer in order of the outcomes; columns of shape (k,)."""

    findings: Sequence[Finding]
    rule: IntArray
    is_error: BoolArray
    past: FloatArray
    """How far past the limit, as a share of it."""
    place_mm: FloatArray
    """Shape (k, 2)."""
    first: IntArray
    """Row of the opening; -1 where none was measured."""
    second: IntArray
    """Row of the other opening of a pair, or -1."""
    is_named: BoolArray
    """Whether the file names a component."""
    remedy: IntArray
    """Equal texts have equal numbers."""
    manner: IntArray
    """And those that differ in their figures only."""


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
    """Of the openings; of pairs all, the smallest first."""
    failed: tuple[Failed, ...]
    """Each check that failed; errors first, then in the order of the rule set."""
    within_mm: tuple[float, float, float, float]
    """Where they are: min x, min y, max x, max y."""
    places_mm: tuple[tuple[float, float], ...]
    """Of loose pairs, each place, the worst first; else empty."""
    remedies: tuple[str, ...]
    """What to do, that of the worst finding first; one, unless neighbours on a row want unlike changes."""
    have_others: tuple[bool, ...]
    """For each whether some of the openings want the same in other figures."""


def told(layer: LayerReport, found: Found, rows: IntArray, kind: Kind, row_sizes: IntArray) -> Cause:
    """
    The cause that findings have in common.

    Args:
        layer: The layer that they are of.
        found: All its findings.
        rows: Which of them, in order.
        kind: What they are told of.
        row_sizes: Number of each opening's row, and how many openings are in it. Shape (n, 2).
    """
    failed = _failed(found, rows)
    worst = failed[0].worst
    openings = _openings(found, rows)
    count, among = _counts(found, rows, kind, row_sizes)
    low, high = found.place_mm[rows].min(axis=0).tolist(), found.place_mm[rows].max(axis=0).tolist()
    return Cause(
        level=worst.level,
        kind=kind,
        count=count,
        among=among,
        title=next(outcome.title for outcome in layer.outcomes if outcome.check == worst.check),
        components=_components(layer.table, found, rows, kind),
        rows=rows_of(layer.table, openings) if kind is Kind.OPENINGS else None,
        sizes=_sizes(layer.table, openings if kind is Kind.LOOSE_PAIRS else _of(worst)),
        failed=failed,
        within_mm=(*low, *high),
        places_mm=_places_mm(found, rows) if kind is Kind.LOOSE_PAIRS else (),
        **_remedies(failed, found, rows),
    )


def manner(remedy: str) -> str:
    """
    A remedy without its figures.

    Example:
        >>> manner("widen to 0.215 x 1.280 mm")
        'widen to # x # mm'
    """
    return re.sub(r"[0-9]+(\.[0-9]+)?", "#", remedy)


def _openings(found: Found, rows: IntArray) -> IntArray:
    """All openings, each once, in order."""
    every = distinct(np.concatenate([found.first[rows], found.second[rows]]))
    return every[every >= 0]


def _counts(found: Found, rows: IntArray, kind: Kind, row_sizes: IntArray) -> tuple[int, int]:
    """How many things of its kind failed, and of how many alike."""
    if kind is Kind.OPENINGS:
        openings = _openings(found, rows)
        _, one_of_row = np.unique(row_sizes[openings, 0], return_index=True)
        return len(openings), int(row_sizes[openings[one_of_row], 1].sum())
    count = len(rows)
    if kind in {Kind.PAIRS, Kind.LOOSE_PAIRS}:
        pair = np.sort(np.column_stack([found.first[rows], found.second[rows]]), axis=1)
        count = len(distinct_rows(pair).first)
    return count, count


def _failed(found: Found, rows: IntArray) -> tuple[Failed, ...]:
    """The worst finding of each check is the first, as findings are in order of the outcomes."""
    begin = np.flatnonzero(np.diff(found.rule[rows], prepend=-1))
    counts = np.diff(begin, append=len(rows))
    errors = np.add.reduceat(found.is_error[rows].astype(np.int64), begin)
    every = [
        Failed(found.findings[row], count, error)
        for row, count, error in zip(rows[begin].tolist(), counts.tolist(), errors.tolist(), strict=True)
    ]
    return tuple(sorted(every, key=lambda one: one.worst.level is not Level.ERROR))


class _Remedies(TypedDict):
    remedies: tuple[str, ...]
    have_others: tuple[bool, ...]


def _remedies(failed: Sequence[Failed], found: Found, rows: IntArray) -> _Remedies:
    _, first = np.unique(found.remedy[rows], return_index=True)
    others = (found.findings[row].remedy for row in rows[np.sort(first)].tolist())
    texts = [text for text in dict.fromkeys([*(one.worst.remedy for one in failed), *others]) if text]
    manners = Counter(map(manner, texts))
    told = {manner(text): text for text in reversed(texts)}
    firsts = [text for text in texts if told[manner(text)] == text]
    return {"remedies": tuple(firsts), "have_others": tuple(manners[manner(text)] > 1 for text in firsts)}


def _components(table: OpeningTable, found: Found, rows: IntArray, kind: Kind) -> tuple[str, ...]:
    if kind is Kind.OPENINGS:
        names = {table.labels[row] for row in distinct(table.label[_openings(found, rows)]).tolist()}
    else:
        names = {found.findings[row].label for row in rows.tolist()}
    return tuple(sorted(names - {""}, key=natural))


def natural(name: str) -> tuple[list[tuple[int, str]], str]:
    """A key by which U2 comes before U10."""
    parts = re.findall(r"0*([0-9]+)|([^0-9]+)", name)
    return [(len(digits), digits or text) for digits, text in parts], name


def rows_of(table: OpeningTable, openings: IntArray) -> Rows | None:
    """The rows that openings are in; None where none is in one."""
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


def _places_mm(found: Found, rows: IntArray) -> tuple[tuple[float, float], ...]:
    """Each place once; worst first, as findings of a check are."""
    return tuple(dict.fromkeys((x_mm, y_mm) for x_mm, y_mm in found.place_mm[rows].tolist()))


def _of(finding: Finding) -> list[int]:
    """The openings of a finding."""
    return [row - 1 for row in (finding.opening, finding.other) if row is not None]


def _sizes(table: OpeningTable, rows: IntArray | list[int]) -> tuple[Size, ...]:
    """Of some openings, the smallest first; each size once."""
    width_mm, length_mm = table.width_mm[rows], table.length_mm[rows]
    looks_round = is_round(width_mm, length_mm, table.area_mm2[rows])
    kinds = np.column_stack([steps_of_10_um(width_mm), steps_of_10_um(length_mm), looks_round]).tolist()
    different = {tuple(kind): k for k, kind in enumerate(kinds)}
    return tuple(
        Size(float(width_mm[k]), float(length_mm[k]), bool(looks_round[k]))
        for _, k in sorted(different.items())
    )
