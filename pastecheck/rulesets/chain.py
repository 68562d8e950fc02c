"""Where rule sets are, and the files that one of them builds on."""

import re
from collections.abc import Mapping
from pathlib import Path

from pastecheck.check import Check
from pastecheck.errors import RuleSetError
from pastecheck.rulesets.codes import BAD_EXTENDS
from pastecheck.rulesets.draft import Draft, Place, read_draft
from pastecheck.rulesets.sections import MOST_FILES
from pastecheck.rulesets.yamltree import Complaints, is_file, is_meant, nearest
from pastecheck.source import Span
from pastecheck.units import quoted


def folder() -> Path:
    """Where the rule sets that ship are: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    installed = package / "_rules"
    return installed if installed.is_dir() else package.parent / "rules"


def shipped() -> tuple[str, ...]:
    """Names of the rule sets that ship: by material, then by thickness."""
    return tuple(sorted((path.stem for path in folder().glob("*.yaml")), key=_by_number))


def bases() -> tuple[str, ...]:
    """Names of what the shipped sets have in common, to be extended: they say nothing of a foil."""
    return tuple(sorted((f"base/{path.stem}" for path in folder().glob("base/*.yaml")), key=_by_number))


def located(name_or_path: str) -> Place:
    """
    The file of a rule set.

    Raises:
        RuleSetError: If it is no path, and no set of that name ships.
    """
    if name_or_path in {*shipped(), *bases()}:
        return _shipped(name_or_path)
    if _is_path(name_or_path):
        path = Path(name_or_path)
        if path.stem in shipped() and not is_file(path):
            hint = f"the one that ships is named {quoted(path.stem)}"
            raise RuleSetError(f"there is no file {quoted(name_or_path)}", Span(path.as_posix()), hint)
        return Place(path, path.as_posix())
    hint = _which(name_or_path, shipped())
    raise RuleSetError(f"no rule set is named {quoted(name_or_path)}", Span("pastecheck"), hint)


def ships(place: Place) -> bool:
    """Whether a file is one of those that ship."""
    return folder() in place.path.resolve().parents


def chain_of(own: Draft, checks: Mapping[str, Check], complaints: Complaints) -> tuple[Draft, ...]:
    """
    The files that a rule set is made of: what is extended first, the last word last.

    A file that is reached twice stands where it was reached first. What cannot be extended is complained
    about.
    """
    found: dict[Path, Draft] = {}
    names = (*shipped(), *bases())

    def reach(draft: Draft, within: tuple[Path, ...]) -> None:
        here = draft.place.path.resolve()
        for name, span in draft.extends:
            place = _extended(draft, name, span, names, complaints)
            if place is None or place.path.resolve() in found:
                continue
            if place.path.resolve() in {*within, here}:
                what = "itself" if place.path.resolve() == here else f"{quoted(name)}, which extends this one"
                complaints.add(
                    BAD_EXTENDS, f"a rule set cannot extend {what}", span, "name another, or leave this out"
                )
            elif len(found) + len(within) + 1 >= MOST_FILES:
                what = f"a rule set made of more than {MOST_FILES} files"
                complaints.add(BAD_EXTENDS, what, span, "extend fewer")
            else:
                reach(read_draft(place, checks, complaints), (*within, here))
        found[here] = draft

    reach(own, ())
    return tuple(found.values())


def _by_number(name: str) -> list[tuple[str, int]]:
    """For sorting: 75 comes before 100."""
    return [(word, int(digits or 0)) for word, digits in re.findall(r"(\D+)(\d*)", name)]


def _is_path(name: str) -> bool:
    return name.endswith((".yaml", ".yml")) or "/" in name or "\\" in name


def _which(name: str, known: tuple[str, ...]) -> str:
    near = nearest(name, known) if is_meant(name, known) else "pastecheck rules lists those that ship"
    return f"a file of your own ends in .yaml; {near}"


def _leads_out(name: str) -> bool:
    """Whether a name leads elsewhere than into a folder or below it, on whatever system."""
    parts = re.split(r"[/\\]", name)
    return ".." in parts or parts[0] in {"", "~"} or ":" in parts[0]


def _shipped(name: str) -> Place:
    return Place(folder() / f"{name}.yaml", f"rules/{name}.yaml")


def _extended(
    draft: Draft, name: str, span: Span, ships: tuple[str, ...], complaints: Complaints
) -> Place | None:
    """The file that another names; None where there is none, which is complained about."""
    if name in ships:
        return _shipped(name)
    if not _is_path(name):
        hint = _which(name, ships)
        complaints.add(BAD_EXTENDS, f"no rule set is named {quoted(name)}", span, hint)
        return None
    if _leads_out(name):
        hint = "name a set that ships, or a file in the folder of this one or below, such as base.yaml"
        complaints.add(BAD_EXTENDS, f"{quoted(name)} leads out of the folder of the rule set", span, hint)
        return None
    shown = (Path(draft.place.shown).parent / name).as_posix()
    place = Place(draft.place.path.parent / name, shown)
    if not is_file(place.path):
        hint = "the path is taken from the folder of this file"
        stem = re.sub(r"^rules/|\.ya?ml$", "", name)
        hint = f"the one that ships is named {quoted(stem)}" if stem in ships else hint
        complaints.add(BAD_EXTENDS, f"there is no file {quoted(name)} to extend", span, hint)
        return None
    return place
