"""Values in a rule set: what may be written for a title, a limit, a thickness or a setting of a check."""

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import MISSING, fields
from typing import Any, Final, Generic, NamedTuple, TypeVar, get_type_hints

from pastecheck.check import Check, Unit
from pastecheck.rulesets.codes import BAD_VALUE, UNKNOWN_KEY
from pastecheck.rulesets.yamltree import Complaints, Node, Section, Text, described, nearest
from pastecheck.units import how_to_write, length_mm, pattern, quantity, quoted

THINNEST_MM: Final = 0.005
THICKEST_MM: Final = 5.0
"""Foils are thicker than the one and thinner than the other; else a unit was mistaken (`0.075 um`)."""

LEAST_MM: Final = 0.001
"""Lengths that are set are 0, or no less: layer files round more, so a unit was mistaken (`0.17 um`)."""

Table = tuple[tuple[float, float], ...]
"""Pairs of numbers, the first of them ascending: what a second quantity is where the first has a value."""

V_co = TypeVar("V_co", covariant=True)


Schema = Mapping[str, Any]
"""A JSON Schema, or a part of one."""

Reading = Callable[[Node, Complaints], object | None]
"""Reads a node: its value, or None where it was complained about."""


class Kind(NamedTuple, Generic[V_co]):
    """How to read a value, and what to tell somebody whose value was refused."""

    read: Callable[[str], V_co]
    """Raises ValueError, which says what was expected."""
    hint: str
    schema: Schema
    """What it may be, as far as a schema can tell. Nothing that is read is refused by it."""


class Key(NamedTuple):
    """What may stand at a name: how it is read, and what editors are told of it."""

    read: Reading
    schema: Schema
    says: str


class Setting(NamedTuple):
    """How a parameter of a check is written in a rule."""

    field: str
    read: Reading
    schema: Schema
    shown: Callable[[Any], str]
    """A value as it is written in a rule."""
    unit: str
    """Of the value; empty where it is no number."""
    needed: bool


def key(kind: "Kind[object]", says: str) -> Key:
    """A name that holds one value."""
    return Key(lambda node, complaints: value(node, kind, complaints), kind.schema, says)


def value(node: Node, kind: "Kind[V_co]", complaints: Complaints) -> V_co | None:
    """What a node holds; None where it was complained about."""
    if not isinstance(node, Text):
        complaints.add(BAD_VALUE, f"expected one value, got {described(node)}", node.span, kind.hint)
        return None
    try:
        return kind.read(node.text)
    except ValueError as problem:
        complaints.add(BAD_VALUE, str(problem), node.span, kind.hint)
        return None


def read_keys(section: Section, keys: Mapping[str, Key], complaints: Complaints) -> dict[str, object]:
    """What stands at each of the names that stand there."""
    entries = section.entries
    return {name: one.read(entries[name].value, complaints) for name, one in keys.items() if name in entries}


def refuse_unknown(
    section: Section,
    known: Collection[str],
    taker: str,
    complaints: Complaints,
    told: Collection[str] = (),
) -> Collection[str]:
    """Complain about names that nothing takes, less those that were told; these names."""
    unknown = [name for name in section.entries if name not in known and name not in told]
    for name in unknown:
        if complaints.are_enough:
            break
        what = f"{taker} takes no {quoted(name)}"
        complaints.add(UNKNOWN_KEY, what, section.entries[name].key, nearest(name, known))
    return unknown


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


def above_0(kind: Kind[float]) -> Kind[float]:
    """The same kind of value, but for 0."""

    def read(text: str) -> float:
        found = kind.read(text)
        if not found > 0:
            raise ValueError(f"expected more than 0, got {quoted(text)}")
        return found

    return Kind(read, kind.hint, kind.schema)


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
        type_ = types[field.name]
        of = str(unit) if type_ in {float, int} else ""
        found[name] = Setting(field.name, *_reading(type_, unit, field.name), of, needed)
    return found


