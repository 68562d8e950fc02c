"""
Files of folders and archives, listed but not yet read; how much is read of them is bounded.

Nothing is unpacked to disk. What might be a layer and is not looked into (a folder too deep, a thing called
like a layer that is no plain file) is named, so that nothing is dropped in silence.
"""

import os
import stat
import zipfile
import zlib
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from lzma import LZMAError
from pathlib import Path
from typing import BinaryIO, Final, NamedTuple

from pastecheck.errors import InputError
from pastecheck.layer_names import may_be_paste
from pastecheck.limits import Limits, how_to_raise
from pastecheck.source import Span
from pastecheck.units import quoted

MIB: Final = 1024 * 1024

_LARGE = 16 * MIB
"""Bytes from which on an archive has to be believed before it is unpacked."""
_OF_SYSTEMS: Final = frozenset({".git", ".hg", ".svn", "__MACOSX"})
"""Folders that version control and archivers keep for themselves; ._ begins a file beside another."""
_BROKEN = (zipfile.BadZipFile, zlib.error, LZMAError, EOFError, RuntimeError, OSError, ValueError)
_ENTRY = b"PK\x01\x02"
_ENCRYPTED = 1
_OTHER_ARCHIVES: Final = (
    (0, b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (0, b"Rar!\x1a\x07", "a rar archive"),
    (0, b"\x1f\x8b", "a gzip archive"),
    (0, b"BZh", "a bzip2 archive"),
    (0, b"\xfd7zXZ\x00", "an xz archive"),
    (0, b"\x28\xb5\x2f\xfd", "a zstd archive"),
    (257, b"ustar", "a tar archive"),
)
"""Where an archive of another kind has its mark, from memory."""
_MARKS_END = 512


class File(NamedTuple):
    """A file of a folder or archive, not yet read."""

    path: str
    """As reports show it, with `/`."""
    read: Callable[[int], bytes]
    """Reads at most so many bytes from the start; raises an InputError."""
    size: int
    """Bytes, as declared."""


class Files(NamedTuple):
    """What a folder or archive holds."""

    files: tuple[File, ...]
    """By path; those in hidden folders of an archive too."""
    aside: tuple[tuple[str, str], ...] = ()
    """What was not looked into, and why in words."""


def archive_kind(head: bytes) -> str:
    """`zip`, another kind of archive in words, or "" for what is none."""
    if head.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return "zip"
    return next((kind for at, mark, kind in _OTHER_ARCHIVES if head[at:].startswith(mark)), "")


def is_hidden(within: str) -> bool:
    """Whether a file is left alone, by its path within the folder or archive that was named."""
    return any(part.startswith(".") or part in _OF_SYSTEMS for part in within.split("/"))


def may_hide_paste(within: str) -> bool:
    """Whether a hidden file is worth a word: it is called like a layer, and is none that a system made."""
    *folders, name = within.split("/")
    return may_be_paste(name) and not name.startswith("._") and _OF_SYSTEMS.isdisjoint(folders)


def head_of(path: Path) -> bytes:
    """The first bytes of a file, enough for `archive_kind`; none of a pipe, which can be read only once."""
    if not path.is_file():
        return b""
    with path.open("rb") as stream:
        return stream.read(_MARKS_END)


def archive_above(path: Path) -> Path | None:
    """The .zip archive that a path leads into, as reports show files in archives."""
    return next((one for one in path.parents if one.is_file() and archive_kind(head_of(one)) == "zip"), None)


def file_at(path: Path, shown: str) -> File:
    """
    A file, or a pipe.

    Raises:
        OSError: If there is none, or it may not be looked at.
    """
    declared = path.stat()

    def read(size: int) -> bytes:
        is_whole = stat.S_ISREG(declared.st_mode) and size > declared.st_size
        try:
            with path.open("rb") as stream:
                return (
                    stream.read() if is_whole else stream.read(size)
                )  # the latter makes room for all of size
        except (OSError, ValueError) as problem:
            raise unreadable(shown, problem) from None

    return File(shown, read, declared.st_size)


def unreadable(shown: str, problem: OSError | ValueError) -> InputError:
    """An error of the system, in our words."""
    reason, at = str(problem), shown
    if isinstance(problem, OSError):
        reason = problem.strerror or reason
        at = Path(problem.filename).as_posix() if isinstance(problem.filename, str) else at
    hint = "check its name and the permissions"
    return InputError(f"cannot be read: {reason}", Span(at), hint, "unreadable")


def content_of(file: File, limits: Limits) -> bytes:
    """
    All of a file.

    Raises:
        InputError: If it cannot be read, or is larger than a layer may be, whatever it declares.
    """
    most = limits.layer_mib * MIB
    content = file.read(most + 1) if file.size <= most else b""
    size = max(file.size, len(content))
    if size > most:
        text = f"the file has more than the {limits.layer_mib} MiB that are read of a layer"
        hint = f"check that it is the layer; {how_to_raise('layer-mib', -(-size // MIB))}"
        raise InputError(text, Span(file.path), hint, "too-large")
    return content


def refuse_too_much(files: list[File], shown: str, limits: Limits) -> None:
    """
    Stop before layers are read that are too large together.

    Raises:
        InputError: If they are.
    """
    size_mib = -(-sum(file.size for file in files) // MIB)
    if size_mib > limits.all_mib:
        text = f"its paste layers have {size_mib} MiB together, more than the {limits.all_mib} that are read"
        raise InputError(text, Span(shown), _or_raise("all-mib", size_mib), "too-large")


def _or_raise(name: str, wanted: int) -> str:
    return f"name the layer that you mean; {how_to_raise(name, wanted)}"


def _too_many(shown: str, limits: Limits) -> InputError:
    text = f"it holds more than the {limits.files} files that are looked at"
    return InputError(text, Span(shown), _or_raise("files", 2 * limits.files), "too-many-files")


# ---------------------------------------------------------------------------------------------------- folders


def files_of_folder(folder: Path, shown: str, limits: Limits) -> Files:
    """
    Files in a folder and the folders in it; hidden folders are not looked into.

    Links to folders are not followed: those within lead to what is visited anyway, the others are told.

    Raises:
        InputError: If the folder cannot be read, or there are too many files.
    """
    files: list[File] = []
    aside: list[tuple[str, str]] = []
    folders = deque([(folder, 0)])
    while folders:
        place, depth = folders.popleft()
        if why := _closed(place, depth, limits):
            within = place.relative_to(folder).as_posix()
            aside += [] if place.name in _OF_SYSTEMS else [(within, why)]
            continue
        for path in _listed(place, shown, limits):
            if path.is_dir() and not path.is_symlink():
                folders.append((path, depth + 1))
            elif path.is_file():
                files.append(file_at(path, path.as_posix()))
            elif why := _no_file(path, folder):
                aside.append((path.relative_to(folder).as_posix(), why))
        if len(files) + len(folders) > limits.files:
            raise _too_many(shown, limits)
    return Files(tuple(sorted(files, key=lambda file: file.path)), tuple(sorted(aside)))


def _closed(place: Path, depth: int, limits: Limits) -> str:
    """Why a folder within another is not looked into; "" where it is."""
    if depth and is_hidden(place.name):
        return "a hidden folder"
    if depth > limits.depth:
        return f"a folder within {depth} others; --limit depth={depth} looks into it"
    return "a folder that may not be read" if depth and not os.access(place, os.R_OK | os.X_OK) else ""


def _no_file(path: Path, folder: Path) -> str:
    """Why something that is no file may matter all the same, in words; "" where it does not."""
    if path.is_dir():
        is_within = Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))
        return "" if is_within else "a link to a folder elsewhere"
    return "no plain file" if may_be_paste(path.name) else ""


