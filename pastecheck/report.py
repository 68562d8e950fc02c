"""What was found, as plain frozen data. Reporters print it; nothing here knows how it was made."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Final, NamedTuple

import numpy as np

from pastecheck.bench import Job, Totals
from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.source import Diagnostic, DiagnosticLevel
from pastecheck.units import UM_PER_MM


class Level(StrEnum):
    """How bad a finding is."""

    ERROR = "error"
    WARNING = "warning"


class Verdict(StrEnum):
    """Pass: nothing found. Care: warnings only. Fail: errors."""

    PASS = "pass"
    CARE = "care"
    FAIL = "fail"


class Status(StrEnum):
    """Whether a finding was dealt with before. Only what is new counts for the verdict."""

    NEW = "new"
    KNOWN = "known"
    """An earlier report has it, and no better."""
    WAIVED = "waived"
    """Somebody has said that it is to stay, and why."""


class Finding(NamedTuple):
    """A reading past its limit. A named tuple, because a bad layer has very many of them."""

    level: Level
    check: str
    value: float
    """In the check's unit."""
    limit: float
    x_mm: float
    y_mm: float
    """The place: the opening's centroid, the narrowest point of a web, or where else it was measured."""
    opening: int | None
    """Row of the measurements table, from 1; None where a bare land or the whole layer was measured."""
    other: int | None
    """The second opening of a pair."""
    label: str
    line: int
    """Line of the layer file where the opening is first drawn; 0 where there is none."""
    fingerprint: str
    """Stable across revisions: made of check and label and place, never of a row number."""
    text: str
    remedy: str
    status: Status = Status.NEW
    waiver: int | None = None
    """Of a finding that is waived the number of the waiver, from 1."""


class WaiverState(StrEnum):
    """What has become of a waiver."""

    IN_FORCE = "in force"
    STALE = "stale"
    """It matches nothing any more."""
    EXPIRED = "expired"
    """It counts no longer, whatever it matches."""
    NOT_ASKED = "not asked"
    """Not all that it could be about was looked at."""


@dataclass(frozen=True, slots=True)
class Waiver:
    """What somebody has said is to stay, and what has become of that."""

    what: str
    """The findings it is about, in words."""
    reason: str
    until: str
    """The last day it counts, as 2027-03-01; empty where it does not expire."""
    file: str
    line: int
    """Where it is written."""
    state: WaiverState
    waived: int
    """Findings that it waives; of one that has expired, those that it would."""
    worse: int
    """Findings that it is about, and that are worse than it allows; they count."""


@dataclass(frozen=True, slots=True)
class RuleOutcome:
    """One check of the rule set, judged."""

    check: str
    title: str
    quantity: str
    unit: str
    limits: Mapping[str, float]
    """Of error_below, warn_below, error_above, warn_above those that are set, in the check's unit."""
    source: str
    measured: int
    """Openings that were measured."""
    not_applicable: int
    close: int
    """Readings that cannot be told from a limit, for they are within their slack of it. They pass it."""
    worst: float | None
    findings: tuple[Finding, ...]
    """Worst first."""
    missing: str = ""
    """What the check would have needed besides the layer; then nothing was measured."""


@dataclass(frozen=True, eq=False, slots=True)
class OpeningTable:
    """Measurements of every opening, columns of shape (n,), ordered by place."""

    x_mm: FloatArray
    y_mm: FloatArray
    width_mm: FloatArray
    length_mm: FloatArray
    area_mm2: FloatArray
    perimeter_mm: FloatArray
    area_ratio: FloatArray
    aspect_ratio: FloatArray
    web_mm: FloatArray
    """NaN where no other opening lies within the reach that the rule set looks."""
    shape: IntArray
    """Openings of equal outline have equal numbers."""
    label: IntArray
    """Row of `labels`."""
    labels: tuple[str, ...]
    line: IntArray
    row: IntArray
    """Openings of one row, as of the leads of a part, have equal numbers; -1 for those in none."""
    pitch_mm: FloatArray
    """Pitch of that row; NaN for those in none."""
    in_grid: BoolArray
    """Whether rows cross there, as those of balls do."""
    more: Mapping[str, FloatArray] = field(default_factory=dict)
    """The reading of each opening by the checks in force that have no column above, by names with units."""

    def __len__(self) -> int:
        """Number of openings."""
        return len(self.x_mm)

    @property
    def is_round(self) -> BoolArray:
        """Whether openings are round, as far as words go. Shape (n,)."""
        return is_round(self.width_mm, self.length_mm, self.area_mm2)


_NO_READINGS = np.zeros(0)
_NO_ROWS = np.zeros(0, np.int64)
NO_OPENINGS: Final = OpeningTable(
    x_mm=_NO_READINGS,
    y_mm=_NO_READINGS,
    width_mm=_NO_READINGS,
    length_mm=_NO_READINGS,
    area_mm2=_NO_READINGS,
    perimeter_mm=_NO_READINGS,
    area_ratio=_NO_READINGS,
    aspect_ratio=_NO_READINGS,
    web_mm=_NO_READINGS,
    shape=_NO_ROWS,
    label=_NO_ROWS,
    labels=("",),
    line=_NO_ROWS,
    row=_NO_ROWS,
    pitch_mm=_NO_READINGS,
    in_grid=np.zeros(0, bool),
)
"""The table of a layer that holds nothing to cut."""


