"""
LAYER arguments -> paste layers: a Gerber file, or those that a folder or a .zip archive holds.

What makes a file a paste layer (`layer_evidence`) is told in a note, unless its own attribute says it. What
is plainly another layer is refused where it was named, and left out of a folder; what might be paste and was
not taken is told.
"""

import re
from collections.abc import Collection, Sequence
from difflib import get_close_matches
from pathlib import Path, PurePath
from typing import Final, NamedTuple

from pastecheck import copper, gerber, layer_evidence
from pastecheck.drawing import Drawing
from pastecheck.errors import InputError, UsageError
from pastecheck.gerber.attributes import fields_of
from pastecheck.layer_evidence import HEAD_BYTES, Evidence, Source, evidence_of, told_of
from pastecheck.layer_files import (
    File,
    Files,
    archive_above,
    archive_kind,
    content_of,
    file_at,
    files_of_folder,
    head_of,
    is_hidden,
    may_hide_paste,
    opened_archive,
    refuse_too_much,
    unreadable,
)
from pastecheck.layer_names import INNER, PASTE, UNKNOWN, hint_of, may_be_paste
from pastecheck.limits import STANDARD, Limits
from pastecheck.rulesets.yamltree import nearest
from pastecheck.source import Diagnostic, DiagnosticLevel, Documented, Span
from pastecheck.units import quoted

_FORMAT = re.compile(rb"(?:(?:^|[*%])[ \t\r]*%|\*)\s*FS[LTD]?[AI](?:[NG]\d)*X\d", re.MULTILINE)
"""The format statement of a Gerber file; where a script or a text speaks of one, it stands in quotes."""
_ARCHIVE_NAMES = frozenset({".zip", ".7z", ".rar", ".tar", ".tgz", ".gz", ".bz2", ".xz", ".zst"})
"""Archives by name: many a document is a .zip archive inside."""
_NAMES_LOOKED_AT = 10_000
_NAME_LETTERS = 200
_LISTED = 8
_AS_PASTE = "name the paste layer, or add --as-paste if this is one all the same"


class Layer(NamedTuple):
    """A paste layer, read but not yet understood."""

    path: str
    """As reports show it, with `/`."""
    content: bytes
    side: str
    """top, bottom or unknown."""
    diagnostics: tuple[Diagnostic, ...] = ()
    source: Source = Source.NOTHING
    """What tells that it is one."""
    found_in: str = ""
    """The folder or archive that was named where it was found; empty if it was named itself."""
    may_be_empty: bool = False
    """Whether the user said that it may hold nothing to cut."""
    is_listed: bool = False
    """Whether it is one of several of a project: the others are judged though it holds nothing to cut."""


class _Other(NamedTuple):
    """A file that was not taken."""

    name: str
    what: str
    """What it is, as far as is known."""
    code: str = ""
    """Of the diagnostic that tells of it; empty for what is plainly no paste layer."""

    def __str__(self) -> str:
        return f"{quoted(self.name)} ({self.what})" if self.what else quoted(self.name)


def layers_of(
    arguments: Sequence[str], *, as_paste: bool | Collection[str] = False, limits: Limits = STANDARD
) -> tuple[Layer, ...]:
    """
    The paste layers that arguments name, in their order; those of a folder or archive by name.

    Args:
        arguments: Paths of Gerber files, folders and archives.
        as_paste: Take files that were named directly for paste layers, whatever they or their names say: all
            of them, or some of the arguments.
        limits: How much is read at most.

    Raises:
        InputError: If something cannot be read, is no paste layer, or is named twice.
        UsageError: If a name is empty.
    """
    found: dict[str, Layer] = {}
    first: dict[bytes, str] = {}
    for argument in arguments:
        forced = as_paste if isinstance(as_paste, bool) else argument in as_paste
        for layer in _layers_in(argument, as_paste=forced, limits=limits):
            if layer.path in found:
                raise InputError("the same layer is named twice", Span(layer.path), "name it once", "twice")
            same = first.setdefault(layer.content, layer.path)
            text = f"this file is the same, byte for byte, as {quoted(same)}"
            note = Diagnostic("same-layer", DiagnosticLevel.NOTE, text, Span(layer.path))
            said = () if same == layer.path else (note,)
            found[layer.path] = layer._replace(diagnostics=(*layer.diagnostics, *said))
    return tuple(found.values())


