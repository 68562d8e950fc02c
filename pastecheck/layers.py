"""
LAYER arguments -> paste layers: a Gerber file, or those that a folder or a .zip holds.

What a file says of itself (.FileFunction) decides; where it says nothing, its name does, and the report tells
so. Nothing is unpacked to disk, and what is read is bounded.
"""

import os
import re
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterator, Sequence
from lzma import LZMAError
from pathlib import Path, PurePath
from typing import Final, NamedTuple

from pastecheck import gerber
from pastecheck.errors import InputError, UsageError
from pastecheck.layer_names import PASTE, UNKNOWN, NameHint, hint_of
from pastecheck.limits import STANDARD, Limits
from pastecheck.rulesets.yamltree import nearest
from pastecheck.source import Diagnostic, DiagnosticLevel, Span
from pastecheck.units import quoted

MAX_LAYER_MIB: Final = 512
"""Largest layer read. One of a million openings has some 40 MiB."""
MAX_ALL_MIB: Final = 1024
"""Largest sum of all layers of a folder or archive."""
MAX_ARCHIVE_MIB: Final = 1024
"""Largest archive opened."""
MAX_SWELLING: Final = 100
"""How many times its packed size a large layer in an archive may have. Layers pack to a fifth or a tenth."""
MAX_FILES: Final = 10_000
"""Files that a folder or archive may have. Those of a board have some twenty."""
MAX_DEPTH: Final = 4
"""Folders within folders that are looked into."""

_MIB = 1024 * 1024
_LARGE = 16 * _MIB
"""Bytes from which on an archive has to be believed before it is unpacked."""
_HEAD = 64 * 1024
"""Bytes at the start of a file in which it has to say what it is."""
_FORMAT = re.compile(rb"(?:(?:^|[*%])\s*%|\*)\s*FS[LTD]?[AI](?:[NG]\d)*X\d", re.MULTILINE)
"""The format statement of a Gerber file; where a script or a text speaks of one, it stands in quotes."""
_LISTED = 8
_BROKEN_ARCHIVE = (zipfile.BadZipFile, zlib.error, LZMAError, EOFError, RuntimeError, OSError, ValueError)


class Layer(NamedTuple):
    """A paste layer, read but not yet understood."""

    path: str
    """As reports show it, with `/`."""
    content: bytes
    side: str
    """top, bottom or unknown."""
    diagnostics: tuple[Diagnostic, ...] = ()


class _File(NamedTuple):
    """A file of a folder or archive, not yet read."""

    path: str
    read: Callable[[int], bytes]
    """Reads at most so many bytes from the start."""
    size: int
    """As declared."""


class _Paste(NamedTuple):
    """A file that was found to be a paste layer."""

    file: _File
    side: str
    diagnostics: tuple[Diagnostic, ...]


