"""A project file -> what it says, or every complaint about it with its place."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final, NamedTuple, cast

from pastecheck.check import Check
from pastecheck.checks import catalogue
from pastecheck.errors import RuleSetError
from pastecheck.layer_files import archive_above
from pastecheck.outputs import is_same_file
from pastecheck.project.declarations import (
    LAYER,
    MOST,
    NEEDED,
    ORDER,
    REPORTS,
    TOP,
)
from pastecheck.project.waivers import Waived, waiver_of
from pastecheck.rulesets import bases, located, shipped
from pastecheck.rulesets.codes import BAD_VALUE, MISSING_KEY, RULE_SET
from pastecheck.rulesets.draft import Part, parts_of
from pastecheck.rulesets.values import read_keys, refuse_unknown
from pastecheck.rulesets.yamltree import (
    Complaints,
    Entry,
    Items,
    Section,
    Text,
    as_section,
    described,
    is_meant,
    read_bytes,
    read_section,
)
from pastecheck.source import Span
from pastecheck.units import quoted

CODE: Final = "project"
_FROM_HERE: Final = "the path is taken from the folder of this file"


class Named(NamedTuple):
    """A file that is named, and where."""

    path: str
    """From where the program runs, with `/`."""
    span: Span


class LayerEntry(NamedTuple):
    """A paste layer, or a folder or archive that holds some."""

    file: Named
    side: str = ""
    """top or bottom, where that is said."""
    beside: Mapping[str, tuple[Named, ...]] = {}
    """Board files, by land, mask and outline."""
    may_be_empty: bool = False
    as_paste: bool = False


@dataclass(frozen=True, slots=True)
class Project:
    """What a project file says."""

    file: str
    content: bytes
    rules: str
    """Name of a rule set, or its path from where the program runs."""
    thickness: str | None
    """As written; it was seen to be a thickness of a foil."""
    powder: str | None
    parts: Mapping[str, Part]
    """Limits and settings of single checks."""
    layers: tuple[LayerEntry, ...]
    everything: bool
    known: str | None
    waivers: tuple[Waived, ...]
    reports: Mapping[str, str]
    """Paths by format."""
    fail_on: str | None
    places: Mapping[str, Span] = field(default_factory=dict)
    """Where each key at the top stands."""

    @property
    def inputs(self) -> tuple[str, ...]:
        """All files that it names to be read, and itself."""
        layers = [one.file.path for one in self.layers]
        beside = [named.path for one in self.layers for of in one.beside.values() for named in of]
        return (self.file, *layers, *beside, *([self.known] if self.known else []))


class _Reader(NamedTuple):
    """What is needed to read any part."""

    folder: Path
    checks: Mapping[str, Check]
    complaints: Complaints

    def named(self, path: object, span: Span) -> Named | None:
        """A file to be read; None where there is none, which is complained about."""
        joined = self.folder / str(path)
        try:
            there = joined.exists() or archive_above(joined) is not None
        except (OSError, ValueError):
            there = False
        if not there:
            self.complaints.add(BAD_VALUE, f"there is no file {quoted(str(path))}", span, _FROM_HERE)
            return None
        return Named(joined.as_posix(), span)


def read_project(argument: str, checks: Mapping[str, Check] | None = None) -> Project:
    """
    Read a project file.

    Args:
        argument: Its path; all paths in it are taken from its folder.
        checks: By their ids; those that ship unless others are given.

    Raises:
        RuleSetError: With every complaint about the file, each with its place and what to do.
    """
    path, complaints = Path(argument), Complaints()
    shown = path.as_posix()
    try:
        content = read_bytes(path, shown)
    except RuleSetError as problem:
        code = CODE if problem.code == RULE_SET else problem.code
        raise RuleSetError(problem.text, problem.span, problem.hint, code) from None
    root = read_section(content, shown, NEEDED)
    reader = _Reader(path.parent, catalogue() if checks is None else checks, complaints)
    project = _project(root, shown, content, reader)
    complaints.raise_if_any()
    return project


def _project(root: Section, shown: str, content: bytes, reader: _Reader) -> Project:
    complaints = reader.complaints
    unknown = refuse_unknown(root, ORDER, "a project file", complaints)
    for name in NEEDED:
        if name not in root.entries and not is_meant(name, unknown):
            hint = f"add '{name}: ...'; pastecheck start writes a project file to begin with"
            complaints.add(MISSING_KEY, f"the project file has no {name}", root.span, hint)
    said = read_keys(root, TOP, complaints)
    limits = _section(root, "limits", complaints)
    layers = _layers(root, reader)
    known = said.get("known")
    found = known and reader.named(known, root.entries["known"].value.span)
    project = Project(
        file=shown,
        content=content,
        rules=_rules(root, said.get("rules"), reader),
        thickness=_as_written(root, "thickness"),
        powder=_as_written(root, "powder"),
        parts=parts_of(limits, reader.checks, complaints) if limits else {},
        layers=layers,
        everything=bool(said.get("everything", False)),
        known=found.path if isinstance(found, Named) else None,
        waivers=_waivers(root, reader),
        reports={},
        fail_on=cast("str | None", said.get("fail-on")),
        places={name: entry.value.span for name, entry in root.entries.items()},
    )
    return _with_reports(project, root, reader)


def _as_written(root: Section, name: str) -> str | None:
    node = root.entries[name].value if name in root.entries else None
    return node.text if isinstance(node, Text) else None


def _section(root: Section, name: str, complaints: Complaints) -> Section | None:
    if name not in root.entries:
        return None
    return as_section(root.entries[name], f"{quoted(name)} with names and values", complaints)


def _rules(root: Section, name: object, reader: _Reader) -> str:
    if not isinstance(name, str):
        return ""
    span = root.entries["rules"].value.span
    if name in {*shipped(), *bases()}:
        return name
    try:
        located(name)
    except RuleSetError as problem:
        reader.complaints.add(BAD_VALUE, problem.text, span, problem.hint)
        return ""
    named = reader.named(name, span)
    return named.path if named else ""


# ------------------------------------------------------------------------------------------------- lists


def _items(root: Section, name: str, example: str, complaints: Complaints) -> Items:
    """A list at the top, empty where there is none."""
    entry = root.entries.get(name)
    if entry is None:
        return Items((), root.span)
    if not isinstance(entry.value, Items) or len(entry.value.items) > MOST:
        many = isinstance(entry.value, Items)
        what = (
            f"{quoted(name)} has more than {MOST} entries"
            if many
            else (f"expected a list, got {described(entry.value)}")
        )
        complaints.add(BAD_VALUE, what, entry.value.span, f"write each on a line of its own, '- {example}'")
        return Items((), entry.value.span)
    return entry.value


def _layers(root: Section, reader: _Reader) -> tuple[LayerEntry, ...]:
    items = _items(root, "layers", "paste-top.gbr", reader.complaints)
    if "layers" in root.entries and isinstance(root.entries["layers"].value, Items) and not items.items:
        what = "the list of layers is empty"
        reader.complaints.add(BAD_VALUE, what, items.span, "name a paste layer, or a folder that holds some")
    found = []
    for item in items.items:
        section = item
        if isinstance(item, Text):
            section = Section({"file": Entry(item.span, item)}, item.span)
        if isinstance(section, Section):
            found.append(_layer(section, reader))
        else:
            what = f"expected a layer, got {described(item)}"
            reader.complaints.add(
                BAD_VALUE, what, item.span, "write its path, or 'file: ...' and what is beside"
            )
    named = [one for one in found if one is not None]
    paths = [one.file.path for one in named]
    for row, one in enumerate(named):
        if one.file.path in paths[:row]:
            what = f"{quoted(one.file.path)} is named twice"
            reader.complaints.add(BAD_VALUE, what, one.file.span, "name each layer once")
    return tuple(named)


def _layer(section: Section, reader: _Reader) -> LayerEntry | None:
    complaints, entries = reader.complaints, section.entries
    refuse_unknown(section, tuple(LAYER), "a layer", complaints)
    said = read_keys(section, LAYER, complaints)
    if "file" not in entries:
        complaints.add(MISSING_KEY, "the layer has no file", section.span, "add 'file: ...'")
    if "mask" in entries and "land" not in entries:
        hint = "a land is a part of both: add 'land: ...'"
        complaints.add(MISSING_KEY, "a mask is named, and no copper", entries["mask"].key, hint)
    file = said.get("file") and reader.named(said["file"], entries["file"].value.span)
    beside = {}
    for option in ("land", "mask", "outline"):
        value = said.get(option)
        each = value if isinstance(value, tuple) else ((value, entries[option].value.span),) if value else ()
        named = [reader.named(path, span) for path, span in each]
        beside[option] = tuple(one for one in named if one is not None)
    if not isinstance(file, Named):
        return None
    return LayerEntry(
        file,
        str(said.get("side") or ""),
        beside,
        may_be_empty=said.get("may-be-empty") is True,
        as_paste=said.get("as-paste") is True,
    )


def _waivers(root: Section, reader: _Reader) -> tuple[Waived, ...]:
    found = []
    example = "check: web-width"
    for item in _items(root, "waivers", example, reader.complaints).items:
        if isinstance(item, Section):
            found.append(waiver_of(item, reader.checks, reader.complaints))
        else:
            what = f"expected a waiver, got {described(item)}"
            reader.complaints.add(BAD_VALUE, what, item.span, f"write names and values, '{example}'")
    return tuple(one for one in found if one is not None)


# ------------------------------------------------------------------------------------------------ reports


def _with_reports(project: Project, root: Section, reader: _Reader) -> Project:
    """With where reports go; a path that would overwrite what is read is complained about."""
    complaints = reader.complaints
    section = _section(root, "reports", complaints)
    if section is None:
        return project
    refuse_unknown(section, tuple(REPORTS), "'reports'", complaints)
    paths: dict[str, str] = {}
    said = read_keys(section, REPORTS, complaints)
    for option in [name for name in section.entries if said.get(name) is not None]:
        path, span = said[option], section.entries[option].value.span
        joined = (reader.folder / str(path)).as_posix()
        if any(is_same_file(Path(joined), Path(one)) for one in (*project.inputs, project.rules)):
            hint = "name another file for the report"
            complaints.add(BAD_VALUE, f"{quoted(str(path))} is read, and would be overwritten", span, hint)
        elif joined in paths.values():
            what = f"two reports would go to {quoted(str(path))}"
            complaints.add(BAD_VALUE, what, span, "give each a file of its own")
        elif Path(joined).is_dir():
            complaints.add(BAD_VALUE, f"{quoted(str(path))} is a folder", span, "name a file for the report")
        elif not Path(joined).parent.is_dir():
            complaints.add(BAD_VALUE, f"there is no folder for {quoted(str(path))}", span, _FROM_HERE)
        else:
            paths[option] = joined
    return replace(project, reports=paths)
