"""Pages about rule sets, from what these say."""

import math
from collections.abc import Iterator, Mapping

from pastecheck import rulesets
from pastecheck.checks import catalogue
from pastecheck.reporters._limits import WORDS, limit_shown
from pastecheck.reporters.rule_set_pages import Comparison, Difference, Entry, Listed, Part, RuleSetPage
from pastecheck.rulesets import Cutting, OutlineSettings, Rule, RuleSet
from pastecheck.rulesets.trim_section import ENTRIES, SELECTED_ENTRY
from pastecheck.rulesets.trims import Trim
from pastecheck.rulesets.values import settings
from pastecheck.source import Span
from pastecheck.units import shown_um

_SECTIONS = ("foil", "sheet", "cutting", "outlines")


def listed() -> list[Listed]:
    """
    The rule sets that ship.

    Raises:
        RuleSetError: If one of them is broken.
    """
    every = [rulesets.load(name) for name in rulesets.shipped()]
    return [
        Listed(
            name=one.name,
            title=one.title,
            material=one.foil.material,
            thickness=shown_um(one.foil.thickness_mm),
            thickness_mm=one.foil.thickness_mm,
            cutter=one.cutter,
        )
        for one in every
    ]


def page_of(name_or_path: str) -> RuleSetPage:
    """
    A rule set in force, with all that it extends.

    Raises:
        RuleSetError: If there is no such rule set, or it is broken.
    """
    rule_set = rulesets.load(name_or_path)
    in_force = {rule.check for rule in rule_set.rules}
    return RuleSetPage(
        name=rule_set.name,
        title=rule_set.title,
        file=rule_set.file,
        extended=rule_set.extended,
        sha256=rule_set.sha256,
        parts=[*_sections(rule_set), *(_rule(rule) for rule in rule_set.rules), *_trim(rule_set.trim)],
        not_run=[check for check in catalogue() if check not in in_force],
        notices=rule_set.notices,
    )


def comparison_of(one: str, other: str) -> Comparison:
    """
    What two rule sets have apart, and what in common.

    Raises:
        RuleSetError: If there is no such rule set, or it is broken.
    """
    first, second = page_of(one), page_of(other)
    sides = [{part.name: part for part in page.parts} for page in (first, second)]
    names = dict.fromkeys(
        [*(name for name in _SECTIONS if name in {*sides[0], *sides[1]}), *sides[0], *sides[1]]
    )
    differences = [
        found for name in names for found in _differences(name, sides[0].get(name), sides[1].get(name))
    ]
    apart = {found.part for found in differences}
    return Comparison(first, second, differences, [name for name in names if name not in apart])


def _differences(name: str, one: Part | None, other: Part | None) -> Iterator[Difference]:
    """Entry by entry; the source of limits is one, too."""
    sides = [
        {} if part is None else {entry.name: entry for entry in _with_source(part)} for part in (one, other)
    ]
    for entry in dict.fromkeys([*sides[0], *sides[1]]):
        first, second = sides[0].get(entry), sides[1].get(entry)
        if first is None or second is None or first.value != second.value:
            yield Difference(name, entry, first, second)
    if (one is None or other is None) and not any(sides):
        yield Difference(name, "measured", *(None if part is None else _MEASURED for part in (one, other)))


_MEASURED = Entry("measured", "yes", value=True, unit="", place=None)
"""Of a check without limits and settings, all there is to say."""


def _with_source(part: Part) -> list[Entry]:
    if not part.source:
        return list(part.entries)
    return [*part.entries, Entry("source", part.source, part.source, "", part.source_place)]


def _sections(rule_set: RuleSet) -> Iterator[Part]:
    """Foil, sheet, cutting and outlines; a sheet only where there is one."""
    places = rule_set.places
    foil = rule_set.foil
    thickness = Entry(
        "thickness", shown_um(foil.thickness_mm), foil.thickness_mm, "mm", places.get("foil.thickness")
    )
    texts = [_text(name, getattr(foil, name), places.get(f"foil.{name}")) for name in ("name", "material")]
    yield Part("foil", [*texts, thickness])
    if rule_set.sheet is not None:
        lengths = [(name, getattr(rule_set.sheet, f"{name}_mm")) for name in ("width", "height", "unusable")]
        yield Part("sheet", [_length(name, of_mm, places.get(f"sheet.{name}")) for name, of_mm in lengths])
    cutter = [_text("cutter", rule_set.cutter, places.get("cutter"))] if rule_set.cutter else []
    found = [] if rule_set.cutting is None else list(_cutting(rule_set.cutting, places))
    if cutter or found:
        yield Part("cutting", [*cutter, *found])
    yield Part("outlines", list(_outlines(rule_set.outlines, places)))


