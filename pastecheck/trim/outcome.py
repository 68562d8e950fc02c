"""What came of trimming a layer, as plain data: for the terminal, for scripts, for pages."""

from typing import NamedTuple

from pastecheck.drawing import IntArray
from pastecheck.rulesets import RuleSet
from pastecheck.source import Diagnostic
from pastecheck.trim.plan import Held, Why


class Change(NamedTuple):
    """A number as drawn, and as trimmed."""

    before: float
    after: float


class Size(NamedTuple):
    """Of an opening."""

    width_mm: float
    length_mm: float
    is_round: bool


class Findings(NamedTuple):
    """How often a check found something, as drawn and as trimmed."""

    check: str
    errors: tuple[int, int]
    warnings: tuple[int, int]


class Group(NamedTuple):
    """Openings that were changed alike, or left alike against what was asked for."""

    why: Why
    held: Held
    rows: IntArray
    """Of the openings as drawn, in order."""
    components: tuple[str, ...]
    """Names that the file gives, each once."""
    drawn: Size
    trimmed: Size
    """Of the first opening that the first of them became."""
    became: int
    """How many openings they are now."""
    volume_mm3: Change
    """All together."""
    reference_share: Change | None
    """Over what leads are given in metal foil; None for what is no row, or where the rule set has no such."""
    findings: tuple[Findings, ...]
    says: str
    """Why it is not what was asked for, and what would do; empty where it is."""


class Trimming(NamedTuple):
    """Everything there is to say of a layer that was trimmed."""

    tool_version: str
    file: str
    sha256: str
    out: str
    """Empty where none was named."""
    out_sha256: str
    is_written: bool
    rule_set: RuleSet
    asked: tuple[str, ...]
    """Entries that count because somebody asked for them."""
    grows: bool
    openings: tuple[int, int]
    """Before and after."""
    volume_mm3: Change
    groups: tuple[Group, ...]
    findings: tuple[Findings, ...]
    difference_mm2: float
    """Between what was meant and what was read back, at most."""
    bound_mm2: float
    was_trimmed: bool
    """Whether the file says that the same was done to it before."""
    notes: tuple[str, ...]
    """What was not done, or is otherwise than it seems, though nothing is wrong."""
    diagnostics: tuple[Diagnostic, ...]
    """Of the source."""
    verdict: str
    """Of the result: pass, care or fail."""
