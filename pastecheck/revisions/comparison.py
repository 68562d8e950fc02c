"""What has changed between two revisions of a board: openings, and findings."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.errors import UsageError
from pastecheck.openings import Openings
from pastecheck.report import Finding, LayerReport, Report, Verdict
from pastecheck.revisions.found import found_in, same
from pastecheck.revisions.known import Before, new_warnings, placed, settled, warnings_of, way_in_mm
from pastecheck.revisions.outlines import differ
from pastecheck.revisions.places import Matched
from pastecheck.revisions.same_openings import Cut, same_openings
from pastecheck.revisions.sides import Side, counterparts
from pastecheck.revisions.ways import NO_WAY, Way, common_way
from pastecheck.source import Diagnostic, Span

_SAME_MM: Final = 0.001
"""What differs by less is the same, beyond what both files round: a cutter does no better."""


class Kind(StrEnum):
    """What has become of an opening."""

    RESIZED = "resized"
    """It may have moved as well."""
    RESHAPED = "reshaped"
    """Of the same width and length, with another outline, or turned. It may have moved as well."""
    MOVED = "moved"
    ADDED = "added"
    REMOVED = "removed"


KINDS: Final = tuple(Kind)


@dataclass(frozen=True, eq=False, slots=True)
class Changes:
    """Openings that are not what they were, by kind and then by place; columns of k rows."""

    kind: IntArray
    """Row of `KINDS`."""
    old: IntArray
    """Row of the old table, from 0; -1 where there is none."""
    new: IntArray
    """Row of the new table, from 0; -1 where there is none."""
    moved_mm: FloatArray
    """How far it has moved, beyond the whole layer; 0 where it has not, or is only in one. Shape (k, 2)."""

    def count(self, kind: Kind) -> int:
        """How many are of a kind."""
        return int(np.count_nonzero(self.kind == KINDS.index(kind)))


@dataclass(frozen=True, eq=False, slots=True)
class LayerComparison:
    """A layer of two revisions; one that only one of them has is wholly new, or gone."""

    old: LayerReport | None
    new: LayerReport | None
    """Held against the old one: what is known is what it had as well."""
    way_mm: tuple[float, float] | None
    """
    How far the origin has moved: added to a place in the old layer it gives that in the new one. None where
    less than half was found again; then it is taken not to have moved.
    """
    is_mirrored: bool
    """Whether it would be found again if it were mirrored."""
    within_mm: float
    """What differs by less counts as the same."""
    unchanged: int
    """Openings."""
    changes: Changes
    gone: tuple[Finding, ...]
    """Findings of the old layer that the new one has not."""
    warnings: tuple[Diagnostic, ...]
    """About the new file, that were not said of the old one."""

    @property
    def side(self) -> str:
        """top, bottom or unknown."""
        sides = [layer.side for layer in (self.new, self.old) if layer is not None]
        return next((side for side in sides if side != "unknown"), "unknown")


@dataclass(frozen=True, eq=False, slots=True)
class Comparison:
    """The answer to one `pastecheck compare`."""

    old: Report
    new: Report
    """With what is known marked."""
    layers: tuple[LayerComparison, ...]

    @property
    def verdict(self) -> Verdict:
        """Of what is new: nothing, warnings only, or errors."""
        return self.new.verdict


class Revision(NamedTuple):
    """A board as it was judged, and what was cut of each of its layers (None where that is nothing)."""

    report: Report
    openings: tuple[Openings | None, ...]


def compared(old: Revision, new: Revision) -> Comparison:
    """
    What has changed between two revisions.

    Raises:
        UsageError: If no layer of the one can be a layer of the other.
    """
    sides = [[Side(layer.file, layer.side) for layer in each.report.layers] for each in (old, new)]
    row = counterparts(*sides)
    if all(k is None for k in row):
        text = "the two have no layer in common: one has only top layers, the other only bottom layers"
        raise UsageError(text, Span("pastecheck"), "name two revisions of one side of a board")
    layers = [
        _layer(None if k is None else _Layer(old.report.layers[k], old.openings[k]), _Layer(layer, openings))
        for k, layer, openings in zip(row, new.report.layers, new.openings, strict=True)
    ]
    layers += [
        _only_old(_Layer(layer, openings))
        for k, (layer, openings) in enumerate(zip(old.report.layers, old.openings, strict=True))
        if k not in row
    ]
    held = tuple(one.new for one in layers if one.new is not None)
    report = Report(new.report.tool_version, new.report.rule_set, held)
    return Comparison(old.report, report, tuple(layers))


class _Layer(NamedTuple):
    report: LayerReport
    openings: Openings | None

    @property
    def rounding_mm(self) -> float:
        """What its file rounds."""
        step_mm = self.openings.step_mm if self.openings else 0.0
        return max(step_mm, self.report.slack_mm)


def _layer(old: _Layer | None, new: _Layer) -> LayerComparison:
    if old is None:
        return _alone(None, new.report)
    way = common_way(placed(old.report), placed(new.report))
    way_mm = way_in_mm(way) or (0.0, 0.0)
    pairs = same_openings(*_cuts(old.report, new.report, way or NO_WAY))
    within_mm = _SAME_MM + old.rounding_mm + new.rounding_mm
    changes = _changes(old, new, pairs, way_mm, within_mm)
    there_mm = _middles_mm(old.report) + np.array(way_mm)
    there_mm[pairs.one] = _middles_mm(new.report)[pairs.other]
    findings = found_in(old.report, there_mm, way_mm), found_in(new.report)
    again = same(*findings, is_one_board=way is not None)
    before = Before(old.report.file, old.report.slack_mm, way, warnings_of(old.report))
    every = [finding for outcome in old.report.outcomes for finding in outcome.findings]
    left = np.setdiff1d(np.arange(len(every)), again.one)
    return LayerComparison(
        old=old.report,
        new=settled(new.report, findings, again, before),
        way_mm=way_in_mm(way),
        is_mirrored=way is None and _is_mirrored(old.report, new.report),
        within_mm=within_mm,
        unchanged=len(pairs.one) - int(np.count_nonzero((changes.old >= 0) & (changes.new >= 0))),
        changes=changes,
        gone=tuple(every[row] for row in left.tolist()),
        warnings=new_warnings(old.report, new.report),
    )


def _alone(old: LayerReport | None, new: LayerReport | None) -> LayerComparison:
    """A layer that only one revision has."""
    there, kind = (new, Kind.ADDED) if new is not None else (old, Kind.REMOVED)
    rows = np.arange(0 if there is None else there.openings)
    nothing = np.full(len(rows), -1)
    changes = Changes(
        np.full(len(rows), KINDS.index(kind)),
        nothing if old is None else rows,
        nothing if new is None else rows,
        np.zeros((len(rows), 2)),
    )
    gone = () if old is None else tuple(found for one in old.outcomes for found in one.findings)
    warnings = () if new is None else new_warnings(None, new)
    return LayerComparison(old, new, None, False, 0.0, 0, changes, gone, warnings)


def _only_old(old: _Layer) -> LayerComparison:
    return _alone(old.report, None)


def _is_mirrored(old: LayerReport, new: LayerReport) -> bool:
    one = placed(old)
    mirrored = one._replace(place_nm=one.place_nm * np.array([-1, 1]))
    return common_way(mirrored, placed(new)) is not None


def _cuts(old: LayerReport, new: LayerReport, way: Way) -> tuple[Cut, Cut]:
    numbers = {"": 0}
    cuts = []
    for layer, moved in ((old, np.array(way)), (new, np.zeros(2, np.int64))):
        number = [numbers.setdefault(text, len(numbers)) for text in layer.table.labels]
        place_nm, size_nm = placed(layer)
        cuts.append(Cut(place_nm + moved, size_nm, np.array(number, np.int64)[layer.table.label]))
    return cuts[0], cuts[1]


def _middles_mm(layer: LayerReport) -> FloatArray:
    return np.column_stack([layer.table.x_mm, layer.table.y_mm])


# --------------------------------------------------------------------------------------------------- changes


def _changes(
    old: _Layer, new: _Layer, pairs: Matched, way_mm: tuple[float, float], within_mm: float
) -> Changes:
    """What of matched openings has changed, and those that have no match."""
    moved_mm = _middles_mm(new.report)[pairs.other] - _middles_mm(old.report)[pairs.one] - np.array(way_mm)
    size_mm = [
        np.column_stack([layer.report.table.width_mm, layer.report.table.length_mm])[rows]
        for layer, rows in ((old, pairs.one), (new, pairs.other))
    ]
    is_resized = (np.abs(size_mm[1] - size_mm[0]) > within_mm).any(axis=1)
    is_reshaped = ~is_resized & _is_reshaped(old, new, pairs, within_mm)
    is_moved = (np.abs(moved_mm) > within_mm).any(axis=1)
    moved_mm[~is_moved] = 0.0
    kind = np.select([is_resized, is_reshaped, is_moved], [0, 1, 2], default=-1)
    changed = np.flatnonzero(kind >= 0)
    added = np.setdiff1d(np.arange(new.report.openings), pairs.other)
    removed = np.setdiff1d(np.arange(old.report.openings), pairs.one)
    of_kind = np.concatenate([kind[changed], np.repeat([3, 4], [len(added), len(removed)])])
    in_old = np.concatenate([pairs.one[changed], np.full(len(added), -1), removed])
    in_new = np.concatenate([pairs.other[changed], added, np.full(len(removed), -1)])
    moved = np.concatenate([moved_mm[changed], np.zeros((len(added) + len(removed), 2))])
    order = np.lexsort((in_old, in_new, of_kind))
    return Changes(of_kind[order], in_old[order], in_new[order], moved[order])


def _is_reshaped(old: _Layer, new: _Layer, pairs: Matched, within_mm: float) -> BoolArray:
    """Whether outlines differ, laid upon each other by their middles. Shape (k,)."""
    if old.openings is None or new.openings is None or not len(pairs.one):
        return np.zeros(len(pairs.one), bool)
    both = np.column_stack([old.openings.shape[pairs.one], new.openings.shape[pairs.other]])
    kinds, inverse = np.unique(both, axis=0, return_inverse=True)
    one, other = old.openings.shapes, new.openings.shapes
    reshaped: BoolArray = differ(one, kinds[:, 0], other, kinds[:, 1], within_mm)[inverse.reshape(-1)]
    return reshaped
