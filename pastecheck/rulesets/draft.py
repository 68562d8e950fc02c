"""What one rule set file says, before what it extends is added."""

from collections.abc import Collection, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final, NamedTuple

from pastecheck.check import Check, Worse
from pastecheck.rulesets.trims import TrimDraft, read_trim
from pastecheck.rulesets.values import (
    LENGTH,
    SPEED,
    TEXT,
    THICKNESS,
    TIME,
    WHOLE,
    Kind,
    limit,
    settings,
    value,
)
from pastecheck.rulesets.yamltree import (
    Complaints,
    Entry,
    Items,
    Section,
    Text,
    described,
    nearest,
    read_bytes,
    read_section,
)
from pastecheck.source import Span
from pastecheck.units import quoted, shown_apart

_BELOW: Final = ("error-below", "warn-below")
_ABOVE: Final = ("error-above", "warn-above")
_LIMITS: Final[Mapping[Worse, tuple[str, ...]]] = {
    Worse.BELOW: _BELOW,
    Worse.ABOVE: _ABOVE,
    Worse.BOTH: (*_BELOW, *_ABOVE),
}
_SECTIONS: Final[Mapping[str, Mapping[str, Kind[object]]]] = {
    "foil": {"name": TEXT, "material": TEXT, "thickness": THICKNESS},
    "sheet": {"width": LENGTH, "height": LENGTH, "unusable": LENGTH},
    "cutting": {"speed": SPEED, "passes": WHOLE, "lift": TIME},
}
"""Sections of a rule set besides the rules, and what their fields hold."""


class Place(NamedTuple):
    """A rule set file, and what complaints and reports call it."""

    path: Path
    shown: str


class Part(NamedTuple):
    """What one file says of one rule."""

    span: Span
    limits: Mapping[str, float]
    """By their names in the file, `error-below`."""
    given: Mapping[str, object]
    """Settings, by the names of the fields of the check's `Params`."""
    source: str
    places: Mapping[str, Span]
    """Where each limit, setting and the source was set, by its name in the file."""


class Draft(NamedTuple):
    """What one file says. What was complained about is None, so that it is not missed as well."""

    place: Place
    content: bytes
    texts: Mapping[str, str | None]
    """title and cutter."""
    extends: tuple[tuple[str, Span], ...]
    """Names of the files that it extends, and where they stand."""
    sections: Mapping[str, Mapping[str, object]]
    """foil, sheet and cutting."""
    parts: Mapping[str, Part]
    places: Mapping[str, Span]
    """Where each key at the top of the file stands; the whole file is at the empty name."""
    trim: TrimDraft


def read_draft(place: Place, checks: Mapping[str, Check], complaints: Complaints) -> Draft:
    """
    Read one file, and note what is wrong with it.

    Raises:
        RuleSetError: If it is not YAML of the kind that is read here, so that nothing more can be said.
    """
    content = read_bytes(place.path, place.shown)
    root = read_section(content, place.shown)
    _refuse_unknown(
        root, ("title", "extends", "cutter", *_SECTIONS, "rules", "trim"), "a rule set", complaints
    )
    if "title" not in root.entries:
        complaints.add("the rule set has no title", root.span, "add 'title: ...', which reports show")
    texts = _texts(root, ("title", "cutter"), complaints)
    sections = {name: _fields(root, name, complaints) for name in _SECTIONS}
    parts = {}
    rules = _section(root, "rules", complaints)
    for check_id, entry in rules.entries.items() if rules else ():
        if check_id in checks:
            parts[check_id] = _part(check_id, checks[check_id], entry, complaints)
        else:
            complaints.add(f"no check is named {quoted(check_id)}", entry.key, nearest(check_id, checks))
    places = {"": root.span} | {name: entry.key for name, entry in root.entries.items()}
    trim = read_trim(root, checks, complaints)
    return Draft(place, content, texts, _extends(root, complaints), sections, parts, places, trim)


def _extends(root: Section, complaints: Complaints) -> tuple[tuple[str, Span], ...]:
    """One name, or a list of them."""
    if "extends" not in root.entries:
        return ()
    node = root.entries["extends"].value
    names = node.items if isinstance(node, Items) else (node,)
    found = [(value(one, TEXT, complaints), one.span) for one in names]
    return tuple((name, span) for name, span in found if name)


def _fields(root: Section, name: str, complaints: Complaints) -> Mapping[str, object]:
    """A section of fields; all of them None where it was complained about as a whole."""
    section, kinds = _section(root, name, complaints), _SECTIONS[name]
    if section is None:
        return dict.fromkeys(kinds)
    _refuse_unknown(section, tuple(kinds), f"a {name}" if name != "cutting" else "cutting", complaints)
    entries = section.entries
    return {key: value(entries[key].value, kind, complaints) for key, kind in kinds.items() if key in entries}


