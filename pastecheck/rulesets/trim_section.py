"""
The section `trim` of a rule set, read: each entry with its source.

An entry of a file that extends another takes the place of the other's as a whole, with its source; an entry
under `selected` bears a name of its own and does the same.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields, replace
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from pastecheck.check import Unit
from pastecheck.rulesets.codes import BAD_VALUE, MISSING_KEY, NO_SOURCE, UNKNOWN_KEY
from pastecheck.rulesets.trims import (
    SELECTED,
    ChipTrim,
    CircleTrim,
    CornerTrim,
    ErrorTrim,
    IslandTrim,
    PaneTrim,
    ReferenceTrim,
    RowTrim,
    SelectedTrim,
    Trim,
)
from pastecheck.rulesets.values import (
    LENGTH,
    TEXT,
    TRUTH,
    Key,
    Kind,
    above_0,
    key,
    limit,
    read_keys,
    refuse_unknown,
)
from pastecheck.rulesets.yamltree import Complaints, Entry, Section, as_section, is_meant, nearest
from pastecheck.source import Span
from pastecheck.units import quoted, shown


def _share(text: str) -> float:
    found = limit(Unit.RATIO).read(text)
    if not 0 < found <= 1:
        raise ValueError(f"expected more than 0 and at most 1, got {quoted(text)}")
    return found


_SHARE: Final = Kind(_share, "write a share such as 0.9; an opening never grows", limit(Unit.RATIO).schema)
_SIZE: Final = above_0(LENGTH)
MOST_STEP_MM: Final = 0.1
"""Rounding by more is no rounding: sizes would be off by a third of a lead."""


class Declared(NamedTuple):
    """What one entry may say."""

    kind: type
    says: str
    keys: Mapping[str, Key]

    @property
    def fields(self) -> Mapping[str, str]:
        """Of the kind, by the names that they have in a file: less their unit, with hyphens."""
        names = (one.name for one in fields(self.kind))
        return {name.removesuffix("_mm2").removesuffix("_mm").replace("_", "-"): name for name in names}

    @property
    def needed(self) -> tuple[str, ...]:
        """Names that have to be there."""
        optional = {one.name for one in fields(self.kind) if one.default is not MISSING}
        return tuple(name for name, one in self.fields.items() if one not in optional and name in self.keys)


def _keys(**says: tuple[Kind[object], str]) -> Mapping[str, Key]:
    """Names with underscores as they stand in a file, and the source that each entry has."""
    found = {name.replace("_", "-"): key(*one) for name, one in says.items()}
    text = "where the values come from: a page, a trial of yours, or 'common practice, no source'"
    return found | {"source": key(TEXT, text)}


def _step(text: str) -> float:
    step_mm = _SIZE.read(text)
    if step_mm > MOST_STEP_MM:
        raise ValueError(f"expected at most {shown(MOST_STEP_MM, 'mm')}, got {quoted(text)}")
    return step_mm


_STEP_SIZE: Final = Kind(_step, _SIZE.hint, _SIZE.schema)
_STEP: Final = (_STEP_SIZE, "sizes are whole steps of this, rounded down")
_ASKED: Final = (TRUTH, "whether it counts only with --also NAME on the command line; false unless given")
_WIDER: Final = (LENGTH, "only openings with a short side as wide as this, or wider")
_LONGER: Final = (LENGTH, "only openings with a long side as long as this, or longer")
_PANES: Final = _keys(
    coverage=(_SHARE, "area of the panes over that of the opening"),
    web=(_SIZE, "web between panes; pane-web of the rule thermal-coverage unless given"),
    pane=(_SIZE, "the longest side that a pane may have"),
    wider_than=_WIDER,
    longer_than=_LONGER,
    step=_STEP,
    only_if_asked=_ASKED,
)
ENTRIES: Final[Mapping[str, Declared]] = {
    "rows": Declared(
        RowTrim,
        "leads in rows: width = min(drawn, max(share-of-pitch x pitch, pitch - gap))",
        _keys(
            share_of_pitch=(_SHARE, "the least width over the pitch"),
            gap=(_SIZE, "what is left between openings, as far as share-of-pitch allows"),
            gaps_below=(_SIZE, "only rows whose gap as drawn is below this"),
            step=_STEP,
        ),
    ),
    "reference": Declared(
        ReferenceTrim,
        "what paste a lead is given in metal foil: share-of-pitch x pitch x length x thickness",
        _keys(
            share_of_pitch=(_SHARE, "width of the opening in metal foil over the pitch"),
            thickness=(_SIZE, "of that metal foil"),
            least_share=(_SHARE, "the share of that paste that no row falls short of"),
        ),
    ),
    "chips": Declared(
        ChipTrim,
        "the two openings of a part: what they lose is taken off their inner edges",
        _keys(
            area_share=(_SHARE, "area kept over that drawn"),
            longer_than=(LENGTH, "only openings longer than this"),
            step=(_STEP_SIZE, "sides are whole steps of this, rounded down; without it the share is exact"),
            only_if_asked=_ASKED,
        ),
    ),
    "thermal": Declared(PaneTrim, "openings on thermal lands: panes with webs between them", _PANES),
    "large": Declared(PaneTrim, "other large openings: panes with webs between them", _PANES),
    "circles": Declared(
        CircleTrim,
        "small circles: squares, which a knife follows more truly",
        _keys(
            narrower_than=(_SIZE, "only circles of a smaller diameter"),
            side_of_diameter=(
                _SHARE,
                "side of the square over the diameter; 0.886 (equal area) unless given, and more is larger",
            ),
            step=_STEP,
            only_if_asked=_ASKED,
        ),
    ),
    "corners": Declared(
        CornerTrim,
        "corners of rectangles that are sharper than this",
        _keys(radius=(_SIZE, "their radius; half the width at most"), only_if_asked=_ASKED),
    ),
    "islands": Declared(
        IslandTrim,
        "foil within an opening that hangs on nothing: held by webs that cut the opening in parts",
        _keys(
            smaller_than=(
                limit(Unit.MM2),
                "islands with an area below this are drawn open, only with --grow",
            ),
            web=(_SIZE, "width of the webs; pane-web of the rule thermal-coverage unless given"),
            only_if_asked=_ASKED,
        ),
    ),
    "errors": Declared(
        ErrorTrim,
        "openings with errors: the size that the remedies of pastecheck check name, where that ends them",
        _keys(grow=(TRUTH, "whether openings may become larger than drawn; as --grow says")),
    ),
}
SELECTED_ENTRY: Final = Declared(
    SelectedTrim,
    "openings in no row of leads that all conditions hold for; the first entry that fits one counts",
    _keys(
        inset=(LENGTH, "how far each side is drawn in; this or area-share"),
        area_share=(_SHARE, "area kept over that drawn, exactly; this or inset"),
        wider_than=(LENGTH, "only openings wider than this"),
        narrower_than=(_SIZE, "only openings narrower than this"),
        longer_than=(LENGTH, "only openings longer than this"),
        shorter_than=(_SIZE, "only openings shorter than this"),
        component=(TEXT, "only openings of components with names like these: U*, J3"),
        failed=(TEXT, "only openings that this check finds something of"),
        only_if_asked=_ASKED,
    ),
)
SAYS: Final = "what pastecheck trim changes, each entry with its source"
SELECTED_SAYS: Final = "other openings, by names of your own"


class TrimDraft(NamedTuple):
    """What one file says: entries by name, those under `selected` as `selected.NAME`."""

    entries: Mapping[str, object] = MappingProxyType({})
    places: Mapping[str, Mapping[str, Span]] = MappingProxyType({})


def read_trim(root: Section, checks: Mapping[str, object], complaints: Complaints) -> TrimDraft:
    """The section of one file; what is wrong with it is complained about and left out."""
    if "trim" not in root.entries:
        return TrimDraft()
    wanted = "'trim' with names and values"
    section = as_section(root.entries["trim"], wanted, complaints) or Section({}, root.span)
    refuse_unknown(section, (*ENTRIES, SELECTED), "trim", complaints)
    entries = section.entries
    every = {name: (declared, entries[name]) for name, declared in ENTRIES.items() if name in entries}
    if SELECTED in entries:
        inner = as_section(entries[SELECTED], "'selected' with names and values", complaints)
        named = inner.entries if inner else {}
        every |= {f"{SELECTED}.{name}": (SELECTED_ENTRY, entry) for name, entry in named.items()}
    found, places = {}, {}
    for name, (declared, entry) in every.items():
        one = _entry(name, declared, entry, checks, complaints)
        if one is not None:
            found[name] = one
            values = entry.value.entries if isinstance(entry.value, Section) else {}
            places[name] = MappingProxyType({of: inner.value.span for of, inner in values.items()})
    return TrimDraft(found, places)


def merged_trim(drafts: Sequence[TrimDraft]) -> Trim:
    """What the files say together, the last word last."""
    every: dict[str, Any] = {name: one for draft in drafts for name, one in draft.entries.items()}
    places = {name: of for draft in drafts for name, of in draft.places.items()}
    selected = tuple(one for name, one in every.items() if name not in ENTRIES)
    named: dict[str, Any] = {name: one for name, one in every.items() if name in ENTRIES}
    return Trim(**named, selected=selected, places=MappingProxyType(places))


def with_webs(trim: Trim, web_mm: float | None, place: Span | None, complaints: Complaints) -> Trim:
    """
    The same; webs between panes that are not said are those that the cutter leaves standing.

    Args:
        trim: What the files say.
        web_mm: The `pane-web` of thermal-coverage; None where there is no such rule.
        place: Where that was set.
        complaints: Where it is missing.
    """
    changes: dict[str, Any] = {}
    places = dict(trim.places)
    for name in ("thermal", "large", "islands"):
        entry = getattr(trim, name)
        if entry is None or not math.isnan(entry.web_mm):
            continue
        if web_mm is None:
            hint = "add 'web: 0.40 mm' to the entry, or the rule thermal-coverage with a pane-web"
            complaints.add(MISSING_KEY, f"{quoted(name)} of trim has no web", places[name]["source"], hint)
        else:
            changes[name] = replace(entry, web_mm=web_mm)
            places[name] = {**places[name], **({"web": place} if place else {})}
    return replace(trim, **changes, places=MappingProxyType(places))


def _entry(
    name: str, declared: Declared, entry: Entry, checks: Mapping[str, object], complaints: Complaints
) -> object | None:
    """One entry; None where it was complained about."""
    before = len(complaints.found)
    shown = name.removeprefix(f"{SELECTED}.")
    section = as_section(entry, f"{quoted(shown)} with names and values", complaints)
    if section is None:
        return None
    unknown = refuse_unknown(section, tuple(declared.keys), quoted(shown), complaints)
    read = read_keys(section, declared.keys, complaints)
    failed = read.get("failed")
    if failed is not None and failed not in checks:
        place = section.entries["failed"].value.span
        what = f"no check is named {quoted(str(failed))}"
        complaints.add(UNKNOWN_KEY, what, place, nearest(str(failed), checks))
    for one in declared.needed:
        if one not in section.entries and not is_meant(one, unknown):
            _miss(shown, one, entry, complaints)
    if declared is SELECTED_ENTRY and not unknown:
        _refuse_contradictions(shown, entry, section, read, complaints)
    if len(complaints.found) > before or complaints.are_enough:
        return None
    given: dict[str, Any] = {declared.fields[one]: value for one, value in read.items()}
    made: object = declared.kind(**given, **({"name": shown} if declared is SELECTED_ENTRY else {}))
    return made


def _refuse_contradictions(
    shown: str, entry: Entry, section: Section, read: Mapping[str, Any], complaints: Complaints
) -> None:
    """An entry that changes nothing, asks for two changes, or has conditions that no opening fits."""
    given = section.entries
    insets, shares = (
        read.get("inset") != 0 and "inset" in given,
        read.get("area-share") != 1 and "area-share" in given,
    )
    if not insets and not shares:
        hint = "add 'inset: ...' or 'area-share: ...' to the entry"
        complaints.add(MISSING_KEY, f"{quoted(shown)} of trim changes nothing", entry.key, hint)
    if insets and shares:
        what = f"{quoted(shown)} of trim has an inset and a share of the area as well"
        complaints.add(BAD_VALUE, what, given["area-share"].key, "leave out one of the two")
    for least, most in (("wider-than", "narrower-than"), ("longer-than", "shorter-than")):
        low, high = read.get(least), read.get(most)
        if low is not None and high is not None and low >= high:
            what = f"{quoted(shown)} of trim fits no opening: {least} is not below {most}"
            complaints.add(BAD_VALUE, what, given[least].value.span, "change one of the two")


def _miss(shown: str, one: str, entry: Entry, complaints: Complaints) -> None:
    if one == "source":
        hint = "add where it comes from, 'source: ...'; a habit is 'common practice, no source'"
        complaints.add(NO_SOURCE, f"{quoted(shown)} of trim names no source", entry.key, hint)
    else:
        what = f"{quoted(shown)} of trim has no {one}"
        complaints.add(MISSING_KEY, what, entry.key, f"add '{one}: ...' to the entry")
