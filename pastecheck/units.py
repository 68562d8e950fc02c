"""Text with a unit to millimetres, and back: how numbers are read from people and shown to them."""

import math
import re
from collections.abc import Mapping
from decimal import Decimal
from typing import NamedTuple

MM_PER_INCH = 25.4
NM_PER_MM = 1_000_000
UM_PER_MM = 1_000


class _Kind(NamedTuple):
    """What one kind of quantity looks like in text."""

    wanted: str
    factors: Mapping[str, Decimal]
    """How much of our own unit one of each written unit is; the empty name is a bare number."""
    decimals: int


_UM = Decimal(1) / UM_PER_MM
_INCH = Decimal(str(MM_PER_INCH))
_MIL = _INCH / 1000

_KINDS: Mapping[str, _Kind] = {
    "1": _Kind("a number without a unit, such as '0.66'", {"": Decimal(1)}, 2),
    "mm": _Kind(
        "a length with its unit, such as '0.2 mm'",
        # Two signs look like a micro: U+00B5 stands on keyboards, U+03BC is the Greek letter.
        {"mm": Decimal(1), "um": _UM, "\u00b5m": _UM, "\u03bcm": _UM, "mil": _MIL, "in": _INCH},
        3,
    ),
    "mm2": _Kind(
        "an area with its unit, such as '0.05 mm2'",
        {"mm2": Decimal(1), "mm\u00b2": Decimal(1), "mil2": _MIL**2, "in2": _INCH**2},
        4,
    ),
    "mm3": _Kind(
        "a volume with its unit, such as '0.03 mm3'",
        {"mm3": Decimal(1), "mm\u00b3": Decimal(1), "mil3": _MIL**3, "in3": _INCH**3},
        5,
    ),
    "mm/s": _Kind("a speed with its unit, such as '20 mm/s'", {"mm/s": Decimal(1), "cm/s": Decimal(10)}, 0),
    "s": _Kind("a time with its unit, such as '0.3 s'", {"s": Decimal(1), "ms": Decimal(1) / 1000}, 1),
    "N": _Kind(
        "a force with its unit, such as '80 gf'",
        {"N": Decimal(1), "cN": Decimal(1) / 100, "gf": Decimal("0.00980665")},
        2,
    ),
    "%": _Kind("a share with its sign, such as '40 %'", {"%": Decimal(1)}, 0),
}
"""By the units of readings (`check.Unit`), and of how a cutter is set."""

_NUMBER = r"[0-9]+(?:\.[0-9]*)?|\.[0-9]+"
_NUMBER_AND_UNIT = re.compile(rf"({_NUMBER})\s*([^0-9\s]\S*)?")


def quantity(text: str, unit: str) -> float:
    """
    The number that a text such as `"100 um"` stands for, in our own unit.

    The nearest float to the decimal value: `"0.004 in"` is 0.1016 mm, not 0.004 times 25.4 in floats.

    Args:
        text: A number without sign, with a decimal point, and its unit; for ratios the number alone. Spaces
            between and around the two do not matter.
        unit: Unit wanted: `"mm"`, `"mm2"`, `"mm3"`, `"mm/s"`, `"s"`, `"N"`, `"%"`, or `"1"` for a ratio.

    Raises:
        ValueError: If the text is anything else; a bare number is no length. Also if it is too large to hold.

    Example:
        >>> quantity("100 um", "mm"), quantity("8 mil", "mm"), quantity("0.66", "1")
        (0.1, 0.2032, 0.66)
    """
    kind = _KINDS[unit]
    found = _NUMBER_AND_UNIT.fullmatch(text.strip())
    factor = kind.factors.get(found[2] or "") if found else None
    if found is None or factor is None:
        raise ValueError(f"expected {kind.wanted}, got {quoted(text)}")
    value = float(Decimal(found[1]) * factor)
    if not math.isfinite(value):
        raise ValueError(f"expected {kind.wanted}, got {quoted(text)}, which is too large")
    return value


def length_mm(text: str) -> float:
    """
    A length in millimetres. Raises ValueError as `quantity` does.

    Example:
        >>> length_mm("75 um")
        0.075
    """
    return quantity(text, "mm")


def how_to_write(unit: str) -> str:
    """What to tell somebody whose text was refused."""
    names = [name for name in _KINDS[unit].factors if name.isascii()]
    if names == [""]:
        return "write a plain number, 0 or more, with a point for the decimals"
    return f"write a number, 0 or more, with a point for the decimals, and one of {', '.join(names)}"


def pattern(unit: str) -> str:
    r"""
    What `quantity` reads, but for what is too large, as a regular expression that JSON Schema knows.

    Example:
        >>> print(pattern("s"))
        ^\s*(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*(?:s|ms)\s*$
    """
    names = "|".join(name for name in _KINDS[unit].factors if name)
    written = rf"(?:{_NUMBER})\s*(?:{names})" if names else f"(?:{_NUMBER})"
    return rf"^\s*{written}\s*$"


def shown(value: float, unit: str) -> str:
    """
    A number as people read it: lengths to the micrometre, ratios to two decimals.

    Example:
        >>> shown(0.14, "mm"), shown(0.6249, "1"), shown(0.0281, "mm3")
        ('0.140 mm', '0.62', '0.02810 mm3')
    """
    return _written(value, unit, _KINDS[unit].decimals)


def shown_apart(value: float, limit: float, unit: str) -> tuple[str, str]:
    """
    Two numbers as people read them, with as many digits as it takes to tell them apart.

    What is smaller also looks smaller. Only equal numbers look equal.

    Example:
        >>> shown_apart(0.6249, 0.66, "1")
        ('0.62', '0.66')
        >>> shown_apart(0.6597, 0.66, "1")
        ('0.6597', '0.6600')
    """
    if value != limit:
        for decimals in range(_KINDS[unit].decimals, 18):
            texts = _written(value, unit, decimals), _written(limit, unit, decimals)
            if texts[0] != texts[1]:
                return texts
        return _with_unit(repr(value), unit), _with_unit(repr(limit), unit)
    return shown(value, unit), shown(limit, unit)


def shown_um(value_mm: float) -> str:
    """
    A thickness as it stands on the packet: in micrometres, to a tenth where there is one.

    Example:
        >>> shown_um(0.075), shown_um(0.0762)
        ('75 um', '76.2 um')
    """
    return f"{value_mm * UM_PER_MM:z.1f}".removesuffix(".0") + " um"


def quoted(text: str) -> str:
    r"""
    A piece of somebody's text for a message: short, in quotes, nothing in it that a terminal would obey.

    An empty text is called nothing.

    Example:
        >>> print(quoted("a\x1b[31m"))
        'a\x1b[31m'
    """
    return repr(text if len(text) <= 60 else f"{text[:57]}...") if text else "nothing"


def _written(value: float, unit: str, decimals: int) -> str:
    return _with_unit(f"{value:z.{decimals}f}", unit)  # z: never -0.000


def _with_unit(number: str, unit: str) -> str:
    return number if unit == "1" else f"{number} {unit}"


def slack_told(slack_mm: float) -> str:
    """
    What a finding adds to its text where a length has a slack.

    Example:
        >>> slack_told(0.001), slack_told(0.0)
        (' (slack 1 um: the file is in inches)', '')
    """
    return f" (slack {shown_um(slack_mm)}: the file is in inches)" if slack_mm else ""
