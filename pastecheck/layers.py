"""
LAYER arguments -> paste layers: a Gerber file, or those that a folder or a .zip archive holds.

What makes a file a paste layer (`layer_evidence`) is told in a note, unless its own attribute says it. What
is plainly another layer is refused where it was named, and left out of a folder; what might be paste and was
not taken is told.
"""

import re
from collections.abc import Iterator, Sequence
from pathlib import Path, PurePath
from typing import Final, NamedTuple

from pastecheck import copper
from pastecheck.drawing import Drawing
from pastecheck.errors import InputError, UsageError
from pastecheck.layer_evidence import HEAD_BYTES, Evidence, Source, evidence_of
from pastecheck.layer_files import (
    File,
    Files,
    archive_above,
    archive_kind,
    content_of,
    file_at,
    files_of_folder,
    head_of,
    opened_archive,
    refuse_too_much,
    unreadable,
)
from pastecheck.layer_names import INNER, UNKNOWN, hint_of, may_be_paste
from pastecheck.limits import STANDARD, Limits
from pastecheck.rulesets.yamltree import nearest
from pastecheck.source import Diagnostic, DiagnosticLevel, Documented, Span
from pastecheck.units import quoted

_FORMAT = re.compile(rb"(?:(?:^|[*%])[ \t\r]*%|\*)\s*FS[LTD]?[AI](?:[NG]\d)*X\d", re.MULTILINE)
"""The format statement of a Gerber file; where a script or a text speaks of one, it stands in quotes."""
_ARCHIVE_NAMES = frozenset({".zip", ".7z", ".rar", ".tar", ".tgz", ".gz", ".bz2", ".xz", ".zst"})
"""Archives by name: many a document is a .zip archive inside."""
_NAMES_LOOKED_AT = 10_000
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
    arguments: Sequence[str], *, as_paste: bool = False, limits: Limits = STANDARD
) -> tuple[Layer, ...]:
    """
    The paste layers that arguments name, in their order; those of a folder or archive by name.

    Args:
        arguments: Paths of Gerber files, folders and archives.
        as_paste: Take files that were named directly for paste layers, whatever they or their names say.
        limits: How much is read at most.

    Raises:
        InputError: If something cannot be read, is no paste layer, or is named twice.
        UsageError: If a name is empty.
    """
    found: dict[str, Layer] = {}
    first: dict[bytes, str] = {}
    for argument in arguments:
        for layer in _layers_in(argument, as_paste=as_paste, limits=limits):
            if layer.path in found:
                raise InputError("the same layer is named twice", Span(layer.path), "name it once", "twice")
            same = first.setdefault(layer.content, layer.path)
            text = f"this file is the same, byte for byte, as {quoted(same)}"
            said = () if same == layer.path else (_note("same-layer", text, layer.path),)
            found[layer.path] = layer._replace(diagnostics=(*layer.diagnostics, *said))
    return tuple(found.values())


def doubts(layer: Layer, drawing: Drawing) -> tuple[Diagnostic, ...]:
    """
    A warning where a layer is drawn like copper; nothing where the user said that it is paste.

    Raises:
        InputError: If it is drawn like copper, and neither it nor its name says that it is paste.
    """
    looks = "" if layer.source is Source.USER else copper.tracks_or_pours(drawing)
    if not looks:
        return ()
    text = f"it is drawn like copper: {looks}"
    if layer.source is Source.NOTHING:
        raise InputError(f"{text}, not a paste layer", Span(layer.path), _AS_PASTE, "not-paste")
    text = f"{text}; check that it is the paste layer, or add --as-paste"
    return (Diagnostic("unlikely-paste", DiagnosticLevel.WARNING, text, Span(layer.path)),)


