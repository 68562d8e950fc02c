"""Solder powder: the types, and the largest balls that each holds."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

LARGEST_BALL_MM: Final[Mapping[int, float]] = MappingProxyType(
    {3: 0.045, 4: 0.038, 5: 0.025, 6: 0.015, 7: 0.011, 8: 0.008}
)
"""
Upper end of the main range of each type.

Types 3 to 7: just-solder.de, table of the five-particle rule, and SMT007 Magazine July 2019 p. 34, both seen;
they cite IPC J-STD-005A table 3-2, not seen. The first gives 0.040 mm for type 4, all others 0.038. Type 8:
from memory.
"""


def powder_type(text: str) -> int:
    """
    The type of a powder, as people write it.

    Raises:
        ValueError: If there is none, or its balls are not known here.

    Example:
        >>> powder_type("4"), powder_type("T5"), powder_type("type 6")
        (4, 5, 6)
    """
    number = text.strip().lower().removeprefix("type").removeprefix("t").strip()
    if number not in map(str, LARGEST_BALL_MM):
        known = ", ".join(map(str, LARGEST_BALL_MM))
        raise ValueError(f"expected a powder type, one of {known}, got {text!r}")
    return int(number)


def finer_types(ball_mm: float) -> list[int]:
    """Types whose largest balls are smaller than some, the coarsest first."""
    return [kind for kind, largest_mm in LARGEST_BALL_MM.items() if largest_mm < ball_mm - 1e-9]
