"""X2 file, aperture and object attributes: text -> name and values."""

import re
from typing import Final, NamedTuple

_ESCAPE: Final = re.compile(r"\\u([0-9A-Fa-f]{4})|\\U([0-9A-Fa-f]{8})")
_LARGEST_CHARACTER: Final = 0x10FFFF
_SURROGATES: Final = range(0xD800, 0xE000)


class Attribute(NamedTuple):
    """One attribute command: `TF`, `TA`, `TO` or `TD`, a name and values, escapes decoded."""

    kind: str
    name: str
    values: tuple[str, ...]


def component_of(attribute: Attribute) -> str:
    """The component that an object attribute names: the value of `.C`, or the first one of `.P`, or ""."""
    return attribute.values[0].strip() if attribute.kind == "TO" and attribute.values else ""


def attribute_of(text: str) -> Attribute:
    """An attribute command without its percent signs and star."""
    name, *values = text[2:].split(",")
    return Attribute(text[:2].upper(), _unescaped(name.strip()), tuple(_unescaped(value) for value in values))


COMMENT: Final = r"(?:[Nn]\s*\d+\s*)?[Gg]0{0,2}4"
"""How a comment begins, numbered or not; as a regular expression."""


def fields_of(function: str) -> tuple[str, ...]:
    """
    Fields of a value of .FileFunction, in lower case, so that two can be compared.

    Example:
        >>> fields_of("Paste, Top")
        ('paste', 'top')
    """
    return tuple(field.strip().lower() for field in function.split(","))


def _unescaped(text: str) -> str:
    if "\\" not in text:
        return text

    def character(found: re.Match[str]) -> str:
        code = int(found[1] or found[2], 16)
        return chr(code) if code <= _LARGEST_CHARACTER and code not in _SURROGATES else found[0]

    return _ESCAPE.sub(character, text)