def doubts(layer: Layer, drawing: Drawing) -> tuple[Diagnostic, ...]:
    """
    A warning where a layer is drawn like copper; nothing where the user said that it is paste.

    Raises:
        InputError: If it says that it is another layer, or is drawn like copper and nothing says that it is
            paste.
    """
    if layer.source is Source.USER:
        return ()
    if drawing.function and fields_of(drawing.function)[0] != PASTE:  # its paste may stand behind its end
        text = f"the file says that it is {quoted(drawing.function)}, not a paste layer"
        raise InputError(text, place_of_function(layer.path, layer.content), _AS_PASTE, "not-paste")
    looks = copper.tracks_or_pours(drawing)
    if not looks:
        return ()
    text = f"it is drawn like copper: {looks}"
    if layer.source is Source.NOTHING:
        raise InputError(f"{text}, not a paste layer", Span(layer.path), _AS_PASTE, "not-paste")
    text = f"{text}; check that it is the paste layer, or add --as-paste"
    return (Diagnostic("unlikely-paste", DiagnosticLevel.WARNING, text, Span(layer.path)),)


def _layers_in(argument: str, *, as_paste: bool, limits: Limits) -> Sequence[Layer]:
    if not argument:  # an unset variable of a script, and not the current folder
        raise UsageError("the name of a layer is empty", Span("pastecheck"), "name a Gerber file")
    path = Path(argument)
    shown = path.as_posix()
    try:
        if path.is_dir():
            return _found_in(shown, files_of_folder(path, shown, limits), limits)
        if archive := archive_above(path):
            return _within(archive, shown, as_paste=as_paste, limits=limits)
        kind = archive_kind(head_of(path))
        if kind == "zip" or path.suffix.lower() == ".zip":
            with opened_archive(path, shown, limits) as files:
                return _found_in(shown, files, limits)
        if kind:
            hint = "unpack it and name the folder, or make a .zip archive of it"
            raise InputError(f"this is {kind}, which is not read", Span(shown), hint, "archive")
        return [_named(file_at(path, shown), as_paste=as_paste, limits=limits)]
    except FileNotFoundError:
        raise InputError("there is no such file", Span(shown), instead_of(path), "no-file") from None
    except (OSError, ValueError) as problem:
        raise unreadable(shown, problem) from None


def _within(archive: Path, shown: str, *, as_paste: bool, limits: Limits) -> Sequence[Layer]:
    """A layer that the user named in an archive, or the paste layers of a folder in it."""
    root = archive.as_posix()
    with opened_archive(archive, root, limits) as files:
        named = [file for file in files.files if file.path == shown]
        if named:  # of two with one name the last one tells that
            return [_named(named[-1], as_paste=as_paste, limits=limits)]
        if some := tuple(file for file in files.files if file.path.startswith(f"{shown}/")):
            return _found_in(shown, Files(some), limits)
        hint = _nearest_in(root, shown, files.files[:_NAMES_LOOKED_AT])
        raise InputError("the archive holds no such file", Span(shown), hint, "no-file")


def _nearest_in(root: str, shown: str, files: Sequence[File]) -> str:
    """A hint for somebody who named a file that an archive does not hold: paste layers first."""
    wanted = shown.removeprefix(root)[:_NAME_LETTERS]
    names = [file.path.removeprefix(root) for file in files]
    paste = [name for name in names if hint_of(PurePath(name).name).kind == PASTE]
    near = get_close_matches(wanted, paste, n=1) or get_close_matches(wanted, names, n=1)
    if near:
        return f"did you mean '{root}{near[0]}'?"
    listed = ", ".join(quoted(f"{root}{name}") for name in (paste or names)[:_LISTED])
    return f"it holds {listed}" if listed else "it holds no files"


def instead_of(path: Path) -> str:
    """A hint for somebody who named a file that is not there."""
    folder = path.parent
    try:
        names = sorted(one.name for one in folder.iterdir())[:_NAMES_LOOKED_AT]
    except (OSError, ValueError):
        return f"there is no folder {quoted(folder.as_posix())} either"
    hint = nearest(path.name, names)
    return hint if hint.startswith("did you") else "check its name and the folder you are in"


