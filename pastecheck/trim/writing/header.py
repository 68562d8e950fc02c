"""What a layer file says of itself."""

from collections.abc import Sequence
from typing import NamedTuple

from pastecheck import __version__
from pastecheck.drawing import Attribute
from pastecheck.trim.marks import ATTRIBUTE, NONE
from pastecheck.trim.writing.attributes import escaped, statement
from pastecheck.trim.writing.grid import Grid


class Header(NamedTuple):
    """Attributes and comments of a layer."""

    function: str
    """Value of .FileFunction, its fields apart by commas; empty for none."""
    comments: tuple[str, ...]
    """One line each."""
    attributes: Sequence[Attribute] = ()
    """Further attributes of the file."""
    marks: Sequence[str] | None = None
    """What was done, by which a later run knows it; None for a layer that was not trimmed."""


def head(header: Header, grid: Grid) -> list[str]:
    """The beginning of a file: no clock, so that equal layers give equal bytes."""
    function = ",".join(escaped(field) for field in header.function.split(","))
    return [
        *(f"G04 {_comment(text)}*" for text in header.comments),
        f"%TF.GenerationSoftware,pastecheck,pastecheck,{escaped(__version__)}*%",
        *([f"%TF.FileFunction,{function}*%"] if function else []),
        "%TF.FilePolarity,Positive*%",
        *map(statement, header.attributes),
        *([] if header.marks is None else [f"%TF{','.join([ATTRIBUTE, *(header.marks or [NONE])])}*%"]),
        *grid.statements,
    ]


def _comment(text: str) -> str:
    """A line of a comment; never one that programs take for an attribute (`#@!`)."""
    return ",".join(map(escaped, text.split(","))).replace("#@!", "")
