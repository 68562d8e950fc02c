"""What there is to say of a file of outlines, for a person at a terminal."""

from collections.abc import Iterator

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from pastecheck.cuts import CutFile
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._printing import printed


def rendered(cut: CutFile, path: str, *, width: int = 100, colour: bool = False) -> str:
    """
    The file's notes as text.

    Args:
        cut: The file.
        path: Where it is written.
        width: Columns of the terminal.
        colour: Whether to mark with colour what the words say.
    """
    return printed(_parts(cut, path), width, colour=colour)


def _parts(cut: CutFile, path: str) -> Iterator[RenderableType]:
    yield Text(f"Outlines for the cutter, written to {harmless(path)}", overflow="fold")
    for note in cut.notes:
        yield Padding(Text(harmless(note)), (0, 0, 0, 2))
    yield ""
