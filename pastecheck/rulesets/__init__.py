"""
Rule sets: a foil, and for each check its limits, its settings and where the limits come from.

A rule set is a YAML file. One that extends another takes over what it does not say itself: the foil field
by field, the rules one by one, and of a rule each setting; its limits all or none, for they share one source.
Everything that is wrong with a file is told at once.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from pastecheck.check import Check, Unit
from pastecheck.checks import catalogue as checks_that_ship
from pastecheck.errors import RuleSetError
from pastecheck.measurements import Foil
from pastecheck.rulesets.draft import Draft, Part, Place, read_draft
from pastecheck.rulesets.values import read_thickness, refuse_thickness, settings
from pastecheck.rulesets.yamltree import Complaints, is_file, nearest
from pastecheck.source import Span
from pastecheck.units import quoted, shown_um

__all__ = ["ANOTHER_SHEET", "Rule", "RuleSet", "folder", "load", "read_thickness", "shipped"]

ANOTHER_SHEET: Final = 0.15
"""Share by which a foil may differ from that for which limits were set (common practice, no source)."""


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
    """Of the file and then the file that it extends: `cat FILE EXTENDED | sha256sum`."""
    foil: Foil
    cutter: str
    """What the foil is cut with; empty where the file does not say."""
    rules: tuple[Rule, ...]
    set_for_mm: float
    """Thickness of the foil that the limits were set for."""
    extended: tuple[str, ...] = ()
    """The file that it extends, named as `file` is; empty where it stands alone."""

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


def folder() -> Path:
    """Where the rule sets that ship are: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    installed = package / "_rules"
    return installed if installed.is_dir() else package.parent / "rules"


def shipped() -> tuple[str, ...]:
    """Names of the rule sets that ship, in alphabetical order."""
    return tuple(sorted(path.stem for path in folder().glob("*.yaml")))


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
    own = read_draft(_located(name_or_path), checks, complaints)
    base = _extended(own, checks, complaints)
    if base is None and "extends" in own.texts:
        complaints.raise_if_any()  # what else is missing may stand in the file that was not found
    foil = _foil(own, base, complaints)
    rules = _rules(own, base, checks, complaints)
    complaints.raise_if_any()
    texts = {**(base.texts if base else {}), **own.texts}
    return RuleSet(
        name=own.place.path.stem,
        title=texts["title"] or "",
        file=own.place.shown,
        sha256=hashlib.sha256(own.content + (base.content if base else b"")).hexdigest(),
        foil=foil,
        cutter=texts.get("cutter") or "",
        rules=rules,
        set_for_mm=_set_for_mm(own, base, foil, checks),
        extended=(base.place.shown,) if base else (),
    )


def _set_for_mm(own: Draft, base: Draft | None, foil: Foil, checks: Mapping[str, Check]) -> float:
    """The extended file's foil, if lengths that were set for it are still in force."""
    thickness_mm = base.foil.get("thickness") if base else None
    if base is None or not isinstance(thickness_mm, float):
        return foil.thickness_mm
    in_force = [name for name in base.parts if name not in own.parts or not own.parts[name].limits]
    lengths = [name for name in in_force if base.parts[name].limits and checks[name].unit is not Unit.RATIO]
    return thickness_mm if lengths else foil.thickness_mm


def _is_path(name: str) -> bool:
    return name.endswith((".yaml", ".yml")) or "/" in name or "\\" in name


def _located(name_or_path: str) -> Place:
    if _is_path(name_or_path):
        path = Path(name_or_path)
        return Place(path, path.as_posix())
    if name_or_path in shipped():
        return _shipped(name_or_path)
    hint = f"a file of your own ends in .yaml; {nearest(name_or_path, shipped())}"
    raise RuleSetError(f"no rule set is named {quoted(name_or_path)}", Span("pastecheck"), hint)


def _shipped(name: str) -> Place:
    return Place(folder() / f"{name}.yaml", f"rules/{name}.yaml")


def _extended(own: Draft, checks: Mapping[str, Check], complaints: Complaints) -> Draft | None:
    """What the extended file says; None where there is none, or none that can be read."""
    name = own.texts.get("extends")
    if not name:
        return None
    if _is_path(name):
        shown = (Path(own.place.shown).parent / name).as_posix()
        place = Place(own.place.path.parent / name, shown)
    elif name in shipped():
        place = _shipped(name)
    else:
        hint = f"a file of your own ends in .yaml; {nearest(name, shipped())}"
        complaints.add(f"no rule set is named {quoted(name)}", own.extends_at, hint)
        return None
    if not is_file(place.path):
        hint = "the path is taken from the folder of this file"
        complaints.add(f"there is no file {quoted(name)} to extend", own.extends_at, hint)
        return None
    if place.path.resolve() == own.place.path.resolve():
        complaints.add("a rule set cannot extend itself", own.extends_at, "name another, or leave this out")
        return None
    base = read_draft(place, checks, complaints)
    if "extends" in base.texts:
        hint = "only one step is followed: extend one that stands alone"
        complaints.add(f"{quoted(name)} extends another rule set itself", own.extends_at, hint)
    return base


def _foil(own: Draft, base: Draft | None, complaints: Complaints) -> Foil:
    found = {**(base.foil if base else {}), **own.foil}
    place = own.places.get("foil", own.places[""])
    for name, example in (("name", "..."), ("material", "..."), ("thickness", "100 um")):
        if name not in found:
            complaints.add(f"the foil has no {name}", place, f"add '{name}: {example}' under 'foil:'")
    thickness = found.get("thickness")
    usable = thickness if isinstance(thickness, float) else 0.0  # else there was a complaint
    return Foil(str(found.get("name")), str(found.get("material")), usable)


def _rules(
    own: Draft, base: Draft | None, checks: Mapping[str, Check], complaints: Complaints
) -> tuple[Rule, ...]:
    said = [draft.parts for draft in (base, own) if draft]
    names = dict.fromkeys(name for parts in said for name in parts)
    rules = [
        _rule(name, checks[name], [parts[name] for parts in said if name in parts], complaints)
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