# ------------------------------------------------------------------------------------ files named directly


def _named(file: File, *, as_paste: bool, limits: Limits) -> Layer:
    """A layer that the user named; refused where it or its name says plainly that it is another one."""
    content, path = content_of(file, limits), file.path
    evidence = evidence_of(content, path)
    if as_paste and evidence.is_paste:
        evidence = evidence._replace(contradiction="")
    if evidence.is_paste or (evidence.source is Source.NOTHING and not evidence.contradiction):
        source = Source.USER if as_paste else evidence.source
        return Layer(path, content, evidence.side, told_of(evidence, path), source)
    says = _says(evidence)
    if not as_paste:
        span = place_of_function(path, content) if evidence.source is Source.FUNCTION else Span(path)
        raise InputError(says, span, _AS_PASTE, "not-paste")
    note = Diagnostic("as-paste", DiagnosticLevel.NOTE, f"{says}; taken for paste, as told", Span(path))
    side = UNKNOWN if evidence.side == INNER else evidence.side
    return Layer(path, content, side, (note,), Source.USER)


def _says(evidence: Evidence) -> str:
    if evidence.source is Source.FUNCTION:
        return f"the file says that it is {evidence.kind}, not a paste layer"
    if evidence.contradiction:
        return f"it is not clear whether this is a paste layer: {evidence.contradiction}"
    return f"{evidence.reason} says {evidence.kind}, not a paste layer"


def place_of_function(shown: str, content: bytes) -> Span:
    """Where the first .FileFunction stands."""
    at = next(iter(gerber.file_functions(content).values()), 0)
    start = max(content.rfind(b"\n", 0, at), content.rfind(b"\r", 0, at)) + 1
    line = content.count(b"\n", 0, at) or content.count(b"\r", 0, at)
    return Span(shown, line + 1, at - start + 1)


# ---------------------------------------------------------------------------------- folders and archives


def _found_in(shown: str, files: Files, limits: Limits) -> Sequence[Layer]:
    """The paste layers among files; the first one brings what has to be said of all that was not taken."""
    found: list[tuple[File, str]] = []
    others: list[_Other] = []
    for file in files.files:
        within = file.path.removeprefix(shown).lstrip("/")
        if other := _looked_at(file, within):
            others.append(other)
        else:
            found.append((file, within))
    refuse_too_much([file for file, _ in found], shown, limits)
    layers: list[Layer] = []
    for file, within in found:
        content = content_of(file, limits)
        evidence = evidence_of(content, file.path)  # again, for .FileFunction may stand anywhere
        if evidence.is_paste:
            said = told_of(evidence, file.path)
            layers.append(Layer(file.path, content, evidence.side, said, evidence.source, shown))
        else:
            others.append(_other(evidence, within))
    others += [_Other(name, what, "not-looked-into") for name, what in files.aside]
    if not layers:
        hint = _instead_found(others)
        raise InputError("no paste layer was found here", Span(shown), hint, "no-paste-layer")
    first, *more = layers
    return [first._replace(diagnostics=(*first.diagnostics, *_said_of(others, shown))), *more]


def _looked_at(file: File, within: str) -> _Other | None:
    """What a file is; None of a paste layer, as far as its beginning tells."""
    if is_hidden(within):
        return _Other(within, "hidden", "not-looked-into" if may_hide_paste(within) else "")
    name = PurePath(file.path).name
    hint = hint_of(name)
    try:
        head = file.read(HEAD_BYTES)
    except InputError as problem:
        if hint.is_gerber and may_be_paste(name) and hint.kind:
            raise
        return _Other(within, problem.text, "not-looked-into" if may_be_paste(name) else "")
    if archive_kind(head) and PurePath(name).suffix.lower() in _ARCHIVE_NAMES:
        return _Other(within, "an archive", "not-looked-into")
    if not (hint.is_gerber or _FORMAT.search(head)):
        return _Other(within, "")
    evidence = evidence_of(head, file.path)
    return None if evidence.is_paste else _other(evidence, within)