def _listed(place: Path, shown: str, limits: Limits) -> list[Path]:
    """What a folder holds, by name."""
    found: list[Path] = []
    try:
        with os.scandir(place) as entries:
            for entry in entries:
                found.append(Path(entry.path))
                if len(found) > limits.files:
                    raise _too_many(shown, limits)
    except OSError as problem:
        raise unreadable(shown, problem) from None
    return sorted(found)


# --------------------------------------------------------------------------------------------------- archives


@contextmanager
def opened_archive(path: Path, shown: str, limits: Limits) -> Iterator[Files]:
    """
    Files in a .zip archive, readable while it is open.

    Raises:
        InputError: If the archive is damaged or too large, contradicts itself, or holds too many files.
        OSError: If it cannot be opened.
    """
    size_mib = -(-path.stat().st_size // MIB)
    if size_mib > limits.archive_mib:
        text = f"the archive has {size_mib} MiB, more than the {limits.archive_mib} that are read"
        hint = f"unpack it and name the folder; {how_to_raise('archive-mib', size_mib)}"
        raise InputError(text, Span(shown), hint, "too-large")
    with path.open("rb") as stream:
        if _has_too_many_entries(stream, limits.files):
            raise _too_many(shown, limits)
        try:
            archive = zipfile.ZipFile(stream)
        except _BROKEN as problem:
            raise _damaged(shown, problem) from None
        with archive:
            _refuse_lies(archive, path.stat().st_size, shown)
            yield Files(tuple(_members(archive, shown, limits)))


def _damaged(shown: str, problem: Exception) -> InputError:
    text = f"the archive cannot be read: {quoted(str(problem))}"
    return InputError(text, Span(shown), "make it anew, or name the files in it", "archive")


def _has_too_many_entries(stream: BinaryIO, most: int) -> bool:
    """Whether a directory may be longer than allowed; told by marks, before it is read into memory whole."""
    count, tail = 0, b""
    while chunk := stream.read(MIB):
        count += (tail + chunk).count(_ENTRY)
        if count > most:
            return True
        tail = chunk[1 - len(_ENTRY) :]
    return False


def _refuse_lies(archive: zipfile.ZipFile, size: int, shown: str) -> None:
    """Members that share bytes, or lie outside the archive, are made to swell or to deceive."""
    spans = sorted((entry.header_offset, entry.compress_size) for entry in archive.infolist())
    ends = [begin for begin, _ in spans[1:]] + [size]
    if any(begin + length > end for (begin, length), end in zip(spans, ends, strict=False)):
        raise _damaged(shown, ValueError("files in it overlap"))


def _members(archive: zipfile.ZipFile, shown: str, limits: Limits) -> Iterator[File]:
    """Files of an archive by name; a second one of a name can be listed, and not be read."""
    names: set[str] = set()
    for entry in sorted(archive.infolist(), key=lambda one: one.filename):
        written = entry.filename.replace("\\", "/")  # some programs separate by backslashes
        parts = [part for part in written.split("/") if part not in ("", ".", "..")]
        name = "/".join(parts)
        if not written.endswith("/"):
            reader = _refusing(shown, name) if name in names else _reader(archive, entry, shown, name, limits)
            yield File(f"{shown}/{name}", reader, entry.file_size)
            names.add(name)


def _refusing(shown: str, name: str) -> Callable[[int], bytes]:
    def read(_size: int) -> bytes:
        hint = "make the archive anew, or unpack it and name the layer that you mean"
        text = "the archive holds two files of this name"
        raise InputError(text, Span(f"{shown}/{name}"), hint, "archive")

    return read


def _reader(
    archive: zipfile.ZipFile, entry: zipfile.ZipInfo, shown: str, name: str, limits: Limits
) -> Callable[[int], bytes]:
    def read(size: int) -> bytes:
        if entry.flag_bits & _ENCRYPTED:
            hint = (
                f"{quoted(name)} needs a password: make it anew without one, or unpack it and name the layers"
            )
            raise InputError("the archive is encrypted", Span(shown), hint, "archive")
        _refuse_swelling(entry, size, f"{shown}/{name}", limits)
        try:
            with archive.open(entry) as stream:
                return stream.read(size)
        except _BROKEN as problem:
            raise _damaged(shown, problem) from None

    return read


def _refuse_swelling(entry: zipfile.ZipInfo, size: int, shown: str, limits: Limits) -> None:
    if min(size, entry.file_size) > max(_LARGE, limits.swelling * entry.compress_size):
        times = -(-entry.file_size // max(entry.compress_size, 1))
        text = f"it would unpack to {times} times its size, more than the {limits.swelling} that are believed"
        hint = f"unpack it yourself and look at it; {how_to_raise('swelling', times)}"
        raise InputError(text, Span(shown), hint, "too-large")
