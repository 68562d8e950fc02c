"""The JSON Schema of project files, from the declarations that the reader goes by."""

from collections.abc import Mapping
from typing import Any

from pastecheck.check import Check
from pastecheck.checks import catalogue
from pastecheck.project.declarations import (
    LAYER,
    LAYERS_SAY,
    LIMITS_SAY,
    MOST,
    NEEDED,
    ORDER,
    PATH,
    REPORTS,
    REPORTS_SAY,
    TOP,
    WAIVER,
    WAIVERS_SAY,
)
from pastecheck.rulesets import shipped
from pastecheck.rulesets.schema import Document, described, may_be_empty, rule, section
from pastecheck.rulesets.values import Schema


def of_projects(checks: Mapping[str, Check] | None = None) -> Document:
    """
    What a project file may say.

    Args:
        checks: By their ids; those that ship unless others are given.
    """
    known = catalogue() if checks is None else checks
    parts = {
        **{name: described(one) for name, one in TOP.items()},
        "limits": may_be_empty(
            section({one: may_be_empty(rule(one, check)) for one, check in known.items()}, LIMITS_SAY)
        ),
        "layers": _layers(),
        "waivers": _waivers(known),
        "reports": may_be_empty(section({one: described(key) for one, key in REPORTS.items()}, REPORTS_SAY)),
    }
    parts["rules"] = {**parts["rules"], "examples": [*shipped()]}
    keys = {name: parts[name] for name in ORDER}
    says = "What pastecheck judges of a board, by what rule set, and what is to stay as it is."
    return Document("project", "Project file of pastecheck", says, keys, NEEDED)


def _layers() -> Schema:
    one = section(
        {name: described(key) for name, key in LAYER.items()}, "a layer, and what is beside", ["file"]
    )
    one["dependentRequired"] = {"mask": ["land"]}
    return {
        "description": LAYERS_SAY,
        "type": "array",
        "minItems": 1,
        "maxItems": MOST,
        "items": {"anyOf": [PATH.schema, one]},
    }


def _waivers(checks: Mapping[str, Check]) -> Schema:
    keys: dict[str, Any] = {name: described(key) for name, key in WAIVER.items()}
    keys["check"] = {**keys["check"], "examples": list(checks)}
    one = section(keys, "findings of a check at a component or place, or one finding by name", ["reason"])
    one["anyOf"] = [{"required": [name]} for name in ("check", "fingerprint")]
    one["dependentRequired"] = {"at": ["within"], "within": ["at"]}
    return {"description": WAIVERS_SAY, "type": "array", "maxItems": MOST, "items": one}
