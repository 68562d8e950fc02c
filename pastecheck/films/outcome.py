"""What several rule sets say of layers, as plain frozen data."""

from dataclasses import dataclass

from pastecheck.report import BesideFile, Level, RuleSetSummary, Verdict
from pastecheck.source import Diagnostic, DiagnosticLevel


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening, as a person finds it."""

    row: int
    """Of the measurements table, from 1."""
    label: str
    """Component; empty where the file names none."""
    width_mm: float
    length_mm: float
    is_round: bool
    x_mm: float
    y_mm: float
    line: int
    """Of the layer file, where it is first drawn."""


@dataclass(frozen=True, slots=True)
class Hindrance:
    """What a check finds at one level, told by the worst of it."""

    check: str
    quantity: str
    unit: str
    level: Level
    count: int
    value: float
    """The worst, in the check's unit."""
    limit: float
    is_below: bool
    """Whether the worst is below its limit, not above."""
    components: tuple[str, ...]
    """Of all that is found, in natural order; empty where the file names none."""
    opening: Opening | None
    """The worst; None where a bare land or the whole layer was measured."""


@dataclass(frozen=True, slots=True)
class Held:
    """A layer held against one rule set."""

    name: str
    file: str
    verdict: Verdict
    errors: int
    warnings: int
    """With those about the file, which all rule sets have in common."""
    worst_area_ratio: float
    hindrances: tuple[Hindrance, ...]
    """Errors first, then in the order of the rule set."""
    paste_share: float | None
    """The least that its foil prints, as a share of the usual paste; None where nothing is known of that."""
    feeds: bool
    """Whether its foil is as thick as the thinnest that feeds every part."""
    thinnest_um: int | None
    """That one; None where none would."""


@dataclass(frozen=True, slots=True)
class End:
    """One end of a range of thickness, and the opening that sets it."""

    thickness_um: int | None
    """None where no foil would do, however thick."""
    check: str
    limit: float
    """In the check's unit; of the share of the usual paste, that share."""
    unit: str
    opening: Opening
    alike: int
    """How many openings, this one among them, set the same end."""
    components: tuple[str, ...]
    """Theirs, in natural order."""
    usual: str = ""
    """What the share is of, in words; empty where it is no share of the usual paste that decides."""


@dataclass(frozen=True, slots=True)
class Thickness:
    """Between which thicknesses a foil would do, by the limits that some rule sets have in common."""

    rule_sets: tuple[str, ...]
    """Their names."""
    foil: str
    """What it is made of."""
    cutter: str
    thickest: End | None
    """The thickest foil in which no opening is past an error limit; None where there is no such limit."""
    thickest_clean: End | None
    """That in which none is past a limit of warnings either."""
    thinnest: End | None
    """The thinnest that feeds all parts of which it is known what they need."""
    not_known: int
    """Of how many openings that is not known."""

    @property
    def is_there(self) -> bool:
        """Whether there is any between the ends."""
        thinnest_um = 1 if self.thinnest is None else self.thinnest.thickness_um
        if thinnest_um is None or self.thickest is None:
            return thinnest_um is not None
        return thinnest_um <= (self.thickest.thickness_um or 0)


@dataclass(frozen=True, slots=True)
class LayerFilms:
    """One layer, held against all rule sets. One without openings was held against none."""

    file: str
    sha256: str
    side: str
    """top, bottom or unknown."""
    beside: tuple[BesideFile, ...]
    bounds_mm: tuple[float, float, float, float]
    openings: int
    open_area_mm2: float
    worst_web_mm: float | None
    """The narrowest of all webs, as far as any of the rule sets looks; None where there is none."""
    diagnostics: tuple[Diagnostic, ...]
    held: tuple[Held, ...]
    """In the order of the rule sets."""
    thickness: tuple[Thickness, ...]

    @property
    def file_warnings(self) -> int:
        """How many diagnostics are warnings."""
        return sum(said.level is DiagnosticLevel.WARNING for said in self.diagnostics)


@dataclass(frozen=True, slots=True)
class RuleSetHeld:
    """A rule set that layers were held against."""

    summary: RuleSetSummary
    cutter: str
    """Empty where it does not say."""


@dataclass(frozen=True, slots=True)
class Films:
    """The answer to one `pastecheck films`."""

    tool_version: str
    rule_sets: tuple[RuleSetHeld, ...]
    layers: tuple[LayerFilms, ...]
