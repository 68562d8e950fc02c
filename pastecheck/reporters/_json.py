"""JSON as all documents write it: in ASCII, with numbers rounded alike, and the schemas that ship."""

import json
from collections.abc import Iterable, Mapping
from importlib.resources import files
from typing import Any, Final

from pastecheck.source import Diagnostic

DECIMALS: Final = 9
"""Of readings, limits and sums: a reading that fails is more than 1e-9 past its limit, and stays past it."""
PLACE_DECIMALS: Final = 6
"""Of places in mm: whole nanometres."""


def schema_of(name: str) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) that ships as `NAME.schema.json`."""
    text = files("pastecheck").joinpath(f"{name}.schema.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def dumps(value: object, indent: int | None = None) -> str:
    """
    A value as JSON.

    Raises:
        ValueError: If a number is not finite, for JSON has no word for it.
    """
    return json.dumps(value, allow_nan=False, indent=indent)


def rounded(value: float, decimals: int = DECIMALS) -> float:
    """A number as it is written; there is no negative zero."""
    return round(value, decimals) + 0.0


def places(values: Iterable[float]) -> list[float]:
    """Coordinates in mm."""
    return [rounded(value, PLACE_DECIMALS) for value in values]


def plain(value: Any) -> Any:  # noqa: ANN401 -- whatever JSON holds
    """The same with all numbers rounded, and tuples as lists."""
    if isinstance(value, Mapping):
        return {name: plain(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [plain(one) for one in value]
    return rounded(value) if isinstance(value, float) else value


def diagnostic(said: Diagnostic) -> dict[str, Any]:
    """What is said about a file."""
    return {
        "code": said.code,
        "level": said.level.value,
        "text": said.text,
        "file": said.span.path,
        "line": said.span.line,
        "column": said.span.column,
    }
