"""YAML as editors read it, to hold files against a schema: version 1.2, where yes is a word and 010 ten."""

import re
from typing import Any

import yaml


class _Core(yaml.CSafeLoader):
    """The core schema of YAML 1.2 (section 10.3.2, from memory)."""


_Core.yaml_implicit_resolvers = {}
for _tag, _written, _first in (
    ("null", r"~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("bool", r"true|True|TRUE|false|False|FALSE", list("tTfF")),
    ("int", r"[-+]?[0-9]+", list("-+0123456789")),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?|[-+]?\.inf|\.nan", list("-+.0123456789")),
):
    _Core.add_implicit_resolver(f"tag:yaml.org,2002:{_tag}", re.compile(rf"^(?:{_written})$"), _first)


def _whole(loader: yaml.SafeLoader, node: yaml.ScalarNode) -> int:
    return int(str(loader.construct_scalar(node)), 10)


_Core.add_constructor("tag:yaml.org,2002:int", _whole)


def as_an_editor_reads(text: str) -> Any:  # noqa: ANN401 -- whatever YAML holds
    """What a schema is held against."""
    return yaml.load(text, Loader=_Core)
