"""Standard output and standard error: what is printed, and how a terminal is kept from obeying it."""

import os
import sys
from collections.abc import Iterable
from contextlib import suppress
from io import TextIOWrapper
from pathlib import Path

from pastecheck.errors import PastecheckError
from pastecheck.source import Span


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
