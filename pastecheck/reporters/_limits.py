"""Limits, as people read them."""

from collections.abc import Mapping
from typing import Final

from pastecheck.units import shown

WORDS: Final[Mapping[str, str]] = {
    "error_below": "error below",
    "warn_below": "warning below",
    "error_above": "error above",
    "warn_above": "warning above",
}
"""What the limits are called, in the order in which they are told."""


def limit_shown(limit: float, unit: str) -> str:
    """
    A limit in full: what is set is never rounded away.

    Example:
        >>> limit_shown(0.17, "mm"), limit_shown(0.2032, "mm"), limit_shown(0.66, "1")
        ('0.170 mm', '0.2032 mm', '0.66')
    """
    text = shown(limit, unit)
    number, _, unit_text = text.partition(" ")
    return text if float(number) == limit else f"{limit:.9g} {unit_text}".rstrip()
