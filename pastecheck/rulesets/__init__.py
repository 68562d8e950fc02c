"""
Rule sets: a foil, and for each check its limits, its settings and where the limits come from.

A rule set is a YAML file. One that extends others takes over what it does not say itself: foil, sheet and
cutting field by field, the rules one by one, and of a rule each setting; its limits all or none, for they
share one source. What stands later in a chain has the last word.

Everything that is wrong with a file is told at once.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Final

from pastecheck.check import Check, Unit
from pastecheck.checks import catalogue as checks_that_ship
from pastecheck.measurements import Foil, Sheet
from pastecheck.rulesets.chain import bases, chain_of, folder, located, shipped
from pastecheck.rulesets.draft import Draft, Part, read_draft
from pastecheck.rulesets.trims import NO_TRIM, ErrorTrim, Trim, merged
from pastecheck.rulesets.values import read_thickness, refuse_thickness, settings
from pastecheck.rulesets.yamltree import Complaints
from pastecheck.source import Span
from pastecheck.units import quoted, shown_um

__all__ = [
    "ANOTHER_SHEET",
    "Cutting",
    "Rule",
    "RuleSet",
    "bases",
    "folder",
    "load",
    "read_thickness",
    "shipped",
]

ANOTHER_SHEET: Final = 0.15
"""Share by which a foil may differ from that for which limits were set (common practice, no source)."""

LIFT_S: Final = 0.3
"""To lift the knife, move on and lower it, where a rule set does not say (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """How fast the foil is cut, and how often each outline."""

    speed_mm_s: float
    passes: int
    lift_s: float
    """For each outline and pass: lift, move, lower."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A check with its limits, in the check's unit; None where a limit is not set."""

    check: str
    error_below: float | None
    warn_below: float | None
    error_above: float | None
    warn_above: float | None
    params: object
    """An instance of the check's `Params`."""
    source: str
    """Where the limits come from; empty where there are none."""
    span: Span
    """Where the rule begins, in the file that said something of it last."""
    places: Mapping[str, Span]
    """Where each limit, setting and the source was set, by its name in the file (`error-below`, `source`)."""

    @property
    def limits(self) -> dict[str, float]:
        """The limits that are set, by the names that reports use (`error_below`)."""
        every = {
            "error_below": self.error_below,
            "warn_below": self.warn_below,
            "error_above": self.error_above,
            "warn_above": self.warn_above,
        }
        return {name: limit for name, limit in every.items() if limit is not None}


@dataclass(frozen=True, slots=True)
class RuleSet:
    """Rules for one foil and one cutter, in file order; those of the extended file come first."""

    name: str
    title: str
    file: str
    """As the user named it, with `/`; `rules/NAME.yaml` for those that ship."""
    sha256: str
    """Of the file and then those that it extends: `cat FILE EXTENDED... | sha256sum`."""
    foil: Foil
    cutter: str
    """What the foil is cut with; empty where the file does not say."""
    rules: tuple[Rule, ...]
    set_for_mm: float
    """Thickness of the foil that the limits were set for."""
    extended: tuple[str, ...] = ()
    """The files that it extends, named as `file` is, the first word first; empty where it stands alone."""
    sheet: Sheet | None = None
    """The sheet that goes into the cutter; None where the file does not say."""
    cutting: Cutting | None = None
    """How it is cut; None where the file does not say."""
    trim: Trim = NO_TRIM
    """What `pastecheck trim` changes."""

    @property
    def notices(self) -> tuple[str, ...]:
        """What the user should know about the settings."""
        if abs(self.foil.thickness_mm - self.set_for_mm) <= ANOTHER_SHEET * self.set_for_mm:
            return ()
        meant, used = shown_um(self.set_for_mm), shown_um(self.foil.thickness_mm)
        return (
            f"the limits were set for a foil of {meant}, not {used}: those of widths and webs may not suit",
        )

    def with_thickness(self, thickness_mm: float) -> "RuleSet":
        """
        The same rules for a foil of another thickness.

        Raises:
            ValueError: If there is no foil of that thickness.
        """
        refuse_thickness(thickness_mm, shown_um(thickness_mm))
        return replace(self, foil=replace(self.foil, thickness_mm=thickness_mm))

    def with_growth(self) -> "RuleSet":
        """The same rules, by which openings with errors may be made larger than drawn."""
        errors = self.trim.errors or ErrorTrim("told on the command line")
        return replace(self, trim=replace(self.trim, errors=replace(errors, grow=True)))

    def with_setting(self, check: str, **setting: object) -> "RuleSet":
        """
        The same rules, one of which is told something else; the same ones where that check is not among them.

        Raises:
            ValueError: If the check cannot be told that.
        """

        def told(rule: Rule) -> Rule:
            settings: Any = rule.params
            return replace(rule, params=replace(settings, **setting)) if rule.check == check else rule

        return replace(self, rules=tuple(map(told, self.rules)))


def load(name_or_path: str, catalogue: Mapping[str, Check] | None = None) -> RuleSet:
    """
    Read a rule set.

    Args:
        name_or_path: Name of one that ships, or the path of a .yaml file.
        catalogue: Checks by their ids; those that ship unless others are given.

    Raises:
        RuleSetError: With every complaint about the file, each with its place and what to do.

    Example:
        >>> load("polyester-75-knife").foil.thickness_mm
        0.075
    """
    checks = checks_that_ship() if catalogue is None else catalogue
    complaints = Complaints()
    own = read_draft(located(name_or_path), checks, complaints)
    chain = chain_of(own, checks, complaints)
    if len(chain) <= len(own.extends):
        complaints.raise_if_any()  # what else is missing may stand in the file that was not found
    foil = _foil(own, chain, complaints)
    sheet, cutting = _sheet(own, chain, complaints), _cutting(own, chain, complaints)
    rules = _rules(own, chain, checks, complaints)
    complaints.raise_if_any()
    texts = {name: text for draft in chain for name, text in draft.texts.items()}
    others = chain[:-1]
    return RuleSet(
        name=own.place.path.stem,
        title=texts["title"] or "",
        file=own.place.shown,
        sha256=hashlib.sha256(b"".join(draft.content for draft in (own, *others))).hexdigest(),
        foil=foil,
        cutter=texts.get("cutter") or "",
        rules=rules,
        set_for_mm=_set_for_mm(chain, foil, checks),
        extended=tuple(draft.place.shown for draft in others),
        sheet=sheet,
        cutting=cutting,
        trim=merged([draft.trim for draft in chain]),
    )


def _set_for_mm(chain: Sequence[Draft], foil: Foil, checks: Mapping[str, Check]) -> float:
    """The foil of an extended file, if lengths that were set for it are still in force."""
    for nth, draft in enumerate(chain[:-1]):
        thickness_mm = draft.sections["foil"].get("thickness")
        renewed = {name for one in chain[nth + 1 :] for name, part in one.parts.items() if part.limits}
        lengths = [
            name
            for name, part in draft.parts.items()
            if part.limits and name not in renewed and checks[name].unit is not Unit.RATIO
        ]
        if isinstance(thickness_mm, float) and lengths:
            return thickness_mm
    return foil.thickness_mm


def _merged(chain: Sequence[Draft], section: str) -> dict[str, object]:
    """A section, field by field, the last word last."""
    return {name: one for draft in chain for name, one in draft.sections[section].items()}


def _missing(
    own: Draft, section: str, found: Mapping[str, object], examples: Mapping[str, str], complaints: Complaints
) -> None:
    """Complain about fields that a section has to have; each comes with an example."""
    place = own.places.get(section, own.places[""])
    for name, example in examples.items():
        if name not in found:
            what = f"the {section} has no {name}"
            complaints.add(what, place, f"add '{name}: {example}' under '{section}:'")


def _length_mm(found: Mapping[str, object], name: str, otherwise: float = 0.0) -> float:
    """A length or another number; what was complained about counts as the other one."""
    number = found.get(name, otherwise)
    return number if isinstance(number, float) else otherwise


def _foil(own: Draft, chain: Sequence[Draft], complaints: Complaints) -> Foil:
    found = _merged(chain, "foil")
    _missing(own, "foil", found, {"name": "...", "material": "...", "thickness": "100 um"}, complaints)
    return Foil(str(found.get("name")), str(found.get("material")), _length_mm(found, "thickness"))


def _sheet(own: Draft, chain: Sequence[Draft], complaints: Complaints) -> Sheet | None:
    found = _merged(chain, "sheet")
    if not found:
        return None
    _missing(own, "sheet", found, {"width": "210 mm", "height": "297 mm"}, complaints)
    sheet = Sheet(*(_length_mm(found, name) for name in ("width", "height", "unusable")))
    if not complaints.found and min(sheet.usable_mm) <= 0:
        what = "nothing of the sheet can be cut: twice its unusable edge is no less than a side"
        complaints.add(what, own.places.get("sheet", own.places[""]), "check the three lengths")
    return sheet


def _cutting(own: Draft, chain: Sequence[Draft], complaints: Complaints) -> Cutting | None:
    found = _merged(chain, "cutting")
    if not found:
        return None
    _missing(own, "cutting", found, {"speed": "20 mm/s"}, complaints)
    speed_mm_s, passes = _length_mm(found, "speed"), found.get("passes", 1)
    if not complaints.found and not (speed_mm_s > 0 and passes):
        what = "nothing is ever cut without speed and at least one pass"
        complaints.add(what, own.places.get("cutting", own.places[""]), "give speed and passes above 0")
    return Cutting(speed_mm_s, passes if isinstance(passes, int) else 1, _length_mm(found, "lift", LIFT_S))


def _rules(
    own: Draft, chain: Sequence[Draft], checks: Mapping[str, Check], complaints: Complaints
) -> tuple[Rule, ...]:
    names = dict.fromkeys(name for draft in chain for name in draft.parts)
    rules = [
        _rule(name, checks[name], [draft.parts[name] for draft in chain if name in draft.parts], complaints)
        for name in names
    ]
    if not complaints.found and not any(rule.limits for rule in rules):
        place = own.places.get("rules", own.places[""])
        complaints.add("no rule has a limit, so nothing would be judged", place, "set limits under 'rules:'")
    return tuple(rules)


def _rule(check_id: str, check: Check, parts: list[Part], complaints: Complaints) -> Rule:
    """A rule from what the files say of it, the last word last."""
    limiting = next((part for part in reversed(parts) if part.limits), parts[-1])
    limits, known = limiting.limits, settings(check)
    places = {name: span for name, span in limiting.places.items() if name not in known}
    places |= {name: part.places[name] for part in parts for name in known if name in part.places}
    return Rule(
        check=check_id,
        error_below=limits.get("error-below"),
        warn_below=limits.get("warn-below"),
        error_above=limits.get("error-above"),
        warn_above=limits.get("warn-above"),
        params=_params(check_id, check, parts, complaints),
        source=limiting.source,
        span=parts[-1].span,
        places=MappingProxyType(places),
    )


def _params(check_id: str, check: Check, parts: list[Part], complaints: Complaints) -> object:
    """What the check is told; None where that was complained about."""
    span = parts[-1].span
    missing = [
        name
        for name, setting in settings(check).items()
        if setting.needed and not any(name in part.places for part in parts)
    ]
    for name in missing:
        complaints.add(f"{quoted(check_id)} needs {quoted(name)}", span, f"add '{name}: ...' to the rule")
    if complaints.found:
        return None
    try:
        return check.params(**{name: one for part in parts for name, one in part.given.items()})
    except ValueError as problem:
        complaints.add(f"{quoted(check_id)}: {problem}", span, f"see 'pastecheck explain {check_id}'")
        return None
