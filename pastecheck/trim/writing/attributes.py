"""Attributes as statements: those that change what is in force from one set to another, and no more."""

import re
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from pastecheck.drawing import Attribute, AttributeSet, IntArray
from pastecheck.errors import GerberUnsupportedError
from pastecheck.gerber.codes import TOO_LARGE
from pastecheck.limits import Limits, how_to_raise
from pastecheck.openings import Openings
from pastecheck.source import Span

_UNSAFE: Final = re.compile(r"[^ -~]|[%*,\\]")
"""What ends a statement or a field, or is no ASCII that can be printed."""
_AT_AN_END: Final = re.compile(r"^ | $")
"""A blank that readers take for none of a name or of a last value."""


def refuse_too_many(openings: Openings, limits: Limits, path: str) -> None:
    """
    Refuse to write what would take too much room: openings of a hostile file may share sets of thousands.

    Raises:
        GerberUnsupportedError: If openings have too many attributes in all.
    """
    count = sum(
        int(np.array([len(one) for one in sets], np.int64)[row].sum())
        for row, sets in (
            (openings.of_object, openings.object_sets),
            (openings.of_aperture, openings.aperture_sets),
        )
    )
    if count > limits.attributes:
        what = f"the openings have {count} attributes in all; at most {limits.attributes} are written"
        raise GerberUnsupportedError(what, Span(path), how_to_raise("attributes", count), TOO_LARGE)


def statement(attribute: Attribute) -> str:
    r"""
    The statement that sets an attribute, whatever it holds.

    Example:
        >>> print(statement(Attribute("TO", ".P", ("U1", "3,*"))))
        %TO.P,U1,3\u002C\u002A*%
    """
    text = ",".join([_at_ends(escaped(attribute.name)), *map(escaped, attribute.values)])
    return f"%{attribute.kind}{_at_ends(text)}*%"


def changes(before: AttributeSet, after: AttributeSet) -> Iterator[str]:
    """
    Statements that put a set in force in place of another.

    One that ends an attribute ends that of objects and that of apertures of a name: what stays is set anew.
    """
    if before and not after:
        yield "%TD*%"
        return
    stays = set(after).intersection(before)
    names = {one[:2] for one in after}
    ended = dict.fromkeys(one.name for one in before if one[:2] not in names)
    yield from (f"%TD{_at_ends(escaped(name))}*%" for name in ended)
    yield from (statement(one) for one in after if one not in stays or one.name in ended)


def with_changes(lines: Sequence[str], row: IntArray, sets: Sequence[AttributeSet]) -> list[str]:
    """
    Lines, each with what puts its set in force before it; behind them nothing is in force.

    Args:
        lines: What is drawn or defined. Length n.
        row: Of the set that each line is to have. Shape (n,).
        sets: Attributes.
    """
    found = list(lines)
    before: AttributeSet = ()
    for at in np.flatnonzero(np.diff(row, prepend=-1)).tolist():
        after = sets[int(row[at])]
        found[at] = "\n".join([*changes(before, after), found[at]])
        before = after
    return [*found, *changes(before, ())]


def escaped(text: str) -> str:
    r"""
    A field of an attribute, whatever it holds.

    Example:
        >>> print(escaped("R1*%"))
        R1\u002A\u0025
    """
    return _UNSAFE.sub(_code, text)


def _at_ends(text: str) -> str:
    return _AT_AN_END.sub(_code, text)


def _code(found: re.Match[str]) -> str:
    number = ord(found[0])
    return f"\\u{number:04X}" if number <= 0xFFFF else f"\\U{number:08X}"