def _layers_in(argument: str, *, as_paste: bool, limits: Limits) -> Iterator[Layer]:
    if not argument:  # an unset variable of a script, and not the current folder
        raise UsageError("the name of a layer is empty", Span("pastecheck"), "name a Gerber file")
    path = Path(argument)
    shown = path.as_posix()
    try:
        if path.is_dir():
            yield from _found_in(shown, files_of_folder(path, shown, limits), limits)
            return
        if archive := archive_above(path):
            yield _member(archive, shown, as_paste=as_paste, limits=limits)
            return
        kind = archive_kind(head_of(path))
        if kind == "zip" or path.suffix.lower() == ".zip":
            with opened_archive(path, shown, limits) as files:
                yield from _found_in(shown, files, limits)
        elif kind:
            hint = "unpack it and name the folder, or make a .zip archive of it"
            raise InputError(f"this is {kind}, which is not read", Span(shown), hint, "archive")
        else:
            yield _named(file_at(path, shown), as_paste=as_paste, limits=limits)
    except FileNotFoundError:
        raise InputError("there is no such file", Span(shown), instead_of(path), "no-file") from None
    except (OSError, ValueError) as problem:
        raise unreadable(shown, problem) from None


def _member(archive: Path, shown: str, *, as_paste: bool, limits: Limits) -> Layer:
    """A layer that the user named in an archive."""
    with opened_archive(archive, archive.as_posix(), limits) as files:
        for file in files.files:
            if file.path == shown:
                return _named(file, as_paste=as_paste, limits=limits)
        hint = nearest(shown, [file.path for file in files.files][:_LISTED])
        raise InputError("the archive holds no such file", Span(shown), hint, "no-file")


def instead_of(path: Path) -> str:
    """A hint for somebody who named a file that is not there."""
    folder = path.parent
    try:
        names = sorted(one.name for one in folder.iterdir())[:_NAMES_LOOKED_AT]
    except (OSError, ValueError):
        return f"there is no folder {quoted(folder.as_posix())} either"
    hint = nearest(path.name, names)
    return hint if hint.startswith("did you") else "check its name and the folder you are in"


def _note(code: str, text: str, shown: str) -> Diagnostic:
    return Diagnostic(code, DiagnosticLevel.NOTE, text, Span(shown))


# ------------------------------------------------------------------------------------ files named directly


def _named(file: File, *, as_paste: bool, limits: Limits) -> Layer:
    """A layer that the user named; refused where it or its name says plainly that it is another one."""
    content, path = content_of(file, limits), file.path
    evidence = evidence_of(content, path)
    if evidence.is_paste or (evidence.source is Source.NOTHING and not evidence.contradiction):
        source = Source.USER if as_paste else evidence.source
        return Layer(path, content, evidence.side, _why(evidence, path), source)
    says = _says(evidence)
    if not as_paste:
        span = place_of_function(path, content) if evidence.source is Source.FUNCTION else Span(path)
        raise InputError(says, span, _AS_PASTE, "not-paste")
    note = _note("as-paste", f"{says}; taken for paste, as told", path)
    side = UNKNOWN if evidence.side == INNER else evidence.side
    return Layer(path, content, side, (note,), Source.USER)


def _says(evidence: Evidence) -> str:
    if evidence.contradiction:
        return f"it is not clear whether this is a paste layer: {evidence.contradiction}"
    if evidence.source is Source.FUNCTION:
        return f"the file says that it is {evidence.kind}, not a paste layer"
    return f"{evidence.reason} says {evidence.kind}, not a paste layer"


def _why(evidence: Evidence, path: str) -> tuple[Diagnostic, ...]:
    """What a file was taken for paste by, where it is not the attribute that is made to tell it."""
    if evidence.source is Source.CONTENT:
        text = f"taken for a paste layer by {evidence.reason}; the file has no attribute .FileFunction"
        return (_note("paste-by-content", text, path),)
    if evidence.source is Source.NAME:
        text = f"taken for a paste layer by {evidence.reason}; the file itself does not tell"
        return (_note("paste-by-name", text, path),)
    if evidence.source is Source.NOTHING:
        text = "taken for a paste layer as it was named; neither the file nor its name tells what layer it is"
        return (_note("paste-as-named", text, path),)
    return ()


