"""Where something stands in a file, and what is said about it."""

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class Span:
    """A place in a file. Line and column count from 1; 0 means the whole file."""

    path: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        """`path:line:column`, or as much of it as is known."""
        if not self.line:
            return self.path
        return f"{self.path}:{self.line}:{self.column or 1}"


class DiagnosticLevel(StrEnum):
    """How much a diagnostic asks of its reader."""

    NOTE = "note"
    WARNING = "warning"


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """Something the user should know about the input, though an honest answer was possible."""

    code: str
    level: DiagnosticLevel
    text: str
    span: Span


class Documented(NamedTuple):
    """What a code of an error or diagnostic means, and what its reader should do."""

    means: str
    do: str
