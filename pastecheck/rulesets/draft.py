"""What one rule set file says, before what it extends is added."""

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final, NamedTuple

from pastecheck.check import Check
from pastecheck.rulesets.codes import (
    IMPOSSIBLE_LIMITS,
    MISSING_KEY,
    NO_SOURCE,
    UNKNOWN_KEY,
)
from pastecheck.rulesets.sections import (
    ABOVE,
    BELOW,
    EXTENDS,
    LIMITS,
    SECTIONS,
    SOURCE,
    TEXTS,
    Extended,
)
from pastecheck.rulesets.trim_section import TrimDraft, read_trim
from pastecheck.rulesets.values import limit, read_keys, refuse_unknown, settings, value
from pastecheck.rulesets.yamltree import (
    Complaints,
    Entry,
    Section,
    as_section,
    is_meant,
    nearest,
    read_bytes,
    read_section,
)
from pastecheck.source import Span
from pastecheck.units import quoted, shown_apart

_TAKERS: Final[Mapping[str, str]] = {
    "foil": "a foil",
    "sheet": "a sheet",
    "cutting": "cutting",
    "outlines": "a file of outlines",
}
"""What takes the fields of a section, in a complaint about one that it does not take."""


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
    texts: Mapping[str, object]
    """title and cutter."""
    extends: tuple[Extended, ...]
    sections: Mapping[str, Mapping[str, object]]
    """foil, sheet, cutting and outlines."""
    parts: Mapping[str, Part]
    places: Mapping[str, Span]
    """Where each key at the top of the file stands; the whole file is at the empty name."""
    said: Mapping[str, Span]
    """Where texts, and the fields of sections (`foil.thickness`), are given their values."""
    trim: TrimDraft = TrimDraft()


def read_draft(place: Place, checks: Mapping[str, Check], complaints: Complaints) -> Draft:
    """
    Read one file, and note what is wrong with it.

    Raises:
        RuleSetError: If it is not YAML of the kind that is read here, so that nothing more can be said.
    """
    content = read_bytes(place.path, place.shown)
    root = read_section(content, place.shown)
    known = ("title", "extends", "cutter", *SECTIONS, "rules", "trim")
    unknown = refuse_unknown(root, known, "a rule set", complaints)
    if "title" not in root.entries and not is_meant("title", unknown):
        hint = "add 'title: ...', which reports show"
        complaints.add(MISSING_KEY, "the rule set has no title", root.span, hint)
    texts = read_keys(root, TEXTS, complaints)
    sections = {name: _fields(root, name, complaints) for name in SECTIONS}
    rules = _section(root, "rules", complaints)
    return Draft(
        place,
        content,
        texts,
        _extends(root, complaints),
        sections,
        parts_of(rules, checks, complaints) if rules else {},
        {"": root.span} | {name: entry.key for name, entry in root.entries.items()},
        _said(root),
        read_trim(root, checks, complaints),
    )


def parts_of(rules: Section, checks: Mapping[str, Check], complaints: Complaints) -> Mapping[str, Part]:
    """What the file says of each rule."""
    parts = {}
    for check_id, entry in rules.entries.items():
        if check_id in checks:
            parts[check_id] = _part(check_id, checks[check_id], entry, complaints)
        elif not complaints.are_enough:
            what = f"no check is named {quoted(check_id)}"
            complaints.add(UNKNOWN_KEY, what, entry.key, nearest(check_id, checks))
    return parts


def _said(root: Section) -> Mapping[str, Span]:
    """Where texts and fields are given their values."""
    entries = root.entries
    said = {name: entries[name].value.span for name in TEXTS if name in entries}
    for section in SECTIONS:
        node = entries[section].value if section in entries else None
        if isinstance(node, Section):
            said |= {f"{section}.{name}": entry.value.span for name, entry in node.entries.items()}
    return said


def _extends(root: Section, complaints: Complaints) -> tuple[Extended, ...]:
    """The files that it extends."""
    if "extends" not in root.entries:
        return ()
    found = EXTENDS.read(root.entries["extends"].value, complaints)
    return found if isinstance(found, tuple) else ()


def _fields(root: Section, name: str, complaints: Complaints) -> Mapping[str, object]:
    """A section of fields; all of them None where it was complained about as a whole."""
    section, keys = _section(root, name, complaints), SECTIONS[name]
    if section is None:
        return dict.fromkeys(keys)
    unknown = refuse_unknown(section, tuple(keys), _TAKERS[name], complaints)
    meant: dict[str, object] = {one: None for one in keys if is_meant(one, unknown)}
    return meant | read_keys(section, keys, complaints)


def _part(check_id: str, check: Check, entry: Entry, complaints: Complaints) -> Part:
    section = as_section(entry, f"{quoted(check_id)} with limits", complaints)
    if section is None:
        return Part(entry.key, {}, {}, "", {})
    allowed, known = LIMITS[check.worse], settings(check)
    wrong_side = [name for name in (*BELOW, *ABOVE) if name in section.entries and name not in allowed]
    for name in wrong_side:
        hint = f"it gets worse {check.worse} a limit: {' and '.join(allowed)} can be set"
        what = f"{quoted(check_id)} takes no {quoted(name)}"
        complaints.add(UNKNOWN_KEY, what, section.entries[name].key, hint)
    refuse_unknown(section, (*allowed, *known, "source"), quoted(check_id), complaints, told=wrong_side)
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
    has_limits = any(name in section.entries for name in (*BELOW, *ABOVE))
    if "source" in section.entries:
        if not has_limits:
            hint = "a source belongs to limits: set them beside it, or leave it out"
            what = f"{quoted(check_id)} has a source but no limits"
            complaints.add(NO_SOURCE, what, section.entries["source"].key, hint)
        return str(SOURCE.read(section.entries["source"].value, complaints) or "")
    if has_limits:
        hint = "add where they come from, 'source: ...'; a habit is 'common practice, no source'"
        complaints.add(NO_SOURCE, f"the limits of {quoted(check_id)} name no source", entry.key, hint)
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
            complaints.add(IMPOSSIBLE_LIMITS, what, places[f"warn-{side}"], hint)
    low = max(((limits[name], name) for name in BELOW if name in limits), default=None)
    high = min(((limits[name], name) for name in ABOVE if name in limits), default=None)
    if low and high and low[0] >= high[0]:
        texts = shown_apart(low[0], high[0], check.unit)
        what = f"nothing can pass: {low[1]} is {texts[0]}, and {high[1]} is {texts[1]}"
        complaints.add(IMPOSSIBLE_LIMITS, what, places[high[1]], f"set {high[1]} above {low[1]}")


def _section(root: Section, name: str, complaints: Complaints) -> Section | None:
    """A part of the file, empty where there is none; None where that was complained about."""
    if name not in root.entries:
        return Section({}, root.span)
    return as_section(root.entries[name], f"{quoted(name)} with names and values", complaints)
