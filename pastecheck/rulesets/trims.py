"""
The section `trim` of a rule set: what `pastecheck trim` changes, each entry with its source.

An entry of a file that extends another takes the place of the other's as a whole, with its source; an entry
under `selected` bears a name of its own and does the same.
"""

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, field, fields
from typing import Any, Final, get_type_hints

from pastecheck.check import Unit
from pastecheck.rulesets.values import TEXT, TRUTH, Kind, limit, value
from pastecheck.rulesets.yamltree import Complaints, Entry, Section, Text, described, nearest
from pastecheck.units import quoted

_STEP_MM: Final = 0.005


@dataclass(frozen=True, slots=True)
class RowTrim:
    """Leads in rows: width = min(drawn, max(share x pitch, pitch - gap)), where the gap is small."""

    source: str
    share_of_pitch: float
    gap_mm: float
    gaps_below_mm: float
    step_mm: float = _STEP_MM
    """Widths are whole steps, rounded down."""


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
    step_mm: float = _STEP_MM


@dataclass(frozen=True, slots=True)
class PaneTrim:
    """Large openings: panes with webs between them that cover so much of what was drawn."""

    source: str
    coverage: float
    web_mm: float
    pane_mm: float = 3.0
    """The longest side of a pane."""
    wider_than_mm: float = 0.0
    longer_than_mm: float = 0.0
    step_mm: float = 0.01


@dataclass(frozen=True, slots=True)
class CornerTrim:
    """Corners of rectangles get this radius, if they have a smaller one."""

    source: str
    radius_mm: float


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
    """Patterns such as `U*, J3`; empty for any."""
    failed: str = ""
    """A check that finds something of the opening; empty for any."""


@dataclass(frozen=True, slots=True)
class Trim:
    """What is changed; None where nothing is said."""

    rows: RowTrim | None = None
    reference: ReferenceTrim | None = None
    chips: ChipTrim | None = None
    thermal: PaneTrim | None = None
    large: PaneTrim | None = None
    corners: CornerTrim | None = None
    errors: ErrorTrim | None = None
    selected: tuple[SelectedTrim, ...] = ()

    @property
    def done_once(self) -> tuple[object, ...]:
        """The entries that are relative to the drawn size: done again they would shrink openings again."""
        return self.chips, self.thermal, self.large, self.selected

    def __bool__(self) -> bool:
        """Whether anything would be changed."""
        return any(
            (self.rows, self.chips, self.thermal, self.large, self.corners, self.errors, self.selected)
        )


NO_TRIM: Final = Trim()

KINDS: Final[Mapping[str, type]] = {
    "rows": RowTrim,
    "reference": ReferenceTrim,
    "chips": ChipTrim,
    "thermal": PaneTrim,
    "large": PaneTrim,
    "corners": CornerTrim,
    "errors": ErrorTrim,
}
SELECTED: Final = "selected"

_SHARES: Final = frozenset({"share_of_pitch", "area_share", "coverage", "least_share"})
_TextKind = Kind[Any]


@dataclass(frozen=True, slots=True)
class TrimDraft:
    """What one file says: entries by name, those under `selected` apart."""

    entries: Mapping[str, object] = field(default_factory=dict)
    selected: Mapping[str, object] = field(default_factory=dict)


def read_trim(root: Section, checks: Mapping[str, object], complaints: Complaints) -> TrimDraft:
    """The section of one file; what is wrong with it is complained about and left out."""
    if "trim" not in root.entries:
        return TrimDraft()
    section = _section(root.entries["trim"], complaints)
    entries, selected = {}, {}
    for name, entry in section.items():
        if name == SELECTED:
            for own, inner in _section(entry, complaints).items():
                selected[own] = _entry(own, SelectedTrim, inner, checks, complaints)
        elif name in KINDS:
            entries[name] = _entry(name, KINDS[name], entry, checks, complaints)
        else:
            hint = nearest(name, (*KINDS, SELECTED))
            complaints.add(f"trim takes no {quoted(name)}", entry.key, hint)
    return TrimDraft(
        {name: one for name, one in entries.items() if one is not None},
        {name: one for name, one in selected.items() if one is not None},
    )


def merged(drafts: list[TrimDraft]) -> Trim:
    """What the files say together, the last word last."""
    entries: dict[str, Any] = {name: one for draft in drafts for name, one in draft.entries.items()}
    selected: dict[str, Any] = {name: one for draft in drafts for name, one in draft.selected.items()}
    return Trim(**entries, selected=tuple(selected.values()))


def _section(entry: Entry, complaints: Complaints) -> Mapping[str, Entry]:
    node = entry.value
    if isinstance(node, Section):
        return node.entries
    if not (isinstance(node, Text) and not node.text):
        what = f"expected names and values, got {described(node)}"
        complaints.add(what, node.span, "indent them on the lines below")
    return {}


def _entry(
    name: str, kind: type, entry: Entry, checks: Mapping[str, object], complaints: Complaints
) -> object | None:
    """One entry; None where it was complained about."""
    section = _section(entry, complaints)
    types = get_type_hints(kind)
    known = {_key(one.name): one for one in fields(kind) if one.name != "name"}
    found: dict[str, object] = {"name": name} if "name" in types else {}
    sound = isinstance(entry.value, Section)
    for key, inner in section.items():
        if key not in known:
            complaints.add(f"{quoted(name)} takes no {quoted(key)}", inner.key, nearest(key, known))
            sound = False
            continue
        field_name = known[key].name
        one = value(inner.value, _kind(field_name, types[field_name]), complaints)
        if one is not None and (problem := _problem(field_name, one, checks)):
            complaints.add(f"{quoted(key)} {problem[0]}", inner.value.span, problem[1])
            one = None
        sound &= one is not None
        found[field_name] = one
    for key, one in known.items():
        needed = one.default is MISSING
        if needed and key not in section:
            hint = (
                "add where it comes from, 'source: ...'; a habit is 'common practice, no source'"
                if key == "source"
                else f"add '{key}: ...' to the entry"
            )
            complaints.add(f"{quoted(name)} of trim has no {key}", entry.key, hint)
            sound = False
    return kind(**found) if sound else None


def _key(field_name: str) -> str:
    return field_name.removesuffix("_mm").replace("_", "-")


def _kind(field_name: str, type_: object) -> _TextKind:
    if type_ is str:
        return TEXT
    if type_ is bool:
        return TRUTH
    return limit(Unit.MM if field_name.endswith("_mm") else Unit.RATIO)


def _problem(field_name: str, one: object, checks: Mapping[str, object]) -> tuple[str, str] | None:
    """What is wrong with a value that could be read, and what to do."""
    if field_name in _SHARES and isinstance(one, float) and not 0 < one <= 1:
        return f"is {one:g}, and has to be above 0 and at most 1", "an opening never grows"
    if field_name in {"step_mm", "pane_mm", "web_mm", "gap_mm", "thickness_mm"} and not one:
        return "is 0, and has to be more", "give a length such as 0.25 mm"
    if field_name == "failed" and one not in checks:
        return f"names no check: {quoted(str(one))}", nearest(str(one), checks)
    return None