def _text(name: str, text: str, place: Span | None) -> Entry:
    return Entry(name, text, text, "", place)


def _length(name: str, length_mm: float, place: Span | None) -> Entry:
    return Entry(name, f"{length_mm:g} mm", length_mm, "mm", place)


def _cutting(cutting: Cutting, places: Mapping[str, Span]) -> Iterator[Entry]:
    """What is said of the machine."""
    passes = [
        {"speed_mm_s": one.speed_mm_s, "force": one.force, "power": one.power} for one in cutting.passes
    ]
    place = places.get("cutting.passes", places.get("cutting.speed"))
    yield Entry("passes", cutting.passes_said, passes, "", place)
    yield Entry("lift", f"{cutting.lift_s:g} s", cutting.lift_s, "s", places.get("cutting.lift"))
    for name in ("blade", "blade-depth", "carrier"):
        if said := getattr(cutting, name.replace("-", "_")):
            yield _text(name, said, places.get(f"cutting.{name}"))
    for name, factor in (("scale-x", cutting.scale_x), ("scale-y", cutting.scale_y)):
        if factor != 1:
            yield Entry(name, f"{factor:g}", factor, "1", places.get(f"cutting.{name}"))
    if cutting.notes:
        notes = list(cutting.notes)
        yield Entry("notes", "; ".join(notes), notes, "", places.get("cutting.notes"))


def _outlines(said: OutlineSettings, places: Mapping[str, Span]) -> Iterator[Entry]:
    for name, length_mm in (("overcut", said.overcut_mm), ("hop", said.hop_mm), ("margin", said.margin_mm)):
        yield _length(name, length_mm, places.get(f"outlines.{name}"))
    for name, is_there in (("coupon", said.coupon), ("marks", said.marks), ("frame", said.frame)):
        yield Entry(name, str(is_there).lower(), is_there, "", places.get(f"outlines.{name}"))


def _trim(trim: Trim) -> Iterator[Part]:
    """What `pastecheck trim` changes, entry by entry."""
    for name, entry in trim.entries.items():
        declared, places = ENTRIES.get(name, SELECTED_ENTRY), trim.places.get(name, {})
        given = [
            _trimmed(key, declared.fields[key], getattr(entry, declared.fields[key]), places.get(key))
            for key in declared.keys
            if key != "source" and _is_said(key, places, getattr(entry, declared.fields[key]))
        ]
        yield Part(f"trim: {name}", given, source=entry.source, source_place=places.get("source"))


def _is_said(key: str, places: Mapping[str, Span], value: object) -> bool:
    """Whether there is something to say of a value: it was given, or it is no empty or endless one."""
    return key in places or (bool(value) and value != math.inf)


def _trimmed(name: str, field: str, value: object, place: Span | None) -> Entry:
    if isinstance(value, bool):
        return Entry(name, str(value).lower(), value, "", place)
    if isinstance(value, str):
        return _text(name, value, place)
    unit = next((one for one in ("mm2", "mm") if field.endswith(f"_{one}")), "")
    return Entry(name, f"{value:.4g} {unit}".strip(), value, unit, place)


def _rule(rule: Rule) -> Part:
    check = catalogue()[rule.check]
    limits = [
        Entry(
            WORDS[name],
            limit_shown(limit, check.unit),
            limit,
            check.unit.value,
            rule.places.get(name.replace("_", "-")),
        )
        for name, limit in rule.limits.items()
    ]
    given = [
        Entry(
            name, one.shown(value := getattr(rule.params, one.field)), value, one.unit, rule.places.get(name)
        )
        for name, one in settings(check).items()
    ]
    return Part(
        rule.check,
        [*limits, *given],
        is_check=True,
        is_judged=bool(rule.limits),
        source=rule.source,
        source_place=rule.places.get("source"),
    )
