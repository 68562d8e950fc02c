"""Values in a rule set: what may be written for a title, a limit, a thickness or a setting of a check."""

import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields
from typing import Any, Final, Generic, NamedTuple, TypeVar, get_type_hints

from pastecheck.check import Check, Unit
from pastecheck.rulesets.yamltree import Complaints, Node, Section, Text, described
from pastecheck.units import how_to_write, length_mm, quantity, quoted

THINNEST_MM: Final = 0.005
THICKEST_MM: Final = 5.0
"""Foils are thicker than the one and thinner than the other; else a unit was mistaken (`0.075 um`)."""

Table = tuple[tuple[float, float], ...]
"""Pairs of numbers, the first of them ascending: what a second quantity is where the first has a value."""

V_co = TypeVar("V_co", covariant=True)


class Kind(NamedTuple, Generic[V_co]):
    """How to read a value, and what to tell somebody whose value was refused."""

    read: Callable[[str], V_co]
    """Raises ValueError, which says what was expected."""
    hint: str


class Setting(NamedTuple):
    """How a parameter of a check is written in a rule."""

    field: str
    read: Callable[[Node, Complaints], object | None]
    """The value of a node; None where it was complained about."""
    shown: Callable[[Any], str]
    """A value as it is written in a rule."""
    needed: bool


def value(node: Node, kind: "Kind[V_co]", complaints: Complaints) -> V_co | None:
    """What a node holds; None where it was complained about."""
    if not isinstance(node, Text):
        complaints.add(f"expected one value, got {described(node)}", node.span, kind.hint)
        return None
    try:
        return kind.read(node.text)
    except ValueError as problem:
        complaints.add(str(problem), node.span, kind.hint)
        return None


def read_thickness(text: str) -> float:
    """
    The thickness of a foil, from text with a unit such as `"75 um"`.

    Raises:
        ValueError: If it is no length, or there is no foil of that thickness.
    """
    thickness_mm = length_mm(text)
    refuse_thickness(thickness_mm, quoted(text))
    return thickness_mm


def refuse_thickness(thickness_mm: float, shown: str) -> None:
    """
    Refuse what is no foil.

    Raises:
        ValueError: If there is no foil of that thickness.
    """
    if not THINNEST_MM <= thickness_mm <= THICKEST_MM:
        raise ValueError(f"expected a thickness from {THINNEST_MM} mm to {THICKEST_MM:.0f} mm, got {shown}")


def limit(unit: Unit) -> "Kind[float]":
    """A limit in the unit of its check."""
    return _number(unit)


def settings(check: Check) -> Mapping[str, Setting]:
    """
    Parameters of a check, by the names they have in a rule.

    The name is the field's with hyphens and less its unit: `gaps_below_mm: float` is `gaps-below: 0.235 mm`.

    Raises:
        TypeError: If a check takes what cannot be written in a rule.
    """
    types = get_type_hints(check.params)
    found = {}
    for field in fields(check.params):
        stem, _, suffix = field.name.rpartition("_")
        has_unit = suffix in {Unit.MM, Unit.MM2, Unit.MM3}
        unit = Unit(suffix) if has_unit else Unit.RATIO
        name = (stem if has_unit else field.name).replace("_", "-")
        needed = field.default is MISSING and field.default_factory is MISSING
        found[name] = Setting(field.name, *_reading(types[field.name], unit, field.name), needed)
    return found


def _reading(
    type_: object, unit: Unit, name: str
) -> tuple[Callable[[Node, Complaints], object | None], Callable[[Any], str]]:
    """How a setting of a type is read, and how it is shown."""
    if type_ == Table:
        return table, _table_shown
    kinds: Mapping[object, Kind[object]] = {float: limit(unit), int: WHOLE, bool: TRUTH, str: TEXT}
    if type_ not in kinds:
        raise TypeError(f"no rule can hold a setting of type {type_}: {name}")
    kind = kinds[type_]
    with_unit = type_ is float and unit is not Unit.RATIO
    return (
        lambda node, complaints: value(node, kind, complaints),
        lambda one: f"{one:g} {unit}" if with_unit else str(one).lower() if type_ is bool else str(one),
    )


def table(node: Node, complaints: Complaints) -> Table | None:
    """
    Pairs of plain numbers, written as `{0.5: 0.6, 0.66: 0.8}` or one below the other, in ascending order.

    None where it was complained about.
    """
    if not isinstance(node, Section) or not node.entries:
        complaints.add(
            f"expected pairs of numbers, got {described(node)}", node.span, "write {0.5: 0.6, 0.66: 0.8}"
        )
        return None
    number = limit(Unit.RATIO)
    pairs = [
        (value(Text(key, entry.key), number, complaints), value(entry.value, number, complaints))
        for key, entry in node.entries.items()
    ]
    known = [(x, y) for x, y in pairs if x is not None and y is not None]
    return tuple(sorted(known)) if len(known) == len(pairs) else None


def _table_shown(pairs: Table) -> str:
    return ", ".join(f"{x:g}: {y:g}" for x, y in pairs)


def _text(text: str) -> str:
    line = " ".join(text.split())
    if not line:
        raise ValueError("expected a text, got nothing")
    if not line.isprintable():
        raise ValueError(f"expected letters and signs that can be printed, got {quoted(line)}")
    return line


def _whole(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,9}", text):
        raise ValueError(f"expected a whole number, such as '4', got {quoted(text)}")
    return int(text)


def _truth(text: str) -> bool:
    if text not in {"true", "false"}:
        raise ValueError(f"expected true or false, got {quoted(text)}")
    return text == "true"


def _number(unit: str) -> "Kind[float]":
    return Kind(lambda text: quantity(text, unit), how_to_write(unit))


TEXT: Final = Kind(_text, "write a line of text; in quotes where it holds a colon")
THICKNESS: Final = Kind(read_thickness, how_to_write(Unit.MM))
LENGTH: Final = _number("mm")
SPEED: Final = _number("mm/s")
TIME: Final = _number("s")
WHOLE: Final = Kind(_whole, "write digits only")
TRUTH: Final = Kind(_truth, "write it in small letters")
