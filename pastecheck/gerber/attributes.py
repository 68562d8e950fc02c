"""X2 file, aperture and object attributes: text -> name and values."""

import re
from sys import intern
from typing import Final

from pastecheck.drawing import Attribute, AttributeSet

_TELL_COMPONENT: Final = frozenset({".C", ".P"})
SOURCE_STEP: Final = "PastecheckSourceStep"
"""
A file attribute of ours: how coarse the numbers were that the layer was made from, in mm.

What was rounded to that stays so, however finely it is written again.
"""
_LENGTH: Final = re.compile(r"\d{1,3}(?:\.\d{1,9})?")
_ESCAPE: Final = re.compile(r"\\u([0-9A-Fa-f]{4})|\\U([0-9A-Fa-f]{8})")
_LARGEST_CHARACTER: Final = 0x10FFFF
_SURROGATES: Final = range(0xD800, 0xE000)


def component_of(attributes: AttributeSet) -> str:
    """The component that object attributes name: the value of `.C`, or else the first one of `.P`, or ""."""
    first = {one.name: one.values[0].strip() for one in attributes if one.values}
    return first.get(".C") or first.get(".P", "")


def purpose_of(attributes: AttributeSet) -> str:
    """What attributes of an aperture say that it is for: the value of `.AperFunction`, or ""."""
    return next((",".join(one.values).strip() for one in attributes if one.name == ".AperFunction"), "")


def laid_over(upper: AttributeSet, lower: AttributeSet) -> AttributeSet:
    """
    Attributes of an object in a block with those of the block's flash over them, by name.

    A component is told by two names: where the flash tells one, those of the object do not count.
    """
    teller = upper if component_of(upper) else lower
    named = {one.name: one for one in (*lower, *upper) if one.name not in _TELL_COMPONENT}
    named |= {one.name: one for one in teller if one.name in _TELL_COMPONENT}
    return tuple(sorted(named.values()))


def source_step_mm(value: str) -> float:
    """The value of `SOURCE_STEP`; 0 where it is no length: then lengths have the less slack."""
    return float(value) if _LENGTH.fullmatch(value) else 0.0


def attribute_of(text: str) -> Attribute:
    """An attribute command without its percent signs and star."""
    name, *values = text[2:].split(",")
    kind, name = intern(text[:2].upper()), intern(_unescaped(name.strip()))  # few, of very many
    return Attribute(kind, name, tuple(_unescaped(value) for value in values))


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
