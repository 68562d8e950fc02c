"""
JSON Schemas of the files that people write, so that editors complete and check them.

They are made from the declarations that the reader goes by: names, units, checks, and their settings. What
the reader takes a schema takes, too; it cannot tell everything that the reader refuses, such as limits that
contradict each other. `pytest --update-golden` writes them anew.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, fields
from importlib.resources import files
from typing import Any, Final, NamedTuple

from pastecheck.check import Check
from pastecheck.checks import catalogue, documentation
from pastecheck.rulesets.chain import bases, shipped
from pastecheck.rulesets.sections import (
    EXTENDS,
    LIMITS,
    LIMITS_SAY,
    RULES_SAY,
    SECTIONS,
    SECTIONS_SAY,
    SOURCE,
    TEXTS,
)
from pastecheck.rulesets.trim_section import ENTRIES, SAYS, SELECTED_ENTRY, SELECTED_SAYS, Declared
from pastecheck.rulesets.trims import SELECTED
from pastecheck.rulesets.values import SCHEMAS, Key, Schema, limit, settings

DRAFT: Final = "https://json-schema.org/draft/2020-12/schema"


class Document(NamedTuple):
    """A kind of file that people write."""

    name: str
    """The schema ships as `NAME.schema.json`."""
    title: str
    says: str
    keys: Mapping[str, Schema]
    """What may stand at the top, in the order in which it is best written."""
    needed: Sequence[str] = ()

    @property
    def schema(self) -> Schema:
        """The JSON Schema (draft 2020-12)."""
        inner = section(self.keys, self.says, self.needed)
        used = {name: one for name, one in SCHEMAS.items() if _refers_to(name, inner)}
        return {"$schema": DRAFT, "title": self.title, **inner, "$defs": used}

    @property
    def text(self) -> str:
        """The schema as it is written to a file."""
        return json.dumps(self.schema, indent=2) + "\n"

    @property
    def shipped(self) -> str:
        """The schema that ships with the package, as its file has it."""
        return files("pastecheck").joinpath(f"{self.name}.schema.json").read_text(encoding="utf-8")


def _refers_to(name: str, schema: Schema) -> bool:
    return f'"#/$defs/{name}"' in json.dumps(schema) or (
        name == "ratio" and _refers_to("table", schema)  # a table is made of ratios
    )


def section(keys: Mapping[str, Schema], says: str, needed: Sequence[str] = ()) -> dict[str, Any]:
    """A section that takes some names and no others."""
    found: dict[str, Any] = {"description": says, "type": "object"}
    if needed:
        found["required"] = list(needed)
    return found | {"properties": dict(keys), "additionalProperties": False}


def described(one: Key) -> Schema:
    """What may stand at a name, with what editors show of it."""
    return {"description": one.says, **one.schema}


def may_be_empty(schema: Schema) -> Schema:
    """The same, where nothing at all may stand as well."""
    return {**schema, "type": [schema["type"], "null"]}


def of_rule_sets(checks: Mapping[str, Check] | None = None) -> Document:
    """
    What a rule set may say.

    Args:
        checks: By their ids; those that ship unless others are given.
    """
    known = catalogue() if checks is None else checks
    sections = {
        name: may_be_empty(section({one: described(key) for one, key in keys.items()}, SECTIONS_SAY[name]))
        for name, keys in SECTIONS.items()
    }
    rules = {check_id: may_be_empty(rule(check_id, check)) for check_id, check in known.items()}
    keys = {
        "title": described(TEXTS["title"]),
        "extends": {**described(EXTENDS), "examples": [*shipped(), *bases()]},
        "cutter": described(TEXTS["cutter"]),
        **sections,
        "rules": may_be_empty(section(rules, RULES_SAY)),
        "trim": _trim(),
    }
    says = "Limits for one foil and one cutter, each with its source; or a part of them, to be extended."
    return Document("rule-set", "Rule set of pastecheck", says, keys, ("title",))


def _trim() -> Schema:
    """What may be said of trimming."""
    selected = {
        "description": SELECTED_SAYS,
        "type": ["object", "null"],
        "additionalProperties": _entry(SELECTED_ENTRY),
    }
    entries = {name: _entry(one) for name, one in ENTRIES.items()}
    return may_be_empty(section(entries | {SELECTED: selected}, SAYS))


def _entry(one: Declared) -> Schema:
    return section({name: described(of) for name, of in one.keys.items()}, one.says, one.needed)


def rule(check_id: str, check: Check) -> dict[str, Any]:
    """A rule: its limits need a source, and a source needs limits."""
    limits = LIMITS[check.worse]
    keys: dict[str, Schema] = {
        name: {"description": LIMITS_SAY[name], **limit(check.unit).schema} for name in limits
    }
    keys |= _settings(check) | {"source": described(SOURCE)}
    return {
        **section(keys, _says(check_id, check)),
        "dependentRequired": {name: ["source"] for name in limits},
        "dependentSchemas": {"source": {"anyOf": [{"required": [name]} for name in limits]}},
    }


def _says(check_id: str, check: Check) -> str:
    """What the check measures, in a line."""
    title, _, _ = documentation(check_id).strip().partition("\n\n")
    return " ".join(title.split()) if title else check.title


def _settings(check: Check) -> dict[str, Schema]:
    defaults = {one.name: one.default for one in fields(check.params)}
    found: dict[str, Schema] = {}
    for name, one in settings(check).items():
        default = defaults[one.field]
        says = "needed" if default is MISSING else f"{one.shown(default)} unless given"
        found[name] = {"description": f"a setting of the check; {says}", **one.schema}
    return found
