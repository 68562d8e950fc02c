"""Where reports go: to all of their files, or to none."""

import os
import secrets
import shutil
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final, NamedTuple

from pastecheck.errors import PastecheckError, UsageError
from pastecheck.source import Span
from pastecheck.units import quoted

STANDARD_OUTPUT: Final = "-"


class Output(NamedTuple):
    """What is written, and where it goes."""

    path: str
    """As given; `-` is standard output."""
    chunks: Iterable[str | bytes]
    """Text, which is written as UTF-8; or bytes, as they are."""


def refuse_unfit(paths: Sequence[str], inputs: Iterable[str]) -> None:
    """
    Refuse paths to which reports cannot go.

    Args:
        paths: Where reports are to go.
        inputs: Files that are read, and so must not be overwritten.

    Raises:
        UsageError: If two would go to the same place, or one would overwrite an input.
        PastecheckError: If the folder is not there, or the path is a folder itself.
    """
    taken: set[Path] = set()
    read = [Path(one) for one in inputs]
    for path in paths:
        place = Path(path) if path == STANDARD_OUTPUT else _place(path)
        shown = "standard output" if path == STANDARD_OUTPUT else quoted(Path(path).as_posix())
        if place in taken:
            hint = "give each a file of its own"
            raise UsageError(f"two reports would go to {shown}", Span("pastecheck"), hint)
        if path != STANDARD_OUTPUT and any(is_same_file(place, one) for one in read):
            hint = "name another file"
            raise UsageError(f"{shown} is read, and would be overwritten", Span("pastecheck"), hint)
        taken.add(place)


def is_same_file(place: Path, other: Path) -> bool:
    """Whether two paths lead to one file, by whatever links or spelling; the other may lie in an archive."""
    for one in (other, *other.parents):
        try:
            if (one is other or one.is_file()) and place.samefile(one):
                return True
        except (OSError, ValueError):  # one of them is not there, or lies in an archive
            continue
    return False


@contextmanager
def in_place_at_the_end(outputs: Iterable[Output]) -> Iterator[None]:
    """
    Files written beside their places at once, and moved there if what stands in the `with` ends well.

    Raises:
        PastecheckError: If a file cannot be written; then none is.
    """
    aside: list[tuple[Path, Path]] = []
    try:
        direct = []
        for output in outputs:
            place = _place(output.path)
            if _is_device(place):
                direct.append(output)
                continue
            beside = place.with_name(f".pastecheck-{secrets.token_hex(8)}")
            aside.append((beside, place))
            _write(beside, output, "xb")
            if place.exists():
                shutil.copymode(place, beside)
        yield
        for output in direct:
            _write(Path(output.path), output, "wb")
        for beside, place in aside:
            try:
                beside.replace(place)
            except OSError as problem:
                raise _unwritable(place.as_posix(), problem) from None
    finally:
        for beside, _ in aside:
            with suppress(OSError):
                beside.unlink(missing_ok=True)


def _is_device(path: Path) -> bool:
    """Whether a path is that of a device or pipe: it is written to, for nothing can stand beside it."""
    return path.exists() and not path.is_file() and not path.is_dir()


def _place(path: str) -> Path:
    """Where a path leads, past links, so that they are kept; that to a pipe or device leads nowhere else."""
    shown = Path(path).as_posix()
    try:
        if path and _is_device(Path(path)):
            return Path(path)
        place = Path(path).resolve()
        if not path or place.is_dir():
            raise _refused(shown, "is a folder", "name a file")
        if _names_a_folder(path):
            raise _refused(shown, f"is named as a folder: {quoted(path)}", "name a file")
        if not place.parent.is_dir():
            raise _refused(shown, "has no folder to stand in", "make the folder first")
    except (OSError, ValueError, RuntimeError) as problem:  # RuntimeError: links that lead in a circle
        raise _unwritable(shown, problem) from None
    return place


def _names_a_folder(path: str) -> bool:
    """
    Whether a path can only be that of a folder, be there one or not, though a `Path` drops what says so.

    Example:
        >>> [_names_a_folder(path) for path in ("out/a.svg", "out/", "out/.")]
        [False, True, True]
    """
    return os.path.basename(path) in {"", os.curdir, os.pardir}  # noqa: PTH119 -- as above


def _write(path: Path, output: Output, mode: str) -> None:
    try:
        with path.open(mode) as stream:
            stream.writelines(map(_as_bytes, output.chunks))
    except OSError as problem:
        raise _unwritable(Path(output.path).as_posix(), problem) from None


def _as_bytes(chunk: str | bytes) -> bytes:
    return chunk if isinstance(chunk, bytes) else chunk.encode("utf-8", "backslashreplace")


def _unwritable(shown: str, problem: Exception) -> PastecheckError:
    reason = problem.strerror if isinstance(problem, OSError) and problem.strerror else str(problem)
    hint = "no report was written; name a place where you may write, with room for it"
    return _refused(shown, f"cannot be written: {reason}", hint)


def _refused(shown: str, text: str, hint: str) -> PastecheckError:
    return PastecheckError(text, Span(shown), hint, "output")