def _other(evidence: Evidence, within: str) -> _Other:
    """A Gerber file that is no paste layer."""
    if evidence.contradiction:
        return _Other(within, evidence.contradiction, "unsure-layer")
    if evidence.source is Source.NOTHING:
        return _Other(within, "", "untold-layer")
    by = {Source.FUNCTION: "", Source.NAME: " by its name"}.get(evidence.source, f" by {evidence.reason}")
    return _Other(within, f"{evidence.kind}{by}")


def _said_of(others: Sequence[_Other], shown: str) -> tuple[Diagnostic, ...]:
    """What might be paste and was not taken."""
    said = []
    for code, (level, says, do) in _NOT_TAKEN.items():
        if some := [other for other in others if other.code == code]:
            said.append(Diagnostic(code, level, f"{says}: {_listed(some)}; {do}", Span(shown)))
    return tuple(said)


_NOT_TAKEN: Final = {
    "unsure-layer": (
        DiagnosticLevel.WARNING,
        "not judged, as it is not clear whether it is a paste layer",
        "look at it, and name it by itself with --as-paste if it is one",
    ),
    "untold-layer": (
        DiagnosticLevel.NOTE,
        "not judged, as neither name nor beginning tells which layer it is",
        "name it by itself if it is a paste layer",
    ),
    "not-looked-into": (
        DiagnosticLevel.NOTE,
        "not looked into",
        "name it by itself if it holds a paste layer",
    ),
}


def _instead_found(others: list[_Other]) -> str:
    """A hint that tells what was found instead of paste layers."""
    if not others:
        return "it holds nothing that is looked at; check that it is the right one"
    return f"found {_listed(sorted(others, key=lambda other: not other.code))}; name the paste layer itself"


def _listed(others: list[_Other]) -> str:
    more = f" and {len(others) - _LISTED} more" if len(others) > _LISTED else ""
    return f"{', '.join(str(other) for other in others[:_LISTED])}{more}"


# --------------------------------------------------------------------------------------------------- codes

ERRORS: Final[dict[str, Documented]] = {
    "no-file": Documented(
        "there is no file or folder of this name",
        "check the name and the folder you are in; the nearest name is offered where there is one",
    ),
    "unreadable": Documented(
        "the system does not let the file be read",
        "check the permissions, or copy the file to where it can be read",
    ),
    "not-paste": Documented(
        "the file, its name or what it draws tells that it is another layer, such as copper, mask or outline",
        "name the paste layer; if this is one all the same, add --as-paste",
    ),
    "no-paste-layer": Documented(
        "nothing in the folder or archive is known as a paste layer, by itself or by its name",
        "name the paste layer itself: --as-paste takes it whatever it is called",
    ),
    "twice": Documented("the same layer is named twice", "name it once"),
    "archive": Documented(
        "an archive is damaged, encrypted, contradicts itself, or is of another kind than .zip",
        "unpack it and name the folder or the layers, or make it anew as a .zip archive",
    ),
    "too-many-files": Documented(
        "the folder or archive holds more files than are looked at",
        "name the paste layers themselves, or raise the limit: --limit files=NUMBER",
    ),
}
"""Raised. `too-large` is raised here too: of files, folders and archives."""

DIAGNOSTICS: Final[dict[str, Documented]] = {
    **layer_evidence.DIAGNOSTICS,
    "as-paste": Documented(
        "the file or its name says that it is another layer; it was taken for paste by --as-paste",
        "nothing, if that was meant",
    ),
    "unlikely-paste": Documented(
        "the layer is drawn like copper, with tracks that lead from pads or an area poured around them",
        "check that it is the paste layer; --as-paste says that it is",
    ),
    "same-layer": Documented(
        "two layers that were judged are equal byte for byte",
        "check that not one side was exported twice",
    ),
    "unsure-layer": Documented(
        "files of a folder were left out: one thing in them, or their name, says paste, and another does not",
        "look at them; name those that are paste by themselves, with --as-paste",
    ),
    "untold-layer": Documented(
        "Gerber files of a folder were left out, as neither name nor beginning tells which layer they are",
        "if one is paste, name it by itself",
    ),
    "not-looked-into": Documented(
        "something in a folder was left out unseen: an archive in it, what is hidden, too deep or unreadable",
        "if it holds paste layers, name it by itself",
    ),
}
"""Told: `doubtful-paste`, `unsure-layer` and `unlikely-paste` are warnings, the others notes."""
