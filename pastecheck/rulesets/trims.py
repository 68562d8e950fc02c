"""What `pastecheck trim` changes, as a rule set says it: one kind of entry for each sort of opening."""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any, Final

from pastecheck.source import Span

_STEP_MM: Final = 0.005
SQUARE_OF_EQUAL_AREA: Final = math.sqrt(math.pi) / 2
"""Its side over the diameter of the circle: 0.886."""


SELECTED: Final = "selected"
"""Under which entries bear names of their own."""


@dataclass(frozen=True, slots=True)
class RowTrim:
    """Leads in rows: width = min(drawn, max(share x pitch, pitch - gap)), where the gap is small."""

    source: str
    share_of_pitch: float
    gap_mm: float
    gaps_below_mm: float
    step_mm: float = _STEP_MM


@dataclass(frozen=True, slots=True)
class ReferenceTrim:
    """What paste a lead is given in metal foil, and the share of it that no row falls short of."""

    source: str
    share_of_pitch: float
    thickness_mm: float
    least_share: float


@dataclass(frozen=True, slots=True)
class ChipTrim:
    """The two openings of a part: so much of their area is kept, the rest is taken off their inner edges."""

    source: str
    area_share: float
    longer_than_mm: float = 0.0
    step_mm: float = 0.0
    """0 for none: the share is exact then."""
    only_if_asked: bool = False


@dataclass(frozen=True, slots=True)
class PaneTrim:
    """Large openings: panes with webs between them that cover so much of what was drawn."""

    source: str
    coverage: float
    web_mm: float = math.nan
    """NaN where it is not said; a rule set in force takes the `pane-web` of thermal-coverage then."""
    pane_mm: float = 3.0
    wider_than_mm: float = 0.0
    longer_than_mm: float = 0.0
    step_mm: float = 0.01
    only_if_asked: bool = False


@dataclass(frozen=True, slots=True)
class CircleTrim:
    """Small circles: squares, which a knife follows more truly."""

    source: str
    narrower_than_mm: float
    side_of_diameter: float = SQUARE_OF_EQUAL_AREA
    step_mm: float = 0.001
    only_if_asked: bool = False


@dataclass(frozen=True, slots=True)
class CornerTrim:
    """Corners of rectangles get this radius, if they have a smaller one."""

    source: str
    radius_mm: float
    only_if_asked: bool = False


@dataclass(frozen=True, slots=True)
class IslandTrim:
    """Foil within an opening that hangs on nothing: filled where it is small, else held by webs."""

    source: str
    smaller_than_mm2: float
    web_mm: float = math.nan
    """As of `PaneTrim`."""
    only_if_asked: bool = False


@dataclass(frozen=True, slots=True)
class ErrorTrim:
    """Openings with errors get the size that remedies of `pastecheck check` name, where that ends them."""

    source: str
    grow: bool = False
    """Whether openings may become larger than drawn."""


@dataclass(frozen=True, slots=True)
class SelectedTrim:
    """Any other openings: an inset of every side, or a share of the area; all conditions have to hold."""

    source: str
    name: str
    inset_mm: float = 0.0
    area_share: float = 1.0
    wider_than_mm: float = 0.0
    narrower_than_mm: float = float("inf")
    longer_than_mm: float = 0.0
    shorter_than_mm: float = float("inf")
    component: str = ""
    failed: str = ""
    only_if_asked: bool = False


@dataclass(frozen=True, slots=True)
class Trim:
    """What is changed; None where nothing is said."""

    rows: RowTrim | None = None
    reference: ReferenceTrim | None = None
    chips: ChipTrim | None = None
    thermal: PaneTrim | None = None
    large: PaneTrim | None = None
    circles: CircleTrim | None = None
    corners: CornerTrim | None = None
    islands: IslandTrim | None = None
    errors: ErrorTrim | None = None
    selected: tuple[SelectedTrim, ...] = ()
    places: Mapping[str, Mapping[str, Span]] = field(default_factory=dict)
    """By the name of the entry (`rows`, `selected.NAME`) where each of its values stands."""

    @property
    def entries(self) -> Mapping[str, Any]:
        """What is said, by the names of the entries."""
        named = {name: entry for name in NAMED if (entry := getattr(self, name)) is not None}
        return named | {f"{SELECTED}.{entry.name}": entry for entry in self.selected}

    @property
    def on_request(self) -> tuple[str, ...]:
        """Names of the entries that count only for those who ask."""
        return tuple(name for name, one in self.entries.items() if getattr(one, "only_if_asked", False))

    def asked(self, names: Collection[str]) -> "Trim":
        """The same, the entries of some names counting, and the others that wait to be asked for gone."""
        return self.without([name for name in self.on_request if name not in names])

    def without(self, gone: Collection[str]) -> "Trim":
        """The same, less some entries."""
        kept = tuple(one for one in self.selected if f"{SELECTED}.{one.name}" not in gone)
        changes: dict[str, Any] = {name: None for name in NAMED if name in gone}
        return replace(self, **changes, selected=kept)

    @property
    def done_once(self) -> Mapping[str, Any]:
        """The entries that are relative to the drawn size: done again they would shrink openings again."""
        return {
            name: entry
            for name, entry in self.entries.items()
            if isinstance(entry, ChipTrim | PaneTrim | SelectedTrim)
        }

    def __bool__(self) -> bool:
        """Whether anything would be changed."""
        return any(name != "reference" for name in self.entries)


NO_TRIM: Final = Trim()
NAMED: Final = tuple(one.name for one in fields(Trim) if one.name not in {SELECTED, "places"})
"""Entries of which there is one of each."""
