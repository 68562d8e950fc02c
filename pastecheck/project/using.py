"""What a project file says -> rule set, layers and board files, read."""

from collections.abc import Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Final

from pastecheck import rulesets
from pastecheck.board_files import BoardFile, Option, board_files_of
from pastecheck.errors import SIDE_AS_TOLD, InputError, RuleSetError
from pastecheck.layer_evidence import Source
from pastecheck.layer_names import UNKNOWN
from pastecheck.layers import Layer, layers_of
from pastecheck.limits import STANDARD, Limits
from pastecheck.project.reading import LayerEntry, Named, Project
from pastecheck.rulesets import RuleSet, read_thickness
from pastecheck.rulesets.codes import BAD_VALUE
from pastecheck.rulesets.draft import Draft, Place
from pastecheck.rulesets.sections import SECTIONS
from pastecheck.source import Diagnostic, DiagnosticLevel, Span

_OTHER_SIDE: Final = "other-side"


def rule_set_of(project: Project, instead: str | None = None) -> RuleSet:
    """
    The rule set of a project, with the limits, the thickness and the powder that it sets.

    Args:
        project: What the file says.
        instead: Name or path of another rule set that these are set for.

    Raises:
        RuleSetError: If the rule set cannot be read, or does not take what the project sets.
    """
    rule_set = rulesets.load(instead or project.rules, last_word=_last_word(project))
    if project.thickness is not None:
        rule_set = rule_set.with_thickness(read_thickness(project.thickness))
    if project.powder is not None:
        if not rule_set.judges_powder:
            text = "the rule set has no powder-fit to judge the powder by"
            hint = "add its limits under 'limits:', or leave the powder out"
            raise RuleSetError(text, project.places["powder"], hint, BAD_VALUE)
        rule_set = rule_set.with_powder(project.powder)
    return rule_set


def _last_word(project: Project) -> Draft | None:
    """The limits of the project, as those of a rule set that extends its own."""
    if not project.parts:
        return None
    return Draft(
        place=Place(Path(project.file), project.file),
        content=project.content,
        texts={},
        extends=(),
        sections={name: {} for name in SECTIONS},
        parts=project.parts,
        places=MappingProxyType({}),
        said=MappingProxyType({}),
    )


def layers_in(
    project: Project, named: Sequence[str] = (), *, as_paste: bool = False, limits: Limits = STANDARD
) -> tuple[Layer, ...]:
    """
    The paste layers of a project; or others, which have what the project says of them if it does.

    Args:
        project: What the file says.
        named: Paths to be judged instead; those of the project if there are none.
        as_paste: Take all that were named directly for paste layers.
        limits: How much is read at most.

    Raises:
        InputError: If something cannot be read, is no paste layer, is named twice, or is of another side.
    """
    entries = entries_of(project, named)
    forced = [one.file.path for one in entries if one.as_paste or as_paste]
    found = layers_of([one.file.path for one in entries], as_paste=forced, limits=limits)
    told = (_as_told(layer, entry_of(layer, entries), found, project) for layer in found)
    return tuple(layer._replace(is_listed=len(found) > 1) for layer in told)


def entries_of(project: Project, named: Sequence[str]) -> tuple[LayerEntry, ...]:
    """What is said of the layers that are judged."""
    if not named:
        return project.layers
    own = {Path(one.file.path).resolve(): one for one in project.layers}
    return tuple(
        own.get(Path(path).resolve(), LayerEntry(Named(Path(path).as_posix(), Span(path)))) for path in named
    )


def entry_of(layer: Layer, entries: Sequence[LayerEntry]) -> LayerEntry:
    """The entry by which a layer was found."""
    return next(one for one in entries if _is_of(layer, one))


def _as_told(layer: Layer, entry: LayerEntry, every: Sequence[Layer], project: Project) -> Layer:
    """A layer with what the project says of it."""
    layer = layer._replace(may_be_empty=entry.may_be_empty)
    if not entry.side or layer.side == entry.side:
        return layer
    if sum(_is_of(one, entry) for one in every) > 1:
        text = f"the {entry.side} side is told of several layers, which were found here"
        raise InputError(text, entry.file.span, "name each of them, with its own side", _OTHER_SIDE)
    if layer.side != UNKNOWN and layer.source is Source.FUNCTION:
        text = f"the {entry.side} side is told of {layer.path}, which says that it is of the {layer.side}"
        raise InputError(text, entry.file.span, "leave the side out, or name the other layer", _OTHER_SIDE)
    said = layer.diagnostics
    if layer.side != UNKNOWN:
        text = f"it looks like the {layer.side} side; taken for the {entry.side}, as {project.file} says"
        said = (*said, Diagnostic(SIDE_AS_TOLD, DiagnosticLevel.NOTE, text, Span(layer.path)))
    return layer._replace(side=entry.side, diagnostics=said)


def _is_of(layer: Layer, entry: LayerEntry) -> bool:
    return entry.file.path in {layer.path, layer.found_in}


def board_files_in(
    project: Project,
    named: Sequence[str] = (),
    without: Sequence[Option] = (),
    limits: Limits = STANDARD,
) -> tuple[BoardFile, ...]:
    """
    Copper, masks and outlines of a project, each for the layer with which it is named.

    Args:
        project: What the file says.
        named: Paths of layers that are judged instead of all of its own.
        without: What was named elsewhere, and is not taken from the project.
        limits: How much is read at most.

    Raises:
        InputError: If one cannot be read, or is plainly another layer.
    """
    found = []
    for entry in entries_of(project, named):
        paths = {
            option: [one.path for one in entry.beside.get(option.value, ())]
            for option in Option
            if option not in without
        }
        found += [one._replace(named_for=entry.file.path) for one in board_files_of(paths, limits)]
    return tuple(found)
