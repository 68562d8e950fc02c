"""
What a trimmed layer says was done to it, so that it is not done again.

Entries of a rule set that are relative to the size as drawn, such as a tenth off the edges of chips, would
shrink openings once more each time. So each leaves a mark in the file, by which a later run knows it.
"""

import hashlib
import re
from collections.abc import Collection, Mapping
from dataclasses import fields
from typing import Any, Final

from pastecheck.rulesets.trims import Trim

ATTRIBUTE: Final = "PastecheckTrim"
"""Name of the attribute. Standard ones begin with a point, those of users do not (Gerber 2023.08, 5.1)."""
_DIGITS: Final = 12
NONE: Final = _DIGITS * "0"
"""In place of marks where there are none: not every reader takes an attribute without a value."""
_STATEMENT: Final = re.compile(rb"%%TF%s((?:,[0-9a-f]{%d})*)\*%%" % (ATTRIBUTE.encode(), _DIGITS))


def marks_of(trim: Trim) -> Mapping[str, str]:
    """By the names of entries that are done once: the same for all that ask for the same."""
    return {name: _mark(name, entry) for name, entry in trim.done_once.items()}


def marks_in(content: bytes) -> frozenset[str] | None:
    """The marks that a layer bears; None where it was not trimmed."""
    found = _STATEMENT.search(content)
    return None if found is None else frozenset(found[1].decode("ascii").split(",")) - {"", NONE}


def not_done_before(trim: Trim, marks: Collection[str]) -> Trim:
    """What is asked for, less what a layer with some marks says was done to it."""
    return trim.without([name for name, mark in marks_of(trim).items() if mark in marks])


def _mark(name: str, entry: Any) -> str:  # noqa: ANN401 -- one of the kinds of entries
    values = [(one.name, getattr(entry, one.name)) for one in fields(entry) if one.name != "source"]
    return hashlib.sha256(repr((name, values)).encode()).hexdigest()[:_DIGITS]
