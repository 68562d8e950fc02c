"""What a page tells of a layer that was corrected: what was changed, and the openings as they were drawn."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pastecheck.drawing import BoolArray, IntArray
from pastecheck.openings import Openings
from pastecheck.report import LayerReport


@dataclass(frozen=True, slots=True)
class ChangedGroup:
    """Openings that were changed alike, or left alike against what was asked for."""

    number: int
    """From 1, through all reasons."""
    line: str
    says: Sequence[str]
    at: str
    """As of a finding: place, and row from 1 of the first opening that it is now."""
    within: str
    """Lowest and highest x and y of them all, as drawn, in mm."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why groups were changed."""

    title: str
    is_left: bool
    """Whether it is why they were left as drawn."""
    groups: Sequence[ChangedGroup]
    left: str
    """What is not listed, in words; else empty."""


@dataclass(frozen=True, eq=False, slots=True)
class Changed:
    """All of it; the report of the page is that on the result."""

    file: str
    """The layer as drawn."""
    head: str
    notes: Sequence[str]
    reasons: Sequence[Reason]
    nothing: str
    """That nothing was changed, where it is so; else empty."""
    findings_title: str
    findings: Sequence[str]
    in_all: Sequence[str]
    drawn: Openings
    """As they were drawn, n of them."""
    before: LayerReport
    """What was found in them then."""
    is_changed: BoolArray
    """Which of those are cut otherwise now. Shape (n,)."""
    group: IntArray
    """Of each opening of the result the number of its group; 0 for none. Shape (k,)."""
    size: IntArray
    """Of each the row of `sizes` that it had as drawn. Shape (k,)."""
    sizes: Sequence[str]
    """In words; the first is empty: not changed."""

    @property
    def numbers(self) -> dict[str, Any]:
        """For the script of the page."""
        return {"group": self.group.tolist(), "size": self.size.tolist(), "sizes": list(self.sizes)}