def _reading(type_: object, unit: Unit, name: str) -> tuple[Reading, Schema, Callable[[Any], str]]:
    """How a setting of a type is read, what schemas say of it, and how it is shown."""
    if type_ == Table:
        return table, _TABLE, _table_shown
    kinds: Mapping[object, Kind[object]] = {float: limit(unit), int: WHOLE, bool: TRUTH, str: TEXT}
    if type_ not in kinds:
        raise TypeError(f"no rule can hold a setting of type {type_}: {name}")
    kind = kinds[type_]
    with_unit = type_ is float and unit is not Unit.RATIO
    return (
        lambda node, complaints: value(node, kind, complaints),
        kind.schema,
        lambda one: f"{one:g} {unit}" if with_unit else str(one).lower() if type_ is bool else str(one),
    )


def table(node: Node, complaints: Complaints) -> Table | None:
    """
    Pairs of plain numbers, written as `{0.5: 0.6, 0.66: 0.8}` or one below the other, in ascending order.

    None where it was complained about.
    """
    if not isinstance(node, Section) or not node.entries:
        what = f"expected pairs of numbers, got {described(node)}"
        complaints.add(BAD_VALUE, what, node.span, "write {0.5: 0.6, 0.66: 0.8}")
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
    if not re.fullmatch(_WHOLE, text):  # as _ratio
        raise ValueError(f"expected a whole number, such as '4', got {quoted(text)}")
    return int(text)


def _truth(text: str) -> bool:
    if text not in {"true", "false"}:
        raise ValueError(f"expected true or false, got {quoted(text)}")
    return text == "true"


def _ratio(text: str) -> float:
    if re.match(r"\s*0[0-9]", text):  # to some that read YAML 010 is 8
        raise ValueError(f"expected a number that does not begin with 0, got {quoted(text)}")
    return quantity(text, Unit.RATIO)


def _length(text: str) -> float:
    number_mm = length_mm(text)
    if 0 < number_mm < LEAST_MM:
        raise ValueError(f"expected 0 mm, or {LEAST_MM} mm and more, got {quoted(text)}")
    return number_mm


def _number(unit: str) -> "Kind[float]":
    of = {Unit.RATIO.value: _ratio, Unit.MM.value: _length}
    read = of[unit] if unit in of else lambda text: quantity(text, unit)
    return Kind(read, how_to_write(unit), _ref(_NAMES[unit]))


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _written(unit: str) -> Schema:
    """A quantity as it is written; a plain number is one to YAML, too."""
    text: Schema = {"type": "string", "pattern": pattern(unit)}
    return {"anyOf": [{"type": "number", "minimum": 0}, text]} if unit == Unit.RATIO else text


_WHOLE: Final = "0|[1-9][0-9]{0,8}"
_NAMES: Final[Mapping[str, str]] = {
    "1": "ratio",
    "mm": "length",
    "mm2": "area",
    "mm3": "volume",
    "mm/s": "speed",
    "s": "time",
    "N": "force",
    "%": "share",
}
SCHEMAS: Final[Mapping[str, Schema]] = {
    # What YAML takes for a number or a truth is a text all the same, where a text is wanted.
    "text": {"type": ["string", "number", "boolean"], "pattern": r"\S"},
    "count": {"anyOf": [{"type": "integer", "minimum": 0}, {"type": "string", "pattern": f"^(?:{_WHOLE})$"}]},
    "truth": {"anyOf": [{"type": "boolean"}, {"enum": ["true", "false"]}]},
    "table": {
        "type": "object",
        "minProperties": 1,
        "propertyNames": {"pattern": pattern(Unit.RATIO)},
        "additionalProperties": _ref("ratio"),
    },
    **{name: _written(unit) for unit, name in _NAMES.items()},
}
"""What values may be, by the names that schemas refer to."""

TEXT: Final = Kind(_text, "write a line of text; in quotes where it holds a colon", _ref("text"))
THICKNESS: Final = Kind(read_thickness, how_to_write(Unit.MM), _ref("length"))
LENGTH: Final = _number("mm")
SPEED: Final = _number("mm/s")
TIME: Final = _number("s")
FORCE: Final = _number("N")
POWER: Final = _number("%")
WHOLE: Final = Kind(_whole, "write digits only", _ref("count"))
TRUTH: Final = Kind(_truth, "write it in small letters", _ref("truth"))
_TABLE: Final = _ref("table")
