"""Parts of a page as text, of the width of a terminal."""

from collections.abc import Iterable
from io import StringIO

from rich.console import Console, RenderableType


def printed(parts: Iterable[RenderableType], width: int, *, colour: bool = False, wraps: bool = True) -> str:
    """
    Parts of a page, one below the other, without blanks at the ends of lines.

    Args:
        parts: What is told.
        width: Columns of the terminal.
        colour: Whether to mark with colour what the words say.
        wraps: Whether lines end at the width; else they go on, for a reader that wants a line each.
    """
    written = StringIO()
    console = Console(
        file=written,
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else None,
        no_color=not colour,
        legacy_windows=False,
        emoji=False,
        highlight=False,
        markup=False,
        _environ={},
    )
    for part in parts:
        console.print(part, soft_wrap=not wraps)
    return "\n".join(line.rstrip() for line in written.getvalue().split("\n"))