def place_of_function(shown: str, content: bytes) -> Span:
    """Where a file says what layer it is."""
    at = max(content.find(b".FileFunction"), 0)
    start = max(content.rfind(b"\n", 0, at), content.rfind(b"\r", 0, at)) + 1
    line = content.count(b"\n", 0, at) or content.count(b"\r", 0, at)
    return Span(shown, line + 1, at - start + 1)


# ---------------------------------------------------------------------------------- folders and archives


def _found_in(shown: str, files: Files, limits: Limits) -> Iterator[Layer]:
    """The paste layers among files; the first one brings what has to be said of all that was not taken."""
    found: list[tuple[File, Evidence]] = []
    others: list[_Other] = []
    for file in files.files:
        answer = _looked_at(file, shown)
        if isinstance(answer, _Other):
            others.append(answer)
        else:
            found.append((file, answer))
    others += [_Other(name, what, "not-looked-into") for name, what in files.aside]
    if not found:
        raise InputError(
            "no paste layer was found here", Span(shown), _instead_found(others), "no-paste-layer"
        )
    refuse_too_much([file for file, _ in found], shown, limits)
    said = _said_of(others, shown)
    for file, evidence in found:
        told = (*_why(evidence, file.path), *said)
        yield Layer(file.path, content_of(file, limits), evidence.side, told, evidence.source)
        said = ()


def _looked_at(file: File, shown: str) -> Evidence | _Other:
    """A file as a paste layer, or what else it is."""
    name, within = PurePath(file.path).name, file.path.removeprefix(shown).lstrip("/")
    hint = hint_of(name)
    try:
        head = file.read(HEAD_BYTES)
    except InputError as problem:
        if hint.is_gerber and may_be_paste(name) and hint.kind:
            raise
        return _Other(within, problem.text, "not-looked-into" if may_be_paste(name) else "")
    return _understood(head, file.path, within)


def _understood(head: bytes, path: str, within: str) -> Evidence | _Other:
    name = PurePath(path).name
    if archive_kind(head) and PurePath(name).suffix.lower() in _ARCHIVE_NAMES:
        return _Other(within, "an archive", "not-looked-into")
    if not (hint_of(name).is_gerber or _FORMAT.search(head)):
        return _Other(within, "")
    evidence = evidence_of(head, path)
    if evidence.is_paste:
        return evidence
    if evidence.contradiction:
        return _Other(within, evidence.contradiction, "unsure-layer")
    if evidence.source is Source.NOTHING:
        return _Other(within, "", "untold-layer")
    by = {Source.FUNCTION: "", Source.NAME: " by its name"}.get(evidence.source, f" by {evidence.reason}")
    return _Other(within, f"{evidence.kind}{by}")


def _said_of(others: list[_Other], shown: str) -> tuple[Diagnostic, ...]:
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
        "not judged, as nothing tells which layer it is",
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
        return "it holds no files; check that it is the right one"
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
    "paste-by-content": Documented(
        "the file was taken for paste by a title in it: a name of the image or layer, or a comment",
        "nothing, if it is the paste layer; many CAD programs can write the attribute .FileFunction",
    ),
    "paste-by-name": Documented(
        "the file was taken for paste by its name, as it does not tell what layer it is",
        "nothing, if it is the paste layer",
    ),
    "paste-as-named": Documented(
        "neither the file nor its name tells what layer it is; it was taken for paste because it was named",
        "check that it is the paste layer",
    ),
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
        "files of a folder were left out: their content says paste and their name does not, or the other way",
        "look at them; name those that are paste by themselves, with --as-paste",
    ),
    "untold-layer": Documented(
        "Gerber files of a folder were left out, as nothing tells which layers they are",
        "if one is paste, name it by itself",
    ),
    "not-looked-into": Documented(
        "something in a folder was left out unseen: an archive in it, a folder too deep, what cannot be read",
        "if it holds paste layers, name it by itself",
    ),
}
"""Told: `unsure-layer` and `unlikely-paste` are warnings, the others notes."""