def layers_of(
    arguments: Sequence[str],
    *,
    as_paste: bool = False,
    limits: Limits = STANDARD,  # noqa: ARG001 -- being built
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
    found = tuple(layer for argument in arguments for layer in _layers_in(argument, as_paste=as_paste))
    seen: set[str] = set()
    for layer in found:
        if layer.path in seen:
            raise InputError("the same layer is named twice", Span(layer.path), "name it once", "twice")
        seen.add(layer.path)
    return found


def _layers_in(argument: str, *, as_paste: bool) -> Iterator[Layer]:
    if not argument:  # an unset variable of a script, and not the current folder
        raise UsageError("the name of a layer is empty", Span("pastecheck"), "name a Gerber file")
    path = Path(argument)
    shown = path.as_posix()
    try:
        if path.is_dir():
            yield from _found_in(shown, _files_of_folder(path, shown))
        elif path.suffix.lower() == ".zip":
            yield from _of_archive(path, shown)
        else:
            yield _named(shown, _content(_file(path, shown)), as_paste=as_paste)
    except FileNotFoundError:
        raise InputError("there is no such file", Span(shown), _instead_of(path), "no-file") from None
    except (OSError, ValueError) as problem:
        raise _unreadable(shown, problem) from None


def _unreadable(shown: str, problem: OSError | ValueError) -> InputError:
    reason, at = str(problem), shown
    if isinstance(problem, OSError):
        reason = problem.strerror or reason
        at = Path(problem.filename).as_posix() if isinstance(problem.filename, str) else at
    hint = "check its name and the permissions"
    return InputError(f"cannot be read: {reason}", Span(at), hint, "unreadable")


def _instead_of(path: Path) -> str:
    """A hint for somebody who named a file that is not there."""
    folder = path.parent
    try:
        names = sorted(one.name for one in folder.iterdir())[:MAX_FILES]
    except (OSError, ValueError):
        return f"there is no folder {quoted(folder.as_posix())} either"
    hint = nearest(path.name, names)
    return hint if hint.startswith("did you") else "check its name and the folder you are in"


# ------------------------------------------------------------------------------------ files named directly


def _named(shown: str, content: bytes, *, as_paste: bool) -> Layer:
    """A layer that the user named; refused where it says plainly that it is another one."""
    function, hint = gerber.file_function(content), hint_of(PurePath(shown).name)
    says = f"the file says that it is {quoted(function)}" if function else _name_says(hint)
    is_paste = _is_paste(function) if function else hint.kind in ("", PASTE)
    if not is_paste and not as_paste:
        advice = "name the paste layer, or add --as-paste if this is one all the same"
        raise InputError(
            f"{says}, not a paste layer", _place_of_function(shown, content), advice, "not-paste"
        )
    said = () if is_paste else (_note("as-paste", f"{says}; taken for paste, as told", shown),)
    return Layer(shown, content, _side(function, hint), said)


def _is_paste(function: str) -> bool:
    return function.split(",", maxsplit=1)[0].strip().lower() == PASTE


def _side(function: str, hint: NameHint) -> str:
    fields = [field.strip().lower() for field in function.split(",")]
    if "top" in fields:
        return "top"
    if "bot" in fields:
        return "bottom"
    return UNKNOWN if function else hint.side


def _name_says(hint: NameHint) -> str:
    return f"{hint.reason} says {hint.kind}"


def _place_of_function(shown: str, content: bytes) -> Span:
    at = content.find(b".FileFunction")
    if at < 0:
        return Span(shown)
    start = max(content.rfind(b"\n", 0, at), content.rfind(b"\r", 0, at)) + 1
    line = content.count(b"\n", 0, at) or content.count(b"\r", 0, at)
    return Span(shown, line + 1, at - start + 1)


def _note(code: str, text: str, shown: str) -> Diagnostic:
    return Diagnostic(code, DiagnosticLevel.NOTE, text, Span(shown))


# ---------------------------------------------------------------------------------- folders and archives


def _found_in(shown: str, files: Sequence[_File]) -> Iterator[Layer]:
    """The paste layers among files."""
    others: list[str] = []
    found: list[_Paste] = []
    for file in files:
        answer = _looked_at(file)
        if isinstance(answer, _Paste):
            found.append(answer)
        else:
            others.append(f"{quoted(PurePath(file.path).name)}{answer}")
    if not found:
        raise InputError("no paste layer was found here", Span(shown), _listed(others), "no-paste-layer")
    if sum(paste.file.size for paste in found) > MAX_ALL_MIB * _MIB:
        raise _too_large(shown, MAX_ALL_MIB)
    for paste in found:
        yield Layer(paste.file.path, _content(paste.file), paste.side, paste.diagnostics)


def _looked_at(file: _File) -> _Paste | str:
    """A file as a paste layer; or else what it is, as far as is known, in brackets."""
    head, hint = file.read(_HEAD), hint_of(PurePath(file.path).name)
    is_gerber = hint.is_gerber or _FORMAT.search(head) is not None
    if is_gerber and (function := gerber.file_function(head)):
        return _Paste(file, _side(function, hint), ()) if _is_paste(function) else f" ({function[:40]!r})"
    if is_gerber and hint.kind == PASTE:
        text = f"taken for a paste layer by {hint.reason} in its name; the file itself does not tell"
        return _Paste(file, hint.side, (_note("paste-by-name", text, file.path),))
    return f" ({hint.kind} by its name)" if hint.kind and hint.is_gerber else ""


def _listed(others: list[str]) -> str:
    """A hint that tells what was found instead of paste layers."""
    if not others:
        return f"it holds no files, {MAX_DEPTH} folders deep"
    more = f" and {len(others) - _LISTED} more" if len(others) > _LISTED else ""
    return f"found {', '.join(others[:_LISTED])}{more}; name the paste layer itself"


def _files_of_folder(folder: Path, shown: str) -> list[_File]:
    """Files in a folder and its folders, by name; hidden ones are left alone."""
    found = []
    for place, folders, names in os.walk(folder, onerror=_raise):
        depth = len(Path(place).relative_to(folder).parts)
        folders[:] = [name for name in folders if name[0] != "." and depth < MAX_DEPTH]
        paths = [Path(place, name) for name in names if name[0] != "."]
        found += [path for path in paths if path.is_file()]
        if len(found) > MAX_FILES:
            raise _too_many(shown)
    return [_file(path, path.as_posix()) for path in sorted(found)]


def _raise(problem: OSError) -> None:
    raise problem


def _file(path: Path, shown: str) -> _File:
    declared = path.stat()

    def read(size: int) -> bytes:
        is_whole = stat.S_ISREG(declared.st_mode) and size > declared.st_size
        with path.open("rb") as stream:
            return stream.read() if is_whole else stream.read(size)  # the latter makes room for all of size

    return _File(shown, read, declared.st_size)


def _of_archive(path: Path, shown: str) -> Iterator[Layer]:
    if path.stat().st_size > MAX_ARCHIVE_MIB * _MIB:
        raise _too_large(shown, MAX_ARCHIVE_MIB)
    with path.open("rb") as stream:
        try:
            with zipfile.ZipFile(stream) as archive:
                yield from _found_in(shown, _files_of_archive(archive, shown))
        except _BROKEN_ARCHIVE as problem:
            text = f"the archive cannot be read: {quoted(str(problem))}"
            raise InputError(text, Span(shown), "make it anew, or name the files in it", "archive") from None


def _files_of_archive(archive: zipfile.ZipFile, shown: str) -> list[_File]:
    entries = [one for one in archive.infolist() if not one.is_dir() and not _is_hidden(one.filename)]
    if len(entries) > MAX_FILES:
        raise _too_many(shown)
    if any(one.flag_bits & 1 for one in entries):
        hint = "make it anew without a password, or name the files in it"
        raise InputError("the archive is encrypted", Span(shown), hint, "archive")
    return [
        _member(archive, one, f"{shown}/{one.filename}") for one in sorted(entries, key=lambda e: e.filename)
    ]


def _member(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, shown: str) -> _File:
    swells = entry.file_size > max(_LARGE, MAX_SWELLING * entry.compress_size)

    def read(size: int) -> bytes:
        if swells and size > _HEAD:
            text = f"it would unpack to more than {MAX_SWELLING} times its size"
            hint = "unpack it yourself, look at it, and name the layer"
            raise InputError(text, Span(shown), hint, "archive")
        with archive.open(entry) as stream:
            return stream.read(size)

    return _File(shown, read, entry.file_size)


def _is_hidden(name: str) -> bool:
    parts = set(name.split("/")) - {".", ".."}
    return any(part.startswith(".") or part == "__MACOSX" for part in parts)


def _content(file: _File) -> bytes:
    """All of a file; one that is larger than it may be, whatever it declares, is refused."""
    if file.size > MAX_LAYER_MIB * _MIB:
        raise _too_large(file.path, MAX_LAYER_MIB)
    content = file.read(MAX_LAYER_MIB * _MIB + 1)
    if len(content) > MAX_LAYER_MIB * _MIB:
        raise _too_large(file.path, MAX_LAYER_MIB)
    return content


def _too_large(shown: str, limit_mib: int) -> InputError:
    return InputError(
        f"larger than {limit_mib} MiB", Span(shown), "name a single, smaller layer", "too-large"
    )


def _too_many(shown: str) -> InputError:
    hint = "name the paste layer itself"
    return InputError(f"more than {MAX_FILES} files are in here", Span(shown), hint, "too-many-files")