@dataclass(frozen=True, slots=True)
class BesideFile:
    """A file that told what a paste layer does not: copper, mask or outline."""

    option: str
    """How it was named: land, mask or outline."""
    file: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Settled:
    """What has become of the findings that were known of a layer: found again, found and worse, or gone."""

    layer: str
    """In the earlier report; empty where it has none that this could be."""
    known: int
    worse: int
    """Of the new: those that were known, and have become much worse."""
    gone: int
    file_warnings: int
    """Warnings about the file that it had before."""
    way_mm: tuple[float, float] | None
    """How far the origin has moved since; None where so little was found again that it is not known."""


@dataclass(frozen=True, slots=True)
class KnownReport:
    """An earlier report whose findings are known."""

    file: str
    sha256: str
    rule_set: str
    not_checked: tuple[str, ...]
    """Layers of it that were not checked this time."""


@dataclass(frozen=True, eq=False, slots=True)
class LayerReport:
    """One layer, judged. One without openings carries a warning that says so: it is no pass."""

    file: str
    sha256: str
    side: str
    """top, bottom or unknown."""
    in_inches: bool
    bounds_mm: tuple[float, float, float, float]
    """Of all openings: min x, min y, max x, max y; all 0 where there are none."""
    openings: int
    open_area_mm2: float
    diagnostics: tuple[Diagnostic, ...]
    outcomes: tuple[RuleOutcome, ...]
    table: OpeningTable
    totals: Totals | None
    """None where there is nothing to cut."""
    job: Job | None
    """As well."""
    beside: tuple[BesideFile, ...] = ()
    """Copper, mask and outline, where they were named; diagnostics may be about them."""
    slack_mm: float = 0.0
    """That lengths have besides their error bounds, for a file in inches rounds them; 0 in millimetres."""
    settled: Settled | None = None
    """None where no earlier report was given."""
    may_be_empty: bool = False
    """Whether somebody has said that there may be nothing to cut."""

    @property
    def verdict(self) -> Verdict:
        """The worst level of what is new; a warning about the file asks for care as well."""
        if any(found.level is Level.ERROR for found in self.findings(Status.NEW)):
            return Verdict.FAIL
        has_new = next(self.findings(Status.NEW), None) is not None
        return Verdict.CARE if has_new or self.file_warnings else Verdict.PASS

    @property
    def lacks_openings(self) -> bool:
        """Whether there is nothing to cut, and nobody has said that this may be."""
        return not (self.openings or self.may_be_empty)

    def findings(self, *status: Status) -> Iterator[Finding]:
        """The findings of all checks that have one of these states."""
        return (found for one in self.outcomes for found in one.findings if found.status in status)

    def only(self, is_wanted: Callable[[Finding], bool]) -> "LayerReport":
        """The layer with some of its findings only."""
        outcomes = (
            replace(one, findings=tuple(found for found in one.findings if is_wanted(found)))
            for one in self.outcomes
        )
        return replace(self, outcomes=tuple(outcomes))

    @property
    def file_warnings(self) -> int:
        """How many diagnostics are warnings that are new."""
        known = self.settled.file_warnings if self.settled else 0
        return sum(diagnostic.level is DiagnosticLevel.WARNING for diagnostic in self.diagnostics) - known


@dataclass(frozen=True, slots=True)
class RuleSetSummary:
    """The rule set a report was made with."""

    name: str
    title: str
    file: str
    sha256: str
    foil_name: str
    foil_material: str
    foil_thickness_mm: float
    not_run: tuple[str, ...]
    """Checks that exist and are not in the rule set."""
    notices: tuple[str, ...] = ()
    """What the user should know about the settings, such as a thickness that the limits were not set for."""
    documentation: Mapping[str, str] = field(default_factory=dict)
    """Of each check in the rule set: a title line, and paragraphs that begin with a word and a colon."""


@dataclass(frozen=True, eq=False, slots=True)
class Report:
    """The answer to one `pastecheck check`."""

    tool_version: str
    rule_set: RuleSetSummary
    layers: tuple[LayerReport, ...]
    known: KnownReport | None = None
    fails_at: Level = Level.ERROR
    """The mildest level that whoever asked calls a failure, for formats that have such a word."""
    waivers: tuple[Waiver, ...] = ()
    """In the order they are written; a finding has the number of its own."""

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of all layers."""
        found = {layer.verdict for layer in self.layers}
        return next(v for v in (Verdict.FAIL, Verdict.CARE, Verdict.PASS) if v in found or v is Verdict.PASS)


def is_round(width_mm: FloatArray, length_mm: FloatArray, area_mm2: FloatArray) -> BoolArray:
    """
    Whether openings are round, as far as words go: to 1 % of their area, where an octagon is 5 % away.

    Example:
        >>> bool(is_round(np.array(0.4), np.array(0.4), np.array(0.1257)))
        True
    """
    circle_mm2 = np.pi / 4 * width_mm * length_mm
    as_long_as_wide = np.abs(length_mm - width_mm) <= 0.01 * width_mm
    round_: BoolArray = as_long_as_wide & (np.abs(area_mm2 - circle_mm2) <= 0.01 * circle_mm2)
    return round_


def steps_of_10_um(length_mm: FloatArray) -> IntArray:
    """
    Lengths to 10 um, in whole steps, so that equal things stay equal when a file in inches rounds them.

    The steps end at 6.63 um and not at 5 um, for people draw in multiples of 5 um and of half a mil, and what
    is drawn must not lie where a step ends.

    Example:
        >>> steps_of_10_um(np.array([0.2749, 0.275, 0.2751])).tolist()
        [27, 27, 27]
    """
    steps: IntArray = np.floor(np.round(length_mm * UM_PER_MM, 3) / 10 + 0.337).astype(np.int64)
    return steps