def _part(check_id: str, check: Check, entry: Entry, complaints: Complaints) -> Part:
    section = _as_section(entry, f"{quoted(check_id)} with limits", complaints)
    if section is None:
        return Part(entry.key, {}, {}, "", {})
    allowed, known = _LIMITS[check.worse], settings(check)
    wrong_side = [name for name in (*_BELOW, *_ABOVE) if name in section.entries and name not in allowed]
    for name in wrong_side:
        hint = f"it gets worse {check.worse} a limit: {' and '.join(allowed)} can be set"
        complaints.add(f"{quoted(check_id)} takes no {quoted(name)}", section.entries[name].key, hint)
    _refuse_unknown(section, (*allowed, *known, "source"), quoted(check_id), complaints, told=wrong_side)
    kind = limit(check.unit)
    limits = {
        name: number
        for name in allowed
        if name in section.entries
        and (number := value(section.entries[name].value, kind, complaints)) is not None
    }
    given = {
        setting.field: found
        for name, setting in known.items()
        if name in section.entries
        and (found := setting.read(section.entries[name].value, complaints)) is not None
    }
    source = _source(check_id, section, entry, complaints)
    places = MappingProxyType({name: inner.value.span for name, inner in section.entries.items()})
    _refuse_contradictions(limits, places, check, complaints)
    return Part(entry.key, limits, given, source, places)


def _source(check_id: str, section: Section, entry: Entry, complaints: Complaints) -> str:
    """Limits and their source go together."""
    has_limits = any(name in section.entries for name in (*_BELOW, *_ABOVE))
    if "source" in section.entries:
        if not has_limits:
            hint = "a source belongs to limits: set them beside it, or leave it out"
            what = f"{quoted(check_id)} has a source but no limits"
            complaints.add(what, section.entries["source"].key, hint)
        return value(section.entries["source"].value, TEXT, complaints) or ""
    if has_limits:
        hint = "add where they come from, 'source: ...'; a habit is 'common practice, no source'"
        complaints.add(f"the limits of {quoted(check_id)} name no source", entry.key, hint)
    return ""


def _refuse_contradictions(
    limits: Mapping[str, float], places: Mapping[str, Span], check: Check, complaints: Complaints
) -> None:
    """Refuse a warning that can never show, and limits that nothing can pass."""
    for side, sign in (("below", 1), ("above", -1)):
        warn, error = limits.get(f"warn-{side}"), limits.get(f"error-{side}")
        if warn is not None and error is not None and sign * warn <= sign * error:
            texts = shown_apart(warn, error, check.unit)
            what = f"a warning {side} {texts[0]} can never show: {side} {texts[1]} is an error already"
            hint = f"set warn-{side} {'above' if side == 'below' else 'below'} error-{side}, or leave it out"
            complaints.add(what, places[f"warn-{side}"], hint)
    low = max(((limits[name], name) for name in _BELOW if name in limits), default=None)
    high = min(((limits[name], name) for name in _ABOVE if name in limits), default=None)
    if low and high and low[0] >= high[0]:
        texts = shown_apart(low[0], high[0], check.unit)
        what = f"nothing can pass: {low[1]} is {texts[0]}, and {high[1]} is {texts[1]}"
        complaints.add(what, places[high[1]], f"set {high[1]} above {low[1]}")


def _refuse_unknown(
    section: Section,
    known: Collection[str],
    taker: str,
    complaints: Complaints,
    told: Collection[str] = (),
) -> None:
    for name, entry in section.entries.items():
        if name not in known and name not in told:
            complaints.add(f"{taker} takes no {quoted(name)}", entry.key, nearest(name, known))


def _texts(section: Section, names: Collection[str], complaints: Complaints) -> dict[str, str | None]:
    entries = section.entries
    return {name: value(entries[name].value, TEXT, complaints) for name in names if name in entries}


def _section(root: Section, name: str, complaints: Complaints) -> Section | None:
    """A part of the file, empty where there is none; None where that was complained about."""
    if name not in root.entries:
        return Section({}, root.span)
    return _as_section(root.entries[name], f"{quoted(name)} with names and values", complaints)


def _as_section(entry: Entry, wanted: str, complaints: Complaints) -> Section | None:
    node = entry.value
    if isinstance(node, Section):
        return node
    if isinstance(node, Text) and not node.text:
        return Section({}, node.span)
    complaints.add(f"expected {wanted}, got {described(node)}", node.span, "indent them on the lines below")
    return None
