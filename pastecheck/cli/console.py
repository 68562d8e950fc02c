"""Standard output and standard error: what is printed, and how a terminal is kept from obeying it."""

import argparse
import os
import sys
from collections.abc import Iterable
from contextlib import suppress
from io import TextIOWrapper
from pathlib import Path
from typing import Protocol, TypeVar

from pastecheck.errors import PastecheckError
from pastecheck.source import Span

Told = TypeVar("Told")
Told_contra = TypeVar("Told_contra", contravariant=True)


class Rendered(Protocol[Told_contra]):
    """Puts something into words for a terminal."""

    def __call__(self, told: Told_contra, /, *, width: int, colour: bool, quiet: bool) -> str:
        """As text."""


def is_coloured(wish: str) -> bool:
    """Whether to colour what goes to standard output, by the wish: auto, always or never."""
    if wish != "auto":
        return wish == "always"
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def put(chunks: Iterable[str], *, verbatim: bool = False) -> None:
    """
    Texts to standard output; those for machines in UTF-8 with the line ends they have.

    Raises:
        PastecheckError: If it cannot be written. A reader who has gone is no error.
    """
    if isinstance(sys.stdout, TextIOWrapper):
        if verbatim:
            sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace", newline="")
        else:
            sys.stdout.reconfigure(errors="backslashreplace")
    try:
        sys.stdout.writelines(chunks)
        sys.stdout.flush()
    except BrokenPipeError:  # whoever read has gone, and knows it
        _let_go_of_output()
    except OSError as problem:
        _let_go_of_output()
        text = f"cannot be written: {problem.strerror or problem}"
        hint = "no report was written; make room for it"
        raise PastecheckError(text, Span("standard output"), hint, "output") from None


def tell(
    texts: Iterable[tuple[str, Iterable[str]]],
    rendered: "Rendered[Told]",
    told: Told,
    options: argparse.Namespace,
) -> None:
    """
    Reports to their files; to standard output the one asked for there, or else that for people.

    Args:
        texts: Paths, and what goes there.
        rendered: Makes what is for people.
        told: Of what it is made.
        options: With `color` and `quiet`.
    """
    from shutil import get_terminal_size

    from pastecheck import outputs

    every = [outputs.Output(*each) for each in texts]
    with outputs.in_place_at_the_end(one for one in every if one.path != outputs.STANDARD_OUTPUT):
        for_machines = [one for one in every if one.path == outputs.STANDARD_OUTPUT]
        for one in for_machines:
            put(one.chunks, verbatim=True)
        if not for_machines:
            width = max(get_terminal_size((100, 24)).columns, 40)
            put([rendered(told, width=width, colour=is_coloured(options.color), quiet=options.quiet)])


def open_what_is_closed() -> None:
    """Give a process that was started without standard output or standard error ones that lead nowhere."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            nowhere = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 -- open to the end
            setattr(sys, name, nowhere)


def _let_go_of_output() -> None:
    """Point standard output to nowhere, so that Python does not complain about it when it ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def complain(error: PastecheckError) -> None:
    """An error and those that came with it, a line each, with nothing in it that a terminal would obey."""
    from pastecheck.reporters._harmless import harmless

    every = (error, *getattr(error, "others", ()))
    lines = "".join(f"{harmless(PastecheckError.__str__(one))}\n" for one in every)
    encoding = sys.stderr.encoding or "ascii"
    sys.stderr.write(lines.encode(encoding, "backslashreplace").decode(encoding))
