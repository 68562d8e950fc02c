"""How the terminal report marks what the words say."""

from collections.abc import Mapping
from typing import Final

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from pastecheck.report import Level, Verdict
from pastecheck.reporters._harmless import harmless

STYLE_OF_VERDICT: Final[Mapping[Verdict, str]] = {
    Verdict.PASS: "bold green",
    Verdict.CARE: "bold yellow",
    Verdict.FAIL: "bold red",
}
STYLE_OF_LEVEL: Final[Mapping[Level, str]] = {Level.ERROR: "red", Level.WARNING: "yellow"}
QUIET: Final = "dim"


def note(text: str) -> RenderableType:
    """A paragraph set in, with nothing in it that a terminal would obey."""
    return Padding(Text(harmless(text)), (0, 0, 0, 2))
