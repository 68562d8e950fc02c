"""
Rule sets: a foil, and for each check its limits, its settings and where the limits come from.

A rule set is a YAML file. One that extends others takes over what it does not say itself: foil, sheet,
cutting and outlines field by field, the rules one by one, and of a rule each setting; its limits all or
none, for they share one source; what is said of trimming entry by entry, each with its source. What stands
later in a chain has the last word.

Everything that is wrong with a file is told at once.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, Final

from pastecheck.check import Check, Unit
from pastecheck.checks import catalogue as checks_that_ship
from pastecheck.measurements import Foil, Sheet
from pastecheck.measurements.powder import powder_type
from pastecheck.rulesets.chain import bases, chain_of, folder, located, shipped, ships
from pastecheck.rulesets.codes import BAD_EXTENDS, BAD_VALUE, MISSING_KEY
from pastecheck.rulesets.cutting import Cutting, Pass, cutting_of
from pastecheck.rulesets.draft import Draft, Part, read_draft
from pastecheck.rulesets.looser import looser, never_past
from pastecheck.rulesets.outlines import USUAL, OutlineSettings, outlines_of
from pastecheck.rulesets.trim_section import merged_trim, with_webs
from pastecheck.rulesets.trims import NO_TRIM, ErrorTrim, Trim
from pastecheck.rulesets.values import read_thickness, refuse_thickness, settings
from pastecheck.rulesets.yamltree import Complaints
from pastecheck.source import Span
from pastecheck.units import quoted, shown_um

__all__ = [
    "ANOTHER_SHEET",
    "Cutting",
    "OutlineSettings",
    "Pass",
    "Rule",
    "RuleSet",
    "bases",
    "folder",
    "load",
    "located",
    "read_thickness",
    "shipped",
]

ANOTHER_SHEET: Final = 0.15
"""Share by which a foil may differ from that for which limits were set (common practice, no source)."""
_OF_POWDER: Final = "powder-fit"
_OF_PANES: Final = "thermal-coverage"


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
    outlines: OutlineSettings = USUAL
    """How the file of outlines for the cutter is laid out."""
    trim: Trim = NO_TRIM
    """What `pastecheck trim` changes."""
    places: Mapping[str, Span] = field(default_factory=dict)
    """Where title, cutter, and fields of foil, sheet, cutting and outlines (`foil.thickness`) were set."""
    amended: tuple[str, ...] = ()
    """The rules of which a file that is no rule set had the last word; it is the last of `extended`."""
    never_past: tuple[str, ...] = ()
    """Limits that no reading is ever past."""
    looser: tuple[str, ...] = ()
    """Limits that let more pass than those of the files that ship, or are extended, which they replace."""

    is_namesake: bool = False
    """Whether it has the name of a set that ships, and is none."""
    own_powder: str = ""
    """The powder that it has itself, in words; empty where that is judged by."""

    @property
    def notices(self) -> tuple[str, ...]:
        """What the user should know about the settings."""
        said = (
            [f"set by {self.extended[-1]}, not by the rule set: {', '.join(self.amended)}"]
            if self.amended
            else []
        )
        if self.is_namesake:
            said.append(f"{quoted(self.file)} is a file of your own, not the {self.name} that ships")
        if self.own_powder:
            said.append(f"judged for powder of {_powder_of(self.rules)}, not of {self.own_powder}")
        if self.never_past:
            said.append(f"shares are never past these limits, 74 % is 0.74: {', '.join(self.never_past)}")
        if self.looser:
            said.append(f"looser than the limits that were replaced: {', '.join(self.looser)}")
        if abs(self.foil.thickness_mm - self.set_for_mm) > ANOTHER_SHEET * self.set_for_mm:
            meant, used = shown_um(self.set_for_mm), shown_um(self.foil.thickness_mm)
            said.append(
                f"the limits were set for a foil of {meant}, not {used}: "
                "those of widths and webs may not suit"
            )
        return tuple(said)

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

    @property
    def judges_powder(self) -> bool:
        """Whether a rule is about the powder of the paste."""
        return any(rule.check == _OF_POWDER for rule in self.rules)

    def with_powder(self, type_: str) -> "RuleSet":
        """
        The same rules for paste of another powder; the same ones where none is about that.

        Raises:
            ValueError: If there is no powder of that type, or it is one that the rule cannot be told.
        """
        number = powder_type(type_)

        def told(rule: Rule) -> Rule:
            params: Any = rule.params
            return replace(rule, params=params.of_type(number)) if rule.check == _OF_POWDER else rule

        rules, own = tuple(map(told, self.rules)), self.own_powder or _powder_of(self.rules)
        return replace(self, rules=rules, own_powder="" if _powder_of(rules) == own else own)


def _powder_of(rules: Sequence[Rule]) -> str:
    """By which powder rules judge, in words; empty where none is about that."""
    params: Any = next((rule.params for rule in rules if rule.check == _OF_POWDER), None)
    if params is None:
        return ""
    ball = f" with balls of {shown_um(params.largest_ball_mm)}" if params.largest_ball_mm else ""
    return f"type {params.powder_type}{ball}"


def load(
    name_or_path: str, catalogue: Mapping[str, Check] | None = None, last_word: Draft | None = None
) -> RuleSet:
    """
    Read a rule set.

    Args:
        name_or_path: Name of one that ships, or the path of a .yaml file.
        catalogue: Checks by their ids; those that ship unless others are given.
        last_word: Rules that count more than those of the set, as if they extended it.

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
    if any(one.code == BAD_EXTENDS for one in complaints.found) or (
        "extends" in own.places and not own.extends
    ):
        complaints.raise_if_any()  # what else is missing may stand in the file that was not found
    if name_or_path in bases():
        hint = "extend it in a rule set of your own, or take one of those that pastecheck rules lists"
        what = f"{quoted(name_or_path)} is a part of rule sets, and says nothing of a foil"
        complaints.add(MISSING_KEY, what, Span(own.place.shown), hint)
        complaints.raise_if_any()
    chain = chain if last_word is None else (*chain, last_word)
    foil = _foil(own, chain, complaints)
    sheet = _sheet(own, chain, complaints)
    rules = _rules(own, chain, checks, complaints)
    trim = _trim(chain, rules, complaints)
    complaints.raise_if_any()
    told = looser(chain, checks)
    texts = {name: text for draft in chain for name, text in draft.texts.items()}
    others = [draft for draft in chain if draft is not own]
    return RuleSet(
        name=own.place.path.stem,
        title=str(texts["title"]),
        file=own.place.shown,
        sha256=hashlib.sha256(b"".join(draft.content for draft in (own, *others))).hexdigest(),
        foil=foil,
        cutter=str(texts.get("cutter", "")),
        rules=rules,
        set_for_mm=_set_for_mm(chain, foil, checks),
        extended=tuple(draft.place.shown for draft in others),
        sheet=sheet,
        cutting=cutting_of(_merged(chain, "cutting")),
        outlines=outlines_of(_merged(chain, "outlines")),
        trim=trim,
        places=MappingProxyType({name: span for draft in chain for name, span in draft.said.items()}),
        amended=() if last_word is None else tuple(last_word.parts),
        never_past=never_past(chain, checks, told),
        looser=told,
        is_namesake=own.place.path.stem in shipped() and not ships(own.place),
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


def _trim(chain: Sequence[Draft], rules: Sequence[Rule], complaints: Complaints) -> Trim:
    """What is changed; between panes the webs that the cutter leaves standing, unless others are said."""
    trim = merged_trim([draft.trim for draft in chain])
    if complaints.found:
        return trim
    thermal = next((rule for rule in rules if rule.check == _OF_PANES), None)
    if thermal is None:
        return with_webs(trim, None, None, complaints)
    params: Any = thermal.params
    return with_webs(trim, params.pane_web_mm, thermal.places.get("pane-web"), complaints)


def _missing(
    own: Draft, section: str, found: Mapping[str, object], examples: Mapping[str, str], complaints: Complaints
) -> None:
    """Complain about fields that a section has to have; each comes with an example."""
    place = own.places.get(section, own.places[""])
    for name, example in examples.items():
        if name not in found:
            what = f"the {section} has no {name}"
            complaints.add(MISSING_KEY, what, place, f"add '{name}: {example}' under '{section}:'")


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
        place = own.places.get("sheet", own.places[""])
        complaints.add(BAD_VALUE, what, place, "check the three lengths")
    return sheet


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
        what = "no rule has a limit, so nothing would be judged"
        complaints.add(MISSING_KEY, what, place, "set limits under 'rules:'")
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
        what = f"{quoted(check_id)} needs {quoted(name)}"
        complaints.add(MISSING_KEY, what, span, f"add '{name}: ...' to the rule")
    if complaints.found:
        return None
    given = {name: one for part in parts for name, one in part.given.items()}
    try:
        return check.params(**given)
    except ValueError as problem:
        what = f"{quoted(check_id)}: {problem}"
        place = _blamed(check, parts, given) or span
        complaints.add(BAD_VALUE, what, place, f"see 'pastecheck explain {check_id}'")
        return None


def _blamed(check: Check, parts: list[Part], given: Mapping[str, object]) -> Span | None:
    """The place of the setting that is refused by itself; None where there is none."""
    known = settings(check)
    needed = {one.field: given[one.field] for one in known.values() if one.needed}
    for name, one in known.items():
        if one.field in given:
            try:
                check.params(**needed | {one.field: given[one.field]})
            except ValueError:
                return next(part.places[name] for part in reversed(parts) if name in part.places)
    return None
