"""The catalogue of checks: one module each, found by walking this folder."""

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from types import MappingProxyType

from pastecheck.check import Check


@cache
def catalogue() -> Mapping[str, Check]:
    """Every check by its id, which is its module's name with hyphens, in alphabetical order."""
    names = sorted(module.name for module in iter_modules([str(Path(__file__).parent)]))
    return MappingProxyType({name.replace("_", "-"): _check_in(name) for name in names})


def documentation(check_id: str) -> str:
    """The documentation of a check: its module's docstring."""
    return import_module(f"{__name__}.{check_id.replace('-', '_')}").__doc__ or ""


def _check_in(name: str) -> Check:
    module = import_module(f"{__name__}.{name}")
    check = getattr(module, "CHECK", None)
    if not isinstance(check, Check):
        raise TypeError(f"{module.__name__} has no CHECK")
    if not module.__doc__ or not check.examples:
        raise TypeError(f"{module.__name__} needs documentation and examples")
    return check
